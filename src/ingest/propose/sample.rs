//! The first rows of an export, looked at without any mapping: how its files are written, what each
//! column looks like, and which columns seem to identify persons.
//!
//! Holds text of cells and headings, so nothing here is printed but by whoever writes the proposal.

mod file;

use super::cells::CellsSeen;
use super::headings::HeadingWords;
use crate::domain::fields::{CaseField, Field, Kind, PassField};
use crate::domain::issue::Source;
use crate::ingest::dialect::{Certainty, SAMPLE_BYTES};
use crate::ingest::error::IngestError;
use crate::ingest::guard::{
    ColumnWatch, Evidence, Guard, GuardFinding, HeadingLists, MappedColumn, shows_identifier,
};
use std::collections::BTreeMap;
use std::path::PathBuf;

pub(super) use file::SampledFile;

/// Columns that are looked at; no export of cases has more.
const MOST_COLUMNS: usize = 1000;

/// Bytes that are read of each of very many files.
const FEWEST_BYTES: usize = 64 << 10;

/// One export, in one file or several.
pub(super) struct SampledExport {
    pub(super) files: Vec<SampledFile>,
    /// The columns of the first file.
    pub(super) columns: Vec<SampledColumn>,
    /// Columns of the first file beyond those that are looked at.
    pub(super) columns_beyond: usize,
    /// How sure it is that the headings are headings, in the file where it is least sure.
    pub(super) certainty: Certainty,
}

/// One column.
pub(super) struct SampledColumn {
    /// From 1, in the first file.
    pub(super) number: usize,
    pub(super) heading: String,
    pub(super) words: HeadingWords,
    /// Whether another column has the same heading, or there is none.
    pub(super) has_no_name: bool,
    /// Whether every file has the column.
    pub(super) is_everywhere: bool,
    /// Whether the heading may be shown: it is one, and looks like no identifier.
    pub(super) is_heading_shown: bool,
    pub(super) cells: CellsSeen,
    /// What the guard says of the column as it stands.
    pub(super) finding: Option<GuardFinding>,
    /// What the guard says of it as the column of the case numbers.
    pub(super) finding_as_case_number: Option<GuardFinding>,
}

impl SampledColumn {
    /// Whether only the heading speaks for a person.
    pub(super) fn is_found_by_heading_alone(&self) -> bool {
        self.finding
            .is_some_and(|finding| finding.from == Evidence::Heading)
    }
}

impl SampledExport {
    /// Reads the beginning of every file.
    ///
    /// # Errors
    /// When a file cannot be read, or has no header or no row.
    pub(super) fn read(paths: &[PathBuf]) -> Result<SampledExport, IngestError> {
        let most_bytes = (SAMPLE_BYTES / paths.len().max(1)).max(FEWEST_BYTES);
        let mut files = paths
            .iter()
            .map(|path| SampledFile::open(path, most_bytes))
            .collect::<Result<Vec<_>, _>>()?;
        let all: Vec<String> = files.first().map_or(Vec::new(), SampledFile::headings);
        let columns_beyond = all.len().saturating_sub(MOST_COLUMNS);
        let names = &all[..all.len() - columns_beyond];
        let certainty = files.iter().map(|file| file.certainty).min();
        let mut seen: Vec<Seen> = Seen::of(names);
        for (index, file) in files.iter_mut().enumerate() {
            file.places = if index == 0 {
                (0..names.len()).map(Some).collect()
            } else {
                let own = file.headings().into_iter().enumerate();
                let own: BTreeMap<String, usize> =
                    own.map(|(place, heading)| (heading, place)).collect();
                names.iter().map(|name| own.get(name).copied()).collect()
            };
        }
        for file in &mut files {
            let (rows, short_rows) = file.each_row(|row| {
                for (place, seen) in file.places.iter().zip(&mut seen) {
                    if let Some(place) = place {
                        let cell = row.cell(*place);
                        seen.cells.observe(cell);
                        seen.watch.observe(cell.bytes());
                        if seen.may_be_case_number {
                            seen.watch_as_case_number.observe(cell.bytes());
                        }
                    }
                }
            });
            (file.rows, file.short_rows) = (rows, short_rows);
            if rows == 0 && short_rows == 0 {
                return Err(IngestError::HeaderOnly {
                    path: file.path.clone(),
                });
            }
        }
        let certainty = certainty.unwrap_or(Certainty::Unsure);
        let mut export = SampledExport {
            columns: Vec::new(),
            files,
            columns_beyond,
            certainty: if may_be_a_case(names, &seen) {
                Certainty::Unsure
            } else {
                certainty
            },
        };
        export.columns = export.columns_seen(names, seen);
        Ok(export)
    }

