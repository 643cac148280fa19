//! Some of the records: the cases with one value of a field, and their passes. Knows no rows.

use super::records::filtered as filtered_batch;
use super::run::Ingested;
use crate::domain::fields::{CaseField, Field, PassField};
use crate::records::texts;
use arrow::array::RecordBatch;
use foldhash::quality::FixedState;
use hashbrown::HashSet;

/// The cases whose `field`, one of text, has this value, and the passes of these cases; both in their
/// order.
///
/// # Panics
/// When the field holds numbers.
pub fn with_value(
    cases: &[RecordBatch],
    passes: &[RecordBatch],
    field: CaseField,
    value: &str,
) -> (Vec<RecordBatch>, Vec<RecordBatch>) {
    let cases = filtered(cases, field, |text| text == value);
    let numbers: HashSet<&str, FixedState> = cases
        .iter()
        .flat_map(|batch| texts(CaseField::CaseId, std::slice::from_ref(batch)).flatten())
        .collect();
    let passes = filtered(passes, PassField::CaseId, |text| numbers.contains(text));
    drop(numbers);
    (cases, passes)
}

fn filtered<F: Field>(
    records: &[RecordBatch],
    field: F,
    is_kept: impl Fn(&str) -> bool,
) -> Vec<RecordBatch> {
    records
        .iter()
        .map(|batch| {
            let mask: Vec<_> = texts(field, std::slice::from_ref(batch))
                .map(|text| text.is_some_and(&is_kept))
                .collect();
            filtered_batch(batch, &mask)
        })
        .filter(|batch| batch.num_rows() > 0)
        .collect()
}

impl Ingested {
    /// The records and the observed time of one site. All else stays that of the whole export: a row
    /// that was set aside may have no site, and a site is observed over the whole period.
    #[must_use]
    pub fn of_site(self, site: &str) -> Ingested {
        let (cases, passes) = with_value(&self.cases, &self.passes, CaseField::Site, site);
        let mut exposure = self.exposure;
        exposure.by_shift.retain(|cell, _| cell.site == site);
        Ingested {
            cases,
            passes,
            exposure,
            ..self
        }
    }
}

#[cfg(test)]
mod tests;
