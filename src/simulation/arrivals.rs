//! When calls come: at random at a rate that changes with the hour of the week, or as in whole weeks
//! of the records.

use super::calls::RecordedCall;
use super::draws::Draws;
use super::week::{HOUR_MINUTES, WEEK_MINUTES};
use crate::domain::duty::plan::WEEK_HOURS;

const DAY_HOURS: usize = 24;

/// Calls per minute in each hour of the week, from Monday 00:00 on.
#[derive(Clone, Debug, PartialEq)]
pub struct Rates {
    hours: [f64; WEEK_HOURS],
    /// Expected calls of each day.
    days: [f64; 7],
}

impl Rates {
    /// `None` unless every rate is finite and at least 0, and so low that a minute brings less than
    /// one call: no service has as many.
    pub fn new(calls_per_minute: [f64; WEEK_HOURS]) -> Option<Rates> {
        let is_rate = |rate: &f64| (0.0..1.0).contains(rate);
        if !calls_per_minute.iter().all(is_rate) {
            return None;
        }
        let mut days = [0.0; 7];
        for (day, hours) in days.iter_mut().zip(calls_per_minute.chunks(DAY_HOURS)) {
            *day = hours.iter().sum::<f64>() * HOUR_MINUTES;
        }
        Some(Rates {
            hours: calls_per_minute,
            days,
        })
    }

    /// Calls per minute in an hour of the week.
    pub fn of_hour(&self, hour: usize) -> f64 {
        self.hours[hour]
    }

    /// Calls of a week.
    pub fn calls_per_week(&self) -> f64 {
        self.days.iter().sum()
    }
}

/// A call of a recorded week.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WeekCall {
    /// Minutes since Monday 00:00, below 10,080.
    pub minute: u16,
    /// What it took; `None` to draw it, where that is not recorded.
    pub call: Option<RecordedCall>,
}

/// The calls of one recorded week, in the order in which they came.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecordedWeek {
    calls: Vec<WeekCall>,
}

impl RecordedWeek {
    /// The calls in any order; those beyond the end of the week are left out.
    pub fn new(mut calls: Vec<WeekCall>) -> RecordedWeek {
        calls.retain(|call| f64::from(call.minute) < WEEK_MINUTES);
        calls.sort_by_key(|call| call.minute);
        RecordedWeek { calls }
    }

    /// The calls in the order in which they came.
    pub fn calls(&self) -> &[WeekCall] {
        &self.calls
    }
}

/// Where calls come from.
#[derive(Clone, Copy, Debug)]
pub enum Arrivals<'a> {
    /// A Poisson process.
    Poisson(&'a Rates),
    /// Whole weeks, each as likely, one after the other. No call comes from no week.
    Weeks(&'a [RecordedWeek]),
}

impl<'a> Arrivals<'a> {
    /// Calls from the start of a Monday until a moment.
    pub(super) fn stream(self, until: f64) -> Stream<'a> {
        match self {
            Arrivals::Poisson(rates) => Stream::Poisson(PoissonStream {
                rates,
                now: 0.0,
                hour: 0,
                hour_end: HOUR_MINUTES,
                until,
            }),
            Arrivals::Weeks(weeks) => Stream::Weeks(WeekStream {
                weeks,
                left: &[],
                week_start: -WEEK_MINUTES,
                until,
            }),
        }
    }
}

/// A call that comes.
pub(super) struct Arrival {
    /// When.
    pub at: f64,
    /// The hour of the week.
    pub hour: usize,
    /// What it takes, where it brings that along.
    pub call: Option<RecordedCall>,
}

/// Calls in the order in which they come.
pub(super) enum Stream<'a> {
    /// At random.
    Poisson(PoissonStream<'a>),
    /// Week by week.
    Weeks(WeekStream<'a>),
}

impl Stream<'_> {
    /// The next call; `None` at the end.
    pub(super) fn next(&mut self, draws: &mut Draws) -> Option<Arrival> {
        match self {
            Stream::Poisson(stream) => stream.next(draws),
            Stream::Weeks(stream) => stream.next(draws),
        }
    }
}

/// A Poisson process by change of time: between two calls the rate adds up to an exponential draw,
/// which is exact for a rate that is constant within each hour.
pub(super) struct PoissonStream<'a> {
    rates: &'a Rates,
    now: f64,
    hour: usize,
    hour_end: f64,
    until: f64,
}

