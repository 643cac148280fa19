//! Counts of cells: of every combination of the values of some columns, told apart by one number.

use foldhash::fast::FixedState;
use hashbrown::HashMap;
use std::hash::{Hash, Hasher};

/// What is counted in a cell: 0 and a flag; or minutes and whether their end was reached; or hits and
/// passes of a case. [`EXCLUDED`] for what could not be judged.
pub(super) type Detail = (i64, u64);

/// The detail of what could not be judged.
pub(super) const EXCLUDED: Detail = (0, u64::MAX);

/// Counts that are listed at most, so that they lie in the memory next to a processor.
const MOST_LISTED: u64 = 1 << 18;

/// Minutes that are listed, those below: nearly all that a service takes.
const LISTED_MINUTES: u64 = 256;

/// Which details the cells of a measure have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Details {
    /// Of shares and of events.
    Flags,
    /// Of lengths of time.
    Minutes,
    /// Of shares of passes.
    Passes,
}

impl Details {
    /// Details that have a place in the list of a cell.
    const fn listed(self) -> u64 {
        match self {
            Details::Flags => 3,
            Details::Minutes => 1 + 2 * LISTED_MINUTES,
            Details::Passes => 0,
        }
    }

    /// The place of a detail in the list of a cell; `None` for one that is not listed.
    fn place(self, (first, second): Detail) -> Option<u64> {
        match self {
            Details::Flags => Some(second),
            Details::Minutes if (first, second) == EXCLUDED => Some(0),
            Details::Minutes => {
                let minutes = u64::try_from(first).ok()?;
                (minutes < LISTED_MINUTES).then(|| 1 + 2 * minutes + second)
            }
            Details::Passes => None,
        }
    }

    /// The detail that has this place.
    fn at(self, place: u64) -> Detail {
        match self {
            Details::Minutes if place == 0 => EXCLUDED,
            Details::Minutes => (((place - 1) / 2).cast_signed(), (place - 1) % 2),
            Details::Flags | Details::Passes => (0, place),
        }
    }
}

/// Counts by cell and detail.
pub(super) struct Cells {
    /// How many values each column has: a cell is a number whose digits, the first the highest, are
    /// the numbers of the values.
    radices: Vec<u64>,
    details: Details,
    /// The counts of the details that have a place, cell after cell; empty when these are too many.
    listed: Vec<u64>,
    /// All other counts, listed nowhere by their own order.
    hashed: HashMap<CellDetail, u64, FixedState>,
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
    /// No cell yet, of that many columns.
    pub(super) fn new(columns: usize, details: Details) -> Cells {
        Cells::of(vec![1; columns], 1, details)
    }

    /// So many cells, nothing counted.
    fn of(radices: Vec<u64>, cells: u64, details: Details) -> Cells {
        let places = cells.checked_mul(details.listed());
        let places = places.filter(|places| *places <= MOST_LISTED);
        Cells {
            radices,
            details,
            listed: vec![0; places.map_or(0, index)],
            hashed: HashMap::default(),
        }
    }

    /// Which details are counted.
    pub(super) fn details(&self) -> Details {
        self.details
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
        let former = std::mem::replace(self, Cells::of(radices, cells, self.details));
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

    /// Adds cases.
    pub(super) fn add(&mut self, cell: u64, detail: Detail, count: u64) {
        match self.place(cell, detail) {
            Some(place) => self.listed[place] += count,
            None => *self.hashed.entry(CellDetail { cell, detail }).or_insert(0) += count,
        }
    }

    /// The place of a detail of a cell in the list of all; `None` when it is not listed.
    fn place(&self, cell: u64, detail: Detail) -> Option<usize> {
        if self.listed.is_empty() {
            return None;
        }
        let place = self.details.place(detail)?;
        Some(index(cell * self.details.listed() + place))
    }

    /// Offers every count that is not 0, in no order.
    pub(super) fn each(&self, mut offer: impl FnMut(u64, Detail, u64)) {
        let listed = (0..).zip(&self.listed).filter(|(_, count)| **count > 0);
        for (place, count) in listed {
            let of_cell = self.details.listed();
            offer(place / of_cell, self.details.at(place % of_cell), *count);
        }
        for (of, count) in &self.hashed {
            offer(of.cell, of.detail, *count);
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
        // The last has too many cells to list.
        for (details, most) in [
            (Details::Flags, 9),
            (Details::Minutes, 9),
            (Details::Passes, 9),
            (Details::Minutes, 60_000),
        ] {
            let mut cells = Cells::new(2, details);
            // The values 1 and 2 of columns of 2 and 3 values are cell 5.
            cells.make_room(&[2, 3]).expect("few cells");
            for cell in [5, 0, 5] {
                cells.add(cell, (0, 1), 1);
            }
            cells.make_room(&[4, most]).expect("few cells");
            cells.add(most as u64 + 2, (0, 1), 1);
            cells.add(3 * most as u64 + 8, (0, 0), 5);
            let expected = BTreeMap::from([
                ((vec![0, 0], (0, 1)), 1),
                ((vec![1, 2], (0, 1)), 3),
                ((vec![3, 8], (0, 0)), 5),
            ]);
            assert_eq!(counted(&cells), expected, "{details:?}, {most}");
        }
    }

    #[test]
    fn any_minutes_are_told_apart() {
        let mut cells = Cells::new(1, Details::Minutes);
        cells.make_room(&[3]).expect("few cells");
        let last = LISTED_MINUTES.cast_signed() - 1;
        let of_minutes = [i64::MIN, -1, 0, 1, last, last + 1, i64::MAX];
        let details = of_minutes
            .into_iter()
            .flat_map(|minutes| [(minutes, 0), (minutes, 1)]);
        let details: Vec<_> = details.chain([EXCLUDED]).collect();
        let mut expected = BTreeMap::new();
        for (count, detail) in (1..).zip(&details) {
            for cell in 0..3 {
                cells.add(cell, *detail, count);
                expected.insert((vec![cell], *detail), count);
            }
        }
        assert_eq!(counted(&cells), expected);
    }

    #[test]
    fn more_cells_than_numbers_are_refused() {
        let mut cells = Cells::new(3, Details::Flags);
        assert_eq!(cells.make_room(&[usize::MAX, usize::MAX, 2]), None);
    }
}
