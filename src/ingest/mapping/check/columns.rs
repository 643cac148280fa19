//! The columns of one export: which field each gives, and how its cells are read.

use super::ByField;
use crate::domain::fields::{CaseField, Field, Kind};
use crate::ingest::cell::{Cells, ColumnWords};
use crate::ingest::error::MappingFault;
use crate::ingest::mapping::file::{CodeTables, Headings};
use crate::ingest::mapping::{Column, TimeSource};
use crate::ingest::time::TimeFormat;
use crate::ingest::word_table::fold;
use std::collections::BTreeMap;

/// The tables of a mapping that describe the columns of one export.
pub(super) struct ColumnTables<'a> {
    /// `cases` or `passes`.
    pub(super) name: &'a str,
    pub(super) headings: &'a BTreeMap<String, Headings>,
    pub(super) codes: &'a CodeTables,
    /// Forms of single columns of times; `None` for an export without times.
    pub(super) formats: Option<&'a ByField>,
    /// Units of single columns, likewise.
    pub(super) units: Option<&'a ByField>,
    pub(super) missing: &'a [String],
    pub(super) decimal: u8,
    /// Whether times are dates and times of day, and not minutes since the call.
    pub(super) has_clock_times: bool,
    /// The form of all times that have none of their own.
    pub(super) time_format: Option<&'a str>,
}

/// The mapped columns, in the order of the fields.
pub(super) fn columns<F: Field>(
    tables: &ColumnTables<'_>,
    may_be_mapped: impl Fn(F) -> bool,
) -> Result<Vec<Column<F>>, MappingFault> {
    let table = tables.name;
    let mut columns = Vec::new();
    for (name, headings) in tables.headings {
        let field = F::named(name)
            .filter(|field| may_be_mapped(*field))
            .ok_or_else(|| {
                let known = F::ALL.iter().filter(|field| may_be_mapped(**field));
                let known: Vec<_> = known.map(|field| field.name()).collect();
                MappingFault::new(
                    format!("`{table}.columns.{name}` is no field that an export can give"),
                    format!("the fields are: {}", known.join(", ")),
                )
            })?;
        let words = ColumnWords {
            name,
            codes: tables.codes.get(name),
            unit: tables
                .units
                .and_then(|units| units.get(name))
                .map(String::as_str),
            missing: tables.missing,
            decimal: tables.decimal,
        };
        let is_clock_time = field.kind() == Kind::Minute && tables.has_clock_times;
        if is_clock_time && words.unit.is_some() {
            return Err(MappingFault::new(
                format!("`{table}.units.{name}` gives a unit for a date and time"),
                "take this line out; `cases.formats` says how a time is written",
            ));
        }
        columns.push(Column {
            field,
            headings: headings_of(tables, name, headings, is_clock_time)?,
            cells: Cells::new(field.kind(), &words)?,
            time: if is_clock_time {
                time_source(tables, name)?
            } else {
                TimeSource::NoClockTime
            },
        });
    }
    check_has_columns(tables, "formats", tables.formats)?;
    check_has_columns(tables, "units", tables.units)?;
    columns.sort_by_key(|column| column.field);
    Ok(columns)
}

fn headings_of(
    tables: &ColumnTables<'_>,
    name: &str,
    headings: &Headings,
    is_clock_time: bool,
) -> Result<Vec<String>, MappingFault> {
    match headings {
        Headings::One(heading) => Ok(vec![heading.trim().to_string()]),
        Headings::Two(pair) if is_clock_time => Ok(pair
            .iter()
            .map(|heading| heading.trim().to_string())
            .collect()),
        Headings::Two(_) => Err(MappingFault::new(
            format!(
                "`{}.columns.{name}` has two headings and is no date and time",
                tables.name
            ),
            "only a clock time can stand in two columns, its date and its time of day",
        )),
    }
}

/// Who says how the times of one column are written.
fn time_source(tables: &ColumnTables<'_>, name: &str) -> Result<TimeSource, MappingFault> {
    let own = tables.formats.and_then(|formats| formats.get(name));
    let words = own.map(String::as_str).or(tables.time_format);
    let Some(words) = words else {
        return Ok(TimeSource::ByCells);
    };
    let key = match own {
        Some(_) => format!("{}.formats.{name}", tables.name),
        None => format!("{}.time_format", tables.name),
    };
    let format = TimeFormat::new(words)
        .map_err(|fault| MappingFault::new(format!("`{key}` {}", fault.what), fault.hint))?;
    if !format.has_time() {
        return Err(MappingFault::new(
            format!("`{key}` does not hold a time of day"),
            "for 2026-09-30 23:50 write `%Y-%m-%d %H:%M`; a date in a column of its own stands with its time as `[\"date heading\", \"time heading\"]`",
        ));
    }
    Ok(TimeSource::Given(format))
}

