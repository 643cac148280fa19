//! What reports list of accepted records, counted row by row, whether the records are kept or not.
//!
//! A thread notes of each row what is to be counted; only the merge knows which rows count.

use super::cell::{Value, WholeWord};
use super::records::{FilledFields, Record};
use crate::domain::fields::{CaseField, Field};
use crate::domain::month::Month;
use std::collections::BTreeMap;

/// What is counted of one row.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Counted {
    filled: FilledFields,
    month: Option<Month>,
    /// The site, by its number in the block.
    site: Option<usize>,
}

impl Counted {
    /// What is counted of a pass.
    pub(super) fn of_pass(filled: FilledFields) -> Counted {
        Counted {
            filled,
            ..Counted::default()
        }
    }

    /// What is counted of a case in a block with `sites`.
    pub(super) fn of_case(record: &Record<'_, CaseField>, sites: &mut SiteNumbers) -> Counted {
        Counted {
            filled: record.filled(),
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

/// Accepted records by what reports list: months, sites, and how many have each field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Tallies {
    pub(super) months: BTreeMap<Month, u64>,
    pub(super) sites: BTreeMap<String, u64>,
    /// In the order of the fields.
    pub(super) filled: Vec<u64>,
    /// Of the block that is being counted, by number.
    sites_of_block: Vec<u64>,
}

impl Tallies {
    /// Nothing yet of records of one kind.
    pub(super) fn new<F: Field>() -> Tallies {
        Tallies {
            months: BTreeMap::new(),
            sites: BTreeMap::new(),
            filled: vec![0; F::ALL.len()],
            sites_of_block: Vec::new(),
        }
    }

    /// Counts one row.
    pub(super) fn add(&mut self, row: Counted) {
        for place in row.filled.places() {
            self.filled[place] += 1;
        }
        if let Some(month) = row.month {
            *self.months.entry(month).or_default() += 1;
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

    /// The columns that have a value in at least one record.
    pub(super) fn filled_columns<F: Field>(&self) -> impl Iterator<Item = &'static str> {
        let fields = F::ALL.iter().zip(&self.filled);
        fields
            .filter(|(_, count)| **count > 0)
            .map(|(field, _)| field.column())
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
            Counted::of_case(&record, sites)
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
        assert_eq!(tallies.months.values().sum::<u64>(), 3);
        let filled: Vec<_> = tallies.filled_columns::<CaseField>().collect();
        assert_eq!(filled, ["site", "month"]);
        assert_eq!(tallies.filled[CaseField::Site.index()], 3);
    }
}
