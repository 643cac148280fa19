//! The pages on cart, scope care and where the time went, from counts made by hand.

use super::{check_page, invented};
use crate::domain::counts::{ALL, CountTables, EventsCount, Key, MinutesCount, ShareCount};
use crate::domain::measure::Definition;
use crate::findings::cart::missing_from_carts;
use crate::findings::estimate::{Settings, findings};
use crate::findings::review::Review;
use crate::measure::built_in;
use crate::report::page;
use std::num::NonZeroUsize;

fn definition(id: &str) -> Definition {
    let mut measures = built_in().into_iter();
    measures
        .find(|measure| measure.id == id)
        .expect("a built-in measure")
}

fn key(measure: &str, by: &str, group: &str) -> Key {
    Key {
        by: by.to_owned(),
        group: group.to_owned(),
        ..Key::of_all(&definition(measure), None)
    }
}

/// A review of these counts alone.
fn review(measures: &[&str], counts: CountTables) -> Review {
    let mut review = invented::review();
    review.definitions = measures.iter().map(|id| definition(id)).collect();
    review.findings = findings(&counts, Settings::default(), NonZeroUsize::MIN);
    review.missing = missing_from_carts(&counts, Settings::default());
    review.counts = counts;
    review.headlines.clear();
    review
}

fn minutes(cases: &[(i64, u64)], excluded: u64) -> MinutesCount {
    let cases = cases.iter().map(|(value, cases)| ((*value, true), *cases));
    MinutesCount {
        cases: cases.collect(),
        excluded,
    }
}

fn section(html: &str, id: &str) -> String {
    let start = html.split(&format!("<section id=\"{id}\"")).nth(1);
    let text = start.and_then(|rest| rest.split("</section>").next());
    text.unwrap_or_else(|| panic!("no section {id}")).to_owned()
}

const PARTS: [&str; 4] = [
    "wait_for_team",
    "wait_for_cart",
    "wait_for_airway",
    "wait_for_scope",
];

