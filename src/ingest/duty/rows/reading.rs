//! The rows of one file of staffing as they come: counted, told of, and shown to the identifier guard.

use super::{Column, DutyRow, Refusal, RowFault, duty};
use crate::domain::accounting::Accounting;
use crate::domain::duty::issue::{DutyIssue, DutyIssueKind};
use crate::domain::issue::Effect;
use crate::ingest::block_rows::Row;
use crate::ingest::cell::RawCell;
use crate::ingest::dialect::{Dialect, Heading, is_summary_row};
use crate::ingest::error::{IngestError, MappingFault};
use crate::ingest::guard::{
    CellsToPass, ColumnWatch, Guard, HeadingLists, MappedColumn, listed_findings,
};
use std::path::Path;

/// A file that is being read.
pub(super) struct Reading<'d, T> {
    columns: &'static [Column],
    dialect: &'d Dialect,
    guard: Guard,
    watches: Vec<ColumnWatch>,
    rows: Vec<T>,
    accounting: Accounting,
    issues: Vec<DutyIssue>,
}

impl<'d, T> Reading<'d, T> {
    pub(super) fn new(columns: &'static [Column], dialect: &'d Dialect) -> Reading<'d, T> {
        let headings: Vec<&str> = dialect.headings.iter().map(Heading::text).collect();
        let mut mapped = vec![None; headings.len()];
        for (column, place) in columns.iter().zip(&dialect.places) {
            mapped[*place] = Some(MappedColumn {
                field: column.name,
                kind: column.kind,
            });
        }
        let guard = Guard::new(&headings, &mapped, HeadingLists::default());
        Reading {
            columns,
            dialect,
            watches: guard.watches(),
            guard,
            rows: Vec::new(),
            accounting: Accounting::default(),
            issues: Vec::new(),
        }
    }

    /// # Errors
    /// With what stops the run.
    pub(super) fn read(
        &mut self,
        row: &Row<'_>,
        take: &mut impl FnMut(&mut DutyRow<'_>) -> Result<T, Refusal>,
    ) -> Result<(), MappingFault> {
        self.accounting.read += 1;
        let mut duty_row = DutyRow {
            row,
            columns: self.columns,
            places: &self.dialect.places,
            notes: Vec::new(),
        };
        let taken = if !self.has_right_length(row) {
            Err(RowFault::of_row(DutyIssueKind::WrongCellCount).into())
        } else if duty_row.says_the_header() {
            Err(RowFault::of_row(DutyIssueKind::SummaryRow).into())
        } else {
            take(&mut duty_row)
        };
        let mut faults = duty_row.notes;
        match taken {
            Ok(value) => {
                self.rows.push(value);
                self.accounting.accepted += 1;
            }
            Err(Refusal::Run(fault)) => return Err(fault),
            Err(Refusal::Row(fault)) => {
                let fault = with_remarks_told(fault, row);
                if fault.kind.effect() == Effect::RowIsDuplicate {
                    self.accounting.duplicates += 1;
                } else {
                    self.accounting.set_aside += 1;
                }
                // What else is wrong with a row that is not used is of no account.
                faults = vec![fault];
            }
        }
        self.watch(row, &faults);
        self.issues
            .extend(faults.into_iter().map(|fault| DutyIssue {
                line_number: row.line_number,
                column: fault.column,
                kind: fault.kind,
                found: fault.found,
            }));
        Ok(())
    }

    /// Blank cells beyond the last column, or below a blank heading, are no fault.
    fn has_right_length(&self, row: &Row<'_>) -> bool {
        let is_blank = |place: usize| row.cell(place).bytes().trim_ascii().is_empty();
        let mut others = (0..row.length()).filter(|place| !self.dialect.places.contains(place));
        let last_needed = self.dialect.places.iter().max().copied();
        last_needed.is_some_and(|last| row.length() > last) && others.all(is_blank)
    }

    /// Shows the guard what the columns say, and of coded columns what could not be read.
    fn watch(&mut self, row: &Row<'_>, faults: &[RowFault]) {
        let is_misplaced = faults
            .iter()
            .any(|fault| fault.kind == DutyIssueKind::WrongCellCount);
        let last = self.watches.len().saturating_sub(1);
        for place in 0..row.length() {
            let column = place.min(last);
            let is_refused = || {
                let mut named = self.columns.iter().zip(&self.dialect.places);
                let name = named.find(|(_, of)| **of == place).map(|(of, _)| of.name);
                faults.iter().any(|fault| Some(fault.column) == name)
            };
            let is_shown = match self.guard.cells_to_pass(column) {
                CellsToPass::Every => true,
                CellsToPass::Refused => is_misplaced || is_refused(),
                CellsToPass::No => false,
            };
            if is_shown {
                self.watches[column].observe(row.cell(place).bytes());
            }
        }
    }

    /// The last look at a file whose rows have all been read.
    pub(super) fn close(
        self,
        path: &Path,
    ) -> Result<(Vec<T>, Accounting, Vec<DutyIssue>), IngestError> {
        if self.accounting.read == 0 {
            return Err(IngestError::HeaderOnly {
                path: path.to_path_buf(),
            });
        }
        let findings = self.guard.findings(&self.watches);
        if !findings.is_empty() {
            let what = format!(
                "seems to hold identifiers of persons: {}",
                listed_findings(&findings)
            );
            let hint = "write sites, roles and carts as codes, and take out whatever else tells of a person; nothing of it is needed";
            return Err(duty(path, None, MappingFault::new(what, hint)));
        }
        assert!(
            self.accounting.balances(),
            "every row was accepted, set aside or a duplicate"
        );
        Ok((self.rows, self.accounting, self.issues))
    }
}

/// A total or a remark rather than a row with a cell too few.
fn with_remarks_told(fault: RowFault, row: &Row<'_>) -> RowFault {
    let may_be_remark = matches!(
        fault.kind,
        DutyIssueKind::WrongCellCount | DutyIssueKind::BlankCell
    );
    if may_be_remark && is_summary_row(row.cells_from(0).map(RawCell::bytes)) {
        RowFault::of_row(DutyIssueKind::SummaryRow)
    } else {
        fault
    }
}
