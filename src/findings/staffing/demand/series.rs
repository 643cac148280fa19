//! Calls and observed time month by month, and the months in which a site was in service.

use super::{ALL, Additive, CountTables, Definition, EventsCount, Month, SITE};
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::Key;
use std::collections::BTreeMap;

/// Below this chance, a stretch without a call at the start or the end of the period counts as time
/// in which the site was not in service.
pub(super) const CHANCE_OF_QUIET: f64 = 0.001;

/// The counts of calls.
pub(super) struct Calls<'a> {
    pub(super) counts: &'a CountTables,
    pub(super) definition: &'a Definition,
    pub(super) first: Month,
    pub(super) last: Month,
}

/// The months in which a site was in service.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Served {
    pub(super) months: Vec<(Month, EventsCount)>,
    /// Observed months before them.
    pub(super) before: usize,
    /// Observed months after them.
    pub(super) after: usize,
    /// The months that are left out.
    pub(super) left_out: Vec<(Month, EventsCount)>,
}

impl Served {
    /// Calls and time of all months together.
    pub(super) fn total(&self) -> EventsCount {
        EventsCount::sum(self.months.iter().map(|(_, count)| count))
    }

    /// Calls and time of one month; `None` when the site was not in service.
    pub(super) fn in_month(&self, month: Month) -> Option<&EventsCount> {
        let found = self.months.iter().find(|(other, _)| *other == month);
        found.map(|(_, count)| count)
    }
}

impl Calls<'_> {
    /// The counts of one group, in one month or in all.
    pub(super) fn at(&self, by: &str, group: &str, month: Option<Month>) -> EventsCount {
        let key = Key {
            by: by.to_owned(),
            group: group.to_owned(),
            ..Key::of_all(self.definition, month)
        };
        self.counts.events.get(&key).copied().unwrap_or_default()
    }

    /// The observed months of one group. Time without calls is observed all the same.
    pub(super) fn months(&self, by: &str, group: &str) -> Vec<(Month, EventsCount)> {
        let months = self.first.through(self.last);
        months
            .map(|month| (month, self.at(by, group, Some(month))))
            .filter(|(_, count)| count.exposure_minutes > 0)
            .collect()
    }

    /// Every site with observed time, by name.
    pub(super) fn sites(&self) -> BTreeMap<String, Served> {
        let start = Key {
            by: SITE.to_owned(),
            group: String::new(),
            ..Key::of_all(self.definition, None)
        };
        let keys = self.counts.events.range(start..);
        let names = keys
            .map(|(key, _)| key)
            .take_while(|key| key.measure == self.definition.id && key.by == SITE)
            .filter(|key| key.version == self.definition.version && key.group != NOT_RECORDED);
        let mut sites = BTreeMap::new();
        for key in names {
            if sites.contains_key(&key.group) {
                continue;
            }
            let months = self.months(SITE, &key.group);
            if !months.is_empty() {
                sites.insert(key.group.clone(), served(&months));
            }
        }
        sites
    }

    /// All sites together, without the time in which one was not in service.
    pub(super) fn all(&self, sites: &BTreeMap<String, Served>) -> Served {
        let mut months = self.months(ALL, ALL);
        if sites.len() < 2 {
            return served(&months);
        }
        let left_out = sites.values().flat_map(|site| &site.left_out);
        for (month, count) in left_out {
            if let Some((_, all)) = months.iter_mut().find(|(other, _)| other == month) {
                all.exposure_minutes = all.exposure_minutes.saturating_sub(count.exposure_minutes);
            }
        }
        months.retain(|(_, count)| count.exposure_minutes > 0);
        Served {
            months,
            before: 0,
            after: 0,
            left_out: Vec::new(),
        }
    }
}

/// The months of service among observed ones. A quiet stretch at either end is left out when it has
/// more months than any between two calls, and so long a one had a chance of less than 1 in 1,000
/// with all calls equally likely at any time: then every one of the `C` calls fell into the remaining
/// part `R` of the time `T`, which has the chance `(R / T)^C`.
fn served(observed: &[(Month, EventsCount)]) -> Served {
    let has_call = |(_, count): &(Month, EventsCount)| count.events > 0;
    let calls: u64 = observed.iter().map(|(_, count)| count.events).sum();
    let minutes = |months: &[(Month, EventsCount)]| -> f64 {
        let minutes = months.iter().map(|(_, count)| count.exposure_minutes);
        minutes.sum::<u64>() as f64
    };
    let with_calls: Vec<usize> = (0..observed.len())
        .filter(|place| has_call(&observed[*place]))
        .collect();
    let between = with_calls.windows(2).map(|pair| pair[1] - pair[0] - 1);
    let longest_between = between.max().unwrap_or(0);
    let is_too_quiet = |part: &[(Month, EventsCount)], whole: &[(Month, EventsCount)]| {
        let chance = calls as f64 * (minutes(part) / minutes(whole)).ln();
        whole.len() - part.len() > longest_between && chance < CHANCE_OF_QUIET.ln()
    };
    let mut months = observed;
    let first = months.iter().position(has_call).unwrap_or(0);
    if is_too_quiet(&months[first..], months) {
        months = &months[first..];
    }
    let end = months
        .iter()
        .rposition(has_call)
        .map_or(months.len(), |last| last + 1);
    let before = observed.len() - months.len();
    if is_too_quiet(&months[..end], months) {
        months = &months[..end];
    }
    let after = before + months.len();
    let mut left_out = observed[..before].to_vec();
    left_out.extend_from_slice(&observed[after..]);
    Served {
        before,
        after: observed.len() - after,
        months: months.to_vec(),
        left_out,
    }
}
