//! Passes in any order → the passes of each batch of cases, in the order of the cases.

use crate::domain::fields::{CaseField, PassField};
use crate::records::texts;
use arrow::array::RecordBatch;
use arrow::compute::interleave_record_batch;
use foldhash::quality::FixedState;
use hashbrown::HashMap;

/// The passes of each batch of cases, those of one case in the order in which they are. Passes of no
/// case stand behind those of the first batch.
pub fn passes_of(cases: &[RecordBatch], passes: &[RecordBatch]) -> Vec<Option<RecordBatch>> {
    // Looked up only, so its order reaches nothing.
    let mut place_of: HashMap<&str, (usize, usize), FixedState> = HashMap::default();
    for (number, batch) in cases.iter().enumerate() {
        let numbers = texts(CaseField::CaseId, std::slice::from_ref(batch));
        for (row, case) in numbers.enumerate() {
            if let Some(case) = case {
                place_of.entry(case).or_insert((number, row));
            }
        }
    }
    let mut order = Vec::new();
    for (number, batch) in passes.iter().enumerate() {
        let numbers = texts(PassField::CaseId, std::slice::from_ref(batch));
        for (row, case) in numbers.enumerate() {
            let place = case.and_then(|case| place_of.get(case));
            order.push((place.copied().unwrap_or((0, usize::MAX)), (number, row)));
        }
    }
    order.sort_unstable();
    let batches: Vec<_> = passes.iter().collect();
    let mut rest = order.as_slice();
    (0..cases.len())
        .map(|number| {
            let end = rest.partition_point(|((of_batch, _), _)| *of_batch <= number);
            let (rows, after) = rest.split_at(end);
            rest = after;
            let rows: Vec<_> = rows.iter().map(|(_, row)| *row).collect();
            let taken = (!rows.is_empty()).then(|| interleave_record_batch(&batches, &rows));
            taken.map(|taken| taken.expect("rows of batches of one schema"))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::engine::tests::records;

    #[test]
    fn passes_follow_their_cases_wherever_they_stood() {
        let cases = [
            records::<CaseField>(2, &[(0, "case_id", "A"), (1, "case_id", "B")]),
            records::<CaseField>(1, &[(0, "case_id", "C")]),
            records::<CaseField>(1, &[(0, "case_id", "D")]),
        ];
        let pass = |rows: &[(&str, &str)]| {
            let cells = rows.iter().enumerate().flat_map(|(row, (case, device))| {
                [(row, "case_id", *case), (row, "device", *device)]
            });
            records::<PassField>(rows.len(), &cells.collect::<Vec<_>>())
        };
        let passes = [
            pass(&[
                ("D", "net"),
                ("B", "snare"),
                ("nowhere", "cap"),
                ("A", "push"),
            ]),
            pass(&[("B", "basket"), ("A", "net")]),
        ];
        let found: Vec<Vec<_>> = passes_of(&cases, &passes)
            .iter()
            .map(|batch| {
                let batch = batch.as_slice();
                let devices =
                    texts(PassField::Device, batch).map(|device| device.unwrap().to_owned());
                devices.collect()
            })
            .collect();
        let expected: [&[&str]; 3] = [&["push", "net", "snare", "basket", "cap"], &[], &["net"]];
        assert_eq!(found, expected);
    }
}
