//! Statistics: pure functions from counts to estimates and intervals.
//!
//! Knows `domain` only. Reads no file, no clock, no environment; no input of the types it takes
//! makes it panic or run without end. It does not round, does not print, and does not decide what
//! is worth showing: suppression, minimum sizes and wording belong to the callers.
//!
//! Shares are fractions in 0 to 1, times are whole minutes, rates are per unit of the exposure
//! that the caller gives. `None` always means "cannot be estimated from this sample", never 0.
//!
//! | file | question it answers |
//! |---|---|
//! | `proportion` | one share and its interval; the difference of two shares |
//! | `difference` | the difference of two estimates of any kind, from their intervals |
//! | `clustered` | a share of passes, where passes of one case go together |
//! | `rate` | events per observed time; the ratio of two rates |
//! | `quantile` | median, quartiles, 90th percentile of minutes that all ended |
//! | `survival` | the same when some cases were followed only for a while |
//! | `exact` | are the shares of two groups equal? Fisher's test |
//! | `rank` | are minutes longer in one group than in others, and by how much? |
//! | `log_rank` | the same when some cases were followed only for a while |
//! | `dispersion` | do counts vary by more than chance, and what is their rate worth then? |
//! | `rate_trend` | does a rate rise or fall along an ordered scale, and by how much? |
//! | `trend` | does a share rise or fall along an ordered scale? |
//! | `balance` | how far apart are two groups before they are compared? |
//! | `adjust` | what p-values are worth among many |
//! | `p_value`, `quadratic_form` | what several tests share (private) |
//! | `chart` | is it steady over time; do units differ by more than counting explains |
//! | `competing` | the share that came to one of several ends by a given minute |
//! | `strata` | two groups compared within strata: odds ratio, risk difference, homogeneity; the exact ones for few cases |
//! | `shrinkage` | shares of many small units, each drawn toward all of them |
//! | `queue` | calls that find every team busy, and how long they wait |
//! | `kit` | which short list of items would have been enough for most cases |
//! | `linear_region` | how low and how high can an amount be that linear equations leave open? |
//! | `par` | how many of a device the cart must carry |
//! | `prediction` | what the next period may bring |
//! | `special` | the quantile functions behind these (private) |
//!
//! Sources stand at the formulas. "From memory" there means that the formula was written without
//! the paper open; the numbers it gives are checked all the same, against the worked examples in
//! `tests/data/reference/published.csv` and the values of other programs in `checks.csv` beside it.

pub mod adjust;
pub mod balance;
pub mod chart;
pub mod clustered;
pub mod competing;
pub mod difference;
pub mod dispersion;
pub mod exact;
pub mod kit;
pub mod linear_region;
pub mod log_rank;
mod p_value;
pub mod par;
pub mod prediction;
pub mod proportion;
mod quadratic_form;
pub mod quantile;
pub mod queue;
pub mod rank;
pub mod rate;
pub mod rate_trend;
pub mod shrinkage;
mod special;
pub mod strata;
pub mod survival;
pub mod trend;

use special::{Tail, normal_quantile};

/// A two-sided interval, `low <= high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
}

/// A confidence level, strictly between 0 and 1. Both sides of an interval get half of what is
/// left out.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Level(f64);

impl Level {
    /// 95 %, the level of every published number unless somebody asks for another.
    pub const P95: Level = Level(0.95);

    /// `None` unless `level` lies strictly between 0 and 1 (so NaN is refused too).
    pub fn new(level: f64) -> Option<Level> {
        (level > 0.0 && level < 1.0).then_some(Level(level))
    }

    /// The level as a fraction.
    pub fn fraction(self) -> f64 {
        self.0
    }

    /// Probability left out on each side: 0.025 at 95 %.
    fn tail(self) -> f64 {
        (1.0 - self.0) / 2.0
    }

    /// The standard normal value that leaves out `tail` above it: 1.959964 at 95 %.
    fn normal_bound(self) -> f64 {
        normal_quantile(Tail::Upper, self.tail())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_lies_strictly_between_0_and_1() {
        for wrong in [0.0, 1.0, -0.5, 95.0, f64::NAN, f64::INFINITY] {
            assert_eq!(Level::new(wrong), None, "{wrong}");
        }
        assert_eq!(Level::new(0.95), Some(Level::P95));
    }

    #[test]
    fn the_bound_of_95_percent_is_not_rounded_to_196() {
        // mpmath 1.4.1, 50 digits: sqrt(2)*erfinv(0.95)
        assert!((Level::P95.normal_bound() - 1.959_963_984_540_054).abs() < 1e-14);
        // The ends of the type stay finite and in order.
        let wide = Level::new(1.0 - f64::EPSILON / 2.0).expect("below 1");
        let narrow = Level::new(f64::MIN_POSITIVE).expect("above 0");
        assert!(wide.normal_bound().is_finite() && wide.normal_bound() > 8.0);
        assert!(narrow.normal_bound().abs() < 1e-15);
    }
}
