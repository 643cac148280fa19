//! Cases with all their passes, as many as a query is asked of at once.

use super::frame::height;
use arrow::array::RecordBatch;

/// Cases that are counted at once: enough that preparing a query costs little beside running it, few
/// enough that a column of them stays near the processor.
pub(super) const CASES_AT_ONCE: usize = 1 << 17;

/// Cases and all their passes, of which not many more are taken once they are [full].
///
/// [full]: CasesWithPasses::is_full
#[derive(Clone, Debug, Default)]
pub struct CasesWithPasses {
    /// The cases.
    pub cases: Vec<RecordBatch>,
    /// Their passes.
    pub passes: Vec<RecordBatch>,
}

impl CasesWithPasses {
    /// How many cases these are.
    pub(super) fn height(&self) -> usize {
        height(&self.cases)
    }

    /// Whether they are as many as a query should be asked of at once.
    pub fn is_full(&self) -> bool {
        self.height() >= CASES_AT_ONCE
    }
}
