//! Numbers as exports write them: whole numbers, decimals, ages, lengths of time and laboratory
//! quantities.
//!
//! Nothing is guessed: which sign marks decimals is told, and a text that could be read in two
//! ways is refused. Texts come without surrounding white space. Knows no field and no mapping.

mod age;
mod elapsed;
mod quantity;
mod unit;

pub(super) use age::{AgeUnit, age_years};
pub(super) use elapsed::{DurationUnit, elapsed_minutes};
pub(super) use quantity::quantity;

use super::time::is_spreadsheet_error;
use crate::domain::issue::IssueCode;

/// A whole number from `min` to `max`, both included.
///
/// Digits with a sign or none, and a fraction only when it is zero: `67,0` where `decimal` is a
/// comma. Thousands may be marked where the mark cannot be a decimal one: `1.234,0` and
/// `1,234,567`, but not `1,234`.
///
/// # Errors
/// `NotAWholeNumber`, `OutOfRange`, or `SpreadsheetError` for a formula or its error.
#[inline]
pub(super) fn whole(text: &str, decimal: u8, min: i64, max: i64) -> Result<i64, IssueCode> {
    let number = match digits(text) {
        Some(number) => number,
        None => unusual_whole(text, decimal)?,
    };
    if (min..=max).contains(&number) {
        Ok(number)
    } else {
        Err(IssueCode::OutOfRange)
    }
}

/// Digits with a sign or none, as nearly every number comes; `None` for any other text and for
/// more digits than are sure to fit.
#[inline]
fn digits(text: &str) -> Option<i64> {
    let bytes = text.as_bytes();
    let (is_negative, digits) = match bytes {
        [b'-', digits @ ..] => (true, digits),
        [b'+', digits @ ..] | digits => (false, digits),
    };
    if digits.is_empty() || digits.len() > 18 {
        return None;
    }
    let mut number = 0;
    for byte in digits {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            return None;
        }
        number = number * 10 + i64::from(digit);
    }
    Some(if is_negative { -number } else { number })
}

/// A whole number written otherwise than in up to 18 digits.
#[cold]
fn unusual_whole(text: &str, decimal: u8) -> Result<i64, IssueCode> {
    let parse = || {
        let (is_negative, unsigned) = sign(text);
        let (whole, fraction) = match unsigned.split_once(char::from(decimal)) {
            Some((whole, fraction)) => (whole, Some(fraction)),
            None => (unsigned, None),
        };
        if fraction.is_some_and(|zeros| zeros.is_empty() || zeros.bytes().any(|zero| zero != b'0'))
        {
            return None;
        }
        let magnitude = if whole.bytes().all(|byte| byte.is_ascii_digit()) {
            whole.parse::<i128>().ok()?
        } else {
            grouped(whole, decimal, fraction.is_some())?
        };
        i64::try_from(if is_negative { -magnitude } else { magnitude }).ok()
    };
    parse().ok_or_else(|| not_a_number(text))
}

/// Digits with thousands marked. A comma or a point must show that it marks no decimals: by a
/// second one, or by the fraction after it.
fn grouped(text: &str, decimal: u8, has_fraction: bool) -> Option<i128> {
    let mark = text.chars().find(|sign| !sign.is_ascii_digit())?;
    let is_mark = match mark {
        ',' | '.' => mark != char::from(decimal),
        // A plain space may as well stand between two numbers.
        '\u{a0}' | '\u{202f}' | '\u{2009}' | '\'' | '’' => true,
        _ => false,
    };
    let groups = text.split(mark).count();
    if !is_mark || groups > 7 || (matches!(mark, ',' | '.') && groups == 2 && !has_fraction) {
        return None;
    }
    let mut number = 0;
    for (index, group) in text.split(mark).enumerate() {
        let is_group = if index == 0 {
            (1..=3).contains(&group.len()) && !group.starts_with('0')
        } else {
            group.len() == 3
        };
        if !is_group || !group.bytes().all(|byte| byte.is_ascii_digit()) {
            return None;
        }
        number = number * 1000 + group.parse::<i128>().ok()?;
    }
    Some(number)
}

/// The number at the start of a text, exactly as written.
#[derive(Clone, Copy)]
struct Written<'a> {
    is_negative: bool,
    whole: u64,
    /// Digits after the mark, as a number of `fraction_digits` digits; those beyond the fifteenth
    /// are left out.
    fraction: u64,
    fraction_digits: u32,
    rest: &'a str,
}

impl<'a> Written<'a> {
    /// `None` when no number starts here, or one of more than 15 digits before the mark.
    fn read(text: &'a str, decimal: u8) -> Option<Written<'a>> {
        let (is_negative, unsigned) = sign(text);
        let (whole, digits, rest) = leading_digits(unsigned);
        if !(1..=15).contains(&digits) {
            return None;
        }
        let mut number = Written {
            is_negative,
            whole,
            fraction: 0,
            fraction_digits: 0,
            rest,
        };
        if let Some(after_mark) = rest.strip_prefix(char::from(decimal)) {
            let (fraction, digits, rest) = leading_digits(after_mark);
            if digits > 0 {
                number.fraction = fraction;
                number.fraction_digits = digits.min(15);
                number.rest = rest;
            }
        }
        Some(number)
    }

    fn is_whole(&self) -> bool {
        self.fraction == 0
    }
}

/// The first fifteen of the digits that a text starts with, how many there are, and what follows
/// them.
fn leading_digits(text: &str) -> (u64, u32, &str) {
    let mut number = 0;
    let mut count = 0;
    for byte in text.bytes().take_while(u8::is_ascii_digit) {
        if count < 15 {
            number = number * 10 + u64::from(byte - b'0');
        }
        count += 1;
    }
    let rest = text.trim_start_matches(|sign: char| sign.is_ascii_digit());
    (number, count, rest)
}

/// Whether a text starts with a minus, and what follows its sign.
fn sign(text: &str) -> (bool, &str) {
    if let Some(unsigned) = text.strip_prefix(['-', '−']) {
        (true, unsigned)
    } else {
        (false, text.strip_prefix('+').unwrap_or(text))
    }
}

/// Why a text is no number.
#[cold]
fn not_a_number(text: &str) -> IssueCode {
    if is_spreadsheet_error(text) {
        IssueCode::SpreadsheetError
    } else {
        IssueCode::NotAWholeNumber
    }
}

#[cfg(test)]
mod tests;
