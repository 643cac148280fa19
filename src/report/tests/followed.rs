//! The section of rules that are met, and its figures.

use super::{check_page, invented};
use crate::domain::counts::ALL;
use crate::domain::month::Month;
use crate::findings::finding::Statistic;
use crate::findings::review::Review;
use crate::findings::signals::{
    Baseline, ChartForm, MonthChart, MonthRule, MonthSignal, MonthValue, Side, Signals,
};
use crate::report::page;

/// Two years of one measure, the last of them above the limit where `is_met`.
fn chart(review: &Review, site: Option<&str>, is_met: bool) -> MonthChart {
    let first = review.month.plus(-23);
    let points = first.through(review.month).map(|month| MonthValue {
        month,
        n: 12,
        value: Some(if is_met && month == review.month {
            90.0
        } else {
            50.0
        }),
        line: Some(51.0),
        low: Some(35.0),
        high: Some(67.0),
    });
    let signal = |first: Month, last: Month, points| MonthSignal {
        rule: MonthRule::BeyondLimits,
        side: Some(Side::Above),
        first,
        last,
        met: first,
        points,
    };
    let signals = if is_met {
        let long_ago = review.month.plus(-5);
        vec![
            signal(long_ago, long_ago, 1),
            signal(review.month, review.month, 1),
        ]
    } else {
        let ended = review.month.plus(-2);
        vec![signal(ended, ended, 1)]
    };
    MonthChart {
        measure: "call_to_scope".to_owned(),
        by: site.map_or(ALL, |_| "site").to_owned(),
        group: site.unwrap_or(ALL).to_owned(),
        statistic: Statistic::Median,
        form: ChartForm::Xmr,
        points: points.collect(),
        baselines: vec![Baseline {
            form: ChartForm::Xmr,
            first,
            last: first.plus(11),
            points: 12,
        }],
        signals,
        chance: Some(0.04),
        autocorrelation: None,
    }
}

fn with_sites(met: usize, quiet: usize) -> Review {
    let mut review = invented::review();
    let mut charts = vec![chart(&review, None, false)];
    for place in 0..met + quiet {
        let site = format!("Site {place:02}");
        charts.push(chart(&review, Some(&site), place < met));
    }
    review.signals = Signals { charts };
    review
}

fn svg(review: &Review) -> String {
    let page = page(review);
    let mut charts = page.charts();
    let chart = charts.find(|chart| chart.stem() == "call_to_scope_followed");
    chart.expect("a followed chart").svg()
}

#[test]
fn few_sites_are_all_drawn_below_all_cases() {
    let review = with_sites(1, 2);
    let svg = svg(&review);
    for name in [
        "All cases (XmR chart)",
        "Site 00 (",
        "Site 01 (",
        "Site 02 (",
    ] {
        assert!(svg.contains(name), "{name}");
    }
    // The rule is named once in each of four charts, though one has two months beyond the limit; once
    // more in the words for who cannot see them.
    assert_eq!(svg.matches("beyond the upper limit").count(), 5);
    assert_eq!(svg.matches("center 51 min").count(), 4);
    assert_eq!(svg.matches("limit 67 min").count(), 4);
    let html = check_page(&review);
    assert!(!html.contains("more site"));
}

#[test]
fn with_many_sites_those_with_a_rule_met_now_are_drawn_and_the_others_counted() {
    let html = check_page(&with_sites(8, 5));
    assert!(html.contains(
        "2 more sites with a rule met in the month in view: not drawn, in tables/signals.csv."
    ));
    assert!(html.contains(
        "5 more sites without a rule met in the month in view: not drawn, in tables/signals.csv."
    ));
    let svg = svg(&with_sites(8, 5));
    assert!(svg.contains("Site 05 (") && !svg.contains("Site 06 (") && !svg.contains("Site 09 ("));
}

#[test]
fn a_rule_that_is_met_again_is_not_told_as_ended() {
    let review = with_sites(1, 1);
    let html = check_page(&review);
    let (_, section) = html.split_once("id=\"signals\"").expect("the section");
    let (now, ended) = section
        .split_once("Rules met before, and no longer")
        .expect("a heading");
    assert!(now.contains("at Site 00: beyond the upper limit in "));
    let (ended, _) = ended.split_once("</ul>").expect("a list");
    assert!(!ended.contains("Site 00") && ended.contains("Site 01"));
}

#[test]
fn every_target_stands_with_the_month_beside_it() {
    let mut review = with_sites(0, 2);
    review.targets.insert("retrieval_success".to_owned(), 0.975);
    let html = check_page(&review);
    assert!(html.contains("Targets of the service"));
    assert!(html.contains("target: 97.5% or more; "));
    assert!(!html.contains("98% or more"));
}
