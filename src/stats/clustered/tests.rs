use super::*;
use crate::domain::tally::Tally;
use crate::stats::proportion::wilson;

fn share_of(cases: &[((u64, u64), u64)]) -> Option<ClusteredShare> {
    clustered_share(&cases.iter().copied().collect(), Level::P95)
}

fn same(left: f64, right: f64) -> bool {
    (left - right).abs() < 1e-14
}

#[test]
fn three_cases_by_hand() {
    // p = 4/10; squares (1 - 1.6)² + (2 - 0.8)² + (1 - 1.6)² = 2.16; v = 3/2 * 2.16 / 100.
    let found = share_of(&[((1, 4), 2), ((2, 2), 1)]).expect("attempts");
    assert!(same(found.estimate, 0.4));
    assert!(same(found.standard_error.expect("three cases"), 0.18));
    // 0.0324 over 0.4 * 0.6 / 10.
    assert!(same(found.design_effect.expect("estimable"), 1.35));
    assert!(same(found.effective_attempts, 10.0 / 1.35));
}

#[test]
fn one_attempt_per_case_is_wilsons_interval_on_one_attempt_less() {
    // The factor m / (m - 1) makes the design effect 30/29, so 29 effective attempts.
    let found = share_of(&[((0, 1), 24), ((1, 1), 6)]).expect("attempts");
    assert!(same(found.effective_attempts, 29.0));
    let plain = wilson(Tally::new(6, 30).expect("6 of 30").expect("30"), Level::P95);
    assert!(found.interval.low < plain.low && plain.high < found.interval.high);
    // Wilson's formula at 29 with scipy 1.17 `t.isf(0.025, 29)` for z.
    assert!((found.interval.low - 0.090_850_069_031_655_3).abs() < 1e-12);
    assert!((found.interval.high - 0.384_784_481_021_563_9).abs() < 1e-12);
}

#[test]
fn cases_that_agree_within_themselves_widen_the_interval() {
    let together = share_of(&[((0, 4), 10), ((4, 4), 10)]).expect("attempts");
    let apart = share_of(&[((2, 4), 20)]).expect("attempts");
    assert!(together.design_effect.expect("estimable") > 4.0);
    // No credit for cases more alike than chance would have them.
    assert!(same(apart.design_effect.expect("estimable"), 0.0));
    assert!(same(apart.effective_attempts, 80.0));
    assert!(together.interval.high > apart.interval.high);
}

#[test]
fn where_the_spread_says_nothing_the_number_of_cases_decides() {
    let none = share_of(&[((0, 3), 5), ((0, 2), 1)]).expect("attempts");
    assert!(none.interval.low.to_bits() == 0 && same(none.effective_attempts, 6.0));
    let all = share_of(&[((3, 3), 5), ((2, 2), 1)]).expect("attempts");
    assert!(all.interval.high.to_bits() == 1.0_f64.to_bits() && all.design_effect.is_none());
    assert!(same(all.interval.low, 1.0 - none.interval.high));
    let single = share_of(&[((1, 3), 1)]).expect("attempts");
    assert!(single.standard_error.is_none() && same(single.effective_attempts, 1.0));
}

#[test]
fn impossible_or_empty_counts_give_nothing_and_large_ones_do_not_panic() {
    assert_eq!(share_of(&[]), None);
    assert_eq!(share_of(&[((0, 0), 9), ((1, 2), 0)]), None);
    assert_eq!(share_of(&[((3, 2), 1), ((1, 2), 5)]), None);
    let large = share_of(&[((u64::MAX, u64::MAX), u64::MAX), ((0, u64::MAX), 3)]);
    let large = large.expect("attempts");
    assert!(large.interval.low >= 0.0 && large.interval.high <= 1.0);
    assert!(large.effective_attempts > 0.0);
}
