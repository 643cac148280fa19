//! What calls ask of the teams outside staffed hours: call-backs, hours, nights, rest, windows.

mod rest;
mod windows;

#[cfg(test)]
mod tests;

use super::share_words::{
    CANNOT_BE_TOLD, WHO_DECIDES, cells, hours, in_sentence, line, percent, rows, rows_of_chart,
    site_name, without_end,
};
use crate::findings::finding::Unit;
use crate::findings::staffing::Share;
use crate::findings::staffing::load::{BoundMonth, Load, SiteLoad};
use crate::report::chart::{Chart, Line, MonthPoint, Plot};
use crate::report::content::{Block, Cell, Figure, Section, Table};
use crate::report::format;

/// Months that a chart has room for.
const MOST_MONTHS: usize = 24;

/// The section; `None` stands for records with elapsed times.
pub(super) fn section(load: Option<&Load>) -> Section {
    let blocks = match load {
        None => vec![Block::Caution(WITHOUT_CLOCK.to_owned())],
        Some(load) if load.all.calls == 0 => {
            vec![Block::Text("There is no call in the records.".to_owned())]
        }
        Some(load) => blocks(load),
    };
    Section {
        id: "load",
        heading: "Call-backs, hours and rest after hours".to_owned(),
        blocks,
    }
}

const WITHOUT_CLOCK: &str = "This section needs clock times. The export gives minutes since each call: \
    they do not say which calls belong to one call-back, in which night a call came, or how long a \
    team rested. Left out: call-backs, hours bound after hours, nights and weekends with calls, short \
    rest, and windows that reached past the start of the day. How many calls came by hour and weekday \
    stands under demand.";

/// What the first page says: call-backs, nights, rest.
pub(crate) fn in_words(load: &Load) -> Vec<String> {
    let all = &load.all;
    if all.calls == 0 {
        return Vec::new();
    }
    let mut sentences = vec![format!(
        "{}, {}; {}.",
        format::counted(all.call_backs.count(), "call-back", "call-backs"),
        rate(load, all),
        bound_in_words(all)
    )];
    let nights = all.nights;
    if nights.with_one.counted.cases > 0 {
        sentences.push(format!(
            "A call came in {}, {}.",
            in_sentence(nights.with_one, "night", "nights", load.level),
            match nights.with_two.counted.events {
                0 => "never two or more in one night".to_owned(),
                nights => format!("two or more in {}", format::whole(nights)),
            }
        ));
    }
    sentences.extend(rest::in_words(load));
    sentences
}

/// For how long teams were bound, or that it cannot be told.
fn bound_in_words(all: &SiteLoad) -> String {
    let unknown = all.lengths.unknown;
    let hours = || {
        let unit = if all.bound_minutes() == 60 {
            "hour"
        } else {
            "hours"
        };
        format!("{} {unit}", hours(all.bound_minutes()))
    };
    if !all.are_ends_known() {
        return format!(
            "for how long teams were bound, and how long they rested, {CANNOT_BE_TOLD}: {}",
            without_end(unknown, all.calls)
        );
    }
    match unknown {
        0 => format!("teams were bound for {} after hours", hours()),
        unknown => format!(
            "teams were bound for at least {} after hours (no end is known for {})",
            hours(),
            format::counted(unknown, "call", "calls")
        ),
    }
}

fn blocks(load: &Load) -> Vec<Block> {
    let mut blocks = vec![Block::Text(rules(load)), Block::Text(lengths(load))];
    blocks.extend(too_few_ends(load).map(Block::Caution));
    blocks.extend([Block::Table(call_backs(load)), Block::Table(bound(load))]);
    blocks.extend(by_month(load).map(|figure| Block::Figure(Box::new(figure))));
    blocks.push(Block::Heading("Nights and weekends".to_owned()));
    blocks.push(Block::Text(NIGHTS.to_owned()));
    blocks.push(Block::Figure(Box::new(nights(load))));
    blocks.extend(rest::blocks(load));
    blocks.push(Block::Text(FATIGUE.to_owned()));
    blocks.extend(windows::blocks(load));
    blocks.push(Block::Caution(WHO_DECIDES.to_owned()));
    blocks
}

fn rules(load: &Load) -> String {
    format!(
        "A call-back is an activation of a team outside staffed hours: its first call, and each \
         further call of the same site that comes before the team is free or up to {} min after. A \
         call in staffed hours never joins one, since there is a team on duty. A call after hours \
         that finds the team of the day {} is counted apart and is no call-back. A team belongs to \
         its site: calls of two sites are never put together, and all sites are their sum.",
        load.rules.merge_minutes,
        still_at_work(load)
    )
}

