//! What changed in what was recorded: the share of each category in the last three months beside the
//! twelve months before. A category that shifts may mean other patients, or another way of recording.
//!
//! Many categories are looked at together, so each difference has an interval at a level that holds
//! for all of them at once (Bonferroni), and only where that one excludes zero is a shift told.

use super::comparisons::Counted;
use super::headline::MONTHS_BEFORE;
use super::list_order::place;
use crate::domain::codes::{NOT_RECORDED, Presentation};
use crate::domain::counts::CountTables;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::stats::Level;
use crate::stats::proportion::newcombe_difference;
use std::collections::BTreeMap;

pub use crate::stats::difference::Difference;

/// The dimensions that are looked at, in the order of the page.
pub const DIMENSIONS: [&str; 6] = [
    "presentation",
    "object_type",
    "setting",
    "age_group",
    "sex",
    "urgency",
];

/// Months that are compared, the last of them the month in view.
pub const RECENT_MONTHS: i32 = 3;

/// Months before them, at least: of fewer nothing is told.
pub const LEAST_MONTHS_BEFORE: i32 = 3;

/// One category.
#[derive(Clone, Debug, PartialEq)]
pub struct CategoryShift {
    /// Its dimension.
    pub dimension: &'static str,
    /// Its code, or `not_recorded`.
    pub value: String,
    /// In the months before.
    pub before: Counted,
    /// In the last months.
    pub recent: Counted,
    /// Recent share minus share before, with its own interval.
    pub difference: Difference,
    /// The same with the interval that holds for all categories together.
    pub for_all: Difference,
}

impl CategoryShift {
    /// Whether it shifted beyond chance, all categories considered.
    pub fn is_beyond_chance(&self) -> bool {
        self.for_all.low > 0.0 || self.for_all.high < 0.0
    }

    /// Whether no case had it in the months before.
    pub fn is_new(&self) -> bool {
        self.before.events == 0
    }

    /// Whether no case has it any more.
    pub fn has_vanished(&self) -> bool {
        self.recent.events == 0
    }

    /// The same, where the share of before would give one case or more.
    pub fn is_missed(&self) -> bool {
        self.has_vanished() && self.before.events * self.recent.cases >= self.before.cases
    }
}

/// The comparison of all categories.
#[derive(Clone, Debug, PartialEq)]
pub struct Drift {
    /// First and last of the months before.
    pub before: (Month, Month),
    /// First and last of the recent months.
    pub recent: (Month, Month),
    /// Every category that occurs on either side, in the order of the lists.
    pub categories: Vec<CategoryShift>,
}

impl Drift {
    /// Categories that shifted beyond chance.
    pub fn shifted(&self) -> impl Iterator<Item = &CategoryShift> {
        self.categories
            .iter()
            .filter(|category| category.is_beyond_chance())
    }
}

/// The comparison by the counts of `calls` by category and month. `None` when there are too few months
/// before, or no cases on one of the sides.
pub fn drift(
    counts: &CountTables,
    calls: &Definition,
    first_month: Month,
    month: Month,
    level: Level,
) -> Option<Drift> {
    let recent = (month.plus(1 - RECENT_MONTHS), month);
    let last_before = recent.0.plus(-1);
    let before = (
        last_before.plus(1 - MONTHS_BEFORE).max(first_month),
        last_before,
    );
    if before.1.since(before.0) + 1 < LEAST_MONTHS_BEFORE {
        return None;
    }
    let mut counted = Categories::new();
    let mut cases = [[0; 2]; DIMENSIONS.len()];
    let events = counts
        .events
        .iter()
        .filter(|(key, _)| key.measure == calls.id && key.version == calls.version);
    for (key, count) in events {
        let dimension = DIMENSIONS.iter().position(|known| *known == key.by);
        let (Some(dimension), Some(month)) = (dimension, key.month) else {
            continue;
        };
        let side = match month {
            _ if (before.0..=before.1).contains(&month) => 0,
            _ if (recent.0..=recent.1).contains(&month) => 1,
            _ => continue,
        };
        let listed = place(DIMENSIONS[dimension], &key.group);
        let category = counted
            .entry((dimension, listed, key.group.as_str()))
            .or_default();
        category[side] += count.events;
        cases[dimension][side] += count.events;
    }
    leave_out_bleeds(&mut counted, &mut cases);
    counted.retain(|(dimension, _, value), events| {
        // A dimension of which nothing was ever recorded has no categories.
        let [before, recent] = *events;
        let is_all = *value == NOT_RECORDED && *events == cases[*dimension];
        before + recent > 0 && !is_all && !cases[*dimension].contains(&0)
    });
    let looked_at = u32::try_from(counted.len()).ok().filter(|many| *many > 0)?;
    let for_all = Level::new(1.0 - (1.0 - level.fraction()) / f64::from(looked_at))?;
    let categories = counted
        .into_iter()
        .filter_map(|((dimension, _, value), [before, recent])| {
            let side = |events, side: usize| Counted {
                events,
                cases: cases[dimension][side],
            };
            let (before, recent) = (side(before, 0), side(recent, 1));
            let (earlier, later) = (before.tally()?, recent.tally()?);
            Some(CategoryShift {
                dimension: DIMENSIONS[dimension],
                value: value.to_owned(),
                before,
                recent,
                difference: newcombe_difference(later, earlier, level),
                for_all: newcombe_difference(later, earlier, for_all),
            })
        })
        .collect();
    Some(Drift {
        before,
        recent,
        categories,
    })
}

/// Cases before and in the last months, by place of the dimension, place in its list, and code.
type Categories<'a> = BTreeMap<(usize, usize, &'a str), [u64; 2]>;

/// A bleed has no object, so it is none of those whose object nobody recorded.
fn leave_out_bleeds(counted: &mut Categories<'_>, cases: &mut [[u64; 2]; DIMENSIONS.len()]) {
    const PRESENTATION: usize = 0;
    const OBJECT_TYPE: usize = 1;
    let bleeds = [Presentation::UpperBleed, Presentation::LowerBleed].map(Presentation::code);
    let of_bleeds = counted
        .iter()
        .filter(|((dimension, _, value), _)| *dimension == PRESENTATION && bleeds.contains(value))
        .fold([0; 2], |sum, (_, events)| {
            [sum[0] + events[0], sum[1] + events[1]]
        });
    let without_object = (
        OBJECT_TYPE,
        place(DIMENSIONS[OBJECT_TYPE], NOT_RECORDED),
        NOT_RECORDED,
    );
    if let Some(events) = counted.get_mut(&without_object) {
        for side in 0..2 {
            let bleeds = of_bleeds[side].min(events[side]);
            events[side] -= bleeds;
            cases[OBJECT_TYPE][side] -= bleeds;
        }
    }
}

#[cfg(test)]
pub(super) mod tests;
