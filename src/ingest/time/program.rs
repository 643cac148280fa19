//! The common `strptime` words as a list of steps that reads a cell from left to right, without
//! allocation. Knows how texts are taken apart, not which dates there are.
//!
//! What it forgives never changes a meaning: one digit where two are usual, `T` for a space, seconds
//! that are there or not, `am` in any dress.

mod compile;
mod layout;

use compile::compile;
use layout::Layout;

/// One step through a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    /// This byte.
    Literal(u8),
    /// At least one space.
    Spaces,
    /// Spaces or nothing.
    SpacesOrNone,
    /// At least one space, or one `T`, between a date and a time of day.
    DateFromTime,
    Year,
    ShortYear,
    Month(Digits),
    MonthName {
        /// Whether a point behind the name belongs to the form and not to a short name.
        is_point_a_step: bool,
    },
    Day(Digits),
    Hour(Digits),
    HourOfTwelve(Digits),
    Minute,
    /// Seconds and their fraction, or nothing; `Some` byte stands before the seconds.
    Seconds(Option<u8>),
    Meridiem,
    Offset,
}

/// How many digits a number has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Digits {
    OneOrTwo,
    /// Where nothing separates it from the next number.
    Two,
}

/// The steps of one form.
#[derive(Clone, Debug)]
pub(super) struct Program {
    steps: Box<[Step]>,
    holds: Holds,
    /// For cells that are written in full; `None` where some part has no fixed length.
    layout: Option<Layout>,
}

/// What a form claims to hold.
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a word that is there or not, and all of them may be"
)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Holds {
    pub(super) year: bool,
    pub(super) month: bool,
    pub(super) day: bool,
    pub(super) hour: bool,
    pub(super) hour_of_twelve: bool,
    pub(super) meridiem: bool,
    pub(super) minute: bool,
}

impl Holds {
    /// Whether date and time of day are there, in this order; `None` when a part is there and not
    /// the whole.
    pub(super) fn date_and_time(self) -> Option<(bool, bool)> {
        let whole = |parts: &[bool]| {
            let there = parts.iter().filter(|part| **part).count();
            (there == 0 || there == parts.len()).then_some(there > 0)
        };
        let date = whole(&[self.year, self.month, self.day])?;
        // Exactly one of the two kinds of hours, and am and pm with the hours of twelve.
        let hour = match (self.hour, self.hour_of_twelve, self.meridiem) {
            (true, false, false) | (false, true, true) => true,
            (false, false, false) => false,
            _ => return None,
        };
        Some((date, whole(&[hour, self.minute])?))
    }
}

/// What the digits of a cell say, before anything is checked against the calendar.
#[derive(Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Parts {
    pub(super) year: i16,
    pub(super) month: u8,
    pub(super) day: u8,
    pub(super) hour: u8,
    pub(super) minute: u8,
    pub(super) offset_minutes: Option<i16>,
}

impl Program {
    /// The program of a form; `None` when a word of it is none of the common ones.
    pub(super) fn new(words: &str) -> Option<Program> {
        compile(words)
    }

    pub(super) fn holds(&self) -> Holds {
        self.holds
    }

    /// Takes a cell apart; `None` when it does not have the form.
    pub(super) fn read(&self, text: &str) -> Option<Parts> {
        let in_full = self.layout.as_ref();
        in_full
            .and_then(|layout| layout.read(text.as_bytes()))
            .or_else(|| self.read_steps(text))
    }

    fn read_steps(&self, text: &str) -> Option<Parts> {
        let mut parts = Parts::default();
        let mut is_afternoon = false;
        let mut rest = Rest(text.as_bytes());
        for step in &self.steps {
            match *step {
                Step::Literal(byte) => rest.expect(byte)?,
                Step::Spaces => rest.spaces().then_some(())?,
                Step::SpacesOrNone => {
                    rest.spaces();
                }
                Step::DateFromTime => rest.date_from_time()?,
                Step::Year => parts.year = rest.year()?,
                Step::ShortYear => parts.year = full_year(rest.two_digits()?),
                Step::Month(digits) => parts.month = rest.number(digits)?,
                Step::MonthName { is_point_a_step } => {
                    parts.month = rest.month_name()?;
                    if !is_point_a_step {
                        rest.0 = rest.0.strip_prefix(b".").unwrap_or(rest.0);
                    }
                }
                Step::Day(digits) => parts.day = rest.number(digits)?,
                Step::Hour(digits) => {
                    parts.hour = rest.number(digits).filter(|hour| *hour < 24)?;
                }
                Step::HourOfTwelve(digits) => {
                    let is_hour = |hour: &u8| (1..=12).contains(hour);
                    parts.hour = rest.number(digits).filter(is_hour)? % 12;
                }
                Step::Minute => parts.minute = rest.two_digits().filter(|minute| *minute < 60)?,
                Step::Seconds(separator) => rest.seconds(separator)?,
                Step::Meridiem => is_afternoon = rest.is_afternoon()?,
                Step::Offset => parts.offset_minutes = Some(rest.offset()?),
            }
        }
        if is_afternoon {
            parts.hour += 12;
        }
        rest.0.is_empty().then_some(parts)
    }
}

/// 70 to 99 are years of the last century.
fn full_year(two_digits: u8) -> i16 {
    let year = i16::from(two_digits);
    if year < 70 { 2000 + year } else { 1900 + year }
}

/// What is still to be read of a cell.
struct Rest<'a>(&'a [u8]);

