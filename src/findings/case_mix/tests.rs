use super::*;
use crate::domain::counts::{EventsCount, MinutesCount};
use crate::findings::estimate::{Settings, findings};
use crate::findings::tests::definition;
use crate::findings::tests::group_key as key;
use std::num::NonZeroUsize;

/// Calls by dimensions and group.
fn counted(rows: &[(&str, &str, u64)]) -> CountTables {
    let mut counts = CountTables::default();
    for (by, group, events) in rows {
        let count = EventsCount {
            events: *events,
            exposure_minutes: 60,
        };
        counts.events.insert(key("calls", by, group), count);
    }
    counts
}

fn mix(counts: &CountTables, by: Groups) -> CaseMix {
    let found = findings(counts, Settings::default(), NonZeroUsize::MIN);
    let definitions = [definition("call_to_scope", MeasureKind::Minutes)];
    CaseMix::new(counts, &found, &definitions, by)
}

fn close(found: Option<Largest>, size: f64, between: [usize; 2]) {
    let found = found.expect("a difference");
    assert!((found.size - size).abs() < 1e-12, "{found:?}");
    assert_eq!(found.between, between);
}

#[test]
fn categories_stand_in_the_order_of_their_list_and_missing_is_apart() {
    let counts = counted(&[
        ("site", "Birch", 10),
        ("site", "Al|der", 4),
        ("site", "Closed", 0),
        ("site", "not_recorded", 1),
        ("site+sex", "Birch|female", 5),
        ("site+sex", "Birch|male", 5),
        ("site+sex", "Al|der|male", 3),
        ("site+sex", "Al|der|other", 0),
        ("site+sex", "Al|der|not_recorded", 1),
        ("site+sex", "not_recorded|male", 1),
        ("site+urgency", "Birch|urgent", 4),
        ("site+urgency", "Birch|not_assignable", 6),
        ("site+urgency", "Al|der|urgent", 4),
        ("site+urgency", "not_recorded|urgent", 1),
    ]);
    let mix = mix(&counts, Groups::Site);
    let group = |name: &str, cases| (name.to_owned(), cases);
    assert_eq!(
        mix.groups,
        [
            group("Al|der", 4),
            group("Birch", 10),
            group("not_recorded", 1)
        ]
    );
    assert_eq!(mix.cases(), 15);
    let [sex, urgency] = &mix.variables[..] else {
        panic!("{:?}", mix.variables);
    };
    let codes: Vec<_> = sex.categories.iter().map(|row| row.code.as_str()).collect();
    assert_eq!(codes, ["female", "male"]);
    assert_eq!(sex.categories[0].cases, [0, 5, 0]);
    assert_eq!(sex.categories[1].cases, [3, 5, 1]);
    assert_eq!(sex.missing, [1, 0, 0]);
    assert_eq!(sex.recorded(), [3, 10, 1]);
    // By hand: shares of men 1 and 1/2; 0.5 / sqrt((0 + 0.25) / 2) = sqrt(2).
    close(sex.largest, 2.0_f64.sqrt(), [0, 1]);
    assert_eq!(
        (urgency.name, &urgency.missing[..]),
        ("urgency", &[0, 6, 0][..])
    );
}

#[test]
fn a_bleed_does_not_want_for_an_object() {
    let rows = [
        ("site", "Alder", 10),
        ("site+presentation", "Alder|foreign_body", 6),
        ("site+presentation", "Alder|upper_bleed", 3),
        ("site+presentation", "Alder|lower_bleed", 1),
        ("site+object_type", "Alder|coin", 4),
        ("site+object_type", "Alder|not_recorded", 6),
        ("presentation", "foreign_body", 6),
        ("presentation", "upper_bleed", 3),
        ("presentation+object_type", "foreign_body|coin", 4),
        ("presentation+object_type", "foreign_body|not_recorded", 2),
        ("presentation+object_type", "upper_bleed|not_recorded", 3),
    ];
    let by_site = mix(&counted(&rows), Groups::Site);
    assert_eq!(by_site.variables[1].name, "object_type");
    assert_eq!(by_site.variables[1].missing, [2]);
    let by_presentation = mix(&counted(&rows), Groups::Presentation);
    let [site, objects] = [&by_presentation.variables[1], &by_presentation.variables[0]];
    assert_eq!((site.name, objects.name), ("site", "object_type"));
    // Foreign bodies come before upper bleeds.
    assert_eq!(objects.missing, [2, 0]);
    assert_eq!(site.categories[0].cases, [6, 3]);
}

#[test]
fn of_several_groups_the_two_that_differ_most_are_named() {
    let counts = counted(&[
        ("site", "A", 10),
        ("site", "B", 10),
        ("site", "C", 10),
        ("site+shift", "A|in_hours", 5),
        ("site+shift", "A|after_hours", 5),
        ("site+shift", "B|in_hours", 6),
        ("site+shift", "B|after_hours", 4),
        ("site+shift", "C|in_hours", 2),
        ("site+shift", "C|after_hours", 8),
    ]);
    let mix = mix(&counts, Groups::Site);
    // By hand: (0.6 - 0.2) / sqrt((0.24 + 0.16) / 2).
    close(mix.variables[0].largest, 0.4 / 0.2_f64.sqrt(), [1, 2]);
}

