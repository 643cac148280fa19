//! The form of the times of one column, as the mapping names it, and the reading of its cells.
//!
//! Knows which dates a record can bear and which are written where there is none. Knows no zone.

use super::Written;
use super::civil::{FIRST_YEAR, LAST_YEAR, civil_from_days, days_from_civil};
use super::program::{Parts, Program};
use super::spreadsheet::{
    Serial, SerialStart, is_spreadsheet_error, minute_of_serial, read_serial,
};
use crate::domain::issue::IssueCode;
use crate::ingest::error::MappingFault;
use jiff::civil::DateTime;
use jiff::fmt::strtime::BrokenDownTime;
use jiff::tz::TimeZone;

/// How the times of a column are written.
#[derive(Clone, Debug)]
pub(in crate::ingest) struct TimeFormat {
    words: String,
    reader: Reader,
    has_date: bool,
    has_time: bool,
}

#[derive(Clone, Debug)]
enum Reader {
    Steps(Program),
    Serial(SerialStart),
    /// Hours and minutes as one number, whose zeros in front a spreadsheet has lost.
    Digits,
    /// Rare words: left to the library, an order of magnitude slower.
    Library,
}

impl TimeFormat {
    /// A form in `strptime` words, `serial` or `serial_1904` for the day numbers of spreadsheets, or
    /// `hhmm` for a time of day as one number (`945`, `5` for five past midnight).
    /// A time of day alone and a date alone are forms too, for exports that keep them apart.
    ///
    /// # Errors
    /// When the words are none, or lose part of the date or of the time of day that they begin, such
    /// as twelve hours without am and pm: such a form would read every row wrongly.
    pub(in crate::ingest) fn new(words: &str) -> Result<TimeFormat, MappingFault> {
        let words = words.trim();
        let with = |reader, (has_date, has_time)| TimeFormat {
            words: words.to_string(),
            reader,
            has_date,
            has_time,
        };
        match words {
            "serial" => return Ok(with(Reader::Serial(SerialStart::Usual), (true, true))),
            "serial_1904" => return Ok(with(Reader::Serial(SerialStart::In1904), (true, true))),
            "hhmm" => return Ok(with(Reader::Digits, (false, true))),
            _ => {}
        }
        let steps = Program::new(words).and_then(|program| {
            let holds = program.holds().date_and_time()?;
            (holds != (false, false)).then(|| with(Reader::Steps(program), holds))
        });
        steps
            .or_else(|| holds_by_library(words).map(|holds| with(Reader::Library, holds)))
            .ok_or_else(|| {
                MappingFault::new(
                    "`cases.time_format` does not hold a whole date and time of day",
                    "for 2026-09-30 23:50 write `%Y-%m-%d %H:%M`, for 9/30/2026 11:50 pm write `%m/%d/%Y %I:%M %p`",
                )
            })
    }

    /// The words as the mapping has them.
    pub(in crate::ingest) fn words(&self) -> &str {
        &self.words
    }

    /// Whether its cells hold a date.
    pub(in crate::ingest) fn has_date(&self) -> bool {
        self.has_date
    }

    /// Whether its cells hold a time of day.
    pub(in crate::ingest) fn has_time(&self) -> bool {
        self.has_time
    }

    /// What a cell says. Space around it is of no account; seconds are cut off.
    ///
    /// # Errors
    /// `NotATime` for another form, a day that does not exist, or a year outside 1970 to 2100;
    /// `Placeholder` for the dates that systems write where there is none; `SpreadsheetError`.
    pub(in crate::ingest) fn read(&self, text: &str) -> Result<Written, IssueCode> {
        let text = without_space_around(text);
        if let Reader::Serial(start) = self.reader {
            return match read_serial(text, start) {
                Some(Serial::Minute(minute)) => written_of_serial(minute),
                Some(Serial::Placeholder) => Err(IssueCode::Placeholder),
                None => Err(not_a_time(text)),
            };
        }
        match self.parts(text) {
            Some(parts) => self.written(parts),
            None => Err(not_a_time(text)),
        }
    }

