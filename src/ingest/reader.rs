//! Files → rows of cells with line numbers. The only file that knows CSV.

use super::cell::RawCell;
use super::error::IngestError;
use super::lines::LineTracker;
use csv::ByteRecord;
use std::fs::File;
use std::io::{BufReader, Chain, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

/// A column that the mapping asks for.
pub(super) struct Wanted<'a> {
    /// Our name of the field.
    pub(super) field: &'static str,
    /// Its heading in the export.
    pub(super) heading: &'a str,
}

/// An open file whose header holds every wanted column.
pub(super) struct Table {
    path: PathBuf,
    reader: csv::Reader<LineTracker<Input>>,
    /// For each wanted column, its place in a row.
    places: Vec<usize>,
    header_length: usize,
    record: ByteRecord,
}

/// A file with one more line at its end.
type Input = Chain<BufReader<File>, &'static [u8]>;

/// Added after the last line. Read back as a row of its own it proves that the file did not end
/// inside a quote, in which every row since the quote would be swallowed as one cell.
const END: &[u8] = b"\n\0end\n";
const END_CELL: &[u8] = b"\0end";

/// One row below the header.
pub(super) struct Row<'a> {
    /// Line on which the row starts, from 1.
    pub(super) line_number: u64,
    record: &'a ByteRecord,
    places: &'a [usize],
    header_length: usize,
}

impl Table {
    /// Opens a file and finds the wanted columns in its header.
    pub(super) fn open(
        path: &Path,
        separator: u8,
        wanted: &[Wanted<'_>],
    ) -> Result<Table, IngestError> {
        let unreadable = |source| IngestError::unreadable(path, source);
        let file = File::open(path).map_err(unreadable)?;
        // A file is read twice, for its rows and for its hash.
        if !file.metadata().map_err(unreadable)?.is_file() {
            return Err(unreadable(std::io::Error::other(
                "it is not a regular file",
            )));
        }
        let mut file = BufReader::new(file);
        let first_line = first_line(&mut file).map_err(unreadable)?;
        file.seek(SeekFrom::Start(0)).map_err(unreadable)?;
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(separator)
            .flexible(true)
            .from_reader(LineTracker::new(file.chain(END)));
        let header = reader
            .byte_headers()
            .map_err(|error| csv_error(path, error))?
            .clone();
        if is_end(&header) || header.iter().all(<[u8]>::is_empty) {
            return Err(IngestError::Empty {
                path: path.to_path_buf(),
            });
        }
        if ends_inside(&header) {
            return Err(IngestError::UnclosedQuote {
                path: path.to_path_buf(),
                line_number: 1,
            });
        }
        let headings = header
            .iter()
            .enumerate()
            .map(|(index, heading)| {
                RawCell::new(heading)
                    .text()
                    .ok_or_else(|| IngestError::HeaderBytes {
                        path: path.to_path_buf(),
                        line_number: 1,
                        column_number: index + 1,
                    })
            })
            .collect::<Result<Vec<_>, _>>()?;
        let places = wanted
            .iter()
            .map(|wanted| find(path, &headings, wanted, separator, &first_line))
            .collect::<Result<_, _>>()?;
        Ok(Table {
            path: path.to_path_buf(),
            reader,
            places,
            header_length: header.len(),
            record: ByteRecord::new(),
        })
    }

    /// The next row, or `None` at the end of the file.
    pub(super) fn next(&mut self) -> Result<Option<Row<'_>>, IngestError> {
        self.reader
            .read_byte_record(&mut self.record)
            .map_err(|error| csv_error(&self.path, error))?;
        if self.record.is_empty() || is_end(&self.record) {
            return Ok(None);
        }
        let offset = self.record.position().map_or(0, csv::Position::byte);
        let line_number = self.reader.get_mut().line_at(offset);
        if ends_inside(&self.record) {
            return Err(IngestError::UnclosedQuote {
                path: self.path.clone(),
                line_number,
            });
        }
        Ok(Some(Row {
            line_number,
            record: &self.record,
            places: &self.places,
            header_length: self.header_length,
        }))
    }
}

fn is_end(record: &ByteRecord) -> bool {
    record.len() == 1 && &record[0] == END_CELL
}

fn ends_inside(record: &ByteRecord) -> bool {
    let end = END_CELL.len();
    record
        .iter()
        .next_back()
        .is_some_and(|cell| cell.windows(end).any(|part| part == END_CELL))
}

impl Row<'_> {
    /// Whether the row has as many cells as the header.
    pub(super) fn is_complete(&self) -> bool {
        self.record.len() == self.header_length
    }

    /// How many line breaks stand inside its cells.
    pub(super) fn line_breaks(&self) -> usize {
        self.record
            .iter()
            .flatten()
            .filter(|byte| **byte == b'\n')
            .count()
    }

    /// Feeds the whole row, cell by cell, to a hasher.
    pub(super) fn fingerprint(&self, hasher: &mut impl std::hash::Hasher) {
        for cell in self.record {
            hasher.write_usize(cell.len());
            hasher.write(cell);
        }
    }

    /// The cell of the wanted column with this index.
    pub(super) fn cell(&self, wanted_index: usize) -> RawCell<'_> {
        let place = self.places[wanted_index];
        RawCell::new(self.record.get(place).unwrap_or_default())
    }
}

fn find(
    path: &Path,
    headings: &[&str],
    wanted: &Wanted<'_>,
    separator: u8,
    first_line: &[u8],
) -> Result<usize, IngestError> {
    let mut places = headings
        .iter()
        .enumerate()
        .filter(|(_, heading)| **heading == wanted.heading)
        .map(|(index, _)| index);
    match (places.next(), places.next()) {
        (Some(place), None) => Ok(place),
        (Some(_), Some(_)) => Err(IngestError::RepeatedColumn {
            path: path.to_path_buf(),
            field: wanted.field,
            heading: wanted.heading.to_string(),
        }),
        (None, _) => Err(IngestError::MissingColumn {
            path: path.to_path_buf(),
            field: wanted.field,
            heading: wanted.heading.to_string(),
            columns_found: headings.len(),
            likely_separator: likely_separator(first_line, separator),
        }),
    }
}

/// The separator that stands more often in the header than the one that was given.
fn likely_separator(first_line: &[u8], given: u8) -> Option<char> {
    let count = |separator: u8| first_line.split(|byte| *byte == separator).count();
    b",;\t|"
        .iter()
        .copied()
        .max_by_key(|separator| count(*separator))
        .filter(|best| *best != given && count(*best) > count(given))
        .map(char::from)
}

/// The first line, or as much of it as says what separates its headings.
fn first_line(file: &mut impl Read) -> std::io::Result<Vec<u8>> {
    let mut start = Vec::new();
    file.take(64 * 1024).read_to_end(&mut start)?;
    let end = start
        .iter()
        .position(|byte| *byte == b'\n')
        .unwrap_or(start.len());
    start.truncate(end);
    Ok(start)
}

/// Errors of the csv crate hold positions, never cells; with `flexible` rows and byte records only
/// reading itself can fail.
fn csv_error(path: &Path, error: csv::Error) -> IngestError {
    let source = match error.into_kind() {
        csv::ErrorKind::Io(source) => source,
        _ => std::io::Error::other("the file is not CSV"),
    };
    IngestError::unreadable(path, source)
}
