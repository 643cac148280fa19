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
    headline.month = Some(single::share(5, 6));
    headline.change = Change::TooFewCases { needed: 10 };
    let (words, detail) = change_words(headline, &definition);
    assert_eq!(
        (words.as_str(), detail.as_str()),
        ("too few cases to compare", "6 of 10 needed")
    );
}

#[test]
fn the_summary_names_every_headline_once() {
    let review = invented::review();
    let text = summary(&review).join(" ");
    for definition in &review.definitions {
        // Some titles begin with another title; every one must be there.
        assert!(text.contains(&definition.title), "{}", definition.title);
    }
    assert!(summary(&review).len() <= 3);
    assert!(chance_note(&review).is_some_and(|note| note.contains("one in 20")));
}

#[test]
fn nothing_changed_is_said_without_claiming_it() {
    let mut review = invented::review();
    for headline in &mut review.headlines {
        headline.change = change(-0.1, 0.1);
    }
    let sentences = summary(&review);
    assert_eq!(
        sentences[0],
        "No measure below differs clearly from the 12 months before."
    );
    assert!(sentences[1].contains("not proof"));
}
