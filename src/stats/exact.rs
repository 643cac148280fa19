//! Tests that add up the probabilities of every possible count: Fisher's exact test here, the
//! sums themselves also for the ratio of two rates. Knows tallies and weights; what the two groups
//! are, and whether they may be compared, is for the caller to know.

use super::p_value::{normal_above, normal_beyond};
use crate::domain::tally::Tally;

#[cfg(test)]
mod tests;

/// Two counts are equally likely when their probabilities differ by less than this fraction: the
/// mirror image of a count comes out with another last digit.
const TIE: f64 = 1e-7;

/// Above this variance the sums give way to the normal distribution, so that no table takes long.
/// Totals below 1.6 * 10^10 never get there.
const LARGE_VARIANCE: f64 = 1e9;

/// Probabilities of the observed count and of others, all margins held fixed. Each is in 0 to 1;
/// one below about 1e-300 comes out as 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExactP {
    /// Of as many events in the first group as observed, or fewer.
    pub less: f64,
    /// Of as many events in the first group as observed, or more.
    pub greater: f64,
    /// Of a count that is not likelier than the observed one.
    pub two_sided: f64,
    /// Twice the smaller of the one-sided probabilities in which the observed count counts half,
    /// at most 1. Less cautious than `two_sided`.
    pub mid_p: f64,
}

/// Fisher's exact test of equal shares in two groups.
///
/// Two-sided by the rule of R: the probabilities of all tables not likelier than the observed one
/// are added up, likeness judged within 1e-7. The work grows with the standard deviation of the
/// count, not with the total. From a variance of 10^9 of the count on (totals above 1.6 * 10^10),
/// the normal distribution with continuity correction answers, with a relative error below 1e-4 up
/// to 3 standard deviations.
///
/// All or none of the cases with the event give 1, since no other table has these margins.
///
/// Source: Fisher (1934), Statistical Methods for Research Workers, 5th edition, section 21.02;
/// mid-P: Lancaster (1961), Journal of the American Statistical Association 56:223-234. Both from
/// memory.
pub fn fisher_exact(first: Tally, second: Tally) -> ExactP {
    let (a, b) = (first.events(), first.misses());
    let (c, d) = (second.events(), second.misses());

    let [row_1, row_2] = [first.cases(), second.cases()].map(|cases| cases as f64);
    let [column_1, column_2] = [a as f64 + c as f64, b as f64 + d as f64];
    let total = row_1 + row_2;
    let variance = (row_1 / total) * (row_2 / total) * column_1 * (column_2 / (total - 1.0));
    if variance > LARGE_VARIANCE {
        // Two products of u64 fit u128, so that this small difference of large numbers is right.
        let (ad, bc) = (u128::from(a) * u128::from(d), u128::from(b) * u128::from(c));
        let distance = ad.abs_diff(bc) as f64 / total;
        return normal_p(if ad < bc { -distance } else { distance }, variance);
    }
    let product = |x: u64, y: u64| x as f64 * y as f64;
    let product_after = |x: u64, y: u64, steps: u64| {
        let added = steps as f64 + 1.0;
        (x as f64 + added) * (y as f64 + added)
    };
    sums_around(
        (0..a.min(d)).map(|steps| product(a - steps, d - steps) / product_after(b, c, steps)),
        (0..b.min(c)).map(|steps| product(b - steps, c - steps) / product_after(a, d, steps)),
    )
}

/// The test of `events_1` among the events of both groups when each event falls into the first
/// with odds `odds`, a positive finite number.
pub(super) fn binomial_exact(events_1: u64, events_2: u64, odds: f64) -> ExactP {
    let (k, misses) = (events_1 as f64, events_2 as f64);
    let share = odds / (1.0 + odds);
    let variance = (k + misses) * share * (1.0 / (1.0 + odds));
    if variance > LARGE_VARIANCE {
        return normal_p((k - misses * odds) / (1.0 + odds), variance);
    }
    sums_around(
        (0..events_1).map(|i| (events_1 - i) as f64 / (misses + i as f64 + 1.0) / odds),
        (0..events_2).map(|i| (events_2 - i) as f64 / (k + i as f64 + 1.0) * odds),
    )
}

/// Adds up probabilities on both sides of the observed count. `down` and `up` give the probability
/// of each count over that of its neighbor nearer to the observed one, to the end of the range;
/// the probabilities must rise to one peak and fall from there.
fn sums_around(down: impl Iterator<Item = f64>, up: impl Iterator<Item = f64>) -> ExactP {
    let (down, up) = (side(down), side(up));
    // In units of the probability of the observed count.
    let total = 1.0 + down.all + up.all;
    let share = |side: Side, observed: f64| {
        if side.all.is_finite() {
            ((observed + side.all) / total).min(1.0)
        } else {
            1.0
        }
    };
    ExactP {
        less: share(down, 1.0),
        greater: share(up, 1.0),
        two_sided: ((1.0 + down.not_likelier + up.not_likelier) / total).min(1.0),
        mid_p: (2.0 * share(down, 0.5).min(share(up, 0.5))).min(1.0),
    }
}

/// Sums on one side of the observed count, in units of its probability.
#[derive(Clone, Copy, Debug)]
struct Side {
    /// Infinite where the observed count is less than 1e-300 times as likely as the likeliest.
    all: f64,
    not_likelier: f64,
}

fn side(ratios: impl Iterator<Item = f64>) -> Side {
    let mut side = Side {
        all: 0.0,
        not_likelier: 0.0,
    };
    let mut weight = 1.0;
    for ratio in ratios {
        weight *= ratio;
        if weight > 1e300 {
            side.all = f64::INFINITY;
            break;
        }
        side.all += weight;
        if weight <= 1.0 + TIE {
            side.not_likelier += weight;
        }
        // All that follows is smaller still and would not reach the last digit.
        if ratio < 1.0 && weight < 1e-25 {
            break;
        }
    }
    side
}

/// The same probabilities from a normal count that lies `distance` above its mean.
fn normal_p(distance: f64, variance: f64) -> ExactP {
    let deviation = variance.sqrt();
    let beyond = (distance.abs() - 0.5).max(0.0);
    ExactP {
        less: normal_above((-distance - 0.5) / deviation),
        greater: normal_above((distance - 0.5) / deviation),
        two_sided: normal_beyond(beyond / deviation),
        mid_p: normal_beyond(distance / deviation),
    }
}
