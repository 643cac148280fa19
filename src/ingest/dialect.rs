//! What the CSV grammar of one file is: separator, line ends, where the header stands and where
//! the rows begin. Found in the first bytes of a file, which are UTF-8 by now. Knows nothing of
//! what a row means, and no error made here holds the content of a cell or a heading of the file.

mod guess;
mod headings;
mod records;
mod search;
mod summary;
#[cfg(test)]
mod tests;

pub(super) use guess::{Certainty, Guess, guess};
pub(super) use headings::{Heading, folded, normal};
pub(super) use search::find;
pub(super) use summary::is_summary_row;

use super::blocks::{Grammar, line_ends};
use super::error::IngestError;
use headings::Header;
use records::{Ending, Records};
use std::path::Path;

/// How many bytes of a file are worth handing over as its sample.
pub(super) const SAMPLE_BYTES: usize = 4 << 20;

/// Separators that are looked for, the likelier first.
const SEPARATORS: [u8; 4] = *b",;\t|";

const DEFAULT_QUOTE: u8 = b'"';

/// Most columns of a file: as many as spreadsheets have. Each is watched for identifiers, so each
/// takes memory.
pub(super) const MOST_COLUMNS: usize = 1 << 14;

/// Cells of one row that are told apart. A power of two.
pub(super) const MOST_CELLS: usize = 4 * MOST_COLUMNS;

/// How many lines that are not blank may be the first line of the header.
const SEARCHED_LINES: usize = 100;

/// The first bytes of a file.
#[derive(Clone, Copy)]
pub(super) struct Sample<'a> {
    /// The file, for errors.
    pub(super) path: &'a Path,
    /// Text in UTF-8, perhaps with damage, without byte-order mark.
    pub(super) bytes: &'a [u8],
    /// Whether the file ends with the sample.
    pub(super) is_whole: bool,
}

/// What the mapping says of the grammar.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Given {
    pub(super) separator: Option<u8>,
    /// `"` if not given.
    pub(super) quote: Option<u8>,
    /// How many rows make up the header. Without it one, or as many as the headings of the
    /// mapping call for.
    pub(super) header_rows: Option<usize>,
}

/// A heading that the mapping asks for. A field that is read from two columns asks for two.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wanted<'a> {
    /// Our name of the field.
    pub(super) field: &'static str,
    /// The heading as the mapping gives it.
    pub(super) heading: &'a str,
}

/// Where the separator is known from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum SeparatorOrigin {
    /// The mapping gives it.
    Given,
    /// A line `sep=;` at the top of the file names it.
    SepLine,
    /// The headings or the rows show it.
    Found,
}

/// What ends the rows of the sample. Line breaks inside quotes do not count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LineEnds {
    /// Line feeds; also where no row has an end.
    Lf,
    /// Carriage return and line feed.
    CrLf,
    /// Carriage returns.
    Cr,
    /// More than one of these.
    Mixed,
}

impl LineEnds {
    /// For the terminal and the manifest.
    pub(super) fn name(self) -> &'static str {
        match self {
            LineEnds::Lf => "LF",
            LineEnds::CrLf => "CRLF",
            LineEnds::Cr => "CR",
            LineEnds::Mixed => "mixed",
        }
    }
}

/// The grammar of one file.
#[derive(Debug)]
pub(super) struct Dialect {
    pub(super) separator: u8,
    pub(super) separator_origin: SeparatorOrigin,
    pub(super) quote: u8,
    pub(super) line_ends: LineEnds,
    /// Line on which the header starts, from 1.
    pub(super) header_line: u64,
    pub(super) header_rows: usize,
    pub(super) headings: Vec<Heading>,
    /// For each wanted heading, the index of its column; empty when none was wanted.
    pub(super) places: Vec<usize>,
    /// Offset in the sample of the first byte below the header.
    pub(super) rows_offset: usize,
    /// Line on which this byte stands, from 1.
    pub(super) rows_line: u64,
}

