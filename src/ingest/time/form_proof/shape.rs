//! What a cell of a time column looks like: its signs and which of its numbers may be a day, a month
//! or a year. Keeps no text.

use super::super::program::month_named;
use super::super::spreadsheet::{Serial, SerialStart, read_serial};

/// The looks of a cell. Cells of one shape are read by one form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Shape {
    Serial,
    Time {
        date: Option<DateShape>,
        clock: Option<ClockShape>,
        join: Join,
    },
}

/// What stands between date and time of day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Join {
    Nothing,
    /// Spaces or a `T`.
    Space,
    CommaAndSpace,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum DateShape {
    /// The year in front; `None` where nothing separates it from month and day.
    YearFirst { separator: Option<u8> },
    /// Three numbers whose order must be proved.
    Numbers { separator: u8, is_short_year: bool },
    /// Day, name of the month, year.
    DayAndName { separator: u8, is_short_year: bool },
    /// Name of the month, day, year.
    NameAndDay { has_comma: bool },
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct ClockShape {
    /// `None` where hours and minutes stand side by side.
    pub(super) separator: Option<u8>,
    pub(super) has_meridiem: bool,
    pub(super) has_offset: bool,
}

/// What a cell showed beside its shape.
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a sign that is there or not, and all of them may be"
)]
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    pub(super) shape: Shape,
    /// The three numbers of a date whose order must be proved.
    pub(super) numbers: [u32; 3],
    /// Whether the first of them may be a year of two digits.
    pub(super) may_start_with_year: bool,
    pub(super) hour: u32,
    pub(super) has_seconds: bool,
    pub(super) has_fraction: bool,
    pub(super) has_t: bool,
}

/// What one cell shows; `None` when it is no time in any of the known shapes.
pub(super) fn look_at(text: &str) -> Option<Seen> {
    let mut seen = Seen {
        shape: Shape::Serial,
        numbers: [0; 3],
        may_start_with_year: false,
        hour: 0,
        has_seconds: false,
        has_fraction: false,
        has_t: false,
    };
    if let Some(Serial::Minute(_)) = read_serial(text, SerialStart::Usual) {
        return Some(seen);
    }
    let mut rest = Rest(text.as_bytes());
    let date = rest.date(&mut seen);
    let mut join = Join::Nothing;
    let mut clock = None;
    if date.is_none() || !rest.0.is_empty() {
        if date.is_some() {
            let has_comma = rest.takes(b',');
            seen.has_t = rest.takes(b'T');
            let has_space = seen.has_t || rest.takes_spaces();
            join = match (has_comma, has_space) {
                (true, true) => Join::CommaAndSpace,
                (false, true) => Join::Space,
                (_, false) => Join::Nothing,
            };
            if join == Join::Nothing && (has_comma || date != Some(COMPACT)) {
                return None;
            }
        }
        clock = Some(rest.clock(&mut seen, date)?);
    }
    seen.shape = Shape::Time { date, clock, join };
    rest.0.is_empty().then_some(seen)
}

/// Eight digits.
const COMPACT: DateShape = DateShape::YearFirst { separator: None };

#[derive(Clone, Copy)]
struct Rest<'a>(&'a [u8]);