/// Which teams of the day take a call after hours without a call-back.
fn still_at_work(load: &Load) -> String {
    format!(
        "still at work, or free for no longer than {} min,",
        load.rules.merge_minutes
    )
}

/// What cannot be told because too few ends are known, and where; `None` where it can.
fn too_few_ends(load: &Load) -> Option<String> {
    let sites = rows(&load.sites, &load.all).filter(|of| !of.are_ends_known());
    let names: Vec<_> = sites.map(|of| site_name(of.site.as_deref())).collect();
    (!names.is_empty()).then(|| {
        format!(
            "Too few ends are known ({}): where more than half of the calls have no known end, it cannot \
             be told for how long teams were bound or how long they rested, nor which calls belong to one \
             call-back. Only calls up to {} min apart are put together there, so there may have been \
             fewer call-backs than stand here.",
            names.join(", "),
            load.rules.merge_minutes
        )
    })
}

fn lengths(load: &Load) -> String {
    let lengths = load.all.lengths;
    let known = format!(
        "A call binds a team from the call until the team is free again. Of {}, the release is \
         recorded for {}; for {} it is taken to be {} min after the scope came out or the case was \
         called off.",
        format::counted(load.all.calls, "call", "calls"),
        format::whole(lengths.recorded),
        format::whole(lengths.from_end),
        load.rules.wrap_up_minutes
    );
    match lengths.unknown {
        0 => known,
        unknown => format!(
            "{known} For {} no end is recorded, or one that is not within a day after the call: they \
             count as calls and bind nobody, so hours are a lower bound.",
            format::whole(unknown)
        ),
    }
}

/// `3.2 per 30 days of one site (95% interval 2.9 to 3.5)`.
fn rate(load: &Load, of: &SiteLoad) -> String {
    of.call_backs.per_30_days.map_or_else(
        || format::NOTHING.to_owned(),
        |rate| {
            format!(
                "{} per 30 days of one site ({} interval {} to {})",
                per_30_days(rate.rate),
                format::level(load.level),
                per_30_days(rate.low),
                per_30_days(rate.high)
            )
        },
    )
}

fn per_30_days(number: f64) -> String {
    format::with_unit(Unit::Per30SiteDays, 0, number)
}

fn call_backs(load: &Load) -> Table {
    let mut table = Table::new(
        "Call-backs by site; the interval of the rate is exact for call-backs that come at random",
        &[
            "Site",
            "Calls after hours",
            &format::capitalized(&format!(
                "team of the day {}",
                still_at_work(load).trim_end_matches(',')
            )),
            "Call-backs",
            "Per 30 site-days",
            &format!("{} interval (Garwood)", format::level(load.level)),
            "Calls each",
            "With two calls",
            "With three or more",
        ],
    );
    for of in rows(&load.sites, &load.all) {
        let found = &of.call_backs;
        let [_, two, more] = found.by_calls;
        let rate = found.per_30_days;
        table.push(vec![
            site_name(of.site.as_deref()).into(),
            format::whole(found.after_hours_calls).into(),
            format::whole(found.stayed_on).into(),
            format::whole(found.count()).into(),
            rate.map_or(format::NOTHING.into(), |rate| per_30_days(rate.rate))
                .into(),
            rate.map_or(format::NOTHING.into(), |rate| {
                format!("{} to {}", per_30_days(rate.low), per_30_days(rate.high))
            })
            .into(),
            found
                .calls_each()
                .map_or(format::NOTHING.into(), format::ratio)
                .into(),
            format::whole(two).into(),
            format::whole(more).into(),
        ]);
    }
    table
}

fn bound(load: &Load) -> Table {
    let mut table = Table::new(
        "Hours after hours in which a team of the site was bound, each minute once however many \
         teams; a sum over the records, so without an interval",
        &[
            "Site",
            "Hours bound",
            "Per 30 site-days",
            "Of the time after hours",
            "Calls of unknown length",
        ],
    );
    for of in rows(&load.sites, &load.all) {
        let unknown = format::part(of.lengths.unknown, of.calls);
        if !of.are_ends_known() {
            let name = site_name(of.site.as_deref());
            let nothing = || Cell::from(format::NOTHING);
            let told = [name.into(), CANNOT_BE_TOLD.into(), nothing(), nothing()];
            table.push(told.into_iter().chain([unknown.into()]).collect());
            continue;
        }
        let share = of.bound_minutes() as f64 / of.after_hours_minutes.max(1) as f64;
        table.push(vec![
            site_name(of.site.as_deref()).into(),
            hours(of.bound_minutes()).into(),
            of.bound_hours_per_30_days()
                .map_or(format::NOTHING.into(), format::distance)
                .into(),
            percent(share).into(),
            unknown.into(),
        ]);
    }
    table
}