    /// The time of day that a cell says whose date stands elsewhere. Databases write a date beside
    /// it all the same, often their first day, which is none (`date` is `None` then).
    ///
    /// # Errors
    /// As [`TimeFormat::read`], but for the dates that systems write where there is none.
    pub(in crate::ingest) fn read_time_of_day(&self, text: &str) -> Result<Written, IssueCode> {
        let of_day = |minute_of_day| Written {
            date: None,
            minute_of_day: Some(minute_of_day),
            offset_minutes: None,
        };
        match self.read(text) {
            Ok(written) if written.minute_of_day.is_some() => Ok(written),
            Ok(_) => Err(IssueCode::NotATime),
            Err(fault) => {
                let text = without_space_around(text);
                let minute_of_day = match (&self.reader, fault) {
                    (Reader::Serial(_), _) => minute_of_serial(text),
                    (_, IssueCode::Placeholder) => self
                        .parts(text)
                        .map(|parts| u16::from(parts.hour) * 60 + u16::from(parts.minute)),
                    _ => None,
                };
                minute_of_day.map(of_day).ok_or(fault)
            }
        }
    }

    /// `None` for another form. Serial numbers have no parts.
    fn parts(&self, text: &str) -> Option<Parts> {
        match &self.reader {
            Reader::Steps(program) => program.read(text),
            Reader::Library => read_by_library(&self.words, text, self.has_date, self.has_time),
            Reader::Digits => read_digits(text),
            Reader::Serial(_) => None,
        }
    }

    fn written(&self, parts: Parts) -> Result<Written, IssueCode> {
        let minute_of_day = self
            .has_time
            .then_some(u16::from(parts.hour) * 60 + u16::from(parts.minute));
        let date = if self.has_date {
            let (year, month, day) = (i32::from(parts.year), parts.month, parts.day);
            // Nearly every date is far from all of them.
            let may_be_placeholder = year <= FIRST_YEAR || year >= LAST_YEAR - 1;
            if may_be_placeholder && is_placeholder(year, month, day, minute_of_day.unwrap_or(0)) {
                return Err(IssueCode::Placeholder);
            }
            let days = days_from_civil(year, month, day).ok_or(IssueCode::NotATime)?;
            Some(u16::try_from(days).map_err(|_| IssueCode::NotATime)?)
        } else {
            None
        };
        Ok(Written {
            date,
            minute_of_day,
            offset_minutes: parts.offset_minutes,
        })
    }
}

#[cold]
fn not_a_time(text: &str) -> IssueCode {
    if is_spreadsheet_error(text) {
        IssueCode::SpreadsheetError
    } else {
        IssueCode::NotATime
    }
}

/// `945` is 09:45, `5` is 00:05.
fn read_digits(text: &str) -> Option<Parts> {
    if !(1..=4).contains(&text.len()) || !text.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let number: u16 = text.parse().ok()?;
    let (hour, minute) = (number / 100, number % 100);
    (hour < 24 && minute < 60).then_some(Parts {
        year: 0,
        month: 0,
        day: 0,
        hour: u8::try_from(hour).ok()?,
        minute: u8::try_from(minute).ok()?,
        offset_minutes: None,
    })
}

/// The same form with day and month exchanged; `None` where nothing can be exchanged: in a form with
/// the name of the month, without a date, or with the year in front, which nobody writes otherwise.
pub(in crate::ingest) fn swapped(format: &TimeFormat) -> Option<TimeFormat> {
    let words = format.words.replace("%D", "%m/%d/%y");
    let mut letters: Vec<u8> = words.into_bytes();
    let (mut days, mut months, mut years) = (Vec::new(), Vec::new(), Vec::new());
    for place in places_of_letters(&letters) {
        match letters[place] {
            b'd' | b'e' => days.push(place),
            b'm' => months.push(place),
            b'Y' | b'y' => years.push(place),
            _ => {}
        }
    }
    let ([day], [month], [year]) = (&days[..], &months[..], &years[..]) else {
        return None;
    };
    if year < day && year < month {
        return None;
    }
    letters.swap(*day, *month);
    TimeFormat::new(std::str::from_utf8(&letters).ok()?).ok()
}

