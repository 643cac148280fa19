use super::*;
use crate::domain::counts::{EventsCount, Key};
use crate::domain::measure::{Better, MeasureKind};

fn month(text: &str) -> Month {
    text.parse().expect("a month")
}

/// The measure of calls.
pub(in crate::findings) fn calls() -> Definition {
    Definition {
        id: "calls".to_owned(),
        version: 1,
        kind: MeasureKind::Count,
        title: "Calls".to_owned(),
        question: String::new(),
        eligible: String::new(),
        hit: String::new(),
        better: Better::Neither,
        source: String::new(),
        sql: String::new(),
    }
}

/// Calls by dimension, category and month.
fn counts(calls: &[(&str, &str, &str, u64)]) -> CountTables {
    let mut tables = CountTables::default();
    for (by, group, text, events) in calls {
        let key = Key {
            measure: "calls".to_owned(),
            version: 1,
            by: (*by).to_owned(),
            group: (*group).to_owned(),
            month: Some(month(text)),
        };
        let count = EventsCount {
            events: *events,
            exposure_minutes: 1,
        };
        tables.events.insert(key, count);
    }
    tables
}

fn look(counts: &CountTables, first: &str) -> Option<Drift> {
    drift(counts, &calls(), month(first), month("2026-09"), Level::P95)
}

#[test]
fn the_last_three_months_stand_beside_the_twelve_before() {
    let counts = counts(&[
        // Before the twelve months: June 2025 is the first.
        ("sex", "female", "2025-06", 1000),
        ("sex", "female", "2025-07", 30),
        ("sex", "male", "2026-06", 30),
        ("sex", "female", "2026-07", 10),
        ("sex", "female", "2026-09", 10),
        ("sex", "male", "2026-08", 20),
        // After the month in view.
        ("sex", "male", "2026-10", 1000),
    ]);
    let drift = look(&counts, "2024-01").expect("enough months");
    assert_eq!(drift.before, (month("2025-07"), month("2026-06")));
    assert_eq!(drift.recent, (month("2026-07"), month("2026-09")));
    let parts: Vec<_> = drift
        .categories
        .iter()
        .map(|category| (category.value.as_str(), category.before, category.recent))
        .collect();
    let part = |events, cases| Counted { events, cases };
    assert_eq!(
        parts,
        [
            ("female", part(30, 60), part(20, 40)),
            ("male", part(30, 60), part(20, 40)),
        ]
    );
    assert_eq!(drift.shifted().count(), 0);
    assert!(drift.categories[0].difference.estimate.abs() < 1e-12);
    // Two categories: each at 97.5 %, so wider than its own interval.
    let category = &drift.categories[0];
    assert!(category.for_all.high > category.difference.high);
}

#[test]
fn a_planted_shift_is_told_and_names_what_is_new_and_what_vanished() {
    let counts = counts(&[
        ("setting", "emergency_department", "2026-01", 150),
        ("setting", "ward", "2026-01", 50),
        ("setting", "emergency_department", "2026-08", 30),
        ("setting", "icu", "2026-08", 20),
        ("sex", "female", "2026-01", 100),
        ("sex", "male", "2026-01", 100),
        ("sex", "female", "2026-08", 26),
        ("sex", "male", "2026-08", 24),
    ]);
    let drift = look(&counts, "2026-01").expect("enough months");
    assert_eq!(drift.categories.len(), 5);
    let told: Vec<_> = drift
        .shifted()
        .map(|shift| (shift.value.as_str(), shift.is_new(), shift.has_vanished()))
        .collect();
    assert_eq!(told, [("icu", true, false), ("ward", false, true)]);
    let icu = drift.shifted().next().expect("a shift");
    assert!((icu.difference.estimate - 0.4).abs() < 1e-12);
}