/// `None` without a month, and where too few ends are known.
fn by_month(load: &Load) -> Option<Figure> {
    if !load.all.are_ends_known() {
        return None;
    }
    let months = &load.all.months;
    let last = months.last()?;
    let shown = &months[months.len().saturating_sub(MOST_MONTHS)..];
    let value = |of: &BoundMonth| of.minutes as f64 / 60.0;
    let points = shown.iter().map(|of| MonthPoint {
        month: of.month,
        n: format::short_whole(of.known),
        value: Some(value(of)),
        value_text: format!("{} hours", hours(of.minutes)),
        limits: (None, None),
        quartiles: None,
        cases: Vec::new(),
    });
    let mut table = Table::new(
        "Hours bound after hours by the month of the call, all sites",
        &[
            "Month",
            "Hours",
            "Calls of known length",
            "Calls of unknown length",
        ],
    );
    for of in months {
        table.push(vec![
            format::month_name(of.month).into(),
            hours(of.minutes).into(),
            format::whole(of.known).into(),
            format::whole(of.unknown).into(),
        ]);
    }
    Some(Figure {
        stem: "bound_after_hours_by_month".to_owned(),
        chart: Chart {
            title: "For how many hours are teams bound after hours, month by month?".to_owned(),
            axis_label: "Hours bound".to_owned(),
            unit: None,
            plot: Plot::Months {
                points: points.collect(),
                in_view: last.month,
                reference: None,
            },
        },
        caption:
            "All sites. A call counts in the month in which it came. n is the number of calls of \
                  known length at any hour; calls of unknown length add nothing. Months differ in \
                  length and in staffed hours, and the last one may be cut short by the end of the \
                  records."
                .to_owned(),
        alternative: format!(
            "Months from left to right with the hours after hours in which teams were bound; {} in {}.",
            hours(last.minutes),
            format::month_name(last.month)
        ),
        table,
    })
}

const NIGHTS: &str = "A night counts as disturbed by the minute of the call, whatever time the team came. \
    Only nights and weekends that lie wholly within the records count. The intervals take nights as \
    alike and independent, which winter and summer are not.";

/// The four shares of nights and weekends, in the order of chart and table.
type Disturbances = [(&'static str, fn(&SiteLoad) -> Share); 4];
const DISTURBANCES: Disturbances = [
    ("Nights with a call", |of| of.nights.with_one),
    ("Nights with two calls or more", |of| of.nights.with_two),
    ("Weekends with a call", |of| of.weekends.with_one),
    ("Weekends with two calls or more", |of| of.weekends.with_two),
];

fn nights(load: &Load) -> Figure {
    let mut lines = Vec::new();
    for (label, share) in DISTURBANCES {
        lines.push(Line::Heading(label.to_owned()));
        let rows = rows_of_chart(&load.sites, &load.all);
        lines.extend(rows.map(|of| line(site_name(of.site.as_deref()), share(of))));
    }
    let interval = format!("{} interval (Wilson)", format::level(load.level));
    let mut table = Table::new(
        "Nights and weekends with calls by site, and the most nights in a row without one",
        &["Site"],
    );
    for (label, _) in DISTURBANCES {
        table.columns.extend([label.to_owned(), interval.clone()]);
    }
    table
        .columns
        .push("Longest run of nights without a call".to_owned());
    for of in rows(&load.sites, &load.all) {
        let mut row = vec![Cell::from(site_name(of.site.as_deref()))];
        row.extend(DISTURBANCES.iter().flat_map(|(_, share)| cells(share(of))));
        row.push(format::whole(of.nights.longest_quiet).into());
        table.push(row);
    }
    Figure {
        stem: "nights_and_weekends_with_calls".to_owned(),
        chart: Chart {
            title: "How many nights and weekends bring a call?".to_owned(),
            axis_label: "Share of nights or weekends".to_owned(),
            unit: Some(Unit::Fraction),
            plot: Plot::Rows(lines),
        },
        caption: format!(
            "Dots are shares, lines their {} Wilson intervals; counts at the right. All sites adds up \
             the nights of each site. Sites stand by name, which is no ranking.",
            format::level(load.level)
        ),
        alternative: format!(
            "A call came in {}, and in {}.",
            in_sentence(load.all.nights.with_one, "night", "nights", load.level),
            in_sentence(
                load.all.weekends.with_one,
                "weekend",
                "weekends",
                load.level
            )
        ),
        table,
    }
}

const FATIGUE: &str = "Rules on fatigue that count the hours of one person, such as no more than 12 hours in \
    24 and 60 in 7 days (AORN, from memory), are not computed: the records know no person.";