impl Rest<'_> {
    fn expect(&mut self, byte: u8) -> Option<()> {
        let (first, rest) = self.0.split_first()?;
        (*first == byte).then_some(())?;
        self.0 = rest;
        Some(())
    }

    /// Passes over spaces, tabs and spaces that do not break; whether there were any.
    fn spaces(&mut self) -> bool {
        let before = self.0.len();
        loop {
            self.0 = match self.0 {
                [b' ' | b'\t', rest @ ..]
                | [0xC2, 0xA0, rest @ ..]
                | [0xE2, 0x80, 0xAF, rest @ ..] => rest,
                _ => return self.0.len() < before,
            };
        }
    }

    fn date_from_time(&mut self) -> Option<()> {
        match self.0 {
            [b'T' | b't', rest @ ..] => {
                self.0 = rest;
                Some(())
            }
            _ => self.spaces().then_some(()),
        }
    }

    fn year(&mut self) -> Option<i16> {
        let century = self.two_digits()?;
        Some(i16::from(century) * 100 + i16::from(self.two_digits()?))
    }

    fn number(&mut self, digits: Digits) -> Option<u8> {
        match (digits, self.0) {
            (Digits::OneOrTwo, [one @ b'0'..=b'9', rest @ ..])
                if !rest.first().is_some_and(u8::is_ascii_digit) =>
            {
                self.0 = rest;
                Some(one - b'0')
            }
            _ => self.two_digits(),
        }
    }

    fn two_digits(&mut self) -> Option<u8> {
        match self.0 {
            [tens @ b'0'..=b'9', ones @ b'0'..=b'9', rest @ ..] => {
                self.0 = rest;
                Some((tens - b'0') * 10 + (ones - b'0'))
            }
            _ => None,
        }
    }

    /// Seconds say nothing that is kept; 60 is a leap second.
    fn seconds(&mut self, separator: Option<u8>) -> Option<()> {
        let digits = match (separator, self.0) {
            (Some(separator), [first, rest @ ..]) if *first == separator => rest,
            (None, [b'0'..=b'9', ..]) => self.0,
            _ => return Some(()),
        };
        self.0 = digits;
        self.two_digits().filter(|second| *second <= 60)?;
        if let [b'.' | b',', b'0'..=b'9', ..] = self.0 {
            self.0 = &self.0[1..];
            while let [b'0'..=b'9', rest @ ..] = self.0 {
                self.0 = rest;
            }
        }
        Some(())
    }

    /// `am`, `PM`, `p.m.`, `a. m.`
    fn is_afternoon(&mut self) -> Option<bool> {
        let (first, mut rest) = self.0.split_first()?;
        let is_afternoon = match first {
            b'a' | b'A' => false,
            b'p' | b'P' => true,
            _ => return None,
        };
        if let [b'.', after @ ..] = rest {
            rest = after.strip_prefix(b" ").unwrap_or(after);
        }
        let [b'm' | b'M', after @ ..] = rest else {
            return None;
        };
        self.0 = after.strip_prefix(b".").unwrap_or(after);
        Some(is_afternoon)
    }

    /// `Z`, `+01`, `+0100`, `-05:30`.
    fn offset(&mut self) -> Option<i16> {
        let (first, rest) = self.0.split_first()?;
        self.0 = rest;
        let sign = match first {
            b'Z' | b'z' => return Some(0),
            b'+' => 1,
            b'-' => -1,
            _ => return None,
        };
        // No zone is further than 14 hours from UTC, and none was further than 16.
        let hours = self.two_digits().filter(|hours| *hours < 16)?;
        let minutes = match self.0 {
            [b':', rest @ ..] => {
                self.0 = rest;
                self.two_digits()?
            }
            [b'0'..=b'9', ..] => self.two_digits()?,
            _ => 0,
        };
        (minutes < 60).then_some(sign * (i16::from(hours) * 60 + i16::from(minutes)))
    }

    fn month_name(&mut self) -> Option<u8> {
        let letters = self.0.iter().take_while(|byte| byte.is_ascii_alphabetic());
        let (name, rest) = self.0.split_at(letters.count());
        let month = month_named(name)?;
        self.0 = rest;
        Some(month)
    }
}

/// The number of an English month, by its name or the first letters of it.
pub(super) fn month_named(name: &[u8]) -> Option<u8> {
    const NAMES: [&[u8]; 12] = [
        b"january",
        b"february",
        b"march",
        b"april",
        b"may",
        b"june",
        b"july",
        b"august",
        b"september",
        b"october",
        b"november",
        b"december",
    ];
    let [first, second, third, ..] = name else {
        return None;
    };
    let month = match [first | 0x20, second | 0x20, third | 0x20] {
        [b'j', b'a', b'n'] => 1,
        [b'f', b'e', b'b'] => 2,
        [b'm', b'a', b'r'] => 3,
        [b'a', b'p', b'r'] => 4,
        [b'm', b'a', b'y'] => 5,
        [b'j', b'u', b'n'] => 6,
        [b'j', b'u', b'l'] => 7,
        [b'a', b'u', b'g'] => 8,
        [b's', b'e', b'p'] => 9,
        [b'o', b'c', b't'] => 10,
        [b'n', b'o', b'v'] => 11,
        [b'd', b'e', b'c'] => 12,
        _ => return None,
    };
    let known = NAMES[usize::from(month) - 1];
    let is_name = name.len() == 3
        || name.eq_ignore_ascii_case(known)
        || (month == 9 && name.eq_ignore_ascii_case(b"sept"));
    is_name.then_some(month)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_are_known_by_their_names_and_the_first_letters() {
        for (name, month) in [
            ("Jan", Some(1)),
            ("MAY", Some(5)),
            ("june", Some(6)),
            ("Sept", Some(9)),
            ("September", Some(9)),
            ("Septem", None),
            ("Decem", None),
            ("Ja", None),
            ("Mai", None),
            ("\u{4a}\u{1}N", None),
            ("", None),
        ] {
            assert_eq!(month_named(name.as_bytes()), month, "{name}");
        }
    }
}
