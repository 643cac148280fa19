//! What the mapped cells of a row say, as one number: two rows with the same number say the same.
//!
//! Capitals and blanks do not count: two systems write the same row as `Food ` and `food`. Knows no
//! field.

use super::block_rows::Row;
use xxhash_rust::xxh3::xxh3_64_with_seed;

/// What stands in the mapped cells of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Fingerprint(pub(super) u64);

impl Fingerprint {
    /// The fingerprint of the cells at these places. The order of the places is that of our fields,
    /// so two files may have their columns in different orders. HOT: no allocation.
    pub(super) fn of(row: &Row<'_>, places: impl Iterator<Item = usize>) -> Fingerprint {
        let mut hash = 0;
        for place in places {
            let cell = row.cell(place);
            let bytes = match cell.text() {
                Ok(text) => text.as_bytes(),
                Err(_) => cell.bytes().trim_ascii(),
            };
            hash = hash_folded(bytes, hash);
        }
        Fingerprint(hash)
    }
}

/// Bytes that are hashed at once; hardly a cell is longer.
const CHUNK: usize = 128;

/// The hash of a cell in small letters of ASCII, with one space for each run of blanks.
fn hash_folded(cell: &[u8], seed: u64) -> u64 {
    let shape = Shape::of(cell);
    if shape.has_odd_blanks || (shape.has_capitals && cell.len() > CHUNK) {
        return hash_odd(cell, seed);
    }
    if shape.has_capitals {
        let mut folded = [0; CHUNK];
        let folded = &mut folded[..cell.len()];
        folded.copy_from_slice(cell);
        folded.make_ascii_lowercase();
        return xxh3_64_with_seed(folded, seed);
    }
    if cell.len() <= CHUNK {
        return xxh3_64_with_seed(cell, seed);
    }
    cell.chunks(CHUNK)
        .fold(seed, |hash, chunk| xxh3_64_with_seed(chunk, hash))
}

/// The same for a cell with blanks that are no single spaces, or a long one.
#[cold]
fn hash_odd(cell: &[u8], seed: u64) -> u64 {
    let mut hash = seed;
    let mut folded = [0; CHUNK];
    let mut length = 0;
    let mut was_blank = false;
    for byte in cell {
        let is_blank = byte.is_ascii_whitespace();
        if is_blank && was_blank {
            continue;
        }
        was_blank = is_blank;
        if length == CHUNK {
            hash = xxh3_64_with_seed(&folded, hash);
            length = 0;
        }
        folded[length] = if is_blank {
            b' '
        } else {
            byte.to_ascii_lowercase()
        };
        length += 1;
    }
    xxh3_64_with_seed(&folded[..length], hash)
}

/// What of a cell folding would change.
struct Shape {
    has_capitals: bool,
    /// Perhaps some blank is no space, or follows another.
    has_odd_blanks: bool,
}

impl Shape {
    fn of(cell: &[u8]) -> Shape {
        let Some(last) = cell.last_chunk() else {
            // Fewer than eight bytes, filled up with what changes nothing.
            let mut word = [b'-'; 8];
            for (place, byte) in word.iter_mut().zip(cell) {
                *place = *byte;
            }
            return Word::of(word, 0).shape();
        };
        let mut found = Word::default();
        let (words, _) = cell.as_chunks();
        for word in words {
            found = found.and(Word::of(*word, found.blanks >> 56));
        }
        // It begins within the words, so its first byte was held against the one before.
        found.and(Word::of(*last, 0)).shape()
    }
}

/// Eight bytes at once. The highest bit of each byte is set where the byte is of the kind.
#[derive(Clone, Copy, Default)]
struct Word {
    capitals: u64,
    /// Spaces and control characters of the last word.
    blanks: u64,
    odd_blanks: u64,
}

impl Word {
    /// Looks at eight bytes; `before` is the highest bit of the byte before them if it was a blank.
    fn of(bytes: [u8; 8], before: u64) -> Word {
        const ONES: u64 = 0x0101_0101_0101_0101;
        const HIGHEST: u64 = 0x80 * ONES;
        let word = u64::from_le_bytes(bytes);
        let low = word & !HIGHEST;
        // Seven bits and the complement of a limit carry into the eighth from the limit on.
        let from = |limit: u8| low + u64::from(0x80 - limit) * ONES;
        let is_ascii = !word & HIGHEST;
        let blanks = !from(b' ' + 1) & is_ascii;
        let controls = !from(b' ') & is_ascii;
        Word {
            capitals: from(b'A') & !from(b'Z' + 1) & is_ascii,
            blanks,
            odd_blanks: controls | (blanks & (blanks << 8 | before)),
        }
    }

    /// Both, and the blanks of the other.
    fn and(self, other: Word) -> Word {
        Word {
            capitals: self.capitals | other.capitals,
            blanks: other.blanks,
            odd_blanks: self.odd_blanks | other.odd_blanks,
        }
    }

    fn shape(self) -> Shape {
        Shape {
            has_capitals: self.capitals != 0,
            has_odd_blanks: self.odd_blanks != 0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The same by the definition, a character at a time.
    fn folded(cell: &[u8]) -> Vec<u8> {
        let mut folded: Vec<u8> = Vec::new();
        for byte in cell {
            let is_blank = byte.is_ascii_whitespace();
            let after_blank = folded.last() == Some(&b' ');
            match is_blank {
                true if after_blank => {}
                true => folded.push(b' '),
                false => folded.push(byte.to_ascii_lowercase()),
            }
        }
        folded
    }

    #[test]
    fn capitals_and_blanks_change_nothing_and_all_else_does() {
        let same = |one: &str, other: &str| {
            hash_folded(one.as_bytes(), 7) == hash_folded(other.as_bytes(), 7)
        };
        assert!(same("food stuck", "FOOD \t stuck"));
        assert!(same("2026-03-01 10:00", "2026-03-01  10:00"));
        assert!(same("12345678 9", "12345678  9"));
        assert!(!same("food stuck", "foodstuck"));
        assert!(!same("2026-03-01 10:00", "2026-03-01 10:01"));
        assert!(!same("a[`{", "a{`["));
        assert!(!same("Ä", "ä"), "only letters of ASCII are folded");
        assert!(!same("", " "));
        let long = "Meat and ".repeat(60);
        assert!(same(&long, &long.to_lowercase().replace(' ', "   ")));
        assert!(same(&long.to_lowercase(), &long.to_uppercase()));
        assert!(!same(&long, &format!("{long}x")));
        assert_ne!(hash_folded(b"x", 1), hash_folded(b"x", 2));
    }

    proptest! {
        #[test]
        fn a_cell_has_the_hash_of_what_it_is_folded_to(
            cell in prop::collection::vec(
                prop_oneof![Just(b' '), Just(b'\t'), Just(b'Q'), b'a'..b'd', any::<u8>()],
                0..300,
            ),
        ) {
            let plain = folded(&cell);
            let shape = Shape::of(&plain);
            prop_assert!(!shape.has_capitals);
            prop_assert_eq!(hash_folded(&cell, 3), hash_folded(&plain, 3));
            let changes = plain != cell;
            let shape = Shape::of(&cell);
            prop_assert!(!changes || shape.has_capitals || shape.has_odd_blanks);
        }
    }
}
