//! Which cases stand in which group: the first table of a paper, from count tables alone.
//!
//! A share of a category is one of the cases in which the variable was recorded, so groups that
//! record unlike can be laid side by side; what was not recorded stands in a row of its own, as a
//! share of all cases that are asked. Between groups stands the largest standardized difference of
//! any two, which does not grow with the number of cases as a test would. No test is made: groups of
//! a service are no samples of one population.

mod times;

use super::finding::Findings;
use super::list_order::place;
use super::review::Review;
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::{CountTables, Key, SITE};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::tally::Tally;
use crate::stats::balance::category_distance;
use std::collections::BTreeMap;
use times::Counted;

/// The measure whose counts are the cases.
const CALLS: &str = "calls";

/// What tells cases apart, in the order of the table. The one that makes the groups is left out.
const VARIABLES: [&str; 8] = [
    "presentation",
    "age_group",
    "sex",
    "setting",
    "object_type",
    "urgency",
    "shift",
    SITE,
];

/// Presentations in which nobody asks for an object.
const WITHOUT_OBJECT: [&str; 2] = ["upper_bleed", "lower_bleed"];

/// What makes the groups.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Groups {
    /// One group for each site.
    #[default]
    Site,
    /// In hours and after hours.
    Shift,
    /// One group for each presentation.
    Presentation,
}

impl Groups {
    /// The dimension, as it stands in count tables.
    pub const fn code(self) -> &'static str {
        match self {
            Groups::Site => SITE,
            Groups::Shift => "shift",
            Groups::Presentation => "presentation",
        }
    }
}

/// The cases of each group and what they are.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseMix {
    /// What makes the groups.
    pub by: Groups,
    /// The groups in the order of their list, each with its cases; `not_recorded` last.
    pub groups: Vec<(String, u64)>,
    /// One for each thing that tells cases apart, as far as it was counted by group.
    pub variables: Vec<Variable>,
    /// One for each measure of time that was counted by group.
    pub times: Vec<Time>,
    /// Names of variables and measures of time that stand in no row, since the counts do not hold every
    /// case by group and by these: counts may be older than their groupings.
    pub not_counted: Vec<String>,
    /// Names of variables and measures of time that stand in no row, since they would give a small count
    /// away and the tables are made to be passed on.
    pub withheld: Vec<String>,
}

/// Categories of one thing that tells cases apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Variable {
    /// The dimension.
    pub name: &'static str,
    /// The categories that any case has, in the order of their list; none where it was never
    /// recorded.
    pub categories: Vec<Category>,
    /// Cases of each group that were asked and have no category.
    pub missing: Vec<u64>,
    /// The largest standardized difference of two groups over the recorded categories.
    pub largest: Option<Largest>,
}

/// One category.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Category {
    /// Its code, or its name where there is no list.
    pub code: String,
    /// Cases of each group.
    pub cases: Vec<u64>,
}

/// Minutes of each group.
#[derive(Clone, Debug, PartialEq)]
pub struct Time {
    /// Identifier of the measure.
    pub measure: String,
    /// All groups together.
    pub all: Quartiles,
    /// Each group.
    pub groups: Vec<Quartiles>,
    /// The largest standardized difference of two means; `None` also where a time of any group was
    /// only followed in part, since such a time has no mean.
    pub largest: Option<Largest>,
}

/// Quartiles of minutes, as the findings have them.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Quartiles {
    /// Cases judged.
    pub cases: u64,
    /// Cases of the population that could not be judged.
    pub excluded: u64,
    /// Median, lower and upper quartile; `None` where there is none.
    pub median: Option<f64>,
    /// Lower quartile.
    pub p25: Option<f64>,
    /// Upper quartile.
    pub p75: Option<f64>,
}

/// The two groups that differ most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Largest {
    /// Size of the difference in standard deviations, 0 or more.
    pub size: f64,
    /// Places of the two groups in the list of groups.
    pub between: [usize; 2],
}

