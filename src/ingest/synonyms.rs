//! What a word of an export probably means: the words of `sql/synonyms.csv`, in English, with
//! the misspellings and abbreviations that exports hold.
//!
//! A suggestion is only ever shown to the person who writes the mapping, who decides; nothing
//! reads a cell by it. Knows no mapping and no file. The words of a trade's products are not in
//! the table; a site adds its own to its mapping.

mod fold;
mod vocabulary;

pub(super) use fold::fold;

use super::missing_words::looks_like_missing;
use crate::domain::codes::{CodeList, Device, ObjectType};
use crate::domain::fields::{CaseField, Field, Kind, PassField};
use crate::domain::issue::Source;
use crate::domain::unknown_words::UnknownWord;
use fold::without_commas;
use std::sync::LazyLock;
use vocabulary::{Contained, Vocabulary};

const TABLE: &str = include_str!("../../sql/synonyms.csv");

/// The name under which the table holds the words of every yes-or-no field.
const YES_NO: &str = "yes_no";

/// A text longer than this is a remark, which needs a reader.
const MOST_TOKENS: usize = 8;

/// How sure a suggestion is, surest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sureness {
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
    /// The word in tables.
    pub const fn code(self) -> &'static str {
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
pub struct Suggestion {
    /// A code of the field's list.
    pub code: &'static str,
    /// How sure.
    pub sureness: Sureness,
}

/// What an unknown word of a field probably means, for a person to confirm in the mapping; `None`
/// when nothing is near.
pub fn suggest_code(word: &UnknownWord) -> Option<Suggestion> {
    let kind = match word.source {
        Source::Cases => CaseField::named(word.field).map(Field::kind),
        Source::Passes => None,
    };
    // Devices may stand in the rows of their cases.
    let kind = kind.or_else(|| PassField::named(word.field).map(Field::kind))?;
    match kind {
        Kind::Code(list) => FieldWords::of(word.field, list).suggest(word.word.expose()),
        _ => None,
    }
}

/// The words of one field, made once for many questions.
pub(super) struct FieldWords {
    vocabulary: Vocabulary,
    /// Whether a cell may list several things, so that no word reaches over a comma: "coin, battery".
    is_list: bool,
}

impl FieldWords {
    /// The words of the field `field_name` with the codes `list`.
    pub(super) fn of(field_name: &str, list: CodeList) -> FieldWords {
        FieldWords {
            vocabulary: Vocabulary::of(field_name, list),
            is_list: [Device::LIST, ObjectType::LIST].contains(&list),
        }
    }

    /// What a person should be asked about `word`; `None` when nothing is near, or two codes are
    /// equally near.
    pub(super) fn suggest(&self, word: &str) -> Option<Suggestion> {
        let folded = self.folded(word);
        if folded.is_empty() {
            return None;
        }
        if let Some(meaning) = self.vocabulary.exact(&folded) {
            return meaning.suggestion();
        }
        if looks_like_missing(word) {
            return None;
        }
        let tokens: Vec<&str> = folded.split(' ').collect();
        if tokens.len() > MOST_TOKENS {
            return None;
        }
        match self.vocabulary.contained(&tokens, word) {
            Contained::Nothing => self.vocabulary.spelled_like(&folded, &tokens),
            Contained::Doubtful => None,
            Contained::One(suggestion) => Some(suggestion),
        }
    }

    /// Whether the whole of a text is a word of the table or our own: such a text tells of nobody.
    pub(super) fn know(&self, word: &str) -> bool {
        self.vocabulary.exact(&self.folded(word)).is_some()
    }

    fn folded(&self, word: &str) -> String {
        let folded = fold(word);
        if self.is_list {
            folded
        } else {
            without_commas(&folded)
        }
    }
}

#[cfg(test)]
fn suggest(field_name: &str, list: CodeList, word: &str) -> Option<Suggestion> {
    FieldWords::of(field_name, list).suggest(word)
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
        // A comma of the table is meant: it tells one thing, described by several, from a list.
        let folded = if row[1].contains(',') {
            fold(&row[1])
        } else {
            without_commas(&fold(&row[1]))
        };
        rows.push(Row {
            field: row[0].to_string(),
            folded,
            code: row[2].to_string(),
            is_sure,
        });
    }
    Ok(rows)
}

#[cfg(test)]
mod tests;
