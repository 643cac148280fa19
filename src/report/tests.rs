//! Tests of the whole page, on invented reviews.

mod bleeding;
mod by_month;
mod care;
mod compared;
mod curves;
mod followed;
pub(super) mod invented;
mod look_at;
mod service;
pub(super) mod single;
mod windows;

use super::parts::Part;
use super::{page, sections};
use crate::findings::finding::{Finding, Findings};
use crate::findings::review::{MonthsOfSite, Review};
use std::collections::BTreeSet;

/// What holds for every page.
#[track_caller]
fn check_page(review: &Review) -> String {
    let html = page(review).html();
    for part in [
        "<!DOCTYPE html>",
        "lang=\"en\"",
        "default-src 'none'; style-src 'unsafe-inline'; img-src data:",
        "<main id=\"main\">",
        "id=\"cautions\"",
    ] {
        assert!(html.contains(part), "{part}");
    }
    assert!(!html.contains("<script"), "no script may be there");
    assert!(
        !html.contains("http://")
            || html.matches("http://").count()
                == html
                    .matches("<svg xmlns=\"http://www.w3.org/2000/svg\"")
                    .count()
    );
    assert!(!html.contains("https://") && !html.contains("url("));
    for word in ["NaN", ">inf", "inf%", "inf min", "None", "Some("] {
        assert!(!html.contains(word), "{word}");
    }
    let count = |what: &str| html.matches(what).count();
    assert_eq!(count("<table>"), count("<caption>"));
    assert_eq!(count("<table>"), count("<thead>"));
    assert_eq!(
        count("<th "),
        count("<th scope=\"col\"") + count("<th scope=\"row\"")
    );
    assert!(!html.contains("<th>"));
    assert_eq!(count("<figure>"), count("<figcaption>"));
    assert_eq!(count("<figure>"), count("<svg"));
    assert_eq!(count("<figure>"), count("role=\"img\""));
    assert_eq!(count("<figure>"), count("<details>"));
    assert!(html.len() < 2_000_000, "{} bytes", html.len());
    html
}

fn attribute_values<'a>(html: &'a str, attribute: &str) -> Vec<&'a str> {
    html.split(attribute)
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .collect()
}

#[test]
fn a_usual_month_has_every_section_and_every_link_leads_somewhere() {
    let html = check_page(&invented::review());
    let ids = attribute_values(&html, " id=\"");
    let unique: BTreeSet<_> = ids.iter().collect();
    assert_eq!(unique.len(), ids.len(), "ids are unique");
    for section in [
        "summary",
        "time",
        "window",
        "retrieval",
        "airway",
        "harm",
        "calls",
        "quality",
        "definitions",
        "methods",
        "cautions",
        "words",
        "writing-up",
    ] {
        assert!(ids.contains(&section), "{section}");
    }
    for target in attribute_values(&html, "href=\"#") {
        assert!(ids.contains(&target), "{target}");
    }
}

#[test]
fn every_section_has_a_part_and_the_parts_follow_each_other() {
    for review in [invented::review(), invented::empty()] {
        let sections = sections::all(&review);
        let parts: Vec<_> = sections
            .iter()
            .map(|section| {
                let part = Part::of(section.id);
                part.unwrap_or_else(|| panic!("`{}` has no part in `parts`", section.id))
            })
            .collect();
        let place = |part| Part::ALL.iter().position(|known| *known == part);
        assert!(parts.is_sorted_by_key(|part| place(*part)), "{parts:?}");
    }
}

#[test]
fn each_chart_answers_a_question_under_a_name_of_its_own() {
    let page = page(&invented::review());
    let stems: BTreeSet<_> = page.charts().map(|chart| chart.stem()).collect();
    assert_eq!(stems.len(), page.charts().count());
    assert!(stems.contains("call_to_scope_by_month"));
    assert!(stems.contains("device_success_by_device_and_object_type"));
    for chart in page.charts() {
        let svg = chart.svg();
        let title = svg
            .split("<title>")
            .nth(1)
            .and_then(|rest| rest.split("</title>").next());
        assert!(
            title.is_some_and(|title| title.ends_with('?')),
            "{}",
            chart.stem()
        );
        let question = title.map(|title| format!("<p class=\"question\">{title}</p>"));
        assert!(
            question.is_some_and(|question| page.html().contains(&question)),
            "{}",
            chart.stem()
        );
    }
}

