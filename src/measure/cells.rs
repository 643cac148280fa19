//! Counts of cells: of every combination of the values of some columns, told apart by one number.

use foldhash::fast::FixedState;
use hashbrown::HashMap;
use std::hash::{Hash, Hasher};

/// What is counted in a cell: 0 and a flag; or minutes and whether their end was reached; or hits and
/// passes of a case. [`EXCLUDED`] for what could not be judged.
pub(super) type Detail = (i64, u64);

/// The detail of what could not be judged.
pub(super) const EXCLUDED: Detail = (0, u64::MAX);

/// Cells of flags that are kept side by side, as they lie in the memory next to a processor.
const MOST_LISTED: u64 = 1 << 16;

/// Counts by cell and detail.
pub(super) struct Cells {
    /// How many values each column has: a cell is a number whose digits, the first the highest, are
    /// the numbers of the values.
    radices: Vec<u64>,
    are_flags: bool,
    counts: Counts,
}

enum Counts {
    /// Of flags, by cell.
    Listed(Vec<[u64; 3]>),
    /// Listed nowhere by its own order.
    Hashed(HashMap<CellDetail, u64, FixedState>),
}

/// A detail of a cell. Hashed as one number, since that is done for every row.
#[derive(Clone, Copy, PartialEq, Eq)]
struct CellDetail {
    cell: u64,
    detail: Detail,
}

impl Hash for CellDetail {
    fn hash<H: Hasher>(&self, state: &mut H) {
        // An odd number without a pattern keeps the second half apart from the rest.
        let (first, second) = (self.detail.0.cast_unsigned(), self.detail.1);
        let second = second.wrapping_mul(0x9e37_79b9_7f4a_7c15);
        state.write_u64(self.cell ^ first.rotate_left(32) ^ second);
    }
}

impl Cells {
    /// No cell yet, of that many columns; of flags alone, or of any detail.
    pub(super) fn new(columns: usize, are_flags: bool) -> Cells {
        Cells {
            radices: vec![1; columns],
            are_flags,
            counts: if are_flags {
                Counts::Listed(vec![[0; 3]])
            } else {
                Counts::Hashed(HashMap::default())
            },
        }
    }

    /// Whether flags alone are counted.
    pub(super) fn are_flags(&self) -> bool {
        self.are_flags
    }

    /// Makes room for columns that have so many values now, never fewer than before. `None` when cells
    /// could not be told apart by a 64-bit number.
    pub(super) fn make_room(&mut self, values: &[usize]) -> Option<()> {
        let radices: Vec<u64> = values
            .iter()
            .map(|values| (*values).max(1) as u64)
            .collect();
        let cells = radices
            .iter()
            .try_fold(1_u64, |product, radix| product.checked_mul(*radix))?;
        if radices == self.radices {
            return Some(());
        }
        let stays_listed = matches!(self.counts, Counts::Listed(_)) && cells <= MOST_LISTED;
        let counts = if stays_listed {
            Counts::Listed(vec![[0; 3]; usize::try_from(cells).ok()?])
        } else {
            Counts::Hashed(HashMap::default())
        };
        let former = std::mem::replace(
            self,
            Cells {
                radices,
                counts,
                are_flags: self.are_flags,
            },
        );
        let mut digits = Vec::new();
        former.each(|cell, detail, count| {
            former.digits(cell, &mut digits);
            let cell = self.cell(digits.iter().copied());
            self.add(cell, detail, count);
        });
        Some(())
    }

    /// The cell of the values with these numbers.
    fn cell(&self, digits: impl Iterator<Item = u64>) -> u64 {
        let digits = digits.zip(&self.radices);
        digits.fold(0, |cell, (digit, radix)| cell * radix + digit)
    }

    /// Adds a flag of a row.
    pub(super) fn add_flag(&mut self, cell: u64, flag: usize) {
        match &mut self.counts {
            Counts::Listed(counts) => counts[index(cell)][flag] += 1,
            Counts::Hashed(_) => self.add(cell, (0, flag as u64), 1),
        }
    }

    /// Adds cases.
    pub(super) fn add(&mut self, cell: u64, detail: Detail, count: u64) {
        match &mut self.counts {
            Counts::Listed(counts) => counts[index(cell)][index(detail.1)] += count,
            Counts::Hashed(counts) => {
                *counts.entry(CellDetail { cell, detail }).or_insert(0) += count;
            }
        }
    }

    /// Offers every count that is not 0, in no order.
    pub(super) fn each(&self, mut offer: impl FnMut(u64, Detail, u64)) {
        match &self.counts {
            Counts::Listed(counts) => {
                for (cell, flags) in counts.iter().enumerate() {
                    for (flag, count) in flags.iter().enumerate().filter(|(_, count)| **count > 0) {
                        offer(cell as u64, (0, flag as u64), *count);
                    }
                }
            }
            Counts::Hashed(counts) => {
                for (of, count) in counts {
                    offer(of.cell, of.detail, *count);
                }
            }
        }
    }

    /// The numbers of the values of a cell.
    pub(super) fn digits(&self, cell: u64, digits: &mut Vec<u64>) {
        digits.clear();
        let mut rest = cell;
        for radix in self.radices.iter().rev() {
            digits.push(rest % radix);
            rest /= radix;
        }
        digits.reverse();
    }
}

fn index(number: u64) -> usize {
    usize::try_from(number).expect("a place in memory")
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    fn counted(cells: &Cells) -> BTreeMap<(Vec<u64>, Detail), u64> {
        let mut found = BTreeMap::new();
        cells.each(|cell, detail, count| {
            let mut digits = Vec::new();
            cells.digits(cell, &mut digits);
            assert_eq!(found.insert((digits, detail), count), None);
        });
        found
    }

    #[test]
    fn counts_stay_with_their_values_when_columns_get_more_of_them() {
        for (are_flags, most) in [(true, 9), (true, 60_000), (false, 9)] {
            let mut cells = Cells::new(2, are_flags);
            // The values 1 and 2 of columns of 2 and 3 values are cell 5.
            cells.make_room(&[2, 3]).expect("few cells");
            for cell in [5, 0, 5] {
                cells.add_flag(cell, 1);
            }
            cells.make_room(&[4, most]).expect("few cells");
            cells.add_flag(most as u64 + 2, 1);
            cells.add(3 * most as u64 + 8, (0, 2), 5);
            let expected = BTreeMap::from([
                ((vec![0, 0], (0, 1)), 1),
                ((vec![1, 2], (0, 1)), 3),
                ((vec![3, 8], (0, 2)), 5),
            ]);
            assert_eq!(counted(&cells), expected);
        }
    }

    #[test]
    fn more_cells_than_numbers_are_refused() {
        let mut cells = Cells::new(3, true);
        assert_eq!(cells.make_room(&[usize::MAX, usize::MAX, 2]), None);
    }
}
