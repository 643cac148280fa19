//! One column of an export, watched for identifiers cell by cell. Counts patterns; keeps hashes and
//! years, never the text of a cell. Knows no heading, no mapping and no file.

mod whole_column;

use super::check_digits::{is_nhs_number, is_social_security_number};
use super::contact::value;
use super::dates::year_of_date;
use super::distinct::Distinct;
use super::kind::IdentifierKind;
use super::numbers::numbers_in;
use super::pattern::{FREE_TEXT_DIFFERENT_PERCENT, Hits, PATTERNS, Pattern};
use super::persons::names_place;
use super::scan::{
    marked_number, may_be_date, may_be_midnight, may_be_moment, may_identify, patterns_of,
    year_beside_initials,
};
use super::shape::Shape;
use super::values::Values;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::fmt;
use xxhash_rust::xxh3::xxh3_64;

/// No identifier that is looked for is shorter.
const SHORTEST: usize = 5;

/// Cells whose patterns are remembered, since most columns of words repeat a few. A power of two.
const REMEMBERED: usize = 64;

/// The bits of a hash that say where its cell is remembered.
const REMEMBERED_BITS: u64 = REMEMBERED as u64 - 1;

/// Hashes kept to see whether numbers repeat: an error of about 3 percent.
const NUMBERS_KEPT: usize = 1024;

/// Hashes kept for each kind of words: an error of about 13 percent.
const WORDS_KEPT: usize = 64;

/// Which cells of a column a watch gets to see, and so what it looks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Looking {
    /// None: a person has dropped or cleared the column.
    Nothing,
    /// Those that the parser of a mapped time, number or code refused.
    RefusedCells,
    /// Those that the parser of an age refused, which may be dates of birth.
    RefusedAges,
    /// All.
    EveryCell,
    /// All, in the column of the case number, where record numbers cannot be told from it.
    CaseNumbers,
    /// All, in the column of the sites, which stand in reports.
    Sites,
}

/// What the cells of a column say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::ingest) struct ValueFinding {
    /// What they seem to be.
    pub(in crate::ingest) kind: IdentifierKind,
    /// How many cells look so.
    pub(in crate::ingest) cells: u64,
    /// How many filled cells were looked at.
    pub(in crate::ingest) of: u64,
}

/// What was seen of one column, by one thread. Watches of the same column are added up with
/// `merge`, in any order.
#[derive(Clone)]
pub(in crate::ingest) struct ColumnWatch {
    looking: Looking,
    filled: u64,
    /// Whether some cell is more than one letter or a yes or no.
    says_more: bool,
    hits: [u64; PATTERNS],
    /// Patterns that some cell showed within a sentence.
    in_text: Hits,
    comma_names: Distinct,
    plain_names: Distinct,
    free_texts: Distinct,
    /// Whole numbers of 6 to 12 digits that are no dates.
    whole_numbers: u64,
    /// Those of them that can be a time of day or seconds since 1970.
    moments: u64,
    different_numbers: Distinct,
    /// Case numbers of nine digits that can be social security numbers, and their first three.
    security_numbers: u64,
    security_areas: BTreeSet<u32>,
    /// How many cells are a date of each year.
    years: BTreeMap<u16, u64>,
    /// The letters that stand beside such a date. Those of persons differ, a prefix does not.
    initials: Distinct,
    /// The different cells, where the heading makes them count.
    values: Option<Values>,
    remembered: Option<Box<[(u64, Hits); REMEMBERED]>>,
}

impl fmt::Debug for ColumnWatch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("ColumnWatch(..)")
    }
}

impl ColumnWatch {
    pub(super) fn new(looking: Looking) -> ColumnWatch {
        ColumnWatch {
            looking,
            filled: 0,
            says_more: false,
            hits: [0; PATTERNS],
            in_text: Hits::default(),
            comma_names: Distinct::new(WORDS_KEPT),
            plain_names: Distinct::new(WORDS_KEPT),
            free_texts: Distinct::new(WORDS_KEPT),
            whole_numbers: 0,
            moments: 0,
            different_numbers: Distinct::new(NUMBERS_KEPT),
            security_numbers: 0,
            security_areas: BTreeSet::new(),
            years: BTreeMap::new(),
            initials: Distinct::new(WORDS_KEPT),
            values: None,
            remembered: None,
        }
    }

    /// The same watch, which also keeps count of different cells.
    pub(super) fn counting_values(mut self) -> ColumnWatch {
        self.values = Some(Values::default());
        self
    }