#[test]
fn the_same_review_gives_the_same_page() {
    assert_eq!(page(&invented::review()), page(&invented::review()));
}

#[test]
fn one_month_of_one_site_with_a_hostile_name_is_escaped() {
    let name = "<script>alert('x')</script>";
    let review = invented::with_months(1, &[name, "\"><img src=x>"]);
    let page = page(&review);
    check_page(&review);
    assert!(page.html().contains("&lt;script&gt;alert"));
    assert!(!page.html().contains("<img"));
    let by_site = page
        .charts()
        .find(|chart| chart.stem() == "call_to_scope_by_site");
    assert!(by_site.is_some_and(|chart| !chart.svg().contains("<script")));
}

#[test]
fn a_review_without_a_single_case_is_a_page_that_says_so() {
    let review = invented::empty();
    let html = check_page(&review);
    assert_eq!(page(&review).charts().count(), 0);
    assert!(html.contains("There is nothing that this month can be compared with."));
    assert!(html.contains("no such cases"));
    assert!(html.contains("No issues were found in the rows."));
}

#[test]
fn rows_flow_to_measures_in_a_table() {
    let html = check_page(&invented::review());
    assert!(html.contains("From rows to measures: 816 accepted cases in each measure"));
    assert!(html.contains("772 followed to the end"));
    assert!(html.contains("402 of 1,301 judged passes met the definition"));
    assert!(!check_page(&invented::empty()).contains("From rows to measures"));
}

#[test]
fn counts_over_unlike_months_are_told_site_by_site() {
    let mut review = invented::with_months(3, &["Alder"]);
    assert!(!check_page(&review).contains("cover unlike months"));
    review.months_of_sites = [("Alder", review.first_month), ("Cedar", review.last_month)]
        .map(|(site, first)| MonthsOfSite {
            site: site.to_owned(),
            first,
            last: review.last_month,
            has_gaps: site == "Alder",
        })
        .into();
    let html = check_page(&review);
    assert!(html.contains("cover unlike months") && html.contains("of Cedar September 2026)"));
    assert!(html.contains("of Alder July 2026 to September 2026 with gaps"));
}

#[test]
fn measures_that_were_not_counted_leave_no_section_behind() {
    let mut review = invented::review();
    review.definitions.clear();
    review.headlines.clear();
    let html = check_page(&review);
    for section in [
        "time",
        "window",
        "retrieval",
        "airway",
        "harm",
        "calls",
        "other",
    ] {
        assert!(!html.contains(&format!("id=\"{section}\"")), "{section}");
    }
}

#[test]
fn a_measure_of_the_service_s_own_stands_under_other_measures() {
    let mut review = invented::review();
    let mut own = review.definition("overtube_used").expect("counted").clone();
    own.id = "jaw_thrust".to_owned();
    own.title = "Jaw thrust & <more>".to_owned();
    review.definitions.push(own);
    let html = check_page(&review);
    assert!(html.contains("<h3>Jaw thrust &amp; &lt;more&gt;</h3>"));
    assert!(html.contains("Jaw thrust &amp; &lt;more&gt;: no such cases in the months shown."));
}

#[test]
fn no_event_is_told_with_what_it_cannot_rule_out() {
    let mut review = invented::review();
    let changed = review.findings.iter().cloned().map(|mut finding| {
        if finding.measure == "adverse_event" && finding.by == "all" && finding.month.is_none() {
            finding = Finding {
                measure: finding.measure,
                ..single::share(0, 40)
            };
            finding.high = Some(0.0881);
        }
        finding
    });
    review.findings = Findings::new(changed.collect());
    let html = check_page(&review);
    assert!(
        html.contains("no event recorded in 40 cases. So few cases cannot rule out up to 9 in 100")
    );
}

