use super::*;
use crate::stats::strata::{cochran_mantel_haenszel, common_odds_ratio};
use proptest::prelude::*;

fn strata(tables: &[[u64; 4]]) -> Vec<Stratum> {
    let stratum =
        |&[first_events, first_misses, second_events, second_misses]: &[u64; 4]| Stratum {
            first_events,
            first_misses,
            second_events,
            second_misses,
        };
    tables.iter().map(stratum).collect()
}

fn exact(tables: &[[u64; 4]]) -> ConditionalOddsRatio {
    conditional_odds_ratio(&strata(tables), Level::P95).expect("informative")
}

#[track_caller]
fn check(found: ConditionalOddsRatio, [estimate, low, high, p]: [f64; 4]) {
    let same = |left: f64, right: f64| (left / right - 1.0).abs() < 1e-9;
    let found_values = [
        found.estimate,
        found.interval.low,
        found.interval.high,
        found.p,
    ];
    for (found_value, expected) in found_values.into_iter().zip([estimate, low, high, p]) {
        assert!(same(found_value, expected), "{found:?}");
    }
}

/// scipy 1.17: `contingency.odds_ratio([[12, 5], [8, 20]])` with `confidence_interval(0.95)`, and
/// `fisher_exact` of the same table.
#[test]
fn one_stratum_is_the_conditional_odds_ratio_and_fishers_test() {
    check(
        exact(&[[12, 5, 8, 20]]),
        [
            5.733_474_915_019_7,
            1.350_222_188_965_893,
            28.409_826_855_047_96,
            0.012_249_262_640_918_588,
        ],
    );
}

/// mpmath, 40 digits: `binomial(first, k) * binomial(second, events - k)` of every stratum, folded
/// into one distribution of the sum, and 160 halvings for each root.
#[test]
fn two_strata_match_their_folded_distribution() {
    let tables = [[4, 1, 2, 6], [7, 3, 3, 5]];
    let p = 0.034_948_627_708_808_7;
    check(
        exact(&tables),
        [
            5.218_649_309_242_209,
            0.964_247_288_750_641,
            34.561_024_711_422_84,
            p,
        ],
    );
    let wider = Level::new(0.99).expect("a level");
    check(
        conditional_odds_ratio(&strata(&tables), wider).expect("informative"),
        [
            5.218_649_309_242_209,
            0.627_944_808_463_026,
            60.973_506_087_759_6,
            p,
        ],
    );
}

/// Rabbits cured and not by penicillin at once or after 1.5 hours, at five doses: data set `Rabbits`
/// in the example of R's `mantelhaen.test`, where `exact = TRUE` prints p = 0.03994 and 10.361 for
/// the odds ratio. More digits and the limits by mpmath as above.
#[test]
fn the_rabbits_of_r_come_out() {
    check(
        exact(&[
            [0, 6, 0, 5],
            [3, 3, 0, 6],
            [6, 0, 2, 4],
            [5, 1, 6, 0],
            [2, 0, 5, 0],
        ]),
        [
            10.361_046_349_488_694,
            1.077_387_763_518_033,
            531.512_782_889_934_6,
            0.039_944_903_581_267_22,
        ],
    );
}

#[test]
fn the_smallest_and_the_largest_count_have_one_limit() {
    let none = exact(&[[0, 5, 3, 4]]);
    assert_eq!((none.estimate, none.interval.low), (0.0, 0.0));
    // mpmath, as above. By hand: C(7, 3) of the C(12, 3) ways put no event into the first group,
    // 35 of 220; all three fall into it in C(5, 3) = 10 ways, which is not likelier: 45 of 220.
    assert!((none.interval.high - 3.181_941_320_216_522).abs() < 1e-9);
    assert!((none.p - 45.0 / 220.0).abs() < 1e-12);
    let all = exact(&[[5, 0, 3, 4]]);
    assert!(all.estimate.is_infinite() && all.interval.high.is_infinite());
    assert!((all.interval.low - 0.572_697_104_685_251_7).abs() < 1e-9);
}

#[test]
fn nothing_to_learn_from_and_too_many_counts_give_nothing() {
    for silent in [
        &[][..],
        &[[0, 0, 4, 9]],
        &[[5, 0, 7, 0], [0, 3, 0, 8]],
        &[[0; 4]],
    ] {
        assert_eq!(conditional_odds_ratio(&strata(silent), Level::P95), None);
        assert!(is_sparse(&strata(silent)));
    }
    let most = u64::MAX / 4;
    for many in [
        &[[most; 4]][..],
        &[[900, 900, 900, 900], [900, 900, 900, 900]],
    ] {
        assert_eq!(conditional_odds_ratio(&strata(many), Level::P95), None);
        assert!(!is_sparse(&strata(many)));
    }
}

/// By hand: 5 of 10 events expected in the first group of 10 + 10, between 0 and 10: 5 on either
/// side. One case fewer in the first group: 9 * 10 / 19 = 4.74 above 0.
#[test]
fn five_events_on_either_side_of_the_expected_are_enough() {
    assert!(!is_sparse(&strata(&[[5, 5, 5, 5]])));
    assert!(is_sparse(&strata(&[[5, 4, 5, 5]])));
    assert!(!is_sparse(&strata(&[[5, 4, 5, 5], [1, 1, 1, 1]])));
}

#[test]
fn many_cases_agree_with_mantel_and_haenszel() {
    let tables = strata(&[[60, 40, 45, 55], [30, 70, 20, 80], [55, 20, 50, 30]]);
    let exact = conditional_odds_ratio(&tables, Level::P95).expect("informative");
    let usual = common_odds_ratio(&tables, Level::P95).expect("informative");
    let interval = usual.interval.expect("finite");
    assert!((exact.estimate / usual.estimate - 1.0).abs() < 0.01);
    assert!((exact.interval.low / interval.low - 1.0).abs() < 0.03);
    assert!((exact.interval.high / interval.high - 1.0).abs() < 0.03);
    let test = cochran_mantel_haenszel(&tables).expect("informative");
    assert!(exact.p >= test.p && exact.p < test.p * 1.5);
}

proptest! {
    #[test]
    fn the_estimate_lies_within_and_changing_over_turns_it_round(
        tables in prop::collection::vec(prop::array::uniform4(0_u64..15), 1..5),
    ) {
        let Some(found) = conditional_odds_ratio(&strata(&tables), Level::P95) else {
            return Ok(());
        };
        prop_assert!(found.interval.low <= found.estimate && found.estimate <= found.interval.high);
        prop_assert!(found.p > 0.0 && found.p <= 1.0);
        let over: Vec<_> = tables.iter().map(|&[a, b, c, d]| [c, d, a, b]).collect();
        let back = conditional_odds_ratio(&strata(&over), Level::P95).expect("informative too");
        let same = |left: f64, right: f64| {
            left.total_cmp(&right).is_eq() || (left / right - 1.0).abs() < 1e-6
        };
        prop_assert!(same(back.estimate, 1.0 / found.estimate), "{:?} {:?}", found, back);
        prop_assert!(same(back.interval.low, 1.0 / found.interval.high), "{:?} {:?}", found, back);
        prop_assert!((back.p - found.p).abs() < 1e-9);
    }
}