    fn columns_seen(&self, names: &[String], seen: Vec<Seen>) -> Vec<SampledColumn> {
        let (watches, watches_as_case_number, cells) = Seen::parts(seen);
        let findings = guard(names, None).findings(&watches);
        let as_case_number = Some(MappedColumn {
            field: CaseField::CaseId.name(),
            kind: Kind::Text,
        });
        let findings_as_case_number =
            guard(names, as_case_number).findings(&watches_as_case_number);
        let of = |findings: &[GuardFinding], number| {
            let mut findings = findings.iter().rev();
            // The last is what the cells say, which counts more than the heading.
            findings
                .find(|finding| finding.column_number == number)
                .copied()
        };
        names
            .iter()
            .zip(cells)
            .enumerate()
            .map(|(index, (name, cells))| SampledColumn {
                number: index + 1,
                heading: name.clone(),
                words: HeadingWords::of(name),
                has_no_name: name.is_empty()
                    || names.iter().filter(|other| *other == name).count() > 1,
                is_everywhere: self.files.iter().all(|file| file.places[index].is_some()),
                is_heading_shown: self.certainty >= Certainty::Likely && !shows_identifier(name),
                cells,
                finding: of(&findings, index + 1),
                finding_as_case_number: of(&findings_as_case_number, index + 1),
            })
            .collect()
    }

    /// Rows of the sample.
    pub(super) fn rows(&self) -> u64 {
        self.files.iter().map(|file| file.rows).sum()
    }

    /// Whether every file ends with its sample.
    pub(super) fn is_whole(&self) -> bool {
        self.files.iter().all(|file| file.is_whole)
    }

    /// Offers the texts of one column, or of two side by side, row by row.
    pub(super) fn each_text(&self, columns: &[usize], mut offer: impl FnMut(&[&str])) {
        for file in &self.files {
            let places: Option<Vec<usize>> =
                columns.iter().map(|column| file.places[*column]).collect();
            let Some(places) = places else { continue };
            file.each_row(|row| {
                let texts: Result<Vec<&str>, _> =
                    places.iter().map(|place| row.cell(*place).text()).collect();
                if let Ok(texts) = texts {
                    offer(&texts);
                }
            });
        }
    }
}

/// Whether the headings may be the first case of a file that has none: hardly any of them is a word of
/// the trade, or few are and some stand in the cells below them too. A header that is repeated further
/// down stands there whole.
fn may_be_a_case(names: &[String], seen: &[Seen]) -> bool {
    let known = names.iter().filter(|name| names_a_field(name)).count();
    let columns = || names.iter().zip(seen).filter(|(name, _)| !name.is_empty());
    let repeated = columns()
        .filter(|(name, seen)| seen.cells.has(name))
        .count();
    known < 2 || (2 * known < names.len() && repeated > 0 && repeated < columns().count())
}

fn names_a_field(heading: &str) -> bool {
    let words = HeadingWords::of(heading);
    let of_cases = CaseField::ALL
        .iter()
        .map(|field| (Source::Cases, field.name()));
    let of_passes = PassField::ALL
        .iter()
        .map(|field| (Source::Passes, field.name()));
    of_cases
        .chain(of_passes)
        .any(|(export, field)| words.fit(export, field, false).is_some())
}

fn guard(names: &[String], mapped: Option<MappedColumn>) -> Guard {
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    Guard::new(&names, &vec![mapped; names.len()], HeadingLists::default())
}

/// What is gathered of one column, row by row.
struct Seen {
    cells: CellsSeen,
    watch: ColumnWatch,
    watch_as_case_number: ColumnWatch,
    /// Whether the heading may be that of the case numbers.
    may_be_case_number: bool,
}

impl Seen {
    fn of(names: &[String]) -> Vec<Seen> {
        let as_case_number = Some(MappedColumn {
            field: CaseField::CaseId.name(),
            kind: Kind::Text,
        });
        let watches = guard(names, None).watches();
        let watches_as_case_number = guard(names, as_case_number).watches();
        watches
            .into_iter()
            .zip(watches_as_case_number)
            .zip(names)
            .map(|((watch, watch_as_case_number), name)| Seen {
                cells: CellsSeen::default(),
                watch,
                watch_as_case_number,
                may_be_case_number: [Source::Cases, Source::Passes].iter().any(|export| {
                    let field = CaseField::CaseId.name();
                    HeadingWords::of(name).fit(*export, field, false).is_some()
                }),
            })
            .collect()
    }

    fn parts(seen: Vec<Seen>) -> (Vec<ColumnWatch>, Vec<ColumnWatch>, Vec<CellsSeen>) {
        let (mut watches, mut as_case_number, mut cells) = (Vec::new(), Vec::new(), Vec::new());
        for seen in seen {
            watches.push(seen.watch);
            as_case_number.push(seen.watch_as_case_number);
            cells.push(seen.cells);
        }
        (watches, as_case_number, cells)
    }
}
