//! Tests of the section about bleeds.

use super::{check_page, invented, single};
use crate::domain::issue::IssueCode;
use crate::domain::measure::{Better, Definition, MeasureKind};
use crate::findings::finding::{Finding, Findings, Method, Statistic, Unit};
use crate::findings::review::Review;

fn definition(id: &str, kind: MeasureKind) -> Definition {
    Definition {
        id: id.to_owned(),
        version: 1,
        kind,
        title: format!("Title of {id}"),
        question: "How often?".to_owned(),
        eligible: "a bleed".to_owned(),
        hit: "a hit".to_owned(),
        better: Better::Neither,
        source: "common practice, no source".to_owned(),
        sql: String::new(),
    }
}

fn rate(by: &str, group: &str, events: u64) -> Finding {
    Finding {
        measure: "upper_bleeds".to_owned(),
        kind: MeasureKind::Count,
        by: by.to_owned(),
        group: group.to_owned(),
        statistic: Statistic::Rate,
        method: Method::Garwood,
        unit: Unit::Per30SiteDays,
        excluded: 0,
        ..single::share(events, events)
    }
}

fn rescue(events: u64, cases: u64, excluded: u64) -> Finding {
    Finding {
        measure: "rescue_treatment".to_owned(),
        excluded,
        ..single::share(events, cases)
    }
}

/// A review that counted two measures of bleeds, with these findings.
fn review(findings: Vec<Finding>) -> Review {
    let mut review = invented::review();
    review.definitions.extend([
        definition("rescue_treatment", MeasureKind::Share),
        definition("upper_bleeds", MeasureKind::Count),
    ]);
    let all = review.findings.iter().cloned().chain(findings);
    review.findings = Findings::new(all.collect());
    review
}

/// The section alone.
fn section(review: &Review) -> String {
    let html = check_page(review);
    let (_, section) = html.split_once("id=\"bleeding\"").expect("the section");
    let (section, _) = section.split_once("</section>").expect("its end");
    section.to_owned()
}

#[test]
fn without_a_bleed_the_section_is_one_line() {
    let section = section(&review(Vec::new()));
    assert!(section.contains("No bleed is among the cases."));
    assert!(!section.contains("<table>"));
    assert!(!check_page(&invented::review()).contains("id=\"bleeding\""));
}

#[test]
fn no_bleed_is_told_from_bleeds_without_fields() {
    let section = section(&review(vec![rescue(0, 0, 0), rate("all", "all", 0)]));
    assert!(
        section.contains("No bleed is among the cases."),
        "{section}"
    );
    assert!(!section.contains("the export gives none of the fields"));
}

#[test]
fn without_a_field_about_bleeds_the_section_is_one_line() {
    let section = section(&review(vec![
        rescue(0, 0, 12),
        rate("all", "all", 12),
        rate("rockall", "not_recorded", 12),
    ]));
    assert!(section.contains("the export gives none of the fields"));
    assert!(!section.contains("<table>"));
}

#[test]
fn what_became_of_bleeds_stands_beside_how_severe_they_were() {
    let mut review = review(vec![
        rescue(3, 40, 5),
        Finding {
            by: "presentation".to_owned(),
            group: "upper_bleed".to_owned(),
            ..rescue(2, 30, 4)
        },
        rate("all", "all", 45),
        rate("rockall", "8_11", 17),
        rate("rockall", "0_2", 19),
        rate("rockall", "not_computed_low", 1),
        rate("rockall", "not_computed_high", 5),
        rate("rockall", "not_computed_open", 2),
        rate("rockall", "not_computed", 1),
        rate("treatment", "clip", 45),
        rate("treatment", "glue", 0),
    ]);
    review.units = vec![("urea", "BUN mg/dL"), ("hemoglobin", "g/L")];
    let section = section(&review);
    for text in [
        "3 of 40 cases",
        "2 of 30 cases",
        "Title of upper_bleeds by Rockall score",
        "8 to 11",
        "Rockall score: computed in 36 of 45 cases; of the others 1 certainly 0 to 2, \
         5 certainly 3 to 11, 2 may be 0 to 2 or 3 to 11, 1 under 18 years.",
        "95% intervals: Wilson",
        "urea in BUN mg/dL, hemoglobin in g/L",
        "check them against the chart",
    ] {
        assert!(section.contains(text), "{text}");
    }
    // Bands in the order of their list; codes that did not come up are left out.
    assert!(section.find("0 to 2") < section.find("8 to 11"));
    assert!(section.contains(">clip<") && !section.contains("glue injection"));
    assert!(!section.contains("check units and components"));
}

#[test]
fn exported_scores_that_differ_often_ask_to_check_the_units() {
    let mut review = review(vec![rate("all", "all", 170), rate("rockall", "8_11", 170)]);
    let score = "exported_glasgow_blatchford";
    review.quality.completeness = vec![(score, 160)];
    let key = (IssueCode::ScoreDiffers, score, "");
    review.quality.issues.insert(key, 141);
    let caution = "141 of 160 values of `exported_glasgow_blatchford` differ from the score that \
                   the components give: check units and components.";
    assert!(section(&review).contains(caution), "{}", section(&review));
    review.quality.issues.insert(key, 16);
    assert!(
        !section(&review).contains("check units"),
        "16 of 160 are 10%"
    );
}

#[test]
fn a_share_of_those_followed_has_the_lowest_that_it_can_be_beside_it() {
    let death = |events, cases, excluded| Finding {
        measure: "death_30d".to_owned(),
        ..rescue(events, cases, excluded)
    };
    let with = |finding| {
        let mut review = review(vec![rescue(4, 80, 40), finding]);
        let share = MeasureKind::Share;
        review.definitions.push(definition("death_30d", share));
        section(&review)
    };
    // 12 of 80 judged are 15%; 12 of 80 and 40 are 10%.
    let told = with(death(12, 80, 40));
    assert!(told.contains("10.0% (12 of 120 cases)"), "{told}");
    assert!(told.contains("judged only when followed to the last day"));
    // Rescue is judged by its own field, whatever happened.
    assert!(!told.contains("4 of 120"), "{told}");
    assert!(!with(death(12, 80, 0)).contains("(12 of 80 cases)"));
}

#[test]
fn without_scores_the_section_speaks_of_none() {
    let section = section(&review(vec![rescue(3, 40, 5), rate("all", "all", 45)]));
    assert!(section.contains("3 of 40 cases"));
    assert!(!section.contains("Scores"));
}
