//! Passes of all cases → the passes of each part of the cases, in one pass over them.

use super::frame::texts;
use crate::domain::fields::{CaseField, PassField};
use arrow::array::{RecordBatch, UInt32Array};
use arrow::compute::take_record_batch;
use foldhash::quality::FixedState;
use hashbrown::HashMap;

/// The passes of each part, in their order. Passes of no case stand with the first part.
pub(super) fn shared_out(
    parts: &[&[RecordBatch]],
    passes: &[RecordBatch],
) -> Vec<Vec<RecordBatch>> {
    // Looked up only, so its order reaches nothing.
    let mut part_of: HashMap<&str, usize, FixedState> = HashMap::default();
    for (part, cases) in parts.iter().enumerate() {
        for case in texts(CaseField::CaseId, cases).flatten() {
            part_of.entry(case).or_insert(part);
        }
    }
    let mut shared_out = vec![Vec::new(); parts.len()];
    for batch in passes {
        let mut rows: Vec<Vec<u32>> = vec![Vec::new(); parts.len()];
        let cases = texts(PassField::CaseId, std::slice::from_ref(batch));
        for (row, case) in (0..).zip(cases) {
            let part = case.and_then(|case| part_of.get(case));
            rows[part.copied().unwrap_or(0)].push(row);
        }
        for (part, rows) in rows.into_iter().enumerate() {
            if !rows.is_empty() {
                let taken = take_record_batch(batch, &UInt32Array::from(rows));
                shared_out[part].push(taken.expect("rows of the batch"));
            }
        }
    }
    shared_out
}
