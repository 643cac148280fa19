//! The words of a coded column → codes, with the meaning of a blank. Every word is one of the mapping.

use super::{CellFault, ColumnWords};
use crate::domain::codes::{CodeList, NOT_RECORDED};
use crate::domain::issue::IssueCode;
use crate::ingest::error::MappingFault;
use crate::ingest::time::is_spreadsheet_error;
use crate::ingest::word_table::{WordTable, fold};
use std::collections::BTreeMap;

/// The words of a coded column.
#[derive(Clone, Debug)]
pub(super) struct Codes {
    /// `None` for a word that means "not recorded".
    words: WordTable<Option<&'static str>>,
    /// What a blank cell means, where the mapping says so.
    blank: Option<&'static str>,
}

impl Codes {
    /// The words of a mapping; without them, our codes are the words.
    pub(super) fn new(
        name: &str,
        list: CodeList,
        words: &ColumnWords<'_>,
    ) -> Result<Codes, MappingFault> {
        let mut codes = BTreeMap::new();
        for word in words.missing {
            codes.insert(word.clone(), None);
        }
        let Some(table) = words.codes else {
            codes.extend(
                list.words
                    .iter()
                    .map(|word| (word.code.to_string(), Some(word.code))),
            );
            return Ok(Codes {
                words: WordTable::new(&codes),
                blank: None,
            });
        };
        let mut blank = None;
        let mut meanings = BTreeMap::new();
        for (word, code) in table {
            let meaning = meaning_of(name, list, code)?;
            if let Some(other) = meanings.insert(fold(word), meaning)
                && other != meaning
            {
                return Err(MappingFault::new(
                    format!("`codes.{name}` gives one word two codes"),
                    "words are compared without regard to case and repeated spaces",
                ));
            }
            if word.trim().is_empty() {
                blank = meaning;
            } else {
                codes.insert(word.clone(), meaning);
            }
        }
        Ok(Codes {
            words: WordTable::new(&codes),
            blank,
        })
    }

    /// The code of a cell without surrounding space; `None` when nothing was recorded.
    pub(super) fn read(&self, text: &str) -> Result<Option<&'static str>, CellFault> {
        if text.is_empty() {
            return Ok(self.blank);
        }
        let code = self.words.get(text);
        code.ok_or_else(|| CellFault::of(text, unknown(text)))
    }
}

fn unknown(text: &str) -> IssueCode {
    if is_spreadsheet_error(text) {
        IssueCode::SpreadsheetError
    } else {
        IssueCode::UnknownWord
    }
}

/// The code of our list; `None` for "not recorded".
fn meaning_of(
    name: &str,
    list: CodeList,
    code: &str,
) -> Result<Option<&'static str>, MappingFault> {
    if code == NOT_RECORDED {
        return Ok(None);
    }
    let index = list.position(code).ok_or_else(|| {
        let known: Vec<_> = list.words.iter().map(|word| word.code).collect();
        MappingFault::new(
            format!("`codes.{name}` has the code `{code}`, which does not exist"),
            format!(
                "the codes of `{name}` are: {}; or `{NOT_RECORDED}`",
                known.join(", ")
            ),
        )
    })?;
    Ok(Some(list.words[index].code))
}
