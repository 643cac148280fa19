//! A block of the passes export → records of passes.

use super::block_rows::{Row, RowReader};
use super::blocks::Block;
use super::fingerprint::{Fingerprint, RefusedCells};
use super::parsed::{Found, KeyedRow, ParsedBlock, ParsedRow, UnreadableVersion, Verdict, Version};
use super::plan::FilePlan;
use super::records::{Columns, FilledFields, Record};
use super::registry::{Key, Traits};
use super::tallies::{Counted, SiteNumbers};
use crate::domain::fields::PassField;
use crate::domain::issue::{IssueCode, Position, Source};
use std::sync::atomic::{AtomicBool, Ordering};

/// What a thread needs to parse the blocks of one file.
pub(super) struct PassRows<'a> {
    pub(super) plan: &'a FilePlan<'a, PassField>,
    pub(super) file_index: usize,
    /// Whether records are still kept.
    pub(super) keeps: &'a AtomicBool,
}

/// The records of a block while it is read.
struct Gathered {
    /// `None` where none is kept any more.
    passes: Option<Columns<PassField>>,
    pass_count: usize,
    found: Found,
}

impl PassRows<'_> {
    /// Parses one block.
    pub(super) fn parse(&self, rows: &mut RowReader, block: &Block) -> ParsedBlock {
        let mut gathered = Gathered {
            passes: (self.keeps.load(Ordering::Relaxed)).then(|| Columns::new(FilledFields::ALL)),
            pass_count: 0,
            found: self.plan.nothing_found(),
        };
        let mut parsed = Vec::new();
        rows.each_row(block, |row| {
            let at = Position {
                source: Source::Passes,
                file_index: self.file_index,
                line_number: row.line_number,
            };
            let before = gathered.found.mark();
            let verdict = match self.read(&row, at, &mut gathered) {
                Ok(keyed) => Verdict::Keyed(keyed),
                Err(_) if self.plan.is_no_record(&row) => {
                    gathered.found.forget_since(&before);
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
            record_count: gathered.pass_count,
            records: gathered.passes.map(Columns::finish),
            sites: SiteNumbers::default(),
            found: gathered.found,
            passes: None,
        }
    }

    fn read(
        &self,
        row: &Row<'_>,
        at: Position,
        gathered: &mut Gathered,
    ) -> Result<KeyedRow, IssueCode> {
        let found = &mut gathered.found;
        self.plan.check_length(row, at, found)?;
        self.plan.watch(row, found);
        found.refused = RefusedCells::default();
        let mut pass = Record::empty();
        for column in &self.plan.columns {
            let cell = row.cell(column.place);
            let read = pass.set_by(column.field, |value| column.cells.read_to(cell, value));
            if let Err(fault) = read {
                found.refuse(Source::Passes, column, cell, fault, at);
            }
        }
        let id = pass.text(PassField::CaseId).ok_or(IssueCode::MissingKey)?;
        let case = Key::of_case(id);
        let place = gathered.pass_count;
        gathered.pass_count += 1;
        if let Some(passes) = &mut gathered.passes {
            passes.push(&pass);
        }
        Ok(KeyedRow {
            case,
            // A pass without a number is kept: its case must not look like one with fewer passes.
            pass: pass
                .whole(PassField::PassNumber)
                .map(|number| case.of_pass(number)),
            fingerprint: Fingerprint::of(
                &pass,
                FilledFields::ALL,
                found.refused,
                std::iter::empty(),
            ),
            traits: Traits::of_pass(pass.text(PassField::Result)),
            place: Some(place),
            counted: Counted::of_pass(pass.filled()),
            version: Version::default(),
            unreadable: UnreadableVersion::default(),
            likeness: None,
            may_be_no_record: !pass.has(PassField::PassNumber) && self.plan.is_no_record(row),
        })
    }
}
