//! Digit heaping: how often recorded minutes end in 0 or 5. Two of ten digits do so by chance; where
//! far more do, times were rounded, and numbers made from them are good to about five minutes only.
//!
//! That people prefer round digits is well known; the limit here is a proposal of this project and no
//! standard.

use super::comparisons::Interval;
use crate::domain::fields::CaseField;
use crate::domain::month::Month;
use crate::domain::recording::Recording;
use crate::domain::tally::Tally;
use crate::stats::Level;
use crate::stats::proportion::wilson;

/// The share of minutes that end in 0 or 5 by chance: two digits of ten.
pub const BY_CHANCE: f64 = 0.2;

/// Times are told as rounded where the whole interval lies above this share.
pub const ROUNDED_ABOVE: f64 = 0.3;

/// With fewer minutes nothing is told.
pub const LEAST_TIMES: u64 = 10;

/// How many minutes of one moment end in 0 or 5.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoundMinutes {
    /// Those that do.
    pub round: u64,
    /// All recorded minutes, at least 1.
    pub times: u64,
    /// The interval of their share (Wilson).
    pub interval: Interval,
}

impl RoundMinutes {
    /// Whether more are round than [`ROUNDED_ABOVE`], beyond chance.
    pub fn is_rounded(&self) -> bool {
        self.times >= LEAST_TIMES && self.interval.low > ROUNDED_ABOVE
    }
}

/// One moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heaping {
    /// The moment.
    pub field: CaseField,
    /// All months up to the month in view.
    pub so_far: RoundMinutes,
    /// The month in view; `None` when it has no such time.
    pub in_month: Option<RoundMinutes>,
}

/// Every moment with a recorded time up to the month in view, in the order of the fields.
pub fn heaping(recording: &Recording, month: Month, level: Level) -> Vec<Heaping> {
    let mut moments: Vec<(CaseField, [u64; 10], [u64; 10])> = Vec::new();
    for ((field, of), digits) in &recording.last_digits {
        if *of > month {
            continue;
        }
        if moments.last().is_none_or(|(last, ..)| last != field) {
            moments.push((*field, [0; 10], [0; 10]));
        }
        if let Some((_, so_far, in_month)) = moments.last_mut() {
            for (sum, count) in so_far.iter_mut().zip(digits) {
                *sum += count;
            }
            if *of == month {
                *in_month = *digits;
            }
        }
    }
    let found = moments.into_iter().filter_map(|(field, so_far, in_month)| {
        Some(Heaping {
            field,
            so_far: round_minutes(&so_far, level)?,
            in_month: round_minutes(&in_month, level),
        })
    });
    found.collect()
}

/// Minutes that end in 0 or 5, and all, from how many end in each digit.
pub fn round_and_all(digits: &[u64; 10]) -> (u64, u64) {
    (digits[0] + digits[5], digits.iter().sum())
}

/// `None` when there are no minutes.
fn round_minutes(digits: &[u64; 10], level: Level) -> Option<RoundMinutes> {
    let (round, times) = round_and_all(digits);
    let tally = Tally::new(round, times).ok().flatten()?;
    Some(RoundMinutes {
        round,
        times,
        interval: wilson(tally, level),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn month(text: &str) -> Month {
        text.parse().expect("a month")
    }

    fn recording(digits: &[(&str, [u64; 10])]) -> Recording {
        let mut recording = Recording::default();
        for (text, digits) in digits {
            let key = (CaseField::TeamAt, month(text));
            recording.last_digits.insert(key, *digits);
        }
        recording
    }

    #[test]
    fn planted_rounding_is_found_and_even_digits_are_not() {
        // August: 18 of 20 round. September: every digit twice, 4 of 20 round. October is not seen.
        let recording = recording(&[
            ("2026-08", [10, 1, 0, 0, 0, 8, 0, 0, 0, 1]),
            ("2026-09", [2; 10]),
            ("2026-10", [50, 0, 0, 0, 0, 50, 0, 0, 0, 0]),
        ]);
        let found = heaping(&recording, month("2026-09"), Level::P95);
        let [moment] = &found[..] else {
            panic!("one moment");
        };
        assert_eq!((moment.so_far.round, moment.so_far.times), (22, 40));
        // 22 of 40 is 55 %, and by Wilson's formula worked out by hand 39.8 to 69.3 %.
        assert!((moment.so_far.interval.low - 0.398).abs() < 0.0005);
        assert!(moment.so_far.is_rounded());
        let in_month = moment.in_month.expect("a month with times");
        assert_eq!((in_month.round, in_month.times), (4, 20));
        assert!(!in_month.is_rounded());
        let august = heaping(&recording, month("2026-08"), Level::P95);
        assert!(august[0].in_month.is_some_and(|month| month.is_rounded()));
    }

    #[test]
    fn few_times_and_shares_just_above_chance_tell_nothing() {
        let at = |digits| {
            let recording = recording(&[("2026-09", digits)]);
            let found = heaping(&recording, month("2026-09"), Level::P95);
            found[0].so_far.is_rounded()
        };
        // All of nine; then all of ten.
        assert!(!at([9, 0, 0, 0, 0, 0, 0, 0, 0, 0]));
        assert!(at([5, 0, 0, 0, 0, 5, 0, 0, 0, 0]));
        // By Wilson's formula the interval of 330 in 1,000 begins at 30.2 %, that of 320 at 29.2 %.
        assert!(at([330, 670, 0, 0, 0, 0, 0, 0, 0, 0]));
        assert!(!at([320, 680, 0, 0, 0, 0, 0, 0, 0, 0]));
        assert_eq!(
            heaping(&Recording::default(), month("2026-09"), Level::P95),
            []
        );
    }
}
