//! How the files of an export are written, what means that nothing was recorded, and which columns
//! are never looked at.

use super::{Draft, Findings};
use crate::domain::fields::{CaseField, Field, Kind, PassField};
use crate::ingest::missing_words::looks_like_missing;
use crate::ingest::propose::cells::words;
use crate::ingest::propose::columns::Columns;
use crate::ingest::propose::devices::DeviceColumns;
use crate::ingest::propose::fit::TimesAre;
use crate::ingest::propose::meaning::{Meaning, Meanings};
use crate::ingest::propose::sample::SampledExport;
use crate::ingest::propose::times::proof_of_common;
use crate::ingest::propose::toml_text::{Lines, quoted};

/// `[cases]`.
pub(super) fn write_cases(draft: &mut Draft, findings: &Findings<'_>, missing: &[String]) {
    let mut lines = Lines::default();
    write_time_form(draft, findings, &mut lines);
    write_form(draft, "cases", findings.cases, &mut lines);
    write_decimal(draft, findings, &mut lines);
    write_missing(missing, &mut lines);
    let taken = taken_columns(findings);
    write_drop(draft, "cases", findings.cases, &taken, &mut lines);
    draft.table("cases", &lines);
}

/// `[passes]`, if there is anything to say.
pub(super) fn write_passes(
    draft: &mut Draft,
    export: &SampledExport,
    columns: &Columns<PassField>,
    missing: &[String],
) {
    let mut lines = Lines::default();
    let taken: Vec<usize> = columns.found.iter().map(|found| found.column).collect();
    write_form(draft, "passes", export, &mut lines);
    write_missing(missing, &mut lines);
    write_drop(draft, "passes", export, &taken, &mut lines);
    if !lines.is_empty() {
        draft.table("passes", &lines);
    }
}

fn write_time_form(draft: &mut Draft, findings: &Findings<'_>, lines: &mut Lines) {
    if findings.times_are == TimesAre::Elapsed {
        let comment = "likely: the times are minutes since the call";
        lines.entry("time_form", "\"elapsed\"", comment);
        return;
    }
    let call = CaseField::CalledAt;
    let has_call = findings.case_columns.column_of(call).is_some();
    let comment = if has_call {
        "sure: local dates and times"
    } else {
        draft.looks += 1;
        "look: no column gives the call"
    };
    lines.entry("time_form", "\"clock\"", comment);
    if let Some(zone) = findings.time_zone {
        lines.entry("time_zone", quoted(zone), "as given");
    } else {
        lines.offer(
            "time_zone",
            "\"America/Chicago\"",
            "the IANA name of the zone in which your clocks run",
        );
        draft.decide("`time_zone`: no export tells in which zone its clocks run; give it with `--time-zone`, or write it into the mapping");
    }
    if let Some(common) = &findings.times.common {
        let proof = proof_of_common(findings.times, common);
        lines.entry("time_format", quoted(common), format!("sure: {proof}"));
    }
}

fn write_form(draft: &mut Draft, table: &str, export: &SampledExport, lines: &mut Lines) {
    let files = export.files.iter();
    let mut rows: Vec<usize> = files.map(|file| file.dialect.header_rows).collect();
    rows.sort_unstable();
    rows.dedup();
    match rows.as_slice() {
        [1] => {}
        [rows] => lines.entry(
            "header_rows",
            rows.to_string(),
            "likely: one row alone does not name every column",
        ),
        _ => draft.decide(format!(
            "`{table}.header_rows`: the files have headings in different numbers of rows"
        )),
    }
    let short_rows: u64 = export.files.iter().map(|file| file.short_rows).sum();
    if short_rows > 0 {
        let comment = format!(
            "{short_rows} rows end before the last column: set aside, unless you take this line"
        );
        lines.offer("short_rows", "\"blank\"", comment);
        draft.decide(format!(
            "`{table}.short_rows`: {short_rows} rows end before the last column and are set aside (R01), unless the cells that they lack count as blank"
        ));
    }
}

/// What marks decimals shows in numbers that have some.
fn write_decimal(draft: &mut Draft, findings: &Findings<'_>, lines: &mut Lines) {
    let (mut commas, mut points) = (0, 0);
    for found in &findings.case_columns.found {
        let is_number = match found.field.kind() {
            Kind::Age { .. } | Kind::Whole { .. } | Kind::Quantity(_) => true,
            Kind::Minute => findings.times_are == TimesAre::Elapsed,
            Kind::Text | Kind::Code(_) | Kind::Month => false,
        };
        if !is_number {
            continue;
        }
        for (text, cells) in findings.cases.columns[found.column].cells.texts() {
            commas += if has_decimals(text, ',') { cells } else { 0 };
            points += if has_decimals(text, '.') { cells } else { 0 };
        }
    }
    match (commas, points) {
        (0, _) => {}
        (_, 0) => {
            let comment = "likely: numbers have a comma before one or two digits";
            lines.entry("decimal", "\",\"", comment);
        }
        _ => {
            lines.offer(
                "decimal",
                "\",\"",
                "some numbers have a point, others a comma",
            );
            draft.decide("`cases.decimal`: some numbers are written with a decimal point, others with a comma");
        }
    }
}

