//! Rest after call-backs, by the roster or, without one, by the staffed hours. By site, never by place.

use crate::findings::staffing::load::{Load, RosterDay, RosterRest};
use crate::report::content::{Block, Cell, Table};
use crate::report::format;
use crate::report::staffing::share_words::{cells, in_sentence, rows, site_name};

/// Sites that a sentence has room for.
const MOST_SITES: usize = 6;

/// One sentence; none where nothing can be judged, or where the hours already say that too few ends
/// are known.
pub(super) fn in_words(load: &Load) -> Option<String> {
    if !load.all.are_ends_known() {
        return None;
    }
    let least = format::window_length(load.rules.min_rest_minutes);
    match load.all.rest.by_roster {
        Some(rest) if rest.short.counted.cases > 0 => Some(format!(
            "After {} that a call-back met, rest was shorter than {least}{}{}.",
            in_sentence(rest.short, "on-call duty", "on-call duties", load.level),
            by_site_in_words(load),
            off_roster(load, rest).map_or_else(String::new, |words| format!("; {words}"))
        )),
        Some(_) if load.all.call_backs.count() > 0 => Some(
            "How long teams rested cannot be told: no call-back with a known end met an on-call duty of \
             the roster that a shift of the same place follows."
                .to_owned(),
        ),
        Some(_) => None,
        None => {
            let short = load.all.rest.by_hours.short;
            (short.counted.cases > 0).then(|| {
                format!(
                    "Without a roster: {} ended less than {least} before the next staffed hours began.",
                    in_sentence(short, "call-back", "call-backs", load.level)
                )
            })
        }
    }
}

/// ` (Alder 2 of 190, Birch 33 of 193)` where sites differ and there is room for them.
fn by_site_in_words(load: &Load) -> String {
    let sites = load.sites.iter().filter_map(|of| {
        let short = of.rest.by_roster?.short;
        (short.counted.cases > 0).then_some((of.site.as_deref(), short))
    });
    let sites: Vec<_> = sites.collect();
    let shares = || sites.iter().filter_map(|(_, short)| short.estimate());
    let is_alike = shares().fold(f64::MIN, f64::max) - shares().fold(f64::MAX, f64::min) <= 0.0;
    if sites.len() < 2 || sites.len() > MOST_SITES || is_alike {
        return String::new();
    }
    let words = sites.iter().map(|(site, short)| {
        format!(
            "{} {} of {}",
            site_name(*site),
            format::whole(short.counted.events),
            format::whole(short.counted.cases)
        )
    });
    format!(" ({})", words.collect::<Vec<_>>().join(", "))
}

/// `170 of 640 call-backs lie outside the dates of the roster`; `None` where none does.
fn off_roster(load: &Load, rest: RosterRest) -> Option<String> {
    let all = load.all.call_backs.count();
    (rest.off_roster > 0).then(|| {
        format!(
            "{} of {} {} outside the dates of the roster",
            format::whole(rest.off_roster),
            format::counted(all, "call-back", "call-backs"),
            if rest.off_roster == 1 { "lies" } else { "lie" }
        )
    })
}

/// `from 1 October 2025 to 30 September 2026`.
fn dates_in_words([first, last]: [RosterDay; 2]) -> String {
    let day = |of: RosterDay| format!("{} {}", of.day, format::month_name(of.month));
    format!("from {} to {}", day(first), day(last))
}

pub(super) fn blocks(load: &Load) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("Rest after call-backs".to_owned())];
    if load.has_roster {
        blocks.push(Block::Text(by_roster_text(load)));
        blocks.push(Block::Table(by_roster(load)));
    } else {
        blocks.push(Block::Text(by_hours_text(load)));
        blocks.push(Block::Table(by_hours(load)));
    }
    blocks
}

fn by_roster_text(load: &Load) -> String {
    let rest = load.all.rest.by_roster.unwrap_or_default();
    let dates = rest.dates.map_or_else(String::new, |dates| {
        let outside = off_roster(load, rest);
        format!(
            " The roster goes {}; {}.",
            dates_in_words(dates),
            outside.unwrap_or_else(|| "no call-back lies outside these dates".to_owned())
        )
    });
    format!(
        "An on-call duty of the roster is met when a call-back of its site shares time with it. Each \
         place on the roster counts by itself: where two places are on call, one call-back meets two \
         duties. Rest is \
         the time from the end of the call-back to the next shift of the same place on the roster, the \
         shortest where a duty was met more than once; it is short below {}. A call-back that ran into \
         the shift left none. All is added up by site, and no place on the roster is shown. The roster \
         says what was planned: who changed a duty or went home early is not in it. Call-backs without \
         a duty are those within the dates of the roster at which it has nobody on call.{dates}",
        format::window_length(load.rules.min_rest_minutes)
    )
}

fn by_roster(load: &Load) -> Table {
    let mut table = Table::new(
        "Rest after call-backs by the roster, by site",
        &[
            "Site",
            "On-call duties met",
            "Short rest",
            &format!("{} interval (Wilson)", format::level(load.level)),
            "End unknown",
            "No shift afterwards",
            "Call-backs without a duty",
            "Call-backs off the roster’s dates",
        ],
    );
    for of in rows(&load.sites, &load.all) {
        let RosterRest {
            duties,
            met,
            short,
            end_unknown,
            no_shift_after,
            without_duty,
            off_roster,
            dates,
        } = of.rest.by_roster.unwrap_or_default();
        let [counts, interval] = cells(short);
        table.push(vec![
            site_name(of.site.as_deref()).into(),
            format::part(met, duties).into(),
            counts,
            interval,
            format::whole(end_unknown).into(),
            format::whole(no_shift_after).into(),
            format::whole(without_duty).into(),
            Cell {
                text: format::part(off_roster, of.call_backs.count()),
                details: dates
                    .map(|dates| format!("roster {}", dates_in_words(dates)))
                    .into_iter()
                    .collect(),
            },
        ]);
    }
    table
}

fn by_hours_text(load: &Load) -> String {
    format!(
        "There is no roster, so nobody can say whose rest was short. In its place stand call-backs that \
         ended less than {} before the next staffed hours began, or when they had begun. Who came in \
         at night may well have been off the next day: this is no count of short rest.",
        format::window_length(load.rules.min_rest_minutes)
    )
}

fn by_hours(load: &Load) -> Table {
    let mut table = Table::new(
        "Call-backs that ended shortly before the next staffed hours, by site",
        &[
            "Site",
            "Ended shortly before",
            &format!("{} interval (Wilson)", format::level(load.level)),
            "End unknown",
        ],
    );
    for of in rows(&load.sites, &load.all) {
        let [counts, interval] = cells(of.rest.by_hours.short);
        table.push(vec![
            site_name(of.site.as_deref()).into(),
            counts,
            interval,
            format::whole(of.rest.by_hours.end_unknown).into(),
        ]);
    }
    table
}
