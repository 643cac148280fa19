//! The tables of the simulated scenarios: what comes out of each; its details are `details`.

use crate::domain::duty::plan::Arrivals;
use crate::export::columns::{Column, batch, number, optional_whole, text, whole};
use crate::export::table::{Table, TableError};
use crate::findings::staffing::coverage::{
    Coverage, Estimate, Outcome, ScenarioCoverage, SiteCoverage,
};

mod details;

#[cfg(test)]
mod tests;

pub use details::{coverage_rates_table, coverage_teams_table, coverage_waits_table};

/// A scenario at a site.
type Row<'a> = (&'a SiteCoverage, &'a ScenarioCoverage);

fn rows(coverage: &Coverage) -> Vec<Row<'_>> {
    let sites = coverage.sites.iter();
    sites
        .flat_map(|site| site.scenarios.iter().map(move |scenario| (site, scenario)))
        .collect()
}

fn outcome<'a>(row: &Row<'a>) -> Option<&'a Outcome> {
    row.1.outcome.as_ref().ok()
}

fn address<'a>(rows: impl Iterator<Item = Row<'a>> + Clone) -> [Column; 2] {
    [
        text("site", "the site", rows.clone().map(|row| &row.0.site)),
        text(
            "scenario",
            "name of the scenario",
            rows.map(|row| &row.1.name),
        ),
    ]
}

/// A simulated number with the error of having simulated no longer.
fn estimate(
    name: &str,
    meaning: &str,
    unit: &str,
    rows: &[Row<'_>],
    of: fn(&Outcome) -> Option<Estimate>,
) -> [Column; 2] {
    let error =
        format!("standard error of {name} for having simulated no longer; empty with one block");
    [
        number(
            name,
            meaning,
            unit,
            rows.iter().map(|row| Some(of(outcome(row)?)?.value)),
        ),
        number(
            &format!("{name}_simulation_error"),
            &error,
            unit,
            rows.iter().map(|row| of(outcome(row)?)?.standard_error),
        ),
    ]
}

/// One row per site and scenario.
///
/// # Errors
/// When a count does not fit INT64.
pub fn coverage_table(coverage: &Coverage) -> Result<Table, TableError> {
    let rows = rows(coverage);
    let mut columns = Vec::from(address(rows.iter().copied()));
    columns.extend(simulated(coverage, &rows)?);
    columns.extend(estimate(
        "waiting",
        "share of calls that wait",
        "fraction",
        &rows,
        |of| of.waiting,
    ));
    columns.extend(from_records(&rows)?);
    columns.extend(waits(&rows)?);
    columns.push(optional_whole(
        "windowed",
        "simulated calls with a window and a scope that went in",
        "calls",
        rows.iter().map(|row| Some(outcome(row)?.windowed)),
    )?);
    columns.extend(estimate(
        "in_window",
        "share of these with scope in within the window",
        "fraction",
        &rows,
        |of| of.in_window,
    ));
    columns.extend(estimate(
        "in_window_without_wait",
        "the same if no call waited",
        "fraction",
        &rows,
        |of| of.in_window_without_wait,
    ));
    Ok(Table {
        name: "coverage",
        batch: batch(columns),
    })
}

fn simulated(coverage: &Coverage, rows: &[Row<'_>]) -> Result<Vec<Column>, TableError> {
    let arrivals = match coverage.rules.arrivals {
        Arrivals::Fitted => "fitted",
        Arrivals::Weeks => "weeks",
    };
    Ok(vec![
        text(
            "queue",
            "`ends`, or `never_ends` where calls ask for more than the teams can do; then what follows \
             is empty",
            rows.iter().map(|row| {
                if outcome(row).is_some() {
                    "ends"
                } else {
                    "never_ends"
                }
            }),
        ),
        text(
            "arrivals",
            "`fitted` rates or recorded `weeks`",
            rows.iter().map(|_| arrivals),
        ),
        whole(
            "years",
            "simulated years of 52 weeks",
            "years",
            rows.iter().map(|_| coverage.rules.years),
        )?,
        whole(
            "seed",
            "seed of the random numbers, as a signed number",
            "",
            rows.iter().map(|_| coverage.rules.seed.cast_signed()),
        )?,
        number(
            "calls_per_week",
            "calls per week of the fit",
            "calls",
            rows.iter().map(|row| Some(row.0.fit.calls_per_week())),
        ),
        number(
            "offered_load",
            "mean number of teams bound if there were always one more, each coming as recorded",
            "teams",
            rows.iter().map(|row| Some(row.0.fit.offered_load)),
        ),
        optional_whole(
            "calls",
            "simulated calls",
            "calls",
            rows.iter().map(|row| Some(outcome(row)?.calls)),
        )?,
        optional_whole(
            "waiting_calls",
            "simulated calls that wait",
            "calls",
            rows.iter().map(|row| Some(outcome(row)?.waiting_calls)),
        )?,
    ])
}

fn from_records(rows: &[Row<'_>]) -> Result<Vec<Column>, TableError> {
    let simulated = |row: &Row<'_>| Some(row.1.difference?.simulated);
    Ok(vec![
        number(
            "waiting_low_95",
            "lower limit of the share with what is not known of the records",
            "fraction",
            rows.iter().map(|row| Some(row.1.from_records?.low)),
        ),
        number(
            "waiting_high_95",
            "upper limit; empty where the queue never ends with some of the drawn records",
            "fraction",
            rows.iter().map(|row| row.1.from_records?.high),
        ),
        optional_whole(
            "endless_draws",
            "of 100 draws of the records those with a queue that never ends",
            "draws",
            rows.iter().map(|row| Some(row.1.from_records?.endless)),
        )?,
        number(
            "difference",
            "share of calls that wait less that in the first scenario of the site",
            "fraction",
            rows.iter().map(|row| Some(simulated(row)?.value)),
        ),
        number(
            "difference_simulation_error",
            "standard error of the difference for having simulated no longer",
            "fraction",
            rows.iter().map(|row| simulated(row)?.standard_error),
        ),
        number(
            "difference_low_95",
            "lower limit of the difference with what is not known of the records",
            "fraction",
            rows.iter()
                .map(|row| Some(row.1.difference?.from_records?.low)),
        ),
        number(
            "difference_high_95",
            "upper limit",
            "fraction",
            rows.iter().map(|row| row.1.difference?.from_records?.high),
        ),
    ])
}

fn waits(rows: &[Row<'_>]) -> Result<Vec<Column>, TableError> {
    let mut columns = Vec::from(estimate(
        "mean_wait",
        "mean added wait of all calls",
        "minutes",
        rows,
        |of| of.mean_wait,
    ));
    columns.extend(estimate(
        "mean_wait_of_waiting",
        "mean added wait of calls that wait",
        "minutes",
        rows,
        |of| of.mean_wait_of_waiting,
    ));
    columns.push(optional_whole(
        "p90_wait",
        "nine of ten calls wait no longer",
        "minutes",
        rows.iter().map(|row| Some(outcome(row)?.p90_wait?.minutes)),
    )?);
    columns.push(optional_whole(
        "p90_wait_of_waiting",
        "nine of ten calls that wait do so no longer",
        "minutes",
        rows.iter()
            .map(|row| Some(outcome(row)?.p90_wait_of_waiting?.minutes)),
    )?);
    Ok(columns)
}
