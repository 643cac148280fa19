//! The odds ratio common to strata of few cases, from the probabilities of every possible count.
//! Knows counts only. For many cases use [`super::common_odds_ratio`], which this agrees with there.

use super::{Stratum, Table, informative};
use crate::stats::{Interval, Level};

#[cfg(test)]
mod tests;

/// Counts that the events of the first group may add up to, at most: more are not few cases, and
/// the work grows with their square.
const MOST_COUNTS: usize = 2_000;

/// Two counts are equally likely when their probabilities differ by less than this fraction.
const TIE: f64 = 1e-7;

/// A common odds ratio with its exact interval and test, all margins of all strata held fixed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ConditionalOddsRatio {
    /// The odds ratio at which the observed count is what is expected; 0 or infinite when the count
    /// is the smallest or largest possible.
    pub estimate: f64,
    /// Odds ratios that neither tail excludes; the upper limit is infinite for the largest count.
    pub interval: Interval,
    /// Probability, at an odds ratio of 1, of a count that is not likelier than the observed one.
    pub p: f64,
}

/// Exact conditional odds ratio, first group over second, with the interval of two equal tails and
/// the two-sided test by the rule of R (`mantelhaen.test(exact = TRUE)`).
///
/// `None` when no stratum has both groups and both outcomes, or when the count may take more than
/// 2,000 values. Never below its level, so mostly too wide; so is the test too cautious.
///
/// Source: Gart (1970), Biometrika 57:471-475; from memory.
pub fn conditional_odds_ratio(strata: &[Stratum], level: Level) -> Option<ConditionalOddsRatio> {
    let mut counts: Option<Counts> = None;
    let mut observed = 0;
    for (stratum, _) in strata
        .iter()
        .map(|stratum| (stratum, Table::of(stratum)))
        .filter(|(_, table)| table.is_informative())
    {
        let of_stratum = Counts::of(stratum)?;
        let above_least = stratum.first_events - least_events(stratum);
        observed += usize::try_from(above_least).ok()?;
        counts = Some(match counts {
            None => of_stratum,
            Some(counts) => counts.together_with(&of_stratum)?,
        });
    }
    let counts = counts?;
    let last = counts.log_weights.len() - 1;
    let tail = level.tail();
    let estimate = match observed {
        0 => 0.0,
        _ if observed == last => f64::INFINITY,
        _ => root_of_rising(|log_odds| counts.mean(log_odds) - observed as f64).exp(),
    };
    let low = match observed {
        0 => 0.0,
        _ => root_of_rising(|log_odds| counts.at_least(observed, log_odds) - tail).exp(),
    };
    let high = if observed == last {
        f64::INFINITY
    } else {
        root_of_rising(|log_odds| tail - counts.at_most(observed, log_odds)).exp()
    };
    Some(ConditionalOddsRatio {
        estimate,
        interval: Interval { low, high },
        p: counts.not_likelier(observed),
    })
}

/// Whether the strata hold so few cases that the chi-square test of Mantel and Haenszel, and the
/// interval that goes with it, should give way to the exact ones: the events of the first group
/// could not lie five below or five above what is expected of them.
///
/// Source: Mantel & Fleiss (1980), American Journal of Epidemiology 112:129-134; from memory.
pub fn is_sparse(strata: &[Stratum]) -> bool {
    let (mut expected, mut least, mut most) = (0.0, 0.0, 0.0);
    for table in informative(strata) {
        expected += table.expected();
        least += (table.events - table.second).max(0.0);
        most += table.first.min(table.events);
    }
    expected - least < 5.0 || most - expected < 5.0
}

/// Fewest events that the first group of a stratum can have with its margins.
fn least_events(stratum: &Stratum) -> u64 {
    stratum.first_events.saturating_sub(stratum.second_misses)
}

/// How likely each possible count of events of the first group is at an odds ratio of 1, as
/// logarithms of weights, from the smallest possible count on.
struct Counts {
    log_weights: Vec<f64>,
}

