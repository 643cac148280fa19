//! The table `cases_to_review`: which cases of the month in view a person should read, and why. It
//! holds case numbers and times, so it never leaves the hospital. Knows no zone.

use super::columns::{batch, optional_text, optional_whole, text};
use super::table::{Table, TableError};
use crate::domain::review_rules::{CaseToReview, Moments};
use crate::domain::unknown_words::CellText;

/// One row per case and rule, in the order of the list. `local_time` gives a moment as the clocks
/// showed it; `None` where times are minutes since the call.
///
/// # Errors
/// Never with the numbers of accepted cases.
pub fn cases_to_review_table(
    cases: &[CaseToReview],
    local_time: impl Fn(i64) -> Option<String>,
) -> Result<Table, TableError> {
    let rows = || cases.iter();
    let mut columns = vec![
        text(
            "case_id",
            "the case number of the export",
            rows().map(|row| row.case.expose()),
        ),
        optional_text(
            "site",
            "the site",
            rows().map(|row| row.site.as_ref().map(CellText::expose)),
        ),
        text("rule", "name of the rule", rows().map(|row| row.rule.id)),
        text(
            "words",
            "what the rule asks",
            rows().map(|row| row.rule.words),
        ),
        text(
            "measure",
            "the measure by whose definition the case is listed",
            rows().map(|row| row.rule.measure),
        ),
        text("month", "month of the call", rows().map(|row| &row.month)),
    ];
    for (name, meaning, moment) in CLOCK_TIMES {
        let values = rows().map(|row| moment(&row.moments).and_then(&local_time));
        columns.push(optional_text(name, meaning, values));
    }
    for (name, meaning, moment) in SINCE_CALL {
        let values =
            rows().map(|row| moment(&row.moments).map(|minute| minute - row.moments.called));
        columns.push(optional_whole(name, meaning, "minutes", values)?);
    }
    columns.extend([
        optional_text(
            "window",
            "name of the guideline window; empty when none could be assigned",
            rows().map(|row| row.window.as_deref()),
        ),
        optional_whole(
            "window_start_to_scope_in",
            "from the start of the window to scope in",
            "minutes",
            rows().map(|row| Some(row.moments.scope_in? - row.moments.window_start?)),
        )?,
        optional_whole(
            "window_limit",
            "longest time within the window; empty when the guideline gives none",
            "minutes",
            rows().map(|row| row.window_minutes),
        )?,
    ]);
    Ok(Table {
        name: "cases_to_review",
        batch: batch(columns),
    })
}

/// A column of moments: its name, what it means, and the moment.
type MomentColumn = (&'static str, &'static str, fn(&Moments) -> Option<i64>);

/// Empty where the export has no dates.
const CLOCK_TIMES: [MomentColumn; 5] = [
    ("called_at", "call, local time", |at| Some(at.called)),
    ("team_at", "team complete, local time", |at| at.team),
    ("cart_at", "cart at the bedside, local time", |at| at.cart),
    ("scope_in_at", "scope in, local time", |at| at.scope_in),
    ("removed_at", "object out, local time", |at| at.removed),
];

const SINCE_CALL: [MomentColumn; 4] = [
    ("call_to_team", "from the call to the team", |at| at.team),
    ("call_to_cart", "from the call to the cart", |at| at.cart),
    ("call_to_scope_in", "from the call to scope in", |at| {
        at.scope_in
    }),
    ("call_to_removed", "from the call to object out", |at| {
        at.removed
    }),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::review_rules::review_rules;
    use crate::export::table::Format;

    fn csv(cases: &[CaseToReview], local_time: impl Fn(i64) -> Option<String>) -> String {
        let table = cases_to_review_table(cases, local_time).unwrap();
        assert_eq!(table.file_name(Format::Csv), "cases_to_review.csv");
        String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap()
    }

    const HEADER: &str = "case_id,site,rule,words,measure,month,called_at,team_at,cart_at,\
        scope_in_at,removed_at,call_to_team,call_to_cart,call_to_scope_in,call_to_removed,window,\
        window_start_to_scope_in,window_limit\n";

    #[test]
    fn an_empty_list_has_its_header() {
        assert_eq!(csv(&[], |_| None), HEADER);
    }

    fn case() -> CaseToReview {
        CaseToReview {
            rule: review_rules()[0],
            case: CellText::new("=1+1"),
            site: Some(CellText::new("@Alder, north")),
            month: "2026-03".to_owned(),
            moments: Moments {
                called: 100,
                team: Some(125),
                cart: None,
                scope_in: Some(90),
                removed: Some(160),
                window_start: Some(40),
            },
            window: Some("some_window".to_owned()),
            window_minutes: Some(45),
        }
    }

    const WORDS: &str = "beyond_window,Scope in later than the guideline window in force allows,\
        scoped_within_window,2026-03";

    #[test]
    fn no_cell_runs_and_every_moment_stands_with_its_minutes() {
        let row = format!(
            "'=1+1,\"'@Alder, north\",{WORDS},t100,t125,,t90,t160,25,,-10,60,some_window,50,45\n"
        );
        let found = csv(&[case()], |minute| Some(format!("t{minute}")));
        assert_eq!(found, format!("{HEADER}{row}"));
    }

    #[test]
    fn without_a_clock_there_are_month_and_minutes() {
        let mut case = case();
        case.site = None;
        case.moments.window_start = None;
        case.window_minutes = None;
        let row = format!("'=1+1,,{WORDS},,,,,,25,,-10,60,some_window,,\n");
        assert_eq!(csv(&[case], |_| None), format!("{HEADER}{row}"));
    }
}
