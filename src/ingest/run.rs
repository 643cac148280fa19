//! The whole of ingest: every file, every row, and what became of it.

use super::calendar;
use super::case::CaseReader;
use super::error::IngestError;
use super::mapping::{Mapping, PassesMapping};
use super::reader::{Row, Table, Wanted};
use super::records::{Columns, Record};
use crate::domain::accounting::Accounting;
use crate::domain::exposure::{Exposure, ExposureCell};
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::issue::{Effect, Issue, IssueCode, Position, Shape, Source};
use crate::domain::month::Month;
use arrow::array::RecordBatch;
use std::collections::{BTreeMap, BTreeSet};
use std::hash::{DefaultHasher, Hasher};
use std::path::PathBuf;

/// What to read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Inputs {
    /// Cases exports, at least one.
    pub cases: Vec<PathBuf>,
    /// Passes exports.
    pub passes: Vec<PathBuf>,
    /// First month to keep; the mapping's period, or else the first month of the cases.
    pub from: Option<Month>,
    /// Last month to keep, likewise.
    pub to: Option<Month>,
}

/// What was read.
#[derive(Clone, Debug)]
pub struct Ingested {
    /// One record per accepted case.
    pub cases: RecordBatch,
    /// One record per accepted pass; no rows when no passes were given.
    pub passes: RecordBatch,
    /// What became of the rows of the cases export.
    pub cases_accounting: Accounting,
    /// What became of the rows of the passes export; `None` when none was given.
    pub passes_accounting: Option<Accounting>,
    /// Everything that is wrong, in the order of files and lines.
    pub issues: Vec<Issue>,
    /// For each mapped field of a case, in how many accepted cases it has a value.
    pub completeness: Vec<(&'static str, u64)>,
    /// First and last month observed; `None` when no case was accepted.
    pub observed: Option<(Month, Month)>,
    /// Observed time.
    pub exposure: Exposure,
}

/// Reads all inputs.
///
/// # Errors
/// When a file cannot be read, lacks a mapped column, holds no row or ends inside a quote. Faults of single rows are issues in the result.
pub fn ingest(inputs: &Inputs, mapping: &Mapping) -> Result<Ingested, IngestError> {
    if let Some(period) = mapping.period {
        let is_outside = |month: &Month| !(period.0..=period.1).contains(month);
        if let Some(asked_for) = [inputs.from, inputs.to]
            .into_iter()
            .flatten()
            .find(is_outside)
        {
            return Err(IngestError::OutsidePeriod { asked_for, period });
        }
    }
    let mut issues = Vec::new();
    let cases = read_cases(inputs, mapping, &mut issues)?;
    let observed = observed(&cases);
    let (passes, passes_accounting) = if inputs.passes.is_empty() {
        (Columns::new(), None)
    } else {
        let mapping = mapping
            .passes
            .as_ref()
            .ok_or(IngestError::PassesNotMapped)?;
        let (columns, accounting) =
            read_passes(&inputs.passes, mapping, &cases.fates, &mut issues)?;
        (columns, Some(accounting))
    };
    issues.sort();
    Ok(Ingested {
        cases: cases.columns.finish(),
        passes: passes.finish(),
        cases_accounting: cases.accounting,
        passes_accounting,
        issues,
        completeness: cases.completeness,
        exposure: observed
            .map(|(first, last)| exposure(mapping, &cases.sites, first, last))
            .unwrap_or_default(),
        observed,
    })
}

/// The months that were asked for, or else those from the first accepted case to the last.
fn observed(cases: &Cases) -> Option<(Month, Month)> {
    let (from, to) = cases.period;
    let first = from.unwrap_or(*cases.months.first()?);
    let last = to.unwrap_or(*cases.months.last()?);
    Some((first, last.max(first)))
}

/// What became of a case, so that its passes can be told from strays.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Fate {
    Accepted,
    OutsidePeriod,
}

