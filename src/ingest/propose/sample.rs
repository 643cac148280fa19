//! The first rows of an export, looked at without any mapping: how its files are written, what each
//! column looks like, and which columns seem to identify persons.
//!
//! Holds text of cells and headings, so nothing here is printed but by whoever writes the proposal.

use super::cells::CellsSeen;
use super::headings::HeadingWords;
use crate::domain::fields::{CaseField, Field, Kind};
use crate::domain::issue::Source;
use crate::ingest::block_rows::{Row, RowReader};
use crate::ingest::blocks::{Block, Grammar};
use crate::ingest::cell::RawCell;
use crate::ingest::dialect::{
    Certainty, Dialect, Given, Guess, Heading, SAMPLE_BYTES, Sample, guess, is_summary_row,
};
use crate::ingest::error::IngestError;
use crate::ingest::guard::{
    ColumnWatch, Evidence, Guard, GuardFinding, HeadingLists, MappedColumn, shows_identifier,
};
use crate::ingest::input::{InputFacts, OpenInput, read_error};
use std::collections::BTreeMap;
use std::io::Read;
use std::path::{Path, PathBuf};

/// Columns that are looked at; no export of cases has more.
const MOST_COLUMNS: usize = 1000;

/// Bytes that are read of each of very many files.
const FEWEST_BYTES: usize = 64 << 10;

/// Rows of a header that are tried.
const MOST_HEADER_ROWS: usize = 3;

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

/// The beginning of one file.
pub(super) struct SampledFile {
    path: PathBuf,
    pub(super) facts: InputFacts,
    pub(super) dialect: Dialect,
    pub(super) certainty: Certainty,
    /// Rows, also above the headings and below the table, with more or fewer cells than most.
    pub(super) rows_of_other_length: u64,
    /// Whether the file ends with the sample.
    pub(super) is_whole: bool,
    /// Rows with as many cells as the header.
    pub(super) rows: u64,
    /// Rows that end before the last column.
    pub(super) short_rows: u64,
    bytes: Vec<u8>,
    /// For each column of the export, where it stands in this file.
    places: Vec<Option<usize>>,
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

impl SampledFile {
    /// The name without its folder.
    pub(super) fn name(&self) -> String {
        let name = self.path.file_name().unwrap_or(self.path.as_os_str());
        name.to_string_lossy().into_owned()
    }

    /// Opens a file and finds out how it is written.
    fn open(path: &Path, most_bytes: usize) -> Result<SampledFile, IngestError> {
        let mut input = OpenInput::open(path, None, false)?;
        let mut bytes = Vec::new();
        input
            .by_ref()
            .take(most_bytes as u64)
            .read_to_end(&mut bytes)
            .map_err(|error| read_error(path, error))?;
        let is_whole = bytes.len() < most_bytes;
        let Guess {
            dialect,
            certainty,
            rows_seen,
            rows_alike,
        } = guess_header(&Sample {
            path,
            bytes: &bytes,
            is_whole,
        })?;
        if !is_whole {
            // The last row is cut somewhere.
            let end = bytes.iter().rposition(|byte| matches!(byte, b'\n' | b'\r'));
            bytes.truncate(end.map_or(0, |end| end + 1).max(dialect.rows_offset));
        }
        Ok(SampledFile {
            path: path.to_path_buf(),
            facts: input.facts(),
            dialect,
            certainty,
            rows_of_other_length: rows_seen.saturating_sub(rows_alike),
            is_whole,
            rows: 0,
            short_rows: 0,
            bytes,
            places: Vec::new(),
        })
    }

    /// Offers every row of the sample that has a cell for each heading and is no total.
    fn each_row(&self, mut offer: impl FnMut(&Row<'_>)) -> (u64, u64) {
        let block = Block {
            first_line: self.dialect.rows_line,
            bytes: self.bytes[self.dialect.rows_offset..].to_vec(),
        };
        let grammar = Grammar {
            separator: self.dialect.separator,
            quote: self.dialect.quote,
        };
        let columns = self.dialect.headings.len();
        let (mut rows, mut short_rows) = (0, 0);
        RowReader::new(grammar).each_row(&block, |row| {
            let is_filled = |cell: &[u8]| !cell.trim_ascii().is_empty();
            let filled = row
                .cells_from(0)
                .filter(|cell| is_filled(cell.bytes()))
                .count();
            let is_total =
                2 * filled <= columns && is_summary_row(row.cells_from(0).map(RawCell::bytes));
            if filled == 0 || is_total {
            } else if row.length() < columns {
                short_rows += 1;
            } else if row.cells_from(columns).all(|cell| !is_filled(cell.bytes())) {
                rows += 1;
                offer(&row);
            }
        });
        (rows, short_rows)
    }
}

/// The header of one row, or one of several rows where one alone leaves columns without a name of
/// their own: the rows above it, or those below it in which no cell has a digit, as rows of cases have.
fn guess_header(sample: &Sample<'_>) -> Result<Guess, IngestError> {
    let found = guess(sample, &Given::default())?;
    if has_names(&found.dialect) {
        return Ok(found);
    }
    for header_rows in 2..=MOST_HEADER_ROWS {
        let given = Given {
            separator: Some(found.dialect.separator),
            header_rows: Some(header_rows),
            ..Given::default()
        };
        let Ok(higher) = guess(sample, &given) else {
            continue;
        };
        let (from, to) = (found.dialect.rows_offset, higher.dialect.rows_offset);
        let has_digits = |bytes: &[u8]| bytes.iter().any(u8::is_ascii_digit);
        let is_header = from == to
            || (from < to
                && higher.dialect.header_line == found.dialect.header_line
                && !has_digits(&sample.bytes[from..to]));
        if is_header && has_names(&higher.dialect) {
            return Ok(higher);
        }
    }
    Ok(found)
}

fn has_names(dialect: &Dialect) -> bool {
    let mut headings: Vec<&str> = dialect.headings.iter().map(Heading::text).collect();
    headings.sort_unstable();
    headings.iter().all(|heading| !heading.is_empty())
        && headings.windows(2).all(|pair| pair[0] != pair[1])
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
        let all: Vec<String> = files.first().map_or(Vec::new(), headings);
        let columns_beyond = all.len().saturating_sub(MOST_COLUMNS);
        let names = &all[..all.len() - columns_beyond];
        let certainty = files.iter().map(|file| file.certainty).min();
        let mut seen: Vec<Seen> = Seen::of(names);
        for (index, file) in files.iter_mut().enumerate() {
            file.places = if index == 0 {
                (0..names.len()).map(Some).collect()
            } else {
                let own = headings(file).into_iter().enumerate();
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
        let mut export = SampledExport {
            columns: Vec::new(),
            files,
            columns_beyond,
            certainty: certainty.unwrap_or(Certainty::Unsure),
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

fn headings(file: &SampledFile) -> Vec<String> {
    let headings = file.dialect.headings.iter();
    headings.map(|heading| heading.text().to_string()).collect()
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
