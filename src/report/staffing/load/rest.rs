//! Rest after call-backs, by the roster or, without one, by the staffed hours. By site, never by place.

use crate::findings::staffing::load::{Load, RosterRest};
use crate::report::content::{Block, Table};
use crate::report::format;
use crate::report::staffing::share_words::{cells, in_sentence, rows, site_name};

/// One sentence; none where nothing can be judged.
pub(super) fn in_words(load: &Load) -> Option<String> {
    let least = format::window_length(load.rules.min_rest_minutes);
    match load.all.rest.by_roster {
        Some(rest) if rest.short.counted.cases > 0 => Some(format!(
            "After {} that a call-back met, rest was shorter than {least} before the next shift.",
            in_sentence(rest.short, "on-call duty", "on-call duties", load.level)
        )),
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
    format!(
        "An on-call duty of the roster is met when a call-back of its site shares time with it. Rest is \
         the time from the end of the call-back to the next shift of the same place on the roster, the \
         shortest where a duty was met more than once; it is short below {}. A call-back that ran into \
         the shift left none. All is added up by site, and no place on the roster is shown. The roster \
         says what was planned: who changed a duty or went home early is not in it. Call-backs without \
         a duty are those within the dates of the roster at which it has nobody on call.",
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
            format::whole(off_roster).into(),
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