#[test]
fn what_is_not_recorded_any_more_is_a_category_and_what_never_was_is_none() {
    let counts = counts(&[
        ("sex", "female", "2026-01", 200),
        ("sex", "not_recorded", "2026-08", 40),
        ("sex", "female", "2026-08", 20),
        ("urgency", "not_recorded", "2026-01", 200),
        ("urgency", "not_recorded", "2026-08", 60),
    ]);
    let drift = look(&counts, "2026-01").expect("enough months");
    let told: Vec<_> = drift.shifted().map(|shift| shift.value.as_str()).collect();
    assert_eq!(told, ["female", "not_recorded"]);
    assert_eq!(drift.categories.len(), 2);
}

#[test]
fn a_bleed_is_no_case_whose_object_nobody_recorded() {
    let counts = counts(&[
        ("presentation", "foreign_body", "2026-01", 100),
        ("presentation", "upper_bleed", "2026-01", 40),
        ("presentation", "lower_bleed", "2026-01", 10),
        ("presentation", "foreign_body", "2026-08", 30),
        ("presentation", "upper_bleed", "2026-08", 30),
        ("object_type", "coin", "2026-01", 90),
        ("object_type", "dental", "2026-01", 3),
        ("object_type", "not_recorded", "2026-01", 57),
        ("object_type", "coin", "2026-08", 30),
        ("object_type", "not_recorded", "2026-08", 30),
    ]);
    let drift = look(&counts, "2026-01").expect("enough months");
    let objects: Vec<_> = drift
        .categories
        .iter()
        .filter(|category| category.dimension == "object_type")
        .map(|category| {
            let (before, recent) = (category.before, category.recent);
            let part = |part: Counted| (part.events, part.cases);
            (
                category.value.as_str(),
                part(before),
                part(recent),
                category.is_missed(),
            )
        })
        .collect();
    // Of 3 in 100 one was not to be expected among 30, of 7 in 100 it was.
    let expected = [
        ("coin", (90, 100), (30, 30), false),
        ("dental", (3, 100), (0, 30), false),
        ("not_recorded", (7, 100), (0, 30), true),
    ];
    assert_eq!(objects.len(), 3);
    for object in expected {
        assert!(objects.contains(&object), "{object:?} in {objects:?}");
    }
}

#[test]
fn too_few_months_before_or_no_cases_tell_nothing() {
    let counts = counts(&[
        ("sex", "female", "2026-05", 200),
        ("sex", "female", "2026-08", 40),
    ]);
    assert_eq!(look(&counts, "2026-05"), None);
    assert!(look(&counts, "2026-04").is_some());
    assert_eq!(look(&CountTables::default(), "2024-01"), None);
}

/// 500 services in which nothing changes: 30 categories in six dimensions, 480 cases before and 120
/// after. At 95 % for all together at most about 5 % of them may be told of a shift; four standard
/// errors of that are 3.9 points.
#[test]
fn where_nothing_changes_hardly_any_shift_is_told() {
    const SERVICES: u32 = 500;
    let mut state = 20_260_901_u64;
    let mut chance = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as f64 / f64::from(1_u32 << 31)
    };
    // Shares of five categories each, the rarest one in a hundred.
    let until = [0.5, 0.8, 0.95, 0.99, 1.0];
    let names = ["a", "b", "c", "d", "e"];
    let mut told = 0;
    for _ in 0..SERVICES {
        let mut rows = Vec::new();
        for dimension in DIMENSIONS {
            for (text, cases) in [("2026-01", 480), ("2026-08", 120)] {
                let mut counts = [0; 5];
                for _ in 0..cases {
                    let drawn = chance();
                    let category = until.iter().position(|end| drawn < *end).unwrap_or(4);
                    counts[category] += 1;
                }
                let counted = names.iter().zip(counts);
                rows.extend(counted.map(|(name, count)| (dimension, *name, text, count)));
            }
        }
        let drift = look(&counts(&rows), "2026-01").expect("enough months");
        told += u32::from(drift.shifted().count() > 0);
    }
    let share = f64::from(told) / f64::from(SERVICES);
    assert!(share < 0.05 + 0.039, "{share}");
}
