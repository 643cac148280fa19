//! The events of a share in the order of the calls: what count tables cannot hold. What leaves here
//! names no case.

use super::grouped::{texts, whole_numbers};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::domain::sequence::EventSequence;
use polars::prelude::{DataFrame, IntoLazy, LazyFrame};
use polars::sql::SQLContext;

/// Which shares are put in order, and until when.
#[derive(Clone, Copy, Debug, Default)]
pub struct InOrder<'a> {
    /// Identifiers of the measures.
    pub measures: &'a [&'a str],
    /// Cases called after this month are left out; `None` for no end.
    pub last_month: Option<Month>,
}

impl InOrder<'_> {
    pub(super) fn names(&self, measure: &Definition) -> bool {
        measure.kind == MeasureKind::Share && self.measures.contains(&measure.id.as_str())
    }
}

/// For a measure that selects the moment of the call: no join, which is most of the work. Of calls
/// at the same minute those without the event stand first, so that the order is always the same.
const FROM_ROWS: &str = "select called_minute, month, hit from measure_rows where eligible = 1 \
    order by called_minute, hit";

/// For any other.
const FROM_CASES: &str = "select cases.called_minute as called_minute, cases.month as month, \
    measure_rows.hit as hit from measure_rows join cases on measure_rows.case_id = cases.case_id \
    where measure_rows.eligible = 1 order by called_minute, hit";

/// The events among the rows of a share, whose contract was checked. `None` when the engine fails.
pub(super) fn event_sequence(
    rows: &DataFrame,
    cases: &DataFrame,
    last_month: Option<Month>,
) -> Option<EventSequence> {
    let mut context = SQLContext::new();
    context.register("measure_rows", rows.clone().lazy());
    context.register("cases", cases.clone().lazy());
    let is_selected = |column: &str| rows.column(column).is_ok();
    let query = if is_selected("called_minute") && is_selected("month") {
        FROM_ROWS
    } else {
        FROM_CASES
    };
    let ordered = context.execute(query).and_then(LazyFrame::collect).ok()?;
    let minutes = whole_numbers(&ordered, "called_minute")?;
    let hits = whole_numbers(&ordered, "hit")?;
    let months = texts(&ordered, "month")?;
    let mut sequence = EventSequence::default();
    for ((minute, hit), month) in minutes.into_iter().zip(hits).zip(months) {
        // Every case has a call and its month.
        let month: Month = month?.parse().ok()?;
        if last_month.is_none_or(|last| month <= last) {
            sequence.push(month, minute?, hit == Some(1));
        }
    }
    Some(sequence)
}
