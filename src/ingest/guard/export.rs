//! The columns of all files of one export, judged together: sixty record numbers say no less in
//! four files than in one. Knows headings, positions and watches; opens no file.

use super::watch::{ColumnWatch, Looking};
use super::{Guard, GuardFinding, Guarded, HeadingLists};
use crate::ingest::dialect::{folded, normal};
use crate::ingest::error::IngestError;
use std::collections::BTreeMap;
use std::path::Path;
use std::path::PathBuf;

/// What makes columns of different files the same: the heading, the how manieth of that heading in
/// its file, and what it is mapped to.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct ColumnKey {
    heading: String,
    occurrence: usize,
    looking: Looking,
    mapped_field: Option<&'static str>,
}

/// One column over all files.
struct Gathered {
    column: Guarded,
    watch: ColumnWatch,
    /// The first file that has it, and the place there, from 1.
    first_file: usize,
    column_number: usize,
    files: usize,
}

/// What was seen of an export, file by file.
#[derive(Default)]
pub(in crate::ingest) struct ExportWatch {
    columns: BTreeMap<ColumnKey, Gathered>,
}

impl ExportWatch {
    /// Takes in the watches of a file that has been read.
    ///
    /// # Errors
    /// When this file alone seems to hold identifiers: among the cells of many files those of one
    /// might be too few.
    pub(in crate::ingest) fn add(
        &mut self,
        path: &Path,
        file_index: usize,
        guard: &Guard,
        watches: &[ColumnWatch],
    ) -> Result<(), IngestError> {
        let findings = guard.findings(watches);
        if !findings.is_empty() {
            return Err(IngestError::Identifiers {
                path: path.to_path_buf(),
                findings,
            });
        }
        let mut occurrences: BTreeMap<&str, usize> = BTreeMap::new();
        for (index, (column, watch)) in guard.columns.iter().zip(watches).enumerate() {
            let occurrence = occurrences.entry(&column.folded).or_default();
            *occurrence += 1;
            let key = ColumnKey {
                heading: column.folded.clone(),
                occurrence: *occurrence,
                looking: column.looking,
                mapped_field: column.mapped.map(|mapped| mapped.field),
            };
            if let Some(gathered) = self.columns.get_mut(&key) {
                gathered.watch.merge(watch);
                gathered.files += 1;
            } else {
                let gathered = Gathered {
                    column: column.clone(),
                    watch: watch.clone(),
                    first_file: file_index,
                    column_number: index + 1,
                    files: 1,
                };
                self.columns.insert(key, gathered);
            }
        }
        Ok(())
    }

    /// Refuses an export whose files together seem to hold identifiers. Told of is the first file
    /// that has such a column.
    pub(in crate::ingest) fn check(&self, files: &[PathBuf]) -> Result<(), IngestError> {
        match self.findings() {
            None => Ok(()),
            Some((file_index, findings)) => Err(IngestError::Identifiers {
                path: files[file_index].clone(),
                findings,
            }),
        }
    }

    fn findings(&self) -> Option<(usize, Vec<GuardFinding>)> {
        let mut by_file: BTreeMap<usize, Vec<GuardFinding>> = BTreeMap::new();
        for gathered in self.columns.values() {
            let findings =
                gathered
                    .column
                    .findings(&gathered.watch, gathered.column_number, gathered.files);
            if !findings.is_empty() {
                let of_file = by_file.entry(gathered.first_file).or_default();
                of_file.extend(findings);
            }
        }
        let (file_index, mut findings) = by_file.pop_first()?;
        // Two of one column stay in their order.
        findings.sort_by_key(|finding| finding.column_number);
        Some((file_index, findings))
    }
}

/// The headings of `drop` and `cleared` that no file has had so far. One that no file of an export
/// has is refused: a heading that changed would else be looked at again, or a new one be believed
/// harmless.
pub(in crate::ingest) struct ListedHeadings<'m> {
    open: Vec<(&'static str, &'m str)>,
}

impl<'m> ListedHeadings<'m> {
    pub(in crate::ingest) fn new(lists: HeadingLists<'m>) -> ListedHeadings<'m> {
        let of =
            |name, list: &'m [String]| list.iter().map(move |heading| (name, heading.as_str()));
        ListedHeadings {
            open: of("drop", lists.drop)
                .chain(of("cleared", lists.cleared))
                .collect(),
        }
    }

    /// Takes in the headings of one file.
    pub(in crate::ingest) fn note(&mut self, guard: &Guard) {
        self.open.retain(|(_, heading)| {
            let is_it = |column: &Guarded| column.folded == folded(&normal(heading));
            !guard.columns.iter().any(is_it)
        });
    }

    /// Refuses a heading that none of these files has.
    pub(in crate::ingest) fn check(&self, files: &[PathBuf]) -> Result<(), IngestError> {
        match (self.open.first(), files.first()) {
            (Some((list, heading)), Some(path)) => Err(IngestError::ListedHeadingMissing {
                path: path.clone(),
                files: files.len(),
                list,
                heading: (*heading).to_string(),
            }),
            _ => Ok(()),
        }
    }
}

/// Which of the headings a list holds. They are compared as mapped headings are: exactly, and where
/// no heading is exactly that, without regard to case and repeated blanks.
pub(super) fn listed(headings: &[&str], list: &[String]) -> Vec<bool> {
    let mut is_listed = vec![false; headings.len()];
    for wanted in list {
        let wanted = normal(wanted);
        let is_exact = headings.contains(&wanted.as_str());
        for (is_listed, heading) in is_listed.iter_mut().zip(headings) {
            *is_listed |= if is_exact {
                *heading == wanted
            } else {
                folded(heading) == folded(&wanted)
            };
        }
    }
    is_listed
}

/// Of one file or of several that they lack a column.
pub(in crate::ingest) fn without(first: &Path, files: usize) -> String {
    let first = first.display();
    if files == 1 {
        format!("`{first}` has no")
    } else {
        format!("none of the {files} files from `{first}` on has a")
    }
}

/// The findings of one file in one line.
pub(in crate::ingest) fn listed_findings(findings: &[GuardFinding]) -> String {
    let columns: Vec<String> = findings.iter().map(GuardFinding::to_string).collect();
    columns.join(", ")
}
