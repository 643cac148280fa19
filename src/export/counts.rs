//! The four count tables as tables: long, sorted, additive. The contract between whoever counts
//! and whoever computes.
//!
//! Knows the columns; [`read`] is the way back. Does not judge the counts.

pub mod read;

use super::columns::{Column, batch, number, optional_whole, text, whole};
use super::findings::month_column;
use super::table::{Table, TableError};
use crate::domain::counts::{CountTables, EventsCount, Key, MinutesCount, PassesCount, ShareCount};
use std::collections::BTreeMap;

/// Minutes in an hour; exposure is published in hours.
const MINUTES_PER_HOUR: f64 = 60.0;

/// Names of the four tables, and of their files.
const SHARES: &str = "shares";
const MINUTES: &str = "minutes";
const PASSES: &str = "passes";
const EVENTS: &str = "events";

/// The four tables `shares`, `minutes`, `passes` and `events`.
///
/// # Errors
/// When a count does not fit INT64, or an exposure does not keep its minutes when told in hours.
pub fn count_tables(counts: &CountTables) -> Result<[Table; 4], TableError> {
    Ok([
        shares_table(counts)?,
        minutes_table(counts)?,
        passes_table(counts)?,
        events_table(counts)?,
    ])
}

/// The table `shares`.
///
/// # Errors
/// When a count does not fit INT64.
pub fn shares_table(counts: &CountTables) -> Result<Table, TableError> {
    let batch = batch(shares(&counts.shares)?);
    Ok(Table {
        name: SHARES,
        batch,
    })
}

/// The table `minutes`. A group in which nothing at all was counted has no row.
///
/// # Errors
/// When a count does not fit INT64.
pub fn minutes_table(counts: &CountTables) -> Result<Table, TableError> {
    let batch = batch(minutes(&counts.minutes)?);
    Ok(Table {
        name: MINUTES,
        batch,
    })
}

/// The table `passes`. A group in which nothing at all was counted has no row.
///
/// # Errors
/// When a count does not fit INT64.
pub fn passes_table(counts: &CountTables) -> Result<Table, TableError> {
    let batch = batch(passes(&counts.passes)?);
    Ok(Table {
        name: PASSES,
        batch,
    })
}

/// The table `events`.
///
/// # Errors
/// When a count does not fit INT64, or an exposure does not keep its minutes when told in hours.
pub fn events_table(counts: &CountTables) -> Result<Table, TableError> {
    let batch = batch(events(&counts.events)?);
    Ok(Table {
        name: EVENTS,
        batch,
    })
}

fn shares(counts: &BTreeMap<Key, ShareCount>) -> Result<Vec<Column>, TableError> {
    let rows = || counts.values();
    let mut columns = key_columns(counts.keys())?;
    columns.extend([
        whole(
            "eligible",
            "cases that the definition judges",
            "cases",
            rows().map(|row| row.eligible),
        )?,
        whole(
            "hit",
            "of these, cases that meet it",
            "cases",
            rows().map(|row| row.hit),
        )?,
        whole(
            "excluded",
            "cases of the population that could not be judged",
            "cases",
            rows().map(|row| row.excluded),
        )?,
    ]);
    Ok(columns)
}

fn minutes(counts: &BTreeMap<Key, MinutesCount>) -> Result<Vec<Column>, TableError> {
    let rows: Vec<_> = counts
        .iter()
        .flat_map(|(key, count)| {
            let excluded = (count.excluded > 0).then_some((key, None, count.excluded));
            let judged = count.cases.iter();
            excluded
                .into_iter()
                .chain(judged.map(move |(length, cases)| (key, Some(*length), *cases)))
        })
        .collect();
    let lengths = || rows.iter().map(|(_, length, _)| *length);
    let mut columns = key_columns(rows.iter().map(|(key, _, _)| *key))?;
    columns.extend([
        optional_whole(
            "minutes",
            "length of time; empty for cases that could not be judged",
            "minutes",
            lengths().map(|length| Some(length?.0)),
        )?,
        optional_whole(
            "reached",
            "1 when the end was reached, 0 when followed until then only",
            "",
            lengths().map(|length| Some(i64::from(length?.1))),
        )?,
        whole(
            "cases",
            "cases with this length of time",
            "cases",
            rows.iter().map(|(_, _, cases)| *cases),
        )?,
    ]);
    Ok(columns)
}

