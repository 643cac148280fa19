//! The different values of a column, each by a number: rows are counted by numbers, and a value is
//! spelt out only where a count is written down.

use crate::domain::fields::Field;
use crate::records::{Texts, texts_of, wholes};
use arrow::array::{Array as _, RecordBatch};
use foldhash::quality::FixedState;
use hashbrown::HashMap;
use polars::prelude::{
    ChunkTake, Column, IdxCa, IntoColumn, NewChunkedArray, PlSmallStr, StringChunked,
};

/// The values of one column that were seen so far; a missing one counts as a value.
#[derive(Default)]
pub(super) struct Words {
    /// Looked up only, so its order reaches nothing.
    numbers: HashMap<Box<str>, u32, FixedState>,
    of_missing: Option<u32>,
    values: Vec<Option<Box<str>>>,
}

impl Words {
    /// How many different values were seen.
    pub(super) fn count(&self) -> usize {
        self.values.len()
    }

    /// The value with a number that was given out.
    pub(super) fn value(&self, number: usize) -> Option<&str> {
        self.values[number].as_deref()
    }

    /// The number of each value, in order.
    pub(super) fn numbers_of<'a>(
        &mut self,
        values: impl Iterator<Item = Option<&'a str>>,
    ) -> Vec<u32> {
        // Rows of one month, and often of one site, stand together.
        let mut last: Option<(Option<&str>, u32)> = None;
        values
            .map(|value| match last {
                Some((known, number)) if known == value => number,
                _ => {
                    let number = self.number(value);
                    last = Some((value, number));
                    number
                }
            })
            .collect()
    }

    /// The number of the value of each record; a whole number counts by its digits.
    pub(super) fn numbers_of_column<F: Field>(
        &mut self,
        field: F,
        records: &[RecordBatch],
    ) -> Vec<u32> {
        if field.kind().is_text() {
            let mut numbers = Vec::with_capacity(records.iter().map(RecordBatch::num_rows).sum());
            for texts in texts_of(field, records) {
                self.add_numbers_of(texts, &mut numbers);
            }
            return numbers;
        }
        let wholes = wholes(field, records);
        let digits =
            wholes.map(|whole| self.number(whole.map(|whole| whole.to_string()).as_deref()));
        digits.collect()
    }

    /// A column of text for queries, of the values with these numbers: each of the few values is written
    /// once, and the rows refer to it.
    pub(super) fn spelt_out<F: Field>(&self, field: F, numbers: &[u32]) -> Column {
        let name = PlSmallStr::from_str(field.column());
        let values = self.values.iter().map(Option::as_deref);
        let values = StringChunked::from_iter_options(name.clone(), values);
        let column = values.take(&IdxCa::from_slice(name, numbers));
        column
            .expect("a number is the place of its value")
            .into_column()
    }

    fn add_numbers_of(&mut self, texts: Texts<'_>, numbers: &mut Vec<u32>) {
        let Texts::Listed { places, texts } = texts else {
            return numbers.extend(self.numbers_of(texts.iter()));
        };
        // Texts that no record has get no number, so each waits for its first record.
        let mut known: Vec<Option<u32>> = vec![None; texts.len()];
        let places = places
            .iter()
            .map(|place| place.and_then(|place| usize::try_from(place).ok()));
        numbers.extend(places.map(|place| match place {
            None => self.number(None),
            Some(place) => {
                *known[place].get_or_insert_with(|| self.number(Some(texts.value(place))))
            }
        }));
    }

    fn number(&mut self, value: Option<&str>) -> u32 {
        let next = u32::try_from(self.values.len()).expect("fewer values than rows of a chunk");
        let number = match value {
            None => *self.of_missing.get_or_insert(next),
            Some(text) => match self.numbers.get(text) {
                Some(number) => *number,
                None => *self.numbers.entry(text.into()).or_insert(next),
            },
        };
        if number == next {
            self.values.push(value.map(Box::from));
        }
        number
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_keeps_its_number_and_a_missing_one_has_one_too() {
        let mut words = Words::default();
        let first = [Some("net"), Some("net"), None, Some("snare"), None];
        assert_eq!(words.numbers_of(first.into_iter()), [0, 0, 1, 2, 1]);
        let second = [Some("snare"), Some("cap"), Some("net")];
        assert_eq!(words.numbers_of(second.into_iter()), [2, 3, 0]);
        assert_eq!(words.count(), 4);
        assert_eq!((words.value(1), words.value(3)), (None, Some("cap")));
    }
}
