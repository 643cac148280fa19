//! The sections of comparisons, from counts small enough to look up on the page.

use super::{check_page, invented};
use crate::domain::counts::{CountTables, Key, ShareCount};
use crate::domain::month::Month;
use crate::domain::sequence::EventSequence;
use crate::findings::comparisons::{CaseOrder, Comparisons};
use crate::findings::estimate::Settings;
use crate::findings::review::Review;
use crate::report::page;
use std::collections::BTreeMap;

/// Counts as (measure, dimensions, values, hit, eligible).
const COUNTS: [(&str, &str, &str, u64, u64); 19] = [
    (
        "first_device_success",
        "device+object_type",
        "net|coin",
        30,
        40,
    ),
    (
        "first_device_success",
        "device+object_type",
        "net|food_bolus",
        12,
        20,
    ),
    (
        "first_device_success",
        "device+object_type",
        "snare|coin",
        9,
        18,
    ),
    (
        "first_device_success",
        "device+object_type",
        "snare|food_bolus",
        22,
        45,
    ),
    (
        "first_device_success",
        "device+object_type",
        "basket|coin",
        2,
        3,
    ),
    (
        "first_device_success",
        "device+object_type",
        "rigid|coin",
        0,
        4,
    ),
    (
        "first_device_success",
        "device+object_type",
        "snare|not_recorded",
        1,
        6,
    ),
    (
        "first_device_success",
        "device+object_location",
        "net|stomach",
        20,
        60,
    ),
    (
        "first_device_success",
        "device+object_location",
        "snare|stomach",
        1,
        10,
    ),
    (
        "first_device_success",
        "device+object_location",
        "snare|upper_esophagus",
        9,
        59,
    ),
    ("device_switch", "all", "all", 6, 9),
    ("device_switch", "device+next_device", "net|snare", 5, 8),
    ("device_switch", "device+next_device", "net|basket", 1, 1),
    ("adverse_event", "overtube", "yes", 6, 30),
    ("adverse_event", "overtube", "no", 5, 100),
    ("adverse_event", "overtube+sharp", "yes|yes", 4, 12),
    ("adverse_event", "overtube+sharp", "no|yes", 1, 8),
    ("adverse_event", "protective_aid", "yes", 7, 50),
    ("adverse_event", "protective_aid", "no", 4, 80),
];

fn review(order: &CaseOrder) -> Review {
    let mut review = invented::review();
    let mut switch = review
        .definition("first_device_success")
        .expect("counted")
        .clone();
    switch.id = "device_switch".to_owned();
    review.definitions.push(switch);
    let shares = COUNTS.iter().map(|(measure, by, group, hit, eligible)| {
        let key = Key {
            measure: (*measure).to_owned(),
            version: 1,
            by: (*by).to_owned(),
            group: (*group).to_owned(),
            month: None,
        };
        let count = ShareCount {
            hit: *hit,
            eligible: *eligible,
            excluded: 2,
        };
        (key, count)
    });
    let counts = CountTables {
        shares: shares.collect(),
        ..CountTables::default()
    };
    review.comparisons = Comparisons::new(&counts, &review.definitions, order, Settings::default());
    review
}

/// So many cases before each event, one call a day, three events a month.
fn order(cases_before: &[u64]) -> CaseOrder {
    let first: Month = "2024-01".parse().expect("a month");
    let mut sequence = EventSequence::default();
    let mut minute = 0;
    for (number, cases) in (0_i32..).zip(cases_before) {
        for case in 0..=*cases {
            minute += 1440;
            sequence.push(first.plus(number / 3), minute, case == *cases);
        }
    }
    CaseOrder::Known(BTreeMap::from([("adverse_event".to_owned(), sequence)]))
}

fn section<'a>(html: &'a str, id: &str) -> &'a str {
    html.split(&format!("<section id=\"{id}\""))
        .nth(1)
        .and_then(|rest| rest.split("</section>").next())
        .unwrap_or_else(|| panic!("a section `{id}`"))
}

#[track_caller]
fn holds(section: &str, parts: &[&str]) {
    for part in parts {
        assert!(section.contains(part), "{part}\n{section}");
    }
}

#[test]
fn devices_are_compared_with_counts_intervals_methods_and_a_caution() {
    let html = check_page(&review(&CaseOrder::default()));
    let devices = section(&html, "devices");
    holds(
        devices,
        &[
            "This compares uses, not devices.",
            "3 devices went down first, so 3 comparisons were looked at; p-values are adjusted for all 3 (Holm)",
            "the 98.3% intervals hold all together at 95%",
            "Left out: 6 cases with an object whose type nobody recorded.",
            "Left out: 4 cases with rigid endoscopy first, which by definition is no success.",
            // 40 + 20 nets against 21 + 45 others.
            "<td>60 against 66<span class=\"detail\">60 against 66 informative</span>",
            "Mantel-Haenszel, Sato",
            "fewer than 10 cases on one side",
            // First uses: 40 of the 65 coins.
            "<td>40 of 65 cases</td><td>62%</td>",
            "<td>3 of 65 cases</td>",
            // Within coins: 30 of 40 nets, 11 of 21 others.
            "<td>75% (30 of 40)</td><td>52% (11 of 21)</td>",
            "<th scope=\"row\">retrieval net<span class=\"detail\">Its cases lie more than 0.20 standard \
             deviations (SD) apart from those of the others (object location: 3.44 SD)",
        ],
    );
    assert!(!devices.to_lowercase().contains("best"));
    let at = |text: &str| devices.find(text).expect("a row");
    assert!(at("<th scope=\"row\">snare<span") < at("<th scope=\"row\">retrieval net<span"));
    holds(
        section(&html, "methods"),
        &[
            "Cochran, Mantel and Haenszel",
            "Holm (1979)",
            "Breslow and Day",
            "beta-binomial: ",
        ],
    );
}

