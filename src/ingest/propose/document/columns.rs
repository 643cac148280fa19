//! Which column gives which field, in the text of the mapping: headings, forms of times, values
//! for all rows, devices in the rows of the cases, and the columns that are left out.

use super::form::taken_columns;
use super::units::write_units;
use super::{Draft, Findings};
use crate::domain::fields::{CaseField, Field, PassField};
use crate::ingest::propose::columns::{Columns, Trust};
use crate::ingest::propose::devices::DeviceColumns;
use crate::ingest::propose::fit::{TimesAre, is_times};
use crate::ingest::propose::sample::{SampledColumn, SampledExport};
use crate::ingest::propose::times::{FieldForm, FieldTimes, proof_in_words};
use crate::ingest::propose::toml_text::{Lines, quoted};
use crate::ingest::propose::words::in_cells;

/// Columns that are listed as left out; very wide exports have many.
const MOST_LISTED: usize = 60;

/// The site of an export that names none.
const ONE_SITE: &str = "our site";

/// `[cases.columns]` and the tables about them.
pub(super) fn write_cases(draft: &mut Draft, findings: &Findings<'_>) {
    let export = findings.cases;
    let mut lines = Lines::default();
    for field in CaseField::ALL {
        let found = findings.case_columns.found.iter();
        if let Some(found) = found.into_iter().find(|found| found.field == *field) {
            let times = findings
                .times
                .fields
                .iter()
                .find(|times| times.field == *field);
            let times = times.filter(|_| findings.times_are == TimesAre::Clock);
            if *field == CaseField::ArrivedAt && lies_after_call(findings, found.column) {
                let value = quoted(&export.columns[found.column].heading);
                let comment = "arrival mostly lies before the call: are these minutes negative?";
                lines.offer(field.name(), value, comment);
                draft.decide("`arrived_at`: all its minutes lie after the call; take the line if they count from the call, and turn them in the export if they count to it");
            } else {
                write_found(
                    draft,
                    &mut lines,
                    *field,
                    found.column,
                    found.sure,
                    times,
                    export,
                );
            }
        }
        write_tie(draft, &mut lines, *field, findings.case_columns, export);
    }
    let needed = if findings.times_are == TimesAre::Clock {
        CaseField::CalledAt
    } else {
        CaseField::Month
    };
    write_needed(
        draft,
        &mut lines,
        findings.case_columns,
        &[CaseField::CaseId, CaseField::Presentation, needed],
    );
    write_left_out(
        &mut lines,
        export,
        &taken_columns(findings),
        findings.case_columns,
    );
    draft.table("cases.columns", &lines);
    write_formats(draft, findings);
    write_units(draft, findings);
    let columns = findings.case_columns;
    if columns.column_of(CaseField::Site).is_none() && !columns.is_tied(CaseField::Site) {
        let mut lines = Lines::default();
        lines.entry(
            "site",
            quoted(ONE_SITE),
            "look: no column names the site; write its name",
        );
        draft.looks += 1;
        draft.table("cases.constants", &lines);
    }
    if let Some(devices) = findings.devices {
        write_devices(draft, findings, devices);
    }
}

/// `[passes.columns]`.
pub(super) fn write_passes(
    draft: &mut Draft,
    export: &SampledExport,
    columns: &Columns<PassField>,
) {
    let mut lines = Lines::default();
    for field in PassField::ALL {
        if let Some(found) = columns.found.iter().find(|found| found.field == *field) {
            write_found(
                draft,
                &mut lines,
                *field,
                found.column,
                found.sure,
                None,
                export,
            );
        }
        write_tie(draft, &mut lines, *field, columns, export);
    }
    let needed = [PassField::CaseId, PassField::PassNumber, PassField::Device];
    write_needed(draft, &mut lines, columns, &needed);
    let taken: Vec<usize> = columns.found.iter().map(|found| found.column).collect();
    write_left_out(&mut lines, export, &taken, columns);
    draft.table("passes.columns", &lines);
}

/// The line of a field with its column, and where its date stands in another, with both.
fn write_found<F: Field>(
    draft: &mut Draft,
    lines: &mut Lines,
    field: F,
    column: usize,
    sure: Trust,
    times: Option<&FieldTimes>,
    export: &SampledExport,
) {
    let heading = |column: usize| quoted(&export.columns[column].heading);
    let mut comment = sure.comment();
    let mut is_look = matches!(sure, Trust::Look(_));
    let value = match times.and_then(|times| times.date) {
        None => heading(column),
        Some((date, is_named)) => {
            if !is_named {
                comment = "look: is this the date of this moment?".to_string();
                is_look = true;
            }
            format!("[{}, {}]", heading(date), heading(column))
        }
    };
    if let Some(FieldForm::Proved {
        strays,
        may_lack_meridiem,
        ..
    }) = times.map(|times| &times.form)
    {
        if *may_lack_meridiem {
            comment = "look: no hour above 12; were am and pm lost?".to_string();
            is_look = true;
        }
        if *strays > 0 {
            comment = format!("{comment}; {} written otherwise (C03)", in_cells(*strays));
        }
    }
    draft.looks += u64::from(is_look);
    lines.entry(field.name(), value, comment);
}

