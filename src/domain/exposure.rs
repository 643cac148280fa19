//! Observed time: for how long each site was watched, so that calls become rates.

use super::codes::{Shift, Weekday};
use super::month::Month;
use std::collections::{BTreeMap, BTreeSet};

/// A stretch of observed time.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ExposureCell {
    /// The site.
    pub site: String,
    /// The month.
    pub month: Month,
    /// The shift.
    pub shift: Shift,
}

/// One hour of the week in one month.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct WeekHour {
    /// The month.
    pub month: Month,
    /// The day.
    pub weekday: Weekday,
    /// The hour on the clock in which it begins, 0 to 23.
    pub hour: u8,
}

/// Observed minutes. A month without a call is observed all the same.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Exposure {
    /// Minutes per site, month and shift.
    pub by_shift: BTreeMap<ExposureCell, u64>,
    /// Minutes of the calendar per month and hour of the week, the same at every site: exact over
    /// clock changes, so that the hour that a clock change skips is short and one that is repeated
    /// is long.
    pub by_hour: BTreeMap<WeekHour, u64>,
}

impl Exposure {
    /// Nothing observed.
    pub fn new() -> Exposure {
        Exposure::default()
    }

    /// How many sites were observed in each month.
    pub fn sites_by_month(&self) -> BTreeMap<Month, u64> {
        let watched: BTreeSet<(Month, &str)> = self
            .by_shift
            .keys()
            .map(|cell| (cell.month, cell.site.as_str()))
            .collect();
        let mut sites = BTreeMap::new();
        for (month, _) in watched {
            *sites.entry(month).or_insert(0) += 1;
        }
        sites
    }
}

/// Which hours of a usual week are staffed, holidays aside: those of which at least half is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct StaffedWeek {
    is_staffed: [[bool; 24]; 7],
}

impl StaffedWeek {
    /// The week by what is said of each hour.
    pub fn new(is_staffed: impl Fn(Weekday, u8) -> bool) -> StaffedWeek {
        let mut week = StaffedWeek::default();
        for (hours, day) in week.is_staffed.iter_mut().zip(Weekday::ALL) {
            for (staffed, hour) in hours.iter_mut().zip(0..) {
                *staffed = is_staffed(*day, hour);
            }
        }
        week
    }

    /// Whether an hour, 0 to 23, is staffed.
    pub fn is_staffed(&self, day: Weekday, hour: u8) -> bool {
        self.is_staffed[day as usize]
            .get(usize::from(hour))
            .is_some_and(|staffed| *staffed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_month_counts_each_of_its_sites_once() {
        let month = |text: &str| text.parse().expect("a month");
        let mut exposure = Exposure::new();
        for (site, text) in [
            ("Alder", "2026-01"),
            ("Birch", "2026-01"),
            ("Alder", "2026-02"),
        ] {
            for shift in Shift::ALL {
                let cell = ExposureCell {
                    site: site.to_owned(),
                    month: month(text),
                    shift: *shift,
                };
                exposure.by_shift.insert(cell, 60);
            }
        }
        let expected = BTreeMap::from([(month("2026-01"), 2), (month("2026-02"), 1)]);
        assert_eq!(exposure.sites_by_month(), expected);
    }

    #[test]
    fn a_week_holds_what_is_said_of_each_hour() {
        let week = StaffedWeek::new(|day, hour| day == Weekday::Sunday && hour == 23);
        assert!(week.is_staffed(Weekday::Sunday, 23));
        assert!(!week.is_staffed(Weekday::Sunday, 22) && !week.is_staffed(Weekday::Monday, 23));
        assert!(!week.is_staffed(Weekday::Sunday, 24));
    }
}
