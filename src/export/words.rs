//! The table `unknown_words`: words of the export that the mapping does not know, with what they
//! probably mean. It holds text of cells, so it never leaves the site.
//!
//! Does not know where a suggestion comes from.

use super::columns::{batch, optional_text, text, whole};
use super::table::{Table, TableError};
use crate::domain::unknown_words::{CellText, UnknownWord, UnknownWords};

/// What a word probably means, as it is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SuggestedCode {
    /// Our code.
    pub code: &'static str,
    /// How sure, in a word.
    pub sureness: &'static str,
}

/// One row per word: by source and field, the most frequent first, and last in each field one row
/// without a word for all that were not kept.
///
/// # Errors
/// When a count does not fit INT64.
pub fn unknown_words_table(
    words: &UnknownWords,
    suggestion: impl Fn(&UnknownWord) -> Option<SuggestedCode>,
) -> Result<Table, TableError> {
    let mut rows: Vec<(UnknownWord, Option<SuggestedCode>)> = words
        .iter()
        .map(|word| {
            let suggested = suggestion(&word);
            (word, suggested)
        })
        .collect();
    rows.extend(words.others().map(|(source, field, count)| {
        let others = UnknownWord {
            source,
            field,
            word: CellText::new(""),
            count,
        };
        (others, None)
    }));
    // Stable, so that the others stay behind the words of their field.
    rows.sort_by_key(|(word, _)| (word.source, word.field));
    let rows = || rows.iter();
    let columns = vec![
        text(
            "source",
            "cases or passes",
            rows().map(|(word, _)| word.source.code()),
        ),
        text(
            "field",
            "our name of the field",
            rows().map(|(word, _)| word.field),
        ),
        text(
            "word",
            "the word as it stands in the export; empty for all further words of the field together",
            rows().map(|(word, _)| word.word.expose()),
        ),
        whole(
            "count",
            "cells that hold it",
            "cells",
            rows().map(|(word, _)| word.count),
        )?,
        optional_text(
            "suggestion",
            "the code that a person may give it in the mapping; empty when none is near",
            rows().map(|(_, suggested)| suggested.map(|suggested| suggested.code)),
        ),
        optional_text(
            "sureness",
            "how sure the suggestion is",
            rows().map(|(_, suggested)| suggested.map(|suggested| suggested.sureness)),
        ),
    ];
    Ok(Table {
        name: "unknown_words",
        batch: batch(columns),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::issue::Source;
    use crate::export::table::Format;

    #[test]
    fn words_stand_with_their_counts_and_suggestions_and_run_nothing() {
        let mut words = UnknownWords::default();
        words.add(Source::Passes, "device", "snear");
        for word in ["=1+1", "tube, maybe", "tube, maybe", &"x".repeat(300)] {
            words.add(Source::Cases, "airway", word);
        }
        words.add(Source::Cases, "sex", "W");
        let table = unknown_words_table(&words, |word| {
            (word.word.expose() == "snear").then_some(SuggestedCode {
                code: "snare",
                sureness: "spelling",
            })
        })
        .unwrap();
        let csv = String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap();
        assert_eq!(
            csv,
            "source,field,word,count,suggestion,sureness\n\
             cases,airway,\"tube, maybe\",2,,\n\
             cases,airway,'=1+1,1,,\n\
             cases,airway,,1,,\n\
             cases,sex,W,1,,\n\
             passes,device,snear,1,snare,spelling\n"
        );
        assert_eq!(table.file_name(Format::Csv), "unknown_words.csv");
    }

    #[test]
    fn without_unknown_words_the_table_has_its_header() {
        let table = unknown_words_table(&UnknownWords::default(), |_| None).unwrap();
        let csv = String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap();
        assert_eq!(csv, "source,field,word,count,suggestion,sureness\n");
    }
}
