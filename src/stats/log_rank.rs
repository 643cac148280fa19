//! Do groups take equally long to an end that some cases were not followed up to? Knows grouped
//! counts, of the kind that `survival` takes, and shares its assumption: leaving early says nothing
//! about how much longer a case would have taken.

use super::p_value::chi_square_above;
use super::quadratic_form::quadratic_form;
use std::collections::BTreeMap;

#[cfg(test)]
mod tests;

/// The outcome of a log-rank test.
#[derive(Clone, Debug, PartialEq)]
pub struct LogRank {
    /// Observed and expected ends of each group, in the order of the groups.
    pub ends: Vec<Ends>,
    /// Chi-square value.
    pub chi_square: f64,
    /// Groups that can be told apart, less one; a group with nobody left at any end adds nothing.
    pub degrees_of_freedom: usize,
    /// Probability of such a value or a larger one if all groups take equally long.
    pub p: f64,
}

/// How many cases of a group reached the end.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ends {
    /// So many did.
    pub observed: f64,
    /// So many would have if at every minute all cases still followed were equally likely to.
    pub expected: f64,
}

/// The log-rank test of two or more groups, each of cases grouped by (minutes, whether the end was
/// reached), with the hypergeometric variance.
///
/// A case that leaves at the same minute at which others reach the end counts as followed until
/// just after them. It says whether, not how much: show the curves beside it. With fewer than 10
/// ends in total it is better left out.
///
/// `None` when there is nothing to compare: at no minute with an end did cases of two groups
/// remain, one of which did not reach it then.
///
/// Sources: Mantel (1966), Cancer Chemotherapy Reports 50:163-170; Peto & Peto (1972), Journal of
/// the Royal Statistical Society A 135:185-207; from memory, printed examples reproduced.
pub fn log_rank(groups: &[BTreeMap<(i64, bool), u64>]) -> Option<LogRank> {
    let mut ends = vec![Ends::default(); groups.len()];
    let mut covariance = vec![vec![0.0; groups.len()]; groups.len()];
    for minute in minutes_with_ends(groups) {
        let at_risk: f64 = minute.iter().map(|here| here.at_risk).sum();
        let events: f64 = minute.iter().map(|here| here.events).sum();
        // One case alone reaches the end for certain.
        let spread = if at_risk > 1.0 {
            events * ((at_risk - events).max(0.0) / (at_risk - 1.0))
        } else {
            0.0
        };
        for (i, here) in minute.iter().enumerate() {
            ends[i].observed += here.events;
            ends[i].expected += events * (here.at_risk / at_risk);
            for (j, other) in minute.iter().enumerate().filter(|(j, _)| *j != i) {
                // The diagonal is the sum of the others, so that it cannot differ by rounding.
                let shared = spread * (here.at_risk / at_risk) * (other.at_risk / at_risk);
                covariance[i][j] -= shared;
                covariance[i][i] += shared;
            }
        }
    }
    let differences = ends.iter().map(|ends| ends.observed - ends.expected);
    let form = quadratic_form(covariance, differences.collect())?;
    Some(LogRank {
        ends,
        chi_square: form.value,
        degrees_of_freedom: form.rank,
        p: chi_square_above(form.value, form.rank)?,
    })
}

/// One group at one minute.
#[derive(Clone, Copy, Debug, Default)]
struct Here {
    /// Cases followed at least until here.
    at_risk: f64,
    events: f64,
}

/// Every minute at which a case of any group reached the end, from the last to the first, with
/// all groups.
fn minutes_with_ends(groups: &[BTreeMap<(i64, bool), u64>]) -> Vec<Vec<Here>> {
    let mut minutes: BTreeMap<i64, Vec<(f64, f64)>> = BTreeMap::new();
    for (group, cases) in groups.iter().enumerate() {
        for (&(minute, reached), &count) in cases {
            let counts = minutes
                .entry(minute)
                .or_insert_with(|| vec![(0.0, 0.0); groups.len()]);
            counts[group].0 += count as f64;
            counts[group].1 += if reached { count as f64 } else { 0.0 };
        }
    }
    let mut at_risk = vec![0.0; groups.len()];
    let mut found = Vec::new();
    for counts in minutes.into_values().rev() {
        for (at_risk, (leaving, _)) in at_risk.iter_mut().zip(&counts) {
            *at_risk += leaving;
        }
        if counts.iter().any(|(_, events)| *events > 0.0) {
            let both = at_risk.iter().zip(&counts);
            let here = both.map(|(&at_risk, &(_, events))| Here { at_risk, events });
            found.push(here.collect());
        }
    }
    found
}
