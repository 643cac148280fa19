//! The hours of a week on an axis of minutes that begins on a Monday at 00:00 and knows no clock
//! changes and no holidays.

use crate::domain::duty::plan::WEEK_HOURS;

/// Minutes of an hour.
pub(super) const HOUR_MINUTES: f64 = 60.0;

/// Minutes of a week.
pub(super) const WEEK_MINUTES: f64 = WEEK_HOURS as f64 * HOUR_MINUTES;

/// The hour since the start of the axis in which a moment lies; 0 before the start.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the hour that is begun; a simulated block has far fewer hours than a u64 holds"
)]
pub(super) fn hour_since_start(minute: f64) -> u64 {
    (minute / HOUR_MINUTES) as u64
}

/// The hour of the week, 0 on Monday 00:00, of an hour since the start.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the remainder is below 168"
)]
pub(super) fn hour_of_week(hour_since_start: u64) -> usize {
    (hour_since_start % WEEK_HOURS as u64) as usize
}

/// Which hours are after hours, ready to be asked for minutes.
pub(super) struct AfterHours {
    is_after: [bool; WEEK_HOURS],
    /// After-hours minutes of the week before each hour, and of the whole week.
    before: [f64; WEEK_HOURS + 1],
}

impl AfterHours {
    pub(super) fn new(is_after: &[bool; WEEK_HOURS]) -> AfterHours {
        let mut before = [0.0; WEEK_HOURS + 1];
        for (hour, after) in is_after.iter().enumerate() {
            before[hour + 1] = before[hour] + if *after { HOUR_MINUTES } else { 0.0 };
        }
        AfterHours {
            is_after: *is_after,
            before,
        }
    }

    /// Whether a moment is after hours.
    pub(super) fn holds(&self, minute: f64) -> bool {
        self.is_after[hour_of_week(hour_since_start(minute))]
    }

    /// After-hours minutes between two moments, neither before the start.
    pub(super) fn between(&self, from: f64, until: f64) -> f64 {
        self.since_start(until) - self.since_start(from)
    }

    fn since_start(&self, minute: f64) -> f64 {
        let hour = hour_since_start(minute);
        let place = hour_of_week(hour);
        let weeks = (hour / WEEK_HOURS as u64) as f64;
        let begun = if self.is_after[place] {
            minute - hour as f64 * HOUR_MINUTES
        } else {
            0.0
        };
        weeks * self.before[WEEK_HOURS] + self.before[place] + begun
    }
}

/// When a team is on duty, ready to be asked for the next moment.
pub(super) struct OnDuty {
    /// Hours from the start of each hour of the week until duty: 0 where the team is on duty.
    ahead: [u8; WEEK_HOURS],
    is_always: bool,
}

impl OnDuty {
    /// `None` for a team that is never on duty.
    pub(super) fn new(on_duty: &[bool; WEEK_HOURS]) -> Option<OnDuty> {
        if !on_duty.contains(&true) {
            return None;
        }
        let mut ahead = [0; WEEK_HOURS];
        // Twice around, since the hours before the first duty of a week wait for that of the next.
        let mut until_duty = 0_u8;
        for hour in (0..WEEK_HOURS).rev().chain((0..WEEK_HOURS).rev()) {
            until_duty = if on_duty[hour] {
                0
            } else {
                until_duty.saturating_add(1)
            };
            ahead[hour] = until_duty;
        }
        Some(OnDuty {
            is_always: !on_duty.contains(&false),
            ahead,
        })
    }

    /// The first moment at or after one, itself not before the start, at which the team is on duty.
    pub(super) fn from(&self, minute: f64) -> f64 {
        if self.is_always {
            return minute;
        }
        let hour = hour_since_start(minute);
        match self.ahead[hour_of_week(hour)] {
            0 => minute,
            ahead => (hour + u64::from(ahead)) as f64 * HOUR_MINUTES,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hours(range: std::ops::Range<usize>) -> [bool; WEEK_HOURS] {
        std::array::from_fn(|hour| range.contains(&hour))
    }

    #[track_caller]
    fn check(found: f64, expected: f64) {
        assert!((found - expected).abs() < 1e-9, "{found}, not {expected}");
    }

    #[test]
    fn after_hours_minutes_are_counted_over_the_end_of_an_hour_and_of_a_week() {
        // After hours from Sunday 22:00 on (hours 166 and 167) and nothing else.
        let after = AfterHours::new(&hours(166..168));
        check(after.between(0.0, 166.0 * 60.0), 0.0);
        check(after.between(166.0 * 60.0 - 5.0, 166.0 * 60.0 + 7.5), 7.5);
        check(after.between(167.0 * 60.0, 168.0 * 60.0 + 30.0), 60.0);
        // Two weeks and one hour of the third.
        check(after.between(0.0, (2.0 * 168.0 + 167.0) * 60.0), 300.0);
        assert!(after.holds(166.0 * 60.0) && !after.holds(166.0 * 60.0 - 0.1));
        assert!(!after.holds(168.0 * 60.0) && after.holds((168.0 + 167.9) * 60.0));
    }

    #[test]
    fn duty_begins_with_its_hour_in_this_week_or_the_next() {
        let duty = OnDuty::new(&hours(8..10)).expect("on duty");
        check(duty.from(0.0), 480.0);
        check(duty.from(479.5), 480.0);
        check(duty.from(599.5), 599.5);
        check(duty.from(600.0), WEEK_MINUTES + 480.0);
        check(duty.from(WEEK_MINUTES + 481.0), WEEK_MINUTES + 481.0);
        let always = OnDuty::new(&[true; WEEK_HOURS]).expect("on duty");
        check(always.from(12_345.6), 12_345.6);
        assert!(OnDuty::new(&[false; WEEK_HOURS]).is_none());
    }
}
