//! What the mapped cells of a row say, as one number: two rows with the same number say the same.
//!
//! Goes by what was read, so that two systems may write one case in other capitals, other blanks and
//! another form of times; a cell that could not be read counts as it stands.

use super::cell::{RawCell, Value, WholeWord};
use super::records::{FilledFields, Record};
use crate::domain::fields::Field;
use foldhash::quality::FixedState;
use std::hash::{BuildHasher, Hash, Hasher};

/// What stands in the mapped cells of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Fingerprint(pub(super) u64);

impl Fingerprint {
    /// The fingerprint of what a record says in `told`, the fields that do not follow from others, with
    /// the cells of its row that could not be read and those that are no part of it. HOT: no allocation.
    pub(super) fn of<'a, F: Field>(
        record: &Record<'_, F>,
        told: FilledFields,
        refused: RefusedCells,
        other_cells: impl Iterator<Item = RawCell<'a>>,
    ) -> Fingerprint {
        let mut hasher = FixedState::default().build_hasher();
        hasher.write_u64(refused.0);
        let told = record.filled().and(told);
        told.hash(&mut hasher);
        for value in record.values_of(told) {
            hash(value, &mut hasher);
        }
        for cell in other_cells {
            hasher.write(cell.bytes());
        }
        Fingerprint(hasher.finish())
    }
}

/// Two cases that agree in `fields` have the same likeness.
pub(super) fn likeness<F: Field>(record: &Record<'_, F>, fields: &[F]) -> u64 {
    let mut hasher = FixedState::default().build_hasher();
    for field in fields {
        hash(&record.value(*field), &mut hasher);
    }
    hasher.finish()
}

fn hash(value: &Value<'_>, hasher: &mut impl Hasher) {
    match *value {
        Value::Missing => hasher.write_i64(i64::MIN),
        Value::Whole(number) => hasher.write_i64(number),
        Value::Month(WholeWord(month)) => {
            hasher.write_u32(u32::from(month.year()) * 16 + u32::from(month.number()));
        }
        Value::Text(text) | Value::Code(text) => hasher.write(text.as_bytes()),
    }
}

/// The cells of one row that could not be read, as one number.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct RefusedCells(u64);

impl RefusedCells {
    /// Takes in one more cell.
    pub(super) fn add(&mut self, field: impl Field, cell: RawCell<'_>) {
        let mut hasher = FixedState::with_seed(self.0).build_hasher();
        hasher.write_usize(field.index());
        hasher.write(cell.bytes());
        self.0 = hasher.finish();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fields::PassField;
    use std::collections::BTreeSet;

    fn fingerprint(values: &[(PassField, Value<'static>)], refused: &[&'static str]) -> u64 {
        let mut record = Record::empty();
        for (field, value) in values {
            record.set(*field, *value);
        }
        let mut cells = RefusedCells::default();
        for cell in refused {
            cells.add(PassField::Device, RawCell::of_text(cell));
        }
        Fingerprint::of(&record, FilledFields::ALL, cells, std::iter::empty()).0
    }

    #[test]
    fn whatever_differs_differs() {
        let number = |number| (PassField::PassNumber, Value::Whole(number));
        let device = |code| (PassField::Device, Value::Code(code));
        let result = |code| (PassField::Result, Value::Code(code));
        let mut seen = BTreeSet::new();
        let rows: [(&[_], &[_]); 9] = [
            (&[], &[]),
            (&[number(0)], &[]),
            (&[number(1)], &[]),
            (&[number(-1)], &[]),
            (&[device("net")], &[]),
            (&[result("net")], &[]),
            (&[device("net"), result("net")], &[]),
            (&[], &["net"]),
            (&[], &["net", ""]),
        ];
        for (values, refused) in rows {
            assert!(seen.insert(fingerprint(values, refused)));
        }
        for numbered in 2..100_000 {
            assert!(seen.insert(fingerprint(&[number(numbered)], &[])));
        }
        assert!(!seen.insert(fingerprint(&[device("net")], &[])));
    }
}