/// A line for a field that has no column would be silently ignored.
fn check_has_columns(
    tables: &ColumnTables<'_>,
    key: &str,
    lines: Option<&ByField>,
) -> Result<(), MappingFault> {
    let stray = lines
        .into_iter()
        .flatten()
        .find(|(name, _)| !tables.headings.contains_key(*name));
    match stray {
        None => Ok(()),
        Some((name, _)) => Err(MappingFault::new(
            format!(
                "`{}.{key}.{name}` is about a field that has no column",
                tables.name
            ),
            format!(
                "add `{name}` below `[{}.columns]`, or take this line out",
                tables.name
            ),
        )),
    }
}

/// A table of words for a field that has no column would be silently ignored.
pub(super) fn check_codes_have_columns(
    table: &str,
    codes: &CodeTables,
    is_mapped: impl Fn(&str) -> bool,
) -> Result<(), MappingFault> {
    match codes.keys().find(|name| !is_mapped(name)) {
        None => Ok(()),
        Some(name) => Err(MappingFault::new(
            format!("`{table}.codes.{name}` gives words for a field that has no column"),
            format!("add `{name}` below `[{table}.columns]`, or take its words out"),
        )),
    }
}

/// A heading that is both read and never looked at is a contradiction. Case and repeated spaces do
/// not count, as they do not where headings are found.
pub(super) fn check_nothing_read_is_dropped<'a>(
    table: &str,
    drop: &[String],
    read: impl Iterator<Item = (&'static str, &'a String)>,
) -> Result<(), MappingFault> {
    let dropped: Vec<_> = drop.iter().map(|heading| fold(heading)).collect();
    for (field, heading) in read {
        if dropped.contains(&fold(heading)) {
            return Err(MappingFault::new(
                format!("`{table}.drop` names a heading that is mapped to `{field}`"),
                "a mapped column cannot be dropped; take it out of `drop`, or out of the mapping of the field",
            ));
        }
    }
    Ok(())
}

/// The headings of some columns, each with our name of its field.
pub(super) fn headings_read<F: Field>(
    columns: &[Column<F>],
) -> impl Iterator<Item = (&'static str, &String)> {
    columns.iter().flat_map(|column| {
        let headings = column.headings.iter();
        headings.map(|heading| (column.field.name(), heading))
    })
}

/// Two moments of a case that read the same column are a slip: every interval would be 0. A date
/// may serve several moments.
pub(super) fn check_times_have_own_columns<F: Field>(
    columns: &[Column<F>],
) -> Result<(), MappingFault> {
    let times = || {
        columns
            .iter()
            .filter(|column| column.field.kind() == Kind::Minute)
    };
    for column in times() {
        let twin = times().find(|twin| {
            twin.field > column.field && twin.headings.last() == column.headings.last()
        });
        if let Some(twin) = twin {
            return Err(MappingFault::new(
                format!(
                    "`{}` and `{}` read the same column",
                    column.field.name(),
                    twin.field.name()
                ),
                "give each moment its own column, or take one of the two out of the mapping",
            ));
        }
    }
    Ok(())
}

/// A date that several moments share is that of arrival or call, and the onset may lie days before.
pub(super) fn check_onset_has_own_date(columns: &[Column<CaseField>]) -> Result<(), MappingFault> {
    let date_of = |column: &Column<CaseField>| match column.headings.as_slice() {
        [date, _] => Some(fold(date)),
        _ => None,
    };
    let (onset, others): (Vec<_>, Vec<_>) = columns
        .iter()
        .partition(|column| column.field == CaseField::OnsetAt);
    let date = onset.first().and_then(|onset| date_of(onset));
    if date.is_some() && others.into_iter().any(|other| date_of(other) == date) {
        return Err(MappingFault::new(
            "`onset_at` takes its date from a column that gives the date of other moments",
            "the onset may lie days before the arrival; give it a date of its own, or take `onset_at` out of the mapping",
        ));
    }
    Ok(())
}
