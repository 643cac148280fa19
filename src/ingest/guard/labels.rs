//! Numbers that a word right before them explains: `MRN 4456781`, `DOB 3/4/1956`, `SSN 123456789`,
//! `Phone 5551234567`. Knows the words in English, and how many digits must follow; whether such a
//! number exists is not looked at.

use super::dates::year_of_date;
use super::pattern::{Hits, Pattern};

/// What a label announces: its words, what it makes of the digits, and how many must follow.
struct Label {
    words: &'static [&'static str],
    pattern: Pattern,
    digits: usize,
}

const fn label(words: &'static [&'static str], pattern: Pattern, digits: usize) -> Label {
    Label {
        words,
        pattern,
        digits,
    }
}

const LABELS: &[Label] = &[
    label(&["mrn"], Pattern::LabeledRecord, 5),
    label(&["mr", "no"], Pattern::LabeledRecord, 5),
    label(&["mr#"], Pattern::LabeledRecord, 5),
    label(&["medical", "record"], Pattern::LabeledRecord, 5),
    label(&["record", "no"], Pattern::LabeledRecord, 5),
    label(&["record", "number"], Pattern::LabeledRecord, 5),
    label(&["chart"], Pattern::LabeledRecord, 5),
    label(&["hospital", "no"], Pattern::LabeledRecord, 5),
    label(&["hospital", "number"], Pattern::LabeledRecord, 5),
    label(&["hosp", "no"], Pattern::LabeledRecord, 5),
    label(&["patient", "id"], Pattern::LabeledRecord, 5),
    label(&["patient", "no"], Pattern::LabeledRecord, 5),
    label(&["patient", "number"], Pattern::LabeledRecord, 5),
    label(&["pt", "id"], Pattern::LabeledRecord, 5),
    label(&["pid"], Pattern::LabeledRecord, 5),
    label(&["csn"], Pattern::LabeledRecord, 5),
    label(&["dob"], Pattern::LabeledBirthDate, 0),
    label(&["d.o.b"], Pattern::LabeledBirthDate, 0),
    label(&["date", "of", "birth"], Pattern::LabeledBirthDate, 0),
    label(&["birth", "date"], Pattern::LabeledBirthDate, 0),
    label(&["birthdate"], Pattern::LabeledBirthDate, 0),
    label(&["born"], Pattern::LabeledBirthDate, 0),
    label(&["ssn"], Pattern::LabeledNational, 9),
    label(&["social", "security"], Pattern::LabeledNational, 9),
    label(&["nhs"], Pattern::LabeledNational, 10),
    label(&["chi"], Pattern::LabeledNational, 10),
    label(&["hcn"], Pattern::LabeledNational, 9),
    label(&["health", "card"], Pattern::LabeledNational, 9),
    label(&["phone"], Pattern::LabeledPhone, 7),
    label(&["telephone"], Pattern::LabeledPhone, 7),
    label(&["tel"], Pattern::LabeledPhone, 7),
    label(&["mobile"], Pattern::LabeledPhone, 7),
    label(&["cell"], Pattern::LabeledPhone, 7),
    label(&["fax"], Pattern::LabeledPhone, 7),
];

/// Words that may stand between a label and its number.
const FILLERS: &[&str] = &["no", "nr", "num", "number", "numbers", "id", "is", "on"];

/// Every kind of labeled number that stands in the cell.
pub(super) fn labeled_in(cell: &[u8]) -> Hits {
    let mut hits = Hits::default();
    for start in 0..cell.len() {
        let starts_word =
            cell[start].is_ascii_alphabetic() && (start == 0 || !is_letter(cell[start - 1]));
        if !starts_word {
            continue;
        }
        for label in LABELS {
            if let Some(end) = after_words(cell, start, label.words)
                && has_value(value_after(cell, end), label)
            {
                hits.add(label.pattern);
            }
        }
    }
    hits
}

fn is_letter(byte: u8) -> bool {
    byte.is_ascii_alphabetic() || !byte.is_ascii()
}

/// Where these words end that start here, with signs between them.
fn after_words(cell: &[u8], start: usize, words: &[&str]) -> Option<usize> {
    let mut at = start;
    for (index, word) in words.iter().enumerate() {
        if index > 0 {
            at = after_signs(cell, at);
        }
        let end = at + word.len();
        let is_word = cell
            .get(at..end)
            .is_some_and(|text| text.eq_ignore_ascii_case(word.as_bytes()));
        if !is_word || cell.get(end).is_some_and(|byte| is_letter(*byte)) {
            return None;
        }
        at = end;
    }
    Some(at)
}

/// Steps over what may stand between a label and its number.
fn after_signs(cell: &[u8], at: usize) -> usize {
    let signs = cell[at..]
        .iter()
        .take_while(|byte| b" :.#=-_/\t'\"".contains(byte))
        .count();
    at + signs
}

/// What follows a label, without signs and fillers.
fn value_after(cell: &[u8], end: usize) -> &[u8] {
    let mut at = after_signs(cell, end);
    for _ in 0..2 {
        let filler = FILLERS
            .iter()
            .find_map(|filler| after_words(cell, at, &[filler]));
        match filler {
            Some(end) => at = after_signs(cell, end),
            None => break,
        }
    }
    &cell[at..]
}

fn has_value(value: &[u8], label: &Label) -> bool {
    let digits_among = |value: &[u8], others: &[u8]| {
        value
            .iter()
            .take_while(|byte| byte.is_ascii_digit() || others.contains(byte))
            .filter(|byte| byte.is_ascii_digit())
            .count()
    };
    match label.pattern {
        Pattern::LabeledBirthDate => starts_with_date(value),
        Pattern::LabeledRecord => {
            // `MRN E4456781`
            let letters = value.iter().take_while(|byte| is_letter(**byte)).count();
            letters <= 2 && digits_among(&value[letters..], b"-") >= label.digits
        }
        _ => digits_among(value, b" -.()+") >= label.digits && !starts_with_date(value),
    }
}

/// `3/4/1956`, `12 Mar 1956`, `19560304`, `1956`.
fn starts_with_date(value: &[u8]) -> bool {
    let ends_word = |byte: &u8| byte.is_ascii_whitespace() || b",;)".contains(byte);
    let first = value.split(ends_word).next().unwrap_or_default();
    let three_words = || {
        let mut ends = (0..value.len()).filter(|at| ends_word(&value[*at]));
        &value[..ends.nth(2).unwrap_or(value.len())]
    };
    let is_year = first.len() == 4 && first.iter().all(u8::is_ascii_digit);
    is_year
        || year_of_date(first).is_some()
        || value.first().is_some_and(u8::is_ascii_alphanumeric)
            && year_of_date(three_words()).is_some()
}
