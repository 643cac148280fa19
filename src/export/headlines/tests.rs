use super::*;
use crate::domain::counts::{ALL, CountTables};
use crate::domain::exposure::StaffedWeek;
use crate::export::findings::tests::share;
use crate::export::table::Format;
use crate::findings::comparisons::Comparisons;
use crate::findings::curves::Curves;
use crate::findings::finding::Findings;
use crate::findings::flow::Flow;
use crate::findings::review::DataQuality;
use crate::findings::signals::Signals;
use std::collections::BTreeMap;

/// A review with these headlines and nothing else.
pub(in crate::export) fn review(headlines: Vec<Headline>) -> Review {
    let month = "2026-09".parse().unwrap();
    Review {
        site: None,
        to_look_at: Vec::new(),
        month,
        first_month: month,
        last_month: month,
        months_of_sites: Vec::new(),
        months_before: 12,
        window_start: "the call".to_owned(),
        units: Vec::new(),
        windows: Vec::new(),
        definitions: vec![],
        findings: Findings::default(),
        before: Findings::default(),
        missing: Findings::default(),
        headlines,
        comparisons: Comparisons::default(),
        inputs: Vec::new(),
        curves: Curves::default(),
        funnels: Vec::new(),
        calls_by_hour: None,
        signals: Signals::default(),
        phases: Vec::new(),
        staffed_week: StaffedWeek::default(),
        targets: BTreeMap::new(),
        is_from_counts: false,
        shared: None,
        counts: CountTables::default(),
        flow: Flow::default(),
        quality: DataQuality::default(),
        level: 0.95,
        tool_version: "0",
        made_on: None,
    }
}

fn csv(headlines: Vec<Headline>) -> String {
    let table = headlines_table(&review(headlines)).unwrap();
    String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap()
}

fn headline(month: Option<Finding>, before: Option<Finding>, change: Change) -> Headline {
    Headline {
        measure: "overtube_used".to_owned(),
        month,
        before,
        change,
    }
}

const RISE: Change = Change::Difference {
    estimate: 0.25,
    low: -0.125,
    high: 0.5,
};

#[test]
fn shows_both_sides_and_what_can_be_said_about_the_change() {
    let before = Finding {
        month: None,
        estimate: Some(0.5),
        low: None,
        high: None,
        events: 5,
        cases: 10,
        ..share(ALL)
    };
    let text = csv(vec![
        headline(Some(share(ALL)), Some(before), RISE),
        headline(Some(share(ALL)), None, Change::TooFewCases { needed: 10 }),
        headline(None, None, Change::NotCompared),
    ]);
    let month = "0.75,0.300641842582402,1,3,4";
    let expected = format!(
        "measure,statistic,unit,month,month_estimate,month_low,month_high,month_events,month_cases,\
         before_estimate,before_low,before_high,before_events,before_cases,months_before,\
         difference,difference_low,difference_high,change\n\
         overtube_used,share,fraction,2026-09,{month},0.5,,,5,10,12,0.25,-0.125,0.5,difference\n\
         overtube_used,share,fraction,2026-09,{month},,,,,,12,,,,too_few_cases\n\
         overtube_used,,,2026-09,,,,,,,,,,,12,,,,not_compared\n"
    );
    assert_eq!(text, expected);
}

#[test]
fn a_difference_does_not_give_a_suppressed_side_back() {
    let hidden = Finding {
        suppressed: true,
        ..share(ALL)
    };
    let row = |month: &Finding, before: &Finding| {
        let text = csv(vec![headline(
            Some(month.clone()),
            Some(before.clone()),
            RISE,
        )]);
        text.lines().nth(1).unwrap().to_owned()
    };
    let shown = "0.75,0.300641842582402,1,3,4";
    assert_eq!(
        row(&hidden, &share(ALL)),
        format!("overtube_used,share,fraction,2026-09,,,,,,{shown},12,,,,not_compared")
    );
    assert_eq!(
        row(&share(ALL), &hidden),
        format!("overtube_used,share,fraction,2026-09,{shown},,,,,,12,,,,not_compared")
    );
}
