//! Where a text with several words is cut, and which cuts say what came first.

use std::ops::Range;

/// A stretch of text between two cuts, without spaces around it; never empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Piece {
    pub(super) range: Range<usize>,
    /// Whether the cut before it says that it came later.
    pub(super) is_after_previous: bool,
}

/// Signs that cut, longest first, and whether they say what came first.
const SIGNS: &[(&str, bool)] = &[
    ("->", true),
    ("=>", true),
    ("→", true),
    ("⇒", true),
    (">", true),
    (",", false),
    (";", false),
    ("/", false),
    ("+", false),
    ("&", false),
    ("|", false),
    ("•", false),
    ("\n", false),
    ("\r", false),
];

/// Words that cut where they stand alone.
const WORDS: &[(&[&str], bool)] = &[
    (&["followed", "by"], true),
    (&["then"], true),
    (&["and"], false),
];

/// Cuts a text at signs, words, and the numbers of a list that begins with 1.
pub(super) fn pieces(text: &str) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut list = NumberedList::opening(text);
    let mut start = 0;
    let mut place = 0;
    let mut is_after_previous = false;
    // Whether a word may start here: after a space, a sign, or at the start of the text.
    let mut is_word_start = true;
    while place < text.len() {
        let rest = &text[place..];
        let cut = list
            .number(rest, is_word_start)
            .or_else(|| sign(rest))
            .or_else(|| is_word_start.then(|| word(rest)).flatten());
        if let Some((length, says_order)) = cut {
            if push(text, start..place, is_after_previous, &mut pieces) {
                is_after_previous = false;
            }
            is_after_previous |= says_order;
            place += length;
            start = place;
            is_word_start = true;
        } else {
            let next = rest.chars().next();
            place += next.map_or(1, char::len_utf8);
            is_word_start = next.is_none_or(|next| next.is_whitespace() || "()".contains(next));
        }
    }
    push(text, start..text.len(), is_after_previous, &mut pieces);
    pieces
}

/// Adds a piece unless it is blank, and tells whether it did.
fn push(text: &str, range: Range<usize>, is_after_previous: bool, pieces: &mut Vec<Piece>) -> bool {
    let stretch = &text[range.clone()];
    // A cut inside brackets leaves half of a pair at the edge of a piece.
    let edge = |sign: char| {
        sign.is_whitespace()
            || (sign == '(' && !stretch.contains(')'))
            || (sign == ')' && !stretch.contains('('))
    };
    let piece = stretch.trim_end_matches(edge);
    let length = piece.trim_start_matches(edge).len();
    if length == 0 {
        return false;
    }
    let end = range.start + piece.len();
    pieces.push(Piece {
        range: end - length..end,
        is_after_previous,
    });
    true
}

fn sign(rest: &str) -> Option<(usize, bool)> {
    SIGNS
        .iter()
        .find(|(sign, _)| rest.starts_with(sign))
        .map(|(sign, says_order)| (sign.len(), *says_order))
}

/// A cutting word at the start of `rest`: its length with the spaces inside it.
fn word(rest: &str) -> Option<(usize, bool)> {
    WORDS.iter().find_map(|(parts, says_order)| {
        let mut after = rest;
        for (index, part) in parts.iter().enumerate() {
            if index > 0 {
                let trimmed = after.trim_start();
                if trimmed.len() == after.len() {
                    return None;
                }
                after = trimmed;
            }
            let start = after.get(..part.len())?;
            if !start.eq_ignore_ascii_case(part) {
                return None;
            }
            after = &after[part.len()..];
        }
        let ends = after
            .chars()
            .next()
            .is_none_or(|next| next.is_whitespace() || sign(after).is_some());
        ends.then_some((rest.len() - after.len(), *says_order))
    })
}

/// A list that numbers its items: `1. snare 2. net`. Only one that begins with 1 is a list, and
/// only the number that comes next numbers an item: `1. snare 2. 3-prong`.
struct NumberedList {
    /// What stands before and after a number; `None` when the text is no list.
    signs: Option<(&'static str, &'static str)>,
    next: u32,
}

impl NumberedList {
    fn opening(text: &str) -> NumberedList {
        const SIGNS: [(&str, &str); 5] = [("(", ")"), ("", "."), ("", ")"), ("#", ""), ("", ":")];
        let text = text.trim_start();
        let signs = SIGNS
            .into_iter()
            .find(|signs| item(text, *signs, 1).is_some());
        NumberedList { signs, next: 1 }
    }

    /// The length of the number that comes next, when `rest` starts with it. Every item but the
    /// first comes after the one before.
    fn number(&mut self, rest: &str, is_word_start: bool) -> Option<(usize, bool)> {
        let signs = self.signs.filter(|_| is_word_start)?;
        let length = item(rest, signs, self.next)?;
        self.next += 1;
        Some((length, self.next > 2))
    }
}

/// The length of `number` with its signs at the start of `text`, when a space or a letter follows.
fn item(text: &str, (before, after): (&str, &str), number: u32) -> Option<usize> {
    let rest = text.strip_prefix(before)?;
    let digits = rest.len()
        - rest
            .trim_start_matches(|sign: char| sign.is_ascii_digit())
            .len();
    let is_number = !rest.starts_with('0') && rest[..digits].parse() == Ok(number);
    let rest = rest[digits..].strip_prefix(after).filter(|_| is_number)?;
    let next = rest.chars().next()?;
    // Without a sign after it, the number must stand alone: `#1 snare`.
    let is_item = next.is_whitespace() || (!after.is_empty() && next.is_alphabetic());
    is_item.then_some(text.len() - rest.len())
}