    /// HOT: looks at one cell, as bytes without the quotes of CSV. Which cells to pass is said by
    /// `Guard::cells_to_pass`. Never allocates but for the first cells of a kind.
    #[inline]
    pub(in crate::ingest) fn observe(&mut self, cell: &[u8]) {
        let cell = cell.trim_ascii();
        if cell.is_empty() || self.looking == Looking::Nothing {
            return;
        }
        self.filled += 1;
        if !self.says_more {
            self.says_more = !is_answer(cell);
        }
        if let Some(values) = &mut self.values {
            values.note(cell);
        }
        if cell.len() < SHORTEST {
            return;
        }
        let shape = Shape::of(cell);
        if shape.is_whole_number() {
            self.observe_whole_number(cell);
        } else if shape.is_clock_like() {
            if may_be_midnight(cell) {
                self.observe_date(cell);
            }
        } else if !(may_be_date(&shape) && self.observe_date(cell)) {
            if let Some(digits) = marked_number(cell, &shape) {
                self.note_number(digits, xxh3_64(cell));
            }
            if let Some((initials, year)) = year_beside_initials(cell, &shape) {
                self.initials.note(xxh3_64(initials));
                *self.years.entry(year).or_default() += 1;
            }
            if may_identify(&shape) {
                self.look_closer(cell, &shape);
            }
        }
    }

    /// Notes the year of a cell that is a date; `false` when it is none.
    fn observe_date(&mut self, cell: &[u8]) -> bool {
        let year = year_of_date(cell);
        if let Some(year) = year {
            *self.years.entry(year).or_default() += 1;
        }
        year.is_some()
    }

    fn observe_whole_number(&mut self, cell: &[u8]) {
        match cell.len() {
            8 if self.observe_date(cell) => {}
            6..=12 => {
                self.note_number(cell, xxh3_64(cell));
                match cell.len() {
                    9 if self.looking == Looking::CaseNumbers => self.note_security_number(cell),
                    10 if is_nhs_number(cell) => self.hits[Pattern::PlainNhs as usize] += 1,
                    11 => self.count(numbers_in(cell), 0),
                    _ => {}
                }
            }
            _ => {}
        }
    }

    fn note_number(&mut self, digits: &[u8], hash: u64) {
        self.whole_numbers += 1;
        self.moments += u64::from(may_be_moment(digits));
        self.different_numbers.note(hash);
    }

    fn note_security_number(&mut self, digits: &[u8]) {
        let (area, rest) = digits.split_at(3);
        if is_social_security_number(area, &rest[..2], &rest[2..]) {
            self.security_numbers += 1;
            self.security_areas.insert(value(area));
        }
    }

    /// What the shape of a cell does not rule out.
    #[inline(never)]
    fn look_closer(&mut self, cell: &[u8], shape: &Shape) {
        let hash = xxh3_64(cell);
        let remembered = self
            .remembered
            .get_or_insert_with(|| Box::new([(0, Hits::default()); REMEMBERED]));
        let place = &mut remembered[usize::try_from(hash & REMEMBERED_BITS).unwrap_or(0)];
        if place.0 != hash {
            let mut hits = patterns_of(cell, shape);
            let is_site = self.looking == Looking::Sites;
            if is_site && std::str::from_utf8(cell).is_ok_and(names_place) {
                hits.remove(Pattern::CommaName);
                hits.remove(Pattern::PlainName);
            }
            *place = (hash, hits);
        }
        let hits = place.1;
        if !hits.is_empty() {
            self.count(hits, hash);
        }
    }

    fn count(&mut self, hits: Hits, hash: u64) {
        if hits.is_in_text() {
            self.in_text.add_all(hits);
        }
        for pattern in hits.iter() {
            self.hits[pattern as usize] += 1;
            match pattern {
                Pattern::CommaName => self.comma_names.note(hash),
                Pattern::PlainName => self.plain_names.note(hash),
                Pattern::FreeText => self.free_texts.note(hash),
                _ => {}
            }
        }
    }

