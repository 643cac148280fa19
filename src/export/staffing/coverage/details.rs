//! The details of the simulated scenarios: what each team does, how long calls wait, and the rates
//! behind it all.

use super::{Row, address, outcome, rows};
use crate::domain::codes::Weekday;
use crate::export::columns::{batch, number, text, whole};
use crate::export::table::{Table, TableError};
use crate::findings::staffing::coverage::{Coverage, Estimate, TeamLoad};

/// One row per site, scenario and team; none where the queue never ends.
///
/// # Errors
/// Never in practice: teams are few.
pub fn coverage_teams_table(coverage: &Coverage) -> Result<Table, TableError> {
    let rows = rows(coverage);
    let teams: Vec<_> = rows
        .iter()
        .filter_map(|row| Some((*row, outcome(row)?)))
        .flat_map(|(row, outcome)| {
            outcome
                .teams
                .iter()
                .zip(1_u64..)
                .map(move |(load, team)| (row, team, load))
        })
        .collect();
    let mut columns = Vec::from(address(teams.iter().map(|(row, ..)| *row)));
    columns.push(whole(
        "team",
        "place in the order in which teams are called",
        "",
        teams.iter().map(|(_, team, _)| *team),
    )?);
    for (name, meaning, unit, of) in [
        (
            "calls_per_30_days",
            "calls that it takes in 30 days",
            "calls",
            (|load| load.calls) as fn(&TeamLoad) -> Estimate,
        ),
        (
            "call_backs_per_30_days",
            "call-backs that begin after hours in 30 days",
            "call-backs",
            |load| load.call_backs,
        ),
        (
            "after_hours_per_30_days",
            "hours bound after hours in 30 days",
            "hours",
            |load| load.after_hours,
        ),
        (
            "bound_hours_per_30_days",
            "hours bound in 30 days",
            "hours",
            |load| load.bound_hours,
        ),
    ] {
        columns.push(number(
            name,
            meaning,
            unit,
            teams.iter().map(|(.., load)| Some(of(load).value)),
        ));
        columns.push(number(
            &format!("{name}_simulation_error"),
            &format!("standard error of {name} for having simulated no longer"),
            unit,
            teams.iter().map(|(.., load)| of(load).standard_error),
        ));
    }
    Ok(Table {
        name: "coverage_teams",
        batch: batch(columns),
    })
}

/// One row per site, scenario and whole minutes that cover a wait, from 0 on, if any call waits so.
///
/// # Errors
/// When a count does not fit INT64.
pub fn coverage_waits_table(coverage: &Coverage) -> Result<Table, TableError> {
    let rows = rows(coverage);
    let waits: Vec<(Row<'_>, u64, u64)> = rows
        .iter()
        .filter_map(|row| Some((*row, outcome(row)?)))
        .flat_map(|(row, outcome)| {
            (0_u64..)
                .zip(&outcome.waits)
                .map(move |(minutes, calls)| (row, minutes, *calls))
        })
        .filter(|(.., calls)| *calls > 0)
        .collect();
    let mut columns = Vec::from(address(waits.iter().map(|(row, ..)| *row)));
    columns.push(whole(
        "wait_minutes",
        "whole minutes that cover the wait; 0 for calls that do not wait",
        "minutes",
        waits.iter().map(|(_, minutes, _)| *minutes),
    )?);
    columns.push(whole(
        "calls",
        "simulated calls",
        "calls",
        waits.iter().map(|(.., calls)| *calls),
    )?);
    Ok(Table {
        name: "coverage_waits",
        batch: batch(columns),
    })
}

/// One row per site and hour of the week: what was counted and what the simulation makes of it.
///
/// # Errors
/// When a count does not fit INT64.
pub fn coverage_rates_table(coverage: &Coverage) -> Result<Table, TableError> {
    let rows: Vec<_> = coverage
        .sites
        .iter()
        .flat_map(|site| {
            let clock = Weekday::ALL
                .iter()
                .flat_map(|day| (0_u64..24).map(move |hour| (day, hour)));
            site.fit
                .hours
                .iter()
                .zip(clock)
                .map(move |(fitted, (day, hour))| (site, day, hour, fitted))
        })
        .collect();
    Ok(Table {
        name: "coverage_rates",
        batch: batch(vec![
            text("site", "the site", rows.iter().map(|row| &row.0.site)),
            text("weekday", "the day", rows.iter().map(|row| row.1.code())),
            whole(
                "hour",
                "hour on the clock in which it begins",
                "",
                rows.iter().map(|row| row.2),
            )?,
            whole(
                "calls",
                "recorded calls",
                "calls",
                rows.iter().map(|row| row.3.calls),
            )?,
            whole(
                "observed_minutes",
                "observed time",
                "minutes",
                rows.iter().map(|row| row.3.minutes),
            )?,
            number(
                "calls_per_hour",
                "calls per hour as simulated, drawn toward the block of the hour",
                "calls",
                rows.iter().map(|row| Some(row.3.calls_per_hour)),
            ),
        ]),
    })
}