/// Thirty cases, ten each of 36, 50 and 14 minutes: 10 + 10 + 10 + 6, 20 + 30 + 0 + 0 and
/// 10 + 0 + 0 + 4. Four fifths of the 1000 minutes are the first two parts, half of it each.
#[test]
fn the_page_tells_where_the_time_went_and_that_its_shares_have_no_interval() {
    let mut counts = CountTables::default();
    for (part, lengths) in PARTS.iter().zip([
        &[(10, 20), (20, 10)][..],
        &[(0, 10), (10, 10), (30, 10)],
        &[(0, 20), (10, 10)],
        &[(0, 10), (4, 10), (6, 10)],
    ]) {
        for (by, group) in [(ALL, ALL), ("shift", "after_hours")] {
            let count = minutes(lengths, 7);
            counts.minutes.insert(key(part, by, group), count);
        }
        let few = minutes(
            &lengths[..1]
                .iter()
                .map(|(m, _)| (*m, 3))
                .collect::<Vec<_>>(),
            0,
        );
        counts.minutes.insert(key(part, "shift", "in_hours"), few);
    }
    let review = review(&PARTS, counts);
    let html = check_page(&review);
    let text = section(&html, "parts");
    for part in [
        "40%<span class=\"detail\">30 cases</span><span class=\"detail\">7 not judged</span>",
        "10%<span class=\"detail\">30 cases</span>",
        "Shares of time have no interval",
        "none of the three comes after scope in",
        "<td>30</td><td>7</td><td>40%<span class=\"detail\">median 10 min (10 to 20 min)</span>",
        "too few for a percentage",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let page = page(&review);
    let chart = page
        .charts()
        .find(|chart| chart.stem() == "parts_of_call_to_scope");
    let svg = chart.expect("a chart of the parts").svg();
    for part in [
        "1: 40%", "2: 40%", "3: 10%", "4: 10%", "30 cases", "3 cases",
    ] {
        assert!(svg.contains(part), "{part}");
    }
    assert!(section(&html, "methods").contains("ratio\u{a0}of\u{a0}sums: Share of time"));
}

#[test]
fn without_a_case_with_all_five_times_there_is_no_chart_of_parts() {
    let mut counts = CountTables::default();
    for part in PARTS {
        counts.minutes.insert(key(part, ALL, ALL), minutes(&[], 12));
    }
    let review = review(&PARTS, counts);
    let text = section(&check_page(&review), "parts");
    assert!(text.contains("no case could be judged (12 not judged)"));
    assert_eq!(page(&review).charts().count(), 0);
}

#[test]
fn a_handover_alone_is_told_as_a_lower_bound_and_blanks_are_counted() {
    let measures = [
        "handover_within_60",
        "scope_out_to_handover",
        "scope_out_to_manual_clean",
    ];
    let mut counts = CountTables::default();
    let share = ShareCount {
        eligible: 40,
        hit: 30,
        excluded: 9,
    };
    for (by, group) in [(ALL, ALL), ("shift", "after_hours")] {
        counts.shares.insert(key(measures[0], by, group), share);
    }
    let handover = minutes(&[(20, 20), (50, 10), (70, 10)], 9);
    counts.minutes.insert(key(measures[1], ALL, ALL), handover);
    counts
        .minutes
        .insert(key(measures[2], ALL, ALL), minutes(&[], 49));
    let text = section(
        &check_page(&review(&measures, counts.clone())),
        "scope-care",
    );
    for part in [
        "The start of manual cleaning stands in no case of these records.",
        "lower bound of the time to manual cleaning",
        "The local instructions for use decide.",
        "75%<span class=\"detail\">30 of 40 cases; 60 to 86%</span><span class=\"detail\">9 not judged</span>",
        "no case could be judged (49 not judged)",
        "<th scope=\"col\">After hours</th>",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let cleaned = minutes(&[(45, 30)], 19);
    counts.minutes.insert(key(measures[2], ALL, ALL), cleaned);
    let text = section(&check_page(&review(&measures, counts)), "scope-care");
    assert!(!text.contains("stands in no case"));
}

#[test]
fn missing_items_stand_in_the_order_of_their_list_with_what_none_cannot_rule_out() {
    let mut counts = CountTables::default();
    let thirty_days = |events| EventsCount {
        events,
        exposure_minutes: 30 * 24 * 60,
    };
    for (group, events) in [
        ("none", 0),
        ("suction", 0),
        ("drug", 4),
        ("not_recorded", 2),
    ] {
        let count = thirty_days(events);
        counts
            .events
            .insert(key("stock_outs", "missing_item", group), count);
    }
    counts
        .events
        .insert(key("stock_outs", ALL, ALL), thirty_days(6));
    for (by, group, eligible, hit) in [
        (ALL, ALL, 100, 94),
        ("shift", "in_hours", 40, 39),
        ("shift", "after_hours", 60, 55),
    ] {
        let carts = ShareCount {
            eligible,
            hit,
            excluded: 0,
        };
        counts.shares.insert(key("cart_complete", by, group), carts);
    }
    let page = check_page(&review(&["cart_complete", "stock_outs"], counts));
    let text = section(&page, "cart");
    assert!(
        text.contains("6.0%<span class=\"detail\">6 of 100 cases; "),
        "{text}"
    );
    assert!(
        text.contains("8%<span class=\"detail\">5 of 60 cases; "),
        "{text}"
    );
    assert!(text.contains("all hours together"), "{text}");
    let table = text
        .split("<caption>What was missing")
        .nth(1)
        .expect("a table");
    // Wilson by hand, with z^2 = 3.8415: 0 of 100 up to 3.8415 / 103.8415; 4 of 100 from 1.57 to 9.84.
    for row in [
        "suction, water or gas</th><td>0</td><td>0.0%</td><td>0.0 to 3.7%</td>",
        "drug</th><td>4</td><td>4.0%</td><td>1.6 to 9.8%</td>",
    ] {
        assert!(table.contains(row), "{row}: {table}");
    }
    assert!(!table.contains("nothing missing"));
    let at = |label: &str| table.find(label).expect("a row");
    assert!(at("suction") < at("drug") && at("drug") < at("not recorded"));
}

/// 19 of 29 calls in 216 of 720 hours: the hours say what the calls alone do not.
#[test]
fn calls_by_shift_stand_beside_the_hours_of_the_shift() {
    let mut counts = CountTables::default();
    for (by, group, events, hours) in [
        (ALL, ALL, 29, 720),
        ("shift", "in_hours", 10, 216),
        ("shift", "after_hours", 19, 504),
    ] {
        let count = EventsCount {
            events,
            exposure_minutes: hours * 60,
        };
        counts.events.insert(key("calls", by, group), count);
    }
    let text = section(&check_page(&review(&["calls"], counts)), "calls");
    for part in [
        "per 30 days of 24 hours, all of them in that shift",
        "After hours</th><td>19 of 29 (66%)</td><td>504 of 720 (70.0%)</td><td>27.1</td>",
        "In hours</th><td>10 of 29 (34%)</td><td>216 of 720 (30.0%)</td><td>33.3</td>",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
}

#[test]
fn months_with_few_cases_each_stand_together() {
    let mut counts = CountTables::default();
    let of = |eligible, hit| ShareCount {
        eligible,
        hit,
        excluded: 1,
    };
    let base = invented::review();
    for month in base.first_month.through(base.month) {
        let key = Key::of_all(&definition("biopsy_at_food_impaction"), Some(month));
        counts.shares.insert(key, of(4, 1));
    }
    let all = Key::of_all(&definition("biopsy_at_food_impaction"), None);
    counts.shares.insert(all.clone(), of(40, 10));
    let measures = ["biopsy_at_food_impaction"];
    let text = section(&check_page(&review(&measures, counts.clone())), "biopsies");
    assert!(text.contains("no month shown has 5 cases"), "{text}");
    assert!(
        text.contains("<td>10 of 40 cases</td><td>25%</td>"),
        "{text}"
    );
    assert_eq!(
        text.matches("<tr>").count(),
        2,
        "a head and one row: {text}"
    );

    // One month with five cases brings the months back, with a last row for all of them.
    let month = Key {
        month: Some(base.month),
        ..all
    };
    counts.shares.insert(month, of(5, 1));
    let text = section(&check_page(&review(&measures, counts)), "biopsies");
    assert!(!text.contains("no month shown"), "{text}");
    let last = text.rsplit("<tr>").next().expect("a row");
    assert!(last.starts_with("<th scope=\"row\">All months"), "{last}");
    assert!(text.contains("All months: 25% (10 of 40 cases)"), "{text}");
}