impl Counts {
    /// Of one stratum; `None` when there are too many.
    fn of(stratum: &Stratum) -> Option<Counts> {
        let below = stratum.first_events.min(stratum.second_misses);
        let above = stratum.first_misses.min(stratum.second_events);
        let steps = usize::try_from(below.checked_add(above)?).ok()?;
        if steps >= MOST_COUNTS {
            return None;
        }
        // The four cells at the smallest possible count, then one event after the other moves.
        let (mut a, mut d) = (
            (stratum.first_events - below) as f64,
            (stratum.second_misses - below) as f64,
        );
        let (mut b, mut c) = (
            stratum.first_misses as f64 + below as f64,
            stratum.second_events as f64 + below as f64,
        );
        let mut log_weights = vec![0.0];
        let mut log_weight = 0.0;
        for _ in 0..steps {
            log_weight += (b / (a + 1.0) * (c / (d + 1.0))).ln();
            log_weights.push(log_weight);
            (a, b, c, d) = (a + 1.0, b - 1.0, c - 1.0, d + 1.0);
        }
        Some(Counts { log_weights })
    }

    /// Of the sum over two sets of strata; `None` when there are too many.
    fn together_with(&self, other: &Counts) -> Option<Counts> {
        let length = self.log_weights.len() + other.log_weights.len() - 1;
        if length > MOST_COUNTS {
            return None;
        }
        let log_weights = (0..length)
            .map(|sum| {
                let first = sum.saturating_sub(other.log_weights.len() - 1);
                let last = sum.min(self.log_weights.len() - 1);
                log_of_sum(
                    (first..=last).map(|own| self.log_weights[own] + other.log_weights[sum - own]),
                )
            })
            .collect();
        Some(Counts { log_weights })
    }

    /// Probability of each count at an odds ratio.
    fn probabilities(&self, log_odds: f64) -> impl Iterator<Item = f64> {
        let tilted = move |(count, log_weight): (usize, &f64)| log_weight + count as f64 * log_odds;
        let log_total = log_of_sum(self.log_weights.iter().enumerate().map(tilted));
        let weights = self.log_weights.iter().enumerate();
        weights.map(move |weight| (tilted(weight) - log_total).exp())
    }

    fn mean(&self, log_odds: f64) -> f64 {
        let probabilities = self.probabilities(log_odds).enumerate();
        probabilities.map(|(count, p)| count as f64 * p).sum()
    }

    fn at_least(&self, observed: usize, log_odds: f64) -> f64 {
        self.probabilities(log_odds).skip(observed).sum()
    }

    fn at_most(&self, observed: usize, log_odds: f64) -> f64 {
        self.probabilities(log_odds).take(observed + 1).sum()
    }

    fn not_likelier(&self, observed: usize) -> f64 {
        let own = self.probabilities(0.0).nth(observed).unwrap_or(0.0);
        let not_likelier = self.probabilities(0.0).filter(|p| *p <= own * (1.0 + TIE));
        not_likelier.sum::<f64>().min(1.0)
    }
}

/// Logarithm of the sum of numbers given by their logarithms.
fn log_of_sum(logarithms: impl Iterator<Item = f64> + Clone) -> f64 {
    let largest = logarithms.clone().fold(f64::NEG_INFINITY, f64::max);
    largest
        + logarithms
            .map(|each| (each - largest).exp())
            .sum::<f64>()
            .ln()
}

/// Where a rising function crosses 0: widening steps, then halving.
fn root_of_rising(function: impl Fn(f64) -> f64) -> f64 {
    let mut reach = 1.0;
    while reach < 600.0 && (function(-reach) > 0.0 || function(reach) < 0.0) {
        reach *= 2.0;
    }
    let (mut low, mut high) = (-reach, reach);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if middle <= low || middle >= high {
            break;
        }
        if function(middle) > 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    f64::midpoint(low, high)
}
