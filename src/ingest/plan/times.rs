//! How the times of a file are written: as the mapping says, or as its first rows prove.

use super::{PlannedColumn, PlannedDate, PlannedTime};
use crate::domain::fields::Field;
use crate::ingest::block_rows::{Row, RowReader};
use crate::ingest::blocks::Block;
use crate::ingest::cell::Cells;
use crate::ingest::dialect::{Dialect, Sample};
use crate::ingest::error::{IngestError, MappingFault};
use crate::ingest::mapping::{Column, TimeSource};
use crate::ingest::time::{FormProof, TimeFormat, Verdict, settle_sisters, swapped};

/// What is read where no cell of the sample says anything and no other column proves a form.
const FORM_WITHOUT_CELLS: &str = "%Y-%m-%d %H:%M";

/// Of so many times of an emergency service some lie in the afternoon.
const CELLS_TO_SHOW_HOURS: u64 = 20;

/// A column of the file that has to prove how it is written.
struct Doubtful<'m> {
    place: usize,
    field: &'static str,
    cells: &'m Cells,
    /// Whether it is the date of a time of day in another column.
    is_date: bool,
    proof: FormProof,
}

/// The mapped columns with their places, ready to be read.
pub(super) fn planned_columns<'m, F: Field>(
    sample: &Sample<'_>,
    dialect: &Dialect,
    has_right_length: impl Fn(&Row<'_>) -> bool,
    found: &[(&'m Column<F>, Vec<usize>)],
) -> Result<Vec<PlannedColumn<'m, F>>, IngestError> {
    let mut doubtful = doubtful(found);
    if !doubtful.is_empty() {
        observe(sample, dialect, has_right_length, &mut doubtful);
    }
    let fault = |field, fault| IngestError::TimeForm {
        path: sample.path.to_path_buf(),
        field,
        fault,
    };
    let is_shared = |place: usize| {
        let dates = found.iter().filter(|(_, places)| places.len() > 1);
        dates.filter(|(_, places)| places[0] == place).count() > 1
    };
    let common = common_format(&doubtful);
    let is_on_24_hours = doubtful.iter().any(shows_24_hours);
    found
        .iter()
        .map(|(column, places)| {
            let name = column.field.name();
            let settled = |place, is_date| {
                let doubtful = doubtful
                    .iter()
                    .find(|doubtful| doubtful.place == place && doubtful.is_date == is_date)
                    .expect("every column without a given form is doubtful");
                proved(doubtful, common.as_deref(), is_on_24_hours)
                    .map_err(|what| fault(name, what))
            };
            let has_date_column = places.len() > 1;
            let place = *places.last().expect("a column has a heading");
            let proved_date = || -> Result<PlannedDate, IngestError> {
                let format = settled(places[0], true)?;
                Ok(PlannedDate {
                    place: places[0],
                    swapped: swapped(&format),
                    formats: vec![format],
                })
            };
            let time = match &column.time {
                TimeSource::NoClockTime => None,
                TimeSource::Given(format) if !has_date_column => {
                    Some(given(vec![format.clone()], None))
                }
                TimeSource::Given(format) if !format.has_date() => {
                    Some(given(vec![format.clone()], Some(proved_date()?)))
                }
                TimeSource::Given(format) => {
                    let (date, time) = split(format).ok_or_else(|| fault(name, unsplit()))?;
                    let date = PlannedDate {
                        place: places[0],
                        formats: date,
                        swapped: None,
                    };
                    Some(given(time, Some(date)))
                }
                TimeSource::ByCells => {
                    let format = settled(place, false)?;
                    let date = has_date_column.then(proved_date).transpose()?;
                    Some(PlannedTime {
                        swapped: swapped(&format),
                        is_proved: true,
                        ..given(vec![format], date)
                    })
                }
            };
            Ok(PlannedColumn {
                field: column.field,
                place,
                cells: &column.cells,
                time: time.map(|time| PlannedTime {
                    has_shared_date: has_date_column && is_shared(places[0]),
                    ..time
                }),
            })
        })
        .collect()
}

fn given(formats: Vec<TimeFormat>, date: Option<PlannedDate>) -> PlannedTime {
    PlannedTime {
        formats,
        date,
        has_shared_date: false,
        is_proved: false,
        swapped: None,
    }
}

/// The columns whose form the mapping leaves open, each once.
fn doubtful<'m, F: Field>(found: &[(&'m Column<F>, Vec<usize>)]) -> Vec<Doubtful<'m>> {
    let mut doubtful: Vec<Doubtful<'m>> = Vec::new();
    for (column, places) in found {
        let has_date_column = places.len() > 1;
        let (asks_date, asks_time) = match &column.time {
            TimeSource::NoClockTime => (false, false),
            TimeSource::Given(format) => (has_date_column && !format.has_date(), false),
            TimeSource::ByCells => (has_date_column, true),
        };
        let date = asks_date.then_some((places[0], true));
        let time = asks_time
            .then(|| places.last().map(|place| (*place, false)))
            .flatten();
        for (place, is_date) in date.into_iter().chain(time) {
            let is_known = |known: &Doubtful<'_>| known.place == place && known.is_date == is_date;
            if !doubtful.iter().any(is_known) {
                doubtful.push(Doubtful {
                    place,
                    field: column.field.name(),
                    cells: &column.cells,
                    is_date,
                    proof: FormProof::default(),
                });
            }
        }
    }
    doubtful
}

