//! Names of persons within a cell. Knows how names are written and which words of the trade are
//! none (`trade_words.txt` and the labels of our own codes); has no list of names. So a name in
//! small letters, and a surname alone in its cell, are not told from other words.

mod around;

use crate::domain::fields::{CaseField, Field, Kind, PassField};
use std::collections::BTreeSet;
use std::sync::LazyLock;

use super::pattern::{Hits, Pattern};

pub(super) use around::{has_other_words, names_patient, names_place};

/// Words that a case is told in, in lower case.
static TRADE_WORDS: LazyLock<BTreeSet<String>> = LazyLock::new(trade_words);

/// Words of a name that start small.
const PARTICLES: &[&str] = &[
    "van", "von", "der", "den", "de", "del", "della", "di", "da", "dos", "du", "la", "le", "el",
    "al", "bin", "ibn", "ten", "ter", "zu", "zur", "y",
];

/// Titles in lower case; `mr` and `ms` in capitals are magnetic resonance and multiple sclerosis.
const TITLES: &[&str] = &[
    "mr",
    "mrs",
    "ms",
    "miss",
    "mx",
    "dr",
    "prof",
    "professor",
    "herr",
    "frau",
    "mme",
    "señora",
    "señor",
];

/// What may stand after a second comma.
const SUFFIXES: &[&str] = &[
    "jr", "sr", "ii", "iii", "md", "do", "rn", "phd", "mbbs", "frcp", "np", "pa", "dr", "mr",
    "mrs", "ms",
];

/// Postal abbreviations of US states and Canadian provinces: `Springfield, IL` is a place.
const STATES: &str = "AL AK AZ AR CA CO CT DE FL GA HI ID IL IN IA KS KY LA ME MD MA MI MN MS MO MT NE NV NH NJ NM NY NC ND OH OK OR PA RI SC SD TN TX UT VT VA WA WV WI WY DC PR AB BC MB NB NL NS ON PE QC SK";

/// Ends of words that are diagnoses or procedures, never names.
const MEDICAL_ENDINGS: &[&str] = &[
    "itis", "osis", "ectomy", "otomy", "ostomy", "oscopy", "plasty", "ation", "emia", "opathy",
    "rrhage", "rrhagia", "phagia", "stasis", "sthesia",
];

/// A column of names in capitals would else be taken for one of abbreviations: `COPD, IHD`.
const FEWEST_CAPITALS: usize = 8;

/// The ways in which the cell is, or holds, the name of a person.
pub(super) fn names_in(cell: &str) -> Hits {
    let mut hits = Hits::default();
    if has_titled_name(cell) {
        hits.add(Pattern::TitledName);
    }
    if cell.contains('^') && cell.split_whitespace().any(is_coded_name) {
        hits.add(Pattern::CodedName);
    }
    if is_comma_name(cell) {
        hits.add(Pattern::CommaName);
    } else if is_plain_name(cell) {
        hits.add(Pattern::PlainName);
    }
    hits
}

/// What one word can be in a name.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Word {
    Name,
    Initial,
    Particle,
}

/// `None` for a word that stands in no name, or in the list of the trade.
fn word_of_a_name(word: &str) -> Option<Word> {
    if PARTICLES.contains(&word) {
        return Some(Word::Particle);
    }
    let bare = word.strip_suffix('.').unwrap_or(word);
    let mut letters = bare.chars();
    let first = letters.next()?;
    if !first.is_uppercase() {
        return None;
    }
    if letters.clone().next().is_none() {
        return Some(Word::Initial);
    }
    let is_joint = |letter: char| matches!(letter, '\'' | '\u{2019}' | '-');
    let is_of_letters = letters.all(|letter| letter.is_alphabetic() || is_joint(letter));
    let is_sentence = bare.len() < word.len();
    (is_of_letters && !is_sentence && has_vowel(bare) && !is_trade_word(bare)).then_some(Word::Name)
}

fn has_vowel(word: &str) -> bool {
    word.chars()
        .any(|letter| "aeiouyAEIOUY".contains(letter) || !letter.is_ascii())
}

/// Whether the trade uses the word, or each part of it between hyphens.
fn is_trade_word(word: &str) -> bool {
    let word = word.to_lowercase();
    let is_known = |part: &str| {
        TRADE_WORDS.contains(part)
            || part
                .strip_suffix('s')
                .is_some_and(|singular| TRADE_WORDS.contains(singular))
            || MEDICAL_ENDINGS.iter().any(|ending| part.ends_with(ending))
    };
    is_known(&word) || word.contains('-') && word.split('-').any(is_known)
}

/// `Last, First`: the whole cell is one comma with names on both sides, and a suffix at most.
fn is_comma_name(cell: &str) -> bool {
    let mut parts = cell.split(',').map(str::trim);
    let (Some(last), Some(first)) = (parts.next(), parts.next()) else {
        return false;
    };
    let is_suffix = |part: &str| {
        let part = part.trim_end_matches('.').to_lowercase();
        SUFFIXES.contains(&part.as_str())
    };
    let has_only_suffixes = parts.clone().count() <= 1 && parts.all(is_suffix);
    let is_place = first.len() == 2 && STATES.split(' ').any(|state| state == first);
    has_only_suffixes && !is_place && is_name(last, 1) && is_name(first, 0) && is_long_enough(cell)
}

/// `First Last`, with another name or initial between them at most; `J. Last`, `Last J`, `Last MD`.
fn is_plain_name(cell: &str) -> bool {
    let words = cell.split_whitespace().count();
    (2..=4).contains(&words)
        && is_long_enough(cell)
        && (is_name(cell, 2) || is_name_with_initial(cell) || is_name_with_degree(cell))
}