impl Rest<'_> {
    fn takes(&mut self, byte: u8) -> bool {
        let is_next = self.0.first() == Some(&byte);
        if is_next {
            self.0 = &self.0[1..];
        }
        is_next
    }

    /// Space of any kind that reads like space, as where a program puts a narrow one before `PM`.
    fn takes_spaces(&mut self) -> bool {
        let before = self.0.len();
        while let [b' ' | b'\t', rest @ ..]
        | [0xC2, 0xA0, rest @ ..]
        | [0xE2, 0x80, 0xAF, rest @ ..] = self.0
        {
            self.0 = rest;
        }
        self.0.len() < before
    }

    /// The digits in front, at most nine, with their count.
    fn digits(&mut self) -> Option<(u32, usize)> {
        let count = self
            .0
            .iter()
            .take_while(|byte| byte.is_ascii_digit())
            .count();
        if count == 0 || count > 9 {
            return None;
        }
        Some((self.number(count)?, count))
    }

    fn number(&mut self, count: usize) -> Option<u32> {
        let (digits, rest) = self.0.split_at_checked(count)?;
        if !digits.iter().all(u8::is_ascii_digit) {
            return None;
        }
        self.0 = rest;
        let value = |number, byte: &u8| number * 10 + u32::from(byte - b'0');
        Some(digits.iter().fold(0, value))
    }

    fn name(&mut self) -> Option<()> {
        let letters = self.0.iter().take_while(|byte| byte.is_ascii_alphabetic());
        let (name, rest) = self.0.split_at(letters.count());
        month_named(name)?;
        self.0 = rest;
        Some(())
    }

    /// A date; leaves everything where it was when there is none.
    fn date(&mut self, seen: &mut Seen) -> Option<DateShape> {
        let (mut compact, mut with_signs, mut with_name) = (*self, *self, *self);
        let (date, rest) = if let Some(date) = compact.compact_date() {
            (date, compact)
        } else if let Some(date) = with_signs.date_with_signs(seen) {
            (date, with_signs)
        } else {
            (with_name.date_with_name()?, with_name)
        };
        *self = rest;
        Some(date)
    }

    fn compact_date(&mut self) -> Option<DateShape> {
        let digits = self
            .0
            .iter()
            .take_while(|byte| byte.is_ascii_digit())
            .count();
        if ![8, 12, 14].contains(&digits) {
            return None;
        }
        let (year, month, day) = (self.number(4)?, self.number(2)?, self.number(2)?);
        // Eight digits may be anything; a year of records makes them a date.
        let is_date =
            (1970..=2100).contains(&year) && (1..=12).contains(&month) && (1..=31).contains(&day);
        is_date.then_some(COMPACT)
    }

    fn date_with_signs(&mut self, seen: &mut Seen) -> Option<DateShape> {
        let (first, first_count) = self.digits()?;
        let separator = self
            .0
            .first()
            .copied()
            .filter(|byte| b"-/.".contains(byte))?;
        self.takes(separator);
        let (second, second_count) = self.digits()?;
        if !self.takes(separator) || second_count > 2 {
            return None;
        }
        let (third, third_count) = self.digits()?;
        if first_count == 4 && third_count <= 2 {
            let is_date = second <= 12 && third <= 31;
            return is_date.then_some(DateShape::YearFirst {
                separator: Some(separator),
            });
        }
        let is_short_year = third_count == 2;
        if first_count > 2 || !(is_short_year || third_count == 4) {
            return None;
        }
        seen.numbers = [first, second, third];
        seen.may_start_with_year = is_short_year && first_count == 2;
        Some(DateShape::Numbers {
            separator,
            is_short_year,
        })
    }

    fn date_with_name(&mut self) -> Option<DateShape> {
        if self.0.first()?.is_ascii_digit() {
            let (day, _) = self.digits().filter(|(_, count)| *count <= 2)?;
            let separator = self
                .0
                .first()
                .copied()
                .filter(|byte| b" -/.".contains(byte))?;
            self.takes(separator);
            self.name()?;
            if !self.takes(separator) {
                return None;
            }
            let (_, count) = self.digits()?;
            let is_date = (1..=31).contains(&day) && (count == 2 || count == 4);
            return is_date.then_some(DateShape::DayAndName {
                separator,
                is_short_year: count == 2,
            });
        }
        self.name()?;
        if !self.takes_spaces() {
            return None;
        }
        let (day, count) = self.digits()?;
        let has_comma = self.takes(b',');
        if count > 2 || !(1..=31).contains(&day) || !self.takes_spaces() {
            return None;
        }
        let (_, count) = self.digits()?;
        (count == 4).then_some(DateShape::NameAndDay { has_comma })
    }

    fn clock(&mut self, seen: &mut Seen, date: Option<DateShape>) -> Option<ClockShape> {
        let (hour, separator) = if date == Some(COMPACT) && !self.0.contains(&b':') {
            (self.number(2)?, None)
        } else {
            let (hour, _) = self.digits().filter(|(_, count)| *count <= 2)?;
            // A point alone between two numbers is a decimal point, unless a date stands before.
            let separator = match self.0.first() {
                Some(b':') => b':',
                Some(b'.') if date.is_some() => b'.',
                _ => return None,
            };
            self.takes(separator);
            (hour, Some(separator))
        };
        let minute = self.number(2)?;
        seen.has_seconds = match separator {
            Some(separator) => self.takes(separator),
            None => self.0.first().is_some_and(u8::is_ascii_digit),
        };
        if seen.has_seconds {
            self.number(2).filter(|second| *second <= 60)?;
            if let [b'.' | b',', b'0'..=b'9', ..] = self.0 {
                seen.has_fraction = true;
                self.0 = &self.0[1..];
                while let [b'0'..=b'9', rest @ ..] = self.0 {
                    self.0 = rest;
                }
            }
        }
        seen.hour = hour;
        let has_meridiem = self.meridiem();
        let has_offset = !self.0.is_empty() && self.offset()?;
        let hours = if has_meridiem { 1..=12 } else { 0..=23 };
        (hours.contains(&hour) && minute < 60).then_some(ClockShape {
            separator,
            has_meridiem,
            has_offset,
        })
    }

    fn meridiem(&mut self) -> bool {
        let start = self.0;
        self.takes_spaces();
        let is_letter = |byte: Option<&u8>, known: &[u8]| byte.is_some_and(|b| known.contains(b));
        if is_letter(self.0.first(), b"aApP") {
            self.0 = &self.0[1..];
            if self.takes(b'.') {
                self.takes(b' ');
            }
            if is_letter(self.0.first(), b"mM") {
                self.0 = &self.0[1..];
                self.takes(b'.');
                return true;
            }
        }
        self.0 = start;
        false
    }

    fn offset(&mut self) -> Option<bool> {
        self.takes_spaces();
        if self.takes(b'Z') {
            return Some(true);
        }
        if !self.takes(b'+') && !self.takes(b'-') {
            return None;
        }
        self.number(2).filter(|hours| *hours < 16)?;
        if self.takes(b':') || !self.0.is_empty() {
            self.number(2).filter(|minutes| *minutes < 60)?;
        }
        Some(true)
    }
}
