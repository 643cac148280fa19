//! From a cell to the patterns that it shows. Knows which scanner a shape makes worth running; counts
//! nothing and remembers nothing.

use super::check_digits::is_medicare_identifier;
use super::contact::{has_email, has_ip_address, has_web_address, value};
use super::numbers::numbers_in;
use super::pattern::{FEWEST_BLANKS, Hits, LONGEST_LABEL, Pattern};
use super::persons::names_in;
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

/// Six digits that read as a time of day, or ten that read as seconds since 1970, 2008 to 2030.
pub(super) fn may_be_moment(digits: &[u8]) -> bool {
    match digits.len() {
        6 => value(&digits[..2]) < 24 && value(&digits[2..4]) < 60 && value(&digits[4..]) < 60,
        10 => (12_000..19_000).contains(&value(&digits[..5])),
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
    // The rest is about words, which bytes that are not text do not hold.
    let Ok(text) = std::str::from_utf8(cell) else {
        return hits;
    };
    if may_be_street(shape) && has_street(text) {
        hits.add(Pattern::Street);
    }
    if may_be_name(shape) {
        hits.add_all(names_in(text));
    }
    if shape.spaces >= FEWEST_BLANKS && text.chars().count() > LONGEST_LABEL {
        hits.add(Pattern::FreeText);
    }
    hits
}
