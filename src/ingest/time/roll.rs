//! The day of a time of day: cells without a date, and cells whose date was copied from one shared
//! column, are carried forward over midnight along the course of a case.
//!
//! Works on the clocks of the zone. Knows no texts and corrects no date that a cell has of its own.
//! Which event leads to which, and how long between them is possible and usual, is data
//! (`sql/interval_limits.csv`).

use super::zone_table::ZoneTable;
use super::{MINUTES_OF_DAY, Written};
use crate::domain::fields::CaseField;
use crate::domain::issue::IssueCode;
use crate::ingest::clock::Reading;
use crate::ingest::rules::{CLOCK_SKEW_MINUTES, IntervalLimits};

/// A patient whom another hospital announces arrives up to so long after the call. It bounds the time
/// from arrival to call below, whose limits in the table are as wide as a stay on a ward.
const ANNOUNCED_MINUTES: i64 = 60;

/// A time of day is carried over midnight up to the usual length of its interval, and in any case up
/// to half a day: nearer to its anchor than a day before. The usual length alone would lose the late
/// ones only where they cross midnight, and so make the intervals of nights look shorter.
const HALF_A_DAY: i64 = 720;

/// No time is carried further than that, however long its interval may be: a step back of less than
/// four hours on the clock is rather a slip than a wait of more than twenty.
const MOST_CARRIED_MINUTES: i64 = 20 * 60;

/// The time of one event as its cells have it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::ingest) struct CourseTime {
    /// What the cells say.
    pub(in crate::ingest) written: Written,
    /// Whether the date is one for the whole case, copied to every event.
    pub(in crate::ingest) has_shared_date: bool,
}

/// The course of one case with every time on its day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::ingest) struct Placed<const N: usize> {
    /// What each clock showed; `None` where there is no time or it has no place.
    pub(in crate::ingest) readings: [Option<Reading>; N],
    /// Of each event: `PastMidnight` where its day differs from the date that it was taken from; why
    /// it has no reading otherwise.
    pub(in crate::ingest) issues: [Option<IssueCode>; N],
    /// Whether the date moved on twice along the course (`TwoMidnights`).
    pub(in crate::ingest) has_two_midnights: bool,
}

/// From which event the day of another follows.
#[derive(Clone, Copy, Debug)]
struct Anchor {
    place: usize,
    gap: Gap,
}

/// How two events follow one another.
#[derive(Clone, Copy, Debug)]
struct Gap {
    /// Whether the anchor is the later of the two.
    is_later: bool,
    /// Least possible minutes between them.
    least: i64,
    /// Most usual minutes between them.
    most: i64,
}

/// From any event that is usually earlier.
const FROM_BEFORE: Gap = Gap {
    is_later: false,
    least: 0,
    most: HALF_A_DAY,
};

/// An event that has its day.
#[derive(Clone, Copy)]
struct Settled {
    local: i64,
    /// Days from the date that was written, here or at the event that the day follows from.
    shift: i64,
    /// Whether only the second pass through a repeated hour keeps the order up to here.
    is_in_second_pass: bool,
}

/// The rule of a course of `N` events, made once per run.
#[derive(Clone, Debug)]
pub(in crate::ingest) struct Roll<const N: usize> {
    /// For each event, the anchors that may serve, the first that has its day is taken.
    anchors: [Vec<Anchor>; N],
    /// In which order events get their day.
    order: Vec<usize>,
    /// The event whose date a shared date is.
    date_of: Option<usize>,
}

