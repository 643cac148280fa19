//! Lengths of time in whole minutes, from what exports write: `90`, `1.5 h`, `1 h 30 min`, `1:30`.

use super::unit::{Spellings, leading_unit, strip_word};
use super::{Written, digits, leading_digits, not_a_number, sign};
use crate::domain::issue::IssueCode;

/// The unit of a length of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::ingest) enum DurationUnit {
    Hours,
    Minutes,
    Seconds,
}

impl DurationUnit {
    pub(in crate::ingest) const ALL: [DurationUnit; 3] = [
        DurationUnit::Hours,
        DurationUnit::Minutes,
        DurationUnit::Seconds,
    ];

    /// The word in the mapping.
    pub(in crate::ingest) const fn code(self) -> &'static str {
        match self {
            DurationUnit::Hours => "hours",
            DurationUnit::Minutes => "minutes",
            DurationUnit::Seconds => "seconds",
        }
    }

    const fn seconds(self) -> i128 {
        match self {
            DurationUnit::Hours => 3600,
            DurationUnit::Minutes => 60,
            DurationUnit::Seconds => 1,
        }
    }
}

const UNITS: &[Spellings<DurationUnit>] = &[
    (DurationUnit::Hours, &["hours", "hour", "hrs", "hr", "h"]),
    (
        DurationUnit::Minutes,
        &["minutes", "minute", "mins", "min", "m"],
    ),
    (
        DurationUnit::Seconds,
        &["seconds", "second", "secs", "sec", "s"],
    ),
];

/// Sixty days either way is far beyond any interval in use.
const MOST_MINUTES: i128 = 86_400;

/// The length of time in whole minutes; what is begun does not count, so -30 seconds are -1.
/// `declared` is the unit of a number without one; a unit in the text goes before it. Hours and
/// minutes with a colon are read only where hours are declared.
///
/// A decimal that was rounded from a whole minute gives that minute: 1.08 hours are 65 minutes,
/// and 44.9999999998 minutes, as spreadsheets subtract, are 45.
///
/// # Errors
/// `NotAWholeNumber`, `OutOfRange` beyond 86 400 minutes either way, or `SpreadsheetError`.
pub(in crate::ingest) fn elapsed_minutes(
    text: &str,
    declared: DurationUnit,
    decimal: u8,
) -> Result<i64, IssueCode> {
    let minutes = match digits(text) {
        Some(number) => (i128::from(number) * declared.seconds()).div_euclid(60),
        None => {
            written_minutes(text.trim(), declared, decimal).ok_or_else(|| not_a_number(text))?
        }
    };
    if (-MOST_MINUTES..=MOST_MINUTES).contains(&minutes) {
        i64::try_from(minutes).map_err(|_| IssueCode::OutOfRange)
    } else {
        Err(IssueCode::OutOfRange)
    }
}

fn written_minutes(text: &str, declared: DurationUnit, decimal: u8) -> Option<i128> {
    if declared == DurationUnit::Hours
        && let Some(seconds) = clock_form(text)
    {
        return Some(seconds.div_euclid(60));
    }
    let number = Written::read(text, decimal)?;
    let (unit, rest) = match leading_unit(number.rest, UNITS) {
        Some((unit, rest)) => (unit, rest),
        None => (declared, number.rest),
    };
    if rest.trim().is_empty() {
        return Some(whole_minutes(number, unit));
    }
    // Smaller units follow, each explicit and at most once.
    if number.fraction_digits > 0 || rest.len() == number.rest.len() {
        return None;
    }
    let mut seconds = i128::from(number.whole) * unit.seconds();
    let (mut larger, mut rest) = (unit, rest);
    while !rest.trim().is_empty() {
        let (more, unit, after) = smaller_part(rest, larger)?;
        seconds += more;
        (larger, rest) = (unit, after);
    }
    Some(
        (if number.is_negative {
            -seconds
        } else {
            seconds
        })
        .div_euclid(60),
    )
}

/// Seconds of the next part of a length of time, its unit, and what follows it. `1h30` needs no
/// second unit.
fn smaller_part(text: &str, larger: DurationUnit) -> Option<(i128, DurationUnit, &str)> {
    let is_joined = text.starts_with(|sign: char| sign.is_ascii_digit());
    let text = text.trim_start_matches([' ', '\u{a0}', ',', '&']);
    let text = strip_word(text, "and").map_or(text, str::trim_start);
    let (number, digits, rest) = leading_digits(text);
    let (unit, rest) = match leading_unit(rest, UNITS) {
        Some(found) => found,
        None if is_joined && larger == DurationUnit::Hours && digits == 2 => {
            (DurationUnit::Minutes, rest)
        }
        None => return None,
    };
    let is_part = (1..=2).contains(&digits) && number < 60 && unit > larger;
    is_part.then(|| (i128::from(number) * unit.seconds(), unit, rest))
}

/// Seconds of `h:mm` or `h:mm:ss`.
fn clock_form(text: &str) -> Option<i128> {
    let (is_negative, unsigned) = sign(text);
    let (hours, hour_digits, rest) = leading_digits(unsigned);
    let sixtieths = |text: &'_ str| -> Option<(i128, usize)> {
        let (number, digits, rest) = leading_digits(text.strip_prefix(':')?);
        (digits == 2 && number < 60).then(|| (i128::from(number), rest.len()))
    };
    let (minutes, left) = sixtieths(rest)?;
    let rest = &rest[rest.len() - left..];
    let seconds = if rest.is_empty() {
        0
    } else {
        let (seconds, left) = sixtieths(rest)?;
        if left > 0 {
            return None;
        }
        seconds
    };
    if !(1..=4).contains(&hour_digits) {
        return None;
    }
    let length = i128::from(hours) * 3600 + minutes * 60 + seconds;
    Some(if is_negative { -length } else { length })
}

/// In exact arithmetic: 2.05 hours are 123 minutes, and not a hair less as in binary.
fn whole_minutes(number: Written<'_>, unit: DurationUnit) -> i128 {
    let scale = 10_i128.pow(number.fraction_digits);
    let magnitude = i128::from(number.whole) * scale + i128::from(number.fraction);
    // The length is `length / minute` minutes, and the last digit stands for `digit / minute`.
    let digit = unit.seconds();
    let minute = 60 * scale;
    let length = digit
        * if number.is_negative {
            -magnitude
        } else {
            magnitude
        };
    let nearest = (2 * length + minute).div_euclid(2 * minute);
    let off = (length - nearest * minute).abs();
    let is_rounded_from_it = number.fraction_digits > 0 && 2 * off <= digit;
    if is_rounded_from_it || off * 1_000_000 <= minute {
        nearest
    } else {
        length.div_euclid(minute)
    }
}

#[cfg(test)]
mod tests;