/// Where the letters stand that tell the parts of a form, behind `%` and its flags.
fn places_of_letters(words: &[u8]) -> Vec<usize> {
    let mut places = Vec::new();
    let mut place = 0;
    while place < words.len() {
        if words[place] == b'%' {
            place += 1;
            while words
                .get(place)
                .is_some_and(|byte| b"-_0123456789^#.:".contains(byte))
            {
                place += 1;
            }
            if place < words.len() {
                places.push(place);
            }
        }
        place += 1;
    }
    places
}

/// Cells without space around them are told by two bytes.
fn without_space_around(text: &str) -> &str {
    match text.as_bytes() {
        [b'!'..=b'~'] | [b'!'..=b'~', .., b'!'..=b'~'] => text,
        _ => text.trim(),
    }
}

/// Dates that systems write where there is none: the first day that some type can hold, the day
/// before the first, and days far ahead for "not yet".
fn is_placeholder(year: i32, month: u8, day: u8, minute_of_day: u16) -> bool {
    match (year, month, day) {
        (0, 0, 0)
        | (1 | 1753 | 1900, 1, 1)
        | (1899, 12, 30 | 31)
        | (1900, 1, 0)
        | (2099 | 9999, 12, 31) => true,
        // Second 0 of many systems. The rest of that day is left to be a day.
        (1970, 1, 1) => minute_of_day == 0,
        (2100, ..) => days_from_civil(year, month, day).is_some(),
        _ => false,
    }
}

fn written_of_serial(minute: i64) -> Result<Written, IssueCode> {
    let days = minute.div_euclid(super::MINUTES_OF_DAY);
    let minute_of_day = u16::try_from(minute.rem_euclid(super::MINUTES_OF_DAY)).ok();
    let date = i32::try_from(days).ok();
    let (year, month, day) = date.and_then(civil_from_days).ok_or(IssueCode::NotATime)?;
    if is_placeholder(year, month, day, minute_of_day.unwrap_or(0)) {
        return Err(IssueCode::Placeholder);
    }
    Ok(Written {
        date: u16::try_from(days).ok(),
        minute_of_day,
        offset_minutes: None,
    })
}

/// Whether a form of rare words holds a date and a time of day; `None` when it loses part of either.
/// A moment is written in it and read back.
fn holds_by_library(words: &str) -> Option<(bool, bool)> {
    let moment = DateTime::constant(2024, 2, 29, 23, 47, 0, 0);
    let in_utc = TimeZone::UTC.to_zoned_datetime(moment).ok()?;
    let text = BrokenDownTime::from(&in_utc).to_string(words).ok()?;
    let read = BrokenDownTime::parse(words, &text).ok()?;
    let letters = words.as_bytes();
    let claims = |known: &[u8]| {
        let mut places = places_of_letters(letters).into_iter();
        places.any(|place| known.contains(&letters[place]))
    };
    // A zone in each cell would be read and forgotten.
    if claims(b"Q") {
        return None;
    }
    let has_date = read.to_date().ok() == Some(moment.date());
    let has_time = read.hour().is_some() && read.to_time().ok() == Some(moment.time());
    let loses_date = claims(b"YyCGgmbBhdejUWuwVaAFDs") && !has_date;
    let loses_time = claims(b"HIklMSpPfNRTs") && !has_time;
    (!loses_date && !loses_time && (has_date || has_time)).then_some((has_date, has_time))
}

fn read_by_library(words: &str, text: &str, has_date: bool, has_time: bool) -> Option<Parts> {
    let read = BrokenDownTime::parse(words, text).ok()?;
    let mut parts = Parts {
        offset_minutes: read
            .offset()
            .and_then(|offset| i16::try_from(offset.seconds().div_euclid(60)).ok()),
        ..Parts::default()
    };
    if has_date {
        let date = read.to_date().ok()?;
        parts.year = date.year();
        parts.month = date.month().unsigned_abs();
        parts.day = date.day().unsigned_abs();
    }
    if has_time {
        let time = read.to_time().ok()?;
        parts.hour = time.hour().unsigned_abs();
        parts.minute = time.minute().unsigned_abs();
    }
    Some(parts)
}

#[cfg(test)]
mod tests;
