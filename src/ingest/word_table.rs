//! Looks words up without regard to case and white space, at the cost of a hash where the cell is
//! spelled as expected: nearly every cell of a column is one of a few spellings.
//!
//! Knows neither what a word stands for nor where it came from.

use std::collections::BTreeMap;
use xxhash_rust::xxh3::xxh3_64;

/// Words with their values. Nothing changes after it is made, so threads share it.
#[derive(Clone, Debug)]
pub(super) struct WordTable<T> {
    /// Every word, folded.
    folded: BTreeMap<String, T>,
    /// The spellings one after another; a slot names its stretch of it.
    text: Box<[u8]>,
    /// Open addressing with a power of two of slots, at most half of them full.
    slots: Box<[Slot<T>]>,
}

#[derive(Clone, Copy, Debug)]
struct Slot<T> {
    hash: u64,
    start: usize,
    length: usize,
    /// `None` in an empty slot.
    value: Option<T>,
}

impl<T: Copy> WordTable<T> {
    /// A table of `words`, spelled as in the mapping. Of words that fold to one, the first counts;
    /// whoever reads a mapping refuses those that contradict each other.
    pub(super) fn new(words: &BTreeMap<String, T>) -> WordTable<T> {
        let mut folded = BTreeMap::new();
        for (word, value) in words {
            folded.entry(fold(word)).or_insert(*value);
        }
        let mut spellings: BTreeMap<String, T> = BTreeMap::new();
        for word in words.keys() {
            let key = fold(word);
            let Some(value) = folded.get(&key) else {
                continue;
            };
            let lowercase = word.to_lowercase();
            let variants = [
                word.clone(),
                key.clone(),
                word.to_uppercase(),
                with_capitals(&lowercase, true),
                with_capitals(&lowercase, false),
                lowercase,
            ];
            // Some letters change for good when they change case: ß, SS, ss.
            for variant in variants.into_iter().filter(|variant| fold(variant) == key) {
                spellings.insert(variant, *value);
            }
        }
        let mut table = WordTable {
            folded,
            text: spellings.keys().flat_map(|word| word.bytes()).collect(),
            slots: vec![
                Slot {
                    hash: 0,
                    start: 0,
                    length: 0,
                    value: None
                };
                (2 * spellings.len()).next_power_of_two().max(2)
            ]
            .into(),
        };
        let mut start = 0;
        for (word, value) in &spellings {
            let hash = xxh3_64(word.as_bytes());
            let mut place = table.first_place(hash);
            while table.slots[place].value.is_some() {
                place = (place + 1) & (table.slots.len() - 1);
            }
            table.slots[place] = Slot {
                hash,
                start,
                length: word.len(),
                value: Some(*value),
            };
            start += word.len();
        }
        table
    }

    /// The value of a word; `None` when the table does not hold it.
    #[inline]
    pub(super) fn get(&self, text: &str) -> Option<T> {
        let hash = xxh3_64(text.as_bytes());
        let mut place = self.first_place(hash);
        // Half of the slots are empty, so this ends.
        loop {
            let slot = &self.slots[place];
            let Some(value) = slot.value else {
                return self.get_folded(text);
            };
            if slot.hash == hash
                && self.text.get(slot.start..slot.start + slot.length) == Some(text.as_bytes())
            {
                return Some(value);
            }
            place = (place + 1) & (self.slots.len() - 1);
        }
    }

    #[inline]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the low bits of the hash are what is wanted"
    )]
    fn first_place(&self, hash: u64) -> usize {
        hash as usize & (self.slots.len() - 1)
    }

    #[cold]
    fn get_folded(&self, text: &str) -> Option<T> {
        self.folded.get(&fold(text)).copied()
    }
}

/// The first letter in uppercase, of every word or of the first only.
fn with_capitals(lowercase: &str, is_every_word: bool) -> String {
    let mut capitals = String::with_capacity(lowercase.len());
    let mut is_start = true;
    for letter in lowercase.chars() {
        if is_start && letter.is_alphabetic() {
            capitals.extend(letter.to_uppercase());
        } else {
            capitals.push(letter);
        }
        is_start =
            (is_start && !letter.is_alphabetic()) || (is_every_word && letter.is_whitespace());
    }
    capitals
}

/// Words are compared without regard to case and repeated white space.
pub(super) fn fold(word: &str) -> String {
    let mut folded = String::with_capacity(word.len());
    for part in word.split_whitespace() {
        if !folded.is_empty() {
            folded.push(' ');
        }
        folded.extend(part.chars().flat_map(char::to_lowercase));
    }
    folded
}

#[cfg(test)]
mod tests {
    use super::{WordTable, fold};
    use proptest::prelude::any;
    use std::collections::BTreeMap;

    fn table(words: &[(&str, u8)]) -> WordTable<u8> {
        WordTable::new(
            &words
                .iter()
                .map(|(word, value)| ((*word).to_string(), *value))
                .collect(),
        )
    }

    #[test]
    fn words_are_found_in_every_case_and_spacing() {
        let table = table(&[
            ("Landing  net", 1),
            ("rat tooth", 2),
            ("STRASSE", 3),
            ("Öse", 4),
        ]);
        for text in [
            "Landing  net",
            "landing net",
            "LANDING NET",
            "Landing Net",
            "lAnDiNg\u{a0}\tnEt",
            " landing net ",
        ] {
            assert_eq!(table.get(text), Some(1), "{text}");
        }
        for text in [
            "rat tooth",
            "Rat tooth",
            "Rat Tooth",
            "RAT TOOTH",
            "rat  tooth",
        ] {
            assert_eq!(table.get(text), Some(2), "{text}");
        }
        for text in ["öse", "ÖSE", "Öse"] {
            assert_eq!(table.get(text), Some(4), "{text}");
        }
        assert_eq!(table.get("Straße"), None);
        for text in ["", "net", "landingnet", "rat tooth.", "rat", "rat toot"] {
            assert_eq!(table.get(text), None, "{text}");
        }
    }

    #[test]
    fn letters_that_change_with_their_case_do_not_change_words() {
        let table = table(&[("straße", 1), ("strasse", 2), ("ὀδυσσεύς", 3)]);
        assert_eq!(table.get("straße"), Some(1));
        assert_eq!(table.get("STRASSE"), Some(2));
        assert_eq!(table.get("ὀδυσσεύς"), Some(3));
    }

    #[test]
    fn an_empty_table_knows_nothing() {
        let table = table(&[]);
        assert_eq!(table.get(""), None);
        assert_eq!(table.get("net"), None);
    }

    proptest::proptest! {
        #[test]
        fn the_table_finds_what_a_plain_map_of_folded_words_finds(
            words in proptest::collection::btree_map("[abABßİıΣσ é]{0,4}", any::<u8>(), 0..40),
            texts in proptest::collection::vec("[abABßİıΣσ é]{0,4}", 40),
        ) {
            let table = WordTable::new(&words);
            let mut plain: BTreeMap<String, u8> = BTreeMap::new();
            for (word, value) in &words {
                plain.entry(fold(word)).or_insert(*value);
            }
            for text in words.keys().chain(&texts) {
                assert_eq!(table.get(text), plain.get(&fold(text)).copied());
            }
        }
    }
}
