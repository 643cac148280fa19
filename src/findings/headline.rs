//! The first page: each headline measure in the month in view, beside the months before it.

use super::estimate::{Settings, minutes, passes, rate, share};
use super::finding::{Finding, Findings, Statistic};
use super::review::{Change, Headline};
use crate::domain::counts::{Additive, CountTables, Key};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::stats::Interval;
use crate::stats::difference::{Estimate, square_and_add};
use std::collections::BTreeMap;

/// Measures of the first page, in its order.
pub(super) const HEADLINES: [&str; 8] = [
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
pub const CASES_TO_COMPARE: u64 = 10;

/// How many months before the month in view it is compared with, at most: a year, so that each
/// season counts once.
pub const MONTHS_BEFORE: i32 = 12;

/// The first of the months that `month` is compared with.
pub(super) fn earliest_before(first_month: Month, month: Month) -> Month {
    month.plus(-MONTHS_BEFORE).max(first_month)
}

/// The headlines of `month`. Measures that were not counted are left out.
pub fn headlines(
    counts: &CountTables,
    definitions: &[Definition],
    first_month: Month,
    month: Month,
    settings: Settings,
) -> Vec<Headline> {
    let earliest = earliest_before(first_month, month);
    HEADLINES
        .iter()
        .filter_map(|id| definitions.iter().find(|definition| definition.id == *id))
        .map(|definition| headline(counts, definition, earliest, month, settings))
        .collect()
}

/// Every measure over all cases of the months before `month`, pooled, with month `None`: as far back
/// as headlines look.
pub fn months_before(
    counts: &CountTables,
    definitions: &[Definition],
    first_month: Month,
    month: Month,
    settings: Settings,
) -> Findings {
    let earliest = earliest_before(first_month, month);
    let found = definitions.iter().flat_map(|definition| {
        let series = Series {
            definition,
            earliest,
            month,
        };
        let key = Key::of_all(definition, None);
        match definition.kind {
            MeasureKind::Share => series
                .before(&counts.shares)
                .map_or_else(Vec::new, |count| vec![share(&key, count, settings)]),
            MeasureKind::Minutes => series
                .before(&counts.minutes)
                .map_or_else(Vec::new, |count| minutes(&key, &count, settings)),
            MeasureKind::ClusteredShare => series
                .before(&counts.passes)
                .map_or_else(Vec::new, |count| vec![passes(&key, &count, settings)]),
            MeasureKind::Count => series
                .before(&counts.events)
                .map_or_else(Vec::new, |count| vec![rate(&key, count, settings)]),
        }
    });
    Findings::new(found.collect())
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
    let (now, before) = match definition.kind {
        MeasureKind::Share => series.split(&counts.shares, |key, count| {
            Some(share(key, *count, settings))
        }),
        MeasureKind::Minutes => series.split(&counts.minutes, |key, count| {
            median(minutes(key, count, settings))
        }),
        MeasureKind::ClusteredShare => series.split(&counts.passes, |key, count| {
            Some(passes(key, count, settings))
        }),
        MeasureKind::Count => series.split(&counts.events, |key, count| {
            Some(rate(key, *count, settings))
        }),
    };
    let change = change(now.as_ref(), before.as_ref());
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

/// What the two findings, of the same measure, can say about a change.
fn change(now: Option<&Finding>, before: Option<&Finding>) -> Change {
    let Some(before) = before.filter(|before| before.estimate.is_some()) else {
        return Change::NotCompared;
    };
    let too_few = Change::TooFewCases {
        needed: CASES_TO_COMPARE,
    };
    let Some(now) = now else { return too_few };
    // A month without a call is news too; a share of few cases is not.
    let is_rate = now.kind == MeasureKind::Count;
    if !is_rate && now.cases.min(before.cases) < CASES_TO_COMPARE {
        return too_few;
    }
    match (estimate(now), estimate(before)) {
        (Some(now), Some(before)) => {
            let difference = square_and_add(now, before);
            Change::Difference {
                estimate: difference.estimate,
                low: difference.low,
                high: difference.high,
            }
        }
        _ => Change::NotCompared,
    }
}

/// `None` where an estimate or a limit is missing.
fn estimate(finding: &Finding) -> Option<Estimate> {
    Some(Estimate {
        value: finding.estimate?,
        interval: Interval {
            low: finding.low?,
            high: finding.high?,
        },
    })
}

/// The monthly counts of one measure over all cases.
struct Series<'a> {
    definition: &'a Definition,
    earliest: Month,
    month: Month,
}

impl Series<'_> {
    /// The finding of the month in view, and that of the months before with their counts added up.
    fn split<C: Additive>(
        &self,
        table: &BTreeMap<Key, C>,
        finding: impl Fn(&Key, &C) -> Option<Finding>,
    ) -> (Option<Finding>, Option<Finding>) {
        let now = self.key(self.month);
        (
            table.get(&now).and_then(|count| finding(&now, count)),
            self.before(table)
                .and_then(|count| finding(&self.key(self.earliest), &count)),
        )
    }

    /// The counts of the months before added up; `None` when none of them has any.
    fn before<C: Additive>(&self, table: &BTreeMap<Key, C>) -> Option<C> {
        let before: Vec<&C> = self
            .earliest
            .through(self.month.plus(-1))
            .filter_map(|month| table.get(&self.key(month)))
            .collect();
        (!before.is_empty()).then(|| C::sum(before))
    }

    fn key(&self, month: Month) -> Key {
        Key::of_all(self.definition, Some(month))
    }
}
