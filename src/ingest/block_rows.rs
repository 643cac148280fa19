//! One block → its rows, cell by cell, each with its line. The only file that knows the CSV grammar
//! of rows, which the crate csv-core reads.

use super::blocks::{Block, Grammar, line_ends};
use super::cell::RawCell;
use csv_core::{ReadRecordResult, Reader, ReaderBuilder};
use memchr::memchr_iter;

/// Reads rows out of blocks; the buffers are used again for every row.
pub(super) struct RowReader {
    parser: Reader,
    /// The cells of one row without their quotes, one after another.
    text: Vec<u8>,
    /// Where each cell ends in `text`.
    ends: Vec<usize>,
}

/// One row below the header.
#[derive(Clone, Copy)]
pub(super) struct Row<'a> {
    /// Line on which the row starts, from 1.
    pub(super) line_number: u64,
    /// How many line breaks stand inside its cells.
    pub(super) line_breaks: usize,
    text: &'a [u8],
    ends: &'a [usize],
}

impl<'a> Row<'a> {
    /// How many cells the row has.
    pub(super) fn length(&self) -> usize {
        self.ends.len()
    }

    /// The cell at a place; blank where the row has ended before.
    pub(super) fn cell(&self, place: usize) -> RawCell<'a> {
        let Some(end) = self.ends.get(place) else {
            return RawCell::new(&[]);
        };
        let start = if place == 0 { 0 } else { self.ends[place - 1] };
        RawCell::new(&self.text[start..*end])
    }

    /// All cells, in order.
    pub(super) fn cells(&self) -> impl Iterator<Item = RawCell<'a>> + use<'a> {
        let row = *self;
        (0..row.length()).map(move |place| row.cell(place))
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
            parser,
            text: vec![0; 4096],
            ends: vec![0; 64],
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
            let (length, text_length, cell_count) = self.read_row(&bytes[offset..]);
            let row = &bytes[offset..offset + length];
            let text = &self.text[..text_length];
            offer(Row {
                line_number,
                line_breaks: memchr_iter(b'\n', text).count(),
                text,
                ends: &self.ends[..cell_count],
            });
            line_number += line_ends(row);
            offset += length;
        }
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
                ReadRecordResult::OutputEndsFull => self.ends.resize(self.ends.len() * 2, 0),
                ReadRecordResult::Record | ReadRecordResult::End => return (read, written, cells),
            }
        }
    }
}

#[cfg(test)]
mod tests;