#[test]
fn switches_and_harm_with_an_aid_stand_in_tables() {
    let html = check_page(&review(&CaseOrder::default()));
    holds(
        section(&html, "switches"),
        &[
            "<td>snare</td><td>8 of 9 (89%)</td><td>5 of 8 cases</td><td>63%</td>",
            "<td>wire basket</td><td>1 of 9 (11%)</td><td>1 of 1 case</td><td>–</td><td>–</td>",
            "2 cases with more than one device could not be judged",
        ],
    );
    holds(
        section(&html, "protection"),
        &[
            "Overtubes and other aids go to the harder cases",
            "<td>20%<span class=\"detail\">6 of 30 cases; ",
            "<td>5.0%<span class=\"detail\">5 of 100 cases; ",
            "<td>+15 points (",
            "<td>sharp object</td>",
            "fewer than 10 cases on one side",
            "any protective aid",
            "With (95% interval, Clopper-Pearson)",
            "(95% interval of the difference, Newcombe)",
        ],
    );
}

#[test]
fn events_in_their_order_are_charted_with_lines_and_rules() {
    let before: Vec<u64> = [vec![6; 22], vec![1; 8], vec![60]].concat();
    let review = review(&order(&before));
    let html = check_page(&review);
    let harm = section(&html, "harm-over-time");
    holds(
        harm,
        &[
            "31 events in ",
            "eight or more in a row below the middle; events came closer together than before",
            "beyond the upper limit; events lay further apart than before",
            "from the first 20 distances (g chart)",
            "from the first 20 distances (t chart)",
        ],
    );
    assert!(!harm.contains("provisional"));
    let page = page(&review);
    let chart = page
        .charts()
        .find(|chart| chart.stem() == "adverse_event_cases_between");
    let svg = chart.expect("a chart").svg();
    holds(
        &svg,
        &[
            "upper limit",
            "middle",
            "Jan 2024",
            "lines from the left of this",
        ],
    );
    assert!(!chart.expect("a chart").png().is_empty());
    holds(section(&html, "methods"), &["g chart", "t chart"]);
}

#[test]
fn signals_before_the_points_that_are_drawn_are_counted_only() {
    // No run on one side, so that 90 alone is a signal.
    let steady = [3, 12].repeat(11);
    let early = [&steady[..], &[90], &steady.repeat(4)].concat();
    let harm_of = |between: &[u64]| {
        let html = check_page(&review(&order(between)));
        section(&html, "harm-over-time").to_owned()
    };
    let beyond = "beyond the upper limit; events lay further apart than before";
    let harm = harm_of(&early);
    holds(
        &harm,
        &["Cases between events: rules were met 1 time before the distances that are drawn."],
    );
    assert!(!harm.contains(beyond));
    let harm = harm_of(&[&early[..], &[90]].concat());
    holds(&harm, &["rules were met 1 more time before", beyond]);
}

#[test]
fn few_events_have_no_lines_and_elapsed_times_no_chart() {
    let html = check_page(&review(&order(&[3, 5, 2])));
    let harm = section(&html, "harm-over-time");
    holds(
        harm,
        &[
            "Cases between events: 2 distances so far, and lines need 12; no lines are drawn.",
            "Days between events: 2 distances so far, and lines need 20; no lines are drawn.",
        ],
    );
    assert!(!harm.contains("upper limit") && harm.contains("<svg"));

    let html = check_page(&review(&order(&[])));
    holds(
        section(&html, "harm-over-time"),
        &["0 events in 0 judged cases."],
    );
    assert!(!section(&html, "harm-over-time").contains("<svg"));

    let html = check_page(&review(&CaseOrder::Elapsed));
    holds(
        section(&html, "harm-over-time"),
        &["where times are minutes since the call, the cases of a month have no order"],
    );
    let html = check_page(&review(&order(&[8; 15])));
    holds(
        section(&html, "harm-over-time"),
        &["Fewer than 20 distances: the lines are provisional."],
    );
}

#[test]
fn a_share_stands_beside_the_one_drawn_to_the_others() {
    use crate::findings::comparisons::Counted;
    use crate::findings::comparisons::drawn::DrawnShare;
    use crate::findings::comparisons::method::ComparisonMethod;
    let mut review = invented::review();
    let finding = review
        .findings
        .iter()
        .find(|finding| finding.by == "device+object_type" && finding.cases >= 5)
        .expect("a cell")
        .clone();
    review.comparisons.drawn = vec![DrawnShare {
        measure: finding.measure,
        by: finding.by,
        group: finding.group,
        raw: Counted::default(),
        estimate: 0.4321,
        interval: None,
        method: ComparisonMethod::BetaBinomialEffective,
        devices: 4,
    }];
    let html = check_page(&review);
    let page = page(&review);
    let stem = "device_success_by_device_and_object_type";
    let chart = page.charts().find(|chart| chart.stem() == stem);
    holds(&chart.expect("a chart").svg(), &["% (43"]);
    holds(
        &html,
        &[
            "Drawn to the others",
            "Open diamond, and the number in brackets",
        ],
    );
    assert!(!check_page(&invented::review()).contains("Drawn to the others"));
}
