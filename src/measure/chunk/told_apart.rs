//! Cases told apart by what a measure looks at: each value as a digit, and the digits of a case as one
//! number.

use super::{Chunk, add_digit, number};
use crate::domain::fields::{CaseField, Field as _, PassField};
use crate::measure::alike::{Kinds, Trait};
use crate::measure::words::Words;
use crate::records::{columns_of, wholes};
use foldhash::quality::FixedState;
use hashbrown::HashMap;
use std::borrow::Cow;

/// Whole numbers that lie further apart tell hardly any cases alike.
const MOST_APART: u64 = 1 << 12;

/// The values of a column, of every case, as numbers below some other.
struct Digits<'a> {
    of_cases: Cow<'a, [u32]>,
    radix: u64,
    /// The lowest whole number of the chunk, which is digit 1; 0 for digits that mean the same in every
    /// chunk.
    lowest: i64,
}

impl Digits<'_> {
    /// A number for what the digit of a case stands for, the same in every chunk.
    fn meaning(&self, place: u32) -> i64 {
        match self.of_cases[place as usize] {
            // No value, or the first of all texts.
            0 => i64::MIN,
            digit => self.lowest + i64::from(digit),
        }
    }
}

impl Chunk<'_> {
    /// The cases by kind; `None` when they are of too many kinds.
    pub(super) fn told_apart(&self, traits: &[Trait]) -> Option<Kinds> {
        let mut numbers = vec![0; self.height];
        let mut end = 1_u64;
        let mut columns = Vec::with_capacity(traits.len());
        for of in traits {
            let column = match of {
                Trait::Value(field) => self.digits(*field)?,
                Trait::Presence(field) => self.presence(*field),
                Trait::Passes => {
                    let passes = self.passes_of_cases.get_or_init(|| self.number_of_passes());
                    let (of_cases, radix) = passes.as_ref()?;
                    Digits {
                        of_cases: Cow::Borrowed(of_cases),
                        radix: *radix,
                        lowest: 0,
                    }
                }
            };
            end = end.checked_mul(column.radix)?;
            add_digit(&mut numbers, column.radix, &column.of_cases);
            columns.push(column);
        }
        let mut kinds = (self.height > 0).then(|| Kinds::new(&numbers, end))??;
        // Which passes a number stands for is known in this chunk alone.
        if self.passes.is_empty() || !traits.contains(&Trait::Passes) {
            let meaning = |place: &u32| {
                columns
                    .iter()
                    .map(|column| column.meaning(*place))
                    .collect()
            };
            kinds.meanings = Some(kinds.firsts.iter().map(meaning).collect());
        }
        Some(kinds)
    }

    /// The values of a column; `None` when they lie too far apart.
    fn digits(&self, field: CaseField) -> Option<Digits<'_>> {
        if let Some(labels) = self.labels.get(&field) {
            return Some(Digits {
                of_cases: Cow::Borrowed(labels),
                radix: self.values(field),
                lowest: 0,
            });
        }
        let known = || wholes(field, self.cases).flatten();
        let lowest = known().min().unwrap_or(0);
        let span = known().max().unwrap_or(0).checked_sub(lowest)?;
        let radix = u64::try_from(span).ok().filter(|span| *span < MOST_APART)? + 2;
        let digit = |value: i64| u32::try_from(value - lowest + 1).expect("below the radix");
        let digits = wholes(field, self.cases).map(|value| value.map_or(0, digit));
        Some(Digits {
            of_cases: digits.collect(),
            radix,
            lowest,
        })
    }

    fn presence(&self, field: CaseField) -> Digits<'_> {
        let mut digits = Vec::with_capacity(self.height);
        for column in columns_of(field, self.cases) {
            match column.nulls() {
                None => digits.resize(digits.len() + column.len(), 1),
                Some(nulls) => digits.extend(nulls.iter().map(u32::from)),
            }
        }
        Digits {
            of_cases: Cow::Owned(digits),
            radix: 2,
            lowest: 0,
        }
    }

    /// The passes of each case as a number, and how many numbers there are; `None` where passes are of no
    /// case.
    fn number_of_passes(&self) -> Option<(Vec<u32>, u64)> {
        let fields = PassField::ALL.iter();
        let fields = fields.filter(|field| **field != PassField::CaseId);
        let of_passes: Vec<Vec<u32>> = fields
            .map(|field| Words::default().numbers_of_column(*field, self.passes))
            .collect();
        let mut of_cases = vec![Vec::new(); self.height];
        for (row, place) in self.of_passes.iter().enumerate() {
            let of_case: &mut Vec<u32> = of_cases.get_mut((*place)? as usize)?;
            of_case.extend(of_passes.iter().map(|numbers| numbers[row]));
        }
        let mut known: HashMap<&[u32], u32, FixedState> = HashMap::default();
        let digits = of_cases.iter().map(|of_case| {
            let next = number(known.len());
            *known.entry(of_case).or_insert(next)
        });
        let digits = digits.collect();
        Some((digits, known.len() as u64))
    }
}
