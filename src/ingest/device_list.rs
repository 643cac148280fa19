//! Several devices in one cell: `snare x2, net then basket`. Splits such a text into its words,
//! how often each is named, and whether the text says what came first.
//!
//! Knows no device: whether a longer piece is one word (`rat/alligator`) is asked of the caller.
//! Loses no text: what is in no word is a separator, a number of times or the number of a list.

mod pieces;

use pieces::{Piece, pieces};
use std::fmt;
use std::ops::Range;

/// One device as named in a cell. Its word is text of the cell: no `Display`, and `Debug` hides it.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) struct Mention<'a> {
    /// The words of the cell.
    pub(super) word: &'a str,
    /// How often the cell says that it went down, 1 to 50.
    pub(super) times: u16,
    /// Whether the cell says that it came after the one before: `then`, `>`, or a numbered list.
    /// Never for the first.
    pub(super) sure_after_previous: bool,
}

impl fmt::Debug for Mention<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Mention(..)")
    }
}

/// Longest word that is put together from pieces, in pieces.
const MOST_PIECES: usize = 5;

/// The devices that a cell names, in the order of the text. `is_known` tells whether the mapping
/// has a word; such a word is not split, be it the whole cell or a part of it, the longest first.
pub(super) fn mentions(
    text: &str,
    is_known: impl Fn(&str) -> bool,
) -> impl Iterator<Item = Mention<'_>> {
    let whole = text.trim();
    let mut mentions = Vec::new();
    if !whole.is_empty() && is_known(whole) {
        mentions.push(Mention {
            word: whole,
            times: 1,
            sure_after_previous: false,
        });
    } else {
        join(text, &pieces(text), is_known, &mut mentions);
    }
    mentions.into_iter()
}

/// Turns pieces into mentions, taking several for one where the mapping knows them as one.
fn join<'a>(
    text: &'a str,
    pieces: &[Piece],
    is_known: impl Fn(&str) -> bool,
    mentions: &mut Vec<Mention<'a>>,
) {
    let mut first = 0;
    while let Some(piece) = pieces.get(first) {
        let most = MOST_PIECES.min(pieces.len() - first);
        let joined = (2..=most).rev().find_map(|count| {
            let span = &text[piece.range.start..pieces[first + count - 1].range.end];
            known_word(span, &is_known).map(|found| (found, count))
        });
        let ((word, times), count) = joined.unwrap_or_else(|| {
            let span = &text[piece.range.clone()];
            let found = known_word(span, &is_known);
            (found.unwrap_or_else(|| without_times(span)), 1)
        });
        mentions.push(Mention {
            word,
            times,
            sure_after_previous: !mentions.is_empty() && piece.is_after_previous,
        });
        first += count;
    }
}

/// The word as it stands, or without its number of times, whichever the mapping knows.
fn known_word(span: &str, is_known: impl Fn(&str) -> bool) -> Option<(&str, u16)> {
    if is_known(span) {
        return Some((span, 1));
    }
    let (word, times) = without_times(span);
    (word.len() < span.len() && is_known(word)).then_some((word, times))
}

/// The word of a piece and its number of times. `x3`, `3x`, `×3`, `*3`, `(3)` and `3 times` are
/// such numbers; one of none or of more than fifty is not, and stays in the word.
fn without_times(piece: &str) -> (&str, u16) {
    let found = times_at_end(piece).or_else(|| times_at_start(piece));
    match found {
        Some((word, times)) if !piece[word.clone()].trim().is_empty() => {
            (piece[word].trim(), times)
        }
        _ => (piece, 1),
    }
}

fn times_at_end(piece: &str) -> Option<(Range<usize>, u16)> {
    // `net (3)`
    if let Some(inside) = piece.strip_suffix(')')
        && let Some(open) = inside.rfind('(')
    {
        let number = inside[open + 1..].trim();
        let times = count(number).or_else(|| marked_count(number))?;
        return Some((0..open, times));
    }
    // `net×3`, `net *3`: these signs need no space before them.
    if let Some((place, sign)) = piece
        .char_indices()
        .rev()
        .find(|(_, sign)| "×*".contains(*sign))
        && let Some(times) = count(piece[place + sign.len_utf8()..].trim())
    {
        return Some((0..place, times));
    }
    // `net x3`, `net 3x`, `net x 3`, `net 3 times`
    let spaces = || {
        piece
            .char_indices()
            .rev()
            .filter(|(_, sign)| sign.is_whitespace())
    };
    spaces()
        .take(2)
        .find_map(|(place, _)| marked_count(piece[place..].trim()).map(|times| (0..place, times)))
}

fn times_at_start(piece: &str) -> Option<(Range<usize>, u16)> {
    // `3x net`, `3 x net`, `3× net`
    let spaces = piece
        .char_indices()
        .filter(|(_, sign)| sign.is_whitespace());
    spaces.take(2).find_map(|(place, _)| {
        marked_count(piece[..place].trim()).map(|times| (place..piece.len(), times))
    })
}

/// A number of times with its sign or word, on either side.
fn marked_count(text: &str) -> Option<u16> {
    const SIGNS: [char; 4] = ['x', 'X', '×', '*'];
    let number = text
        .strip_prefix(SIGNS)
        .or_else(|| text.strip_suffix(SIGNS))
        .or_else(|| text.strip_suffix("times"))?;
    count(number.trim())
}

fn count(digits: &str) -> Option<u16> {
    let is_number = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    let times = is_number.then(|| digits.parse().ok()).flatten()?;
    (1..=50).contains(&times).then_some(times)
}

#[cfg(test)]
mod tests;
