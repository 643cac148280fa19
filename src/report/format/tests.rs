//! Tests of the rules by which numbers become text.

use super::*;
use crate::domain::month::Month;
use crate::report::tests::single::{quantile, share};

#[track_caller]
fn check_share(finding: &Finding, estimate_text: &str, interval_text: &str) {
    assert_eq!(estimate(finding), estimate_text);
    assert_eq!(interval(finding), interval_text);
}

fn with_limits(events: u64, cases: u64, low: f64, high: f64) -> Finding {
    Finding {
        low: Some(low),
        high: Some(high),
        ..share(events, cases)
    }
}

#[test]
fn shares_have_no_decimals_below_100_cases_and_one_from_there_on() {
    // Wilson limits of 51/134 and 9/10 as published tables print them.
    check_share(&with_limits(9, 10, 0.596, 0.982), "90%", "60 to 98%");
    check_share(
        &with_limits(51, 134, 0.3029, 0.4648),
        "38.1%",
        "30.3 to 46.5%",
    );
    assert_eq!(counts(&share(51, 134)), "51 of 134 cases");
    assert_eq!(counts(&share(1, 1)), "1 of 1 case");
}

#[test]
fn below_five_cases_only_counts_are_shown() {
    check_share(&share(3, 4), "too few for a percentage", NOTHING);
    assert_eq!(counts(&share(3, 4)), "3 of 4 cases");
    assert_eq!(shown_limits(&share(3, 4)), (None, None));
    assert_eq!(estimate(&share(4, 5)), "80%");
    assert_eq!(part(3, 4), "3 of 4");
    assert_eq!(part(512, 816), "512 of 816 (62.7%)");
}

#[test]
fn no_cases_is_not_zero_percent() {
    let none = Finding {
        excluded: 0,
        ..share(0, 0)
    };
    check_share(&none, "no cases", NOTHING);
    check_share(&with_limits(0, 40, 0.0, 0.0881), "0%", "0 to 9%");
}

#[test]
fn cases_that_could_not_be_judged_are_not_no_cases() {
    let unjudged = Finding {
        excluded: 1_204,
        ..share(0, 0)
    };
    let words = "no case could be judged (1,204 not judged)";
    check_share(&unjudged, words, NOTHING);
    assert_eq!(estimate_with_counts(&unjudged), words);
    assert_eq!(crate::report::finding_words(&unjudged), words);
    let withheld = Finding {
        suppressed: true,
        ..unjudged
    };
    assert_eq!(crate::report::finding_words(&withheld), "withheld");
}

#[test]
fn the_side_of_a_chart_says_censored_in_one_word() {
    let mut median = quantile(Statistic::Median, &[10, 20, 30, 40, 50, 60]);
    assert_eq!(short_counts(&median), "6 cases");
    median.censored = 4;
    assert_eq!(short_counts(&median), "6 cases, 4 censored");
}

#[test]
fn windows_are_told_in_hours_where_they_are_whole_hours() {
    assert_eq!(
        [60, 360, 90].map(window_length),
        ["1 hour", "6 hours", "90 min"]
    );
}

#[test]
fn the_chance_that_any_comparison_misleads_grows_with_their_number() {
    // 1 - 0.95^n for n = 1, 5, 8, and 1 - 0.999^2 = 0.002, rounded by hand.
    assert_eq!(
        [1, 5, 8].map(|n| chance_of_any(0.95, n)),
        ["5%", "23%", "34%"]
    );
    assert_eq!(chance_of_any(0.999, 2), "0.2%");
}

#[test]
fn passes_name_their_cases() {
    let mut passes = share(23, 40);
    passes.attempts = Some(40);
    passes.cases = 31;
    assert_eq!(counts(&passes), "23 of 40 passes in 31 cases");
}

#[test]
fn minutes_are_whole_and_a_missing_limit_says_what_it_needs() {
    let minutes: Vec<i64> = (1..=20).map(|step| step * 100).collect();
    let mut p90 = quantile(Statistic::P90, &minutes);
    (p90.estimate, p90.low, p90.high) = (Some(1_810.5), Some(1_400.0), None);
    assert_eq!(estimate(&p90), "1,810.5 min");
    assert_eq!(
        interval(&p90),
        "from 1,400 min, upper limit needs at least 36 cases"
    );
    let mut median = quantile(Statistic::Median, &minutes[..4]);
    (median.low, median.high) = (None, None);
    assert_eq!(interval(&median), "needs at least 6 cases");
    assert_eq!(
        cases_for_limits(&quantile(Statistic::P25, &minutes)),
        Some(13)
    );
    assert_eq!(cases_for_limits(&share(3, 9)), None);
}

