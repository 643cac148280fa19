//! Does a share rise or fall along an ordered scale, such as months? Knows tallies with scores.
//! It sees a straight line where there may be a single step: look at a run chart first.

use super::p_value::normal_beyond;
use crate::domain::tally::Tally;

/// The outcome of a test for trend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trend {
    /// Standardized slope, positive when the share rises with the score. Its square is the
    /// chi-square value with one degree of freedom.
    pub z: f64,
    /// Two-sided, from the normal distribution, without continuity correction.
    pub p: f64,
}

/// The Cochran-Armitage test for trend of the shares of groups with numeric scores: 0, 1, 2… for
/// months in a row, with the places of months without cases left free.
///
/// With `p` the share of all `N` cases and `m` their mean score,
/// `z = Σ (s - m)(k - n p) / √(p (1 - p) Σ n (s - m)²)`; the divisor of the variance is `N`, not
/// `N - 1`. Adding to all scores or stretching them changes nothing.
///
/// `None` without cases, when all or none had the event, when all cases have the same score, or
/// when a score is not finite or the squares of scores exceed what f64 can hold.
///
/// Sources: Cochran (1954), Biometrics 10:417-451; Armitage (1955), Biometrics 11:375-386; from
/// memory, the printed example of Fleiss reproduced.
pub fn cochran_armitage(groups: &[(f64, Tally)]) -> Option<Trend> {
    let sum = |term: &dyn Fn(f64, Tally) -> f64| -> f64 {
        groups
            .iter()
            .map(|&(score, tally)| term(score, tally))
            .sum()
    };
    let cases = sum(&|_, tally| tally.cases() as f64);
    let share = sum(&|_, tally| tally.events() as f64) / cases;
    let other_share = sum(&|_, tally| tally.misses() as f64) / cases;
    let mean = sum(&|score, tally| score * (tally.cases() as f64 / cases));
    let slope = sum(&|score, tally| {
        (score - mean) * (tally.events() as f64 * other_share - tally.misses() as f64 * share)
    });
    let squares = sum(&|score, tally| tally.cases() as f64 * (score - mean).powi(2));
    let variance = share * other_share * squares;
    // Equal scores leave rounding behind where 0 is meant.
    let negligible = sum(&|score, tally| tally.cases() as f64 * (score * 1e-12).powi(2));
    let differ = squares > negligible && variance > 0.0;
    let z = slope / variance.sqrt();
    (differ && z.is_finite()).then(|| Trend {
        z,
        p: normal_beyond(z),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn group(score: f64, events: u64, cases: u64) -> (f64, Tally) {
        let tally = Tally::new(events, cases).expect("events among cases");
        (score, tally.expect("cases"))
    }

    #[test]
    fn two_groups_give_the_test_of_two_shares() {
        // By hand: 1/4 and 3/4 of 4 cases each; z = 0.5 / sqrt(1/4 * (1/4 + 1/4)) = sqrt(2).
        let trend = cochran_armitage(&[group(0.0, 1, 4), group(1.0, 3, 4)]).expect("a trend");
        assert!((trend.z - 2.0_f64.sqrt()).abs() < 1e-15, "{trend:?}");
        // mpmath: erfc(1)
        assert!((trend.p - 0.157_299_207_050_285_13).abs() < 1e-15);
    }

    #[test]
    fn without_a_contrast_there_is_no_trend_to_test() {
        for none in [
            vec![],
            vec![group(1.0, 2, 5)],
            vec![group(0.1, 2, 5), group(0.1, 1, 7), group(0.1, 3, 9)],
            vec![group(0.0, 0, 5), group(1.0, 0, 7)],
            vec![group(0.0, 5, 5), group(1.0, 7, 7)],
            vec![group(f64::NAN, 2, 5), group(1.0, 1, 7)],
            vec![group(f64::INFINITY, 2, 5), group(1.0, 1, 7)],
            vec![group(f64::MAX, 2, 5), group(-f64::MAX, 1, 7)],
        ] {
            assert_eq!(cochran_armitage(&none), None, "{none:?}");
        }
        let level = cochran_armitage(&[group(0.0, 1, 2), group(1.0, 5, 10)]);
        assert_eq!(level, Some(Trend { z: 0.0, p: 1.0 }));
        let huge = [
            group(0.0, u64::MAX / 2, u64::MAX),
            group(1.0, u64::MAX, u64::MAX),
        ];
        assert_eq!(cochran_armitage(&huge).map(|trend| trend.p), Some(0.0));
    }

    proptest! {
        #[test]
        fn the_scale_of_the_scores_and_the_order_do_not_matter(
            counts in prop::collection::vec((-5_i8..5, 0_u64..20, 1_u64..20), 2..8),
        ) {
            let with = |scale: f64, shift: f64| -> Vec<(f64, Tally)> {
                let scaled = counts.iter().map(|(score, events, misses)| {
                    group(f64::from(*score) * scale + shift, *events, events + misses)
                });
                scaled.collect()
            };
            let plain = cochran_armitage(&with(1.0, 0.0));
            let turned = cochran_armitage(&with(-3.0, 40.0));
            let mut backwards = with(1.0, 0.0);
            backwards.reverse();
            let backwards = cochran_armitage(&backwards);
            prop_assert_eq!(plain.is_some(), turned.is_some());
            prop_assert_eq!(plain.is_some(), backwards.is_some());
            if let (Some(plain), Some(turned), Some(backwards)) = (plain, turned, backwards) {
                prop_assert!((plain.z + turned.z).abs() < 1e-9);
                prop_assert!((plain.z - backwards.z).abs() < 1e-9);
                prop_assert!((0.0..=1.0).contains(&plain.p));
            }
        }
    }
}
