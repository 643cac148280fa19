//! A stream of text → blocks of whole rows, each with the line on which it starts.
//!
//! Knows which bytes open and close a quote, and nothing of cells. Blocks are what threads parse
//! side by side: because a block begins with a row, none needs to know what stands in another.

use memchr::{memchr, memchr_iter, memrchr};
use std::io::{self, Read};

/// The bytes with which a file separates and quotes cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Grammar {
    pub(super) separator: u8,
    pub(super) quote: u8,
}

/// Whole rows that stand one after another in a file.
pub(super) struct Block {
    /// Line on which the first row starts, from 1.
    pub(super) first_line: u64,
    pub(super) bytes: Vec<u8>,
}

/// Why there is no further block.
#[derive(Debug)]
pub(super) enum BlockFault {
    Unreadable(io::Error),
    /// The file ends inside a quote of the row that starts here.
    UnclosedQuote {
        line_number: u64,
    },
    /// No row of cases is that long; rather is a line end or a quote missing.
    EndlessRow {
        line_number: u64,
    },
}

/// Size of a block, unless one row is longer. Small enough that several of them stay in a
/// processor's cache, large enough that handing them around costs nothing.
const BLOCK_BYTES: usize = 1 << 20;

/// Longest row that is waited for.
pub(super) const LONGEST_ROW_BYTES: usize = 16 << 20;

/// Cuts a stream into blocks.
pub(super) struct Blocks<R> {
    source: R,
    grammar: Grammar,
    block_bytes: usize,
    /// The begin of a row that the former block did not hold whole.
    rest: Vec<u8>,
    next_line: u64,
    is_at_end: bool,
}

impl<R: Read> Blocks<R> {
    /// Blocks of a stream whose first byte stands on `first_line`.
    pub(super) fn new(source: R, grammar: Grammar, first_line: u64) -> Blocks<R> {
        Blocks {
            source,
            grammar,
            block_bytes: BLOCK_BYTES,
            rest: Vec::new(),
            next_line: first_line,
            is_at_end: false,
        }
    }

    /// The stream, of which everything that was given out has been read.
    pub(super) fn into_source(self) -> R {
        self.source
    }

    /// The next block, in a buffer that was used before; `None` at the end.
    pub(super) fn next(&mut self, mut bytes: Vec<u8>) -> Result<Option<Block>, BlockFault> {
        if self.is_at_end {
            return Ok(None);
        }
        bytes.clear();
        bytes.append(&mut self.rest);
        let mut scan = Scan::default();
        loop {
            let read = self
                .source
                .by_ref()
                .take(self.block_bytes as u64)
                .read_to_end(&mut bytes)
                .map_err(BlockFault::Unreadable)?;
            self.is_at_end = read == 0;
            scan.advance(&bytes, self.grammar, self.is_at_end);
            if self.is_at_end {
                if scan.is_in_quote {
                    let line_number = self.next_line + line_ends(&bytes[..scan.row_end]);
                    return Err(BlockFault::UnclosedQuote { line_number });
                }
                break;
            }
            if bytes.len() - scan.row_end > LONGEST_ROW_BYTES {
                let line_number = self.next_line + line_ends(&bytes[..scan.row_end]);
                return Err(BlockFault::EndlessRow { line_number });
            }
            if scan.row_end > 0 && bytes.len() >= self.block_bytes {
                self.rest.extend_from_slice(&bytes[scan.row_end..]);
                bytes.truncate(scan.row_end);
                break;
            }
        }
        let first_line = self.next_line;
        self.next_line += line_ends(&bytes);
        Ok((!bytes.is_empty()).then_some(Block { first_line, bytes }))
    }
}

/// How many lines end in a text: at each `\n`, and at each `\r` that no `\n` follows.
pub(super) fn line_ends(bytes: &[u8]) -> u64 {
    let feeds = memchr_iter(b'\n', bytes).count();
    let returns = memchr_iter(b'\r', bytes)
        .filter(|at| bytes.get(at + 1) != Some(&b'\n'))
        .count();
    (feeds + returns) as u64
}

/// How far a buffer has been looked through for ends of rows.
#[derive(Default)]
struct Scan {
    /// The next byte to look at.
    position: usize,
    /// Where the last whole row ends.
    row_end: usize,
    is_in_quote: bool,
}

impl Scan {
    /// Looks through what was added to the buffer. A quote opens at the start of a cell only, as in
    /// the parser of rows; elsewhere it is a character like any other.
    fn advance(&mut self, bytes: &[u8], grammar: Grammar, is_whole: bool) {
        while self.position < bytes.len() {
            let found = memchr(grammar.quote, &bytes[self.position..]);
            let at = found.map_or(bytes.len(), |offset| self.position + offset);
            if !self.is_in_quote {
                if let Some(end) = last_row_end(bytes, self.position, at) {
                    self.row_end = end;
                }
                self.is_in_quote = found.is_some() && is_start_of_cell(bytes, at, grammar);
                self.position = at + usize::from(found.is_some());
            } else if found.is_none() {
                self.position = at;
            } else if at + 1 == bytes.len() && !is_whole {
                // Whether this quote closes or is the first of a doubled one is not known yet.
                self.position = at;
                return;
            } else if bytes.get(at + 1) == Some(&grammar.quote) {
                self.position = at + 2;
            } else {
                self.is_in_quote = false;
                self.position = at + 1;
            }
        }
    }
}

fn is_start_of_cell(bytes: &[u8], at: usize, grammar: Grammar) -> bool {
    match at.checked_sub(1).map(|before| bytes[before]) {
        None => true,
        Some(before) => matches!(before, b'\n' | b'\r') || before == grammar.separator,
    }
}

/// Where the last row ends that ends between two places outside quotes. A `\r` at the very end of
/// the buffer may be half of a `\r\n` and is left for later.
fn last_row_end(bytes: &[u8], from: usize, to: usize) -> Option<usize> {
    if let Some(offset) = memrchr(b'\n', &bytes[from..to]) {
        return Some(from + offset + 1);
    }
    let at = from + memrchr(b'\r', &bytes[from..to])?;
    bytes
        .get(at + 1)
        .filter(|next| **next != b'\n')
        .map(|_| at + 1)
}

#[cfg(test)]
mod tests;
