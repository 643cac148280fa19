//! Postal codes and street addresses within a cell. Knows their form, not which of them exist.
//!
//! A bare ZIP code of five digits is no different from any other number; only a heading tells it.

use super::pattern::{Hits, Pattern};

/// Words after a number and a name that make a street, whatever the case.
const STREETS: &[&str] = &[
    "street",
    "avenue",
    "ave",
    "road",
    "rd",
    "boulevard",
    "blvd",
    "crescent",
    "terrace",
    "highway",
    "hwy",
    "parkway",
    "pkwy",
    "turnpike",
];

/// Words that make a street only where they and the word before are capitalized, since they mean
/// something else too: `2 days close`, `3 seen by dr`.
const SHORT_STREETS: &[&str] = &[
    "st", "dr", "drive", "ln", "lane", "way", "place", "pl", "close", "court", "square", "sq",
    "gardens", "row", "mews", "grove", "trail", "circle", "cir",
];

/// Words that stand in a sentence, not in the name of a street: `5 miles from road`.
const BETWEEN_OTHERS: &[&str] = &[
    "on", "from", "in", "at", "by", "off", "to", "the", "and", "with",
];

/// Words between a number and the name of a street, as French and Spanish write it.
const STREETS_BEFORE: &[&str] = &["rue", "avenue", "boulevard", "calle", "chemin", "allée"];

/// Postal codes of the United Kingdom and of Canada.
pub(super) fn postal_codes_in(cell: &[u8]) -> Hits {
    let mut hits = Hits::default();
    if is_united_kingdom(cell, b"") || is_canada(cell, b"") {
        hits.add(Pattern::JoinedPostalCode);
        return hits;
    }
    let is_separator = |byte: &u8| b" ,;\t\r\n".contains(byte);
    let is_whole_cell = cell.len() <= 8;
    let mut before: &[u8] = b"";
    for word in cell.split(is_separator) {
        // Small letters occur in words, so they count only where nothing else is in the cell.
        let is_plain = |word: &[u8]| word.iter().all(|byte| !byte.is_ascii_lowercase());
        if (is_whole_cell || is_plain(before) && is_plain(word))
            && !word.is_empty()
            && (is_united_kingdom(before, word) || is_canada(before, word))
        {
            hits.add(Pattern::PostalCode);
            return hits;
        }
        before = word;
    }
    hits
}

/// `PO1 3AX`. Forms and letters: <https://studylib.net/doc/18359331/postcode-format>; never Q, V, X
/// first nor I, J, Z second, and none of C, I, K, M, O, V in the second half.
fn is_united_kingdom(outward: &[u8], inward: &[u8]) -> bool {
    let (outward, inward) = match (outward, inward) {
        (joined, b"") if (5..=7).contains(&joined.len()) => joined.split_at(joined.len() - 3),
        _ => (outward, inward),
    };
    let &[sector, one, two] = inward else {
        return false;
    };
    let is_unit = |letter: u8| letter.is_ascii_alphabetic() && !among(b"CIKMOV", letter);
    let is_first = |letter: u8| letter.is_ascii_alphabetic() && !among(b"QVX", letter);
    let is_second = |letter: u8| letter.is_ascii_alphabetic() && !among(b"IJZ", letter);
    let is_last = |letter: u8| among(b"ABCDEFGHJKMNPRSTUVWXY", letter);
    let is_area = match *outward {
        [a, d] => is_first(a) && d.is_ascii_digit(),
        [a, d, e] if d.is_ascii_digit() => is_first(a) && (e.is_ascii_digit() || is_last(e)),
        [a, b, d] => is_first(a) && is_second(b) && d.is_ascii_digit(),
        [a, b, d, e] => {
            is_first(a) && is_second(b) && d.is_ascii_digit() && (e.is_ascii_digit() || is_last(e))
        }
        _ => false,
    };
    is_area && sector.is_ascii_digit() && is_unit(one) && is_unit(two)
}