fn has_decimals(text: &str, mark: char) -> bool {
    let is_digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    let unsigned = text.strip_prefix('-').unwrap_or(text);
    unsigned
        .split_once(mark)
        .is_some_and(|(whole, rest)| is_digits(whole) && is_digits(rest) && rest.len() < 3)
}

fn write_missing(missing: &[String], lines: &mut Lines) {
    if !missing.is_empty() {
        let words: Vec<String> = missing.iter().map(|word| quoted(word)).collect();
        lines.entry(
            "missing",
            format!("[{}]", words.join(", ")),
            "likely: words for \"not recorded\"; a blank always is",
        );
    }
}

/// Words for nothing in the columns of the cases.
pub(super) fn missing_of_cases(findings: &Findings<'_>, meanings: &mut Meanings) -> Vec<String> {
    let mut missing = missing_of(findings.cases, findings.case_columns, meanings);
    if let Some(devices) = findings.devices {
        for column in devices.columns() {
            let texts = findings.cases.columns[column].cells.all_texts();
            missing.extend(texts.filter(|(text, _)| looks_like_missing(text)));
        }
    }
    spelled_once(missing)
}

/// Words for nothing in the columns of the passes.
pub(super) fn missing_of_passes(
    export: &SampledExport,
    columns: &Columns<PassField>,
    meanings: &mut Meanings,
) -> Vec<String> {
    spelled_once(missing_of(export, columns, meanings))
}

/// Words for nothing in the columns that are mapped, with their cells.
fn missing_of<'a, F: Field>(
    export: &'a SampledExport,
    columns: &Columns<F>,
    meanings: &mut Meanings,
) -> Vec<(&'a str, u64)> {
    let mut missing = Vec::new();
    for found in &columns.found {
        let column = &export.columns[found.column];
        for (text, cells) in column.cells.all_texts() {
            let is_missing = looks_like_missing(text)
                && match found.field.kind() {
                    Kind::Code(list) => {
                        let name = found.field.name();
                        let meaning = meanings.of(name, list, &column.words, text);
                        meaning == Meaning::Missing
                    }
                    _ => true,
                };
            if is_missing {
                missing.push((text, cells));
            }
        }
    }
    missing
}

fn spelled_once(texts: Vec<(&str, u64)>) -> Vec<String> {
    let mut once: Vec<String> = words(texts.into_iter())
        .into_iter()
        .map(|word| word.text)
        .collect();
    once.sort();
    once
}

/// Indexes of the columns that the mapping reads.
pub(super) fn taken_columns(findings: &Findings<'_>) -> Vec<usize> {
    let of_fields = findings.case_columns.found.iter().map(|found| found.column);
    let dates = findings.times.fields.iter().filter_map(|times| times.date);
    let devices = findings.devices.map(DeviceColumns::columns);
    of_fields
        .chain(dates.map(|(column, _)| column))
        .chain(devices.into_iter().flatten())
        .collect()
}

/// The columns that seem to identify persons.
fn write_drop(
    draft: &mut Draft,
    table: &str,
    export: &SampledExport,
    taken: &[usize],
    lines: &mut Lines,
) {
    let mut dropped: Vec<(String, String)> = Vec::new();
    let (mut numbers, mut unnamed) = (Vec::new(), Vec::new());
    for (index, column) in export.columns.iter().enumerate() {
        let Some(finding) = column.finding.filter(|_| !taken.contains(&index)) else {
            continue;
        };
        let (number, kind) = (column.number, finding.kind.label());
        if column.is_heading_shown && column.is_everywhere {
            let heading = quoted(&column.heading);
            if !dropped.iter().any(|(known, _)| *known == heading) {
                dropped.push((heading, format!("column {number}: {kind}")));
            }
            numbers.push(number.to_string());
        } else {
            lines.remark(format!(
                "column {number}: {kind}; its heading is not written here"
            ));
            unnamed.push(number.to_string());
        }
    }
    if !dropped.is_empty() {
        lines.list("drop", &dropped);
        draft.decide(format!(
            "`{table}.drop`: columns that seem to identify persons ({}); better leave them out of the export",
            numbers.join(", ")
        ));
    }
    if !unnamed.is_empty() {
        draft.decide(format!(
            "columns of the {table} that seem to identify persons and are not dropped yet ({}): leave them out of the export, or add their headings to `{table}.drop`",
            unnamed.join(", ")
        ));
    }
}
