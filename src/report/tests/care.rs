//! Harm by kind and grade, passes, the mix of cases, and numbers whose coding deserves a look.

use super::{check_page, invented, single};
use crate::domain::month::Month;
use crate::findings::finding::{Finding, Findings, Statistic, Unit};
use crate::findings::review::Review;

/// The review with some findings put in the place of those of the same measure and split.
fn with(mut review: Review, findings: Vec<Finding>) -> Review {
    let is_replaced = |known: &Finding| {
        findings
            .iter()
            .any(|new| (&new.measure, &new.by) == (&known.measure, &known.by))
    };
    let kept: Vec<_> = review
        .findings
        .iter()
        .filter(|known| !is_replaced(known))
        .cloned()
        .collect();
    review.findings = Findings::new(kept.into_iter().chain(findings).collect());
    review
}

fn share(measure: &str, by: &str, group: &str, events: u64, cases: u64) -> Finding {
    Finding {
        measure: measure.to_owned(),
        by: by.to_owned(),
        group: group.to_owned(),
        ..single::share(events, cases)
    }
}

#[test]
fn a_number_far_from_what_is_published_is_told_beside_it_and_under_data_quality() {
    let of_success = |events| {
        let review = with(
            invented::review(),
            vec![
                share("retrieval_success", "all", "all", events, 100),
                Finding {
                    month: Some(invented::review().month),
                    ..share("retrieval_success", "all", "all", 9, 10)
                },
                share("retrieval_success", "site", "Alder", 90, 100),
            ],
        );
        check_page(&review)
    };
    let doubted = of_success(72);
    let told = "Check coding: Object retrieved, October 2024 to September 2026, is below 80%: \
                72.0% (72 of 100 cases)";
    assert_eq!(doubted.matches(told).count(), 2);
    assert!(doubted.contains("<h3>Check coding</h3>"));
    assert!(doubted.contains("check coding, see Data quality"));
    let quiet = of_success(95);
    assert!(!quiet.contains("Check coding") && !quiet.contains("check coding"));
}

#[test]
fn kinds_of_harm_are_shares_of_all_judged_cases_and_none_is_no_proof() {
    let zero = Finding {
        high: Some(0.0881),
        ..share("adverse_event", "adverse_event", "perforation", 0, 40)
    };
    let review = with(
        invented::review(),
        vec![
            share("adverse_event", "adverse_event", "mucosal_tear", 6, 40),
            zero,
        ],
    );
    let html = check_page(&review);
    assert!(html.contains("Events by kind, October 2024 to September 2026"));
    assert!(html.contains("6 of 40 cases"));
    assert!(html.contains(
        "Not recorded in any of 40 cases: perforation. So few cases cannot rule out up to 9 in 100 \
         of each (95% interval, Wilson)."
    ));
}

#[test]
fn grades_stand_under_their_own_scale() {
    let by = "adverse_scale+adverse_grade";
    let review = with(
        invented::review(),
        vec![
            share("graded_harm", by, "agree|grade_3a", 2, 5_432),
            share("graded_harm", by, "asge_lexicon|severe", 1, 4_321),
        ],
    );
    let html = check_page(&review);
    let of_lexicon = html.find("Grades under ASGE lexicon").expect("a table");
    let of_agree = html.find("Grades under AGREE").expect("a table");
    let severe = html.find("1 of 4,321 cases").expect("a row");
    let third = html.find("2 of 5,432 cases").expect("a row");
    assert!(of_lexicon < severe && severe < of_agree && of_agree < third);
}

#[test]
fn a_bound_too_small_for_one_decimal_is_not_told_as_none() {
    let review = with(
        invented::review(),
        vec![Finding {
            high: Some(0.000_004),
            ..share("adverse_event", "all", "all", 0, 1_000_000)
        }],
    );
    assert!(check_page(&review).contains("cannot rule out up to 0.05 in 100"));
}

#[test]
fn passes_are_parts_of_the_cases_whose_passes_are_known() {
    let by = "passes_in_case";
    let review = with(
        invented::review(),
        vec![
            share("retrieval_success", by, "1", 58, 60),
            share("retrieval_success", by, "4_up", 15, 20),
            share("retrieval_success", by, "not_recorded", 3, 9),
        ],
    );
    let html = check_page(&review);
    for text in [
        "60 of 80 (75%)",
        "58 of 60 (97%)",
        "20 of 80 (25%)",
        "4 or more",
    ] {
        assert!(html.contains(text), "{text}");
    }
    assert!(!html.contains("3 of 9"));
}

#[test]
fn the_mix_of_cases_stands_month_by_month() {
    let month = Month::new(2026, 9).expect("a month");
    let calls = |group: &str, month, events| Finding {
        statistic: Statistic::Rate,
        unit: Unit::Per30SiteDays,
        month,
        events,
        ..share("calls", "age_group", group, events, events)
    };
    let review = with(
        invented::review(),
        vec![
            calls("pediatric", None, 60),
            calls("pediatric", Some(month), 7),
            calls("18_39", None, 20),
            calls("80_up", None, 0),
        ],
    );
    let html = check_page(&review);
    let section = html.split("id=\"case_mix\"").nth(1).expect("a section");
    let table = section
        .split("<caption>Calls by age group and month")
        .nth(1);
    let table = table.and_then(|rest| rest.split("</table>").next());
    let table = table.expect("a table");
    assert!(table.contains("under 18 years") && table.contains("60 of 80 (75%)"));
    assert!(table.contains("Oct 2025") && table.contains(">Sep<") && table.contains(">7<"));
    assert!(
        !table.contains("80 years and over"),
        "nobody of that age came"
    );
}