/// One name, and initials before or after it.
fn is_name_with_initial(cell: &str) -> bool {
    let word = |word: &str| word_of_a_name(word);
    let names = cell.split_whitespace().filter_map(word);
    names.filter(|word| *word == Word::Name).count() == 1
        && cell
            .split_whitespace()
            .all(|one| word(one).is_some() || is_dotted_initials(one))
        && !cell.split_whitespace().any(|one| PARTICLES.contains(&one))
}

/// `J.A.`
fn is_dotted_initials(word: &str) -> bool {
    word.contains('.') && is_row_of_initials(word)
}

/// `Okafor MD`, `N Okafor RN`: in capitals, since `do` and `pa` are words too.
fn is_name_with_degree(cell: &str) -> bool {
    const DEGREES: &[&str] = &[
        "MD", "DO", "RN", "NP", "PA", "PA-C", "MBBS", "FRCP", "PhD", "CRNA",
    ];
    let Some((name, degree)) = cell.rsplit_once(' ') else {
        return false;
    };
    DEGREES.contains(&degree) && is_name(name, 1)
}

/// `OKAFOR^NGOZI^A`, with or without what other fields of HL7 stand before it.
fn is_coded_name(word: &str) -> bool {
    let word = word.rsplit(['|', ':', '=', ',']).next().unwrap_or(word);
    let mut parts = word.split('^');
    let is_part = |part: Option<&str>| {
        part.is_some_and(|part| matches!(word_of_a_name(part), Some(Word::Name | Word::Initial)))
    };
    let (last, first) = (parts.next(), parts.next());
    last.is_some_and(|last| last.chars().nth(1).is_some()) && is_part(last) && is_part(first)
}

/// One to four words of a name; `names` of them at least are written out, else one or an initial.
fn is_name(text: &str, names: usize) -> bool {
    let mut written_out = 0;
    let mut initials = 0;
    for (index, word) in text.split_whitespace().enumerate() {
        match word_of_a_name(word) {
            Some(Word::Name) => written_out += 1,
            Some(Word::Initial) => initials += 1,
            // `JA`, `J.A.`: initials in a row, only beside a name.
            None if names == 0 && is_row_of_initials(word) => initials += 1,
            Some(Word::Particle) => {}
            None => return false,
        }
        if index > 3 {
            return false;
        }
    }
    written_out >= names && written_out + initials > 0
}

fn is_row_of_initials(word: &str) -> bool {
    let letters = word.chars().filter(|letter| *letter != '.').count();
    (1..=2).contains(&letters)
        && word
            .chars()
            .all(|letter| letter == '.' || letter.is_uppercase())
        && !is_trade_word(word)
}

/// Whether a cell in capitals throughout is longer than a pair of abbreviations.
fn is_long_enough(cell: &str) -> bool {
    let letters = cell.chars().filter(|letter| letter.is_alphabetic()).count();
    letters >= FEWEST_CAPITALS || cell.chars().any(char::is_lowercase)
}

/// A title and a name right after it, anywhere in the cell.
fn has_titled_name(cell: &str) -> bool {
    let mut words = cell
        .split(|letter: char| letter.is_whitespace() || ",;:/()".contains(letter))
        .filter(|word| !word.is_empty())
        .peekable();
    let mut is_first = true;
    while let Some(word) = words.next() {
        let starts_cell = std::mem::take(&mut is_first);
        // `Dr.Okafor` without a blank.
        let (title, joined) = match word.split_once('.') {
            Some((title, rest)) => (title, Some(rest).filter(|rest| !rest.is_empty())),
            None => (word, None),
        };
        if !is_title(title, starts_cell) {
            continue;
        }
        let mut rest = words.clone();
        let mut next = joined.or_else(|| rest.next());
        // `Mr J. Okafor`, `Prof. Dr. Okafor`
        for _ in 0..2 {
            match next {
                Some(word) if word_of_a_name(word) == Some(Word::Initial) => next = rest.next(),
                Some(word) if is_title(word.trim_end_matches('.'), false) => next = rest.next(),
                _ => break,
            }
        }
        let is_named = next.is_some_and(|word| {
            let word = word.trim_end_matches(['.', '?', '!']);
            word.chars().nth(1).is_some() && word_of_a_name(word) == Some(Word::Name)
        });
        if is_named {
            return true;
        }
    }
    false
}

/// `Dr`; in capitals only where nothing else is meant by it, or at the start of the cell.
fn is_title(word: &str, starts_cell: bool) -> bool {
    let is_all_capitals = word.chars().all(char::is_uppercase);
    let is_capitalized = word.chars().next().is_some_and(char::is_uppercase);
    let lower = word.to_lowercase();
    is_capitalized
        && TITLES.contains(&lower.as_str())
        && (!is_all_capitals || starts_cell || !matches!(lower.as_str(), "mr" | "ms"))
}

fn trade_words() -> BTreeSet<String> {
    let listed = include_str!("trade_words.txt").split_whitespace();
    let kinds = CaseField::ALL.iter().map(|field| field.kind());
    let kinds = kinds.chain(PassField::ALL.iter().map(|field| field.kind()));
    let labels = kinds.filter_map(|kind| match kind {
        Kind::Code(list) => Some(list.words),
        _ => None,
    });
    let labels = labels
        .flatten()
        .flat_map(|word| word.label.split(|letter: char| !letter.is_alphabetic()));
    listed
        .chain(TITLES.iter().copied())
        .chain(labels)
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}
