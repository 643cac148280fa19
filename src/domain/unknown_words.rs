//! Words of coded columns that the mapping does not know, gathered for the person who writes the
//! mapping. The only place of the domain that holds text of cells, so nothing here prints it.
//!
//! Bounded, whatever the export holds: a column of free text ends as five hundred words and a
//! count of the rest.

use super::issue::Source;
use std::collections::BTreeMap;
use std::fmt;

/// Most different words that are kept of one field.
pub const MOST_WORDS: usize = 500;

/// Longest word that is kept, in bytes; longer ones are remarks.
pub const LONGEST_WORD: usize = 200;

/// Text of a cell. It may identify a person: no `Display`, and `Debug` hides it.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct CellText(String);

impl CellText {
    /// Keeps text of a cell.
    pub fn new(text: &str) -> CellText {
        CellText(text.to_string())
    }

    /// The text, only for files below `internal/` and for a mapping that is being proposed.
    pub fn expose(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for CellText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("CellText(..)")
    }
}

/// One word and how often it came up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownWord {
    /// Which kind of input.
    pub source: Source,
    /// Our name of the field.
    pub field: &'static str,
    /// The word as it stands in the export.
    pub word: CellText,
    /// In how many cells.
    pub count: u64,
}

/// The unknown words of a run, by field.
///
/// Of more than [`MOST_WORDS`] the first by their bytes are kept. That says little, but it is the
/// same however the export was cut into parts, and the counts of those kept are whole; the words
/// that come most often would be neither.
#[derive(Clone, Default, PartialEq, Eq)]
pub struct UnknownWords {
    fields: BTreeMap<(Source, &'static str), FieldWords>,
}

#[derive(Clone, Default, PartialEq, Eq)]
struct FieldWords {
    counts: BTreeMap<Box<str>, u64>,
    /// Cells with words that are not kept.
    others: u64,
}

impl fmt::Debug for UnknownWords {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("UnknownWords(..)")
    }
}

impl FieldWords {
    fn add(&mut self, word: &str, count: u64) {
        if word.len() > LONGEST_WORD {
            self.others += count;
            return;
        }
        if let Some(known) = self.counts.get_mut(word) {
            *known += count;
            return;
        }
        if self.counts.len() >= MOST_WORDS {
            let is_last = self
                .counts
                .last_key_value()
                .is_some_and(|(last, _)| **last < *word);
            if is_last {
                self.others += count;
                return;
            }
            if let Some((_, last)) = self.counts.pop_last() {
                self.others += last;
            }
        }
        self.counts.insert(word.into(), count);
    }
}

impl UnknownWords {
    /// Counts one cell with a word that the mapping does not know. A blank is no word.
    pub fn add(&mut self, source: Source, field: &'static str, word: &str) {
        self.add_cells(source, field, word, 1);
    }

    /// The same for several cells with one word.
    pub fn add_cells(&mut self, source: Source, field: &'static str, word: &str, cells: u64) {
        if !word.is_empty() && cells > 0 {
            let words = self.fields.entry((source, field)).or_default();
            words.add(word, cells);
        }
    }

    /// Adds the words of another part of the same run. In whatever order parts are added, the sum
    /// is the same.
    pub fn merge(&mut self, other: &UnknownWords) {
        for (key, words) in &other.fields {
            let own = self.fields.entry(*key).or_default();
            for (word, count) in &words.counts {
                own.add(word, *count);
            }
            own.others += words.others;
        }
    }

    /// Whether every word was known.
    pub fn is_empty(&self) -> bool {
        self.fields.is_empty()
    }

    /// How many different words of a field are kept, at most [`MOST_WORDS`].
    pub fn different(&self, source: Source, field: &'static str) -> usize {
        self.fields
            .get(&(source, field))
            .map_or(0, |words| words.counts.len())
    }

    /// The fields with cells whose words are not kept, and how many such cells.
    pub fn others(&self) -> impl Iterator<Item = (Source, &'static str, u64)> {
        self.fields
            .iter()
            .filter(|(_, words)| words.others > 0)
            .map(|((source, field), words)| (*source, *field, words.others))
    }

