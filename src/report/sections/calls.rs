//! How many calls came, when and where.

use super::{by_group, by_month, by_shift, by_site, calls_by_hour, section_of};
use crate::domain::counts::Key;
use crate::findings::finding::{Address, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Section, Table};
use crate::report::{format, series};

pub(super) use crate::findings::calls_by_hour::CALLS;

/// The section; `None` when calls were not counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    section_of(
        "calls",
        "Calls",
        vec![Block::Text(
            "Months differ in length and sites in the time they are observed, so calls are given \
             per 30 days of one site. The days observed stand in the tables."
                .to_owned(),
        )],
        [
            by_month(review, CALLS),
            shares_by_shift(review),
            calls_by_hour::block(review),
            by_group(review, CALLS, "shift"),
            by_site(review, CALLS),
            by_group(review, CALLS, "presentation"),
        ],
    )
}

/// The part of the calls beside the part of the hours, shift by shift; `None` when calls were not
/// counted by shift or their numbers are withheld.
fn shares_by_shift(review: &Review) -> Option<Block> {
    let definition = review.definition(CALLS)?;
    let mut shifts = Vec::new();
    for (by, group) in by_shift::groups().into_iter().skip(1) {
        let address = Address {
            measure: CALLS,
            by,
            group,
            month: None,
            statistic: Statistic::Rate,
        };
        let key = Key {
            by: by.to_owned(),
            group: group.to_owned(),
            ..Key::of_all(definition, None)
        };
        if let (Some(finding), Some(count)) =
            (review.findings.at(address), review.counts.events.get(&key))
        {
            shifts.push(((by, group), finding, count.exposure_minutes));
        }
    }
    if shifts.is_empty() || shifts.iter().any(|(_, finding, _)| finding.suppressed) {
        return None;
    }
    let calls = shifts.iter().map(|(_, finding, _)| finding.events).sum();
    let minutes: u64 = shifts.iter().map(|(_, _, minutes)| minutes).sum();
    let interval = format!("{} interval", format::level(review.level));
    let mut table = Table::new(
        format!(
            "Calls and hours by shift, {}. The rate of a shift is per 30 days of 24 hours, all of \
             them in that shift, so that the rates of shifts of any length compare",
            series::whole_period(review)
        ),
        &["Shift", "Calls", "Hours observed", "Rate", &interval],
    );
    for (shift, finding, observed) in shifts {
        table.push(vec![
            by_shift::group_name(shift).into(),
            format::part(finding.events, calls).into(),
            format::part(observed / 60, minutes / 60).into(),
            format::estimate(finding).into(),
            format::interval(finding).into(),
        ]);
    }
    Some(Block::Table(table))
}
