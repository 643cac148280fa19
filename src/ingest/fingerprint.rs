//! What the mapped cells of a row say, as one number: two rows with the same number say the same.
//!
//! Goes by what was read, so that two systems may write one case in other capitals, other blanks and
//! another form of times; a cell that could not be read counts as it stands.

use super::cell::{RawCell, Value};
use super::records::Record;
use crate::domain::fields::{Field, Origin};
use xxhash_rust::xxh3::xxh3_64_with_seed;

/// The fraction of the golden ratio, odd: to multiply by it loses no bit.
const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;

/// What stands in the mapped cells of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Fingerprint(pub(super) u64);

impl Fingerprint {
    /// The fingerprint of a record, with the cells of its row that could not be read and those that
    /// are no part of it. HOT: no allocation.
    pub(super) fn of<'a, F: Field>(
        record: &Record<'_, F>,
        refused: RefusedCells,
        other_cells: impl Iterator<Item = RawCell<'a>>,
    ) -> Fingerprint {
        let mut hash = refused.0;
        for field in F::ALL {
            if field.origin() == Origin::Derived {
                continue;
            }
            hash = match record.value(*field) {
                // Half of all cells: two steps that lose nothing, and no hash.
                Value::Missing => hash.rotate_left(23).wrapping_mul(GOLDEN),
                Value::Whole(number) => with_number(hash, number),
                Value::Month(month) => with_number(
                    hash,
                    i64::from(month.year()) * 16 + i64::from(month.number()),
                ),
                Value::Text(text) | Value::Code(text) => xxh3_64_with_seed(text.as_bytes(), hash),
            };
        }
        for cell in other_cells {
            hash = xxh3_64_with_seed(cell.bytes(), hash);
        }
        Fingerprint(hash)
    }
}

/// The cells of one row that could not be read, as one number.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct RefusedCells(u64);

impl RefusedCells {
    /// Takes in one more cell.
    pub(super) fn add(&mut self, field: impl Field, cell: RawCell<'_>) {
        self.0 = xxh3_64_with_seed(
            cell.bytes(),
            with_number(self.0, i64::try_from(field.index()).unwrap_or(-1)),
        );
    }
}

fn with_number(hash: u64, number: i64) -> u64 {
    xxh3_64_with_seed(&number.to_le_bytes(), hash)
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
        Fingerprint::of(&record, cells, std::iter::empty()).0
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
