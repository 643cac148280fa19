//! Tests of the first page in words.

use super::*;
use crate::domain::month::Month;
use crate::domain::phase::Phase;
use crate::domain::review_rules::review_rules;
use crate::findings::cases_to_look_at::{ListedCount, RuleTally};
use crate::findings::comparisons::over_time::{
    BetweenChart, BetweenPoint, BetweenSignal, HarmOverTime, Rule,
};
use crate::findings::finding::{Findings, Statistic};
use crate::findings::signals::{ChartForm, MonthRule, MonthSignal, MonthValue, Side, Signals};
use crate::report::tests::{invented, single};

fn change(low: f64, high: f64) -> Change {
    Change::Difference {
        estimate: f64::midpoint(low, high),
        low,
        high,
    }
}

fn quiet() -> Review {
    let mut review = invented::review();
    // Without findings there is no number whose coding could be doubted.
    review.findings = Findings::default();
    for headline in &mut review.headlines {
        headline.change = change(-0.1, 0.1);
        if let Some(month) = &mut headline.month {
            month.excluded = 0;
        }
    }
    review
}

fn phase(from: &str, note: &str) -> Phase {
    Phase {
        from: from.parse().expect("a month"),
        note: note.to_owned(),
        measures: Vec::new(),
        sites: Vec::new(),
    }
}

/// A chart of which the last `points` months meet a rule.
fn chart(review: &Review, measure: &str, site: Option<&str>, points: i32) -> MonthChart {
    let months: Vec<Month> = review.month.plus(-11).through(review.month).collect();
    let signals = (points > 0).then(|| MonthSignal {
        rule: MonthRule::EightOnOneSide,
        side: Some(Side::Above),
        first: review.month.plus(1 - points),
        last: review.month,
        met: review.month.plus((8 - points).min(0)),
        points: usize::try_from(points).expect("not negative"),
    });
    MonthChart {
        measure: measure.to_owned(),
        by: site.map_or(ALL, |_| "site").to_owned(),
        group: site.unwrap_or(ALL).to_owned(),
        statistic: Statistic::Median,
        form: ChartForm::Xmr,
        points: months
            .into_iter()
            .map(|month| MonthValue {
                month,
                n: 12,
                value: Some(50.0),
                line: Some(48.0),
                low: Some(30.0),
                high: Some(66.0),
            })
            .collect(),
        baselines: Vec::new(),
        signals: signals.into_iter().collect(),
        chance: Some(0.03),
        autocorrelation: None,
    }
}

#[test]
fn the_sentences_name_every_headline_once() {
    let review = invented::review();
    let sentences = three_sentences(&review);
    let text = sentences.join(" ");
    for definition in &review.definitions {
        // Some titles begin with another title; every one must be there.
        let title = inside_sentence(&definition.title);
        assert!(text.contains(&title), "{title}");
    }
    assert!(text.contains("too few cases (at least 40 needed): "));
    assert!(text.contains("nothing to compare with: "));
    assert_eq!(sentences.len(), 3);
}

#[test]
fn what_was_compared_is_not_called_uncompared() {
    let mut review = quiet();
    review.headlines[0].change = Change::TooFewCases { needed: 10 };
    let text = three_sentences(&review).join(" ");
    let words = "What cannot be said: too few cases (at least 10 needed): call to scope (";
    assert!(text.contains(words));
}

#[test]
fn nothing_changed_is_said_without_claiming_it() {
    let mut review = quiet();
    let sentences = three_sentences(&review);
    assert_eq!(
        sentences[0],
        "What changed: over all cases nothing clearly against the 12 months before."
    );
    assert!(sentences[1].contains("not proof"));

    review.signals = Signals {
        charts: vec![chart(&review, "call_to_scope", None, 0)],
    };
    assert_eq!(
        three_sentences(&review)[0],
        "What changed: over all cases nothing clearly against the 12 months before. No rule sets a \
         measure apart from its baseline."
    );
    assert!(to_look_at(&review).is_empty());
}

