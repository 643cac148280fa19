//! The dialect of a file of which no heading is known, for the proposal of a mapping: the
//! separator by the lengths of the rows, the header by what only headings look like. A guess says
//! how sure it is.

use super::headings::{Header, folded};
use super::records::{Ending, Place, Records};
use super::{
    DEFAULT_QUOTE, Dialect, Given, Grammar, SEARCHED_LINES, SEPARATORS, Sample, SeparatorOrigin,
};
use crate::ingest::blocks::line_ends;
use crate::ingest::error::IngestError;
use std::collections::{BTreeMap, BTreeSet};

/// How sure a guess is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::ingest) enum Certainty {
    /// Somebody must look.
    Unsure,
    /// Most rows agree, or the header has a flaw.
    Likely,
    /// Nearly all rows agree under this separator and no other, and the header has no flaw.
    Sure,
}

/// A dialect and what speaks for it.
#[derive(Debug)]
pub(in crate::ingest) struct Guess {
    pub(in crate::ingest) dialect: Dialect,
    pub(in crate::ingest) certainty: Certainty,
    /// Rows of the sample, with the header and what stands around the table.
    pub(in crate::ingest) rows_seen: u64,
    /// Of these, rows with as many cells as the header.
    pub(in crate::ingest) rows_alike: u64,
}

/// Of the rows, how many must agree in length to be sure, and to be likely.
const SURE_SHARE: f64 = 0.98;
const LIKELY_SHARE: f64 = 0.8;
/// How far ahead of the next separator the best must be to be sure.
const SURE_LEAD: f64 = 1.25;

/// The most consistent separator and the first row that looks like a header.
pub(in crate::ingest) fn guess(sample: &Sample<'_>, given: &Given) -> Result<Guess, IngestError> {
    let sep_line = sample.sep_line();
    let start = sep_line.as_ref().map_or(0, |line| line.end);
    let quote = given.quote.unwrap_or(DEFAULT_QUOTE);
    let survey = |separator| Survey::of(sample, start, Grammar { separator, quote });
    let (best, origin, next_score) = match (given.separator, sep_line) {
        (Some(separator), _) => (survey(separator), SeparatorOrigin::Given, 0.0),
        (None, Some(line)) => (survey(line.separator), SeparatorOrigin::SepLine, 0.0),
        (None, None) => {
            let mut surveys: Vec<Survey> = SEPARATORS.into_iter().map(survey).collect();
            // Stable: of two that explain the rows alike, the likelier separator stays in front.
            surveys.sort_by(|one, other| other.score().total_cmp(&one.score()));
            let next_score = surveys.get(1).map_or(0.0, Survey::score);
            (surveys.remove(0), SeparatorOrigin::Found, next_score)
        }
    };
    if best.rows_seen == 0 && best.unfinished.is_none() {
        return Err(sample.empty());
    }
    let rows = given.header_rows.unwrap_or(1).max(1);
    let (header, is_flawless) = best.header(sample, rows)?;
    let share = best.share();
    let certainty = if is_flawless
        && best.length > 1
        && share >= SURE_SHARE
        && best.score() >= next_score * SURE_LEAD
    {
        Certainty::Sure
    } else if best.length > 1 && share >= LIKELY_SHARE {
        Certainty::Likely
    } else {
        Certainty::Unsure
    };
    Ok(Guess {
        dialect: sample.dialect(best.grammar, origin, header)?,
        certainty,
        rows_seen: best.rows_seen,
        rows_alike: best.rows_alike,
    })
}

/// The rows of a sample under one separator.
struct Survey {
    grammar: Grammar,
    /// The most frequent number of cells of a row.
    length: usize,
    rows_alike: u64,
    rows_seen: u64,
    /// The first rows and how many cells they have, where a header may stand.
    first_rows: Vec<(Place, usize)>,
    /// The first row that the end of the sample cuts, or an open quote.
    unfinished: Option<Place>,
}

impl Survey {
    fn of(sample: &Sample<'_>, start: usize, grammar: Grammar) -> Survey {
        let mut records = Records::new(sample.bytes, start, grammar);
        let mut lengths: BTreeMap<usize, u64> = BTreeMap::new();
        let mut first_rows = Vec::new();
        let mut unfinished = None;
        while let Some(place) = records.next() {
            let is_cut = match place.ending {
                Ending::Line(_) => false,
                Ending::Sample => !sample.is_whole,
                Ending::InsideQuote => true,
            };
            if is_cut {
                unfinished = unfinished.or(Some(place));
                continue;
            }
            if records.cells().all(|cell| cell.trim_ascii().is_empty()) {
                continue;
            }
            *lengths.entry(records.cell_count()).or_default() += 1;
            if first_rows.len() < SEARCHED_LINES {
                first_rows.push((place, records.cell_count()));
            }
        }
        // Of lengths that are equally frequent, the longest: titles and remarks are short.
        let (length, rows_alike) = lengths
            .iter()
            .map(|(length, count)| (*length, *count))
            .max_by_key(|(length, count)| (*count, *length))
            .unwrap_or((0, 0));
        Survey {
            grammar,
            length,
            rows_alike,
            rows_seen: lengths.values().sum(),
            first_rows,
            unfinished,
        }
    }