fn passes(counts: &BTreeMap<Key, PassesCount>) -> Result<Vec<Column>, TableError> {
    let rows: Vec<_> = counts
        .iter()
        .flat_map(|(key, count)| {
            let excluded = (count.excluded > 0).then_some((key, (0, 0), count.excluded));
            let judged = count.cases.iter();
            excluded
                .into_iter()
                .chain(judged.map(move |(passes, cases)| (key, *passes, *cases)))
        })
        .collect();
    let per_case = || rows.iter().map(|(_, passes, _)| *passes);
    let mut columns = key_columns(rows.iter().map(|(key, _, _)| *key))?;
    columns.extend([
        whole(
            "events",
            "passes of a case that meet the definition",
            "passes",
            per_case().map(|(events, _)| events),
        )?,
        whole(
            "attempts",
            "passes of a case that the definition judges; 0 for cases that could not be judged",
            "passes",
            per_case().map(|(_, attempts)| attempts),
        )?,
        whole(
            "cases",
            "cases with these numbers of passes",
            "cases",
            rows.iter().map(|(_, _, cases)| *cases),
        )?,
    ]);
    Ok(columns)
}

fn events(counts: &BTreeMap<Key, EventsCount>) -> Result<Vec<Column>, TableError> {
    let rows = || counts.values();
    let exposures: Vec<Option<f64>> = rows()
        .map(|row| hours(row.exposure_minutes).map(Some))
        .collect::<Result<_, _>>()?;
    let mut columns = key_columns(counts.keys())?;
    columns.extend([
        whole("events", "events", "events", rows().map(|row| row.events))?,
        number(
            "exposure",
            "observed time, summed over sites",
            "hours",
            exposures.into_iter(),
        ),
    ]);
    Ok(columns)
}

fn key_columns<'a>(keys: impl Iterator<Item = &'a Key> + Clone) -> Result<Vec<Column>, TableError> {
    Ok(vec![
        text(
            "measure",
            "identifier of the measure",
            keys.clone().map(|key| &key.measure),
        ),
        whole(
            "version",
            "version of the measure's definition",
            "",
            keys.clone().map(|key| key.version),
        )?,
        text(
            "by",
            "names of the dimensions joined with +, or all",
            keys.clone().map(|key| &key.by),
        ),
        text(
            "group",
            "values of the dimensions joined with |, or all",
            keys.clone().map(|key| &key.group),
        ),
        month_column(keys.map(|key| key.month)),
    ])
}

/// Whole minutes in hours, only when [`whole_minutes`] gives the same minutes back.
fn hours(minutes: u64) -> Result<f64, TableError> {
    let hours = minutes as f64 / MINUTES_PER_HOUR;
    if whole_minutes(hours) == Some(minutes) {
        Ok(hours)
    } else {
        Err(TableError::TooLarge {
            column: "exposure".to_owned(),
        })
    }
}

/// Hours in whole minutes; `None` when `hours` is not a whole number of them, is negative, or lies
/// above 2^50 minutes, where hours no longer tell minutes apart.
fn whole_minutes(hours: f64) -> Option<u64> {
    /// The way to hours and back loses at most one part in 2^52. Twice that is allowed, and never
    /// less than this many minutes, for engines that round on the way.
    const TOLERANCE: f64 = 1e-6;
    const LIMIT: f64 = (1_u64 << 50) as f64;
    let minutes = hours * MINUTES_PER_HOUR;
    let nearest = minutes.round();
    let is_whole = (minutes - nearest).abs() <= TOLERANCE.max(nearest * f64::EPSILON * 2.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number of 0 to 2^50, by the condition"
    )]
    (is_whole && (0.0..=LIMIT).contains(&nearest)).then_some(nearest as u64)
}

#[cfg(test)]
mod tests;
