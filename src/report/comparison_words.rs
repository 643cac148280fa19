//! Numbers of comparisons to words and cells: shares, differences, intervals.

use super::content::Cell;
use super::{format, words};
use crate::findings::comparisons::{Counted, Difference, FEWEST_CASES, Interval};
use crate::findings::finding::{Method, Unit};
use crate::findings::headline::CASES_TO_COMPARE;

/// Counts, share and interval in three cells; of few cases the counts alone.
pub(super) fn share_cells(counted: Counted, interval: Option<Interval>) -> [Cell; 3] {
    let counts = format!(
        "{} of {}",
        format::whole(counted.events),
        format::counted(counted.cases, "case", "cases")
    );
    let shown = counted
        .tally()
        .filter(|tally| tally.cases() >= FEWEST_CASES);
    let Some((tally, interval)) = shown.zip(interval) else {
        return [
            counts.into(),
            format::NOTHING.into(),
            format::NOTHING.into(),
        ];
    };
    let percent = |share| format::with_unit(Unit::Fraction, counted.cases, share);
    [
        counts.into(),
        percent(tally.share()).into(),
        percents(counted.cases, interval).into(),
    ]
}

/// `75% (30 of 40)`; of few cases the counts alone.
pub(super) fn share_text(counted: Counted) -> String {
    let counts = format!(
        "{} of {}",
        format::whole(counted.events),
        format::whole(counted.cases)
    );
    match counted
        .tally()
        .filter(|tally| tally.cases() >= FEWEST_CASES)
    {
        None => counts,
        Some(tally) => {
            let share = format::with_unit(Unit::Fraction, counted.cases, tally.share());
            format!("{share} ({counts})")
        }
    }
}

/// The names of the methods behind intervals of shares, each once.
pub(super) fn method_names(methods: impl Iterator<Item = Method>) -> String {
    let mut names = Vec::new();
    for method in methods {
        let name = words::method_name(method);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names.join(", ")
}

/// `62 to 84%`, with the decimals that `cases` allow.
pub(super) fn percents(cases: u64, interval: Interval) -> String {
    let percent = |share| format::with_unit(Unit::Fraction, cases, share);
    format!(
        "{} to {}",
        percent(interval.low).trim_end_matches('%'),
        percent(interval.high)
    )
}

/// Percentage points with signs, with the decimals that `cases` allow.
pub(super) fn points(cases: u64, numbers: [f64; 3]) -> [String; 3] {
    format::difference(Unit::Fraction, cases, numbers)
}

/// A difference of two shares with its interval, or why there is none.
pub(super) fn difference_cell(
    difference: Option<Difference>,
    first: Counted,
    second: Counted,
) -> Cell {
    let fewer = first.cases.min(second.cases);
    match difference {
        None => format!("fewer than {CASES_TO_COMPARE} cases on one side").into(),
        Some(difference) => {
            let numbers = [difference.estimate, difference.low, difference.high];
            let [estimate, low, high] = points(fewer, numbers);
            format!("{estimate} points ({low} to {high})").into()
        }
    }
}