impl Dialect {
    /// With what cells are separated and quoted.
    pub(super) fn grammar(&self) -> Grammar {
        Grammar {
            separator: self.separator,
            quote: self.quote,
        }
    }

    /// Lines above the header: titles, a `sep=` line, blank lines.
    pub(super) fn lines_before_header(&self) -> u64 {
        self.header_line - 1
    }
}

/// A `sep=` line at the top of a file.
struct SepLine {
    separator: u8,
    /// Offset of the line after it.
    end: usize,
}

impl Sample<'_> {
    /// The line `sep=;`, which spreadsheet programs write and read, if it is the first that is
    /// not blank. Quoted where a program took it for a cell.
    fn sep_line(&self) -> Option<SepLine> {
        let line = records::lines(self.bytes, 0, 1).find(|line| !line.is_blank)?;
        let text = &self.bytes[line.start..line.end];
        let text = text.trim_ascii_start();
        let text = text.strip_prefix(b"\"").unwrap_or(text);
        let (key, rest) = text.split_at_checked(4)?;
        if !key.eq_ignore_ascii_case(b"sep=") {
            return None;
        }
        let rest = rest.strip_prefix(b"\"").unwrap_or(rest);
        let (separator, rest) = rest.split_first()?;
        let is_separator = matches!(separator, b'\t' | b' ') || separator.is_ascii_punctuation();
        // Once saved again by a program that takes it for a row, the line ends in separators.
        let is_alone = rest
            .iter()
            .all(|byte| byte == separator || *byte == b'"' || byte.is_ascii_whitespace());
        (is_separator && *separator != DEFAULT_QUOTE && is_alone).then_some(SepLine {
            separator: *separator,
            end: line.next,
        })
    }

    /// The dialect under a header that was found, or why its header cannot be used.
    fn dialect(
        &self,
        grammar: Grammar,
        separator_origin: SeparatorOrigin,
        header: Header,
    ) -> Result<Dialect, IngestError> {
        self.refuse_broken(&header)?;
        let lines = line_ends(&self.bytes[..header.end]);
        Ok(Dialect {
            separator: grammar.separator,
            separator_origin,
            quote: grammar.quote,
            line_ends: self.line_ends(grammar, header.start),
            header_line: header.line_number,
            header_rows: header.rows,
            headings: header.headings,
            places: Vec::new(),
            rows_offset: header.end,
            rows_line: lines + 1,
        })
    }

    /// Refuses a header that does not end or is not text.
    fn refuse_broken(&self, header: &Header) -> Result<(), IngestError> {
        let path = self.path.to_path_buf();
        let line_number = header.line_number;
        match header.ending {
            Ending::InsideQuote => return Err(IngestError::UnclosedQuote { path, line_number }),
            Ending::Sample if !self.is_whole => {
                return Err(IngestError::HeaderTooLong {
                    path,
                    line_number,
                    searched_bytes: self.bytes.len(),
                });
            }
            Ending::Sample | Ending::Line(_) => {}
        }
        if header.headings.len() > MOST_COLUMNS {
            return Err(IngestError::TooManyColumns { path, line_number });
        }
        match header.not_text {
            None => Ok(()),
            Some(index) => Err(IngestError::HeaderBytes {
                path,
                line_number,
                column_number: index + 1,
            }),
        }
    }

    fn line_ends(&self, grammar: Grammar, start: usize) -> LineEnds {
        let mut records = Records::new(self.bytes, start, grammar);
        let mut found = None;
        while let Some(place) = records.next() {
            let Ending::Line(line_end) = place.ending else {
                break;
            };
            match found {
                None => found = Some(line_end),
                Some(earlier) if earlier != line_end => return LineEnds::Mixed,
                Some(_) => {}
            }
        }
        found.unwrap_or(LineEnds::Lf)
    }

    fn empty(&self) -> IngestError {
        IngestError::Empty {
            path: self.path.to_path_buf(),
        }
    }
}
