//! The rows of a measure → what each is worth, by the contract of its kind.

use super::engine::EngineError;
use crate::domain::measure::{Definition, MeasureKind};
use polars::prelude::{DataFrame, DataType, Int64Chunked};

/// What each row is worth, in the order of the rows.
pub(super) enum Judged {
    /// Of shares and of events.
    Flags(Vec<Flag>),
    /// Of lengths of time: minutes, and whether their end was reached; `None` for what is excluded.
    Minutes(Vec<Option<(i64, bool)>>),
}

impl Judged {
    /// Adds what other rows of the same measure are worth.
    pub(super) fn append(&mut self, other: Judged) {
        match (self, other) {
            (Judged::Flags(flags), Judged::Flags(mut others)) => flags.append(&mut others),
            (Judged::Minutes(lengths), Judged::Minutes(mut others)) => lengths.append(&mut others),
            _ => unreachable!("the rows of one measure are all of one kind"),
        }
    }

    /// The same of these rows, in this order.
    pub(super) fn of_rows(&self, rows: &[u32]) -> Judged {
        match self {
            Judged::Flags(flags) => {
                Judged::Flags(rows.iter().map(|row| flags[*row as usize]).collect())
            }
            Judged::Minutes(lengths) => {
                Judged::Minutes(rows.iter().map(|row| lengths[*row as usize]).collect())
            }
        }
    }
}

/// What a row of a share is worth. An event is eligible and no hit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Flag {
    Excluded = 0,
    Eligible = 1,
    Hit = 2,
}

impl Flag {
    fn of(is_eligible: bool, is_hit: bool) -> Flag {
        match (is_eligible, is_hit) {
            (false, _) => Flag::Excluded,
            (true, false) => Flag::Eligible,
            (true, true) => Flag::Hit,
        }
    }
}

const FLAG: &str = "0 or 1";
const WHOLE: &str = "a whole number";

/// The columns of a kind beside its dimensions.
pub(super) fn columns_of(kind: MeasureKind) -> &'static [&'static str] {
    match kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => &["case_id", "eligible", "hit"],
        MeasureKind::Minutes => &["case_id", "eligible", "minutes", "reached"],
        MeasureKind::Count => &["case_id", "eligible"],
    }
}

/// Checks that a measure selects the columns of its kind.
///
/// # Errors
/// With the first that it does not select.
pub(super) fn check_columns(
    measure: &Definition,
    is_selected: impl Fn(&str) -> bool,
) -> Result<(), EngineError> {
    let mut columns = columns_of(measure.kind).iter();
    match columns.find(|column| !is_selected(column)) {
        None => Ok(()),
        Some(column) => Err(EngineError::MissingColumn {
            measure: measure.id.clone(),
            column,
            kind: measure.kind,
        }),
    }
}

/// What the rows of a measure are worth.
///
/// # Errors
/// When a column holds what the contract of its kind does not allow.
pub(super) fn judge(measure: &Definition, rows: &DataFrame) -> Result<Judged, EngineError> {
    let eligible = eligible(measure, rows)?;
    Ok(match measure.kind {
        MeasureKind::Count => {
            let flags = eligible.iter().map(|eligible| Flag::of(*eligible, false));
            Judged::Flags(flags.collect())
        }
        MeasureKind::Share | MeasureKind::ClusteredShare => {
            let hits = numbers(measure, rows, "hit", FLAG)?;
            let flags = hits.iter().zip(&eligible).map(|(hit, eligible)| match hit {
                Some(0 | 1) => Some(Flag::of(*eligible, hit == Some(1))),
                None if !eligible => Some(Flag::Excluded),
                _ => None,
            });
            Judged::Flags(all(flags).ok_or_else(|| broken(measure, "hit", FLAG))?)
        }
        MeasureKind::Minutes => {
            let minutes = numbers(measure, rows, "minutes", WHOLE)?;
            let mut of_eligible = minutes.iter().zip(&eligible);
            if !of_eligible.all(|(minutes, eligible)| minutes.is_some() || !eligible) {
                return Err(broken(measure, "minutes", WHOLE));
            }
            let reached = numbers(measure, rows, "reached", FLAG)?;
            let lengths = minutes.iter().zip(reached.iter()).zip(&eligible);
            let lengths = lengths.map(|((minutes, reached), eligible)| match reached {
                Some(0 | 1) if *eligible => Some(Some((minutes?, reached == Some(1)))),
                Some(0 | 1) | None if !eligible => Some(None),
                _ => None,
            });
            Judged::Minutes(all(lengths).ok_or_else(|| broken(measure, "reached", FLAG))?)
        }
    })
}

fn eligible(measure: &Definition, rows: &DataFrame) -> Result<Vec<bool>, EngineError> {
    let eligible = numbers(measure, rows, "eligible", FLAG)?;
    // A missing one is no flag, so the numbers can be read as they lie.
    let numbers = || eligible.data_views().flatten();
    if eligible.null_count() == 0 && numbers().all(|number| matches!(number, 0 | 1)) {
        Ok(numbers().map(|number| *number == 1).collect())
    } else {
        Err(broken(measure, "eligible", FLAG))
    }
}

/// All values, if none is missing. Collecting does the same, but grows the list again and again, as it
/// cannot know how long it will be.
pub(super) fn all<T>(values: impl Iterator<Item = Option<T>>) -> Option<Vec<T>> {
    let mut all = Vec::with_capacity(values.size_hint().0);
    for value in values {
        all.push(value?);
    }
    Some(all)
}

fn numbers(
    measure: &Definition,
    rows: &DataFrame,
    column: &'static str,
    expected: &'static str,
) -> Result<Int64Chunked, EngineError> {
    whole_column(rows, column).ok_or_else(|| broken(measure, column, expected))
}

fn broken(measure: &Definition, column: &'static str, expected: &'static str) -> EngineError {
    EngineError::Contract {
        measure: measure.id.clone(),
        column,
        expected,
    }
}

/// A column of whole numbers; `None` when it is of another type.
fn whole_column(frame: &DataFrame, column: &str) -> Option<Int64Chunked> {
    let column = frame.column(column).ok()?;
    // A column of nothing but nulls has no type of its own.
    if !(column.dtype().is_integer() || *column.dtype() == DataType::Null) {
        return None;
    }
    let column = column.cast(&DataType::Int64).ok()?;
    Some(column.i64().ok()?.clone())
}

/// The values of a column of whole numbers; `None` when it is of another type.
pub(super) fn whole_numbers(frame: &DataFrame, column: &str) -> Option<Vec<Option<i64>>> {
    Some(whole_column(frame, column)?.iter().collect())
}

/// The values of a column of text; `None` when it is of another type.
pub(super) fn texts(frame: &DataFrame, column: &str) -> Option<Vec<Option<String>>> {
    let column = frame.column(column).ok()?.cast(&DataType::String).ok()?;
    let texts = column.str().ok()?;
    Some(texts.iter().map(|text| text.map(String::from)).collect())
}
