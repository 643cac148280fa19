mod service;
mod week;

use super::*;
use crate::domain::codes::Weekday;
use crate::domain::counts::Key;
use crate::findings::calls_by_hour::BY;
use crate::findings::drift::tests::calls;

fn month(text: &str) -> Month {
    text.parse().expect("a month")
}

/// Minutes of the days of a month.
fn minutes(month: Month) -> u64 {
    u64::from(month.days()) * 24 * 60
}

/// Count tables of calls, filled group by group.
#[derive(Default)]
struct Tables(CountTables);

impl Tables {
    fn add(
        &mut self,
        by: &str,
        group: &str,
        month: Option<Month>,
        (events, exposure_minutes): (u64, u64),
    ) {
        let key = Key {
            by: by.to_owned(),
            group: group.to_owned(),
            ..Key::of_all(&calls(), month)
        };
        let count = EventsCount {
            events,
            exposure_minutes,
        };
        self.0.events.entry(key).or_default().add(&count);
    }

    /// Calls of a site month by month from `first` on, observed in all of it, and among those of all.
    fn site(&mut self, site: &str, first: &str, events: &[u64]) {
        let first = month(first);
        for (events, place) in events.iter().zip(0..) {
            let at = first.plus(place);
            let count = (*events, minutes(at));
            for month in [Some(at), None] {
                self.add("site", site, month, count);
                self.add(ALL, ALL, month, count);
            }
        }
    }

    /// Calls and time of a shift in a month.
    fn shift(&mut self, shift: &str, month: Month, count: (u64, u64)) {
        for month in [Some(month), None] {
            self.add("shift", shift, month, count);
        }
    }

    fn demand(&self, first: &str, last: &str) -> Demand {
        let (first, last) = (month(first), month(last));
        demand(&self.0, &[calls()], first, last, Settings::default()).expect("calls")
    }
}

/// A demand of two years at three sites, one of which starts late, with more calls in the evening.
pub(crate) fn invented() -> Demand {
    let mut tables = Tables::default();
    let first = month("2024-10");
    for (site, level, quiet) in [("Alder", 22, 0), ("Birch", 14, 0), ("Cedar", 9, 9)] {
        for place in 0..24 {
            let at = first.plus(place);
            let step = u64::try_from(place).expect("0 to 23");
            let events = if place < quiet {
                0
            } else {
                level + step * 7 % 10
            };
            tables.site(site, &at.to_string(), &[events]);
            let shifts = [
                ("in_hours", events / 3, minutes(at) / 4),
                (
                    "after_hours",
                    events - events / 3,
                    minutes(at) - minutes(at) / 4,
                ),
            ];
            for (shift, events, time) in shifts {
                let group = format!("{site}|{shift}");
                tables.add("site+shift", &group, None, (events, time));
                tables.shift(shift, at, (events, time));
            }
        }
    }
    for day in Weekday::ALL {
        for hour in 0..24_u64 {
            let is_evening = (17..23).contains(&hour);
            let events = 3 + hour % 4 + if is_evening { 6 } else { 0 };
            let group = format!("{}|{hour}", day.code());
            tables.add(BY, &group, None, (events, 104 * 60 * 3));
        }
    }
    tables.demand("2024-10", "2026-09")
}

/// A demand of one month at one site, with 31 calls that have their hour.
pub(crate) fn few_by_hour() -> Demand {
    let mut tables = Tables::default();
    tables.add(BY, "mon|5", None, (30, 600));
    tables.add(BY, "sun|5", None, (1, 600));
    tables.site("Alder", "2025-03", &[31]);
    tables.demand("2025-03", "2025-03")
}

/// A demand of one site with so many calls in each month from the first on.
pub(crate) fn one_site(first: &str, last: &str, events: &[u64]) -> Demand {
    let mut tables = Tables::default();
    tables.site("Alder", first, events);
    tables.demand(first, last)
}

fn near(actual: f64, expected: f64, by: f64) {
    assert!((actual - expected).abs() < by, "{actual} {expected}");
}

