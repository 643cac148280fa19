//! What the heading of a column says about identifiers. Knows words and phrases of headings, which
//! are data (`heading_words.csv`); never looks at a cell.
//!
//! A phrase is a row of words; a word of it may have alternatives: `last|first name`. It fits a
//! heading in which the same words follow each other, whatever the case and the separators
//! (`patient_name`, `PatientName`, `PATIENT NAME`), and a heading that is the phrase without any
//! separator (`patientname`). `whole` phrases must be all of the heading, but for numbers
//! (`Nurse 2`). The phrases of `no_identifier` are taken out first: a device has a name too.

use super::kind::IdentifierKind;
use std::sync::LazyLock;

const TABLE: &str = include_str!("heading_words.csv");

/// The code of the phrases that are taken out of a heading first.
const NO_IDENTIFIER: &str = "no_identifier";

static PHRASES: LazyLock<Vec<Phrase>> =
    LazyLock::new(|| parse(TABLE).expect("the built-in table, which a test reads"));

/// One row of the table.
struct Phrase {
    /// `None` for words that make no identifier.
    kind: Option<IdentifierKind>,
    is_whole: bool,
    /// For each word its alternatives.
    words: Vec<Vec<&'static str>>,
}

/// The kind of identifier that a heading announces; `None` for a heading that announces none.
/// Of several phrases that fit, the longest counts, then the first of the table.
pub(in crate::ingest) fn heading_kind(heading: &str) -> Option<IdentifierKind> {
    let mut words = words_of(heading);
    let joined = words.concat();
    for phrase in PHRASES.iter().filter(|phrase| phrase.kind.is_none()) {
        if phrase.is_spelled_by(&joined) {
            return None;
        }
        while let Some(start) = phrase.place_in(&words) {
            // A blank word keeps the words on both sides of it apart.
            words[start..start + phrase.words.len()].fill(String::new());
        }
    }
    let mut best: Option<&Phrase> = None;
    for phrase in PHRASES.iter().filter(|phrase| phrase.kind.is_some()) {
        let is_longer = best.is_none_or(|best| best.words.len() < phrase.words.len());
        if is_longer && phrase.fits(&words, &joined) {
            best = Some(phrase);
        }
    }
    best.and_then(|phrase| phrase.kind)
}

impl Phrase {
    fn fits(&self, words: &[String], joined: &str) -> bool {
        if self.is_spelled_by(joined) {
            return true;
        }
        if !self.is_whole {
            return self.place_in(words).is_some();
        }
        let is_number = |word: &&String| word.bytes().all(|byte| byte.is_ascii_digit());
        let is_blank = |word: &&String| word.is_empty();
        let without_numbers: Vec<&String> = words
            .iter()
            .filter(|word| is_blank(word) || !is_number(word))
            .collect();
        without_numbers.len() == self.words.len() && self.begins(&without_numbers)
    }

    /// The index of the first word at which the phrase stands.
    fn place_in(&self, words: &[String]) -> Option<usize> {
        let words: Vec<&String> = words.iter().collect();
        (0..words.len()).find(|start| self.begins(&words[*start..]))
    }

    fn begins(&self, words: &[&String]) -> bool {
        words.len() >= self.words.len()
            && self
                .words
                .iter()
                .zip(words)
                .all(|(alternatives, word)| alternatives.contains(&word.as_str()))
    }

    /// Whether the words of the phrase, written without separators, are this text.
    fn is_spelled_by(&self, joined: &str) -> bool {
        fn rest_is_spelled(words: &[Vec<&'static str>], text: &str) -> bool {
            match words.split_first() {
                None => text.is_empty(),
                Some((alternatives, rest)) => alternatives.iter().any(|word| {
                    text.strip_prefix(word)
                        .is_some_and(|text| rest_is_spelled(rest, text))
                }),
            }
        }
        rest_is_spelled(&self.words, joined)
    }
}

/// The words of a heading in lower case. Words end at separators, between `patient` and `Name`,
/// between `ZIP` and `Code`, and between letters and digits. `#` reads `no`; articles and the `s`
/// of a genitive are left out.
pub(in crate::ingest) fn words_of(heading: &str) -> Vec<String> {
    let letters: Vec<char> = heading.chars().collect();
    let mut words = vec![String::new()];
    for (index, letter) in letters.iter().copied().enumerate() {
        if letter == '#' || letter == '№' {
            words.push("no".into());
            words.push(String::new());
            continue;
        }
        if !letter.is_alphanumeric() {
            words.push(String::new());
            continue;
        }
        let before = index.checked_sub(1).map(|index| letters[index]);
        let after = letters.get(index + 1);
        let ends_word = before.is_some_and(|before| {
            (before.is_lowercase() && letter.is_uppercase())
                || (before.is_uppercase()
                    && letter.is_uppercase()
                    && after.is_some_and(|after| after.is_lowercase()))
                || (before.is_alphanumeric() && before.is_numeric() != letter.is_numeric())
        });
        if ends_word {
            words.push(String::new());
        }
        let word = words.last_mut().expect("the list starts with a word");
        word.extend(letter.to_lowercase());
    }
    words.retain(|word| !word.is_empty() && word != "the");
    if heading.contains(['\'', '\u{2019}']) {
        words.retain(|word| word != "s");
    }
    words
}

fn parse(table: &'static str) -> Result<Vec<Phrase>, String> {
    let mut phrases = Vec::new();
    for (index, line) in table.lines().enumerate().skip(1) {
        let fault = |what: &str| format!("heading_words.csv, line {}: {what}", index + 1);
        let cells: Vec<&'static str> = line.split(',').collect();
        let &[kind, place, words] = cells.as_slice() else {
            return Err(fault("not three cells"));
        };
        let kind = match kind {
            NO_IDENTIFIER => None,
            code => Some(
                IdentifierKind::ALL
                    .iter()
                    .copied()
                    .find(|kind| kind.code() == code)
                    .ok_or_else(|| fault("unknown kind"))?,
            ),
        };
        let is_whole = match place {
            "whole" => true,
            "part" => false,
            _ => return Err(fault("neither `whole` nor `part`")),
        };
        let words: Vec<Vec<&'static str>> = words
            .split(' ')
            .map(|alternatives| alternatives.split('|').collect())
            .collect();
        if words.iter().flatten().any(|word| word.is_empty()) {
            return Err(fault("an empty word"));
        }
        phrases.push(Phrase {
            kind,
            is_whole,
            words,
        });
    }
    Ok(phrases)
}
