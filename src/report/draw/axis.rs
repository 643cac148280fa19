//! The axis of values: where it ends, its ticks, and the way from a value to a pixel.

use super::scene::End;
use crate::findings::finding::Unit;
use crate::report::format;

/// An axis from `bottom` to `top`, from pixel `start` to pixel `end`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axis {
    unit: Option<Unit>,
    bottom: f64,
    top: f64,
    step: f64,
    start: i32,
    end: i32,
}

impl Axis {
    /// An axis that starts at 0 and holds `highest`. Shares end at 100 %, but rare events would
    /// lie flat on the floor there: when all of it stays below 20 or 50 %, the axis ends there.
    pub(super) fn new(unit: Option<Unit>, highest: f64, start: i32, end: i32) -> Axis {
        let (top, step) = match unit {
            Some(Unit::Fraction) if highest <= 0.2 => (0.2, 0.05),
            Some(Unit::Fraction) if highest <= 0.5 => (0.5, 0.1),
            Some(Unit::Fraction) => (1.0, 0.25),
            Some(Unit::Minutes | Unit::Per30SiteDays) | None => round_top(highest),
        };
        Axis {
            unit,
            bottom: 0.0,
            top,
            step,
            start,
            end,
        }
    }

    /// An axis of shares for points that no bar connects with 0: when all of it lies above a half, it
    /// starts there.
    pub(super) fn of_points((lowest, highest): (f64, f64), start: i32, end: i32) -> Axis {
        let from_zero = Axis::new(Some(Unit::Fraction), highest, start, end);
        if lowest < 0.5 {
            return from_zero;
        }
        Axis {
            bottom: 0.5,
            step: 0.1,
            ..from_zero
        }
    }

    /// Whether `value` lies beyond the end.
    pub(super) fn is_beyond(&self, value: f64) -> bool {
        value > self.top
    }

    /// Whether `value` lies on the axis, its ends included.
    pub(super) fn holds(&self, value: f64) -> bool {
        value >= self.bottom && !self.is_beyond(value)
    }

    /// The pixel of `value`; values beyond the axis land on its end.
    pub(super) fn pixel(&self, value: f64) -> i32 {
        let part = ((value - self.bottom) / (self.top - self.bottom)).clamp(0.0, 1.0);
        let pixels = f64::from(self.end - self.start) * part;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a part of the length of the axis, which is an i32"
        )]
        let pixels = pixels.round() as i32;
        self.start + pixels
    }

    /// Pixels and words of the ticks, from the start up.
    pub(super) fn ticks(&self) -> Vec<(i32, String)> {
        let mut ticks = Vec::new();
        let mut value = self.bottom;
        while value <= self.top * 1.000_001 {
            ticks.push((self.pixel(value), self.words(value)));
            value += self.step;
        }
        ticks
    }

    /// The two ends of an interval around `value`; a limit that does not exist is the value itself.
    pub(super) fn interval(&self, value: f64, limits: (Option<f64>, Option<f64>)) -> [End; 2] {
        let end = |limit: Option<f64>| End {
            at: self.pixel(limit.unwrap_or(value)),
            is_limit: limit.is_some_and(|limit| !self.is_beyond(limit)),
        };
        [end(limits.0), end(limits.1)]
    }

    fn words(&self, value: f64) -> String {
        match self.unit {
            // A denominator below 100 asks for whole percent.
            Some(Unit::Fraction) => format::with_unit(Unit::Fraction, 0, value),
            _ if self.step.fract() > 0.0 => format!("{value:.1}"),
            Some(Unit::Minutes | Unit::Per30SiteDays) | None => format::signed_whole(value),
        }
    }
}

/// The smallest 4 to 6 steps of 1, 2, 2.5 or 5 times a power of ten that hold `highest`.
fn round_top(highest: f64) -> (f64, f64) {
    let highest = if highest.is_finite() && highest > 0.0 {
        highest
    } else {
        1.0
    };
    let power = 10_f64.powf((highest / 5.0).log10().floor());
    let step = [1.0, 2.0, 2.5, 5.0, 10.0]
        .into_iter()
        .map(|factor| factor * power)
        .find(|step| step * 5.0 >= highest)
        .unwrap_or(10.0 * power);
    (step * (highest / step).ceil(), step)
}
