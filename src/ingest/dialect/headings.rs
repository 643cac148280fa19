//! The rows of a header → one heading for each column, and which of them a mapping means.

use super::records::{Ending, Records};
use super::{Grammar, MOST_COLUMNS, Wanted};
use std::fmt;

/// Stands between the rows of a heading.
pub(super) const BETWEEN_ROWS: &str = " / ";

/// Marks of width zero that stand at the edges of headings.
const MARKS: [char; 2] = ['\u{feff}', '\u{200b}'];

/// One heading of a file, as it is compared: trimmed, non-breaking spaces as spaces.
///
/// No `Display`: a file without a header has a case in its first row.
#[derive(Clone, PartialEq, Eq)]
pub(in crate::ingest) struct Heading(String);

impl fmt::Debug for Heading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Heading(..)")
    }
}

impl Heading {
    /// For the proposal of a mapping and for comparison; never for a message.
    pub(in crate::ingest) fn text(&self) -> &str {
        &self.0
    }

    /// Whether a cell says the same but for case, repeated spaces and a byte-order mark, as where
    /// the header stands once more in the middle of a file.
    pub(in crate::ingest) fn is_said_by(&self, cell: &str) -> bool {
        says_the_same(&self.0, cell)
    }

    /// Whether a cell says what stands in one of the rows of this heading, or all of it.
    pub(in crate::ingest) fn has_row_said_by(&self, cell: &str) -> bool {
        let mut rows = self.0.split(BETWEEN_ROWS);
        rows.any(|row| says_the_same(row, cell)) || self.is_said_by(cell)
    }
}

fn says_the_same(heading: &str, cell: &str) -> bool {
    // The quote after a byte-order mark is not at the start of its cell, so it stays there.
    let cell = cell.trim_matches(|sign| MARKS.contains(&sign) || sign == '"');
    let heading = heading.trim_matches('"');
    let mut words = (heading.split_whitespace(), cell.split_whitespace());
    loop {
        match (words.0.next(), words.1.next()) {
            (None, None) => return true,
            (Some(one), Some(other)) => {
                let other = other.chars().flat_map(char::to_lowercase);
                if !one.chars().flat_map(char::to_lowercase).eq(other) {
                    return false;
                }
            }
            _ => return false,
        }
    }
}

/// The rows of a header, joined.
#[derive(Debug)]
pub(super) struct Header {
    /// Offset of its first byte.
    pub(super) start: usize,
    /// Offset of the first byte after it.
    pub(super) end: usize,
    /// Line on which it starts, from 1.
    pub(super) line_number: u64,
    /// How many rows it has.
    pub(super) rows: usize,
    pub(super) headings: Vec<Heading>,
    /// Index of the first column whose heading is not UTF-8; its heading here is blank.
    pub(super) not_text: Option<usize>,
    /// Whether a column has no text of its own in any row, or a row above the lowest has one text
    /// only, as a title has.
    pub(super) has_gaps: bool,
    pub(super) ending: Ending,
}

impl Header {
    /// The header that starts at `start`; `None` when nothing but blank lines
    /// follows. Where the sample has fewer rows, so has the header.
    pub(super) fn read(
        bytes: &[u8],
        start: usize,
        line_number: u64,
        grammar: Grammar,
        rows: usize,
    ) -> Option<Header> {
        let mut records = Records::new(bytes, start, grammar);
        let mut not_text = None;
        let mut texts: Vec<Vec<String>> = Vec::new();
        let mut last = records.next()?;
        loop {
            let mut row = Vec::new();
            // One more shows that there are too many.
            for (index, cell) in records.cells().take(MOST_COLUMNS + 1).enumerate() {
                if let Ok(text) = std::str::from_utf8(cell) {
                    row.push(normal(text));
                } else {
                    not_text = Some(not_text.map_or(index, |first: usize| first.min(index)));
                    row.push(String::new());
                }
            }
            texts.push(row);
            if texts.len() == rows || !matches!(last.ending, Ending::Line(_)) {
                break;
            }
            match records.next() {
                Some(place) => last = place,
                None => break,
            }
        }
        Some(Header {
            start,
            end: last.end,
            line_number,
            rows: texts.len(),
            has_gaps: has_gaps(&texts),
            headings: join(texts),
            not_text,
            ending: last.ending,
        })
    }
}

