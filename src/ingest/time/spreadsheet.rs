//! What spreadsheets write into exports: errors and formulas in place of values, and days counted
//! from their own first day. Knows nothing of columns.

use super::MINUTES_OF_DAY;

/// What spreadsheets show where a formula failed, also in the words of some other languages.
const ERRORS: [&str; 17] = [
    "#REF!", "#VALUE!", "#N/A", "#NAME?", "#DIV/0!", "#NUM!", "#NULL!", "#SPILL!", "#CALC!",
    "#BEZUG!", "#WERT!", "#NV", "#ZAHL!", "#VALEUR!", "#NOM?", "#NOMBRE?", "#VALOR!",
];

/// Whether a cell holds a formula, the error of one, or the signs that stand for a column that is
/// too narrow, in place of a value. White space around it should be cut off before.
pub(in crate::ingest) fn is_spreadsheet_error(text: &str) -> bool {
    match text.as_bytes().first() {
        Some(b'=') => true,
        Some(b'#') => {
            text.bytes().all(|byte| byte == b'#')
                || ERRORS.iter().any(|error| error.eq_ignore_ascii_case(text))
        }
        _ => false,
    }
}

/// The first day of the count, as days since 1970-01-01.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum SerialStart {
    /// 1899-12-30, so that days from March 1900 on have the numbers that spreadsheets give them.
    Usual,
    /// 1904-01-01.
    In1904,
}

impl SerialStart {
    fn days_before_1970(self) -> i64 {
        match self {
            SerialStart::Usual => 25_569,
            SerialStart::In1904 => 24_107,
        }
    }
}

/// What a serial number means.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Serial {
    /// Minutes since 1970-01-01 00:00 on the clock.
    Minute(i64),
    /// Day 0 or 1, which is what a blank date turns into.
    Placeholder,
}

/// Days that are taken for dates (1954 to 2119 in the usual count). Smaller and larger numbers are
/// ages, case numbers or worse.
const DAYS: std::ops::RangeInclusive<u64> = 20_000..=80_000;

/// Places of the fraction that are read; a minute is 0.0007 of a day.
const MOST_PLACES: usize = 12;

/// Reads a serial number of days with its fraction, to the nearest minute. `None` when it is none.
pub(super) fn read_serial(text: &str, start: SerialStart) -> Option<Serial> {
    let (days, fraction) = parts_of_serial(text)?;
    if days <= 1 && digits(fraction) == 0 {
        return Some(Serial::Placeholder);
    }
    if !DAYS.contains(&days) {
        return None;
    }
    let minute_of_day = minutes_of_fraction(fraction);
    let days = i64::try_from(days).unwrap_or(0) - start.days_before_1970();
    Some(Serial::Minute(days * MINUTES_OF_DAY + minute_of_day))
}

/// The time of day of a serial number, whatever its day: `0.979166667` is 23:30. `None` when it is
/// no number.
pub(super) fn minute_of_serial(text: &str) -> Option<u16> {
    let (_, fraction) = parts_of_serial(text)?;
    // A fraction that rounds up to a whole day is the last minute of it.
    u16::try_from(minutes_of_fraction(fraction).min(MINUTES_OF_DAY - 1)).ok()
}

/// The days and the digits of the fraction.
fn parts_of_serial(text: &str) -> Option<(u64, &str)> {
    let (whole, fraction) = match text.find(['.', ',']) {
        Some(place) => (&text[..place], &text[place + 1..]),
        None => (text, ""),
    };
    let is_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || whole.len() > 6 || !is_digits(whole) || !is_digits(fraction) {
        return None;
    }
    Some((digits(whole), &fraction[..fraction.len().min(MOST_PLACES)]))
}

fn minutes_of_fraction(fraction: &str) -> i64 {
    let scale = 10_i64.pow(u32::try_from(fraction.len()).unwrap_or(0));
    let part = i64::try_from(digits(fraction)).unwrap_or(0) * MINUTES_OF_DAY;
    (part + scale / 2) / scale
}

fn digits(text: &str) -> u64 {
    text.bytes()
        .fold(0, |number, byte| number * 10 + u64::from(byte - b'0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_and_their_errors_are_told_by_the_first_sign() {
        for text in [
            "=A2-B2", "=", "#REF!", "#VALUE!", "#N/A", "#n/a", "#NAME?", "#DIV/0!", "#NUM!",
            "#NULL!", "#", "########", "#WERT!",
        ] {
            assert!(is_spreadsheet_error(text), "{text}");
        }
        for text in [
            "", "2024", "#12", "# 1", "N/A", "a=b", "#REF", "#REF! ", "-", "+1",
        ] {
            assert!(!is_spreadsheet_error(text), "{text}");
        }
    }

    #[track_caller]
    fn check(text: &str, start: SerialStart, expected: Option<(i64, i64)>) {
        let minute = expected.map(|(days, minute)| Serial::Minute(days * 1440 + minute));
        assert!(read_serial(text, start) == minute, "{text}");
    }

    #[test]
    fn serials_count_days_and_their_fractions() {
        use SerialStart::{In1904, Usual};
        // 25569 is 1970-01-01 in every spreadsheet; 45598 is 2024-11-02, 20,029 days later.
        check("25569", Usual, Some((0, 0)));
        check("45598", Usual, Some((20_029, 0)));
        check("45598.5", Usual, Some((20_029, 720)));
        check("45598,9375", Usual, Some((20_029, 22 * 60 + 30)));
        // 22:40 is 0.94444..., cut off or rounded at any place.
        check("45598.9444444444", Usual, Some((20_029, 1360)));
        check(
            "45598.94444444445252884179353713989",
            Usual,
            Some((20_029, 1360)),
        );
        check("45598.99999", Usual, Some((20_030, 0)));
        // The 1904 count is 1,462 days behind.
        check("44136.5", In1904, Some((20_029, 720)));
        check("20000", Usual, Some((-5569, 0)));
        check("80000.", Usual, Some((54_431, 0)));
        for text in [
            "19999",
            "80001",
            "1e5",
            "-45598",
            "45598.5.5",
            "45598 5",
            ".5",
            "",
            "2024-11-02",
            "045598000",
            "2",
            "0.5",
        ] {
            check(text, Usual, None);
        }
        assert!(read_serial("0", Usual) == Some(Serial::Placeholder));
        assert!(read_serial("1.00", Usual) == Some(Serial::Placeholder));
    }
}
