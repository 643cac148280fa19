//! What a word of an export probably means: the words of `sql/synonyms.csv`, in English, with
//! the misspellings and abbreviations that exports hold.
//!
//! A suggestion is only ever shown to the person who writes the mapping, who decides; nothing
//! reads a cell by it. Knows no mapping and no file. The words of a trade's products are not in
//! the table; a site adds its own to its mapping.

mod fold;

use super::missing_words::looks_like_missing;
use crate::domain::codes::{CodeList, Device, ObjectType, YesNo};
use fold::{fold, without_commas};
use std::collections::BTreeMap;
use std::sync::LazyLock;

const TABLE: &str = include_str!("../../sql/synonyms.csv");

/// The name under which the table holds the words of every yes-or-no field.
const YES_NO: &str = "yes_no";

/// A text longer than this is a remark, which needs a reader.
const MOST_TOKENS: usize = 8;

/// Words of a text that make its other words doubtful: "no tear", "net after snare", "bone?".
const DOUBTS: &[&str] = &[
    "?",
    "no",
    "not",
    "non",
    "none",
    "nil",
    "never",
    "neither",
    "nor",
    "without",
    "w",
    "un",
    "denies",
    "denied",
    "negative",
    "neg",
    "unable",
    "cannot",
    "possible",
    "possibly",
    "probable",
    "probably",
    "potential",
    "suspected",
    "suspicion",
    "query",
    "questionable",
    "likely",
    "unlikely",
    "maybe",
    "perhaps",
    "rule",
    "ruled",
    "exclude",
    "excluded",
    "versus",
    "vs",
    "except",
    "instead",
    "than",
    "rather",
    "if",
    "failed",
    "attempt",
    "attempted",
    "tried",
    "planned",
    "considered",
    "history",
    "hx",
    "prior",
    "previous",
    "previously",
    "before",
    "after",
    "refused",
    "declined",
    "unsuccessful",
    "contraindicated",
    "unknown",
    "unsure",
    "unclear",
    "uncertain",
    "risk",
    "near",
    "almost",
    "awaiting",
    "pending",
    "needs",
    "need",
];

/// Those of [`DOUBTS`] that never stand for themselves inside a longer text.
const NEGATIONS: &[&str] = &[
    "?", "no", "not", "non", "none", "nil", "never", "without", "w", "un", "negative", "neg",
];

/// How sure a suggestion is, surest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Sureness {
    /// Our own code or its label.
    OurCode,
    /// A word of the table, or a text that holds one and nothing against it.
    Synonym,
    /// A word of the table that some sites use in another sense.
    Disputed,
    /// Spelled nearly like a word of the table.
    Spelling,
}

impl Sureness {
    /// The word in tables and proposed mappings.
    pub(super) const fn code(self) -> &'static str {
        match self {
            Sureness::OurCode => "our_code",
            Sureness::Synonym => "synonym",
            Sureness::Disputed => "disputed",
            Sureness::Spelling => "spelling",
        }
    }
}

/// What a word probably means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Suggestion {
    /// A code of the field's list.
    pub(super) code: &'static str,
    /// How sure.
    pub(super) sureness: Sureness,
}

/// What a person should be asked about `word` in the field `field_name` with the codes `list`;
/// `None` when nothing is near, or two codes are equally near.
pub(super) fn suggest(field_name: &str, list: CodeList, word: &str) -> Option<Suggestion> {
    let mut folded = fold(word);
    // Where a cell may list several things, a word does not reach over a comma: "coin, battery".
    if ![Device::LIST, ObjectType::LIST].contains(&list) {
        folded = without_commas(&folded);
    }
    if folded.is_empty() {
        return None;
    }
    let vocabulary = Vocabulary::of(field_name, list);
    if let Some(meaning) = vocabulary.words.get(&folded) {
        return meaning.suggestion();
    }
    if looks_like_missing(word) {
        return None;
    }
    let tokens: Vec<&str> = folded.split(' ').collect();
    if tokens.len() > MOST_TOKENS {
        return None;
    }
    match vocabulary.contained(&tokens, word) {
        Contained::Nothing => vocabulary.spelled_like(&folded, &tokens),
        Contained::Doubtful => None,
        Contained::One(suggestion) => Some(suggestion),
    }
}

