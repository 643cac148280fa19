//! From a cell to the patterns that it shows. Knows which scanner a shape makes worth running; counts
//! nothing and remembers nothing.

use super::check_digits::is_medicare_identifier;
use super::contact::{has_email, has_ip_address, has_web_address, value};
use super::dates::year_of_date;
use super::labels::labeled_in;
use super::numbers::numbers_in;
use super::pattern::{FEWEST_BLANKS, Hits, LONGEST_LABEL, Pattern};
use super::persons::{has_other_words, names_in};
use super::places::{has_street, postal_codes_in};
use super::shape::Shape;

/// Whether the first time of day in the cell can be that of a date without one.
#[inline]
pub(super) fn may_be_midnight(cell: &[u8]) -> bool {
    // Most times end in another minute or second, and need no search for the hour.
    let is_other_end = !matches!(cell, [.., b'0', b'0'] | [.., b'Z' | b'M' | b'm']);
    if is_other_end {
        return false;
    }
    let colon = cell.iter().position(|byte| *byte == b':').unwrap_or(0);
    let hour = &cell[colon.saturating_sub(2)..colon];
    matches!(hour, b"00" | b"12" | b" 0") && cell.get(colon + 1..colon + 3) == Some(b"00")
}

/// Six digits that read as a time of day, ten that read as seconds since 1970, 2008 to 2030, or
/// twelve that read as a date with a time of day.
pub(super) fn may_be_moment(digits: &[u8]) -> bool {
    match digits.len() {
        6 => value(&digits[..2]) < 24 && value(&digits[2..4]) < 60 && value(&digits[4..]) < 60,
        10 => (12_000..19_000).contains(&value(&digits[..5])),
        12 => {
            let is_time = value(&digits[8..10]) < 24 && value(&digits[10..]) < 60;
            is_time && year_of_date(&digits[..8]).is_some()
        }
        _ => false,
    }
}

#[inline]
pub(super) fn may_be_date(shape: &Shape) -> bool {
    let has_no_word = shape.letters() == 0 && shape.length <= 12;
    let has_separators = shape.length - shape.digits >= 2;
    let has_month = (3..=9).contains(&shape.letters()) && shape.length <= 20;
    (3..=8).contains(&shape.digits) && has_separators && (has_no_word || has_month)
}

/// Whether any scanner could find something in a cell of this shape.
#[inline]
pub(super) fn may_identify(shape: &Shape) -> bool {
    shape.at_signs > 0
        || shape.digits >= 9
        || shape.dots >= 3
        || shape.colons >= 3
        || may_be_web_address(shape)
        || may_be_postal_code(shape)
        || may_be_street(shape)
        || may_be_name(shape)
        || may_be_coded_name(shape)
        || shape.length > LONGEST_LABEL
}

#[inline]
fn may_be_web_address(shape: &Shape) -> bool {
    shape.dots > 0 && shape.letters() >= 4
}

#[inline]
fn may_be_postal_code(shape: &Shape) -> bool {
    shape.digits >= 2 && shape.letters() >= 3
}

#[inline]
fn may_be_street(shape: &Shape) -> bool {
    shape.digits >= 1 && shape.letters() >= 4 && shape.spaces >= 1
}

#[inline]
fn may_be_name(shape: &Shape) -> bool {
    shape.capitals >= 2 && shape.letters() >= 4 && shape.spaces + shape.commas + shape.dots >= 1
}

#[inline]
fn may_be_labeled(shape: &Shape) -> bool {
    shape.digits >= 4 && shape.letters() >= 3
}

/// Whether a sign is left that has no counter, such as `^`.
#[inline]
fn may_be_coded_name(shape: &Shape) -> bool {
    let counted = shape.digits + shape.letters() + shape.spaces + shape.dots + shape.commas;
    shape.capitals >= 2 && shape.letters() >= 3 && counted < shape.length
}

