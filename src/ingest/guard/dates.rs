//! The year of a cell that is a date and nothing else. Whether a column of them are dates of birth
//! is decided over the column; this file sees one cell.

use super::contact::value;

/// Two-digit years below this belong to 2000 and after. Above 31, so that a day that stands where
/// the year is looked for never reads as a year before 2000.
const PIVOT: u32 = 32;

const MONTHS: [&[u8; 3]; 16] = [
    b"jan", b"feb", b"mar", b"apr", b"may", b"jun", b"jul", b"aug", b"sep", b"oct", b"nov", b"dec",
    // As German writes them.
    b"mai", b"okt", b"dez", b"mrz",
];

/// The year, 1900 to 2099, of a cell that is one date without a time of day; a time of day that
/// reads midnight is what an export writes beside a date that has none. `None` for anything else
/// and for dates that stand for "unknown" (1 January of 1900 and 1970).
pub(super) fn year_of_date(cell: &[u8]) -> Option<u16> {
    let date = without_midnight(cell);
    let (year, is_first_of_january) = if date.iter().all(u8::is_ascii_digit) {
        compact(date)?
    } else {
        separated(date)?
    };
    let is_unknown = is_first_of_january && (year == 1900 || year == 1970);
    let year = u16::try_from(year).ok()?;
    ((1900..2100).contains(&year) && !is_unknown).then_some(year)
}

/// `19540312` or `12031954`.
fn compact(date: &[u8]) -> Option<(u32, bool)> {
    if date.len() != 8 {
        return None;
    }
    let plausible = |year: &[u8], one: &[u8], other: &[u8]| {
        let year = value(year);
        ((1900..2100).contains(&year) && is_day_and_month(value(one), value(other)))
            .then(|| (year, value(one) == 1 && value(other) == 1))
    };
    plausible(&date[..4], &date[4..6], &date[6..])
        .or_else(|| plausible(&date[4..], &date[..2], &date[2..4]))
}

/// Three parts with separators: numbers, or two numbers and a month in letters.
fn separated(date: &[u8]) -> Option<(u32, bool)> {
    let mut parts: [&[u8]; 3] = [b""; 3];
    let mut count = 0;
    for part in date.split(|byte| b".-/, ".contains(byte)) {
        if part.is_empty() {
            continue;
        }
        *parts.get_mut(count)? = part;
        count += 1;
    }
    if count < 3 {
        return None;
    }
    let is_number = |part: &[u8]| part.len() <= 4 && part.iter().all(u8::is_ascii_digit);
    let [first, second, third] = parts;
    match (is_number(first), is_number(second), is_number(third)) {
        (true, true, true) => numeric(first, second, third),
        (true, false, true) if is_month(second) => named(first, third),
        (false, true, true) if is_month(first) => named(second, third),
        _ => None,
    }
}

fn numeric(first: &[u8], second: &[u8], third: &[u8]) -> Option<(u32, bool)> {
    let (year, one, other) = match (first.len(), second.len(), third.len()) {
        (4, 1..=2, 1..=2) => (value(first), value(second), value(third)),
        (1..=2, 1..=2, 4) => (value(third), value(first), value(second)),
        (2, 2, 2) if value(first) > 31 => (century(value(first)), value(second), value(third)),
        (1..=2, 1..=2, 2) => (century(value(third)), value(first), value(second)),
        _ => return None,
    };
    is_day_and_month(one, other).then_some((year, one == 1 && other == 1))
}

/// A day and a year beside a month in letters.
fn named(day: &[u8], year: &[u8]) -> Option<(u32, bool)> {
    let year = match year.len() {
        4 => value(year),
        2 => century(value(year)),
        _ => return None,
    };
    (day.len() <= 2 && is_day_and_month(value(day), 1)).then_some((year, false))
}

fn century(year: u32) -> u32 {
    year + if year < PIVOT { 2000 } else { 1900 }
}

/// Whether one of the numbers can be a day of a month and the other a month.
fn is_day_and_month(one: u32, other: u32) -> bool {
    let fits = |day: u32, month: u32| (1..=31).contains(&day) && (1..=12).contains(&month);
    fits(one, other) || fits(other, one)
}

fn is_month(word: &[u8]) -> bool {
    word.first_chunk::<3>().is_some_and(|start| {
        MONTHS
            .iter()
            .any(|month| start.eq_ignore_ascii_case(*month))
    }) && word.len() <= 9
        && word.iter().all(u8::is_ascii_alphabetic)
}

/// The cell without ` 00:00`, `T00:00:00.000Z`, `T00:00:00+01:00` or ` 12:00:00 AM` at its end.
fn without_midnight(cell: &[u8]) -> &[u8] {
    let end = cell
        .iter()
        .position(|byte| *byte == b':')
        .and_then(|colon| {
            let before = &cell[..colon];
            before
                .iter()
                .rposition(|byte| *byte == b' ' || *byte == b'T')
        });
    let Some(end) = end else { return cell };
    let time = &cell[end + 1..];
    // Without `Z` or an offset from UTC.
    let zone = time.iter().position(|byte| b"Z+-".contains(byte));
    let zeros = &time[..zone.unwrap_or(time.len())];
    let is_zero = zeros.iter().all(|byte| b"0:.".contains(byte));
    let is_twelve = time
        .strip_prefix(b"12:")
        .and_then(|rest| rest.strip_suffix(b" AM").or(rest.strip_suffix(b" am")))
        .is_some_and(|rest| rest.iter().all(|byte| b"0:".contains(byte)));
    if is_zero || is_twelve {
        &cell[..end]
    } else {
        cell
    }
}