/// One row of the table, folded.
struct Row {
    field: String,
    folded: String,
    /// Empty for a word that fits no code, or several.
    code: String,
    is_sure: bool,
}

static ROWS: LazyLock<Vec<Row>> =
    LazyLock::new(|| parse(TABLE).expect("the built-in table, which a test reads"));

/// Reads the table; the error names the line.
fn parse(table: &str) -> Result<Vec<Row>, String> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let header = reader.headers().map_err(|error| error.to_string())?;
    if header != ["field", "word", "code", "sure"].as_slice() {
        return Err("the columns are not field, word, code, sure".to_string());
    }
    let mut rows = Vec::new();
    for (index, row) in reader.records().enumerate() {
        let row = row.map_err(|error| error.to_string())?;
        let is_sure = match &row[3] {
            "yes" => true,
            "no" => false,
            _ => return Err(format!("line {}: `sure` is not yes or no", index + 2)),
        };
        rows.push(Row {
            field: row[0].to_string(),
            folded: without_commas(&fold(&row[1])),
            code: row[2].to_string(),
            is_sure,
        });
    }
    Ok(rows)
}

/// What a known word means; without a code it fits none, or several.
#[derive(Clone, Copy)]
struct Meaning {
    code: Option<&'static str>,
    sureness: Sureness,
}

impl Meaning {
    fn suggestion(self) -> Option<Suggestion> {
        let sureness = self.sureness;
        self.code.map(|code| Suggestion { code, sureness })
    }
}

/// What a longer text holds.
enum Contained {
    /// No known word.
    Nothing,
    /// Words of several codes, or one beside a word that makes it doubtful.
    Doubtful,
    One(Suggestion),
}

/// Every known word of one field.
struct Vocabulary {
    words: BTreeMap<String, Meaning>,
    is_yes_no: bool,
}

impl Vocabulary {
    fn of(field_name: &str, list: CodeList) -> Vocabulary {
        let is_yes_no = list == YesNo::LIST;
        let mut words = BTreeMap::new();
        // The field's own words stand before those of all yes-or-no fields.
        for field in [field_name, YES_NO] {
            if field == YES_NO && !is_yes_no {
                continue;
            }
            for row in ROWS.iter().filter(|row| row.field == field) {
                let code = list.position(&row.code).map(|at| list.words[at].code);
                let sureness = if row.is_sure {
                    Sureness::Synonym
                } else {
                    Sureness::Disputed
                };
                words
                    .entry(row.folded.clone())
                    .or_insert(Meaning { code, sureness });
            }
        }
        // Our own words say what they say, but for those that are disputed out there: a bare "cap"
        // may be the aid at the tip of the scope as well as the device.
        for word in list.words {
            let own = Meaning {
                code: Some(word.code),
                sureness: Sureness::OurCode,
            };
            for text in [word.code, word.label] {
                let entry = words.entry(without_commas(&fold(text))).or_insert(own);
                if entry.sureness == Sureness::Synonym {
                    *entry = own;
                }
            }
        }
        Vocabulary { words, is_yes_no }
    }

    /// Looks for known words inside a text. Of words inside one another the longest counts.
    fn contained(&self, tokens: &[&str], raw: &str) -> Contained {
        let mut found: Vec<(usize, usize, Meaning)> = Vec::new();
        for from in 0..tokens.len() {
            for to in (from + 1..=tokens.len()).rev() {
                let is_inside = found
                    .iter()
                    .any(|(start, end, _)| *start <= from && to <= *end);
                if is_inside || !self.may_stand_inside(tokens, from, to, raw) {
                    continue;
                }
                if let Some(meaning) = self.words.get(&tokens[from..to].join(" ")) {
                    found.push((from, to, *meaning));
                }
            }
        }
        let Some((_, _, first)) = found.first() else {
            return Contained::Nothing;
        };
        let is_doubted = tokens.iter().enumerate().any(|(at, token)| {
            DOUBTS.contains(token) && !found.iter().any(|(from, to, _)| (*from..*to).contains(&at))
        });
        let is_one_code = found
            .iter()
            .all(|(_, _, meaning)| meaning.code == first.code);
        let (Some(code), true, false) = (first.code, is_one_code, is_doubted) else {
            return Contained::Doubtful;
        };
        let is_disputed = found
            .iter()
            .any(|(_, _, meaning)| meaning.sureness == Sureness::Disputed);
        let sureness = if is_disputed {
            Sureness::Disputed
        } else {
            Sureness::Synonym
        };
        Contained::One(Suggestion { code, sureness })
    }

