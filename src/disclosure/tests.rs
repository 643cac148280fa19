mod attack;

use super::*;
use crate::domain::counts::{ALL, EventsCount, PassesCount, ShareCount};

fn key(measure: &str, by: &str, group: &str, month: Option<u8>) -> Key {
    Key {
        measure: measure.into(),
        version: 1,
        by: by.into(),
        group: group.into(),
        month: month.map(|number| Month::new(2025, number).unwrap()),
    }
}

fn share(eligible: u64, hit: u64, excluded: u64) -> ShareCount {
    ShareCount {
        eligible,
        hit,
        excluded,
    }
}

fn events(rows: &[(&str, &str, u64)]) -> CountTables {
    let rows = rows.iter().map(|(by, group, events)| {
        let count = EventsCount {
            events: *events,
            exposure_minutes: 1440,
        };
        (key("calls", by, group, None), count)
    });
    CountTables {
        events: rows.collect(),
        ..CountTables::default()
    }
}

fn rules(threshold: u64) -> ShareRules {
    ShareRules {
        threshold,
        ..ShareRules::default()
    }
}

/// Groups of the first measure with a hidden count, each once.
fn hidden_groups(protected: &Protected) -> Vec<&str> {
    let mut groups: Vec<&str> = protected
        .hidden()
        .map(|(place, _)| place.group.as_str())
        .collect();
    groups.dedup();
    groups
}

#[test]
fn the_cheapest_other_count_is_hidden_with_a_small_one() {
    let tables = events(&[
        (ALL, ALL, 190),
        ("site", "Alder", 100),
        ("site", "Birch", 55),
        ("site", "Cedar", 30),
        ("site", "Dogwood", 5),
    ]);
    // 5 lies between 0 and 35, the sum of the two that are hidden.
    let protected = protect(&tables, ShareRules::default());
    assert_eq!(hidden_groups(&protected), ["Cedar", "Dogwood"]);
}

#[test]
fn two_small_counts_with_a_small_sum_take_a_third() {
    let tables = events(&[
        (ALL, ALL, 105),
        ("site", "Alder", 60),
        ("site", "Birch", 40),
        ("site", "Cedar", 3),
        ("site", "Dogwood", 2),
    ]);
    // Cedar and Dogwood alone would be 0 to 5 each.
    let protected = protect(&tables, ShareRules::default());
    assert_eq!(hidden_groups(&protected), ["Birch", "Cedar", "Dogwood"]);
}

#[test]
fn a_small_count_between_known_sums_takes_all_four_corners() {
    // Rows 60 and 65, columns 45 and 80: with the sums, one cell gives the other three.
    let tables = events(&[
        (ALL, ALL, 125),
        ("site", "Alder", 60),
        ("site", "Birch", 65),
        ("shift", "after_hours", 45),
        ("shift", "in_hours", 80),
        ("site+shift", "Alder|after_hours", 5),
        ("site+shift", "Alder|in_hours", 55),
        ("site+shift", "Birch|after_hours", 40),
        ("site+shift", "Birch|in_hours", 25),
    ]);
    let protected = protect(&tables, ShareRules::default());
    assert_eq!(protected.hidden().count(), 4, "{protected:?}");
    assert!(
        protected
            .hidden()
            .all(|(place, _)| place.by == "site+shift")
    );
    assert_eq!(protected.withheld().count(), 0);
}

#[test]
fn few_misses_hide_the_hits_but_not_their_sum() {
    let mut tables = CountTables::default();
    let all = key("seen_in_time", ALL, ALL, None);
    tables.shares.insert(all.clone(), share(100, 96, 0));
    let protected = protect(&tables, ShareRules::default());
    let place = Place::from(&all);
    assert!(!protected.shows(&place, Quantity::Miss));
    assert!(!protected.shows(&place, Quantity::Hit));
    assert!(protected.shows(&place, Quantity::Eligible));
    assert!(protected.shows(&place, Quantity::Excluded));
    assert!(!protected.shows_row(&place));
}