impl CaseMix {
    /// The case mix by `by`; without groups where calls were not counted by it.
    pub fn new(
        counts: &CountTables,
        findings: &Findings,
        definitions: &[Definition],
        by: Groups,
    ) -> CaseMix {
        let calls = Calls::of(counts);
        let mut groups: Vec<(String, u64)> = calls
            .at(by.code())
            .filter(|(_, cases)| *cases > 0)
            .map(|(group, cases)| (group.to_owned(), cases))
            .collect();
        groups.sort_by_key(|(group, _)| (place(by.code(), group), group.clone()));
        let mut mix = CaseMix {
            by,
            groups,
            variables: Vec::new(),
            times: Vec::new(),
            not_counted: Vec::new(),
            withheld: Vec::new(),
        };
        for name in VARIABLES.into_iter().filter(|name| *name != by.code()) {
            if calls.are_all_counted_by_both(by.code(), name, &mix.groups) {
                let variable = calls.variable(name, by, &mix.groups);
                mix.variables.extend(variable);
            } else if calls.any() {
                mix.not_counted.push(name.to_owned());
            }
        }
        for definition in definitions {
            if definition.kind != MeasureKind::Minutes {
                continue;
            }
            match times::time(counts, findings, definition, by, &mix.groups) {
                Counted::ByGroup(time) => mix.times.push(time),
                Counted::NotByGroup => mix.not_counted.push(definition.id.clone()),
                Counted::Nothing => {}
            }
        }
        mix
    }

    /// The case mix of a review.
    pub fn of(review: &Review, by: Groups) -> CaseMix {
        CaseMix::new(&review.counts, &review.findings, &review.definitions, by)
    }

    /// All cases.
    pub fn cases(&self) -> u64 {
        self.groups.iter().map(|(_, cases)| cases).sum()
    }
}

impl Variable {
    /// Cases of each group in which it was recorded.
    pub fn recorded(&self) -> Vec<u64> {
        let groups = 0..self.missing.len();
        groups
            .map(|group| self.categories.iter().map(|row| row.cases[group]).sum())
            .collect()
    }
}

/// A part of a whole as a fraction; `None` of nothing.
pub fn share(part: u64, whole: u64) -> Option<f64> {
    Some(Tally::new(part, whole).ok()??.share())
}

/// Calls of the whole period, by dimensions and group.
struct Calls<'a> {
    by: BTreeMap<&'a str, Vec<(&'a str, u64)>>,
}