#[test]
fn times_have_quartiles_and_a_difference_only_when_all_reached_the_end() {
    let mut counts = counted(&[("shift", "in_hours", 2), ("shift", "after_hours", 2)]);
    let mut add = |by: &str, group: &str, cases: &[(i64, bool)]| {
        let count = MinutesCount {
            cases: cases.iter().map(|case| (*case, 1)).collect(),
            excluded: if by == "all" { 2 } else { 1 },
        };
        counts
            .minutes
            .insert(key("call_to_scope", by, group), count);
    };
    add("all", "all", &[(1, true), (3, true), (4, true), (7, true)]);
    add("shift", "in_hours", &[(1, true), (3, true)]);
    add("shift", "after_hours", &[(4, true), (7, true)]);
    let whole = mix(&counts, Groups::Shift);
    let time = &whole.times[0];
    let quartiles = Quartiles {
        cases: 2,
        excluded: 1,
        median: Some(2.0),
        p25: Some(1.5),
        p75: Some(2.5),
    };
    assert_eq!(time.groups[0], quartiles);
    assert_eq!(time.all.median, Some(3.5));
    // By hand: means 2 and 5.5, variances 2 and 4.5.
    close(time.largest, 3.5 / 3.25_f64.sqrt(), [0, 1]);

    for (by, group) in [("all", "all"), ("shift", "after_hours")] {
        let count = counts.minutes.get_mut(&key("call_to_scope", by, group));
        count.expect("counted").cases.insert((9, false), 1);
    }
    let censored = mix(&counts, Groups::Shift);
    assert_eq!(censored.times[0].largest, None);
    assert_eq!(censored.times[0].groups[1].cases, 3);
}

/// Runs are added up of which one is older than a grouping: what only the other holds is no case mix.
#[test]
fn what_is_counted_for_some_cases_alone_is_named_and_not_shown() {
    let mut counts = counted(&[
        ("site", "Alder", 3),
        ("site", "Birch", 2),
        ("site+sex", "Alder|male", 3),
        ("site+shift", "Alder|in_hours", 3),
        ("site+shift", "Birch|in_hours", 2),
    ]);
    for (by, group, cases) in [("all", "all", 5), ("site", "Alder", 3)] {
        let count = MinutesCount {
            cases: [((9, true), cases)].into_iter().collect(),
            excluded: 0,
        };
        counts
            .minutes
            .insert(key("call_to_scope", by, group), count);
    }
    let mix = mix(&counts, Groups::Site);
    let names: Vec<_> = mix.variables.iter().map(|found| found.name).collect();
    assert_eq!(names, ["shift"]);
    assert!(mix.times.is_empty());
    assert!(mix.not_counted.contains(&"sex".to_owned()));
    assert!(mix.not_counted.contains(&"call_to_scope".to_owned()));
}

#[test]
fn without_counts_by_group_there_is_nothing_but_the_names_of_what_is_missing() {
    let mut counts = counted(&[("all", "all", 3)]);
    let minutes = MinutesCount {
        cases: [((5, true), 3)].into_iter().collect(),
        excluded: 0,
    };
    let of_all = key("call_to_scope", "all", "all");
    counts.minutes.insert(of_all, minutes);
    let older = mix(&counts, Groups::Site);
    assert_eq!(
        (older.cases(), older.variables.len(), older.times.len()),
        (0, 0, 0)
    );
    assert_eq!(
        older.not_counted,
        [
            "presentation",
            "age_group",
            "sex",
            "setting",
            "object_type",
            "urgency",
            "shift",
            "call_to_scope"
        ]
    );
    // Where there is no call at all, nothing is missing.
    let empty = mix(&counted(&[("all", "all", 0)]), Groups::Site);
    assert_eq!(empty.not_counted, [""; 0]);
    assert_eq!(share(1, 0), None);
    assert_eq!(share(1, 4), Some(0.25));
}

#[test]
fn a_variable_that_was_never_recorded_stands_there_as_missing() {
    let counts = counted(&[
        ("shift", "in_hours", 2),
        ("shift", "after_hours", 1),
        ("shift+sex", "in_hours|not_recorded", 2),
        ("shift+sex", "after_hours|not_recorded", 1),
        // Bleeds alone: nobody was asked for an object.
        ("shift+object_type", "in_hours|not_recorded", 2),
        ("shift+object_type", "after_hours|not_recorded", 1),
        ("shift+presentation", "in_hours|upper_bleed", 2),
        ("shift+presentation", "after_hours|upper_bleed", 1),
    ]);
    let mix = mix(&counts, Groups::Shift);
    let names: Vec<_> = mix.variables.iter().map(|found| found.name).collect();
    assert_eq!(names, ["presentation", "sex"]);
    assert_eq!(mix.variables[1].categories, []);
    assert_eq!(mix.variables[1].missing, [2, 1]);
    assert_eq!(mix.variables[1].largest, None);
    assert_eq!(mix.not_counted, ["age_group", "setting", "urgency", "site"]);
}
