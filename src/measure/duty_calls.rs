//! Every call with what binds its team, by one query: overlap, rest and coverage need calls one by
//! one, which count tables cannot hold. What leaves here names no case and stays in memory.
//!
//! Knows the query and the columns that it gives. What a call is, and for how long it binds a team,
//! stands in the domain.

use super::engine::{EngineError, Records};
use super::judged::{texts, whole_numbers};
use crate::domain::codes::{Presentation, Shift, Weekday};
use crate::domain::duty::call::Call;
use arrow::array::RecordBatch;
use polars::prelude::DataFrame;

/// The query, with a header that says what it gives.
const CALLS: &str = include_str!("../../sql/staffing/calls.sql");

/// What messages call the query.
const NAME: &str = "staffing/calls";

/// Every call of the records, sorted by the minute of the call, then by site, then by all else that
/// a call holds: the order of the records changes nothing.
///
/// For records with clock times. Elapsed minutes count from each call, so there every call would
/// come at the same minute.
///
/// # Errors
/// When the engine fails, or a record lacks the call, its month, weekday, hour or shift, or the
/// presentation, which no accepted record with clock times does.
pub fn duty_calls(cases: &[RecordBatch]) -> Result<Vec<Call>, EngineError> {
    let data_error = || EngineError::Data {
        measure: NAME.to_owned(),
    };
    let records = Records::new(cases, &[]);
    let rows = records.select(CALLS).map_err(|_| data_error())?;
    let mut calls = calls_of(&rows).ok_or_else(data_error)?;
    calls.sort_unstable_by(|a, b| place(a).cmp(&place(b)));
    Ok(calls)
}

/// By what calls are sorted: everything that they hold, so that two at the same place are alike.
fn place(call: &Call) -> impl Ord + '_ {
    (
        (call.called, call.site.as_str()),
        (call.month, call.weekday, call.hour),
        (call.shift, call.presentation),
        (call.team, call.scope_in, call.scope_out),
        (call.ended, call.released, call.deadline),
    )
}

/// `None` when a column is not what the query promises.
fn calls_of(rows: &DataFrame) -> Option<Vec<Call>> {
    let text = |column: &str| texts(rows, column);
    let whole = |column: &str| whole_numbers(rows, column);
    let (sites, months) = (text("site")?, text("month")?);
    let (weekdays, hours) = (text("weekday")?, whole("hour")?);
    let (shifts, presentations) = (text("shift")?, text("presentation")?);
    let (called, deadlines) = (whole("called")?, whole("deadline")?);
    let (team, scope_in) = (whole("team")?, whole("scope_in")?);
    let (scope_out, ended) = (whole("scope_out")?, whole("ended")?);
    let released = whole("released")?;
    let call = |(row, site): (usize, Option<String>)| {
        Some(Call {
            site: site?,
            month: months[row].as_deref()?.parse().ok()?,
            weekday: coded(Weekday::ALL, Weekday::code, weekdays[row].as_deref()?)?,
            hour: hours[row]?.try_into().ok()?,
            shift: coded(Shift::ALL, Shift::code, shifts[row].as_deref()?)?,
            presentation: coded(
                Presentation::ALL,
                Presentation::code,
                presentations[row].as_deref()?,
            )?,
            called: called[row]?,
            team: team[row],
            scope_in: scope_in[row],
            scope_out: scope_out[row],
            ended: ended[row],
            released: released[row],
            deadline: deadlines[row],
        })
    };
    sites.into_iter().enumerate().map(call).collect()
}

/// The word of a closed list that a code stands for.
fn coded<T: Copy>(all: &[T], code_of: fn(T) -> &'static str, code: &str) -> Option<T> {
    all.iter().copied().find(|word| code_of(*word) == code)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fields::CaseField;
    use crate::measure::engine::tests::records;

    /// Two calls of a minute and one before, as (row, column, value).
    const CELLS: &[(usize, &str, &str)] = &[
        (0, "case_id", "first"),
        (0, "site", "Birch"),
        (0, "month", "2026-03"),
        (0, "weekday", "tue"),
        (0, "hour", "23"),
        (0, "shift", "after_hours"),
        (0, "presentation", "upper_bleed"),
        (0, "called_minute", "2000"),
        (0, "team_minute", "2030"),
        (0, "scope_in_minute", "2040"),
        (0, "scope_out_minute", "2100"),
        (0, "released_minute", "2125"),
        (0, "window_start_minute", "1990"),
        (0, "window_minutes", "1440"),
        (1, "case_id", "second"),
        (1, "month", "2026-03"),
        (1, "weekday", "mon"),
        (1, "hour", "0"),
        (1, "shift", "in_hours"),
        (1, "presentation", "foreign_body"),
        (1, "called_minute", "1000"),
        (1, "ended_minute", "1020"),
        (1, "window_minutes", "120"),
        (2, "case_id", "third"),
        (2, "site", "Alder"),
        (2, "month", "2026-03"),
        (2, "weekday", "tue"),
        (2, "hour", "23"),
        (2, "shift", "after_hours"),
        (2, "presentation", "food_impaction"),
        (2, "called_minute", "2000"),
    ];

    #[test]
    fn a_call_holds_its_moments_and_the_last_minute_of_its_window() {
        let calls = duty_calls(&[records::<CaseField>(3, CELLS)]).expect("calls");
        let expected = Call {
            site: "Birch".to_owned(),
            month: "2026-03".parse().expect("a month"),
            weekday: Weekday::Tuesday,
            hour: 23,
            shift: Shift::AfterHours,
            presentation: Presentation::UpperBleed,
            called: 2000,
            team: Some(2030),
            scope_in: Some(2040),
            scope_out: Some(2100),
            ended: None,
            released: Some(2125),
            deadline: Some(3430),
        };
        assert_eq!(calls[2], expected);
        // A window whose start nobody recorded has no end either, and a site without a name has one.
        assert_eq!((calls[0].deadline, calls[0].ended), (None, Some(1020)));
        assert_eq!(calls[0].site, "not_recorded");
    }

    #[test]
    fn calls_stand_by_minute_and_site_whatever_the_order_of_the_records() {
        let whole = records::<CaseField>(3, CELLS);
        let expected = duty_calls(std::slice::from_ref(&whole)).expect("calls");
        let sites: Vec<_> = expected.iter().map(|call| call.site.as_str()).collect();
        assert_eq!(sites, ["not_recorded", "Alder", "Birch"]);
        let turned = [whole.slice(2, 1), whole.slice(1, 1), whole.slice(0, 1)];
        assert_eq!(duty_calls(&turned).expect("calls"), expected);
    }

    #[test]
    fn a_record_without_a_shift_is_an_error_that_quotes_no_cell() {
        let cells: Vec<_> = CELLS
            .iter()
            .copied()
            .filter(|(row, column, _)| (*row, *column) != (2, "shift"))
            .collect();
        let error = duty_calls(&[records::<CaseField>(3, &cells)]).expect_err("no shift");
        assert!(!error.to_string().contains("Alder"), "{error}");
        assert!(duty_calls(&[]).expect("no record is no call").is_empty());
    }
}
