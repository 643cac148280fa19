//! What the heading of a column says about the field that the column may give, by the trade's words
//! (`heading_words.csv`), and how a heading turns the meaning of yes and no (`heading_senses.csv`).
//!
//! A phrase is a row of words; a word of it may have alternatives: `scope|endoscope in`. `strong`
//! phrases say it, `weak` ones may say something else too. Looks at no cell.

use crate::domain::codes::YesNo;
use crate::domain::issue::Source;
use crate::ingest::guard::words_of;
use crate::ingest::synonyms::fold;
use std::sync::LazyLock;

const WORDS: &str = include_str!("heading_words.csv");
const SENSES: &str = include_str!("heading_senses.csv");

/// Words that say nothing about the field.
const FILLERS: &[&str] = &[
    "mg",
    "g",
    "d",
    "dl",
    "l",
    "mmol",
    "mmhg",
    "bpm",
    "at",
    "date",
    "time",
    "datetime",
    "timestamp",
    "stamp",
    "dt",
    "dtm",
    "dttm",
    "tm",
    "ts",
    "of",
    "on",
    "for",
    "a",
    "an",
    "and",
    "was",
    "is",
    "were",
    "when",
    "patient",
    "pt",
    "case",
    "first",
    "initial",
    "actual",
    "local",
    "yn",
    "y",
    "n",
    "yes",
    "flag",
    "ind",
    "indicator",
    "code",
    "cd",
    "desc",
    "description",
    "category",
    "used",
    "placed",
    "taken",
    "present",
    "recorded",
    "minute",
    "min",
    "hh",
    "mm",
    "ss",
    "hhmm",
    "h",
    "hr",
    "hour",
    "sec",
    "second",
    "s",
    "value",
    "name",
];

/// Words that say nothing beside lengths of time since the call.
const FILLERS_OF_LENGTHS: &[&str] = &[
    "call", "page", "from", "since", "after", "to", "until", "till", "elapsed", "duration", "t",
];

/// The words of a heading, made comparable.
pub(super) struct HeadingWords {
    words: Vec<String>,
    joined: String,
}

/// How well a heading names a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct HeadingFit {
    /// From 0 on; 25 and more is worth a thought.
    pub(super) points: i64,
    /// Whether the words mean this field in every export.
    pub(super) is_strong: bool,
    /// Whether the heading says nothing else.
    pub(super) is_whole: bool,
}

/// Below these points a heading does not name a field.
const FEWEST_POINTS: i64 = 25;

struct Phrase {
    /// `None` for either.
    export: Option<Source>,
    field: &'static str,
    is_strong: bool,
    /// For each word its alternatives.
    words: Vec<Vec<String>>,
}

/// What a yes or a no means below a heading that turns it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Turned {
    /// This code.
    Code(&'static str),
    /// What only a person knows.
    Open,
}

struct Sense {
    field: &'static str,
    words: Vec<Vec<String>>,
    /// What yes and no mean below such a heading; `None` where only a person knows.
    yes: Option<&'static str>,
    no: Option<&'static str>,
}

static PHRASES: LazyLock<Vec<Phrase>> =
    LazyLock::new(|| parse_phrases(WORDS).expect("the built-in table, which a test reads"));

static ALL_SENSES: LazyLock<Vec<Sense>> =
    LazyLock::new(|| parse_senses(SENSES).expect("the built-in table, which a test reads"));

impl HeadingWords {
    pub(super) fn of(heading: &str) -> HeadingWords {
        let heading = heading.replace(['\u{2018}', '\u{2019}'], "'");
        // "Can't" would else be read as "can".
        let words: Vec<String> = words_of(&heading.replace("n't", "nnot").replace("N'T", "NNOT"))
            .iter()
            .map(|word| fold(word))
            .filter(|word| !word.is_empty())
            .collect();
        HeadingWords {
            joined: words.concat(),
            words,
        }
    }

    /// The one number in a heading such as `Device 2`, and the heading without it.
    pub(super) fn numbered(&self) -> Option<(u32, HeadingWords)> {
        let is_number = |word: &str| word.bytes().all(|byte| byte.is_ascii_digit());
        let mut numbers = self.words.iter().filter(|word| is_number(word));
        let (number, None) = (numbers.next()?.parse().ok()?, numbers.next()) else {
            return None;
        };
        let words: Vec<String> = self
            .words
            .iter()
            .filter(|word| !is_number(word))
            .cloned()
            .collect();
        Some((
            number,
            HeadingWords {
                joined: words.concat(),
                words,
            },
        ))
    }

    /// Whether a heading says no more than that a date, a time or a case stands below it.
    pub(super) fn is_general(&self) -> bool {
        const GENERAL: [&str; 5] = ["procedure", "service", "endoscopy", "event", "visit"];
        let says_nothing =
            |word: &String| FILLERS.contains(&word.as_str()) || GENERAL.contains(&word.as_str());
        self.words.iter().all(says_nothing)
    }

    /// Whether the heading holds one of these words.
    pub(super) fn has_one_of(&self, words: &[&str]) -> bool {
        self.words.iter().any(|word| words.contains(&word.as_str()))
    }

    /// The two sides of a heading such as `arrival to scope in`.
    pub(super) fn sides(&self) -> Option<(HeadingWords, HeadingWords)> {
        let at = self.words.iter().position(|word| word == "to")?;
        let side = |words: &[String]| HeadingWords {
            joined: words.concat(),
            words: words.to_vec(),
        };
        Some((side(&self.words[..at]), side(&self.words[at + 1..])))
    }

