//! Issues as they are gathered: counted by kind and place always, listed one by one on request.
//!
//! A count needs a bit for each line, whether ten rows are faulty or ten million, so a check of an export
//! that is wrong throughout ends like any other.

use super::issue::{Issue, IssueCode, Position, Shape, Source};
use std::collections::{BTreeMap, BTreeSet};

/// Lines that a place remembers; the rest is counted.
pub const LINES_REMEMBERED: usize = 8;

/// Which issues are told together: one kind in one column of one file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The kind.
    pub code: IssueCode,
    /// Which kind of input.
    pub source: Source,
    /// Position of the file in the order given, from 0.
    pub file_index: usize,
    /// Our name of the field; empty for the whole row.
    pub field: &'static str,
    /// Our name of the second of two moments; empty otherwise.
    pub other_field: &'static str,
}

/// How often an issue came up at a place.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Occurrences {
    /// How often.
    pub count: u64,
    /// The first lines, at most [`LINES_REMEMBERED`], rising.
    pub first_lines: Vec<u64>,
    /// What the cells look like.
    pub shapes: BTreeSet<Shape>,
}

/// All issues of a run.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct IssueLog {
    places: BTreeMap<Place, Occurrences>,
    /// For each kind, the rows with it and the last of them.
    rows_of: BTreeMap<IssueCode, (u64, Position)>,
    /// `None` when nobody asked for the list.
    list: Option<Vec<Issue>>,
    rows: RowSet,
}

/// Rows with at least one issue: a bit for each line of each file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct RowSet {
    lines: BTreeMap<(Source, usize), Vec<u64>>,
    count: u64,
}

impl RowSet {
    fn add(&mut self, at: Position) {
        let lines = self.lines.entry((at.source, at.file_index)).or_default();
        let Ok(word) = usize::try_from(at.line_number / 64) else {
            return;
        };
        if lines.len() <= word {
            lines.resize(word + 1, 0);
        }
        let bit = 1 << (at.line_number % 64);
        self.count += u64::from(lines[word] & bit == 0);
        lines[word] |= bit;
    }
}

impl IssueLog {
    /// An empty log that also keeps every issue for [`IssueLog::list`].
    pub fn with_list() -> IssueLog {
        IssueLog {
            list: Some(Vec::new()),
            ..IssueLog::default()
        }
    }

    /// Adds one issue. Those of one kind come in the order of files and lines.
    pub fn add(&mut self, issue: Issue) {
        let place = Place {
            code: issue.code,
            source: issue.at.source,
            file_index: issue.at.file_index,
            field: issue.field,
            other_field: issue.other_field,
        };
        let occurrences = self.places.entry(place).or_default();
        occurrences.count += 1;
        occurrences.shapes.insert(issue.found);
        let lines = &mut occurrences.first_lines;
        if lines.len() < LINES_REMEMBERED {
            let at = lines.partition_point(|line| *line <= issue.at.line_number);
            lines.insert(at, issue.at.line_number);
        }
        match self.rows_of.get_mut(&issue.code) {
            None => drop(self.rows_of.insert(issue.code, (1, issue.at))),
            Some((rows, last)) if *last != issue.at => (*rows, *last) = (*rows + 1, issue.at),
            Some(_) => {}
        }
        self.rows.add(issue.at);
        if let Some(list) = &mut self.list {
            list.push(issue);
        }
    }

    /// Every place with its occurrences, by code, then file, then field.
    pub fn places(&self) -> &BTreeMap<Place, Occurrences> {
        &self.places
    }

    /// Every single issue, in the order in which they were found; empty when nobody asked for it.
    pub fn list(&self) -> &[Issue] {
        self.list.as_deref().unwrap_or_default()
    }

    /// How many issues.
    pub fn count(&self) -> u64 {
        self.places
            .values()
            .map(|occurrences| occurrences.count)
            .sum()
    }

    /// In how many rows.
    pub fn rows(&self) -> u64 {
        self.rows.count
    }

    /// In how many rows a kind came up; a row may have it in several fields.
    pub fn rows_of(&self, code: IssueCode) -> u64 {
        self.rows_of.get(&code).map_or(0, |(rows, _)| *rows)
    }

    /// How often each kind came up in each field, over all files.
    pub fn tallies(&self) -> BTreeMap<(IssueCode, &'static str, &'static str), u64> {
        let mut tallies = BTreeMap::new();
        for (place, occurrences) in &self.places {
            *tallies
                .entry((place.code, place.field, place.other_field))
                .or_default() += occurrences.count;
        }
        tallies
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn issue(line_number: u64, code: IssueCode) -> Issue {
        let at = Position {
            source: Source::Cases,
            file_index: 0,
            line_number,
        };
        Issue::of_cell(at, code, "outcome", Shape::Letters)
    }

    #[test]
    fn a_million_faults_are_a_count_and_eight_lines() {
        let mut log = IssueLog::default();
        for line in 2..1_000_002 {
            log.add(issue(line, IssueCode::UnknownWord));
        }
        let (_, occurrences) = log.places().first_key_value().expect("one place");
        assert_eq!(occurrences.count, 1_000_000);
        assert_eq!(occurrences.first_lines, [2, 3, 4, 5, 6, 7, 8, 9]);
        assert_eq!((log.count(), log.rows()), (1_000_000, 1_000_000));
        assert!(log.list().is_empty());
    }

    #[test]
    fn two_issues_of_one_row_are_one_row() {
        let mut log = IssueLog::with_list();
        log.add(issue(2, IssueCode::UnknownWord));
        log.add(issue(2, IssueCode::NotATime));
        log.add(issue(3, IssueCode::NotATime));
        // Found when all rows had been read.
        log.add(issue(2, IssueCode::CaseWithoutPass));
        assert_eq!((log.count(), log.rows(), log.list().len()), (4, 2, 4));
        assert_eq!(log.tallies()[&(IssueCode::NotATime, "outcome", "")], 2);
    }

    #[test]
    fn a_row_with_one_kind_in_two_fields_counts_once_for_the_kind() {
        let mut log = IssueLog::default();
        log.add(issue(2, IssueCode::NotATime));
        log.add(Issue {
            field: "airway",
            ..issue(2, IssueCode::NotATime)
        });
        log.add(issue(2, IssueCode::UnknownWord));
        log.add(issue(5, IssueCode::NotATime));
        assert_eq!(log.rows_of(IssueCode::NotATime), 2);
        assert_eq!(log.rows_of(IssueCode::UnknownWord), 1);
        assert_eq!(log.rows_of(IssueCode::LongRow), 0);
    }
}
