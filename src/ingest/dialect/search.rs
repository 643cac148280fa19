//! The separator and the header under which all headings of a mapping are found. Exact: no other
//! row of an export holds every heading that the mapping names.

use super::headings::{Header, Match, Target, look_up};
use super::records::{Ending, Line, lines};
use super::{
    DEFAULT_QUOTE, Dialect, Given, Grammar, SEARCHED_LINES, SEPARATORS, Sample, SeparatorOrigin,
    Wanted,
};
use crate::ingest::blocks::line_ends;
use crate::ingest::error::IngestError;

/// How many bytes are parsed before the search ends: a row with an open quote reaches to the end
/// of the sample, and each of a hundred lines may begin one.
const MOST_PARSED_BYTES: usize = 64 << 20;

/// Rows of a header that are tried when the mapping does not say how many there are.
const MOST_HEADER_ROWS: usize = 3;

/// The dialect under which all wanted headings stand in one header.
///
/// An error names the first heading that is missing under the separator and row that hold most of
/// them, or that stands there twice.
pub(in crate::ingest) fn find(
    sample: &Sample<'_>,
    given: &Given,
    wanted: &[Wanted<'_>],
) -> Result<Dialect, IngestError> {
    let sep_line = sample.sep_line();
    let targets: Vec<Target> = wanted.iter().map(Target::new).collect();
    let mut search = Search {
        sample,
        targets: &targets,
        quote: given.quote.unwrap_or(DEFAULT_QUOTE),
        start: sep_line.as_ref().map_or(0, |line| line.end),
        bytes_left: MOST_PARSED_BYTES,
    };
    let named = sep_line.map(|line| line.separator);
    let separators = match given.separator {
        Some(separator) => vec![separator],
        None => named.into_iter().chain(SEPARATORS).collect(),
    };
    let origin = |separator| match given.separator {
        Some(_) => SeparatorOrigin::Given,
        None if named == Some(separator) => SeparatorOrigin::SepLine,
        None => SeparatorOrigin::Found,
    };
    let header_rows = match given.header_rows {
        Some(rows) => rows.max(1)..=rows.max(1),
        None if targets.iter().any(Target::has_rows) => 1..=MOST_HEADER_ROWS,
        None => 1..=1,
    };
    let mut best: Option<Candidate> = None;
    for rows in header_rows.clone() {
        let Some(candidate) = search.best(&separators, rows) else {
            continue;
        };
        if candidate.is_complete() {
            return candidate.into_dialect(sample, origin);
        }
        if best
            .as_ref()
            .is_none_or(|best| candidate.found > best.found)
        {
            best = Some(candidate);
        }
    }
    let best = best.ok_or_else(|| sample.empty())?;
    // Another separator is told only where the mapping keeps it from being taken.
    let others: Vec<u8> = named
        .into_iter()
        .chain(SEPARATORS)
        .filter(|separator| given.separator.is_some_and(|given| given != *separator))
        .collect();
    let better = header_rows
        .filter_map(|rows| search.best(&others, rows))
        .filter(|other| other.found > best.found)
        .max_by_key(|other| other.found);
    Err(search.failure(wanted, best, better))
}

/// A row that may be the header, under one separator.
struct Candidate {
    grammar: Grammar,
    header: Header,
    matches: Vec<Match>,
    /// How many of the wanted headings stand in it, once or more often.
    found: usize,
    is_first_line: bool,
}

impl Candidate {
    fn is_complete(&self) -> bool {
        let is_found = |found: &Match| matches!(found, Match::Exact(_) | Match::Folded(_));
        self.matches.iter().all(is_found)
    }

    fn is_exact(&self) -> bool {
        self.matches
            .iter()
            .all(|found| matches!(found, Match::Exact(_)))
    }

    fn is_closed(&self) -> bool {
        self.header.ending != Ending::InsideQuote
    }

    /// What makes one candidate better than another.
    fn rank(&self) -> (bool, bool, usize, bool, usize) {
        (
            self.is_exact(),
            self.is_complete(),
            self.found,
            self.is_closed(),
            self.header.headings.len(),
        )
    }

    fn into_dialect(
        self,
        sample: &Sample<'_>,
        origin: impl Fn(u8) -> SeparatorOrigin,
    ) -> Result<Dialect, IngestError> {
        let places = self
            .matches
            .iter()
            .filter_map(|found| match found {
                Match::Exact(place) | Match::Folded(place) => Some(*place),
                Match::Twice | Match::Missing => None,
            })
            .collect();
        let origin = origin(self.grammar.separator);
        let dialect = sample.dialect(self.grammar, origin, self.header)?;
        Ok(Dialect { places, ..dialect })
    }
}

struct Search<'a> {
    sample: &'a Sample<'a>,
    targets: &'a [Target],
    quote: u8,
    /// Offset after the `sep=` line.
    start: usize,
    bytes_left: usize,
}