/// The digits of a number that is written `M4456781` or `4456781.0`: one or two letters before six
/// to ten digits, or a decimal point and zeros behind six to twelve.
#[inline]
pub(super) fn marked_number<'a>(cell: &'a [u8], shape: &Shape) -> Option<&'a [u8]> {
    let are_digits = |digits: &&[u8]| digits.iter().all(u8::is_ascii_digit);
    match (shape.letters(), shape.dots) {
        (letters @ 1..=2, 0) if shape.digits + letters == shape.length => {
            let digits = &cell[letters..];
            Some(digits).filter(|digits| (6..=10).contains(&digits.len()) && are_digits(digits))
        }
        (0, 1) if shape.digits + 1 == shape.length => {
            let digits = cell.strip_suffix(b".0").or(cell.strip_suffix(b".00"))?;
            Some(digits).filter(|digits| (6..=12).contains(&digits.len()) && are_digits(digits))
        }
        _ => None,
    }
}

/// Two to four letters and the year of the date beside them, `NO19560304`, `04/03/1956-NO`, `NO040356`: how
/// some systems make a number for a person.
#[inline]
pub(super) fn year_beside_initials<'a>(cell: &'a [u8], shape: &Shape) -> Option<(&'a [u8], u16)> {
    let letters = shape.letters();
    let may_be = (2..=4).contains(&letters)
        && (6..=8).contains(&shape.digits)
        && shape.length <= letters + shape.digits + 3;
    if !may_be {
        return None;
    }
    let (before, after) = cell.split_at(letters);
    let (start, end) = cell.split_at(cell.len() - letters);
    let (initials, date) = if before.iter().all(u8::is_ascii_alphabetic) {
        (before, after)
    } else if end.iter().all(u8::is_ascii_alphabetic) {
        (end, start)
    } else {
        return None;
    };
    let is_sign = |byte: &u8| b" -_/.".contains(byte);
    let starts = date.iter().position(|byte| !is_sign(byte))?;
    let ends = date.iter().rposition(|byte| !is_sign(byte))? + 1;
    let date = &date[starts..ends];
    let year = if date.len() == 6 && date.iter().all(u8::is_ascii_digit) {
        let (day, month, year) = (&date[..2], &date[2..4], &date[4..]);
        year_of_date(&[
            day[0], day[1], b'/', month[0], month[1], b'/', year[0], year[1],
        ])
    } else {
        year_of_date(date)
    };
    Some((initials, year?))
}

/// Every pattern that the cell shows.
pub(super) fn patterns_of(cell: &[u8], shape: &Shape) -> Hits {
    let mut hits = Hits::default();
    if shape.at_signs > 0 && has_email(cell) {
        hits.add(Pattern::Email);
    }
    if may_be_web_address(shape) && has_web_address(cell) {
        hits.add(Pattern::WebAddress);
    }
    if (shape.dots >= 3 || shape.colons >= 3) && has_ip_address(cell) {
        hits.add(Pattern::IpAddress);
    }
    if shape.digits >= 9 {
        hits.add_all(numbers_in(cell));
    }
    if shape.capitals >= 4
        && shape.digits >= 4
        && cell
            .split(u8::is_ascii_whitespace)
            .any(is_medicare_identifier)
    {
        hits.add(Pattern::MedicareIdentifier);
    }
    if may_be_postal_code(shape) {
        hits.add_all(postal_codes_in(cell));
    }
    if may_be_labeled(shape) {
        hits.add_all(labeled_in(cell));
    }
    // The rest is about words, which bytes that are not text do not hold.
    let Ok(text) = std::str::from_utf8(cell) else {
        return hits;
    };
    if may_be_street(shape) && has_street(text) {
        hits.add(Pattern::Street);
    }
    if may_be_name(shape) || may_be_coded_name(shape) {
        hits.add_all(names_in(text));
    }
    if shape.spaces >= FEWEST_BLANKS && text.chars().count() > LONGEST_LABEL {
        hits.add(Pattern::FreeText);
    }
    if hits.iter().any(Pattern::is_certain_in_text) && has_other_words(text) {
        hits.mark_as_text();
    }
    hits
}
