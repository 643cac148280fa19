//! What reports list of accepted records, counted row by row, whether the records are kept or not.
//!
//! A thread notes of each row what is to be counted; only the merge knows which rows count.

use super::asked::{AskedKinds, LastDigits};
use super::cell::{Value, WholeWord};
use super::mapping::TimeForm;
use super::records::{FilledFields, Record};
use crate::domain::asked_of::AskedOf;
use crate::domain::fields::{CaseField, Field};
use crate::domain::month::Month;
use crate::domain::recording::{Filled, Recording, TIMES};
use std::collections::BTreeMap;

/// What is counted of one row.
#[derive(Clone, Copy, Debug)]
pub(super) struct Counted {
    filled: FilledFields,
    /// Fields that have a value though the case is not asked for it.
    not_asked: FilledFields,
    kinds: AskedKinds,
    digits: LastDigits,
    month: Option<Month>,
    /// The site, by its number in the block.
    site: Option<usize>,
}

impl Counted {
    /// What is counted of a pass.
    pub(super) fn of_pass(filled: FilledFields) -> Counted {
        Counted {
            filled,
            not_asked: FilledFields::NONE,
            kinds: AskedKinds::default(),
            digits: LastDigits::NONE,
            month: None,
            site: None,
        }
    }

    /// What is counted of a case in a block with `sites`.
    pub(super) fn of_case(
        record: &Record<'_, CaseField>,
        form: &TimeForm,
        sites: &mut SiteNumbers,
    ) -> Counted {
        let kinds = AskedKinds::of(record);
        Counted {
            filled: record.filled(),
            not_asked: kinds.not_asked(record.filled()),
            kinds,
            digits: LastDigits::of(record, form),
            month: match record.value(CaseField::Month) {
                Value::Month(WholeWord(month)) => Some(month),
                _ => None,
            },
            site: record.text(CaseField::Site).map(|site| sites.number(site)),
        }
    }
}

/// The sites of one block, so that a row names its own by a number.
#[derive(Default)]
pub(super) struct SiteNumbers(BTreeMap<Box<str>, usize>);

impl SiteNumbers {
    fn number(&mut self, site: &str) -> usize {
        if let Some(number) = self.0.get(site) {
            return *number;
        }
        let number = self.0.len();
        self.0.insert(site.into(), number);
        number
    }
}

/// Accepted records of one month.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct MonthTally {
    /// How many.
    records: u64,
    /// How many have each field, in the order of the fields.
    filled: Vec<u64>,
    /// Of these, how many are not asked for it.
    not_asked: Vec<u64>,
    /// How many are of each kind.
    kinds: [u64; AskedOf::ALL.len()],
    /// For each of `TIMES` how often its minutes end in each digit, and last how often there is none.
    digits: [[u64; 16]; TIMES.len()],
}

impl MonthTally {
    fn new(fields: usize) -> MonthTally {
        MonthTally {
            records: 0,
            filled: vec![0; fields],
            not_asked: vec![0; fields],
            kinds: [0; AskedOf::ALL.len()],
            digits: [[0; 16]; TIMES.len()],
        }
    }

    fn add(&mut self, row: Counted) {
        self.records += 1;
        for place in row.filled.places() {
            self.filled[place] += 1;
        }
        for place in row.not_asked.places() {
            self.not_asked[place] += 1;
        }
        for kind in row.kinds.numbers() {
            self.kinds[kind] += 1;
        }
        for (counts, digit) in self.digits.iter_mut().zip(row.digits.each()) {
            counts[usize::from(digit)] += 1;
        }
    }

    /// How many have a field, of those that are asked for it; `None` where none ever is.
    fn filled_of_asked(&self, field: CaseField) -> Option<Filled> {
        let kind = AskedOf::of(field)?;
        let place = field.index();
        Some(Filled {
            filled: self.filled[place] - self.not_asked[place],
            cases: self.kinds[kind as usize],
        })
    }

    /// How often the minutes of a moment end in each digit; `None` when there are none.
    fn last_digits(&self, field: CaseField) -> Option<[u64; 10]> {
        let place = TIMES.iter().position(|time| *time == field)?;
        let digits: [u64; 10] = std::array::from_fn(|digit| self.digits[place][digit]);
        digits.iter().any(|count| *count > 0).then_some(digits)
    }
}

/// Accepted records by what reports list: months, sites, and how many have each field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Tallies {
    by_month: BTreeMap<Month, MonthTally>,
    /// Passes, which have no month of their own.
    without_month: MonthTally,
    pub(super) sites: BTreeMap<String, u64>,
    fields: usize,
    /// Of the block that is being counted, by number.
    sites_of_block: Vec<u64>,
}

impl Tallies {
    /// Nothing yet of records of one kind.
    pub(super) fn new<F: Field>() -> Tallies {
        Tallies {
            by_month: BTreeMap::new(),
            without_month: MonthTally::new(F::ALL.len()),
            sites: BTreeMap::new(),
            fields: F::ALL.len(),
            sites_of_block: Vec::new(),
        }
    }

    /// Counts one row.
    pub(super) fn add(&mut self, row: Counted) {
        let fields = self.fields;
        match row.month {
            None => self.without_month.add(row),
            Some(month) => self
                .by_month
                .entry(month)
                .or_insert_with(|| MonthTally::new(fields))
                .add(row),
        }
        if let Some(site) = row.site {
            if self.sites_of_block.len() <= site {
                self.sites_of_block.resize(site + 1, 0);
            }
            self.sites_of_block[site] += 1;
        }
    }