    /// The words that are kept, by source, then field; the most frequent first, then by the word.
    pub fn iter(&self) -> impl Iterator<Item = UnknownWord> {
        self.fields.iter().flat_map(|((source, field), words)| {
            let mut counts: Vec<(&str, u64)> = words
                .counts
                .iter()
                .map(|(word, count)| (&**word, *count))
                .collect();
            counts.sort_by_key(|(word, count)| (std::cmp::Reverse(*count), *word));
            counts.into_iter().map(|(word, count)| UnknownWord {
                source: *source,
                field,
                word: CellText::new(word),
                count,
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(words: &UnknownWords) -> Vec<(Source, &'static str, String, u64)> {
        words
            .iter()
            .map(|word| {
                (
                    word.source,
                    word.field,
                    word.word.expose().to_string(),
                    word.count,
                )
            })
            .collect()
    }

    #[test]
    fn words_are_listed_by_source_field_and_falling_count() {
        let mut words = UnknownWords::default();
        words.add(Source::Passes, "device", "lasso");
        for word in ["tube", "mask", "tube", "", "air"] {
            words.add(Source::Cases, "airway", word);
        }
        words.add(Source::Cases, "outcome", "gone");
        let line = |source, field, word: &str, count| (source, field, word.to_string(), count);
        assert_eq!(
            told(&words),
            [
                line(Source::Cases, "airway", "tube", 2),
                line(Source::Cases, "airway", "air", 1),
                line(Source::Cases, "airway", "mask", 1),
                line(Source::Cases, "outcome", "gone", 1),
                line(Source::Passes, "device", "lasso", 1),
            ]
        );
        assert_eq!(words.different(Source::Cases, "airway"), 3);
        assert_eq!(words.different(Source::Passes, "airway"), 0);
        assert_eq!(words.others().count(), 0);
        assert!(!words.is_empty() && UnknownWords::default().is_empty());
    }

    #[test]
    fn a_column_of_free_text_is_five_hundred_words_and_a_count() {
        let mut words = UnknownWords::default();
        for number in (0..2000).rev() {
            words.add(Source::Cases, "outcome", &format!("{number:04}"));
            words.add(Source::Cases, "outcome", "0007");
        }
        words.add(Source::Cases, "outcome", &"a".repeat(201));
        assert_eq!(words.different(Source::Cases, "outcome"), 500);
        let told = told(&words);
        assert_eq!((told[0].2.as_str(), told[0].3), ("0007", 2001));
        assert_eq!((told[1].2.as_str(), told[1].3), ("0000", 1));
        assert_eq!((told[499].2.as_str(), told[499].3), ("0499", 1));
        let others: Vec<_> = words.others().collect();
        assert_eq!(others, [(Source::Cases, "outcome", 1501)]);
        words.add(Source::Cases, "outcome", &"b".repeat(200));
        assert_eq!(words.others().map(|(.., count)| count).sum::<u64>(), 1502);
    }

    #[test]
    fn the_sum_of_parts_does_not_depend_on_where_the_export_was_cut() {
        let cells: Vec<String> = (0..3000_u32)
            .map(|row| format!("{}", row * row % 1777))
            .collect();
        let gather = |cells: &[String]| {
            let mut words = UnknownWords::default();
            for cell in cells {
                words.add(Source::Passes, "result", cell);
            }
            words
        };
        let whole = gather(&cells);
        assert_eq!(whole.different(Source::Passes, "result"), 500);
        for size in [1, 7, 500, 1499] {
            let mut sum = UnknownWords::default();
            for part in cells.chunks(size) {
                sum.merge(&gather(part));
            }
            assert!(sum == whole, "{size}");
            let mut backwards = UnknownWords::default();
            for part in cells.rchunks(size) {
                backwards.merge(&gather(part));
            }
            assert!(backwards == whole, "{size}");
        }
        let counted: u64 = told(&whole).iter().map(|(.., count)| count).sum();
        let others: u64 = whole.others().map(|(.., count)| count).sum();
        assert_eq!(counted + others, 3000);
    }

    #[test]
    fn nothing_shows_the_text_of_a_cell() {
        let mut words = UnknownWords::default();
        words.add(Source::Cases, "outcome", "Jane Doe");
        let shown = format!("{words:?} {:?}", words.iter().collect::<Vec<_>>());
        assert!(!shown.contains("Jane") && shown.contains("CellText(..)"));
    }
}
