//! The review of `sample_data` finds what `sample_data/README.md` says was planted there.

use crate::run::{Finding, Run};
use std::collections::BTreeMap;

fn findings() -> Vec<BTreeMap<String, String>> {
    let run = Run::of_sample();
    let ended = run.on_files("review --out out --quiet");
    assert_eq!(
        (ended.code, ended.stdout.as_str()),
        (0, ""),
        "{}",
        ended.stderr
    );
    run.table("out/tables/findings.csv")
}

#[test]
fn the_review_of_the_sample_finds_what_was_planted() {
    let rows = findings();
    let at = |measure: &str, by: &str, group: &str, month: &str, statistic: &str| {
        Finding::at(&rows, measure, [by, group, month, statistic])
    };
    let median = |measure: &str, by: &str, group: &str| at(measure, by, group, "all", "median");

    // 1. The cart takes 14 minutes longer at Cedar; the intervals do not even meet.
    let [alder, birch, cedar] =
        ["Alder", "Birch", "Cedar"].map(|site| median("call_to_cart", "site", site));
    let medians = [&alder, &birch, &cedar].map(|finding| finding.text("estimate"));
    assert_eq!(medians, ["18", "18", "32"]);
    assert!(cedar.number("low") > alder.number("high").max(birch.number("high")));

    // 2. For coins, a pass of the net ends the case more often than one of the rat-tooth forceps.
    let coins = |device: &str| {
        let group = format!("{device}|coin");
        at(
            "device_success",
            "device+object_type",
            &group,
            "all",
            "share",
        )
    };
    let (net, rat_tooth) = (coins("net"), coins("forceps_rat"));
    assert_eq!((net.count("events"), rat_tooth.count("events")), (30, 15));
    assert!(net.number("low") > 0.75 && rat_tooth.number("high") < 0.80);

    // 3. Call to scope at Birch is 35 % longer from 2025-12 on: every month since lies above every
    //    month before.
    let birch: Vec<_> = rows
        .iter()
        .filter(|row| {
            row["measure"] == "call_to_scope"
                && row["group"] == "Birch"
                && row["statistic"] == "median"
                && row["month"] != "all"
        })
        .map(|row| {
            (
                row["month"].as_str(),
                row["estimate"].parse::<f64>().expect("a median"),
            )
        })
        .collect();
    assert_eq!(birch.len(), 24);
    let of = |later: bool| {
        birch
            .iter()
            .filter(move |(month, _)| (*month >= "2025-12") == later)
            .map(|(_, value)| *value)
    };
    let highest_before = of(false).fold(f64::MIN, f64::max);
    let lowest_since = of(true).fold(f64::MAX, f64::min);
    assert!(
        lowest_since > highest_before,
        "{lowest_since} and {highest_before}"
    );

    // 4. Overtubes for sharp objects, before and after the teaching day.
    let taught = at("overtube_used_sharp", "all", "all", "2026-09", "share");
    assert_eq!((taught.count("events"), taught.count("cases")), (7, 8));
    let ever = at("overtube_used_sharp", "all", "all", "all", "share");
    assert_eq!((ever.count("events"), ever.count("cases")), (44, 133));

    // 5. Missing values are excluded, not guessed: 36 scope-out times and the one typed before its
    //    scope-in, 29 airway words. Two of these are of lower bleeds, where nobody asks.
    assert_eq!(
        median("scope_in_to_out", "all", "all").count("excluded"),
        37
    );
    assert_eq!(
        at("airway_secured", "all", "all", "all", "share").count("excluded"),
        27
    );

    // 6. 25 cancelled and 9 transferred cases are followed until then.
    let call_to_scope = median("call_to_scope", "all", "all");
    assert_eq!(call_to_scope.count("censored"), 34);
    assert_eq!(call_to_scope.text("method"), "kaplan_meier");
    assert_eq!(call_to_scope.count("cases"), 900);

    // 7. The nights of the clock changes: each planted case takes 55 minutes, so no case takes less
    //    than none and the exclusions stay at zero.
    assert_eq!(call_to_scope.count("excluded"), 0);

    // 8. Rows of the two faults that cost a row: 900 cases and 1017 passes remain.
    let calls = at("calls", "all", "all", "all", "rate");
    assert_eq!(calls.count("events"), 900);
}