/// `K1A 0B1`: never D, F, I, O, Q, U, nor W or Z first
/// (<https://everything2.com/title/Canadian+Postal+Code>).
fn is_canada(area: &[u8], unit: &[u8]) -> bool {
    let (area, unit) = match (area, unit) {
        (joined, b"") if joined.len() == 6 => joined.split_at(3),
        _ => (area, unit),
    };
    let is_letter = |letter: u8| letter.is_ascii_alphabetic() && !among(b"DFIOQU", letter);
    let is_digit = |digit: u8| digit.is_ascii_digit();
    let is_area = matches!(*area, [province, rural, station]
        if is_letter(province) && !among(b"WZ", province) && is_digit(rural) && is_letter(station));
    let is_unit = matches!(*unit, [first, letter, last]
        if is_digit(first) && is_letter(letter) && is_digit(last));
    is_area && is_unit
}

fn among(capitals: &[u8], letter: u8) -> bool {
    capitals.contains(&letter.to_ascii_uppercase())
}

/// Whether a street address starts the cell or one of its parts: `12 High Street`, `221B Baker St`,
/// `12 rue de la Paix`, `Hauptstrasse 5`, `PO Box 12`.
pub(super) fn has_street(cell: &str) -> bool {
    cell.split([',', ';', '\n', ':', '\r']).any(|part| {
        let mut words = [""; 6];
        let mut count = 0;
        for word in part.split_whitespace().take(words.len()) {
            words[count] = word.trim_end_matches('.');
            count += 1;
        }
        let words = &words[..count];
        is_street(words) || is_german_street(words) || is_post_box(words)
    })
}

fn is_street(words: &[&str]) -> bool {
    let [number, rest @ ..] = words else {
        return false;
    };
    if !is_house_number(number) {
        return false;
    }
    if let [street, _, ..] = rest
        && is_one_of(STREETS_BEFORE, street)
    {
        return true;
    }
    // A name of one to three words, then what makes it a street.
    (1..rest.len().min(4)).any(|index| {
        let (names, street) = (&rest[..index], rest[index]);
        let last_name = names.last().copied().unwrap_or_default();
        let is_name =
            |word: &&str| word.chars().any(char::is_alphabetic) && !is_one_of(BETWEEN_OTHERS, word);
        names.iter().all(is_name)
            && (is_one_of(STREETS, street)
                || is_one_of(SHORT_STREETS, street)
                    && is_capitalized(street)
                    && is_capitalized(last_name)
                    && last_name.chars().count() > 2)
    })
}

/// `12`, `221B`, `12-14`.
fn is_house_number(word: &str) -> bool {
    let digits = word.bytes().take_while(u8::is_ascii_digit).count();
    let rest = &word[digits..];
    (1..=5).contains(&digits)
        && (rest.is_empty()
            || rest.len() == 1 && rest.bytes().all(|byte| byte.is_ascii_alphabetic())
            || rest
                .strip_prefix('-')
                .is_some_and(|rest| rest.bytes().all(|byte| byte.is_ascii_digit())))
}

fn is_german_street(words: &[&str]) -> bool {
    const ENDINGS: &[&str] = &["strasse", "straße", "str", "gasse", "platz", "allee"];
    words.windows(2).any(|pair| {
        let name = pair[0].to_lowercase();
        is_house_number(pair[1])
            && is_capitalized(pair[0])
            && ENDINGS
                .iter()
                .any(|ending| name.ends_with(ending) && name.len() > ending.len() + 2)
    })
}

fn is_post_box(words: &[&str]) -> bool {
    let start = match words {
        [po, rest @ ..] if is_one_of(&["po", "p.o"], po) => rest,
        [p, o, rest @ ..] if is_one_of(&["p"], p) && is_one_of(&["o"], o) => rest,
        _ => return false,
    };
    matches!(start, [word, number, ..] if is_one_of(&["box"], word) && is_house_number(number))
}

fn is_one_of(list: &[&str], word: &str) -> bool {
    list.iter().any(|known| known.eq_ignore_ascii_case(word))
}

fn is_capitalized(word: &str) -> bool {
    word.chars().next().is_some_and(char::is_uppercase)
}