    /// Of the rows, the share that has the most frequent length.
    fn share(&self) -> f64 {
        self.rows_alike as f64 / self.rows_seen.max(1) as f64
    }

    /// Rises with the share and with the length: in a file with decimal commas, commas too cut
    /// every row alike, and into fewer cells. One cell explains nothing.
    fn score(&self) -> f64 {
        self.share() * self.length.saturating_sub(1) as f64 / self.length.max(1) as f64
    }

    /// The first header without a flaw, or the first that may pass; and whether it has none.
    fn header(&self, sample: &Sample<'_>, rows: usize) -> Result<(Header, bool), IngestError> {
        let mut passable = None;
        for (index, (place, _)) in self.first_rows.iter().enumerate() {
            // Only the lowest row of a header is as long as the rows below it.
            let lowest = index.saturating_add(rows - 1);
            let Some((_, length)) = self.first_rows.get(lowest) else {
                break;
            };
            // A separator at the end of each row makes the rows one longer than the header.
            if *length != self.length && length + 1 != self.length {
                continue;
            }
            let line_number = 1 + line_ends(&sample.bytes[..place.start]);
            let Some(header) =
                Header::read(sample.bytes, place.start, line_number, self.grammar, rows)
            else {
                break;
            };
            match flaws(&header) {
                Flaws::None if *length == self.length => return Ok((header, true)),
                Flaws::None | Flaws::Blanks if passable.is_none() => passable = Some(header),
                Flaws::None | Flaws::Blanks | Flaws::NoHeader => {}
            }
        }
        if let Some(header) = passable {
            return Ok((header, false));
        }
        // Where the only row does not end, that is what is wrong.
        if let Some(place) = self.unfinished
            && self.first_rows.is_empty()
        {
            let line_number = 1 + line_ends(&sample.bytes[..place.start]);
            Header::read(sample.bytes, place.start, line_number, self.grammar, 1)
                .map_or(Ok(()), |header| sample.refuse_broken(&header))?;
        }
        Err(no_header(sample))
    }
}

fn no_header(sample: &Sample<'_>) -> IngestError {
    IngestError::NoHeader {
        path: sample.path.to_path_buf(),
    }
}

/// What speaks against a row being the header.
enum Flaws {
    None,
    /// Some headings are blank or stand twice, and it may pass.
    Blanks,
    /// A heading is a value, or most are blank.
    NoHeader,
}

fn flaws(header: &Header) -> Flaws {
    let texts: Vec<&str> = header.headings.iter().map(super::Heading::text).collect();
    if texts.iter().any(|text| is_value(text)) {
        return Flaws::NoHeader;
    }
    let distinct: BTreeSet<String> = texts
        .iter()
        .filter(|text| !text.is_empty())
        .map(|text| folded(text))
        .collect();
    if distinct.len() == texts.len() && !header.has_gaps && header.not_text.is_none() {
        Flaws::None
    } else if 2 * distinct.len() > texts.len() {
        Flaws::Blanks
    } else {
        Flaws::NoHeader
    }
}

const MONTHS: [&str; 12] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
];

/// Whether a text is a bare number, date or time, which no heading is: made of numbers, with names
/// of months and signs between them.
fn is_value(text: &str) -> bool {
    let mut has_digit = false;
    let mut words = text.split(|character: char| !character.is_alphanumeric());
    words.all(|word| {
        let is_number = word.chars().all(|character| character.is_ascii_digit());
        has_digit |= is_number && !word.is_empty();
        is_number || is_part_of_time(word)
    }) && has_digit
}

/// Letters that stand in times: `T`, `Z`, `AM`, `PM`, months, and `T` or `Z` beside digits.
fn is_part_of_time(word: &str) -> bool {
    let letters = word.trim_matches(|character: char| character.is_ascii_digit());
    let lower = letters.to_ascii_lowercase();
    matches!(lower.as_str(), "t" | "z" | "am" | "pm")
        || MONTHS
            .iter()
            .any(|month| lower.starts_with(month) && (lower.len() == 3 || is_month_name(&lower)))
}

fn is_month_name(word: &str) -> bool {
    matches!(
        word,
        "january"
            | "february"
            | "march"
            | "april"
            | "june"
            | "july"
            | "august"
            | "sept"
            | "september"
            | "october"
            | "november"
            | "december"
    )
}
