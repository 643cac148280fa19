use super::*;
use crate::disclosure::{ShareRules, protect};
use crate::domain::counts::{CountTables, EventsCount, MinutesCount, ShareCount};
use crate::findings::estimate::{Settings, findings};
use crate::findings::tests::group_key as key;
use std::num::NonZeroUsize;

fn share(eligible: u64, hit: u64, excluded: u64) -> ShareCount {
    ShareCount {
        eligible,
        hit,
        excluded,
    }
}

/// Groups of findings that are published, each with its statistic, in order.
fn published(tables: &CountTables) -> Vec<(String, Statistic)> {
    let made = findings(tables, Settings::default(), NonZeroUsize::MIN);
    let marked = publishable(&made, &protect(tables, ShareRules::default()));
    let open = marked.iter().filter(|finding| !finding.suppressed);
    open.map(|finding| (finding.group.clone(), finding.statistic))
        .collect()
}

fn groups_published(tables: &CountTables) -> Vec<String> {
    published(tables)
        .into_iter()
        .map(|(group, _)| group)
        .collect()
}

#[test]
fn a_share_is_published_only_with_its_hits_misses_and_exclusions() {
    let of = |count| {
        let mut tables = CountTables::default();
        tables.shares.insert(key("m", "all", "all"), count);
        groups_published(&tables).len()
    };
    assert_eq!(of(share(100, 40, 20)), 1);
    assert_eq!(of(share(100, 0, 0)), 1, "zero is published");
    assert_eq!(of(share(100, 100, 0)), 1);
    assert_eq!(of(share(100, 11, 11)), 1, "eleven is not small");
    assert_eq!(of(share(100, 10, 0)), 0, "few hits");
    assert_eq!(of(share(100, 90, 0)), 0, "few misses");
    assert_eq!(of(share(100, 40, 1)), 0, "few excluded");
    assert_eq!(of(share(10, 10, 0)), 0, "few cases");
}

#[test]
fn the_second_smallest_group_goes_with_the_smallest() {
    let mut tables = CountTables::default();
    tables
        .shares
        .insert(key("m", "all", "all"), share(190, 95, 0));
    for (group, count) in [
        ("Alder", share(100, 50, 0)),
        ("Birch", share(60, 30, 0)),
        ("Cedar", share(30, 15, 0)),
    ] {
        tables.shares.insert(key("m", "site", group), count);
    }
    assert_eq!(
        groups_published(&tables),
        ["all", "Alder", "Birch", "Cedar"]
    );
    // Now Cedar has five hits, which all less Alder and Birch would give away.
    tables
        .shares
        .insert(key("m", "all", "all"), share(190, 85, 0));
    tables
        .shares
        .insert(key("m", "site", "Cedar"), share(30, 5, 0));
    assert_eq!(groups_published(&tables), ["all", "Alder"]);
}

#[test]
fn quantiles_need_as_many_cases_as_shares() {
    let of = |cases: i64| {
        let mut count = MinutesCount::default();
        count
            .cases
            .extend((0..cases).map(|minutes| ((minutes, true), 1)));
        let mut tables = CountTables::default();
        tables.minutes.insert(key("t", "all", "all"), count);
        published(&tables).len()
    };
    assert_eq!(of(10), 0);
    assert_eq!(of(11), 4);
}

#[test]
fn rates_of_few_events_are_withheld() {
    let of = |events| {
        let mut tables = CountTables::default();
        let count = EventsCount {
            events,
            exposure_minutes: 525_600,
        };
        tables.events.insert(key("calls", "all", "all"), count);
        published(&tables).len()
    };
    assert_eq!([of(0), of(1), of(10), of(11)], [1, 0, 0, 1]);
}

#[test]
fn an_event_that_nobody_had_is_told_unless_the_denominator_is_hidden() {
    let split = |none: u64| {
        let mut tables = CountTables::default();
        let by = "adverse_event";
        tables
            .shares
            .insert(key("adverse_event", "all", "all"), share(none + 40, 40, 0));
        tables
            .shares
            .insert(key("adverse_event", by, "bleeding"), share(20, 20, 0));
        tables
            .shares
            .insert(key("adverse_event", by, "hypoxia"), share(20, 20, 0));
        tables
            .shares
            .insert(key("adverse_event", by, "none"), share(none, 0, 0));
        groups_published(&tables)
    };
    assert!(split(100).contains(&"perforation".to_owned()));
    assert!(split(100).contains(&"bleeding".to_owned()));
    // Seven without any event are all less the others.
    assert!(!split(7).contains(&"all".to_owned()));
}