impl<const N: usize> Roll<N> {
    /// The rule for events in their usual order, where a date that several share is that of `date_of`.
    pub(in crate::ingest) fn new(
        course: &[CaseField; N],
        limits: &[IntervalLimits],
        date_of: CaseField,
    ) -> Roll<N> {
        let place_of = |field| course.iter().position(|known| *known == field);
        let bounds = |row: &IntervalLimits| {
            if row.from == CaseField::ArrivedAt && row.to == CaseField::CalledAt {
                (-ANNOUNCED_MINUTES, MINUTES_OF_DAY - ANNOUNCED_MINUTES - 1)
            } else {
                let most = row.usual.1.max(row.possible.1.min(HALF_A_DAY));
                (row.possible.0, most.min(MOST_CARRIED_MINUTES))
            }
        };
        let anchors = course.map(|event| {
            let anchor = |row: &IntervalLimits, field, is_later| {
                let (least, most) = bounds(row);
                Some(Anchor {
                    place: place_of(field)?,
                    gap: Gap {
                        is_later,
                        least,
                        most,
                    },
                })
            };
            let from_before: Vec<_> = limits
                .iter()
                .filter(|row| row.to == event)
                .filter_map(|row| anchor(row, row.from, false))
                .collect();
            if !from_before.is_empty() {
                return from_before;
            }
            // Arrival and airway: nothing leads to them, so they follow from what comes after.
            limits
                .iter()
                .filter(|row| row.from == event)
                .filter_map(|row| anchor(row, row.to, true))
                .collect()
        });
        let is_forward = |place: &usize| anchors[*place].iter().all(|anchor| !anchor.gap.is_later);
        let forward = (0..N).filter(is_forward);
        let backward = (0..N).filter(|place| !is_forward(place));
        Roll {
            order: forward.chain(backward).collect(),
            date_of: place_of(date_of),
            anchors,
        }
    }

    /// Gives every time of one case its day, and reads it on the clocks of the zone.
    pub(in crate::ingest) fn place(
        &self,
        times: &[Option<CourseTime>; N],
        zone: &ZoneTable,
    ) -> Placed<N> {
        let mut placed = Placed {
            readings: [None; N],
            issues: [None; N],
            has_two_midnights: false,
        };
        // Nearly every export: nothing to carry.
        if times.iter().flatten().all(CourseTime::has_own_date) {
            for (place, time) in times.iter().enumerate() {
                let Some(time) = time else { continue };
                match time.written.reading(zone) {
                    Ok(reading) => placed.readings[place] = Some(reading),
                    Err(issue) => placed.issues[place] = Some(issue),
                }
            }
            return placed;
        }
        let settled = self.settle(times, zone);
        let (mut least_shift, mut most_shift) = (0, 0);
        for (place, time) in times.iter().enumerate() {
            let Some(time) = time else { continue };
            let issue = match settled[place] {
                None if time.written.minute_of_day.is_none() => Some(IssueCode::NotATime),
                None => Some(IssueCode::NoFittingDay),
                Some(settled) => {
                    let reading = match time.written.offset_minutes {
                        _ if time.has_own_date() => time.written.reading(zone),
                        Some(offset) => Ok(Reading::Once(settled.local - i64::from(offset))),
                        None => zone.resolve(settled.local),
                    };
                    placed.readings[place] = reading.ok();
                    least_shift = least_shift.min(settled.shift);
                    most_shift = most_shift.max(settled.shift);
                    let is_carried = settled.shift != 0;
                    let past_midnight = is_carried.then_some(IssueCode::PastMidnight);
                    reading.err().or(past_midnight)
                }
            };
            placed.issues[place] = issue;
        }
        placed.has_two_midnights = most_shift - least_shift >= 2;
        placed
    }

    fn settle(&self, times: &[Option<CourseTime>; N], zone: &ZoneTable) -> [Option<Settled>; N] {
        let mut settled = [None; N];
        for (place, time) in times.iter().enumerate() {
            let Some(time) = time else { continue };
            let is_first = Some(place) == self.date_of && time.has_shared_date;
            if time.has_own_date() || is_first {
                settled[place] = time.as_written(zone);
            }
        }
        for place in self.order.iter().copied() {
            let Some(time) = times[place].filter(|_| settled[place].is_none()) else {
                continue;
            };
            let anchor = self.anchors[place]
                .iter()
                .find_map(|anchor| settled[anchor.place].map(|known| (anchor, known)));
            // Where what the table names has no time, the event before in the usual order serves.
            let before = || {
                let before = (0..place).rev().find_map(|before| settled[before]);
                before.map(|known| FROM_BEFORE.day_of(time, known, zone))
            };
            settled[place] = match anchor {
                Some((anchor, known)) => anchor.gap.day_of(time, known, zone),
                None => before().unwrap_or_else(|| time.as_written(zone)),
            };
        }
        settled
    }
}