#[test]
fn rules_that_are_met_stand_with_their_place_and_start_the_longest_first() {
    let mut review = quiet();
    review.signals = Signals {
        charts: vec![
            chart(&review, "call_to_scope", None, 0),
            chart(&review, "call_to_scope", Some("Alder"), 8),
            chart(&review, "call_to_scope", Some("Birch"), 10),
        ],
    };
    assert_eq!(
        three_sentences(&review)[0],
        "What changed: over all cases nothing clearly against the 12 months before. Unlike the \
         baseline: call to scope at Birch, 50 min against a center line of 48 min (10 in a row above \
         the center line since December 2025, enough for the rule from July 2026 on); call to scope \
         at Alder, 50 min against a center line of 48 min (8 in a row above the center line since \
         February 2026, enough for the rule only now)."
    );
    let things = to_look_at(&review);
    assert_eq!(things.len(), 2);
    assert!(things[0].starts_with("Call to scope at Birch: look first whether"));

    review.signals.charts[0] = chart(&review, "call_to_scope", None, 9);
    let sentence = &three_sentences(&review)[0];
    assert!(sentence.contains(
        " Unlike the baseline: call to scope, 50 min against a center line of 48 min (9 in a row above \
         the center line since January 2026, enough for the rule from August 2026 on); call to scope at Birch, "
    ));
    review.phases = vec![
        phase("2025-09", "a second cart"),
        phase("2025-08", "long ago"),
        phase("2026-09", "a teaching day"),
    ];
    assert!(three_sentences(&review)[0].ends_with(
        " Dated by the service: September 2025, a second cart and September 2026, a teaching day."
    ));
}

#[test]
fn many_cases_that_could_not_be_judged_are_something_to_look_at() {
    let mut review = quiet();
    let definition = review
        .definition("retrieval_success")
        .expect("counted")
        .clone();
    let headline = review
        .headlines
        .iter_mut()
        .find(|headline| headline.measure == definition.id)
        .expect("a headline");
    for (excluded, is_told) in [(4, false), (5, true)] {
        headline.month = Some(Finding {
            excluded,
            ..single::share(15, 20)
        });
        let review = Review {
            headlines: vec![headline.clone()],
            ..invented::review()
        };
        let things = to_look_at(&review);
        let told = format!(
            "{}: 5 of 25 cases could not be judged, because a value that the definition needs is \
             missing.",
            definition.title
        );
        assert_eq!(things.contains(&told), is_told, "{things:?}");
    }
}

#[test]
fn a_target_stands_with_what_the_month_says_about_it() {
    let mut review = invented::review();
    let definition = review
        .definition("retrieval_success")
        .expect("counted")
        .clone();
    let words = |review: &Review, finding: Option<&Finding>| target(review, &definition, finding);
    let finding = single::share(18, 20);
    assert_eq!(words(&review, Some(&finding)), None);
    for (value, expected) in [
        (0.5, "target: 50% or more; reached"),
        (
            0.85,
            "target: 85% or more; reached, but the interval lies on both sides of it",
        ),
        (
            0.955,
            "target: 95.5% or more; not reached, but the interval lies on both sides of it",
        ),
        (1.0, "target: 100% or more; not reached"),
    ] {
        review.targets.insert(definition.id.clone(), value);
        assert_eq!(words(&review, Some(&finding)).as_deref(), Some(expected));
    }
    assert_eq!(
        words(&review, None).as_deref(),
        Some("target: 100% or more; no value to hold against it")
    );
}

#[test]
fn the_list_of_cases_stands_behind_the_first_rule_that_is_met() {
    let mut review = quiet();
    review.to_look_at = review_rules()
        .into_iter()
        .take(2)
        .map(|rule| RuleTally {
            rule,
            month: ListedCount {
                listed: 3,
                out_of: 20,
                not_judged: 1,
            },
            before: ListedCount::default(),
        })
        .collect();
    let listed = "6 entries on the list of cases to read together: see Cases to look at.";
    assert_eq!(to_look_at(&review), [listed]);

    review.signals = Signals {
        charts: vec![
            chart(&review, "call_to_scope", Some("Alder"), 8),
            chart(&review, "call_to_scope", Some("Birch"), 10),
        ],
    };
    let things = to_look_at(&review);
    assert_eq!(things.len(), 3);
    assert!(things[0].contains("Birch") && things[2].contains("Alder"));
    assert_eq!(things[1], listed);
}

#[test]
fn harm_that_comes_closer_together_in_the_month_is_a_change() {
    let mut review = quiet();
    let points: Vec<_> = (0..14)
        .map(|place| BetweenPoint {
            month: review.month.plus(place - 13),
            value: 10.0,
        })
        .collect();
    let chart = |last| BetweenChart {
        points: points.clone(),
        lines: None,
        needed: 12,
        signals: vec![BetweenSignal {
            rule: Rule::EightOnOneSide,
            side: Side::Below,
            first: 2,
            last,
        }],
    };
    for (last, is_told) in [(13, true), (12, false)] {
        review.comparisons.over_time = Some(vec![HarmOverTime {
            measure: review.definitions[0].id.clone(),
            events: 15,
            cases: 200,
            cases_since: 3,
            days_since: Some(2.0),
            cases_between: chart(last),
            days_between: chart(12),
        }]);
        let told = format!(
            "{}: events lie closer together than those of the baseline, see Harm over time",
            inside_sentence(&review.definitions[0].title)
        );
        assert_eq!(three_sentences(&review)[0].contains(&told), is_told);
    }
}
