//! Every known word of one field, and how a text is held against them: as it stands, by the words
//! inside it, and by its spelling.

use super::fold::{fold, without_commas};
use super::{ROWS, Suggestion, Sureness, YES_NO};
use crate::domain::codes::{CodeList, YesNo};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Words of a text that make its other words doubtful: "no tear", "net after snare", "bone?".
const DOUBTS: &str = "\
    ? no not non none nil never neither nor without w un denies denied negative neg unable \
    cannot possible possibly probable probably potential suspected suspicion query questionable \
    likely unlikely maybe perhaps rule ruled exclude excluded versus vs except instead than \
    rather if failed attempt attempted tried planned considered history hx prior previous \
    previously before after refused declined unsuccessful contraindicated unknown unsure unclear \
    uncertain risk near almost awaiting pending needs need";

/// Those of [`DOUBTS`] that never stand for themselves inside a longer text.
const NEGATIONS: &str = "\
    ? no not non none nil never without w un negative neg";

fn is_one_of(word: &str, words: &str) -> bool {
    words.split(' ').any(|known| known == word)
}

/// What a known word means; without a code it fits none, or several.
#[derive(Clone, Copy)]
pub(super) struct Meaning {
    code: Option<&'static str>,
    sureness: Sureness,
}

impl Meaning {
    pub(super) fn suggestion(self) -> Option<Suggestion> {
        let sureness = self.sureness;
        self.code.map(|code| Suggestion { code, sureness })
    }
}

/// What a longer text holds.
pub(super) enum Contained {
    /// No known word.
    Nothing,
    /// Words of several codes, or one beside a word that makes it doubtful.
    Doubtful,
    One(Suggestion),
}

/// Every known word of one field.
pub(super) struct Vocabulary {
    words: BTreeMap<Cow<'static, str>, Meaning>,
    is_yes_no: bool,
}

impl Vocabulary {
    pub(super) fn of(field_name: &str, list: CodeList) -> Vocabulary {
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
                    .entry(Cow::Borrowed(row.folded.as_str()))
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
                let entry = words
                    .entry(Cow::Owned(without_commas(&fold(text))))
                    .or_insert(own);
                if entry.sureness == Sureness::Synonym {
                    *entry = own;
                }
            }
        }
        Vocabulary { words, is_yes_no }
    }

    /// What a whole text means.
    pub(super) fn exact(&self, folded: &str) -> Option<Meaning> {
        self.words.get(folded).copied()
    }

    /// Looks for known words inside a text. Of words inside one another the longest counts.
    pub(super) fn contained(&self, tokens: &[&str], raw: &str) -> Contained {
        let mut found: Vec<(usize, usize, Meaning)> = Vec::new();
        for from in 0..tokens.len() {
            for to in (from + 1..=tokens.len()).rev() {
                let is_inside = found
                    .iter()
                    .any(|(start, end, _)| *start <= from && to <= *end);
                if is_inside || !self.may_stand_inside(tokens, from, to, raw) {
                    continue;
                }
                if let Some(meaning) = self.exact(&tokens[from..to].join(" ")) {
                    found.push((from, to, meaning));
                }
            }
        }
        let Some((_, _, first)) = found.first() else {
            return Contained::Nothing;
        };
        let is_doubted = tokens.iter().enumerate().any(|(at, token)| {
            is_one_of(token, DOUBTS)
                && !found.iter().any(|(from, to, _)| (*from..*to).contains(&at))
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
        if is_one_of(token, NEGATIONS) {
            return false;
        }
        match token.chars().count() {
            0 | 1 => false,
            2 => from == 0 || to == tokens.len(),
            _ => true,
        }
    }

    /// The code of the words that are spelled nearly like `folded`.
    pub(super) fn spelled_like(&self, folded: &str, tokens: &[&str]) -> Option<Suggestion> {
        let doubts = |tokens: &[&str]| -> Vec<String> {
            let doubts = tokens.iter().filter(|token| is_one_of(token, DOUBTS));
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
