//! Devices by object type for a paper: the share as it is, the share drawn toward those of the other
//! devices, and the difference to the other devices, side by side.

use crate::domain::counts::ALL;
use crate::domain::fields::value_label;
use crate::findings::comparisons::FEWEST_CASES;
use crate::findings::comparisons::device_rows::{Beside, DeviceRow, device_rows};
use crate::findings::comparisons::devices::{NotPooled, PooledComparison};
use crate::findings::finding::Unit;
use crate::findings::review::Review;
use crate::report::content::{Cell, Table};
use crate::report::{comparison_words, format, series};

/// A table without rows where no device was counted.
pub(super) fn table(review: &Review) -> Table {
    let mut table = Table::new(
        format!(
            "Devices by object type, {}. Raw: successes of cases (first device) or of passes, with the {} \
             interval. Drawn: the raw share drawn toward those of the other devices used for the object type, \
             the more the fewer cases it has. Difference: device minus all other devices together, in \
             percentage points; within an object type as it is (Newcombe), in the row of all object types \
             adjusted for the object type (Mantel-Haenszel, Sato), p adjusted for all devices (Holm). \
             Combinations with fewer than {FEWEST_CASES} cases stand in tables/devices.csv alone. \
             Uses are compared, not devices; the order is that of a list and no ranking.",
            series::whole_period(review),
            format::level(review.level),
        ),
        &[
            "Device",
            "Object type",
            "Raw",
            "Interval",
            "Drawn",
            "Difference",
        ],
    );
    let mut before = "";
    for (measure, row) in device_rows(review) {
        let is_few = row.object_type != ALL && row.raw.cases < FEWEST_CASES;
        if is_few || format::is_empty(row.raw) {
            continue;
        }
        if measure != before {
            before = measure;
            table.push_heading(review.title(measure));
        }
        table.push(cells(row));
    }
    table
}

fn cells(row: DeviceRow<'_>) -> Vec<Cell> {
    let object_type = match row.object_type {
        ALL => "all",
        object_type => value_label("object_type", object_type),
    };
    let drawn = row.drawn.map_or_else(
        || format::NOTHING.to_owned(),
        |drawn| {
            let cases = drawn.raw.cases;
            let share = format::with_unit(Unit::Fraction, cases, drawn.estimate);
            match drawn.interval {
                Some(interval) => {
                    let limits = comparison_words::percents(cases, interval);
                    format!("{share} ({limits})")
                }
                None => share,
            }
        },
    );
    vec![
        format!("\u{2003}{}", value_label("device", row.device)).into(),
        object_type.into(),
        super::number_with_counts(row.raw).into(),
        format::interval(row.raw).into(),
        drawn.into(),
        row.beside
            .map_or_else(|| format::NOTHING.into(), difference),
    ]
}

fn difference(beside: Beside) -> Cell {
    let [first, second] = beside.compared();
    match beside {
        Beside::OfOneType { difference, .. } => {
            comparison_words::difference_cell(difference, first, second)
        }
        Beside::OverTypes { pooled, .. } => match pooled {
            Err(reason) => why_none(reason).into(),
            Ok(pooled) => adjusted(pooled, first.cases.min(second.cases)).into(),
        },
    }
}

/// `+4 points (-2 to +9), p 0.210`.
fn adjusted(pooled: PooledComparison, fewer: u64) -> String {
    let estimate = pooled.difference.estimate;
    let mut words = match pooled.difference.interval {
        None => {
            let [estimate, ..] = comparison_words::points(fewer, [estimate; 3]);
            format!("{estimate} points")
        }
        Some(at) => {
            let [estimate, low, high] =
                comparison_words::points(fewer, [estimate, at.low, at.high]);
            format!("{estimate} points ({low} to {high})")
        }
    };
    if let Some(p) = pooled.adjusted_p {
        words.extend([", p ", &format::p_value(p)]);
    }
    words
}

fn why_none(reason: NotPooled) -> String {
    match reason {
        NotPooled::NothingInCommon => "no object type in common".to_owned(),
        NotPooled::TooFewCases { needed } => format!("fewer than {needed} cases on one side"),
        NotPooled::NotHomogeneous => "object types disagree".to_owned(),
        NotPooled::DirectionsDiffer => "directions differ between object types".to_owned(),
    }
}
