//! Bytes → lines, and bytes → rows of cells under one grammar. Knows no header.

use super::{Grammar, LineEnds, MOST_CELLS};
use csv_core::{ReadRecordResult, Reader, ReaderBuilder};
use memchr::memchr2;

/// One line of the file, whatever quotes are open in it.
#[derive(Clone, Copy)]
pub(super) struct Line {
    pub(super) start: usize,
    /// Where its line end begins.
    pub(super) end: usize,
    /// Where the next line begins.
    pub(super) next: usize,
    /// From 1.
    pub(super) number: u64,
    pub(super) is_blank: bool,
}

/// The lines from `start` on, whose line has `number`.
pub(super) fn lines(bytes: &[u8], start: usize, number: u64) -> impl Iterator<Item = Line> {
    let mut start = start;
    let mut number = number;
    std::iter::from_fn(move || {
        let rest = bytes.get(start..).filter(|rest| !rest.is_empty())?;
        let length = memchr2(b'\n', b'\r', rest).unwrap_or(rest.len());
        let line = Line {
            start,
            end: start + length,
            next: start + length + line_end_length(&rest[length..]),
            number,
            is_blank: rest[..length].trim_ascii().is_empty(),
        };
        start = line.next;
        number += 1;
        Some(line)
    })
}

/// How many bytes the line end takes that a text begins with.
fn line_end_length(bytes: &[u8]) -> usize {
    match bytes {
        [b'\r', b'\n', ..] => 2,
        [b'\r' | b'\n', ..] => 1,
        _ => 0,
    }
}

/// How a row ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ending {
    /// With a line end, which is never `Mixed`.
    Line(LineEnds),
    /// Where the sample ends.
    Sample,
    /// Where the sample ends, and a quote is open there.
    InsideQuote,
}

/// Where a row stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    /// Offset of its first byte.
    pub(super) start: usize,
    /// Offset of the first byte after its line end.
    pub(super) end: usize,
    pub(super) ending: Ending,
}

/// The rows of a sample from some offset on. Blank lines are no rows.
pub(super) struct Records<'a> {
    bytes: &'a [u8],
    at: usize,
    parser: Reader,
    output: Vec<u8>,
    ends: Vec<usize>,
    cells: usize,
}

impl<'a> Records<'a> {
    pub(super) fn new(bytes: &'a [u8], start: usize, grammar: Grammar) -> Records<'a> {
        Records {
            bytes,
            at: start,
            parser: ReaderBuilder::new()
                .delimiter(grammar.separator)
                .quote(grammar.quote)
                .build(),
            output: vec![0; 1024],
            ends: vec![0; 64],
            cells: 0,
        }
    }

    /// Goes on to the next row.
    pub(super) fn next(&mut self) -> Option<Place> {
        let rest = &self.bytes[self.at..];
        let start = self.at + rest.iter().position(|byte| !is_line_end(*byte))?;
        self.at = start;
        self.cells = 0;
        let mut length = 0;
        loop {
            // A line end after the last byte tells a row that merely has none from an open quote.
            let is_past_end = self.at == self.bytes.len();
            let input = if is_past_end {
                b"\n"
            } else {
                &self.bytes[self.at..]
            };
            let (result, read, written, ended) = self.parser.read_record(
                input,
                &mut self.output[length..],
                &mut self.ends[self.cells..],
            );
            if !is_past_end {
                self.at += read;
            }
            length += written;
            self.cells += ended;
            match result {
                ReadRecordResult::OutputFull => self.output.resize(2 * self.output.len(), 0),
                ReadRecordResult::OutputEndsFull if self.ends.len() < MOST_CELLS => {
                    self.ends.resize(2 * self.ends.len(), 0);
                }
                // Without their ends, the cells far beyond the last column are one.
                ReadRecordResult::OutputEndsFull => self.cells = MOST_CELLS / 2,
                ReadRecordResult::InputEmpty if is_past_end && read > 0 => {
                    // The cell that does not end is a cell all the same.
                    self.ends.truncate(self.cells);
                    self.ends.push(length);
                    self.cells += 1;
                    return Some(self.place(start, Ending::InsideQuote));
                }
                ReadRecordResult::InputEmpty => {}
                ReadRecordResult::Record | ReadRecordResult::End if is_past_end => {
                    return Some(self.place(start, Ending::Sample));
                }
                ReadRecordResult::Record | ReadRecordResult::End => {
                    let line_end = self.line_end();
                    return Some(self.place(start, Ending::Line(line_end)));
                }
            }
        }
    }

    /// The cells of the row that `next` went on to.
    pub(super) fn cells(&self) -> impl Iterator<Item = &[u8]> {
        let ends = &self.ends[..self.cells];
        let mut start = 0;
        ends.iter().map(move |end| {
            let cell = &self.output[start..*end];
            start = *end;
            cell
        })
    }

    /// How many cells this row has.
    pub(super) fn cell_count(&self) -> usize {
        self.cells
    }

    fn place(&self, start: usize, ending: Ending) -> Place {
        Place {
            start,
            end: self.at,
            ending,
        }
    }

    /// Which line end the parser has just stopped in; steps over the rest of it.
    fn line_end(&mut self) -> LineEnds {
        if self.bytes[self.at - 1] == b'\n' {
            return LineEnds::Lf;
        }
        if self.bytes.get(self.at) == Some(&b'\n') {
            self.at += 1;
            return LineEnds::CrLf;
        }
        LineEnds::Cr
    }
}

fn is_line_end(byte: u8) -> bool {
    matches!(byte, b'\n' | b'\r')
}