impl<'a> Calls<'a> {
    fn of(counts: &'a CountTables) -> Calls<'a> {
        let mut by = BTreeMap::<_, Vec<_>>::new();
        let whole = |key: &Key| key.measure == CALLS && key.month.is_none();
        for (key, count) in counts.events.iter().filter(|(key, _)| whole(key)) {
            let groups = by.entry(key.by.as_str()).or_default();
            groups.push((key.group.as_str(), count.events));
        }
        Calls { by }
    }

    /// Whether there is any call.
    fn any(&self) -> bool {
        let mut groups = self.by.values().flatten();
        groups.any(|(_, cases)| *cases > 0)
    }

    /// Whether every call of every group stands in the counts by both dimensions. Where runs are added
    /// up of which one is older than a grouping, only those of the others do.
    fn are_all_counted_by_both(&self, by: &str, name: &str, groups: &[(String, u64)]) -> bool {
        let mut counted = BTreeMap::<&str, u64>::new();
        for (group, _, cases) in self.by_both(by, name) {
            *counted.entry(group).or_default() += cases;
        }
        let of_group = |group: &str| counted.get(group).copied().unwrap_or_default();
        let mut groups = groups.iter();
        groups.len() > 0 && groups.all(|(group, cases)| of_group(group) == *cases)
    }

    fn at(&self, by: &str) -> impl Iterator<Item = (&'a str, u64)> {
        self.by.get(by).into_iter().flatten().copied()
    }

    /// Calls by two dimensions, in whichever order they were counted: first value, second value,
    /// cases. Empty when they were not.
    fn by_both(&self, first: &str, second: &str) -> Vec<(&'a str, &'a str, u64)> {
        let (straight, turned) = (format!("{first}+{second}"), format!("{second}+{first}"));
        let straight = self.at(&straight).filter_map(|(group, cases)| {
            let (a, b) = two_values(first, group)?;
            Some((a, b, cases))
        });
        let turned = self.at(&turned).filter_map(|(group, cases)| {
            let (b, a) = two_values(second, group)?;
            Some((a, b, cases))
        });
        straight.chain(turned).collect()
    }

    /// `None` when nobody was asked for it.
    fn variable(
        &self,
        name: &'static str,
        by: Groups,
        groups: &[(String, u64)],
    ) -> Option<Variable> {
        let at = |group: &str| groups.iter().position(|(known, _)| known == group);
        let mut categories = BTreeMap::<(usize, &str), Vec<u64>>::new();
        let mut missing = vec![0_u64; groups.len()];
        for (group, value, cases) in self.by_both(by.code(), name) {
            let Some(group) = at(group) else { continue };
            if is_missing(name, value) {
                missing[group] += cases;
            } else if cases > 0 {
                let row = categories.entry((place(name, value), value)).or_default();
                row.resize(groups.len(), 0);
                row[group] += cases;
            }
        }
        if name == "object_type" {
            let of_group = |group: &str| self.without_object(by, group);
            for (missing, (group, _)) in missing.iter_mut().zip(groups) {
                *missing = missing.saturating_sub(of_group(group));
            }
        }
        let categories: Vec<Category> = categories
            .into_iter()
            .map(|((_, code), cases)| Category {
                code: code.to_owned(),
                cases,
            })
            .collect();
        let largest = largest(groups, |a, b| {
            let pairs: Vec<_> = categories
                .iter()
                .map(|row| (row.cases[a], row.cases[b]))
                .collect();
            category_distance(&pairs)
        });
        let is_asked = !categories.is_empty() || missing.iter().any(|cases| *cases > 0);
        is_asked.then_some(Variable {
            name,
            categories,
            missing,
            largest,
        })
    }

    /// Cases of a group in which nobody asks for an object.
    fn without_object(&self, by: Groups, group: &str) -> u64 {
        let is_without = |value: &str| WITHOUT_OBJECT.contains(&value);
        if by == Groups::Presentation {
            let of_group = self.at(by.code()).filter(|(value, _)| *value == group);
            return of_group
                .filter(|(value, _)| is_without(value))
                .map(|(_, cases)| cases)
                .sum();
        }
        let both = self.by_both(by.code(), "presentation").into_iter();
        both.filter(|(of, value, _)| *of == group && is_without(value))
            .map(|(.., cases)| cases)
            .sum()
    }
}

/// The values of two dimensions. A site may have any name, also one with the sign between the two.
fn two_values<'a>(first: &str, group: &'a str) -> Option<(&'a str, &'a str)> {
    if first == SITE {
        group.rsplit_once('|')
    } else {
        group.split_once('|')
    }
}

/// Whether a value says that nothing was recorded. A tier that could not be assigned wants for a
/// value that it rests on.
fn is_missing(name: &str, value: &str) -> bool {
    value == NOT_RECORDED || (name == "urgency" && value == "not_assignable")
}

/// The two groups of which `distance` is largest; the first such pair of equals. Cases without a
/// group are no group.
fn largest(
    groups: &[(String, u64)],
    distance: impl Fn(usize, usize) -> Option<f64>,
) -> Option<Largest> {
    let named: Vec<usize> = (0..groups.len())
        .filter(|place| groups[*place].0 != NOT_RECORDED)
        .collect();
    let mut largest: Option<Largest> = None;
    for (place, &a) in named.iter().enumerate() {
        for &b in &named[place + 1..] {
            let Some(size) = distance(a, b).map(f64::abs) else {
                continue;
            };
            if largest.is_none_or(|known| size > known.size) {
                largest = Some(Largest {
                    size,
                    between: [a, b],
                });
            }
        }
    }
    largest
}

#[cfg(test)]
mod tests;