    /// How well the heading names a field, by the phrase that fits best; `None` when none does.
    /// `has_lengths` for a column of lengths of time since the call.
    pub(super) fn fit(&self, export: Source, field: &str, has_lengths: bool) -> Option<HeadingFit> {
        PHRASES
            .iter()
            .filter(|phrase| phrase.field == field)
            .filter(|phrase| phrase.export.is_none_or(|of| of == export))
            .filter_map(|phrase| self.fit_of(phrase, has_lengths))
            .max_by_key(|fit| fit.points)
            .filter(|fit| fit.points >= FEWEST_POINTS)
    }

    fn fit_of(&self, phrase: &Phrase, has_lengths: bool) -> Option<HeadingFit> {
        let base = if phrase.is_strong { 60 } else { 40 };
        let length = phrase.words.len();
        let extra = 8 * i64::try_from(length - 1).unwrap_or(0).min(3);
        if is_spelled(&phrase.words, &self.joined) {
            return Some(HeadingFit {
                points: base + extra + 10,
                is_strong: phrase.is_strong,
                is_whole: true,
            });
        }
        let start = place_in(&phrase.words, &self.words)?;
        let is_filler = |word: &str| {
            FILLERS.contains(&word) || (has_lengths && FILLERS_OF_LENGTHS.contains(&word))
        };
        let others =
            self.words.iter().enumerate().filter(|(index, word)| {
                !(start..start + length).contains(index) && !is_filler(word)
            });
        let others = i64::try_from(others.count()).unwrap_or(i64::MAX / 100);
        Some(HeadingFit {
            points: base + extra + if others == 0 { 8 } else { -12 * others },
            is_strong: phrase.is_strong,
            is_whole: others == 0,
        })
    }

    /// What a yes or a no means below this heading; `None` where it means what it says.
    pub(super) fn sense(&self, field: &str, answer: YesNo) -> Option<Turned> {
        const TURNS: [&str; 7] = [
            "not",
            "no",
            "never",
            "without",
            "difficulty",
            "trouble",
            "problem",
        ];
        ALL_SENSES
            .iter()
            .filter(|sense| sense.field == field)
            .filter(|sense| {
                is_spelled(&sense.words, &self.joined)
                    || place_in(&sense.words, &self.words).is_some()
            })
            // The last of the longest, since the table goes from the general to the special.
            .max_by_key(|sense| sense.words.len())
            .map(|sense| match answer {
                _ if self.has_one_of(&TURNS) => None,
                YesNo::Yes => sense.yes,
                YesNo::No => sense.no,
            })
            .map(|code| code.map_or(Turned::Open, Turned::Code))
    }
}

/// The index of the first word at which the phrase stands.
fn place_in(phrase: &[Vec<String>], words: &[String]) -> Option<usize> {
    let begins = |start: usize| {
        words.len() - start >= phrase.len()
            && phrase
                .iter()
                .zip(&words[start..])
                .all(|(alternatives, word)| alternatives.contains(word))
    };
    (0..words.len()).find(|start| begins(*start))
}

/// Whether the words of the phrase, written without separators, are this text.
fn is_spelled(phrase: &[Vec<String>], text: &str) -> bool {
    match phrase.split_first() {
        None => text.is_empty(),
        Some((alternatives, rest)) => alternatives.iter().any(|word| {
            text.strip_prefix(word.as_str())
                .is_some_and(|text| is_spelled(rest, text))
        }),
    }
}

/// A phrase of a table, its words made comparable like those of a heading.
fn phrase(words: &str) -> Vec<Vec<String>> {
    words
        .split(' ')
        .map(|alternatives| alternatives.split('|').map(fold).collect())
        .collect()
}

fn parse_phrases(table: &'static str) -> Result<Vec<Phrase>, String> {
    let mut phrases = Vec::new();
    for (index, line) in table.lines().enumerate().skip(1) {
        let fault = |what: &str| format!("heading_words.csv, line {}: {what}", index + 1);
        let cells: Vec<&'static str> = line.split(',').collect();
        let &[export, field, strength, words] = cells.as_slice() else {
            return Err(fault("not four cells"));
        };
        phrases.push(Phrase {
            export: match export {
                "both" => None,
                "cases" => Some(Source::Cases),
                "passes" => Some(Source::Passes),
                _ => return Err(fault("neither `cases`, `passes` nor `both`")),
            },
            field,
            is_strong: match strength {
                "strong" => true,
                "weak" => false,
                _ => return Err(fault("neither `strong` nor `weak`")),
            },
            words: phrase(words),
        });
    }
    Ok(phrases)
}

fn parse_senses(table: &'static str) -> Result<Vec<Sense>, String> {
    let mut senses = Vec::new();
    for (index, line) in table.lines().enumerate().skip(1) {
        let cells: Vec<&'static str> = line.split(',').collect();
        let &[field, words, yes, no] = cells.as_slice() else {
            let line_number = index + 1;
            return Err(format!(
                "heading_senses.csv, line {line_number}: not four cells"
            ));
        };
        let code = |code: &'static str| (!code.is_empty()).then_some(code);
        senses.push(Sense {
            field,
            words: phrase(words),
            yes: code(yes),
            no: code(no),
        });
    }
    Ok(senses)
}

#[cfg(test)]
mod tests;