#[test]
fn withheld_numbers_take_single_cases_off_the_page() {
    let mut review = invented::review();
    let suppressed = review.findings.iter().cloned().map(|mut finding| {
        finding.suppressed = finding.by == "site";
        finding
    });
    review.findings = Findings::new(suppressed.collect());
    let html = check_page(&review);
    assert!(html.contains("withheld"));
    assert!(!html.contains("Small dots: single cases"));
}

#[test]
fn groups_stand_in_the_order_of_their_list_not_of_their_numbers() {
    let html = check_page(&invented::review());
    let table = html
        .split("<caption>Object retrieved by object type")
        .nth(1)
        .expect("a table by object type");
    let at = |label: &str| table.find(label).expect("a row");
    assert!(at("food without bone") < at("fish bone") && at("fish bone") < at("coin"));
    assert!(at("coin") < at("disc battery") && at("disc battery") < at("denture"));
}

#[test]
fn a_great_many_cases_are_not_drawn_one_by_one() {
    let mut review = invented::review();
    for count in review.counts.minutes.values_mut() {
        for cases in count.cases.values_mut() {
            *cases *= 1_000_000;
        }
    }
    let html = check_page(&review);
    assert!(!html.contains("Small dots: single cases"));
}

#[test]
fn cases_without_a_judgment_are_told_from_no_cases() {
    let mut review = invented::review();
    let unjudged = review.findings.iter().cloned().map(|finding| {
        if finding.measure == "adverse_event" && finding.by == "all" {
            Finding {
                measure: finding.measure,
                month: finding.month,
                excluded: 2,
                ..single::share(0, 0)
            }
        } else {
            finding
        }
    });
    review.findings = Findings::new(unjudged.collect());
    let html = check_page(&review);
    assert!(html.contains("September 2026: no case could be judged (2 not judged)."));
    assert!(
        html.contains(
            "Adverse event: no case could be judged (48 not judged) in the months shown."
        )
    );
    assert!(!html.contains("0 of 0"));
}

#[test]
fn without_passes_no_word_compares_devices() {
    let mut review = invented::review();
    let kept = review
        .findings
        .iter()
        .filter(|finding| finding.measure != "device_success");
    review.findings = Findings::new(kept.cloned().collect());
    review.quality.passes = None;
    let html = check_page(&review);
    assert!(html.contains("No passes were given"));
    assert!(!html.contains("This compares uses, not devices"));
    assert!(check_page(&invented::review()).contains("This compares uses, not devices"));
}

#[test]
fn the_words_beside_a_chart_of_groups_are_not_cut() {
    let mut review = invented::review();
    let censored = review.findings.iter().cloned().map(|mut finding| {
        finding.cases += 12_000;
        finding.censored = finding.cases / 10;
        finding
    });
    review.findings = Findings::new(censored.collect());
    let page = page(&review);
    let shift = page
        .charts()
        .find(|chart| chart.stem() == "arrival_to_scope_by_shift");
    let svg = shift.expect("a chart").svg();
    assert!(svg.contains("censored") && !svg.contains('…'));
    assert!(
        page.html()
            .contains("Censored: cancelled or transferred before the end")
    );
}

#[test]
fn a_month_amid_the_records_says_that_later_months_are_in_the_whole_period() {
    let mut review = invented::review();
    review.month = review.last_month.plus(-12);
    let html = check_page(&review);
    assert!(html.contains(
        "<figcaption>October 2024 to September 2026 (with the months after September 2025)."
    ));
    assert!(!check_page(&invented::review()).contains("with the months after"));
}

#[test]
fn groups_that_are_all_too_small_to_draw_stand_in_a_table() {
    let mut review = invented::review();
    let small = review.findings.iter().cloned().map(|finding| {
        if finding.by == "device+object_type" {
            Finding {
                cases: finding.cases.min(4),
                ..finding
            }
        } else {
            finding
        }
    });
    review.findings = Findings::new(small.collect());
    check_page(&review);
    let stem = "device_success_by_device_and_object_type";
    assert!(page(&review).charts().all(|chart| chart.stem() != stem));
    assert!(
        page(&review)
            .html()
            .contains("Pass brought the object out by device and object type")
    );
}
