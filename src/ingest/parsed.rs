//! What a thread makes of one block: records, what becomes of each row as far as the block alone can
//! tell, and what was found on the way.

use super::guard::ColumnWatch;
use super::registry::{Fingerprint, Key, Traits};
use crate::domain::issue::{Issue, IssueCode};
use crate::domain::unknown_words::UnknownWords;
use arrow::array::RecordBatch;

/// The rows of one block of an export.
pub(super) struct ParsedBlock {
    /// Every row, in order.
    pub(super) rows: Vec<ParsedRow>,
    /// The records of those that have one.
    pub(super) records: RecordBatch,
    pub(super) found: Found,
    /// Passes that stand in the rows of their cases; `None` where the mapping has none.
    pub(super) passes: Option<PassesInside>,
}

/// One row, judged without a look at other blocks.
pub(super) struct ParsedRow {
    pub(super) line_number: u64,
    pub(super) verdict: Verdict,
}

/// What becomes of a row unless another row stands against it.
pub(super) enum Verdict {
    /// It is set aside.
    Refused(IssueCode),
    /// It has a key.
    Keyed(KeyedRow),
}

/// A row that can be told from others.
pub(super) struct KeyedRow {
    /// Of the case.
    pub(super) case: Key,
    /// Of the pass; `None` for a case, and for a pass without a number.
    pub(super) pass: Option<Key>,
    pub(super) fingerprint: Fingerprint,
    pub(super) traits: Traits,
    /// Place in `records`; `None` when the call lies outside the period.
    pub(super) place: Option<usize>,
    pub(super) version: Version,
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

/// Passes that stand in the rows of their cases.
pub(super) struct PassesInside {
    pub(super) records: RecordBatch,
    /// For each, the place of its case in the records of cases.
    pub(super) case_places: Vec<usize>,
}

/// What was found in rows beside their values.
pub(super) struct Found {
    /// In the order of the rows.
    pub(super) issues: Vec<Issue>,
    pub(super) unknown_words: UnknownWords,
    /// What the identifier guard has seen of each column.
    pub(super) watches: Vec<ColumnWatch>,
    /// Cells that prove another order of day and month than the column was read in.
    pub(super) counter_proofs: Vec<CounterProof>,
}

impl Found {
    /// Nothing yet, with watches for every column of the file.
    pub(super) fn new(watches: Vec<ColumnWatch>) -> Found {
        Found {
            issues: Vec::new(),
            unknown_words: UnknownWords::default(),
            watches,
            counter_proofs: Vec::new(),
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