struct Cases {
    columns: Columns<CaseField>,
    accounting: Accounting,
    fates: BTreeMap<String, Fate>,
    months: BTreeSet<Month>,
    sites: BTreeSet<String>,
    period: (Option<Month>, Option<Month>),
    completeness: Vec<(&'static str, u64)>,
}

fn read_cases(
    inputs: &Inputs,
    mapping: &Mapping,
    issues: &mut Vec<Issue>,
) -> Result<Cases, IngestError> {
    let reader = CaseReader::new(mapping);
    let wanted: Vec<_> = mapping
        .case_columns
        .iter()
        .map(|column| Wanted {
            field: column.field.name(),
            heading: &column.heading,
        })
        .collect();
    let mapped: Vec<CaseField> = mapping.mapped_case_fields().collect();
    let period = (
        inputs.from.or(mapping.period.map(|(from, _)| from)),
        inputs.to.or(mapping.period.map(|(_, to)| to)),
    );
    let mut cases = Cases {
        columns: Columns::new(),
        accounting: Accounting::default(),
        fates: BTreeMap::new(),
        months: BTreeSet::new(),
        sites: BTreeSet::new(),
        period,
        completeness: mapped.iter().map(|field| (field.name(), 0)).collect(),
    };
    let mut seen = Seen::default();
    for (file_index, path) in inputs.cases.iter().enumerate() {
        let mut table = Table::open(path, mapping.cases_separator, &wanted)?;
        let mut has_rows = false;
        while let Some(row) = table.next()? {
            has_rows = true;
            let at = Position {
                source: Source::Cases,
                file_index,
                line_number: row.line_number,
            };
            cases.accounting.read += 1;
            let verdict = complete_row(&row)
                .and_then(|()| reader.read(&row, at, issues))
                .and_then(|record| {
                    let id = record
                        .text(CaseField::CaseId)
                        .unwrap_or_default()
                        .to_string();
                    seen.check(id, &row)?;
                    Ok(record)
                });
            match verdict {
                Ok(record) => accept_case(&mut cases, &record, &mapped, at, issues),
                Err(code) => turn_away(&mut cases.accounting, code, at, issues),
            }
        }
        if !has_rows {
            return Err(IngestError::HeaderOnly { path: path.clone() });
        }
    }
    assert!(
        cases.accounting.balances(),
        "every case row was accepted, set aside or a duplicate"
    );
    Ok(cases)
}

fn accept_case(
    cases: &mut Cases,
    record: &Record<CaseField>,
    mapped: &[CaseField],
    at: Position,
    issues: &mut Vec<Issue>,
) {
    let id = record
        .text(CaseField::CaseId)
        .unwrap_or_default()
        .to_string();
    let month: Option<Month> = record
        .text(CaseField::Month)
        .and_then(|month| month.parse().ok());
    let month = month.expect("an accepted case has the month of its call");
    let (from, to) = cases.period;
    if from.is_some_and(|from| month < from) || to.is_some_and(|to| month > to) {
        cases.fates.insert(id, Fate::OutsidePeriod);
        turn_away(&mut cases.accounting, IssueCode::OutsidePeriod, at, issues);
        return;
    }
    cases.fates.insert(id, Fate::Accepted);
    cases.months.insert(month);
    if let Some(site) = record.text(CaseField::Site) {
        cases.sites.insert(site.to_string());
    }
    for (field, (_, count)) in mapped.iter().zip(&mut cases.completeness) {
        *count += u64::from(record.has(*field));
    }
    cases.columns.push(record);
    cases.accounting.accepted += 1;
}

fn read_passes(
    paths: &[PathBuf],
    mapping: &PassesMapping,
    fates: &BTreeMap<String, Fate>,
    issues: &mut Vec<Issue>,
) -> Result<(Columns<PassField>, Accounting), IngestError> {
    let wanted: Vec<_> = mapping
        .columns
        .iter()
        .map(|column| Wanted {
            field: column.field.name(),
            heading: &column.heading,
        })
        .collect();
    let mut columns = Columns::new();
    let mut accounting = Accounting::default();
    let mut seen = Seen::default();
    for (file_index, path) in paths.iter().enumerate() {
        let mut table = Table::open(path, mapping.separator, &wanted)?;
        while let Some(row) = table.next()? {
            let at = Position {
                source: Source::Passes,
                file_index,
                line_number: row.line_number,
            };
            accounting.read += 1;
            let verdict = complete_row(&row)
                .map(|()| read_pass(&row, mapping, at, issues))
                .and_then(|pass| check_pass(pass, fates, &mut seen, &row));
            match verdict {
                Ok(pass) => {
                    columns.push(&pass);
                    accounting.accepted += 1;
                }
                Err(code) => turn_away(&mut accounting, code, at, issues),
            }
        }
    }
    assert!(
        accounting.balances(),
        "every pass row was accepted, set aside or a duplicate"
    );
    Ok((columns, accounting))
}

fn read_pass(
    row: &Row<'_>,
    mapping: &PassesMapping,
    at: Position,
    issues: &mut Vec<Issue>,
) -> Record<PassField> {
    let mut record = Record::empty();
    for (index, column) in mapping.columns.iter().enumerate() {
        match column.words.read(row.cell(index)) {
            Ok(value) => record.set(column.field, value),
            Err(fault) => issues.push(Issue {
                at,
                code: fault.code,
                field: column.field.name(),
                other_field: "",
                found: fault.found,
            }),
        }
    }
    record
}

fn check_pass(
    pass: Record<PassField>,
    fates: &BTreeMap<String, Fate>,
    seen: &mut Seen,
    row: &Row<'_>,
) -> Result<Record<PassField>, IssueCode> {
    let id = pass.text(PassField::CaseId).ok_or(IssueCode::MissingKey)?;
    let number = pass.whole(PassField::PassNumber);
    match fates.get(id) {
        None => return Err(IssueCode::PassWithoutCase),
        Some(Fate::OutsidePeriod) => return Err(IssueCode::OutsidePeriod),
        Some(Fate::Accepted) => {}
    }
    // A pass without a number is kept: its case must not look like one with fewer passes.
    if let Some(number) = number {
        seen.check(format!("{id}\u{0}{number}"), row)?;
    }
    Ok(pass)
}

fn complete_row(row: &Row<'_>) -> Result<(), IssueCode> {
    if row.is_complete() {
        Ok(())
    } else {
        Err(IssueCode::WrongCellCount)
    }
}

fn turn_away(accounting: &mut Accounting, code: IssueCode, at: Position, issues: &mut Vec<Issue>) {
    match code.effect() {
        Effect::RowIsDuplicate => accounting.duplicates += 1,
        _ => accounting.set_aside += 1,
    }
    let found = Shape::NotOneCell;
    issues.push(Issue {
        at,
        code,
        field: "",
        other_field: "",
        found,
    });
}

/// Keys seen so far, each with a fingerprint of its whole row.
#[derive(Default)]
struct Seen(BTreeMap<String, u64>);

impl Seen {
    fn check(&mut self, key: String, row: &Row<'_>) -> Result<(), IssueCode> {
        // A collision of two 64-bit fingerprints would call a conflict a repeat: one row in 10^19.
        let mut hasher = DefaultHasher::new();
        row.fingerprint(&mut hasher);
        let fingerprint = hasher.finish();
        match self.0.get(&key) {
            None => {
                self.0.insert(key, fingerprint);
                Ok(())
            }
            Some(earlier) if *earlier == fingerprint => Err(IssueCode::RepeatedRow),
            Some(_) => Err(IssueCode::ConflictingRow),
        }
    }
}

fn exposure(
    mapping: &Mapping,
    sites: &BTreeSet<String>,
    first_month: Month,
    last_month: Month,
) -> Exposure {
    let mut exposure = Exposure::new();
    for month in first_month.through(last_month) {
        let minutes = calendar::minutes_of_month(month, &mapping.time_form, &mapping.staffed_hours);
        for (shift, minutes) in minutes {
            for site in sites {
                exposure.insert(
                    ExposureCell {
                        site: site.clone(),
                        month,
                        shift,
                    },
                    minutes,
                );
            }
        }
    }
    exposure
}