impl CourseTime {
    fn has_own_date(&self) -> bool {
        self.written.date.is_some() && !self.has_shared_date
    }

    /// `None` for a cell without a date.
    fn as_written(&self, zone: &ZoneTable) -> Option<Settled> {
        let local = self.written.local_minute()?;
        Some(Settled {
            local: match self.written.offset_minutes {
                Some(offset) if self.has_own_date() => zone.local(local - i64::from(offset)),
                _ => local,
            },
            shift: 0,
            is_in_second_pass: false,
        })
    }
}

impl Gap {
    /// The day of a time without a date of its own; `None` when it fits on none.
    fn day_of(&self, time: CourseTime, known: Settled, zone: &ZoneTable) -> Option<Settled> {
        let shared_date = time.written.date.map(i64::from);
        let known_date = known.local.div_euclid(MINUTES_OF_DAY);
        let first_date = shared_date.unwrap_or(known_date);
        let minute_of_day = i64::from(time.written.minute_of_day?);
        let on = |days_later: i64| {
            let date = first_date + days_later;
            let local = date * MINUTES_OF_DAY + minute_of_day;
            let (minutes, is_in_second_pass) = self.minutes_between(local, known, zone);
            let settled = Settled {
                local,
                shift: match shared_date {
                    Some(_) => days_later,
                    None => known.shift + days_later,
                },
                is_in_second_pass,
            };
            (minutes, settled)
        };
        let (minutes, as_it_stands) = on(0);
        let within = |minutes: i64, least: i64| (least..=self.most).contains(&minutes);
        // A few minutes back are two clocks that differ, and no day.
        let with_skew = self.least.min(-CLOCK_SKEW_MINUTES);
        if shared_date.is_some() {
            // A date that stands there is moved by one day at most, or left to the checks of order.
            let fits = if self.is_later {
                within(minutes, with_skew)
            } else {
                minutes >= with_skew
            };
            // The date is of another event, which may be the later one.
            let days: &[i64] = if self.is_later { &[1, -1] } else { &[1] };
            let moved = days.iter().map(|days| on(*days));
            let fitting = moved
                .filter(|(minutes, _)| within(*minutes, with_skew))
                .find(|_| !fits);
            return Some(fitting.map_or(as_it_stands, |(_, settled)| settled));
        }
        // A day more between the two: the later one later, or the earlier one earlier.
        let apart = if self.is_later { -1 } else { 1 };
        if minutes >= with_skew {
            let (minutes_nearer, a_day_nearer) = on(-apart);
            let is_nearer = minutes > self.most && minutes_nearer >= with_skew;
            return Some(if is_nearer {
                a_day_nearer
            } else {
                as_it_stands
            });
        }
        let (minutes_apart, a_day_apart) = on(apart);
        within(minutes_apart, self.least).then_some(a_day_apart)
    }

    /// Minutes on the clock from the earlier to the later of the two events, and whether the event
    /// must be in the second pass through a repeated hour.
    ///
    /// A step back that the second pass explains is none.
    fn minutes_between(&self, local: i64, known: Settled, zone: &ZoneTable) -> (i64, bool) {
        let minutes = if self.is_later {
            known.local - local
        } else {
            local - known.local
        };
        // Asked only where the answer matters: hours apart no second pass explains anything.
        if minutes.abs() > 2 * 60 {
            return (minutes, false);
        }
        let repeated = zone.repeated_minutes(local);
        if repeated == 0 || zone.repeated_minutes(known.local) == 0 {
            return (minutes, false);
        }
        if minutes < self.least && !known.is_in_second_pass {
            (minutes + repeated, !self.is_later)
        } else {
            (minutes, known.is_in_second_pass && !self.is_later)
        }
    }
}

#[cfg(test)]
mod tests;
