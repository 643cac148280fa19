//! E-mail, web and network addresses within a cell. Knows how they are written, not whether they
//! exist.

use std::net::Ipv6Addr;

/// Whether an e-mail address stands anywhere in the cell: a local part, `@`, and a domain of at
/// least two labels whose last has two or more letters (the common part of RFC 5321 and 5322).
pub(super) fn has_email(cell: &[u8]) -> bool {
    cell.iter()
        .enumerate()
        .filter(|(_, byte)| **byte == b'@')
        .any(|(at, _)| {
            let starts = at
                .checked_sub(1)
                .is_some_and(|before| is_local_part(cell[before]));
            starts && begins_with_domain(&cell[at + 1..])
        })
}

fn is_local_part(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || b"._%+-'".contains(&byte) || !byte.is_ascii()
}

fn begins_with_domain(text: &[u8]) -> bool {
    let end = text
        .iter()
        .position(|byte| !byte.is_ascii_alphanumeric() && *byte != b'-' && *byte != b'.')
        .unwrap_or(text.len());
    // A full stop may end the sentence.
    let domain = text[..end].strip_suffix(b".").unwrap_or(&text[..end]);
    let mut labels = domain.rsplit(|byte| *byte == b'.');
    let is_top_level = labels
        .next()
        .is_some_and(|label| label.len() >= 2 && label.iter().all(u8::is_ascii_alphabetic));
    is_top_level
        && labels
            .next()
            .is_some_and(|label| label.iter().any(u8::is_ascii_alphanumeric))
}

/// Whether a web address stands anywhere in the cell: `http://`, `https://`, `ftp://` or `www.`
/// with something behind it.
pub(super) fn has_web_address(cell: &[u8]) -> bool {
    (0..cell.len()).any(|start| {
        let is_word_start =
            start == 0 || !cell[start - 1].is_ascii_alphanumeric() && cell[start - 1] != b'-';
        let rest = &cell[start..];
        is_word_start
            && ["http://", "https://", "ftp://", "www."]
                .iter()
                .any(|prefix| {
                    starts_with(rest, prefix.as_bytes())
                        && rest
                            .get(prefix.len())
                            .is_some_and(u8::is_ascii_alphanumeric)
                })
    })
}

/// Whether the text starts with `prefix`, whatever the case.
pub(super) fn starts_with(text: &[u8], prefix: &[u8]) -> bool {
    text.get(..prefix.len())
        .is_some_and(|start| start.eq_ignore_ascii_case(prefix))
}

/// Whether a network address stands in the cell: four numbers of 0 to 255 with dots between them
/// (RFC 791), or the whole cell is a version 6 address (RFC 4291).
pub(super) fn has_ip_address(cell: &[u8]) -> bool {
    let is_version_6 = || {
        std::str::from_utf8(cell)
            .ok()
            .is_some_and(|text| text.parse::<Ipv6Addr>().is_ok())
    };
    (cell.contains(&b':') && is_version_6())
        || cell
            .split(|byte| !byte.is_ascii_alphanumeric() && *byte != b'.')
            .any(|word| is_four_numbers(word.strip_suffix(b".").unwrap_or(word)))
}

fn is_four_numbers(word: &[u8]) -> bool {
    let mut parts = 0;
    for part in word.split(|byte| *byte == b'.') {
        parts += 1;
        let has_leading_zero = part.len() > 1 && part[0] == b'0';
        let is_number = (1..=3).contains(&part.len()) && part.iter().all(u8::is_ascii_digit);
        if parts > 4 || !is_number || has_leading_zero || value(part) > 255 {
            return false;
        }
    }
    parts == 4
}

/// The value of up to nine digits.
pub(super) fn value(digits: &[u8]) -> u32 {
    digits
        .iter()
        .fold(0, |value, digit| value * 10 + u32::from(digit - b'0'))
}
