use super::*;
use crate::domain::counts::{EventsCount, ShareCount};
use crate::findings::tests::group_key as key;

fn share(eligible: u64, hit: u64, excluded: u64) -> ShareCount {
    ShareCount {
        eligible,
        hit,
        excluded,
    }
}

fn all_told(tables: &CountTables) -> Told {
    let (settings, threads) = (Settings::default(), NonZeroUsize::MIN);
    let made = findings(tables, settings, threads);
    told(
        tables,
        &made,
        ShareRules::default(),
        Groups::Site,
        settings,
        threads,
    )
}

/// Groups of findings that are told, each with its statistic, in order.
fn published(tables: &CountTables) -> Vec<(String, Statistic)> {
    let told = all_told(tables);
    let open = told.findings.iter().filter(|finding| !finding.suppressed);
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
fn a_quantile_is_told_only_with_as_many_cases_on_either_side_of_it_and_of_its_limits() {
    let of = |cases: i64| {
        let mut count = MinutesCount::default();
        count
            .cases
            .extend((0..cases).map(|minutes| ((minutes, true), 1)));
        let mut tables = CountTables::default();
        tables.minutes.insert(key("t", "all", "all"), count);
        published(&tables)
            .into_iter()
            .map(|(_, statistic)| statistic)
            .collect::<Vec<_>>()
    };
    assert!(of(10).is_empty());
    // Of 20 cases ten are shorter than the median.
    assert!(of(20).is_empty());
    // Ranks of the limits of a median of 100 cases: 40 and 61 (Hahn and Meeker, Statistical Intervals,
    // table A.17; from memory), of a lower quartile 17 and 35 or so.
    assert_eq!(of(100), [Statistic::Median, Statistic::P25, Statistic::P75]);
    assert_eq!(of(300).len(), 4);
}

#[test]
fn a_finding_that_is_not_told_holds_no_number() {
    let mut tables = CountTables::default();
    tables
        .shares
        .insert(key("m", "all", "all"), share(100, 10, 20));
    let told = all_told(&tables);
    let finding = told.findings.iter().next().unwrap();
    assert!(finding.suppressed);
    assert_eq!(
        (finding.estimate, finding.low, finding.high),
        (None, None, None)
    );
    assert_eq!([finding.events, finding.cases, finding.excluded], [0, 0, 0]);
    assert!(told.published.shares.is_empty());
    assert_eq!(told.splits.len(), 1);
    assert_eq!((told.splits[0].told, told.splits[0].suppressed), (0, 1));
}

#[test]
fn splits_that_are_not_made_for_others_are_not_listed() {
    let mut tables = CountTables::default();
    for (by, group) in [
        ("all", "all"),
        ("weekday+hour", "monday|3"),
        ("shift+sex", "in_hours|female"),
    ] {
        tables.shares.insert(key("m", by, group), share(100, 50, 0));
    }
    assert_eq!(groups_published(&tables), ["all"]);
    assert_eq!(all_told(&tables).findings.iter().count(), 1);
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