#[test]
fn calls_that_were_not_counted_give_no_demand() {
    let (first, last) = (month("2025-01"), month("2025-12"));
    let settings = Settings::default();
    let none = CountTables::default();
    assert_eq!(demand(&none, &[calls()], first, last, settings), None);
    assert_eq!(demand(&none, &[], first, last, settings), None);
}

/// Garwood's table: 12 events have 6.20 to 20.96, none 0 to 3.69, 60 have 45.79 to 77.23.
#[test]
fn a_rate_is_per_30_days_with_garwoods_interval() {
    for (events, low, high) in [(0, 0.0, 3.69), (12, 6.20, 20.96), (60, 45.79, 77.23)] {
        // April has 30 days.
        let found = one_site("2025-04", "2025-04", &[events]);
        let rate = found.all.rate.expect("time");
        near(rate.rate, events as f64, 1e-9);
        near(rate.low, low, 0.005);
        near(rate.high, high, 0.005);
        assert_eq!(rate.method(), RateMethod::Garwood);
        assert_eq!(found.all.evenness, Evenness::TooFewMonths(1));
    }
    // 31 calls in the 31 days of May are 30 in 30 days; one site is no list of sites.
    let found = one_site("2025-05", "2025-05", &[31]);
    near(found.all.rate.expect("time").rate, 30.0, 1e-9);
    assert!(found.sites.is_empty() && found.week.is_none() && found.all.by_shift.is_none());
}

/// 24 calls in 12 months: 2 to 12 in the next quarter of 92 days; one of 91 days has a lower limit
/// of 1 (mpmath 1.3: quantiles of the negative binomial of size 24.5 and p = 365 / 456).
#[test]
fn the_next_three_months_are_predicted_from_their_days() {
    let found = one_site("2024-07", "2025-06", &[2; 12]);
    let ahead = found.all.prediction.expect("a prediction");
    assert_eq!(
        (ahead.low, ahead.high, ahead.days, ahead.sites),
        (2, 12, 92, 1)
    );
    assert_eq!((ahead.base.events, ahead.year_before), (24, Some(6)));
    assert_eq!(ahead.base.exposure_minutes, 365 * 24 * 60);
    assert_eq!(ahead.method_code(), "jeffreys_negative_binomial");
    let months: Vec<_> = ahead
        .months
        .iter()
        .map(|next| (next.month.to_string(), next.low, next.high))
        .collect();
    assert_eq!(
        months,
        [("2025-07", 0, 5), ("2025-08", 0, 5), ("2025-09", 0, 5)].map(|(month, low, high)| (
            month.to_owned(),
            low,
            high
        ))
    );
    let spring = one_site("2024-04", "2025-03", &[2; 12]).all.prediction;
    let spring = spring.expect("a prediction");
    assert_eq!((spring.low, spring.high, spring.days), (1, 12, 91));
}

/// Mondays to Fridays of the months of 2024, 262 in all.
const WORKDAYS_OF_2024: [u64; 12] = [23, 21, 21, 22, 23, 20, 23, 22, 21, 23, 21, 22];