#[test]
fn cases_that_another_measure_counts_do_not_give_the_excluded_away() {
    // 203 calls; 200 were judged, so 3 were not.
    let mut tables = events(&[(ALL, ALL, 203)]);
    let all = key("seen_in_time", ALL, ALL, None);
    tables.shares.insert(all.clone(), share(200, 120, 3));
    let protected = protect(&tables, ShareRules::default());
    let place = Place::from(&all);
    assert!(!protected.shows(&place, Quantity::Excluded));
    let calls = Place::from(&key("calls", ALL, ALL, None));
    let tells_both =
        protected.shows(&place, Quantity::Eligible) && protected.shows(&calls, Quantity::Hit);
    assert!(!tells_both, "203 - 200 = 3");
    let tells_parts = protected.shows(&place, Quantity::Hit)
        && protected.shows(&place, Quantity::Miss)
        && protected.shows(&calls, Quantity::Hit);
    assert!(!tells_parts, "203 - 120 - 80 = 3");
    // Without the calls nothing tells how many cases there were.
    tables.events.clear();
    let alone = protect(&tables, ShareRules::default());
    assert!(alone.shows(&place, Quantity::Eligible) && alone.shows(&place, Quantity::Hit));
    assert!(!alone.shows(&place, Quantity::Excluded));
}

#[test]
fn tables_that_share_a_dimension_without_a_table_are_linked() {
    // sharp: 45 yes; by overtube 5 + 40, by protective aid 20 + 25. No table holds 45 itself.
    let rows = [
        ("overtube+sharp", "no|no", 60),
        ("overtube+sharp", "no|yes", 5),
        ("overtube+sharp", "yes|no", 70),
        ("overtube+sharp", "yes|yes", 40),
        ("protective_aid+sharp", "cap|no", 50),
        ("protective_aid+sharp", "cap|yes", 20),
        ("protective_aid+sharp", "hood|no", 80),
        ("protective_aid+sharp", "hood|yes", 25),
    ];
    let tables = events(&rows);
    let protected = protect(&tables, ShareRules::default());
    let shows = |by: &str, group: &str| {
        protected.shows(&Place::from(&key("calls", by, group, None)), Quantity::Hit)
    };
    assert!(!shows("overtube+sharp", "no|yes"));
    let sharp =
        shows("protective_aid+sharp", "cap|yes") && shows("protective_aid+sharp", "hood|yes");
    assert!(
        !(sharp && shows("overtube+sharp", "yes|yes")),
        "20 + 25 - 40 = 5"
    );
}

#[test]
fn a_table_of_mostly_small_counts_is_withheld_as_a_whole() {
    let mut tables = events(&[(ALL, ALL, 47)]);
    for (month, events) in [(1, 3), (2, 20), (3, 4), (4, 9), (5, 11)] {
        let count = EventsCount {
            events,
            exposure_minutes: 1440,
        };
        tables
            .events
            .insert(key("calls", ALL, ALL, Some(month)), count);
    }
    let protected = protect(&tables, ShareRules::default());
    let expected = TableName {
        measure: "calls".into(),
        by: ALL.into(),
        is_monthly: true,
    };
    assert_eq!(protected.withheld().collect::<Vec<_>>(), [&expected]);
    assert_eq!(protected.hidden().count(), 0);
    // A month without a row would be a month without a call.
    let absent = Place::from(&key("calls", ALL, ALL, Some(6)));
    assert!(!protected.shows(&absent, Quantity::Hit) && !protected.shows_row(&absent));
    assert!(protected.shows(&Place::from(&key("calls", ALL, ALL, None)), Quantity::Hit));
}

#[test]
fn a_split_of_one_small_group_does_not_tell_which_it_is() {
    let withheld = |rows: &[(&str, &str, u64)]| -> Vec<String> {
        let protected = protect(&events(rows), rules(11));
        protected.withheld().map(|table| table.by.clone()).collect()
    };
    assert_eq!(withheld(&[(ALL, ALL, 4), ("sex", "female", 4)]), ["sex"]);
    let two = [(ALL, ALL, 34), ("sex", "female", 4), ("sex", "male", 30)];
    assert_eq!(withheld(&two), [""; 0]);
    assert_eq!(withheld(&[(ALL, ALL, 40), ("sex", "female", 40)]), [""; 0]);
}

