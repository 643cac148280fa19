//! A block of the passes export → records of passes.

use super::block_rows::{Row, RowReader};
use super::blocks::Block;
use super::fingerprint::Fingerprint;
use super::parsed::{Found, KeyedRow, ParsedBlock, ParsedRow, UnreadableVersion, Verdict, Version};
use super::plan::FilePlan;
use super::records::{Columns, Record};
use super::registry::{Key, Traits};
use crate::domain::fields::PassField;
use crate::domain::issue::{IssueCode, Position, Source};

/// What a thread needs to parse the blocks of one file.
pub(super) struct PassRows<'a> {
    pub(super) plan: &'a FilePlan<'a, PassField>,
    pub(super) file_index: usize,
}

impl PassRows<'_> {
    /// Parses one block.
    pub(super) fn parse(&self, rows: &mut RowReader, block: &Block) -> ParsedBlock {
        let mut passes = Columns::new();
        let mut found = self.plan.nothing_found();
        let mut parsed = Vec::new();
        rows.each_row(block, |row| {
            let at = Position {
                source: Source::Passes,
                file_index: self.file_index,
                line_number: row.line_number,
            };
            let before = found.mark();
            let verdict = match self.read(&row, at, &mut passes, &mut found) {
                Ok(keyed) => Verdict::Keyed(keyed),
                Err(_) if self.plan.is_no_record(&row) => {
                    found.forget_since(&before);
                    Verdict::refused(IssueCode::SummaryRow)
                }
                Err(code) => Verdict::refused(code),
            };
            parsed.push(ParsedRow {
                line_number: row.line_number,
                verdict,
            });
        });
        ParsedBlock {
            rows: parsed,
            records: passes.finish(),
            found,
            passes: None,
        }
    }

    fn read(
        &self,
        row: &Row<'_>,
        at: Position,
        passes: &mut Columns<PassField>,
        found: &mut Found,
    ) -> Result<KeyedRow, IssueCode> {
        self.plan.check_length(row, at, found)?;
        self.plan.watch(row, found);
        let mut pass = Record::empty();
        for column in &self.plan.columns {
            let cell = row.cell(column.place);
            match column.cells.read(cell) {
                Ok(value) => pass.set(column.field, value),
                Err(fault) => found.refuse(Source::Passes, column, cell, fault, at),
            }
        }
        let id = pass.text(PassField::CaseId).ok_or(IssueCode::MissingKey)?;
        let case = Key::of_case(id);
        let place = passes.length();
        passes.push(&pass);
        Ok(KeyedRow {
            case,
            // A pass without a number is kept: its case must not look like one with fewer passes.
            pass: pass
                .whole(PassField::PassNumber)
                .map(|number| case.of_pass(number)),
            fingerprint: Fingerprint::of(row, self.plan.mapped_places()),
            traits: Traits::of_pass(pass.text(PassField::Result)),
            place: Some(place),
            version: Version::default(),
            unreadable: UnreadableVersion::default(),
            likeness: None,
            may_be_no_record: !pass.has(PassField::PassNumber) && self.plan.is_no_record(row),
        })
    }
}
