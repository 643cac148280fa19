//! Ages in completed years, from what exports write: `67`, `67 y`, `18 mo`, `2y 3m`, `90+`, `<1`.

use super::unit::{Spellings, leading_unit, strip_one_of, strip_word};
use super::{Written, digits, not_a_number};
use crate::domain::fields::AGE_CAP;
use crate::domain::issue::IssueCode;

/// The unit of an age.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::ingest) enum AgeUnit {
    Years,
    Months,
    Weeks,
    Days,
}

impl AgeUnit {
    pub(in crate::ingest) const ALL: [AgeUnit; 4] = [
        AgeUnit::Years,
        AgeUnit::Months,
        AgeUnit::Weeks,
        AgeUnit::Days,
    ];

    /// The word in the mapping.
    pub(in crate::ingest) const fn code(self) -> &'static str {
        match self {
            AgeUnit::Years => "years",
            AgeUnit::Months => "months",
            AgeUnit::Weeks => "weeks",
            AgeUnit::Days => "days",
        }
    }

    /// How many of this unit have surely carried over into the next larger one.
    const fn most_beside_a_larger(self) -> u64 {
        match self {
            AgeUnit::Years => 0,
            AgeUnit::Months => 11,
            AgeUnit::Weeks => 52,
            AgeUnit::Days => 365,
        }
    }
}

/// Largest age accepted, in years.
const LARGEST: u64 = 120;

/// A lone `m` is not among the months: `67m` is a man of 67.
const UNITS: &[Spellings<AgeUnit>] = &[
    (
        AgeUnit::Years,
        &["years", "year", "yrs", "yr", "yo", "y/o", "y.o", "y"],
    ),
    (
        AgeUnit::Months,
        &["months", "month", "mths", "mth", "mos", "mo"],
    ),
    (AgeUnit::Weeks, &["weeks", "week", "wks", "wk", "w"]),
    (AgeUnit::Days, &["days", "day", "d"]),
];

/// What the number says of the age.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Bound {
    Exactly,
    AtLeast,
    AtMost,
    Below,
}

const BOUNDS: &[(&str, Bound)] = &[
    (">=", Bound::AtLeast),
    ("≥", Bound::AtLeast),
    (">", Bound::AtLeast),
    ("<=", Bound::AtMost),
    ("≤", Bound::AtMost),
    ("<", Bound::Below),
    ("over", Bound::AtLeast),
    ("above", Bound::AtLeast),
    ("older than", Bound::AtLeast),
    ("more than", Bound::AtLeast),
    ("at least", Bound::AtLeast),
    ("under", Bound::Below),
    ("below", Bound::Below),
    ("younger than", Bound::Below),
    ("less than", Bound::Below),
];

const AND_OVER: &[&str] = &[
    "and over",
    "or over",
    "and older",
    "or older",
    "and above",
    "or above",
    "and more",
    "or more",
    "& over",
    "plus",
];

/// The age in completed years, at most [`AGE_CAP`]. `declared` is the unit of a number without
/// one; a unit in the text goes before it. Open-ended ages from 89 on read [`AGE_CAP`], and those
/// of less than a year 0; other open-ended ages are no age.
///
/// # Errors
/// `NotAWholeNumber`, `OutOfRange` (also for an open-ended age between), or `SpreadsheetError`.
pub(in crate::ingest) fn age_years(
    text: &str,
    declared: AgeUnit,
    decimal: u8,
) -> Result<i64, IssueCode> {
    if declared == AgeUnit::Years
        && let Some(years) = digits(text)
    {
        return capped(u64::try_from(years).map_err(|_| IssueCode::OutOfRange)?);
    }
    match Age::read(text, declared, decimal) {
        Some(age) => age.years(),
        None => Err(not_a_number(text)),
    }
}

fn capped(years: u64) -> Result<i64, IssueCode> {
    if years > LARGEST {
        return Err(IssueCode::OutOfRange);
    }
    Ok(i64::try_from(years).map_or(AGE_CAP, |years| years.min(AGE_CAP)))
}

/// An age as it is written.
#[derive(Clone, Copy)]
struct Age<'a> {
    bound: Bound,
    number: Written<'a>,
    unit: AgeUnit,
    /// Days of a second part, where it can make a year full.
    more_days: u64,
}

