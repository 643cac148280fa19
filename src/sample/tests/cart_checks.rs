//! What the sample promises of its cart checks, counted from the files themselves.

use super::COMMITTED_README;
use super::duty::{COMMITTED_CHECKS, COMMITTED_ROSTER, check_share, checks, moment, of, rows};
use crate::domain::codes::CartFault;
use crate::sample::{Plan, calendar, truths};
use jiff::civil::DateTime;
use std::collections::BTreeSet;
use std::sync::LazyLock;

/// Of the checks that were done and pass `is_wanted` (site, cart, day): whether `is_hit`.
fn of_checks(
    text: &str,
    is_wanted: impl Fn(&str, &str, DateTime) -> bool,
    is_hit: impl Fn(&[&str]) -> bool,
) -> Vec<bool> {
    rows(text)
        .filter(|row| !row[3].is_empty() && is_wanted(row[0], row[1], moment(row[2])))
        .map(|row| is_hit(&row))
        .collect()
}

fn is_late(row: &[&str]) -> bool {
    moment(row[3]) > moment(row[2])
}

fn has_fault(row: &[&str]) -> bool {
    !row[5].is_empty()
}

fn is_birch_weekend(site: &str, _: &str, due: DateTime) -> bool {
    site == "Birch" && calendar::is_weekend(due.date())
}

fn is_clustered(site: &str, cart: &str, due: DateTime) -> bool {
    let (year, month) = truths::CHECK_FAULT_FROM;
    let has_begun = (due.year().unsigned_abs(), due.month().unsigned_abs()) >= (year, month);
    (site, cart) == ("Alder", "cart_2") && has_begun
}

/// The files of many seeds, so that shares are within about a percent.
static MANY_CHECKS: LazyLock<Vec<String>> = LazyLock::new(|| {
    let plan = Plan::default();
    (1..=15)
        .map(|seed| checks(&Plan { seed, ..plan }))
        .collect()
});

#[test]
fn checks_are_late_more_often_on_weekends_at_birch_and_find_more_on_one_cart() {
    let all = |is_wanted: &dyn Fn(&str, &str, DateTime) -> bool, is_hit: fn(&[&str]) -> bool| {
        let of_each = MANY_CHECKS
            .iter()
            .flat_map(|text| of_checks(text, is_wanted, is_hit));
        of_each.collect::<Vec<_>>()
    };
    let late = truths::CHECK_LATE;
    check_share(
        &all(&is_birch_weekend, is_late),
        truths::CHECK_LATE_BIRCH_WEEKEND,
        0.03,
    );
    check_share(&all(&other(is_birch_weekend), is_late), late, 0.005);
    check_share(
        &all(&is_clustered, has_fault),
        truths::CHECK_FAULT_CLUSTERED,
        0.03,
    );
    check_share(
        &all(&other(is_clustered), has_fault),
        truths::CHECK_FAULT,
        0.005,
    );
}

#[test]
fn the_readme_says_what_the_checks_show() {
    let count = |is_wanted: &dyn Fn(&str, &str, DateTime) -> bool, is_hit: fn(&[&str]) -> bool| {
        of(&of_checks(COMMITTED_CHECKS, is_wanted, is_hit))
    };
    for words in [
        format!(
            "{} on weekends at Birch, {} others",
            count(&is_birch_weekend, is_late),
            count(&other(is_birch_weekend), is_late),
        ),
        format!(
            "{} checks of this cart since then, {} others",
            count(&is_clustered, has_fault),
            count(&other(is_clustered), has_fault),
        ),
        format!("{} rows |", rows(COMMITTED_ROSTER).count()),
        format!("{} rows |", rows(COMMITTED_CHECKS).count()),
    ] {
        assert!(COMMITTED_README.contains(&words), "{words}");
    }
}

/// The checks that are not of a kind.
fn other(is: fn(&str, &str, DateTime) -> bool) -> impl Fn(&str, &str, DateTime) -> bool {
    move |site, cart, due| !is(site, cart, due)
}

#[test]
fn a_check_is_late_by_far_or_not_at_all_and_a_fault_makes_a_cart_incomplete() {
    let known: BTreeSet<_> = CartFault::ALL.iter().map(|fault| fault.code()).collect();
    let mut seen = BTreeSet::new();
    for text in &*MANY_CHECKS {
        for row in rows(text) {
            let faults: Vec<_> = row[5]
                .split('+')
                .filter(|fault| !fault.is_empty())
                .collect();
            let places = faults.iter().map(|fault| {
                let found = CartFault::ALL
                    .iter()
                    .position(|known| known.code() == *fault);
                found.unwrap_or_else(|| panic!("{fault} of {known:?}"))
            });
            assert!(
                places
                    .collect::<Vec<_>>()
                    .is_sorted_by(|one, next| one < next)
            );
            seen.extend(faults.iter().map(|fault| (*fault).to_owned()));
            if row[3].is_empty() {
                assert_eq!((row[4], row[5]), ("", ""));
                continue;
            }
            let minutes = moment(row[2])
                .until(moment(row[3]))
                .unwrap()
                .total(jiff::Unit::Minute);
            let minutes = minutes.unwrap();
            assert!((-110.0..=-1.0).contains(&minutes) || (91.0..=690.0).contains(&minutes));
            let expected: &[&str] = if faults.is_empty() {
                &["yes", ""]
            } else {
                &["no"]
            };
            assert!(expected.contains(&row[4]), "{row:?}");
        }
    }
    assert_eq!(seen.len(), known.len());
}
