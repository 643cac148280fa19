//! Calls that come while teams of their site are bound: observed, and beside it a queue with the
//! same load.

mod queue;

#[cfg(test)]
mod tests;

use super::share_words::{
    CANNOT_BE_TOLD, cells, in_sentence, line, model_line, percent, rows, site_name, without_end,
};
use crate::domain::codes::Shift;
use crate::findings::finding::Unit;
use crate::findings::staffing::overlap::{
    Agreement, BLOCK_HOURS, BlockOverlap, FEWEST_TO_COMPARE, HoursOverlap, Overlap,
};
use crate::report::chart::{Chart, Line, Plot};
use crate::report::content::{Block, Cell, Figure, Section, Table};
use crate::report::format;

/// The section; `None` stands for records with elapsed times.
pub(super) fn section(overlap: Option<&Overlap>) -> Section {
    let blocks = match overlap {
        None => vec![Block::Caution(WITHOUT_CLOCK.to_owned())],
        Some(overlap) if overlap.all.hours[0].calls() == 0 => {
            vec![Block::Text("There is no call in the records.".to_owned())]
        }
        Some(overlap) => blocks(overlap),
    };
    Section {
        id: "overlap",
        heading: "Calls that come while a team is bound".to_owned(),
        blocks,
    }
}

const WITHOUT_CLOCK: &str = "This section needs clock times. The export gives minutes since each call, which \
    do not say whether two calls meet. Left out: calls that came while teams were bound, the longest \
    overlap, and the comparison with a queue.";

/// What the first page says: how often calls met beside calls at random, and what that leaves out.
pub(crate) fn in_words(overlap: &Overlap) -> Vec<String> {
    let all = &overlap.all.hours[0];
    if all.calls() == 0 {
        return Vec::new();
    }
    if !all.is_told {
        return vec![format!(
            "How often calls met {CANNOT_BE_TOLD}: {}.",
            without_end(all.unknown, all.calls())
        )];
    }
    let met = format!(
        "A team of the site was still bound when {} came; {}.",
        in_sentence(all.while_one, "call", "calls", overlap.level),
        beside_chance(all)
    );
    let two = match all.while_two.counted.events {
        0 => "No call found two teams bound".to_owned(),
        events => format!(
            "{} found two teams bound or more",
            format::counted(events, "call", "calls")
        ),
    };
    let lower_bound = match all.unknown {
        0 => String::new(),
        unknown => format!(
            "; no end is known for {}, so a few more may have met",
            format::counted(unknown, "call", "calls")
        ),
    };
    let left_out = not_told(overlap).map_or_else(String::new, |sites| {
        format!("; left out, since too few ends are known: {sites}")
    });
    vec![met, format!("{two}{lower_bound}{left_out}.")]
}

/// What calls at random would give, and whether that lies within the interval of the observed share.
fn beside_chance(of: &HoursOverlap) -> String {
    let by_hour = of.by_hour.map(|found| {
        (
            "as many at each time of the week as here",
            found.while_one,
            found.agreement,
        )
    });
    let steady = of
        .model
        .zip(of.agreement)
        .map(|(model, agreement)| ("equally often at all hours", model.bound_from(1), agreement));
    match by_hour.or(steady) {
        Some((how, share, agreement)) => format!(
            "calls at random, {how}, would give {}, which lies {}",
            percent(share),
            match agreement {
                Agreement::Within => "within that interval",
                Agreement::More => "outside that interval: more calls met",
                Agreement::Fewer => "outside that interval: fewer calls met",
            }
        ),
        None if of.calls() < FEWEST_TO_COMPARE => {
            "that is too few calls to compare with calls at random".to_owned()
        }
        None => "nothing could be put beside that".to_owned(),
    }
}

/// The sites at which it cannot be told which calls met; `None` where there is none, or no other.
fn not_told(overlap: &Overlap) -> Option<String> {
    let sites = overlap.sites.iter().filter(|site| !site.is_told);
    let names: Vec<_> = sites.map(|site| site_name(site.site.as_deref())).collect();
    (overlap.all.is_told && !names.is_empty()).then(|| names.join(", "))
}

