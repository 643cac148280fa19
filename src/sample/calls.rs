//! When the calls come and why: exactly the wished number, in order of time, one at a time.
//!
//! The calls are a random sample of that size from the intensity of the calendar (a Poisson
//! process, given its number of events), drawn in order: of `n` calls that lie in a stretch, the
//! share of the stretch behind the first one is the largest of `n` uniform draws, and that is the
//! `n`-th root of one uniform draw. So nothing is sorted and memory stays constant.
//! What a case looks like is not known here.

use super::calendar::{Calendar, ClockChange, Hour};
use super::draws::{Draws, whole};
use super::truths::CALL_BEFORE_CLOCK_CHANGE_MINUTES;
use crate::domain::codes::Presentation;
use crate::domain::month::Month;

/// One call.
pub(super) struct Call {
    /// Minutes since 1970 UTC.
    pub(super) minute: i64,
    /// Month on the wall clock.
    pub(super) month: Month,
    /// Whether a team is in the house.
    pub(super) staffed: bool,
    /// The reason.
    pub(super) presentation: Presentation,
    /// The change of the clocks for which the case is planted.
    pub(super) clock_change: Option<ClockChange>,
}

/// Exactly `count` calls in order of time, the planted ones among them. A period with more
/// changes of the clocks than calls keeps the earliest.
pub(super) fn calls(
    calendar: &Calendar,
    count: u64,
    draws: Draws,
) -> impl Iterator<Item = Call> + '_ {
    let mut changes = calendar.clock_changes();
    changes.truncate(usize::try_from(count).unwrap_or(usize::MAX));
    let by_chance_count = count - changes.len() as u64;
    let mut planted = changes
        .into_iter()
        .map(|change| planted_call(calendar, change))
        .peekable();
    let mut by_chance = Drawn::new(calendar, by_chance_count, draws).peekable();
    std::iter::from_fn(move || match (planted.peek(), by_chance.peek()) {
        (Some(plant), Some(other)) if plant.minute <= other.minute => planted.next(),
        (Some(_), None) => planted.next(),
        _ => by_chance.next(),
    })
}

fn planted_call(calendar: &Calendar, change: ClockChange) -> Call {
    let minute = change.at_minute - CALL_BEFORE_CLOCK_CHANGE_MINUTES;
    let hour = calendar.hour_of(minute);
    Call {
        minute,
        month: hour.month,
        staffed: hour.staffed,
        presentation: Presentation::FoodImpaction,
        clock_change: Some(change),
    }
}

/// The calls that chance brings.
struct Drawn<Hours> {
    draws: Draws,
    /// Calls that are still to come.
    left: u64,
    /// Share of the intensity of the period that lies after the latest call.
    ahead: f64,
    /// Intensity of the whole period.
    total: f64,
    /// The hours after `hour`.
    hours: Hours,
    /// The hour of the latest call.
    hour: Hour,
    /// Intensity of all hours before `hour`.
    before: f64,
}

impl Drawn<()> {
    fn new(
        calendar: &Calendar,
        count: u64,
        draws: Draws,
    ) -> Drawn<impl Iterator<Item = Hour> + '_> {
        let mut hours = calendar.hours();
        Drawn {
            draws,
            left: count,
            ahead: 1.0,
            total: calendar.hours().map(|hour| hour.intensity()).sum(),
            hour: hours.next().expect("a period has at least one month"),
            hours,
            before: 0.0,
        }
    }
}

impl<Hours: Iterator<Item = Hour>> Iterator for Drawn<Hours> {
    type Item = Call;

    fn next(&mut self) -> Option<Call> {
        if self.left == 0 {
            return None;
        }
        self.ahead *= libm::exp(self.draws.log_uniform() / self.left as f64);
        self.left -= 1;
        let position = (1.0 - self.ahead) * self.total;
        while position >= self.before + self.hour.intensity() {
            // Rounding can put the position a last bit behind the end of the last hour.
            let Some(next) = self.hours.next() else { break };
            self.before += self.hour.intensity();
            self.hour = next;
        }
        let share_of_hour = (position - self.before) / self.hour.intensity();
        Some(Call {
            minute: self.hour.start_minute + whole((60.0 * share_of_hour).floor()).clamp(0, 59),
            month: self.hour.month,
            staffed: self.hour.staffed,
            presentation: self.draws.pick(&self.hour.calls),
            clock_change: None,
        })
    }
}
