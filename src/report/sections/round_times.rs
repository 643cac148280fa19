//! Times that end in 0 or 5 more often than chance has it.

use super::quality::of_export;
use crate::domain::fields::Field;
use crate::findings::finding::Unit;
use crate::findings::heaping::{BY_CHANCE, LEAST_TIMES, ROUNDED_ABOVE, RoundMinutes};
use crate::findings::review::Review;
use crate::report::content::{Block, Table};
use crate::report::format;

/// The table with what it says; nothing when no time was recorded.
pub(super) fn blocks(review: &Review) -> Vec<Block> {
    let heaping = &review.quality.heaping;
    if heaping.is_empty() {
        return Vec::new();
    }
    let percent = |share| format::with_unit(Unit::Fraction, 1, share);
    let rule = format!(
        "Of unrounded minutes {} end in 0 or 5, which are two digits of ten. A time is told as rounded \
         where the whole interval of its share lies above {}, with at least {LEAST_TIMES} times; this \
         limit is a proposal of this project and no standard. That people prefer round digits is well \
         known (from memory).",
        percent(BY_CHANCE),
        percent(ROUNDED_ABOVE),
    );
    let rounded: Vec<_> = heaping
        .iter()
        .filter(|moment| moment.so_far.is_rounded())
        .map(|moment| moment.field.label())
        .collect();
    let looked_at = u64::try_from(heaping.len()).unwrap_or(u64::MAX);
    let result = if rounded.is_empty() {
        format!(
            "No time is rounded by this rule; {} looked at.",
            match looked_at {
                1 => "1 was".to_owned(),
                many => format!("{} were", format::whole(many)),
            }
        )
    } else {
        format!(
            "Rounded: {}. Numbers made from these times, medians as well, are good to about 5 minutes, \
             and a share within a short limit is blunted likewise.",
            rounded.join(", ")
        )
    };
    vec![
        Block::Heading(format!("Rounded times{}", of_export(review))),
        Block::Text(format!("{rule} {result}")),
        Block::Table(table(review)),
    ]
}

fn table(review: &Review) -> Table {
    let interval = format!("{} interval", format::level(review.level));
    let month = format::month_name(review.month);
    let so_far = format!("{} to {month}", format::month_name(review.first_month));
    let mut table = Table::new(
        format!(
            "Recorded minutes that end in 0 or 5 (Wilson intervals){}",
            of_export(review)
        ),
        &["Time", &so_far, &interval, &month, &interval, "Reading"],
    );
    for moment in &review.quality.heaping {
        let counts = |found: Option<RoundMinutes>| {
            found.map_or_else(
                || "no times".to_owned(),
                |found| format::part(found.round, found.times),
            )
        };
        let limits = |found: Option<RoundMinutes>| {
            let shown = found.filter(|found| found.times >= format::FEWEST_CASES_FOR_PERCENT);
            shown.map_or_else(
                || format::NOTHING.to_owned(),
                |found| {
                    let limit = |share| format::with_unit(Unit::Fraction, found.times, share);
                    let ends = [found.interval.low, found.interval.high].map(limit);
                    ends.join(" to ")
                },
            )
        };
        let so_far = Some(moment.so_far);
        let is_rounded_now = moment.in_month.is_some_and(|found| found.is_rounded());
        table.push(vec![
            moment.field.label().into(),
            counts(so_far).into(),
            limits(so_far).into(),
            counts(moment.in_month).into(),
            limits(moment.in_month).into(),
            match (moment.so_far.is_rounded(), is_rounded_now) {
                (true, _) => "rounded",
                (false, true) => "rounded in this month",
                (false, false) => "not rounded beyond the rule",
            }
            .into(),
        ]);
    }
    table
}
