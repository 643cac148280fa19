//! The recorded calls that simulated ones are drawn from.

use super::draws::Draws;

/// What one recorded call took, in minutes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RecordedCall {
    /// From the call until the team was complete at the place.
    pub to_team: u16,
    /// From there until the team was free again.
    pub team_to_free: u16,
    /// From the team at the place to scope in; `None` where no scope went in.
    pub team_to_scope: Option<u16>,
    /// From the call to the last minute of its window; `None` without a window. Negative where the
    /// window had passed before the call.
    pub window: Option<i32>,
}

/// Recorded calls, of which in-hours and after-hours calls draw their own, or all from one pool.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CallPool {
    in_hours: Vec<RecordedCall>,
    /// Empty where both draw from the same.
    after_hours: Vec<RecordedCall>,
}

/// With fewer recorded calls in either, all calls are drawn from one pool. A limit of this project.
const FEWEST_OF_A_SHIFT: usize = 20;

impl CallPool {
    /// `None` without a call.
    pub fn new(
        in_hours: Vec<RecordedCall>,
        mut after_hours: Vec<RecordedCall>,
    ) -> Option<CallPool> {
        if in_hours.is_empty() && after_hours.is_empty() {
            return None;
        }
        if in_hours.len().min(after_hours.len()) < FEWEST_OF_A_SHIFT {
            after_hours.splice(0..0, in_hours);
            return Some(CallPool {
                in_hours: after_hours,
                after_hours: Vec::new(),
            });
        }
        Some(CallPool {
            in_hours,
            after_hours,
        })
    }

    /// Whether in-hours and after-hours calls draw from the same.
    pub fn is_shared(&self) -> bool {
        self.after_hours.is_empty()
    }

    /// How many recorded calls a call in its shift draws from.
    pub fn size(&self, is_after_hours: bool) -> usize {
        self.of_shift(is_after_hours).len()
    }

    /// Mean minutes that a call of a shift binds a team, from the call on.
    pub fn mean_minutes(&self, is_after_hours: bool) -> f64 {
        let calls = self.of_shift(is_after_hours);
        let minutes = calls
            .iter()
            .map(|call| f64::from(call.to_team) + f64::from(call.team_to_free));
        minutes.sum::<f64>() / calls.len() as f64
    }

    /// A pool of the same size, drawn from this one with replacement.
    #[must_use]
    pub fn resampled(&self, draws: &mut Draws) -> CallPool {
        let mut resample = |calls: &[RecordedCall]| -> Vec<RecordedCall> {
            let all = 0..calls.len();
            all.map(|_| calls[draws.place(calls.len())]).collect()
        };
        CallPool {
            in_hours: resample(&self.in_hours),
            after_hours: resample(&self.after_hours),
        }
    }

    /// A recorded call, each of the shift as likely.
    pub(super) fn draw(&self, is_after_hours: bool, draws: &mut Draws) -> RecordedCall {
        let calls = self.of_shift(is_after_hours);
        calls[draws.place(calls.len())]
    }

    fn of_shift(&self, is_after_hours: bool) -> &[RecordedCall] {
        if is_after_hours && !self.is_shared() {
            &self.after_hours
        } else {
            &self.in_hours
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn calls(to_team: u16, count: usize) -> Vec<RecordedCall> {
        let call = RecordedCall {
            to_team,
            team_to_free: 100,
            team_to_scope: None,
            window: None,
        };
        vec![call; count]
    }

    #[test]
    fn shifts_draw_their_own_calls_from_twenty_on() {
        let own = CallPool::new(calls(10, 20), calls(40, 20)).expect("calls");
        assert!(!own.is_shared());
        assert_eq!((own.size(false), own.size(true)), (20, 20));
        assert!((own.mean_minutes(true) - 140.0).abs() < 1e-9);
        let mut draws = Draws::new(1, 0);
        assert_eq!(own.draw(true, &mut draws).to_team, 40);
        assert_eq!(own.draw(false, &mut draws).to_team, 10);
        assert_eq!(own.resampled(&mut draws), own);

        let shared = CallPool::new(calls(10, 19), calls(40, 57)).expect("calls");
        assert!(shared.is_shared());
        assert_eq!((shared.size(false), shared.size(true)), (76, 76));
        // 19 of 110 and 57 of 140 minutes.
        assert!((shared.mean_minutes(false) - 132.5).abs() < 1e-9);
        assert_eq!(CallPool::new(Vec::new(), Vec::new()), None);
    }
}