fn blocks(overlap: &Overlap) -> Vec<Block> {
    let mut blocks = vec![Block::Text(method(overlap))];
    let all = &overlap.all.hours[0];
    if !all.is_told {
        let rule = "Too few ends are known: which calls met, for how long, and what a queue would make of \
                    them cannot be told where more than half of the calls have no known end";
        blocks.push(Block::Caution(format!(
            "{rule}. Here {}.",
            without_end(all.unknown, all.calls())
        )));
        return blocks;
    }
    blocks.extend(not_told(overlap).map(|sites| {
        Block::Caution(format!(
            "Left out of all sites and of every figure: {sites}, where more than half of the calls have \
             no known end, so that it cannot be told which calls met."
        ))
    }));
    if all.unknown > 0 {
        blocks.push(Block::Caution(format!(
            "Without a known end: {} of {}. They are among the calls and bind nobody, so every share and \
             every minute below is a lower bound.",
            format::whole(all.unknown),
            format::counted(all.calls(), "call", "calls")
        )));
    }
    blocks.push(Block::Figure(Box::new(beside_model(overlap))));
    blocks.push(Block::Table(by_site(overlap)));
    blocks.push(Block::Figure(Box::new(by_block(overlap))));
    blocks.extend(queue::blocks(overlap));
    blocks
}

fn method(overlap: &Overlap) -> String {
    format!(
        "A call binds a team of its site from the call until the team is free again or, where that is \
         not recorded, until {} min after the scope came out or the case was called off. Each call is \
         asked how many teams of its site were bound when it came. Of two calls in the same minute the \
         later row finds the earlier one bound; a team that is free in the minute of a call is free. \
         How many teams a site has is not in the records: bound teams are cases that were not over.",
        overlap.wrap_up_minutes
    )
}

fn hours_name(shift: Option<Shift>) -> &'static str {
    match shift {
        None => "All hours",
        Some(Shift::InHours) => "Staffed hours",
        Some(Shift::AfterHours) => "After hours",
    }
}

/// Those of the hours in which a call came.
fn with_calls(hours: &[HoursOverlap]) -> impl Iterator<Item = &HoursOverlap> {
    hours.iter().filter(|of| of.calls() > 0)
}

fn beside_model(overlap: &Overlap) -> Figure {
    let mut lines = Vec::new();
    for of in with_calls(&overlap.all.hours) {
        lines.push(Line::Heading(format!(
            "{}, {}",
            hours_name(of.shift),
            format::counted(of.calls(), "call", "calls")
        )));
        let levels = [
            ("One or more", 1, of.while_one),
            ("Two or more", 2, of.while_two),
        ];
        for (label, level, share) in levels {
            lines.push(line(format!("{label}, observed"), share));
            let model = of.model.map(|model| model.bound_from(level));
            lines.extend(model.map(|model| model_line(format!("{label}, model"), model)));
            if let Some(by_hour) = of.by_hour.filter(|_| level == 1) {
                let label = format!("{label}, model by hour");
                lines.push(model_line(label, by_hour.while_one));
            }
        }
    }
    let all = &overlap.all.hours[0];
    Figure {
        stem: "calls_while_teams_are_bound".to_owned(),
        chart: Chart {
            title: "How often does a call find a team of its site still bound?".to_owned(),
            axis_label: "Share of calls".to_owned(),
            unit: Some(Unit::Fraction),
            plot: Plot::Rows(lines),
        },
        caption: format!(
            "Dots with lines are the observed shares with their {} Wilson intervals, counts at the \
             right; the interval takes calls as independent. Dots alone are the shares that calls at \
             random with the same load would give (M/G/∞), averaged over the calls of the sites; by hour, with \
             a rate of its own for each block of {BLOCK_HOURS} hours, Monday to Friday and the weekend apart.",
            format::level(overlap.level)
        ),
        alternative: format!(
            "A team was bound at {}; {}.",
            in_sentence(all.while_one, "call", "calls", overlap.level),
            beside_chance(all)
        ),
        table: by_hours(overlap),
    }
}

