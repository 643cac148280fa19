//! One block → its rows, cell by cell, each with its line. The only file that knows the CSV grammar
//! of rows, which the crate csv-core reads.

use super::blocks::{Block, Grammar, line_ends};
use super::cell::RawCell;
use super::dialect::MOST_CELLS;
use csv_core::{ReadRecordResult, Reader, ReaderBuilder};
use memchr::{memchr, memchr_iter, memchr2};

/// Reads rows out of blocks; the buffers are used again for every row.
pub(super) struct RowReader {
    grammar: Grammar,
    parser: Reader,
    /// The cells of one row without their quotes, one after another.
    text: Vec<u8>,
    /// Where each cell ends in `text`.
    ends: Vec<usize>,
    /// Where each cell of a row without quotes ends in the row itself.
    ends_in_row: Vec<usize>,
}

/// One row below the header.
#[derive(Clone, Copy)]
pub(super) struct Row<'a> {
    /// Line on which the row starts, from 1.
    pub(super) line_number: u64,
    /// How many line breaks stand inside its cells.
    pub(super) line_breaks: usize,
    bytes: &'a [u8],
    /// The same as text; `None` when some cell is not UTF-8. Looked at once, since a look at each of
    /// many short cells takes longer than reading them.
    text: Option<&'a str>,
    ends: &'a [usize],
    /// Bytes between the end of a cell and the start of the next.
    between: usize,
}

impl<'a> Row<'a> {
    fn new(
        (line_number, line_breaks): (u64, usize),
        bytes: &'a [u8],
        ends: &'a [usize],
        between: usize,
    ) -> Row<'a> {
        Row {
            line_number,
            line_breaks,
            bytes,
            text: std::str::from_utf8(bytes).ok(),
            ends,
            between,
        }
    }

    /// How many cells the row has.
    pub(super) fn length(&self) -> usize {
        self.ends.len()
    }

    /// The cell at a place; blank where the row has ended before.
    pub(super) fn cell(&self, place: usize) -> RawCell<'a> {
        let Some(end) = self.ends.get(place) else {
            return RawCell::of_text("");
        };
        let start = match place.checked_sub(1) {
            None => 0,
            Some(before) => self.ends[before] + self.between,
        };
        // A character may reach over the end of a cell only in text that is damaged.
        match self.text.and_then(|text| text.get(start..*end)) {
            Some(text) => RawCell::of_text(text),
            None => RawCell::new(&self.bytes[start..*end]),
        }
    }

    /// The cells from a place on, in order.
    pub(super) fn cells_from(&self, place: usize) -> impl Iterator<Item = RawCell<'a>> + use<'a> {
        let row = *self;
        (place..row.length()).map(move |place| row.cell(place))
    }
}

impl RowReader {
    /// A reader of one grammar.
    pub(super) fn new(grammar: Grammar) -> RowReader {
        let parser = ReaderBuilder::new()
            .delimiter(grammar.separator)
            .quote(grammar.quote)
            .build();
        RowReader {
            grammar,
            parser,
            text: vec![0; 4096],
            ends: vec![0; 64],
            ends_in_row: Vec::new(),
        }
    }

    /// Offers every row of a block, in order.
    pub(super) fn each_row(&mut self, block: &Block, mut offer: impl FnMut(Row<'_>)) {
        self.parser.reset();
        let bytes = block.bytes.as_slice();
        let mut line_number = block.first_line;
        let mut offset = 0;
        loop {
            // Blank lines, and the second half of `\r\n`.
            while let Some(byte @ (b'\r' | b'\n')) = bytes.get(offset) {
                let is_second_half = *byte == b'\n' && offset > 0 && bytes[offset - 1] == b'\r';
                line_number += u64::from(!is_second_half);
                offset += 1;
            }
            if offset == bytes.len() {
                return;
            }
            let rest = &bytes[offset..];
            let line = &rest[..memchr2(b'\n', b'\r', rest).unwrap_or(rest.len())];
            if memchr(self.grammar.quote, line).is_none() {
                // Nearly every row. Without a quote a line is a row, and the parser has nothing to do.
                self.ends_in_row.clear();
                self.ends_in_row
                    .extend(memchr_iter(self.grammar.separator, line).take(MOST_CELLS));
                if self.ends_in_row.len() < MOST_CELLS || !self.is_blank_after(line, MOST_CELLS - 1)
                {
                    self.ends_in_row.push(line.len());
                }
                offer(Row::new((line_number, 0), line, &self.ends_in_row, 1));
                offset += line.len();
            } else {
                let (length, text_length, cell_count) = self.read_row(rest);
                let text = &self.text[..text_length];
                let line_breaks = memchr_iter(b'\n', text).count();
                let ends = &self.ends[..cell_count];
                offer(Row::new((line_number, line_breaks), text, ends, 0));
                // Its own line end is counted where the next row is looked for.
                let length = length - usize::from(matches!(rest[length - 1], b'\r' | b'\n'));
                line_number += line_ends(&rest[..length]);
                offset += length;
            }
        }
    }

    /// Whether nothing stands in the cells of a row without quotes behind the one at a place. Those
    /// far beyond the last column are not told apart, or millions of them would take memory.
    fn is_blank_after(&self, line: &[u8], place: usize) -> bool {
        let mut rest = line[self.ends_in_row[place]..].iter();
        rest.all(|byte| *byte == self.grammar.separator || byte.is_ascii_whitespace())
    }

    /// Reads one row and says how many bytes it took, how long its text is and how many cells it has.
    fn read_row(&mut self, bytes: &[u8]) -> (usize, usize, usize) {
        let (mut read, mut written, mut cells) = (0, 0, 0);
        loop {
            let (result, bytes_read, bytes_written, ends_written) = self.parser.read_record(
                &bytes[read..],
                &mut self.text[written..],
                &mut self.ends[cells..],
            );
            read += bytes_read;
            written += bytes_written;
            cells += ends_written;
            match result {
                // The last row of a file may lack its line end: the parser is told so by no input.
                ReadRecordResult::InputEmpty => {}
                ReadRecordResult::OutputFull => self.text.resize(self.text.len() * 2, 0),
                ReadRecordResult::OutputEndsFull if self.ends.len() < MOST_CELLS => {
                    self.ends.resize(self.ends.len() * 2, 0);
                }
                // Without their ends, the cells far beyond the last column are one: enough to see
                // whether something stands there.
                ReadRecordResult::OutputEndsFull => cells = MOST_CELLS / 2,
                ReadRecordResult::Record | ReadRecordResult::End => return (read, written, cells),
            }
        }
    }
}

#[cfg(test)]
mod tests;
