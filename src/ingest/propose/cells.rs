//! What the cells of one column of a sample look like: how many are filled, which different texts
//! they hold and how often, and how their times are written.
//!
//! Holds text of cells, so nothing here is printed. Knows no heading and no field.

use crate::ingest::cell::RawCell;
use crate::ingest::missing_words::looks_like_missing;
use crate::ingest::time::FormProof;
use crate::ingest::word_table::fold;
use std::collections::{BTreeMap, BTreeSet};
use xxhash_rust::xxh3::xxh3_64;

/// Most different texts of a column that are kept; the others are counted.
const MOST_TEXTS: usize = 500;

/// Longest text that is kept, in bytes; longer ones are remarks.
const LONGEST_TEXT: usize = 200;

/// The cells of a column.
#[derive(Default)]
pub(super) struct CellsSeen {
    /// Cells with something in them.
    pub(super) filled: u64,
    /// Cells with nothing in them.
    pub(super) blank: u64,
    /// Of the filled cells, those with a word that means "not recorded".
    pub(super) missing: u64,
    /// How the other cells are written, if they are times.
    pub(super) proof: FormProof,
    /// The different texts and in how many cells each stands, as far as they are kept.
    texts: BTreeMap<Box<str>, SeenText>,
    /// Cells whose text is not kept.
    pub(super) not_kept: u64,
    /// Hashes of texts that are not kept.
    others: BTreeSet<u64>,
}

/// What is known of one text.
struct SeenText {
    cells: u64,
    /// Whether it is a word that means "not recorded".
    is_missing: bool,
}

/// A word and the cells in which it stands, whatever its case and spaces.
pub(super) struct SeenWord {
    /// As it stands in most of them.
    pub(super) text: String,
    pub(super) cells: u64,
}

impl CellsSeen {
    /// Takes one cell into account.
    pub(super) fn observe(&mut self, cell: RawCell<'_>) {
        let Ok(text) = cell.text() else {
            self.filled += 1;
            self.keep_hash(cell.bytes());
            return;
        };
        if text.is_empty() {
            self.blank += 1;
            return;
        }
        self.filled += 1;
        // Most cells repeat a text that was looked at before.
        let known = self.texts.get_mut(text);
        let is_missing = match &known {
            Some(known) => known.is_missing,
            // No word for nothing begins with a digit, and most times do.
            None => {
                !text.starts_with(|sign: char| sign.is_ascii_digit()) && looks_like_missing(text)
            }
        };
        if let Some(known) = known {
            known.cells += 1;
        } else if self.texts.len() < MOST_TEXTS && text.len() <= LONGEST_TEXT {
            let cells = 1;
            self.texts
                .insert(text.into(), SeenText { cells, is_missing });
        } else {
            self.keep_hash(text.as_bytes());
        }
        if is_missing {
            self.missing += 1;
        } else {
            self.proof.observe(text);
        }
    }

    fn keep_hash(&mut self, text: &[u8]) {
        self.not_kept += 1;
        self.others.insert(xxh3_64(text));
    }

    /// Cells that say something.
    pub(super) fn telling(&self) -> u64 {
        self.filled - self.missing
    }

    /// How many different texts there are.
    pub(super) fn different(&self) -> usize {
        self.texts.len() + self.others.len()
    }

    /// The texts that are kept and say something, with their cells.
    pub(super) fn texts(&self) -> impl Iterator<Item = (&str, u64)> {
        let telling = self.texts.iter().filter(|(_, seen)| !seen.is_missing);
        telling.map(|(text, seen)| (&**text, seen.cells))
    }

    /// Whether some cell holds this text.
    pub(super) fn has(&self, text: &str) -> bool {
        self.texts.contains_key(text)
    }

    /// Every text that is kept.
    pub(super) fn all_texts(&self) -> impl Iterator<Item = (&str, u64)> {
        self.texts.iter().map(|(text, seen)| (&**text, seen.cells))
    }

    /// The share of the cells that say something whose text fits.
    pub(super) fn share(&self, fits: impl Fn(&str) -> bool) -> f64 {
        let fitting = self.texts().filter(|(text, _)| fits(text));
        let cells: u64 = fitting.map(|(_, cells)| cells).sum();
        // Of a column with many different texts, those that are kept stand for all.
        let kept = self.telling().saturating_sub(self.not_kept);
        cells as f64 / kept.max(1) as f64
    }
}

/// Texts without regard to case and repeated spaces; the most frequent first, then by the text.
pub(super) fn words<'a>(texts: impl Iterator<Item = (&'a str, u64)>) -> Vec<SeenWord> {
    let mut spellings: BTreeMap<String, BTreeMap<&str, u64>> = BTreeMap::new();
    for (text, cells) in texts {
        *spellings
            .entry(fold(text))
            .or_default()
            .entry(text)
            .or_default() += cells;
    }
    let mut words: Vec<SeenWord> = spellings
        .values()
        .filter_map(|spellings| {
            // The first of those that are equally frequent.
            let (text, _) = spellings.iter().rev().max_by_key(|(_, cells)| **cells)?;
            Some(SeenWord {
                text: (*text).to_string(),
                cells: spellings.values().sum(),
            })
        })
        .collect();
    words.sort_by(|one, other| (other.cells, &one.text).cmp(&(one.cells, &other.text)));
    words
}

#[cfg(test)]
mod tests {
    use super::{CellsSeen, MOST_TEXTS, words};
    use crate::ingest::cell::RawCell;

    fn seen(cells: &[&str]) -> CellsSeen {
        let mut seen = CellsSeen::default();
        for cell in cells {
            seen.observe(RawCell::new(cell.as_bytes()));
        }
        seen
    }

    #[test]
    fn blanks_words_for_nothing_and_words_are_counted_apart() {
        let seen = seen(&["Net", " net ", "NET", "net", "", "  ", "n/a", "-", "snare"]);
        assert_eq!((seen.filled, seen.blank, seen.missing), (7, 2, 2));
        assert_eq!((seen.telling(), seen.different()), (5, 6));
        let words: Vec<_> = words(seen.texts())
            .into_iter()
            .map(|word| (word.text, word.cells))
            .collect();
        assert_eq!(words, [("net".to_string(), 4), ("snare".to_string(), 1)]);
        assert!((seen.share(|text| text == "snare") - 0.2).abs() < 1e-12);
    }

    #[test]
    fn a_column_of_different_texts_is_some_texts_and_a_count() {
        let mut cells = CellsSeen::default();
        for number in 0..2000 {
            cells.observe(RawCell::new(format!("E{number}").as_bytes()));
        }
        cells.observe(RawCell::new(b"E1999"));
        cells.observe(RawCell::new(&[0xff, 0xfe]));
        cells.observe(RawCell::new("x".repeat(201).as_bytes()));
        assert_eq!((cells.filled, cells.different()), (2003, 2002));
        assert_eq!(cells.texts().count(), MOST_TEXTS);
        assert!((cells.share(|text| text.starts_with('E')) - 1.0).abs() < 1e-12);
    }
}
