//! The section about guideline windows.

use super::check_page;
use super::invented;
use super::single;
use crate::domain::codes::Urgency;
use crate::domain::window::{ClockStart, GuidelineWindow, WindowChoice, WindowLength};
use crate::findings::finding::{Finding, Findings};

/// The page, with two windows of which only the first has a finding.
fn page_with_windows(finding: Option<Finding>) -> String {
    let window = |id: &str, status: &str, minutes| GuidelineWindow {
        id: id.to_owned(),
        applies_to: format!("adults; {id}"),
        urgency: Urgency::Emergent,
        length: (minutes > 0).then_some(WindowLength {
            minutes,
            is_inclusive: id != "stomach",
        }),
        clock_start: ClockStart::NotStated,
        source: "ESGE 2016".to_owned(),
        status: status.to_owned(),
        note: "at the latest".to_owned(),
        choice: match id {
            "stomach" => WindowChoice::SwitchedOn,
            "coin" => WindowChoice::SwitchedOff,
            _ => WindowChoice::Default,
        },
    };
    let mut review = invented::review();
    review.windows = vec![
        window("complete", "verified", 360),
        window("stomach", "secondary", 90),
        window("coin", "from memory", 0),
    ];
    let mut findings: Vec<_> = review.findings.iter().cloned().collect();
    findings.extend(finding.map(|finding| Finding {
        measure: "scoped_within_window".to_owned(),
        by: "window_id".to_owned(),
        group: "complete".to_owned(),
        ..finding
    }));
    review.findings = Findings::new(findings);
    let html = check_page(&review);
    let table = html
        .split("<caption>The guideline windows, and cases scoped within each, October 2024 to")
        .nth(1)
        .and_then(|rest| rest.split("</table>").next())
        .expect("a table of windows");
    table.to_owned()
}

#[test]
fn the_windows_stand_on_the_page_with_their_source_and_their_share() {
    let table = page_with_windows(Some(single::share(45, 60)));
    for part in [
        "adults; complete<span class=\"detail\">at the latest</span>\
         <span class=\"detail\">row complete</span>",
        "<td>emergent</td>",
        "<td>within 6 hours</td>",
        "<td>in less than 90 min</td>",
        "<td>none</td>",
        "<span class=\"detail\">switched on by the site</span>\
         <span class=\"detail\">row stomach</span>",
        "switched off by the site",
        "<td>not stated<span class=\"detail\">here: arrival at this hospital</span></td>",
        "ESGE 2016<span class=\"detail\">verified in the guideline</span>",
        "secondary: read in another page about it",
        "from memory: not seen while this was written",
        "<td>75%<span class=\"detail\">45 of 60 cases; ",
        "<td>no cases</td>",
    ] {
        assert!(table.contains(part), "{part}");
    }
    let unjudged = page_with_windows(Some(Finding {
        excluded: 3,
        ..single::share(0, 0)
    }));
    assert!(unjudged.contains("<td>no case could be judged (3 not judged)</td>"));
    // One that is switched off holds no case to be told of.
    assert_eq!(table.matches("<td>no cases</td>").count(), 1);
    // Counts without a split by window know nothing of single windows.
    assert!(!page_with_windows(None).contains("no cases"));
}

#[test]
fn cases_without_a_window_are_told_by_why_they_have_none() {
    let mut review = invented::review();
    let mut findings: Vec<_> = review.findings.iter().cloned().collect();
    findings.push(Finding {
        measure: "scoped_within_window".to_owned(),
        by: "urgency".to_owned(),
        group: "not_assignable".to_owned(),
        excluded: 34,
        ..single::share(0, 0)
    });
    review.findings = Findings::new(findings);
    let html = check_page(&review);
    assert!(html.contains("window not assignable, since"));
    assert!(html.contains("speaks of such a case: 34 cases. No window by the guideline"));
    assert!(html.contains("lets the case be watched: no cases. Neither are judged."));
}