    /// Whether these words of a text may count for themselves. Short ones are also words of plain
    /// English: "or", "we", "a".
    fn may_stand_inside(&self, tokens: &[&str], from: usize, to: usize, raw: &str) -> bool {
        if to - from > 1 {
            return true;
        }
        let token = tokens[from];
        if self.is_yes_no && from == 0 && token == "no" {
            // "No, not needed" but not "no light".
            return raw.trim_start().get(2..).is_some_and(|rest| {
                rest.trim_start()
                    .starts_with([',', ';', ':', '(', '-', '–'])
            });
        }
        if NEGATIONS.contains(&token) {
            return false;
        }
        match token.chars().count() {
            0 | 1 => false,
            2 => from == 0 || to == tokens.len(),
            _ => true,
        }
    }

    /// The code of the words that are spelled nearly like `folded`.
    fn spelled_like(&self, folded: &str, tokens: &[&str]) -> Option<Suggestion> {
        let doubts = |tokens: &[&str]| -> Vec<String> {
            let doubts = tokens.iter().filter(|token| DOUBTS.contains(token));
            doubts.map(ToString::to_string).collect()
        };
        let digits = |text: &str| {
            text.chars()
                .filter(char::is_ascii_digit)
                .collect::<String>()
        };
        let (own_doubts, own_digits) = (doubts(tokens), digits(folded));
        let mut nearest = usize::MAX;
        let mut candidates: Vec<(&str, Meaning)> = Vec::new();
        for (word, meaning) in &self.words {
            let Some(distance) = distance(folded, word) else {
                continue;
            };
            let word_tokens: Vec<&str> = word.split(' ').collect();
            if doubts(&word_tokens) != own_doubts || digits(word) != own_digits {
                continue;
            }
            if distance < nearest {
                nearest = distance;
                candidates.clear();
            }
            if distance == nearest {
                candidates.push((word, *meaning));
            }
        }
        let (_, first) = candidates.first()?;
        let is_one_code = candidates
            .iter()
            .all(|(_, meaning)| meaning.code == first.code);
        // Misspelled words begin right, and other words often do not: "extubated".
        let begins_right = candidates.iter().any(|(word, _)| {
            word.chars().next() == folded.chars().next()
                && strsim::jaro_winkler(word, folded) >= LEAST_LIKENESS
        });
        let code = first.code.filter(|_| is_one_code && begins_right)?;
        Some(Suggestion {
            code,
            sureness: Sureness::Spelling,
        })
    }
}

/// Jaro-Winkler likeness below which two words are different words.
const LEAST_LIKENESS: f64 = 0.9;

/// Shortest word, in letters, that may be misspelled; among shorter ones every word is near
/// another.
const SHORTEST: usize = 4;

/// How many letters two words differ by; `None` when they are too far apart, or too short to tell.
///
/// Up to five letters one letter too many, too few or out of order; up to eight any one letter;
/// two from nine on. In short words another letter is another word: "coil", "coin".
fn distance(text: &str, word: &str) -> Option<usize> {
    let (text_length, word_length) = (text.chars().count(), word.chars().count());
    let shorter = text_length.min(word_length);
    let most = match shorter {
        0..SHORTEST => return None,
        4..=8 => 1,
        _ => 2,
    };
    if text_length.abs_diff(word_length) > most {
        return None;
    }
    let distance = strsim::damerau_levenshtein(text, word);
    let sorted = |text: &str| {
        let mut letters: Vec<char> = text.chars().collect();
        letters.sort_unstable();
        letters
    };
    let is_other_letter =
        shorter <= 5 && text_length == word_length && sorted(text) != sorted(word);
    (distance <= most && !is_other_letter).then_some(distance)
}

#[cfg(test)]
mod tests;
