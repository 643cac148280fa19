//! How many cases each review rule lists, out of how many, from count tables alone: the page shows
//! these numbers and no case.

use super::headline::earliest_before;
use crate::domain::counts::{Additive, CountTables, Key, ShareCount};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::domain::review_rules::{CaseToReview, Listed, ReviewRule, WHY_NOT_JUDGED};

/// What one rule comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleTally {
    /// The rule.
    pub rule: ReviewRule,
    /// The cases of the month in view.
    pub month: ListedCount,
    /// The cases of the months before, twelve at most, together.
    pub before: ListedCount,
}

/// Cases that a rule lists among those that it asks about.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ListedCount {
    /// Cases listed.
    pub listed: u64,
    /// Cases that could have been listed: the judged cases of the measure, or its whole population
    /// when the rule lists cases that are not judged.
    pub out_of: u64,
    /// Cases of the population about which the rule can say nothing, mostly for want of a value.
    pub not_judged: u64,
}

/// The counts of a rule and the list of its cases differ, which no records can bring about.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("rule `{rule}` counts {counted} cases and lists {listed}: a fault of this program")]
pub struct ListError {
    /// Our name of the rule.
    pub rule: &'static str,
    /// Cases by the count tables.
    pub counted: u64,
    /// Cases on the list.
    pub listed: u64,
}

/// The tallies of the rules whose measures were counted, in the order of the rules.
pub fn rule_tallies(
    counts: &CountTables,
    definitions: &[Definition],
    rules: &[ReviewRule],
    first_month: Month,
    month: Month,
) -> Vec<RuleTally> {
    let earliest = earliest_before(first_month, month);
    let tally = |rule: &ReviewRule| {
        let definition = definitions.iter().find(|definition| {
            definition.id == rule.measure && definition.kind == MeasureKind::Share
        })?;
        let mut before = ListedCount::default();
        for earlier in earliest.through(month).filter(|earlier| *earlier < month) {
            before.add(&listed(counts, definition, *rule, earlier));
        }
        Some(RuleTally {
            rule: *rule,
            month: listed(counts, definition, *rule, month),
            before,
        })
    };
    rules.iter().filter_map(tally).collect()
}

/// Whether the list of the month in view holds as many cases of every rule as are counted.
///
/// # Errors
/// When it does not.
pub fn check_list(tallies: &[RuleTally], list: &[CaseToReview]) -> Result<(), ListError> {
    for tally in tallies {
        let of_rule = list.iter().filter(|case| case.rule.id == tally.rule.id);
        let listed = of_rule.count() as u64;
        if listed != tally.month.listed {
            return Err(ListError {
                rule: tally.rule.id,
                counted: tally.month.listed,
                listed,
            });
        }
    }
    Ok(())
}

fn listed(
    counts: &CountTables,
    definition: &Definition,
    rule: ReviewRule,
    month: Month,
) -> ListedCount {
    let key = Key::of_all(definition, Some(month));
    let at = |key: &Key| counts.shares.get(key).copied().unwrap_or_default();
    let ShareCount {
        eligible,
        hit,
        excluded,
    } = at(&key);
    let judged = |listed| ListedCount {
        listed,
        out_of: eligible,
        not_judged: excluded,
    };
    match rule.listed {
        Listed::Hit => judged(hit),
        Listed::Missed => judged(eligible.saturating_sub(hit)),
        Listed::NotJudged(reason) => {
            let of_reason = Key {
                by: WHY_NOT_JUDGED.to_owned(),
                group: reason.to_owned(),
                ..key
            };
            ListedCount {
                listed: at(&of_reason).excluded,
                out_of: eligible + excluded,
                not_judged: 0,
            }
        }
    }
}

impl Additive for ListedCount {
    fn add(&mut self, other: &ListedCount) {
        self.listed += other.listed;
        self.out_of += other.out_of;
        self.not_judged += other.not_judged;
    }
}

#[cfg(test)]
mod tests;
