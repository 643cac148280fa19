//! How files are written, and how times stand in them.

use crate::ingest::error::MappingFault;
use crate::ingest::input::Encoding;
use crate::ingest::mapping::file::{CasesTable, FormKeys, ShortRowsWord, TimeFormWord};
use crate::ingest::mapping::{ExportForm, TimeForm};
use crate::ingest::time::ZoneTable;
use jiff::tz::TimeZone;

/// Most rows that a header is taken to have.
const MOST_HEADER_ROWS: usize = 5;

/// How the files of the export `table` are written.
pub(super) fn export_form(keys: &FormKeys<'_>, table: &str) -> Result<ExportForm, MappingFault> {
    let header_rows = keys.header_rows.unwrap_or(1);
    if !(1..=MOST_HEADER_ROWS).contains(&header_rows) {
        return Err(MappingFault::new(
            format!("`{table}.header_rows` is not a number from 1 to {MOST_HEADER_ROWS}"),
            "count the rows that hold headings; rows before them are found without help",
        ));
    }
    Ok(ExportForm {
        separator: keys
            .separator
            .map(|separator| self::separator(separator, table))
            .transpose()?,
        quote: keys
            .quote
            .map(|quote| self::quote(quote, table))
            .transpose()?,
        encoding: keys
            .encoding
            .map(|name| encoding(name, table))
            .transpose()?,
        decimal: keys.decimal.map_or(Ok(b'.'), |mark| decimal(mark, table))?,
        header_rows,
        fills_short_rows: keys.short_rows == ShortRowsWord::Blank,
        drop: keys.drop.to_vec(),
        cleared: keys.cleared.to_vec(),
    })
}

fn separator(separator: char, table: &str) -> Result<u8, MappingFault> {
    match separator {
        ',' | ';' | '\t' | '|' => Ok(u8::try_from(separator).expect("four ASCII characters")),
        _ => Err(MappingFault::new(
            format!("`{table}.separator` is not one of `,` `;` `\\t` `|`"),
            "look at the first line of the export: which of the four stands between the headings? Without this key it is found",
        )),
    }
}

fn quote(quote: char, table: &str) -> Result<u8, MappingFault> {
    match quote {
        '"' | '\'' => Ok(u8::try_from(quote).expect("two ASCII characters")),
        _ => Err(MappingFault::new(
            format!("`{table}.quote` is neither `\"` nor `'`"),
            "which of the two stands around a cell that holds a separator? Without this key it is `\"`",
        )),
    }
}

fn encoding(name: &str, table: &str) -> Result<Encoding, MappingFault> {
    Encoding::from_name(name).ok_or_else(|| {
        MappingFault::new(
            format!("`{table}.encoding` is no encoding that is known here"),
            format!(
                "the encodings are: {}; without this key it is found",
                Encoding::names().collect::<Vec<_>>().join(", ")
            ),
        )
    })
}

fn decimal(mark: char, table: &str) -> Result<u8, MappingFault> {
    match mark {
        '.' => Ok(b'.'),
        ',' => Ok(b','),
        _ => Err(MappingFault::new(
            format!("`{table}.decimal` is neither `.` nor `,`"),
            "which of the two stands between whole and part in numbers such as 1.5 or 1,5?",
        )),
    }
}

/// How the times of the cases stand in the export.
pub(super) fn time_form(cases: &CasesTable) -> Result<TimeForm, MappingFault> {
    match cases.time_form {
        TimeFormWord::Elapsed if cases.time_format.is_some() || !cases.formats.is_empty() => {
            Err(MappingFault::new(
                "`cases.time_format` and `cases.formats` have no place in `time_form = \"elapsed\"`",
                "take them out, or choose `time_form = \"clock\"`",
            ))
        }
        TimeFormWord::Elapsed => Ok(TimeForm::Elapsed),
        TimeFormWord::Clock => {
            let zone_name = cases.time_zone.as_deref().ok_or_else(|| {
                MappingFault::new(
                    "`cases.time_zone` is missing; local times mean nothing without it",
                    "give the IANA name of the zone, for example `time_zone = \"America/Chicago\"`",
                )
            })?;
            let zone = TimeZone::get(zone_name).map_err(|_| {
                MappingFault::new(
                    "`cases.time_zone` is no IANA time zone",
                    "IANA names look like `America/Chicago` or `Europe/Vienna`",
                )
            })?;
            let table = Box::new(ZoneTable::new(&zone));
            Ok(TimeForm::Clock { zone, table })
        }
    }
}
