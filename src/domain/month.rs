//! Calendar months, the grain of every time series here.

use std::fmt;
use std::str::FromStr;

/// A calendar month, ordered in time. Years 1900 to 2200.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Month {
    year: u16,
    /// 1 to 12.
    number: u8,
}

/// A text that is not `YYYY-MM` with a year of 1900 to 2200 and a month of 01 to 12.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a month is written YYYY-MM, for example 2026-09")]
pub struct MonthError;

impl Month {
    /// The month `number` (1 to 12) of `year` (1900 to 2200).
    ///
    /// # Errors
    /// When either is out of its range.
    pub fn new(year: u16, number: u8) -> Result<Month, MonthError> {
        if (1900..=2200).contains(&year) && (1..=12).contains(&number) {
            Ok(Month { year, number })
        } else {
            Err(MonthError)
        }
    }

    /// The calendar year.
    pub fn year(self) -> u16 {
        self.year
    }

    /// The month of the year, 1 to 12.
    pub fn number(self) -> u8 {
        self.number
    }

    /// The month `months` later, or earlier when negative; stays within the years 1900 to 2200.
    #[must_use]
    pub fn plus(self, months: i32) -> Month {
        let first = 1900 * 12;
        let last = 2200 * 12 + 11;
        let index = (self.index() + months).clamp(first, last);
        Month {
            year: u16::try_from(index / 12).expect("1900 to 2200 after the clamp"),
            number: u8::try_from(index % 12 + 1).expect("1 to 12 by the remainder"),
        }
    }

    /// Number of months from `earlier` to `self`; negative when `self` comes first.
    pub fn since(self, earlier: Month) -> i32 {
        self.index() - earlier.index()
    }

    /// The months from `self` to `last`, both included; none when `last` comes first.
    pub fn through(self, last: Month) -> impl Iterator<Item = Month> {
        (0..=last.since(self)).map(move |step| self.plus(step))
    }

    /// Days of the month, 28 to 31.
    pub fn days(self) -> u8 {
        match self.number {
            2 => {
                let year = self.year;
                let is_leap = year.is_multiple_of(4)
                    && (!year.is_multiple_of(100) || year.is_multiple_of(400));
                28 + u8::from(is_leap)
            }
            4 | 6 | 9 | 11 => 30,
            _ => 31,
        }
    }

    fn index(self) -> i32 {
        i32::from(self.year) * 12 + i32::from(self.number) - 1
    }
}

impl fmt::Display for Month {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}", self.year, self.number)
    }
}

impl FromStr for Month {
    type Err = MonthError;

    fn from_str(text: &str) -> Result<Month, MonthError> {
        let (year, number) = text.split_once('-').ok_or(MonthError)?;
        let is_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        if year.len() != 4 || number.len() != 2 || !is_digits(year) || !is_digits(number) {
            return Err(MonthError);
        }
        Month::new(
            year.parse().map_err(|_| MonthError)?,
            number.parse().map_err(|_| MonthError)?,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn month(text: &str) -> Month {
        text.parse().expect("a month of the test")
    }

    #[test]
    fn months_count_across_years() {
        assert_eq!(month("2026-01").plus(-1), month("2025-12"));
        assert_eq!(month("2024-11").plus(15), month("2026-02"));
        assert_eq!(month("2026-02").since(month("2024-11")), 15);
        let all: Vec<_> = month("2025-11")
            .through(month("2026-02"))
            .map(|m| m.to_string())
            .collect();
        assert_eq!(all, ["2025-11", "2025-12", "2026-01", "2026-02"]);
        assert_eq!(month("2026-02").through(month("2026-01")).count(), 0);
    }

    #[test]
    fn a_month_has_its_days() {
        let days = |text: &str| month(text).days();
        let year = month("2026-01").through(month("2026-12"));
        assert_eq!(year.map(|month| u32::from(month.days())).sum::<u32>(), 365);
        assert_eq!(
            (days("2026-02"), days("2024-02"), days("2000-02")),
            (28, 29, 29)
        );
        assert_eq!((days("1900-02"), days("2100-02")), (28, 28));
        assert_eq!((days("2026-04"), days("2026-12")), (30, 31));
    }

    #[test]
    fn rejects_texts_that_are_no_month() {
        for text in [
            "", "2026", "2026-00", "2026-13", "26-01", "2026-1", "2026-+1", "1899-12",
        ] {
            assert!(text.parse::<Month>().is_err(), "{text}");
        }
    }

    #[test]
    fn stays_within_its_years() {
        assert_eq!(month("1900-01").plus(-5), month("1900-01"));
        assert_eq!(month("2200-12").plus(5), month("2200-12"));
    }
}
