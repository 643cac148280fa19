//! Where the axes of time of curves end, and which marks they have. Minutes while these are few, and
//! hours beyond.

use crate::findings::curves::Curve;

/// Lengths between two marks, in minutes.
const STEPS: [i64; 13] = [5, 10, 15, 20, 30, 60, 120, 180, 240, 360, 720, 1440, 2880];

/// Most steps of an axis, so that the numbers at risk below have room.
const MOST_STEPS: i64 = 5;

/// An axis may grow so much for the line of a limit.
const ROOM_FOR_LIMIT: f64 = 1.6;

/// Axes that differ by more than this factor are each their own.
const ALIKE: i64 = 3;

/// Behind this share a curve has little left to say.
const NEARLY_ALL: f64 = 0.95;

/// An axis from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct TimeAxis {
    step: i64,
    steps: i64,
}

/// The axes of some panels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Axes {
    /// One for each curve.
    pub(super) each: Vec<TimeAxis>,
    /// Whether they are all the same.
    pub(super) is_shared: bool,
}

/// The axes of curves, each with the limits in its panel.
pub(super) fn axes(curves: &[&Curve], limits: &[Vec<(i64, String)>]) -> Axes {
    let ends: Vec<i64> = curves
        .iter()
        .zip(limits)
        .map(|(curve, limits)| {
            let until = curve.shown_until().unwrap_or(0);
            let end = curve.reaches(NEARLY_ALL).map_or(until, |at| at.min(until));
            let room = end as f64 * ROOM_FOR_LIMIT;
            let minutes = limits.iter().map(|limit| limit.0);
            minutes.filter(|at| *at as f64 <= room).fold(end, i64::max)
        })
        .collect();
    let longest = ends.iter().copied().max().unwrap_or(0);
    let shortest = ends.iter().copied().min().unwrap_or(0);
    let is_shared = longest / ALIKE <= shortest;
    let end_of = |end: i64| TimeAxis::new(if is_shared { longest } else { end });
    Axes {
        each: ends.into_iter().map(end_of).collect(),
        is_shared,
    }
}

impl TimeAxis {
    /// An axis that holds `longest` minutes.
    pub(super) fn new(longest: i64) -> TimeAxis {
        let longest = longest.max(1);
        let days = (longest - 1) / (MOST_STEPS * 1440) + 1;
        let holds = |step: &i64| *step * MOST_STEPS >= longest;
        let step = STEPS.into_iter().find(holds).unwrap_or(days * 1440);
        TimeAxis {
            step,
            steps: (longest - 1) / step + 1,
        }
    }

    /// The minutes at the end.
    pub(super) fn end(self) -> i64 {
        self.step * self.steps
    }

    /// A minute in the unit of the axis: `40 min`, `6 h`.
    pub(super) fn words(self, minutes: i64) -> String {
        if self.step >= 60 {
            format!("{} h", minutes / 60)
        } else {
            format!("{minutes} min")
        }
    }

    /// Minutes and words of each mark, from 0 to the end; the last has the unit.
    pub(super) fn ticks(self) -> impl Iterator<Item = (i64, String)> {
        (0..=self.steps).map(move |place| {
            let minutes = place * self.step;
            let words = self.words(minutes);
            let number = words.split(' ').next().unwrap_or_default();
            if place == self.steps {
                (minutes, words)
            } else {
                (minutes, number.to_owned())
            }
        })
    }
}

/// `53 min`, `6 h`, `6 h 20 min`.
pub(super) fn minutes_words(minutes: i64) -> String {
    match (minutes / 60, minutes % 60) {
        (0..2, _) => format!("{minutes} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(longest: i64, marks: &[&str]) {
        let axis = TimeAxis::new(longest);
        let words: Vec<_> = axis.ticks().map(|tick| tick.1).collect();
        assert_eq!(words, marks, "{longest}");
        assert!(axis.end() >= longest);
    }

    #[test]
    fn marks_are_round_few_and_in_hours_where_minutes_are_many() {
        check(0, &["0", "5 min"]);
        check(25, &["0", "5", "10", "15", "20", "25 min"]);
        check(92, &["0", "20", "40", "60", "80", "100 min"]);
        check(150, &["0", "30", "60", "90", "120", "150 min"]);
        check(151, &["0", "1", "2", "3 h"]);
        check(360, &["0", "2", "4", "6 h"]);
        check(1440, &["0", "6", "12", "18", "24 h"]);
        check(43_200, &["0", "144", "288", "432", "576", "720 h"]);
    }

    #[test]
    fn long_times_are_told_in_hours() {
        let words = [53, 119, 120, 380, 1440].map(minutes_words);
        assert_eq!(words, ["53 min", "119 min", "2 h", "6 h 20 min", "24 h"]);
    }
}