impl<'a> Age<'a> {
    fn read(text: &'a str, declared: AgeUnit, decimal: u8) -> Option<Age<'a>> {
        let (before, rest) = leading_bound(text.trim());
        let number = Written::read(rest, decimal)?;
        let (plus_before_unit, rest) = strip_plus(number.rest);
        let (unit, mut rest) = leading_unit(rest, UNITS)
            .or_else(|| months_by_context(rest, declared == AgeUnit::Months))
            .unwrap_or((declared, rest));
        let mut age = Age {
            bound: before,
            number,
            unit,
            more_days: 0,
        };
        if let Some((days, after)) = second_part(rest, unit) {
            if before != Bound::Exactly || plus_before_unit || !number.is_whole() {
                return None;
            }
            age.more_days = days;
            rest = after;
        }
        let (_, rest) = strip_one_of(rest, &["old", "of age"]);
        let (plus_after_unit, rest) = strip_plus(rest);
        let (and_over, rest) = strip_one_of(rest, AND_OVER);
        if plus_before_unit || plus_after_unit || and_over {
            if !matches!(before, Bound::Exactly | Bound::AtLeast) {
                return None;
            }
            age.bound = Bound::AtLeast;
        }
        rest.trim().is_empty().then_some(age)
    }

    fn years(self) -> Result<i64, IssueCode> {
        let Written {
            whole, fraction, ..
        } = self.number;
        if self.number.is_negative && (whole, fraction) != (0, 0) {
            return Err(IssueCode::OutOfRange);
        }
        let days = |per_unit: u64| {
            let of_fraction = fraction * per_unit / 10_u64.pow(self.number.fraction_digits);
            whole * per_unit + of_fraction + self.more_days
        };
        // Days make a year of 365.25.
        let years = match self.unit {
            AgeUnit::Years => whole,
            AgeUnit::Months => whole / 12,
            AgeUnit::Weeks => days(7) * 4 / 1461,
            AgeUnit::Days => days(1) * 4 / 1461,
        };
        let is_first_birthday_at_most = match self.unit {
            AgeUnit::Years => (whole, fraction) <= (1, 0),
            AgeUnit::Months => (whole, fraction) <= (12, 0),
            AgeUnit::Weeks => (whole, fraction) <= (52, 0),
            AgeUnit::Days => (whole, fraction) <= (365, 0),
        };
        match self.bound {
            Bound::Exactly => capped(years),
            Bound::AtLeast => match capped(years)? {
                bound if bound >= AGE_CAP - 1 => Ok(AGE_CAP),
                _ => Err(IssueCode::OutOfRange),
            },
            Bound::AtMost if years == 0 => Ok(0),
            Bound::Below if is_first_birthday_at_most => Ok(0),
            Bound::AtMost | Bound::Below => Err(IssueCode::OutOfRange),
        }
    }
}

/// A lone `m` where it can only mean months.
fn months_by_context(text: &str, can_be: bool) -> Option<(AgeUnit, &str)> {
    const LONE_M: &[Spellings<AgeUnit>] = &[(AgeUnit::Months, &["m"])];
    can_be.then(|| leading_unit(text, LONE_M)).flatten()
}

fn leading_bound(text: &str) -> (Bound, &str) {
    for (word, bound) in BOUNDS {
        if let Some(rest) = strip_word(text, word) {
            return (*bound, rest.trim_start());
        }
    }
    (Bound::Exactly, text)
}

fn strip_plus(text: &str) -> (bool, &str) {
    match text.trim_start().strip_prefix('+') {
        Some(rest) => (true, rest),
        None => (false, text),
    }
}

/// The part of a smaller unit after `2 y`, in days where it can make a year full, and what follows
/// it.
fn second_part(text: &str, larger: AgeUnit) -> Option<(u64, &str)> {
    let text = text.trim_start_matches([' ', '\u{a0}', ',', '&']);
    let text = strip_word(text, "and").map_or(text, str::trim_start);
    // No sign and no fraction; the mark of decimals does not matter then.
    let number = Written::read(text, b'.')
        .filter(|_| text.starts_with(|sign: char| sign.is_ascii_digit()))?;
    let (unit, rest) = leading_unit(number.rest, UNITS)
        .or_else(|| months_by_context(number.rest, larger == AgeUnit::Years))?;
    if unit <= larger || number.fraction_digits > 0 || number.whole > unit.most_beside_a_larger() {
        return None;
    }
    let days = if larger == AgeUnit::Weeks {
        number.whole
    } else {
        0
    };
    Some((days, rest))
}

#[cfg(test)]
mod tests;
