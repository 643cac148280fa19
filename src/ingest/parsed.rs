//! What a thread makes of one block: records, what becomes of each row as far as the block alone can
//! tell, and what was found on the way.

use super::fingerprint::{Fingerprint, RefusedCells};
use super::guard::ColumnWatch;
use super::registry::{Key, Traits};
use super::tallies::{Counted, SiteNumbers};
use crate::domain::issue::{Issue, IssueCode, Source};
use crate::domain::unknown_words::{LONGEST_WORD, UnknownWords};
use arrow::array::RecordBatch;
use std::collections::BTreeMap;
use std::iter::Peekable;
use std::slice::Iter;

/// The rows of one block of an export.
pub(super) struct ParsedBlock {
    /// Every row, in order.
    pub(super) rows: Vec<ParsedRow>,
    /// How many of them have a record.
    pub(super) record_count: usize,
    /// These records; `None` where none is kept any more.
    pub(super) records: Option<RecordBatch>,
    pub(super) sites: SiteNumbers,
    pub(super) found: Found,
    /// Passes that stand in the rows of their cases; `None` where the mapping has none.
    pub(super) passes: Option<PassesInside>,
}

impl ParsedBlock {
    /// The cases of the rows that have a key.
    pub(super) fn keys(&self) -> impl Iterator<Item = Key> {
        self.rows.iter().filter_map(|row| match &row.verdict {
            Verdict::Keyed(row) => Some(row.case),
            Verdict::Refused { .. } => None,
        })
    }
}

/// One row, judged without a look at other blocks.
pub(super) struct ParsedRow {
    pub(super) line_number: u64,
    pub(super) verdict: Verdict,
}

/// What becomes of a row unless another row stands against it.
pub(super) enum Verdict {
    /// It is set aside.
    Refused {
        why: IssueCode,
        /// Of which case it would have been a version, where that can be told.
        claim: Option<Claim>,
    },
    /// It has a key.
    Keyed(KeyedRow),
}

impl Verdict {
    /// It is set aside, and nothing can be told of its version.
    pub(super) fn refused(why: IssueCode) -> Verdict {
        Verdict::Refused { why, claim: None }
    }
}

/// A row that can be told from others.
pub(super) struct KeyedRow {
    /// Of the case.
    pub(super) case: Key,
    /// Of the pass; `None` for a case, and for a pass without a number.
    pub(super) pass: Option<Key>,
    pub(super) fingerprint: Fingerprint,
    pub(super) traits: Traits,
    /// Place among the records; `None` when the call lies outside the period.
    pub(super) place: Option<usize>,
    pub(super) counted: Counted,
    pub(super) version: Version,
    pub(super) unreadable: UnreadableVersion,
    /// Equal for cases that may be one case under two numbers; `None` where too little is known.
    pub(super) likeness: Option<u64>,
    /// Whether it looks like a total, a remark or the header again, unless a case has its number.
    pub(super) may_be_no_record: bool,
}

/// Which version of a case a row holds. A recorded version is above none; then the time counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Version {
    pub(super) number: Option<i64>,
    pub(super) amended_minute: Option<i64>,
}

/// Which parts of a version are filled in and cannot be read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct UnreadableVersion {
    pub(super) number: bool,
    pub(super) amended: bool,
}

/// What a row that is set aside would have been.
#[derive(Clone, Copy)]
pub(super) struct Claim {
    pub(super) case: Key,
    pub(super) version: Version,
}

/// Passes that stand in the rows of their cases.
pub(super) struct PassesInside {
    /// `None` where none is kept any more.
    pub(super) records: Option<RecordBatch>,
    /// For each, the place of its case in the records of cases, and what is counted of it.
    pub(super) passes: Vec<(usize, Counted)>,
}

/// What was found in rows beside their values.
pub(super) struct Found {
    /// In the order of the rows.
    pub(super) issues: Vec<Issue>,
    pub(super) words: WordsByRow,
    /// What the identifier guard has seen of each column.
    pub(super) watches: Vec<ColumnWatch>,
    /// Cells of the row that is being read.
    pub(super) refused: RefusedCells,
    /// Cells that prove another order of day and month than the column was read in.
    pub(super) counter_proofs: Vec<CounterProof>,
}

impl Found {
    /// Nothing yet, with watches for every column of the file.
    pub(super) fn new(watches: Vec<ColumnWatch>) -> Found {
        Found {
            issues: Vec::new(),
            words: WordsByRow::default(),
            watches,
            refused: RefusedCells::default(),
            counter_proofs: Vec::new(),
        }
    }

    /// How much was found so far, to forget what comes after.
    pub(super) fn mark(&self) -> Mark {
        Mark {
            issues: self.issues.len(),
            words: self.words.seen.len(),
            counter_proofs: self.counter_proofs.len(),
        }
    }

    /// Forgets what was found since: what is wrong with the cells of a total says nothing. The guard
    /// forgets nothing.
    pub(super) fn forget_since(&mut self, mark: &Mark) {
        self.issues.truncate(mark.issues);
        self.words.seen.truncate(mark.words);
        self.counter_proofs.truncate(mark.counter_proofs);
    }
}

/// How much was found at some row.
pub(super) struct Mark {
    issues: usize,
    words: usize,
    counter_proofs: usize,
}

/// Words of coded columns that the mapping does not know, with the rows in which they stand: a row
/// that repeats another one says nothing new. Each word is kept once.
#[derive(Default)]
pub(super) struct WordsByRow {
    /// The number of each word.
    numbers: BTreeMap<(Source, &'static str), BTreeMap<Box<str>, usize>>,
    different: usize,
    /// Line of the row, and number of the word, in the order of the rows.
    seen: Vec<(u64, usize)>,
}

impl WordsByRow {
    /// Adds a word of a row.
    pub(super) fn add(&mut self, line_number: u64, field: (Source, &'static str), word: &str) {
        // Of a longer word only its length is ever told.
        let word = &word[..word.ceil_char_boundary(LONGEST_WORD + 1)];
        let numbers = self.numbers.entry(field).or_default();
        let number = if let Some(number) = numbers.get(word) {
            *number
        } else {
            numbers.insert(word.into(), self.different);
            self.different += 1;
            self.different - 1
        };
        self.seen.push((line_number, number));
    }

    /// Counts the words of the rows that are taken.
    pub(super) fn count(&self) -> WordCount<'_> {
        WordCount {
            words: self,
            rest: self.seen.iter().peekable(),
            cells: vec![0; self.different],
        }
    }
}

/// The words of some rows, counted row by row.
pub(super) struct WordCount<'a> {
    words: &'a WordsByRow,
    rest: Peekable<Iter<'a, (u64, usize)>>,
    cells: Vec<u64>,
}

impl WordCount<'_> {
    /// Goes on to the next row that has words, and counts them if the row is taken. Rows are asked
    /// for in their order.
    pub(super) fn row(&mut self, line_number: u64, is_taken: bool) {
        while let Some((_, number)) = self.rest.next_if(|(line, _)| *line == line_number) {
            self.cells[*number] += u64::from(is_taken);
        }
    }

    /// Adds what was counted.
    pub(super) fn add_to(self, sum: &mut UnknownWords) {
        for ((source, field), numbers) in &self.words.numbers {
            for (word, number) in numbers {
                sum.add_cells(*source, field, word, self.cells[*number]);
            }
        }
    }
}

/// A cell of a column whose form was proved by its first cells, which only fits with day and month
/// exchanged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct CounterProof {
    pub(super) field: &'static str,
    pub(super) line_number: u64,
}