    /// Adds what another watch saw of the same column.
    pub(in crate::ingest) fn merge(&mut self, other: &ColumnWatch) {
        self.filled += other.filled;
        self.says_more |= other.says_more;
        for (sum, count) in self.hits.iter_mut().zip(other.hits) {
            *sum += count;
        }
        self.in_text.add_all(other.in_text);
        self.comma_names.merge(&other.comma_names);
        self.plain_names.merge(&other.plain_names);
        self.free_texts.merge(&other.free_texts);
        self.whole_numbers += other.whole_numbers;
        self.moments += other.moments;
        self.different_numbers.merge(&other.different_numbers);
        self.security_numbers += other.security_numbers;
        self.security_areas.extend(&other.security_areas);
        self.initials.merge(&other.initials);
        if let (Some(values), Some(others)) = (&mut self.values, &other.values) {
            values.merge(others);
        }
        for (year, count) in &other.years {
            *self.years.entry(*year).or_default() += count;
        }
    }

    /// What the column seems to hold; `None` when nothing in it looks like an identifier. Of
    /// several kinds, that of the most cells.
    pub(in crate::ingest) fn verdict(&self) -> Option<ValueFinding> {
        let of_patterns = Pattern::ALL
            .iter()
            .filter(|pattern| self.reaches(**pattern))
            .map(|pattern| (pattern.threshold().kind, self.hits[*pattern as usize]));
        let of_dates = self
            .birth_dates()
            .map(|cells| (IdentifierKind::BirthDate, cells));
        let of_security_numbers = self
            .security_numbers()
            .map(|cells| (IdentifierKind::NationalNumber, cells));
        // The first of equals, in the order of the list.
        let of_columns = of_dates.into_iter().chain(of_security_numbers);
        let most = of_patterns.chain(of_columns).reduce(
            |best, next| {
                if next.1 > best.1 { next } else { best }
            },
        );
        // What every column of numbers that differ looks like comes last.
        let (kind, cells) = most.or_else(|| {
            self.record_numbers()
                .map(|cells| (IdentifierKind::RecordNumber, cells))
        })?;
        Some(ValueFinding {
            kind,
            cells,
            of: self.filled,
        })
    }

    /// Whether the column holds at least one cell that is more than one letter or a yes or no.
    pub(super) fn says_more_than_yes_or_no(&self) -> bool {
        self.says_more
    }

    /// Whether the cells under a heading of this kind are what nobody can be told by: grades of staff
    /// under one of persons, a few labels under one of free text.
    pub(super) fn is_closed_set(&self, kind: IdentifierKind) -> bool {
        self.values.as_ref().is_some_and(|values| match kind {
            IdentifierKind::PersonName => values.are_roles(self.filled),
            IdentifierKind::FreeText => values.are_labels(self.filled),
            _ => false,
        })
    }

    /// The patterns that some cell showed.
    #[cfg(test)]
    pub(super) fn seen(&self) -> Vec<Pattern> {
        let is_seen = |pattern: &&Pattern| self.hits[**pattern as usize] > 0;
        Pattern::ALL.iter().filter(is_seen).copied().collect()
    }

    fn reaches(&self, pattern: Pattern) -> bool {
        let threshold = match self.looking {
            Looking::Sites => pattern.threshold_of_sites(),
            _ => pattern.threshold(),
        };
        let cells = self.hits[pattern as usize];
        let is_certain = pattern.is_certain_in_text() && self.in_text.has(pattern);
        let is_every_cell = threshold.or_every_cell && cells == self.filled;
        let needed = |count: u64| {
            if is_every_cell {
                count.min(cells)
            } else {
                count
            }
        };
        let different = match pattern {
            Pattern::CommaName => self.comma_names.count(),
            Pattern::PlainName => self.plain_names.count(),
            Pattern::FreeText => self.free_texts.count(),
            _ => f64::INFINITY,
        };
        let sees_all = !matches!(self.looking, Looking::RefusedCells | Looking::RefusedAges);
        let is_looked_for = sees_all || threshold.in_refused;
        let is_label = pattern == Pattern::FreeText
            && different * 100.0 < (cells * FREE_TEXT_DIFFERENT_PERCENT) as f64;
        is_looked_for
            && cells > 0
            && (is_certain || cells >= needed(threshold.cells))
            && cells * 100 >= threshold.percent * self.filled
            && different >= needed(threshold.different) as f64
            && !is_label
    }
}

/// Whether the cell is one byte or a yes, no or none, of which nobody can be told.
fn is_answer(cell: &[u8]) -> bool {
    const ANSWERS: [&str; 13] = [
        "yes", "no", "n/a", "na", "none", "true", "false", "ja", "nein", "oui", "non", "si", "nil",
    ];
    cell.len() == 1
        || ANSWERS
            .iter()
            .any(|answer| cell.eq_ignore_ascii_case(answer.as_bytes()))
}
