//! Tests of what is said about a change.

use super::*;
use crate::report::tests::{invented, single};

fn change(low: f64, high: f64) -> Change {
    Change::Difference {
        estimate: f64::midpoint(low, high),
        low,
        high,
    }
}

#[test]
fn a_change_is_clear_only_when_its_interval_excludes_zero() {
    assert_eq!(verdict(change(0.01, 0.2), Better::Higher), Verdict::Better);
    assert_eq!(verdict(change(0.01, 0.2), Better::Lower), Verdict::Worse);
    assert_eq!(verdict(change(-0.2, -0.01), Better::Higher), Verdict::Worse);
    assert_eq!(verdict(change(-0.2, -0.01), Better::Lower), Verdict::Better);
    for better in Better::ALL {
        assert_eq!(verdict(change(-0.2, 0.0), better), Verdict::NoClearChange);
        assert_eq!(verdict(change(0.0, 0.2), better), Verdict::NoClearChange);
    }
}

#[test]
fn without_a_wanted_direction_nothing_is_better_or_worse() {
    assert_eq!(verdict(change(0.01, 0.2), Better::Neither), Verdict::Higher);
    assert_eq!(
        verdict(change(-0.2, -0.01), Better::Neither),
        Verdict::Lower
    );
}

#[test]
fn a_difference_that_is_no_number_is_not_compared() {
    assert_eq!(
        verdict(change(f64::NAN, 0.2), Better::Higher),
        Verdict::NotCompared
    );
}

#[test]
fn a_limit_that_excludes_zero_does_not_read_as_zero() {
    let mut review = invented::review();
    let definition = review
        .definition("retrieval_success")
        .expect("counted")
        .clone();
    let headline = review
        .headlines
        .iter_mut()
        .find(|headline| headline.measure == definition.id)
        .expect("a headline");
    headline.change = change(0.002, 0.198);
    let (words, detail) = change_words(headline, &definition);
    assert_eq!(words, "better than before");
    assert_eq!(detail, "+10.0 points (+0.2 to +19.8)");
}

#[test]
fn too_few_cases_say_how_many_are_needed() {
    let mut review = invented::review();
    let definition = review
        .definition("retrieval_success")
        .expect("counted")
        .clone();
    let headline = &mut review.headlines[6];
    headline.change = Change::TooFewCases { needed: 10 };
    for (month, before, expected) in [
        (Some(6), 40, "this month: 6 of 10 cases needed"),
        (Some(15), 7, "before: 7 of 10 cases needed"),
        (
            None,
            7,
            "this month: 0 of 10 cases needed; before: 7 of 10 cases needed",
        ),
    ] {
        headline.month = month.map(|cases| single::share(5, cases));
        headline.before = Some(single::share(5, before));
        let (words, detail) = change_words(headline, &definition);
        assert_eq!(words, "too few cases to compare");
        assert_eq!(detail, expected);
    }
}

#[test]
fn differences_of_minutes_and_rates_stand_with_unit_and_limits() {
    let mut review = invented::review();
    for (measure, numbers, expected) in [
        ("call_to_scope", [-4.0, -9.2, 3.1], "−4 min (−9 to +3)"),
        // A lower limit that excludes zero and would round to it.
        ("call_to_scope", [4.0, 0.3, 8.0], "+4.0 min (+0.3 to +8.0)"),
        (
            "calls",
            [-2.31, -5.84, 2.13],
            "−2.3 per 30 site-days (−5.8 to +2.1)",
        ),
        (
            "calls",
            [2.0, 0.04, 4.0],
            "+2.00 per 30 site-days (+0.04 to +4.00)",
        ),
    ] {
        let definition = review.definition(measure).expect("counted").clone();
        let headline = review
            .headlines
            .iter_mut()
            .find(|headline| headline.measure == measure)
            .expect("a headline");
        let [estimate, low, high] = numbers;
        headline.change = Change::Difference {
            estimate,
            low,
            high,
        };
        assert_eq!(change_words(headline, &definition).1, expected);
    }
}

#[test]
fn titles_inside_a_sentence_begin_small_unless_they_are_capitals() {
    assert_eq!(inside_sentence("Call to scope"), "call to scope");
    assert_eq!(inside_sentence("ICU bed free"), "ICU bed free");
    assert_eq!(inside_sentence("X"), "X");
    assert_eq!(inside_sentence(""), "");
}

#[test]
fn many_comparisons_name_the_chance_that_one_of_them_misleads() {
    let mut review = invented::review();
    review.headlines.truncate(5);
    for headline in &mut review.headlines {
        headline.change = change(-0.1, 0.1);
    }
    // 1 - 0.95^5 = 0.226
    assert_eq!(
        chance_note(&review).expect("five comparisons"),
        "5 comparisons were made. When nothing changes at all, each by itself still has about one \
         chance in 20 to look like a clear change; if they were independent, at least one of the 5 \
         would look so with a chance of 23%."
    );
    review.headlines.truncate(1);
    assert_eq!(chance_note(&review), None);
}