fn write_tie<F: Field>(
    draft: &mut Draft,
    lines: &mut Lines,
    field: F,
    columns: &Columns<F>,
    export: &SampledExport,
) {
    let Some(tie) = columns.ties.iter().find(|tie| tie.field == field) else {
        return;
    };
    let mut numbers = Vec::new();
    for column in &tie.columns {
        let column = &export.columns[*column];
        if column.is_heading_shown {
            lines.offer(
                field.name(),
                quoted(&column.heading),
                "undecided: others fit as well",
            );
        } else {
            lines.remark(format!(
                "{}: column {}, undecided",
                field.name(),
                column.number
            ));
        }
        numbers.push(column.number.to_string());
    }
    let name = field.name();
    draft.decide(match numbers.as_slice() {
        [number] => format!("`{name}`: column {number} fits another field as well"),
        _ => format!("`{name}`: columns {} fit equally well", numbers.join(", ")),
    });
}

/// Fields without which no row can be read.
fn write_needed<F: Field>(
    draft: &mut Draft,
    lines: &mut Lines,
    columns: &Columns<F>,
    needed: &[F],
) {
    for field in needed {
        if columns.column_of(*field).is_none() && !columns.is_tied(*field) {
            let comment = "no column fits, and without it no row can be read";
            lines.offer(field.name(), "\"\"", comment);
            draft.decide(format!("`{}`: {comment}", field.name()));
        }
    }
}

/// The columns that no field fits. The guard looks at them all the same.
fn write_left_out<F: Field>(
    lines: &mut Lines,
    export: &SampledExport,
    taken: &[usize],
    columns: &Columns<F>,
) {
    let is_left_out = |(index, column): &(usize, &SampledColumn)| {
        let is_tied = columns.ties.iter().any(|tie| tie.columns.contains(index));
        !taken.contains(index) && !is_tied && column.finding.is_none()
    };
    let left_out: Vec<_> = export
        .columns
        .iter()
        .enumerate()
        .filter(is_left_out)
        .collect();
    if left_out.is_empty() && export.columns_beyond == 0 {
        return;
    }
    lines.remark("Left out, since no field fits:");
    for (_, column) in left_out.iter().take(MOST_LISTED) {
        let heading = if column.is_heading_shown && !column.heading.is_empty() {
            format!(" {}", quoted(&column.heading))
        } else {
            String::new()
        };
        let why = if column.heading.is_empty() {
            ": it has no heading"
        } else if column.has_no_name {
            ": another column has the same heading"
        } else if !column.is_everywhere {
            ": not every file has it"
        } else if column.cells.filled == 0 {
            ": no cell is filled"
        } else if is_times(&column.cells) {
            ": dates or times"
        } else {
            ""
        };
        lines.remark(format!("  column {}{heading}{why}", column.number));
    }
    let more = left_out.len().saturating_sub(MOST_LISTED) + export.columns_beyond;
    if more > 0 {
        lines.remark(format!("  and {more} more"));
    }
}

fn write_formats(draft: &mut Draft, findings: &Findings<'_>) {
    if findings.times_are == TimesAre::Elapsed {
        return;
    }
    let mut lines = Lines::default();
    let common = findings.times.common.as_deref();
    for times in &findings.times.fields {
        let name = times.field.name();
        match &times.form {
            FieldForm::Unseen => {}
            FieldForm::Proved { format, proof, .. } => {
                if common != Some(format) {
                    let proof = proof_in_words(*proof);
                    lines.entry(name, quoted(format), format!("sure: {proof}"));
                }
            }
            FieldForm::Open { formats, why } => {
                for format in formats {
                    lines.offer(name, quoted(format), format!("undecided: {why}"));
                }
                draft.decide(format!(
                    "`{name}`: {why}; take one of its lines below `[cases.formats]`"
                ));
            }
        }
    }
    if !lines.is_empty() {
        draft.table("cases.formats", &lines);
    }
}

/// Whether the column of the arrival holds minutes after the call in every cell.
fn lies_after_call(findings: &Findings<'_>, column: usize) -> bool {
    let cells = &findings.cases.columns[column].cells;
    let is_before = |text: &str| text.starts_with(['-', '\u{2212}']);
    findings.times_are == TimesAre::Elapsed
        && cells.telling() > 0
        && !cells.texts().any(|(text, _)| is_before(text))
}

fn write_devices(draft: &mut Draft, findings: &Findings<'_>, devices: &DeviceColumns) {
    let headings = |columns: &[usize]| {
        let headings = columns
            .iter()
            .map(|column| &findings.cases.columns[*column].heading);
        let headings: Vec<String> = headings.map(|heading| quoted(heading)).collect();
        format!("[{}]", headings.join(", "))
    };
    let mut lines = Lines::default();
    let comment = match (devices.is_numbered, devices.lists) {
        (true, _) => "sure".to_string(),
        (false, 0) => "likely: the devices of a case in one cell".to_string(),
        (false, lists) => format!("likely: {} with several devices", in_cells(lists)),
    };
    lines.entry("columns", headings(&devices.devices), comment);
    if !devices.results.is_empty() {
        lines.entry(
            "results",
            headings(&devices.results),
            "likely: numbered like the devices",
        );
    }
    if devices.is_numbered {
        let comment = "likely: they are numbered; or \"unknown\"";
        lines.entry("order", "\"as_written\"", comment);
    } else {
        let comment = "if devices stand in the order in which they went down";
        lines.offer("order", "\"as_written\"", comment);
        draft.decide("`cases.devices.order`: whether devices are written in the order in which they went down; unless they are, there is no first device");
    }
    let has_outcome = findings
        .case_columns
        .column_of(CaseField::Outcome)
        .is_some();
    if devices.results.is_empty() && has_outcome {
        let comment = "if the last device did what the outcome says, and those before failed";
        lines.offer("result", "\"from_outcome\"", comment);
        draft.decide("`cases.devices.result`: whether the last device did what the outcome says; without it no pass has a result");
    }
    draft.table("cases.devices", &lines);
}
