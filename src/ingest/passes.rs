//! The passes export → records of passes whose case was accepted.

use super::cases::Fate;
use super::error::IngestError;
use super::mapping::PassesMapping;
use super::reader::Row;
use super::records::{Columns, Record};
use super::rows::{ByKey, Export, Seen};
use crate::domain::accounting::Accounting;
use crate::domain::fields::PassField;
use crate::domain::issue::{Issue, IssueCode, Position, Source};
use std::path::PathBuf;

pub(super) fn read_passes(
    paths: &[PathBuf],
    mapping: &PassesMapping,
    fates: &ByKey<Fate>,
    issues: &mut Vec<Issue>,
) -> Result<(Columns<PassField>, Accounting), IngestError> {
    let export = Export {
        source: Source::Passes,
        paths,
        separator: mapping.separator,
        columns: &mapping.columns,
    };
    let mut columns = Columns::new();
    let mut seen = Seen::default();
    let accounting = export.read_rows(issues, |row, at, issues| {
        let pass = read_pass(row, mapping, at, issues);
        check_pass(&pass, fates, &mut seen, row)?;
        columns.push(&pass);
        Ok(())
    })?;
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
            Err(fault) => issues.push(fault.at(at, column.field)),
        }
    }
    record
}

fn check_pass(
    pass: &Record<PassField>,
    fates: &ByKey<Fate>,
    seen: &mut Seen,
    row: &Row<'_>,
) -> Result<(), IssueCode> {
    let id = pass.text(PassField::CaseId).ok_or(IssueCode::MissingKey)?;
    match fates.get(id) {
        None => return Err(IssueCode::PassWithoutCase),
        Some(Fate::OutsidePeriod) => return Err(IssueCode::OutsidePeriod),
        Some(Fate::Accepted) => {}
    }
    // A pass without a number is kept: its case must not look like one with fewer passes.
    match pass.whole(PassField::PassNumber) {
        Some(number) => seen.check(format!("{id}\u{0}{number}"), row),
        None => Ok(()),
    }
}