impl PoissonStream<'_> {
    fn next(&mut self, draws: &mut Draws) -> Option<Arrival> {
        let mut expected = draws.exponential();
        loop {
            let rate = self.rates.hours[self.hour];
            let left = (self.hour_end - self.now) * rate;
            if expected < left {
                self.now += expected / rate;
                return (self.now < self.until).then_some(Arrival {
                    at: self.now,
                    hour: self.hour,
                    call: None,
                });
            }
            expected -= left;
            self.forward(1);
            // A quiet site has many days without a call.
            while self.hour.is_multiple_of(DAY_HOURS) && self.now < self.until {
                let of_day = self.rates.days[self.hour / DAY_HOURS];
                if expected < of_day {
                    break;
                }
                expected -= of_day;
                self.forward(DAY_HOURS);
            }
            if self.now >= self.until {
                return None;
            }
        }
    }

    /// Goes to the start of an hour: 1 is the next.
    fn forward(&mut self, hours: usize) {
        self.now = self.hour_end + (hours - 1) as f64 * HOUR_MINUTES;
        self.hour_end = self.now + HOUR_MINUTES;
        self.hour += hours;
        if self.hour >= WEEK_HOURS {
            self.hour -= WEEK_HOURS;
        }
    }
}

/// Weeks drawn with replacement.
pub(super) struct WeekStream<'a> {
    weeks: &'a [RecordedWeek],
    left: &'a [WeekCall],
    week_start: f64,
    until: f64,
}

impl WeekStream<'_> {
    fn next(&mut self, draws: &mut Draws) -> Option<Arrival> {
        loop {
            if let Some((first, others)) = self.left.split_first() {
                self.left = others;
                let at = self.week_start + f64::from(first.minute);
                return (at < self.until).then_some(Arrival {
                    at,
                    hour: usize::from(first.minute / 60),
                    call: first.call,
                });
            }
            self.week_start += WEEK_MINUTES;
            if self.weeks.is_empty() || self.week_start >= self.until {
                return None;
            }
            self.left = &self.weeks[draws.place(self.weeks.len())].calls;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moments(arrivals: Arrivals<'_>, until: f64) -> Vec<f64> {
        let mut stream = arrivals.stream(until);
        let mut draws = Draws::new(1, 0);
        let next = || stream.next(&mut draws).map(|arrival| arrival.at);
        std::iter::from_fn(next).collect()
    }

    #[test]
    fn calls_of_a_week_come_in_order_and_not_after_the_end() {
        let at = |minute| WeekCall { minute, call: None };
        let weeks = [RecordedWeek::new(vec![at(600), at(5), at(10_079)])];
        let found = moments(Arrivals::Weeks(&weeks), WEEK_MINUTES + 600.0);
        let expected = [5.0, 600.0, 10_079.0, 10_085.0];
        assert_eq!(found.len(), expected.len());
        let pairs = found.iter().zip(expected);
        assert!(
            pairs
                .into_iter()
                .all(|(one, other)| (one - other).abs() < 1e-9)
        );
        assert_eq!(moments(Arrivals::Weeks(&[]), WEEK_MINUTES).len(), 0);
    }

    #[test]
    fn calls_at_random_rise_until_the_end_and_there_may_be_none() {
        let one_day = std::array::from_fn(|hour| if hour / 24 == 3 { 0.5 } else { 0.0 });
        let rates = Rates::new(one_day).expect("rates");
        let found = moments(Arrivals::Poisson(&rates), 2.0 * WEEK_MINUTES);
        // 1,440 expected, all on the two Thursdays.
        assert!((found.len() as f64 - 1_440.0).abs() < 5.0 * 38.0);
        assert!(found.is_sorted());
        let on_thursday = |at: &f64| (4_320.0..5_760.0).contains(&(at % WEEK_MINUTES));
        assert!(found.iter().all(on_thursday));
        let none = Rates::new([0.0; WEEK_HOURS]).expect("rates");
        assert_eq!(
            moments(Arrivals::Poisson(&none), 9.0 * WEEK_MINUTES).len(),
            0
        );
        assert_eq!(Rates::new([1.0; WEEK_HOURS]), None);
        assert_eq!(Rates::new([f64::NAN; WEEK_HOURS]), None);
    }
}