fn by_hours(overlap: &Overlap) -> Table {
    let mut table = Table::new(
        "Teams of the site that were bound when a call came, and the time for which they were, all sites",
        &[
            "Hours",
            "Teams bound",
            "Calls",
            "Share of calls",
            "Share of the time",
            "Model",
        ],
    );
    for of in with_calls(&overlap.all.hours) {
        for (level, name) in ["none", "one", "two", "three or more"].iter().enumerate() {
            let time = of.minutes[level] as f64 / of.all_minutes().max(1) as f64;
            table.push(vec![
                hours_name(of.shift).into(),
                (*name).into(),
                format::whole(of.found[level]).into(),
                format::part(of.found[level], of.calls()).into(),
                percent(time).into(),
                of.model
                    .map_or(format::NOTHING.to_owned(), |model| {
                        percent(model.bound[level])
                    })
                    .into(),
            ]);
        }
    }
    table
}

fn by_site(overlap: &Overlap) -> Table {
    let interval = format!("{} interval (Wilson)", format::level(overlap.level));
    let mut table = Table::new(
        "Calls that came while teams were bound, and the time with two or more, by site",
        &[
            "Site",
            "A team bound",
            &interval,
            "Two or more bound",
            &interval,
            "Minutes with two or more",
            "Most at once",
            "Longest overlap",
            "Calls of unknown length",
        ],
    );
    for of in rows(&overlap.sites, &overlap.all) {
        let all = &of.hours[0];
        let mut row = vec![Cell::from(site_name(of.site.as_deref()))];
        if !of.is_told {
            row.push(CANNOT_BE_TOLD.into());
            row.extend((0..6).map(|_| Cell::from(format::NOTHING)));
            row.push(format::part(all.unknown, all.calls()).into());
            table.push(row);
            continue;
        }
        row.extend(cells(all.while_one));
        row.extend(cells(all.while_two));
        row.extend([
            Cell {
                text: format::whole(all.minutes_from(2)),
                details: vec![format!(
                    "{} of the time",
                    percent(all.time_share_from(2).unwrap_or(0.0))
                )],
            },
            format::whole(of.most_at_once).into(),
            format!("{} min", format::whole(of.longest_minutes)).into(),
            format::part(all.unknown, all.calls()).into(),
        ]);
        table.push(row);
    }
    table
}

fn block_name(block: &BlockOverlap) -> String {
    format!(
        "{} to {} o’clock",
        block.first_hour,
        block.first_hour + BLOCK_HOURS
    )
}

const fn days_name(is_weekend: bool) -> &'static str {
    if is_weekend {
        "Saturday and Sunday"
    } else {
        "Monday to Friday"
    }
}

fn by_block(overlap: &Overlap) -> Figure {
    let mut lines = Vec::new();
    let mut table = Table::new(
        "Calls that came while a team of their site was bound, by hour of the call, all sites",
        &[
            "Days",
            "Hour of the call",
            "A team bound",
            &format!("{} interval (Wilson)", format::level(overlap.level)),
        ],
    );
    for is_weekend in [false, true] {
        lines.push(Line::Heading(days_name(is_weekend).to_owned()));
        let of_days = overlap.all.blocks.iter();
        for block in of_days.filter(|block| block.is_weekend == is_weekend) {
            lines.push(line(block_name(block), block.while_one));
            let [counts, interval] = cells(block.while_one);
            table.push(vec![
                days_name(is_weekend).into(),
                block_name(block).into(),
                counts,
                interval,
            ]);
        }
    }
    Figure {
        stem: "calls_while_bound_by_hour".to_owned(),
        chart: Chart {
            title: "At which hours does a call find a team still bound?".to_owned(),
            axis_label: "Share of calls".to_owned(),
            unit: Some(Unit::Fraction),
            plot: Plot::Rows(lines),
        },
        caption: format!(
            "All sites, on the clock of the site, holidays among the days of the week. Dots are shares \
             of the calls of these hours, lines their {} Wilson intervals. With this many blocks, one or \
             two stand out by chance alone.",
            format::level(overlap.level)
        ),
        alternative:
            "Blocks of hours one below the other with the share of calls that found a team of \
                      their site bound; the table holds the numbers."
                .to_owned(),
        table,
    }
}