    /// Names the sites of the rows that were added since the last block.
    pub(super) fn end_block(&mut self, sites: &SiteNumbers) {
        for (site, number) in &sites.0 {
            let count = self.sites_of_block.get(*number).copied().unwrap_or(0);
            if count > 0 {
                *self.sites.entry(site.to_string()).or_default() += count;
            }
        }
        self.sites_of_block.clear();
    }

    /// How many records have the field at that place.
    pub(super) fn filled(&self, place: usize) -> u64 {
        let months = self.by_month.values().chain([&self.without_month]);
        months.map(|month| month.filled[place]).sum()
    }

    /// The columns that have a value in at least one record.
    pub(super) fn filled_columns<F: Field>(&self) -> impl Iterator<Item = &'static str> {
        let fields = F::ALL.iter().filter(|field| self.filled(field.index()) > 0);
        fields.map(|field| field.column())
    }

    /// Records by month.
    pub(super) fn months(&self) -> BTreeMap<Month, u64> {
        let months = self.by_month.iter();
        months
            .map(|(month, tally)| (*month, tally.records))
            .collect()
    }

    /// What was recorded of these fields, month by month.
    pub(super) fn recording(&self, fields: &[CaseField]) -> Recording {
        let mut recording = Recording::default();
        for (month, tally) in &self.by_month {
            for field in fields {
                if let Some(filled) = tally.filled_of_asked(*field) {
                    recording.completeness.insert((*field, *month), filled);
                }
                if let Some(digits) = tally.last_digits(*field) {
                    recording.last_digits.insert((*field, *month), digits);
                }
            }
        }
        recording
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_rows_that_are_added_count_and_blocks_number_their_sites_anew() {
        let mut tallies = Tallies::new::<CaseField>();
        let row = |site: &'static str, sites: &mut SiteNumbers| {
            let mut record = Record::empty();
            record.set(CaseField::Site, Value::Text(site));
            let month = Month::new(2026, 9).expect("a month");
            record.set(CaseField::Month, Value::Month(WholeWord(month)));
            record.set(CaseField::Sex, Value::Code("female"));
            record.set(CaseField::Sex, Value::Missing);
            Counted::of_case(&record, &TimeForm::Elapsed, sites)
        };
        let mut sites = SiteNumbers::default();
        tallies.add(row("Birch", &mut sites));
        // A row that repeats another one is read and not counted.
        row("Cedar", &mut sites);
        tallies.add(row("Alder", &mut sites));
        tallies.end_block(&sites);
        let mut sites = SiteNumbers::default();
        tallies.add(row("Alder", &mut sites));
        tallies.end_block(&sites);

        let counts: Vec<_> = tallies
            .sites
            .iter()
            .map(|(s, n)| (s.as_str(), *n))
            .collect();
        assert_eq!(counts, [("Alder", 2), ("Birch", 1)]);
        assert_eq!(tallies.months().values().sum::<u64>(), 3);
        let filled: Vec<_> = tallies.filled_columns::<CaseField>().collect();
        assert_eq!(filled, ["site", "month"]);
        assert_eq!(tallies.filled(CaseField::Site.index()), 3);
    }

    #[test]
    fn a_month_counts_blanks_among_the_cases_that_are_asked_and_last_digits() {
        let mut tallies = Tallies::new::<CaseField>();
        let mut sites = SiteNumbers::default();
        let mut add = |month: u8, presentation, object: Option<&'static str>, team: Option<i64>| {
            let mut record = Record::empty();
            let month = Month::new(2026, month).expect("a month");
            record.set(CaseField::Month, Value::Month(WholeWord(month)));
            record.set(CaseField::Presentation, Value::Code(presentation));
            if let Some(object) = object {
                record.set(CaseField::ObjectType, Value::Code(object));
            }
            if let Some(team) = team {
                record.set(CaseField::TeamAt, Value::Whole(team));
            }
            let row = Counted::of_case(&record, &TimeForm::Elapsed, &mut sites);
            tallies.add(row);
        };
        add(8, "foreign_body", Some("coin"), Some(20));
        add(8, "foreign_body", None, Some(25));
        // Not asked for an object, and yet it has one: neither filled nor blank.
        add(8, "upper_bleed", Some("coin"), None);
        add(9, "lower_bleed", None, Some(21));
        let fields = [
            CaseField::TeamAt,
            CaseField::ObjectType,
            CaseField::DeathDays,
        ];
        let recording = tallies.recording(&fields);
        let at = |field, month| {
            let key = (field, Month::new(2026, month).expect("a month"));
            let filled = recording.completeness.get(&key);
            filled.map(|filled| (filled.filled, filled.cases))
        };
        assert_eq!(at(CaseField::ObjectType, 8), Some((1, 2)));
        assert_eq!(at(CaseField::ObjectType, 9), Some((0, 0)));
        assert_eq!(at(CaseField::TeamAt, 8), Some((2, 3)));
        assert_eq!(at(CaseField::TeamAt, 9), Some((1, 1)));
        assert_eq!(at(CaseField::DeathDays, 8), None);
        let digits: Vec<_> = recording.last_digits.values().copied().collect();
        assert_eq!(
            digits,
            [
                [1, 0, 0, 0, 0, 1, 0, 0, 0, 0],
                [0, 1, 0, 0, 0, 0, 0, 0, 0, 0]
            ]
        );
    }
}
