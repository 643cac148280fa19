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
        preferred_minutes: (minutes == 360).then_some(120),
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
        "<td>within 6 hours<span class=\"detail\">preferred: within 2 hours</span></td>",
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
fn cases_that_are_not_judged_are_told_by_why_and_the_reasons_add_up() {
    let mut review = invented::review();
    "arrival".clone_into(&mut review.window_start);
    let mut findings: Vec<_> = review.findings.iter().cloned().collect();
    let excluded = |by: &str, group: &str, excluded| Finding {
        measure: "scoped_within_window".to_owned(),
        by: by.to_owned(),
        group: group.to_owned(),
        month: None,
        excluded,
        ..single::share(0, 0)
    };
    findings.retain(|finding| finding.measure != "scoped_within_window");
    findings.extend([
        excluded("all", "all", 47),
        excluded("why_not_judged", "not_assignable", 34),
        excluded("why_not_judged", "no_time", 10),
        excluded("why_not_judged", "no_start", 2),
        excluded("why_not_judged", "out_of_range", 1),
    ]);
    review.findings = Findings::new(findings);
    let html = check_page(&review);
    for part in [
        ": 47 cases. Each counts under the first reason that holds:",
        "or no window in force is for such a case: 34 cases</li>",
        "each with what the guideline says instead: 10 cases</li>",
        "arrival not recorded, or a patient on a ward, who had arrived long \
         before: 2 cases</li>",
        "<li>scope in not recorded: no cases</li>",
        "more than 30 days after it: 1 case</li>",
    ] {
        assert!(html.contains(part), "{part}");
    }
}

#[test]
fn windows_that_are_off_as_shipped_stand_apart_with_why() {
    let mut review = invented::review();
    let window = |id: &str, status: &str| GuidelineWindow {
        id: id.to_owned(),
        applies_to: format!("adults; {id}"),
        urgency: Urgency::Urgent,
        length: None,
        preferred_minutes: None,
        clock_start: ClockStart::NotStated,
        source: "ASGE 2011".to_owned(),
        status: status.to_owned(),
        note: "may be watched".to_owned(),
        choice: WindowChoice::OffByDefault,
    };
    review.windows = vec![
        window("varices", "from memory"),
        window("coin", "secondary"),
    ];
    let html = check_page(&review);
    let table = html
        .split("<caption>Windows that are off as shipped")
        .nth(1)
        .and_then(|rest| rest.split("</table>").next())
        .expect("a table of windows that are off");
    assert!(table.contains("<td>from memory, and only what was checked is on"));
    assert!(table.contains("<td>guidelines disagree, and the window of another is on"));
    assert!(!html.contains("<caption>The guideline windows, and cases"));
}
