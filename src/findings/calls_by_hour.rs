//! Calls by weekday and hour, in blocks of hours where calls are few.

use crate::domain::codes::Weekday;
use crate::domain::counts::{Additive, CountTables, EventsCount, Key};
use crate::domain::measure::Definition;

/// The measure that counts calls.
pub const CALLS: &str = "calls";

/// The grouping that is read.
pub const BY: &str = "weekday+hour";

/// Lengths of a block that cut the day evenly, shortest first.
const BLOCK_HOURS: [u8; 5] = [1, 2, 3, 4, 6];

/// A block is as short as leaves so many calls to each cell on average.
pub const CALLS_PER_CELL: u64 = 5;

/// Calls of the whole period, and the time that they were watched for, by weekday and block.
#[derive(Clone, Debug, PartialEq)]
pub struct CallsByHour {
    /// Hours of a block.
    pub block_hours: u8,
    /// For each weekday from Monday on, its blocks from midnight on.
    pub days: Vec<Vec<EventsCount>>,
    /// Calls of which weekday or hour is not recorded.
    pub not_known: u64,
}

impl CallsByHour {
    /// All calls with a weekday and an hour.
    pub fn all(&self) -> EventsCount {
        sum(self.days.iter().flatten())
    }

    /// The calls of each block, all days together.
    pub fn by_block(&self) -> Vec<EventsCount> {
        let places = self.days.first().map_or(0, Vec::len);
        (0..places)
            .map(|place| sum(self.days.iter().map(|day| &day[place])))
            .collect()
    }

    /// The first hour of each block.
    pub fn first_hours(&self) -> impl Iterator<Item = u8> {
        (0..24).step_by(usize::from(self.block_hours))
    }

    /// The most calls that a cell holds.
    pub fn highest(&self) -> u64 {
        let cells = self.days.iter().flatten();
        cells.map(|cell| cell.events).max().unwrap_or(0)
    }

    /// Calls of a cell on average, and between which counts about 19 of 20 cells would lie if calls came
    /// evenly: two standard deviations of a count on either side.
    pub fn even_cell(&self) -> (f64, [f64; 2]) {
        let cells = self.days.iter().map(Vec::len).sum::<usize>();
        let mean = self.all().events as f64 / cells.max(1) as f64;
        let spread = 2.0 * mean.sqrt();
        let low = (mean - spread).max(0.0).ceil();
        (mean, [low, (mean + spread).floor()])
    }
}

/// The calls by weekday and block. `None` when they were not counted by hour, or none has one.
pub fn calls_by_hour(counts: &CountTables, calls: &Definition) -> Option<CallsByHour> {
    let hours: Vec<Vec<EventsCount>> = Weekday::ALL
        .iter()
        .map(|weekday| {
            let hours = 0..24_u8;
            hours
                .map(|hour| {
                    let key = Key {
                        by: BY.to_owned(),
                        group: format!("{}|{hour}", weekday.code()),
                        ..Key::of_all(calls, None)
                    };
                    counts.events.get(&key).copied().unwrap_or_default()
                })
                .collect()
        })
        .collect();
    let known = sum(hours.iter().flatten()).events;
    if known == 0 {
        return None;
    }
    let block_hours = block_hours(known);
    let all = counts.events.get(&Key::of_all(calls, None));
    Some(CallsByHour {
        block_hours,
        days: hours
            .iter()
            .map(|day| {
                let blocks = day.chunks(usize::from(block_hours));
                blocks.map(|block| sum(block.iter())).collect()
            })
            .collect(),
        not_known: all.map_or(0, |all| all.events.saturating_sub(known)),
    })
}

/// Counts added up.
pub fn sum<'a>(counts: impl Iterator<Item = &'a EventsCount>) -> EventsCount {
    counts.fold(EventsCount::default(), |mut sum, count| {
        sum.add(count);
        sum
    })
}

/// The shortest block that leaves enough calls to each cell, or else the longest.
fn block_hours(calls: u64) -> u8 {
    let has_enough = |hours: &u8| calls * u64::from(*hours) >= CALLS_PER_CELL * 7 * 24;
    let longest = BLOCK_HOURS[BLOCK_HOURS.len() - 1];
    BLOCK_HOURS.into_iter().find(has_enough).unwrap_or(longest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::drift::tests::calls;

    #[test]
    fn a_block_is_as_short_as_the_calls_allow() {
        // 840 calls are 5 in each of 168 hours.
        assert_eq!(block_hours(840), 1);
        assert_eq!(block_hours(839), 2);
        assert_eq!(block_hours(420), 2);
        assert_eq!(block_hours(419), 3);
        assert_eq!(block_hours(210), 4);
        assert_eq!(block_hours(209), 6);
        assert_eq!(block_hours(1), 6);
    }

    #[test]
    fn calls_add_up_by_block_day_and_week_with_the_time_they_were_watched() {
        let mut counts = CountTables::default();
        let mut add = |by: &str, group: &str, events, exposure_minutes| {
            let key = Key {
                by: by.to_owned(),
                group: group.to_owned(),
                ..Key::of_all(&calls(), None)
            };
            let count = EventsCount {
                events,
                exposure_minutes,
            };
            counts.events.insert(key, count);
        };
        add("all", "all", 100, 10_000);
        add(BY, "mon|5", 30, 240);
        add(BY, "mon|6", 20, 240);
        add(BY, "sun|11", 40, 300);
        add(BY, "not_recorded|3", 10, 0);
        let found = calls_by_hour(&counts, &calls()).expect("calls by hour");
        assert_eq!((found.block_hours, found.not_known), (6, 10));
        let events = |counts: &[EventsCount]| -> Vec<u64> {
            counts.iter().map(|count| count.events).collect()
        };
        assert_eq!(events(&found.days[0]), [30, 20, 0, 0]);
        assert_eq!(events(&found.days[6]), [0, 40, 0, 0]);
        assert_eq!(events(&found.by_block()), [30, 60, 0, 0]);
        assert_eq!(found.by_block()[1].exposure_minutes, 540);
        assert_eq!((found.all().events, found.highest()), (90, 40));
        // 90 in 28 cells: 3.214 on average, and two roots of it are 3.586 on either side.
        let (mean, [low, high]) = found.even_cell();
        assert!((mean - 3.214).abs() < 0.001);
        assert!(low.abs() < 1e-12 && (high - 6.0).abs() < 1e-12);
        assert_eq!(calls_by_hour(&CountTables::default(), &calls()), None);
    }
}
