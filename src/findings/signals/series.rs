//! What was counted in each month of one chart. A month in which nothing could be judged is a gap;
//! a watched month without a call is a zero.

use super::followed::Followed;
use crate::domain::counts::CountTables;
use crate::domain::counts::Key;
use crate::domain::measure::MeasureKind;
use crate::domain::month::Month;
use crate::domain::tally::Tally;
use crate::findings::estimate;
use crate::findings::finding::Statistic;
use crate::stats::chart::rate::EventCount;
use std::collections::BTreeMap;

/// Fewest cases of a month for a median that can stand for the month.
const CASES_FOR_MEDIAN: u64 = 5;

/// The counts of a chart, month by month without a hole.
pub(super) struct Series {
    pub(super) months: Vec<Month>,
    /// What each value is out of.
    pub(super) n: Vec<u64>,
    pub(super) data: Data,
}

/// One entry for each month; `None` is a gap.
pub(super) enum Data {
    /// Cases that meet a definition.
    Shares(Vec<Option<Tally>>),
    /// Passes that meet a definition; those of one case go together.
    Passes(Vec<Option<Tally>>),
    /// Events in units of 30 site-days.
    Rates(Vec<Option<EventCount>>),
    /// Medians of minutes.
    Medians(Vec<Option<f64>>),
}

impl Series {
    /// `None` when nothing was counted in any of the months.
    pub(super) fn of(
        counts: &CountTables,
        followed: &Followed<'_>,
        first: Month,
        last: Month,
    ) -> Option<Series> {
        let months: Vec<Month> = first.through(last).collect();
        let place = Place {
            months: &months,
            followed,
        };
        let (n, data) = match followed.definition.kind {
            MeasureKind::Share => {
                let of_month = |count: &_| {
                    let tally = estimate::tally(*count);
                    (tally.map_or(0, Tally::cases), tally)
                };
                let (n, tallies) = place.read(&counts.shares, of_month)?;
                (n, Data::Shares(tallies))
            }
            MeasureKind::ClusteredShare => {
                let of_month = |count: &_| {
                    let (events, attempts) = estimate::events_and_attempts(count);
                    (attempts, Tally::new(events, attempts).ok().flatten())
                };
                let (n, tallies) = place.read(&counts.passes, of_month)?;
                (n, Data::Passes(tallies))
            }
            MeasureKind::Count => {
                let of_month = |count: &_| {
                    let (events, exposure) = estimate::events_and_exposure(*count);
                    (events, EventCount::new(events, exposure))
                };
                let (n, rates) = place.read(&counts.events, of_month)?;
                (n, Data::Rates(rates))
            }
            MeasureKind::Minutes => {
                let of_month = |count: &_| {
                    let (cases, median) = estimate::cases_and_median(count);
                    (cases, median.filter(|_| cases >= CASES_FOR_MEDIAN))
                };
                let (n, medians) = place.read(&counts.minutes, of_month)?;
                (n, Data::Medians(medians))
            }
        };
        Some(Series { months, n, data })
    }

    /// Which number of the measure this is.
    pub(super) fn statistic(&self) -> Statistic {
        match self.data {
            Data::Shares(_) | Data::Passes(_) => Statistic::Share,
            Data::Rates(_) => Statistic::Rate,
            Data::Medians(_) => Statistic::Median,
        }
    }

    /// The values in the unit of the statistic.
    pub(super) fn values(&self) -> Vec<Option<f64>> {
        match &self.data {
            Data::Shares(tallies) | Data::Passes(tallies) => tallies
                .iter()
                .map(|tally| tally.map(Tally::share))
                .collect(),
            Data::Rates(counts) => counts
                .iter()
                .map(|count| count.map(EventCount::rate))
                .collect(),
            Data::Medians(medians) => medians.clone(),
        }
    }
}

struct Place<'a> {
    months: &'a [Month],
    followed: &'a Followed<'a>,
}

impl Place<'_> {
    /// What each month is out of, and its entry. `None` when no month stands in the table.
    fn read<C, T>(
        &self,
        table: &BTreeMap<Key, C>,
        of_month: impl Fn(&C) -> (u64, Option<T>),
    ) -> Option<(Vec<u64>, Vec<Option<T>>)> {
        let mut key = Key {
            measure: self.followed.definition.id.clone(),
            version: self.followed.definition.version,
            by: self.followed.by.to_owned(),
            group: self.followed.group.clone(),
            month: None,
        };
        let mut was_counted = false;
        let entries = self.months.iter().map(|month| {
            key.month = Some(*month);
            table.get(&key).map_or((0, None), |count| {
                was_counted = true;
                of_month(count)
            })
        });
        let entries = entries.unzip();
        was_counted.then_some(entries)
    }
}