#[test]
fn a_survival_curve_that_stays_up_is_not_reached() {
    let mut median = quantile(Statistic::Median, &[10, 20, 30, 40, 50, 60]);
    median.method = Method::KaplanMeier;
    median.censored = 4;
    (median.estimate, median.low, median.high) = (None, Some(20.0), None);
    check_share(
        &median,
        "not reached",
        "from 20 min, upper limit not reached",
    );
    assert_eq!(counts(&median), "6 cases, 4 not followed to the end");
}

#[test]
fn withheld_groups_show_no_number_at_all() {
    let mut finding = share(3, 9);
    finding.suppressed = true;
    for text in [
        estimate(&finding),
        counts(&finding),
        interval(&finding),
        unless_withheld(&finding, 3),
    ] {
        assert!(!text.contains(|c: char| c.is_ascii_digit()), "{text}");
    }
    assert_eq!(shown_estimate(&finding), None);
}

#[test]
fn what_is_not_finite_counts_as_missing() {
    let mut finding = share(3, 9);
    finding.estimate = Some(f64::NAN);
    finding.high = Some(f64::INFINITY);
    check_share(&finding, "too few for a percentage", NOTHING);
    finding.estimate = Some(0.33);
    assert_eq!(shown_limits(&finding).1, None);
}

#[test]
fn differences_carry_their_sign_and_zero_has_none() {
    let points = difference(Unit::Fraction, 60, [0.091, -0.001, 0.2]);
    assert_eq!(points, ["+9.1", "−0.1", "+20.0"]);
    let points = difference(Unit::Fraction, 160, [-0.151, -0.3, 0.01]);
    assert_eq!(points, ["−15.1", "−30.0", "+1.0"]);
    let minutes = difference(Unit::Minutes, 60, [-1_234.4, -2_000.0, 0.0]);
    assert_eq!(minutes, ["−1,234", "−2,000", "0"]);
}

#[test]
fn small_differences_and_half_minutes_keep_one_decimal() {
    let points = difference(Unit::Fraction, 60, [0.09, -0.004, 0.2]);
    assert_eq!(points, ["+9.0", "−0.4", "+20.0"]);
    let points = difference(Unit::Fraction, 60, [0.09, -0.01, 0.2]);
    assert_eq!(points, ["+9", "−1", "+20"], "one point is no less than one");
    // Medians of 52.5 and 56 minutes.
    assert_eq!(with_unit(Unit::Minutes, 60, 52.5), "52.5 min");
    assert_eq!(with_unit(Unit::Minutes, 60, 56.0), "56 min");
    let minutes = difference(Unit::Minutes, 60, [52.5 - 56.0, -1_015.0, 8.25]);
    assert_eq!(minutes, ["−3.5", "−1,015.0", "+8.3"]);
}

#[test]
fn a_limit_that_excludes_zero_gets_the_decimals_it_needs() {
    let points = difference(Unit::Fraction, 60, [0.1, 0.000_2, 0.2]);
    assert_eq!(points, ["+10.00", "+0.02", "+20.00"]);
    let rates = difference(Unit::Per30SiteDays, 60, [-2.0, -4.0, -0.04]);
    assert_eq!(rates, ["−2.00", "−4.00", "−0.04"]);
}

#[test]
fn whole_numbers_group_their_thousands() {
    let texts = [0, 999, 1_000, 1_234_567].map(whole);
    assert_eq!(texts, ["0", "999", "1,000", "1,234,567"]);
    assert_eq!(
        [9_999, 12_345, 12_345_678].map(short_whole),
        ["9999", "12k", "12M"]
    );
    assert_eq!(level(0.95), "95%");
    assert_eq!(level(0.998), "99.8%");
    assert_eq!(days(3 * 30 * 1440), "90");
}

#[test]
fn months_read_as_words() {
    let month = Month::new(2026, 9).expect("a month");
    assert_eq!(month_name(month), "September 2026");
    assert_eq!(month_short(month), "Sep");
}

#[test]
fn ratios_p_values_and_distances_are_rounded_by_their_size() {
    assert_eq!(
        [0.504, 2.0, 9.994, 12.34, 531.5].map(ratio),
        ["0.50", "2.00", "9.99", "12.3", "532"]
    );
    assert_eq!(ratio(f64::INFINITY), "infinite");
    assert_eq!(
        [0.000_9, 0.001, 0.037_6, 1.0].map(p_value),
        ["below 0.001", "0.001", "0.038", "1.000"]
    );
    assert_eq!(
        [0.0, 3.0, 3.21, 27.72, 1_200.4].map(distance),
        ["0", "3", "3.2", "28", "1,200"]
    );
}
