//! The loop over the rows of an export, the same for cases and passes: every row is accepted, set
//! aside or a duplicate, and counted.

use super::error::IngestError;
use super::mapping::Column;
use super::reader::{Row, Table, Wanted};
use crate::domain::accounting::Accounting;
use crate::domain::fields::Field;
use crate::domain::issue::{Effect, Issue, IssueCode, Position, Source};
use std::hash::{DefaultHasher, Hasher};
use std::path::PathBuf;

/// Files of one kind.
pub(super) struct Export<'a, F> {
    pub(super) source: Source,
    pub(super) paths: &'a [PathBuf],
    pub(super) separator: u8,
    pub(super) columns: &'a [Column<F>],
}

impl<F: Field> Export<'_, F> {
    /// Offers every row to `accept`, which keeps it or says why not.
    pub(super) fn read_rows(
        &self,
        issues: &mut Vec<Issue>,
        mut accept: impl FnMut(&Row<'_>, Position, &mut Vec<Issue>) -> Result<(), IssueCode>,
    ) -> Result<Accounting, IngestError> {
        let wanted: Vec<_> = self
            .columns
            .iter()
            .map(|column| Wanted {
                field: column.field.name(),
                heading: &column.heading,
            })
            .collect();
        let mut accounting = Accounting::default();
        for (file_index, path) in self.paths.iter().enumerate() {
            let mut table = Table::open(path, self.separator, &wanted)?;
            let read_before = accounting.read;
            while let Some(row) = table.next()? {
                let at = Position {
                    source: self.source,
                    file_index,
                    line_number: row.line_number,
                };
                accounting.read += 1;
                let verdict = if row.is_complete() {
                    accept(&row, at, issues)
                } else {
                    Err(IssueCode::WrongCellCount)
                };
                match verdict {
                    Ok(()) => accounting.accepted += 1,
                    Err(code) => turn_away(&mut accounting, code, at, issues),
                }
            }
            // No passes is news that can be true; no cases is an export that went wrong.
            if self.source == Source::Cases && accounting.read == read_before {
                return Err(IngestError::HeaderOnly { path: path.clone() });
            }
        }
        assert!(
            accounting.balances(),
            "every row was accepted, set aside or a duplicate"
        );
        Ok(accounting)
    }
}

fn turn_away(accounting: &mut Accounting, code: IssueCode, at: Position, issues: &mut Vec<Issue>) {
    match code.effect() {
        Effect::RowIsDuplicate => accounting.duplicates += 1,
        _ => accounting.set_aside += 1,
    }
    issues.push(Issue::of_row(at, code));
}

/// A map by key that is only asked and never listed, so its order reaches nothing. Against a sorted
/// one it saves about a sixth of the time of checking a million cases.
#[expect(clippy::disallowed_types, reason = "asked by key only, never listed")]
pub(super) type ByKey<V> = std::collections::HashMap<String, V>;

/// Keys seen so far, each with a fingerprint of its whole row.
#[derive(Default)]
pub(super) struct Seen(ByKey<u64>);

impl Seen {
    /// Remembers a row by its key.
    ///
    /// # Errors
    /// When an earlier row had the same key: a repeat if all cells are the same, a conflict if not.
    pub(super) fn check(&mut self, key: String, row: &Row<'_>) -> Result<(), IssueCode> {
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