#[test]
fn groups_that_cannot_be_told_apart_are_withheld() {
    let tables = events(&[
        (ALL, ALL, 100),
        ("site+shift", "North|South|in_hours", 60),
        ("site+shift", "East|in_hours", 40),
    ]);
    let protected = protect(&tables, ShareRules::default());
    assert_eq!(protected.withheld().count(), 1);
    assert!(!protected.shows_row(&Place::from(&key(
        "calls",
        "site+shift",
        "East|in_hours",
        None
    ))));
}

#[test]
fn passes_of_one_case_in_two_groups_do_not_break_the_sums() {
    let passes = |rows: &[((u64, u64), u64)]| PassesCount {
        cases: rows.iter().copied().collect(),
        excluded: 0,
    };
    let mut tables = CountTables::default();
    // 50 cases of two passes, one with each device; 20 more with the net alone.
    let all = key("removed_at_pass", ALL, ALL, None);
    tables
        .passes
        .insert(all, passes(&[((1, 2), 50), ((0, 1), 20)]));
    let net = key("removed_at_pass", "device", "net", None);
    tables
        .passes
        .insert(net.clone(), passes(&[((1, 1), 45), ((0, 1), 25)]));
    let snare = key("removed_at_pass", "device", "snare", None);
    tables
        .passes
        .insert(snare.clone(), passes(&[((1, 1), 5), ((0, 1), 45)]));
    let protected = protect(&tables, ShareRules::default());
    assert!(!protected.shows(&(&snare).into(), Quantity::Hit));
    assert!(
        !protected.shows(&(&net).into(), Quantity::Hit),
        "50 - 45 = 5"
    );
    assert!(protected.shows(&(&net).into(), Quantity::Eligible));
}

#[test]
fn nothing_is_hidden_below_a_threshold_of_two() {
    let tables = events(&[(ALL, ALL, 1), ("site", "Alder", 1)]);
    for threshold in [0, 1] {
        assert_eq!(hidden_groups(&protect(&tables, rules(threshold))).len(), 0);
    }
    let protected = protect(&tables, rules(2));
    let counts = (protected.hidden().count(), protected.withheld().count());
    assert_eq!(counts, (1, 1), "all cases, and the sites as a whole");
}

#[test]
fn empty_tables_need_no_protection() {
    assert_eq!(
        protect(&CountTables::default(), ShareRules::default())
            .hidden()
            .count(),
        0
    );
}

#[test]
fn few_cases_that_could_not_be_judged_are_told_only_where_that_is_allowed() {
    let mut tables = CountTables::default();
    tables
        .shares
        .insert(key("m", ALL, ALL, None), share(100, 40, 3));
    // Three hits of one measure are the three excluded of the other: who they are is known.
    let mut linked = tables.clone();
    linked
        .shares
        .insert(key("n", ALL, ALL, None), share(103, 3, 0));
    let told = ShareRules {
        tells_unjudged: true,
        ..ShareRules::default()
    };
    let published = |tables: &CountTables, rules| {
        let open = protect(tables, rules).published(tables);
        open.shares
            .into_keys()
            .map(|key| key.measure)
            .collect::<Vec<_>>()
    };
    assert!(published(&tables, ShareRules::default()).is_empty());
    assert_eq!(published(&tables, told), ["m"]);
    assert!(published(&linked, told).is_empty());
}

#[test]
fn few_tables_are_for_others() {
    let is_released = |by: &str, is_monthly| {
        let table = TableName {
            measure: "m".into(),
            by: by.into(),
            is_monthly,
        };
        super::is_released(&table, "site")
    };
    for by in [ALL, "site", "shift+site", "site+sex", "device+object_type"] {
        assert!(is_released(by, false), "{by}");
    }
    assert!(is_released(ALL, true));
    assert!(!is_released("site", true));
    for by in [
        "why_not_judged",
        "shift+sex",
        "weekday+hour",
        "site+shift+sex",
    ] {
        assert!(!is_released(by, false), "{by}");
    }
}
