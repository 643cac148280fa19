//! The first page: each headline measure in the month in view, beside the months before it.

use super::estimate::{Settings, minutes, passes, rate, share, tally};
use super::finding::{Finding, Statistic};
use super::review::{Change, Headline};
use crate::domain::counts::{ALL, Additive, CountTables, Key};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::domain::tally::Tally;
use crate::stats::proportion::newcombe_difference;
use std::collections::BTreeMap;

/// Measures of the first page, in its order.
const HEADLINES: [&str; 8] = [
    "call_to_scope",
    "scoped_within_window",
    "retrieval_success",
    "first_device_success",
    "overtube_used_sharp",
    "airway_secured",
    "adverse_event",
    "calls",
];

/// Fewest cases in the month for a comparison; with fewer, an interval is shown and nothing more.
const CASES_TO_COMPARE: u64 = 10;

/// How many months before the month in view it is compared with, at most: a year, so that each
/// season counts once.
pub const MONTHS_BEFORE: i32 = 12;

/// The headlines of `month`. Measures that were not counted are left out.
pub fn headlines(
    counts: &CountTables,
    definitions: &[Definition],
    first_month: Month,
    month: Month,
    settings: Settings,
) -> Vec<Headline> {
    let earliest = month.plus(-MONTHS_BEFORE).max(first_month);
    HEADLINES
        .iter()
        .filter_map(|id| definitions.iter().find(|definition| definition.id == *id))
        .map(|definition| headline(counts, definition, earliest, month, settings))
        .collect()
}

fn headline(
    counts: &CountTables,
    definition: &Definition,
    earliest: Month,
    month: Month,
    settings: Settings,
) -> Headline {
    let series = Series {
        definition,
        earliest,
        month,
    };
    let (now, before, change) = match definition.kind {
        MeasureKind::Share => {
            let (now, before) = series.split(&counts.shares);
            let change = change(
                now.as_ref().map(|(_, count)| *count).and_then(tally),
                before.as_ref().map(|(_, count)| *count).and_then(tally),
                settings,
            );
            let finding = |(key, count): (Key, _)| share(&key, count, settings);
            (now.map(finding), before.map(finding), change)
        }
        MeasureKind::Minutes => {
            let (now, before) = series.split(&counts.minutes);
            let finding = |(key, count): (Key, _)| median(minutes(&key, &count, settings));
            (
                now.and_then(finding),
                before.and_then(finding),
                Change::NotCompared,
            )
        }
        MeasureKind::ClusteredShare => {
            let (now, before) = series.split(&counts.passes);
            let finding = |(key, count): (Key, _)| passes(&key, &count, settings);
            (now.map(finding), before.map(finding), Change::NotCompared)
        }
        MeasureKind::Count => {
            let (now, before) = series.split(&counts.events);
            let finding = |(key, count): (Key, _)| rate(&key, count, settings);
            (now.map(finding), before.map(finding), Change::NotCompared)
        }
    };
    Headline {
        measure: definition.id.clone(),
        month: now,
        before,
        change,
    }
}

fn median(findings: Vec<Finding>) -> Option<Finding> {
    findings
        .into_iter()
        .find(|finding| finding.statistic == Statistic::Median)
}

fn change(now: Option<Tally>, before: Option<Tally>, settings: Settings) -> Change {
    match (now, before) {
        (_, None) => Change::NotCompared,
        (None, Some(_)) => Change::TooFewCases {
            needed: CASES_TO_COMPARE,
        },
        (Some(now), Some(before)) if now.cases().min(before.cases()) < CASES_TO_COMPARE => {
            Change::TooFewCases {
                needed: CASES_TO_COMPARE,
            }
        }
        (Some(now), Some(before)) => {
            let difference = newcombe_difference(now, before, settings.level);
            Change::Difference {
                estimate: difference.estimate,
                low: difference.low,
                high: difference.high,
            }
        }
    }
}

/// A count with its key; `None` where nothing was counted.
type Counted<C> = Option<(Key, C)>;

/// The monthly counts of one measure over all cases.
struct Series<'a> {
    definition: &'a Definition,
    earliest: Month,
    month: Month,
}

impl Series<'_> {
    /// The counts of the month in view, and those of the months before added up.
    fn split<C: Additive + Clone>(&self, table: &BTreeMap<Key, C>) -> (Counted<C>, Counted<C>) {
        let at = |month| {
            let key = self.key(month);
            table.get(&key).map(|count| (key, count.clone()))
        };
        let before: Vec<C> = self
            .earliest
            .through(self.month.plus(-1))
            .filter_map(|month| at(month).map(|(_, count)| count))
            .collect();
        let before = (!before.is_empty()).then(|| (self.key(self.earliest), C::sum(&before)));
        (at(self.month), before)
    }

    fn key(&self, month: Month) -> Key {
        Key {
            measure: self.definition.id.clone(),
            version: self.definition.version,
            by: ALL.into(),
            group: ALL.into(),
            month: Some(month),
        }
    }
}
