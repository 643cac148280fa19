//! What the numbers and dates of a column say together, of which one alone says nothing. Knows the
//! counts of a watch, no cell.

use super::ColumnWatch;
use super::Looking;

impl ColumnWatch {
    /// Case numbers that are social security numbers without their separators: at least twenty, nine
    /// in ten of the filled cells, from at least four areas. Nearly nine in ten random numbers could
    /// be some, but numbers that are given one after another share their first digits.
    pub(super) fn security_numbers(&self) -> Option<u64> {
        const FEWEST: u64 = 20;
        const FEWEST_AREAS: usize = 4;
        (self.filled >= FEWEST
            && self.security_numbers * 10 >= self.filled * 9
            && self.security_areas.len() >= FEWEST_AREAS)
            .then_some(self.security_numbers)
    }

    /// The dates up to 2015 of a column of dates of birth: at least five dates, half of the filled
    /// cells; the middle four fifths of their years are more than 25 apart, so that a wrong year
    /// here and there proves nothing; and one in five lies before 2001, which no call does. So the
    /// dates of birth of children alone are not found: like dates of earlier visits, they lie within
    /// some years, and all differ.
    pub(super) fn birth_dates(&self) -> Option<u64> {
        const FEWEST: u64 = 5;
        const FEWEST_INITIALS: f64 = 4.0;
        const SPREAD_YEARS: u16 = 25;
        const LAST_OLD_YEAR: u16 = 2000;
        const LAST_YEAR_OF_BIRTH: u16 = 2015;
        let dates: u64 = self.years.values().sum();
        let may_hold_births = !matches!(self.looking, Looking::Nothing | Looking::RefusedCells);
        let has_prefix = (1.0..FEWEST_INITIALS).contains(&self.initials.count());
        if !may_hold_births || has_prefix || dates < FEWEST || dates * 2 < self.filled {
            return None;
        }
        let up_to = |year: u16| -> u64 { self.years.range(..=year).map(|(_, count)| count).sum() };
        let year_at = |rank: u64| {
            let mut seen = 0;
            self.years.iter().find_map(|(year, count)| {
                seen += count;
                (seen > rank).then_some(*year)
            })
        };
        let (low, high) = (year_at(dates / 10)?, year_at(dates - 1 - dates / 10)?);
        (high - low > SPREAD_YEARS && up_to(LAST_OLD_YEAR) * 5 >= dates)
            .then(|| up_to(LAST_YEAR_OF_BIRTH))
    }

    /// The whole numbers of a column of record numbers: at least twenty of six to twelve digits, nine
    /// in ten of the filled cells differ, and not all of them can be times.
    pub(super) fn record_numbers(&self) -> Option<u64> {
        const FEWEST: u64 = 20;
        let differ = self.different_numbers.count() * 10.0 >= self.filled as f64 * 9.0;
        let are_moments = self.moments * 100 >= self.whole_numbers * 95;
        (self.looking == Looking::EveryCell
            && self.whole_numbers >= FEWEST
            && differ
            && !are_moments)
            .then_some(self.whole_numbers)
    }
}