fn has_gaps(rows: &[Vec<String>]) -> bool {
    let filled = |row: &Vec<String>| row.iter().filter(|text| !text.is_empty()).count();
    let width = rows.iter().map(Vec::len).max().unwrap_or(0);
    let is_gap = |column: usize| {
        rows.iter()
            .all(|row| row.get(column).is_none_or(String::is_empty))
    };
    (0..width).any(is_gap)
        || rows
            .split_last()
            .is_some_and(|(_, upper)| upper.iter().any(|row| filled(row) == 1))
}

/// One heading a column: the texts of its rows, from the upper to the lower.
///
/// A blank upper cell belongs to a merged one and takes the text to its left, as far as the group
/// of the row above reaches. A blank cell of the lowest row adds nothing.
pub(super) fn join(mut rows: Vec<Vec<String>>) -> Vec<Heading> {
    let Some(lowest) = rows.pop() else {
        return Vec::new();
    };
    if rows.is_empty() {
        return lowest.into_iter().map(Heading).collect();
    }
    let width = rows.iter().map(Vec::len).fold(lowest.len(), usize::max);
    let own = |row: &[String], column: usize| -> Option<String> {
        row.get(column).filter(|text| !text.is_empty()).cloned()
    };
    let mut merged: Vec<Option<String>> = vec![None; rows.len()];
    let mut headings = Vec::with_capacity(width);
    for column in 0..width {
        let mut begins_group = false;
        for (row, merged) in rows.iter().zip(&mut merged) {
            let text = own(row, column);
            if text.is_some() || begins_group {
                *merged = text;
                begins_group = true;
            }
        }
        let parts: Vec<String> = merged
            .iter()
            .cloned()
            .chain([own(&lowest, column)])
            .flatten()
            .collect();
        headings.push(Heading(parts.join(BETWEEN_ROWS)));
    }
    headings
}

/// A heading as it is compared: without white space and marks of width zero around it, and with
/// spaces for non-breaking ones.
pub(in crate::ingest) fn normal(heading: &str) -> String {
    heading
        .trim_matches(|character: char| character.is_whitespace() || MARKS.contains(&character))
        .chars()
        .map(|character| match character {
            '\u{a0}' | '\u{2007}' | '\u{202f}' => ' ',
            other => other,
        })
        .collect()
}

/// A heading without regard to case and repeated white space.
pub(in crate::ingest) fn folded(heading: &str) -> String {
    let words: Vec<String> = heading.split_whitespace().map(str::to_lowercase).collect();
    words.join(" ")
}

/// What a mapping wants, made ready for comparison.
pub(super) struct Target {
    exact: String,
    folded: String,
}

impl Target {
    pub(super) fn new(wanted: &Wanted<'_>) -> Target {
        let exact = normal(wanted.heading);
        Target {
            folded: folded(&exact),
            exact,
        }
    }

    /// Whether it can only be the heading of several rows.
    pub(super) fn has_rows(&self) -> bool {
        self.exact.contains(BETWEEN_ROWS)
    }
}

/// Which column a wanted heading is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Match {
    /// The one with this heading.
    Exact(usize),
    /// The only one with this heading but for case and spaces.
    Folded(usize),
    /// More than one.
    Twice,
    /// None.
    Missing,
}

/// Looks each target up among the headings.
pub(super) fn look_up(headings: &[Heading], targets: &[Target]) -> Vec<Match> {
    let folded: Vec<String> = headings.iter().map(|heading| folded(&heading.0)).collect();
    targets
        .iter()
        .map(|target| {
            if target.folded.is_empty() {
                return Match::Missing;
            }
            let exact = places(headings.iter().map(|heading| &heading.0), &target.exact);
            match exact {
                (Some(place), false) => Match::Exact(place),
                (Some(_), true) => Match::Twice,
                (None, _) => match places(folded.iter(), &target.folded) {
                    (Some(place), false) => Match::Folded(place),
                    (Some(_), true) => Match::Twice,
                    (None, _) => Match::Missing,
                },
            }
        })
        .collect()
}

/// The first place of a text, and whether it has another.
fn places<'a>(texts: impl Iterator<Item = &'a String>, wanted: &str) -> (Option<usize>, bool) {
    let mut places = texts
        .enumerate()
        .filter(|(_, text)| *text == wanted)
        .map(|(index, _)| index);
    let first = places.next();
    (first, places.next().is_some())
}
