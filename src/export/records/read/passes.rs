//! The passes of the cases of each part: read along where they follow their cases, found in memory
//! where they do not.

use super::checked::Rows;
use super::{PASSES_IN_ORDER, RecordsError, texts};
use crate::domain::fields::PassField;
use arrow::array::{RecordBatch, StringArray, UInt32Array};
use arrow::compute::{concat_batches, take_record_batch};
use foldhash::quality::FixedState;
use hashbrown::HashSet;
use xxhash_rust::xxh3::xxh3_64;

/// Where the passes of a part come from.
pub(super) enum Passes {
    Along {
        rows: Rows<PassField>,
        /// Read, and of a later case.
        waiting: Option<RecordBatch>,
    },
    Held {
        passes: Option<RecordBatch>,
        /// Hash of the number of the case and row, sorted.
        rows: Vec<(u64, u32)>,
        found: usize,
    },
}

impl Passes {
    pub(super) fn open(mut rows: Rows<PassField>) -> Result<Passes, RecordsError> {
        if rows.notes(PASSES_IN_ORDER) {
            return Ok(Passes::Along {
                rows,
                waiting: None,
            });
        }
        let mut batches = Vec::new();
        while let Some(batch) = rows.next()? {
            batches.push(batch);
        }
        let passes = batches
            .first()
            .map(|first| concat_batches(&first.schema(), &batches).expect("batches of one schema"));
        let numbers = passes
            .iter()
            .flat_map(|passes| texts(passes, PassField::CaseId));
        let hashes = numbers.flatten().map(|number| xxh3_64(number.as_bytes()));
        let mut rows: Vec<_> = hashes.zip(0..).collect();
        rows.sort_unstable();
        Ok(Passes::Held {
            passes,
            rows,
            found: 0,
        })
    }

    /// The passes of cases, in the order of the cases.
    pub(super) fn of(&mut self, cases: &StringArray) -> Result<Option<RecordBatch>, RecordsError> {
        match self {
            Passes::Along { rows, waiting } => {
                // Looked up only, so its order reaches nothing.
                let cases: HashSet<&str, FixedState> = cases.iter().flatten().collect();
                let mut taken = Vec::new();
                loop {
                    let batch = match waiting.take() {
                        Some(batch) => batch,
                        None => match rows.next()? {
                            Some(batch) => batch,
                            None => break,
                        },
                    };
                    let numbers = texts(&batch, PassField::CaseId);
                    let is_later =
                        |number: Option<&str>| number.is_none_or(|number| !cases.contains(number));
                    let end = numbers
                        .iter()
                        .position(is_later)
                        .unwrap_or(batch.num_rows());
                    if end > 0 {
                        taken.push(batch.slice(0, end));
                    }
                    if end < batch.num_rows() {
                        *waiting = Some(batch.slice(end, batch.num_rows() - end));
                        break;
                    }
                }
                Ok(taken.first().map(|first| {
                    concat_batches(&first.schema(), &taken).expect("batches of one schema")
                }))
            }
            Passes::Held {
                passes,
                rows,
                found,
            } => {
                let Some(passes) = passes else {
                    return Ok(None);
                };
                let numbers = texts(passes, PassField::CaseId);
                let mut of_cases = Vec::new();
                for case in cases.iter().flatten() {
                    let hash = xxh3_64(case.as_bytes());
                    let start = rows.partition_point(|(known, _)| *known < hash);
                    let alike = rows[start..].iter().take_while(|(known, _)| *known == hash);
                    let alike = alike.map(|(_, row)| *row);
                    of_cases.extend(alike.filter(|row| numbers.value(*row as usize) == case));
                }
                *found += of_cases.len();
                if of_cases.is_empty() {
                    return Ok(None);
                }
                let taken = take_record_batch(passes, &UInt32Array::from(of_cases));
                Ok(Some(taken.expect("rows of the batch")))
            }
        }
    }

    /// Checks that every pass was that of a case, once all cases are read.
    pub(super) fn end(&mut self) -> Result<(), RecordsError> {
        let is_left = match self {
            Passes::Along { rows, waiting } => waiting.is_some() || rows.next()?.is_some(),
            Passes::Held { rows, found, .. } => *found != rows.len(),
        };
        if is_left {
            Err(RecordsError::PassesWithoutCase)
        } else {
            Ok(())
        }
    }
}