#[test]
fn the_part_after_hours_stands_beside_that_of_the_clock() {
    let mut tables = Tables::default();
    // 100 calls in 2024, of which 67 after hours: 6 a month and 1 more in January to July, less 12.
    let after = [6, 6, 6, 6, 6, 6, 6, 5, 5, 5, 5, 5];
    let inside = [3, 3, 3, 3, 3, 3, 3, 3, 3, 2, 2, 2];
    for (place, days) in (0..).zip(WORKDAYS_OF_2024) {
        let at = month("2024-01").plus(place);
        let staffed = days * 9 * 60;
        let index = usize::try_from(place).expect("0 to 11");
        let of_shift = [
            ("in_hours", inside[index], staffed),
            ("after_hours", after[index], minutes(at) - staffed),
        ];
        for (shift, events, time) in of_shift {
            tables.shift(shift, at, (events, time));
        }
        tables.site("Alder", &at.to_string(), &[inside[index] + after[index]]);
    }
    // One call has no shift.
    tables.site("Alder", "2024-12", &[0]);
    tables.add(ALL, ALL, Some(month("2024-03")), (1, 0));
    let found = tables.demand("2024-01", "2024-12");
    let shifts = found.all.by_shift.expect("shifts");
    let after = shifts.after.expect("calls");
    // 262 days of 9 staffed hours in 8,784 hours.
    near(after.clock_share, 0.732, 0.0005);
    assert_eq!((after.events, after.calls, shifts.not_known), (67, 100, 1));
    // mpmath 1.3: the formula of Wilson; Clopper-Pearson limits of 67 in 100, times the ratio of times.
    near(after.interval.low, 0.573_053_44, 1e-8);
    near(after.interval.high, 0.754_368_77, 1e-8);
    near(after.ratio.estimate.expect("calls"), 0.745_013_156_8, 1e-9);
    near(after.ratio.low, 0.484_096_75, 1e-7);
    near(after.ratio.high, 1.167_121_1, 1e-6);
    // 33 calls in 2,358 staffed hours are 10.08 in 720.
    near(
        shifts.in_hours.expect("hours").rate,
        33.0 / 2358.0 * 720.0,
        1e-9,
    );
}

/// Months of 0 and 40 calls in turn: variance over mean of 20 times 12 / 11, about 22.
#[test]
fn months_that_differ_by_more_than_chance_widen_intervals_and_predictions() {
    let even = one_site("2024-07", "2025-06", &[20; 12]).all;
    let uneven: Vec<u64> = (0..12).map(|place| 40 * (place % 2)).collect();
    let uneven = one_site("2024-07", "2025-06", &uneven).all;
    let Evenness::Uneven(found) = uneven.evenness else {
        panic!("{:?}", uneven.evenness);
    };
    near(found.index, 20.0 * 12.0 / 11.0, 0.5);
    assert!(found.p < 1e-9);
    let width = |demand: &SiteDemand| {
        let rate = demand.rate.expect("time");
        rate.high - rate.low
    };
    let wider = width(&uneven) / width(&even);
    near(wider, found.index.sqrt(), 0.5);
    assert_eq!(
        uneven.rate.map(|rate| rate.method()),
        Some(RateMethod::EffectiveCount)
    );
    let [even, uneven] = [even, uneven].map(|demand| demand.prediction.expect("a prediction"));
    assert!(uneven.low < even.low && uneven.high > even.high + 30);
    assert_eq!(uneven.method_code(), "quasi_poisson_negative_binomial");
}

#[test]
fn a_rate_that_rises_is_predicted_from_its_last_12_months() {
    // From 10 to 33 calls a month in two years.
    let rising: Vec<u64> = (10..34).collect();
    let found = one_site("2024-01", "2025-12", &rising).all;
    let trend = found.clear_trend().expect("a clear trend");
    // About (33 / 10)^(12 / 23) = 1.86 a year on a straight line of logarithms; less, since equal
    // steps are ever smaller parts.
    assert!((1.5..1.9).contains(&trend.ratio), "{trend:?}");
    let ahead = found.prediction.expect("a prediction");
    assert!(ahead.is_recent && ahead.has_trend);
    assert_eq!(
        (ahead.base_first, ahead.base_last),
        (month("2025-01"), month("2025-12"))
    );
    // 22 to 33; about the line they vary by less than chance.
    assert_eq!(ahead.base.events, (22..34).sum::<u64>());
    near(ahead.index, 1.0, 1e-12);
    // 12 months are too few to leave any out.
    let short = one_site(
        "2025-01",
        "2025-12",
        &[4, 5, 8, 9, 11, 16, 19, 22, 25, 29, 33, 40],
    )
    .all;
    let ahead = short.prediction.clone().expect("a prediction");
    assert!(short.clear_trend().is_some() && ahead.has_trend && !ahead.is_recent);
    assert_eq!(ahead.base_first, month("2025-01"));
}
