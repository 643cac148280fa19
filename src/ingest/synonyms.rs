//! What a word of an export probably means: the words of `sql/synonyms.csv`, in English, with
//! the misspellings and abbreviations that exports hold.
//!
//! A suggestion is only ever shown to the person who writes the mapping, who decides; nothing
//! reads a cell by it. Knows no mapping and no file. The words of a trade's products are not in
//! the table; a site adds its own to its mapping.

mod fold;
mod vocabulary;

use super::missing_words::looks_like_missing;
use crate::domain::codes::{CodeList, Device, ObjectType};
use crate::domain::fields::{CaseField, Field, Kind, PassField};
use crate::domain::issue::Source;
use crate::domain::unknown_words::UnknownWord;
use fold::{fold, without_commas};
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
    /// The word in tables and proposed mappings.
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
        Kind::Code(list) => suggest(word.field, list, word.word.expose()),
        _ => None,
    }
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
    if let Some(meaning) = vocabulary.exact(&folded) {
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

#[cfg(test)]
mod tests;
