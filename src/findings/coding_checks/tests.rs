use super::*;
use crate::domain::counts::{CountTables, Key, ShareCount};
use crate::domain::month::Month;
use crate::findings::estimate::{Settings, findings};
use std::num::NonZeroUsize;

#[test]
fn the_table_can_be_read_and_says_something() {
    let checks = coding_checks();
    assert_eq!(checks.len(), TABLE.lines().count() - 1);
    for check in checks {
        assert!(!check.published.is_empty() && !check.words.is_empty());
        assert!(!check.words.ends_with('.'), "{}", check.words);
    }
}

/// What is doubted of a share of so many hits and cases, at one place.
fn doubted(measure: &str, (by, group): (&str, &str), month: Option<&str>, n: (u64, u64)) -> usize {
    let month = month.map(|text| text.parse::<Month>().unwrap());
    let share = |group: &str, (hit, eligible)| {
        let key = Key {
            measure: measure.into(),
            version: 1,
            by: by.into(),
            group: group.into(),
            month,
        };
        let count = ShareCount {
            eligible,
            hit,
            excluded: 0,
        };
        (key, count)
    };
    let mut counts = CountTables::default();
    counts.shares.extend([share(group, n)]);
    if by == "site" {
        counts.shares.extend([share("another", (0, 0))]);
    }
    let findings = findings(&counts, Settings::default(), NonZeroUsize::MIN);
    coding_doubts(&findings, "2026-09".parse().unwrap()).len()
}

#[track_caller]
fn check(measure: &str, n: (u64, u64), expected: usize) {
    assert_eq!(doubted(measure, ("all", "all"), None, n), expected, "{n:?}");
}

#[test]
fn success_is_doubted_below_eighty_percent_and_at_a_hundred() {
    check("retrieval_success", (79, 100), 1);
    check("retrieval_success", (80, 100), 0);
    check("retrieval_success", (99, 100), 0);
    check("retrieval_success", (100, 100), 1);
    check("retrieval_success", (31, 31), 1);
    check("retrieval_success", (30, 30), 0);
    check("retrieval_success", (10, 30), 0);
    check("retrieval_success", (0, 0), 0);
}

#[test]
fn harm_is_doubted_above_its_limits() {
    check("adverse_event", (45, 100), 0);
    check("adverse_event", (46, 100), 1);
    check("perforation", (5, 100), 0);
    check("perforation", (6, 100), 1);
    check("perforation", (0, 100), 0);
    check("already_gone", (0, 100), 1);
    check("already_gone", (14, 100), 0);
    check("already_gone", (61, 100), 1);
    check("airway_secured", (0, 100), 0);
}

#[test]
fn sites_and_the_month_in_view_are_looked_at_too() {
    let low = (10, 40);
    let at = |place, month| doubted("retrieval_success", place, month, low);
    assert_eq!(at(("all", "all"), Some("2026-09")), 1);
    assert_eq!(at(("all", "all"), Some("2026-08")), 0);
    assert_eq!(at(("site", "Alder"), None), 1);
    assert_eq!(at(("object_type", "coin"), None), 0);
}

#[test]
fn rows_that_ask_for_two_things_or_nothing_are_refused() {
    for row in [
        "h\na,share,0.1,0.2,,31,p,w",
        "h\na,share,,,,31,p,w",
        "h\na,portion,0.1,,,31,p,w",
        "h\na,share,0.1,,,31,p,w,x",
    ] {
        assert_eq!(parse(row), None, "{row}");
    }
}