impl<'a> Search<'a> {
    /// The lines that may begin the header.
    fn lines(&self) -> impl Iterator<Item = Line> + use<'a> {
        let bytes = self.sample.bytes;
        lines(bytes, self.start, 1 + line_ends(&bytes[..self.start]))
            .filter(|line| !line.is_blank)
            .take(SEARCHED_LINES)
    }

    /// The first row that holds all headings exactly; else the first that holds them; else the
    /// one that holds most. `None` when there is nothing but blank lines.
    fn best(&mut self, separators: &[u8], rows: usize) -> Option<Candidate> {
        let mut best: Option<Candidate> = None;
        for (index, line) in self.lines().enumerate() {
            for separator in separators {
                if self.bytes_left == 0 {
                    return best;
                }
                let candidate =
                    self.candidate(line.start, line.number, *separator, rows, index == 0);
                if let Some(candidate) = candidate
                    && best
                        .as_ref()
                        .is_none_or(|best| candidate.rank() > best.rank())
                {
                    best = Some(candidate);
                }
            }
            if best.as_ref().is_some_and(Candidate::is_exact) {
                break;
            }
        }
        best
    }

    fn candidate(
        &mut self,
        start: usize,
        line_number: u64,
        separator: u8,
        rows: usize,
        is_first_line: bool,
    ) -> Option<Candidate> {
        let grammar = Grammar {
            separator,
            quote: self.quote,
        };
        let header = Header::read(self.sample.bytes, start, line_number, grammar, rows)?;
        self.bytes_left = self.bytes_left.saturating_sub(header.end - start);
        // A row of nothing but separators is a blank line that some programs write.
        let is_blank = header.headings.iter().all(|text| text.text().is_empty());
        if is_blank && header.not_text.is_none() {
            return None;
        }
        let matches = look_up(&header.headings, self.targets);
        let found = matches
            .iter()
            .filter(|found| **found != Match::Missing)
            .count();
        Some(Candidate {
            grammar,
            header,
            matches,
            found,
            is_first_line,
        })
    }

    /// Why no header holds all headings. `better` holds more of them under a separator that the
    /// mapping does not give.
    fn failure(
        &mut self,
        wanted: &[Wanted<'_>],
        best: Candidate,
        better: Option<Candidate>,
    ) -> IngestError {
        let mut shown = best;
        if shown.found == 0 {
            // Nothing says which row is the header: take the line that another separator shows to
            // be it, or the first one if all that follows may stand inside its quote.
            let line = match &better {
                Some(better) => Some((better.header.start, better.header.line_number)),
                None => self.lines().next().map(|line| (line.start, line.number)),
            };
            let (separator, rows) = (shown.grammar.separator, shown.header.rows);
            let again = line
                .and_then(|(start, number)| self.candidate(start, number, separator, rows, true));
            if let Some(again) = again
                && (better.is_some() || !again.is_closed())
            {
                shown = again;
            }
        }
        let is_header = shown.found > 0 || shown.is_first_line;
        if is_header && let Err(error) = self.sample.refuse_broken(&shown.header) {
            return error;
        }
        let path = self.sample.path.to_path_buf();
        let wrong = shown
            .matches
            .iter()
            .zip(wanted)
            .find(|(found, _)| matches!(found, Match::Twice | Match::Missing));
        match wrong {
            Some((Match::Twice, wanted)) => IngestError::RepeatedColumn {
                path,
                field: wanted.field,
                heading: wanted.heading.to_string(),
            },
            Some((_, wanted)) => IngestError::MissingColumn {
                path,
                field: wanted.field,
                heading: wanted.heading.to_string(),
                columns_found: shown.header.headings.len(),
                likely_separator: better.map(|better| char::from(better.grammar.separator)),
            },
            // Only a header that holds all headings has neither, and none was found.
            None => self.sample.empty(),
        }
    }
}
