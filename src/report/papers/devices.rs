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

/// A table without rows where no device was counted. Columns and words about numbers that nobody has
/// are left out.
pub(super) fn table(review: &Review) -> Table {
    let (withheld, told): (Vec<_>, Vec<_>) = device_rows(review)
        .into_iter()
        .partition(|(_, row)| row.raw.suppressed);
    let is_few = |row: &DeviceRow<'_>| row.object_type != ALL && row.raw.cases < FEWEST_CASES;
    let (few, shown): (Vec<_>, Vec<_>) = told
        .into_iter()
        .filter(|(_, row)| !format::is_empty(row.raw))
        .partition(|(_, row)| is_few(row));
    let has_drawn = shown.iter().any(|(_, row)| row.drawn.is_some());
    let besides = || shown.iter().filter_map(|(_, row)| row.beside);
    let has_difference = besides().any(|beside| beside.difference().is_some());
    let has_adjusted =
        besides().any(|beside| matches!(beside, Beside::OverTypes { pooled: Ok(_), .. }));
    let mut caption = format!(
        "Devices by object type, {}. Raw: successes of cases (first device) or of passes, with the {} \
         interval.",
        series::whole_period(review),
        format::level(review.level),
    );
    let mut columns = vec!["Device", "Object type", "Raw", "Interval"];
    if has_drawn {
        columns.push("Drawn");
        caption.extend([" ", DRAWN]);
    }
    if has_difference {
        columns.push("Difference");
        caption.extend([" ", DIFFERENCE]);
    }
    if has_adjusted {
        caption.extend([" ", ADJUSTED]);
    }
    if !few.is_empty() {
        let fewest = FEWEST_CASES.to_string();
        caption.extend([
            " Combinations with fewer than ",
            &fewest,
            " cases stand in tables/devices.csv alone.",
        ]);
    }
    if !withheld.is_empty() {
        caption.push_str(" Devices and combinations whose numbers are withheld have no row.");
    }
    caption
        .push_str(" Uses are compared, not devices; the order is that of a list and no ranking.");
    let mut table = Table::new(caption, &columns);
    let mut before = "";
    for (measure, row) in shown {
        if measure != before {
            before = measure;
            table.push_heading(review.title(measure));
        }
        let mut cells = cells(row);
        cells.extend(has_drawn.then(|| drawn(row)));
        cells.extend(has_difference.then(|| {
            row.beside
                .map_or_else(|| format::NOTHING.into(), difference)
        }));
        table.push(cells);
    }
    table
}

/// What the column of drawn shares holds.
const DRAWN: &str = "Drawn: the raw share drawn toward those of the other devices used for the object \
    type, the more the fewer cases it has.";

/// What the column of differences holds.
const DIFFERENCE: &str = "Difference: device minus all other devices together, in percentage points; \
    within an object type as it is (Newcombe).";

/// What the column of differences holds in the rows of all object types.
const ADJUSTED: &str = "In the row of all object types it is adjusted for the object type \
    (Mantel-Haenszel, Sato). Each interval is that of its difference alone; p is adjusted for all devices \
    (Holm), so the two need not agree.";

fn cells(row: DeviceRow<'_>) -> Vec<Cell> {
    let object_type = match row.object_type {
        ALL => "all",
        object_type => value_label("object_type", object_type),
    };
    vec![
        format!("\u{2003}{}", value_label("device", row.device)).into(),
        object_type.into(),
        super::number_with_counts(row.raw).into(),
        format::interval(row.raw).into(),
    ]
}

fn drawn(row: DeviceRow<'_>) -> Cell {
    let Some(drawn) = row.drawn else {
        return format::NOTHING.into();
    };
    let cases = drawn.raw.cases;
    let share = format::with_unit(Unit::Fraction, cases, drawn.estimate);
    match drawn.interval {
        Some(interval) => {
            let limits = comparison_words::percents(cases, interval);
            format!("{share} ({limits})").into()
        }
        None => share.into(),
    }
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