/// Shows the cells of the sample to the columns that are in doubt.
fn observe(
    sample: &Sample<'_>,
    dialect: &Dialect,
    has_right_length: impl Fn(&Row<'_>) -> bool,
    doubtful: &mut [Doubtful<'_>],
) {
    let block = Block {
        first_line: dialect.rows_line,
        bytes: sample.bytes[dialect.rows_offset..].to_vec(),
    };
    RowReader::new(dialect.grammar()).each_row(&block, |row| {
        // The cells of a row that is set aside for their number may stand in wrong columns.
        if !has_right_length(&row) {
            return;
        }
        for column in doubtful.iter_mut() {
            if let Ok(text) = row.cell(column.place).text()
                && column.cells.is_filled(text)
            {
                column.proof.observe(text);
            }
        }
    });
    let mut proofs: Vec<_> = doubtful
        .iter_mut()
        .map(|column| std::mem::take(&mut column.proof))
        .collect();
    settle_sisters(&mut proofs);
    for (column, proof) in doubtful.iter_mut().zip(proofs) {
        column.proof = proof;
    }
}

/// The form that most columns of date and time have proved.
fn common_format(doubtful: &[Doubtful<'_>]) -> Option<String> {
    let mut formats: Vec<(String, usize)> = Vec::new();
    for column in doubtful.iter().filter(|column| !column.is_date) {
        if let Verdict::Proved(form) = column.proof.verdict() {
            match formats.iter_mut().find(|(known, _)| *known == form.format) {
                Some((_, count)) => *count += 1,
                None => formats.push((form.format, 1)),
            }
        }
    }
    let most = formats.into_iter().rev().max_by_key(|(_, count)| *count);
    most.map(|(format, _)| format)
}

/// Whether a column has so many times, one of them in the afternoon, that its clock has 24 hours; the
/// others of the export then have as well.
fn shows_24_hours(column: &Doubtful<'_>) -> bool {
    match column.proof.verdict() {
        Verdict::Proved(form) | Verdict::TimeOfDay(form) => {
            form.cells >= CELLS_TO_SHOW_HOURS && !form.may_lack_meridiem
        }
        _ => false,
    }
}

/// The form that a column has proved, or why none.
fn proved(
    column: &Doubtful<'_>,
    common: Option<&str>,
    is_on_24_hours: bool,
) -> Result<TimeFormat, MappingFault> {
    let key = format!("`{} = \"…\"` below `[cases.formats]`", column.field);
    let words = match column.proof.verdict() {
        // Of a column of dates the time beside the date is not looked at, and of a column of times
        // with a date of their own elsewhere not the date.
        Verdict::Proved(form) | Verdict::TimeOfDay(form)
            if !column.is_date && form.may_lack_meridiem && !is_on_24_hours =>
        {
            return Err(MappingFault::new(
                format!(
                    "none of its {} times lies after 12:59 and none says am or pm; the export may have lost it",
                    form.cells
                ),
                format!(
                    "export the clock with 24 hours, or with am and pm; or set {key} to `{}` if these times are right",
                    form.format
                ),
            ));
        }
        Verdict::Proved(form) => form.format,
        Verdict::DateOnly(form) if column.is_date => form.format,
        Verdict::TimeOfDay(form) if !column.is_date => form.format,
        Verdict::Empty if column.is_date => FORM_WITHOUT_CELLS[..8].to_string(),
        Verdict::Empty => common.unwrap_or(FORM_WITHOUT_CELLS).to_string(),
        Verdict::Ambiguous { formats } => {
            return Err(MappingFault::new(
                format!(
                    "no cell of the first rows proves how its times are written: {} all fit",
                    formats.join(", ")
                ),
                format!(
                    "say which: set `cases.time_format`, or {key}; day and month are never guessed"
                ),
            ));
        }
        Verdict::Mixed { forms } => {
            let forms: Vec<_> = forms
                .iter()
                .map(|(format, cells)| format!("{format} in {cells} cells"))
                .collect();
            return Err(MappingFault::new(
                format!(
                    "its times are written in several forms: {}",
                    forms.join(", ")
                ),
                format!(
                    "export the column in one form, or set {key}; cells of another form then count as missing"
                ),
            ));
        }
        Verdict::Serial { cells } => {
            return Err(MappingFault::new(
                format!("{cells} of its cells are day numbers of a spreadsheet"),
                format!(
                    "export dates as dates; or set {key} to `serial`, or to `serial_1904` where the spreadsheet counts from 1904"
                ),
            ));
        }
        Verdict::NotTimes | Verdict::TimeOfDay(_) if column.is_date => {
            return Err(MappingFault::new(
                "most cells of its date column are no dates",
                "check that the first of its two headings in the mapping is the date",
            ));
        }
        Verdict::DateOnly(_) => {
            return Err(MappingFault::new(
                "its cells are dates without a time of day",
                "map it with the column of its time, as `[\"date heading\", \"time heading\"]`, or take the field out of the mapping",
            ));
        }
        Verdict::NotTimes | Verdict::TimeOfDay(_) => {
            return Err(MappingFault::new(
                "most of its cells are no times",
                format!("check its heading in the mapping, or set {key}"),
            ));
        }
    };
    TimeFormat::new(&words)
}

/// The forms of the date and of the time of day, for a form of both: its two parts, which must stand
/// one after the other, and the whole, since a database may write midnight behind a date and its
/// first day before a time of day. Numbers of days have no parts: the day is one, the time the other.
fn split(format: &TimeFormat) -> Option<(Vec<TimeFormat>, Vec<TimeFormat>)> {
    if format.words().starts_with("serial") {
        return Some((vec![format.clone()], vec![format.clone()]));
    }
    let (date, time) = format.words().split_once([' ', 'T'])?;
    let (date, time) = (TimeFormat::new(date).ok()?, TimeFormat::new(time).ok()?);
    let are_parts = date.has_date() && !date.has_time() && time.has_time() && !time.has_date();
    are_parts.then(|| (vec![date, format.clone()], vec![time, format.clone()]))
}

fn unsplit() -> MappingFault {
    MappingFault::new(
        "its form does not part into a date and a time of day, and the mapping gives two headings",
        "write the date first, then a blank, then the time of day, as in `%Y-%m-%d %H:%M`",
    )
}
