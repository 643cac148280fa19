//! Blocks in the order of the file → which rows stand, which repeat or contradict an earlier one, and
//! how many of each. The one place where rows of different blocks meet.

use super::guard::ColumnWatch;
use super::parsed::{CounterProof, Found, KeyedRow, ParsedBlock, PassesInside, Verdict, Version};
use super::records::{Tallies, filled, kept};
use super::registry::{Key, Registry, Traits};
use crate::domain::accounting::Accounting;
use crate::domain::fields::{CaseField, Field, PassField};
use crate::domain::issue::{Effect, Issue, IssueCode, Position, Source};
use crate::domain::issue_log::IssueLog;
use crate::domain::unknown_words::UnknownWords;
use arrow::array::RecordBatch;
use std::collections::{BTreeMap, BTreeSet};

/// Everything that the rows of all files came to.
pub(super) struct Merge {
    pub(super) log: IssueLog,
    pub(super) unknown_words: UnknownWords,
    /// Accepted cases by month, site and field.
    pub(super) tallies: Tallies,
    pub(super) cases: Vec<RecordBatch>,
    pub(super) passes: Vec<RecordBatch>,
    /// Passes that stood in the rows of their cases.
    pub(super) passes_inside: u64,
    /// Records of cases that are kept at most.
    most_cases: usize,
    cases_kept: usize,
    /// In how many accepted passes each field has a value.
    passes_filled: Vec<u64>,
    registry: Registry,
    passes_seen: Registry,
    /// Likeness and place of accepted cases.
    alike: Vec<(u64, Position)>,
}

/// What one file came to.
#[derive(Default)]
pub(super) struct FileOutcome {
    pub(super) rows: Accounting,
    /// What the identifier guard has seen of each column.
    pub(super) watches: Vec<ColumnWatch>,
    /// The first counter-proof of each column, and how many.
    pub(super) counter_proofs: BTreeMap<&'static str, (CounterProof, u64)>,
}

impl FileOutcome {
    fn take_found(&mut self, found: Found) {
        if self.watches.is_empty() {
            self.watches = found.watches;
        } else {
            for (sum, watch) in self.watches.iter_mut().zip(&found.watches) {
                sum.merge(watch);
            }
        }
        for proof in found.counter_proofs {
            let first_and_count = self.counter_proofs.entry(proof.field).or_insert((proof, 0));
            first_and_count.1 += 1;
        }
    }
}

impl Merge {
    pub(super) fn new(most_cases: usize, lists_issues: bool) -> Merge {
        Merge {
            log: if lists_issues {
                IssueLog::with_list()
            } else {
                IssueLog::default()
            },
            unknown_words: UnknownWords::default(),
            tallies: Tallies::default(),
            cases: Vec::new(),
            passes: Vec::new(),
            passes_inside: 0,
            most_cases,
            cases_kept: 0,
            passes_filled: vec![0; PassField::ALL.len()],
            registry: Registry::new(),
            passes_seen: Registry::new(),
            alike: Vec::new(),
        }
    }

    /// Takes in the next block of a file. `latest` tells of each case which version stands, where
    /// the export has versions.
    pub(super) fn add(
        &mut self,
        block: ParsedBlock,
        at: FilePosition,
        latest: Option<&Latest>,
        outcome: &mut FileOutcome,
    ) {
        let mut is_kept = vec![true; block.records.num_rows()];
        let mut issues = block.found.issues.iter().peekable();
        let mut words = block.found.words.count();
        for row in &block.rows {
            let at = Position {
                source: at.source,
                file_index: at.file_index,
                line_number: row.line_number,
            };
            outcome.rows.read += 1;
            let verdict = match &row.verdict {
                Verdict::Refused { why, .. } => Err(*why),
                Verdict::Keyed(keyed) => {
                    let verdict = self.judge(keyed, at, latest);
                    if let (Err(_), Some(place)) = (verdict, keyed.place) {
                        is_kept[place] = false;
                    }
                    verdict
                }
            };
            // What is wrong in a repeat has been said of the row that it repeats, and what is wrong
            // with the cells of a total says nothing.
            let is_told = !matches!(verdict, Err(IssueCode::RepeatedRow | IssueCode::SummaryRow));
            while let Some(issue) = issues.next_if(|issue| issue.at.line_number == row.line_number)
            {
                if is_told {
                    self.log.add(*issue);
                }
            }
            words.row(row.line_number, is_told);
            match verdict {
                Ok(()) => outcome.rows.accepted += 1,
                Err(code) => {
                    match code.effect() {
                        Effect::RowIsDuplicate => outcome.rows.duplicates += 1,
                        _ => outcome.rows.set_aside += 1,
                    }
                    self.log.add(Issue::of_row(at, code));
                }
            }
        }
        words.add_to(&mut self.unknown_words);
        outcome.take_found(block.found);
        self.take_records(at.source, block.records, block.passes, &is_kept);
    }

    /// What becomes of a row with a key.
    fn judge(
        &mut self,
        row: &KeyedRow,
        at: Position,
        latest: Option<&Latest>,
    ) -> Result<(), IssueCode> {
        if at.source == Source::Passes {
            self.registry
                .check_pass(row.case)
                .map_err(|code| match code {
                    IssueCode::PassWithoutCase if row.may_be_no_record => IssueCode::SummaryRow,
                    other => other,
                })?;
            if let Some(pass) = row.pass {
                self.passes_seen
                    .add(pass, row.fingerprint, at, Traits::default())?;
            } else {
                let key = row.case.of_pass_without_number(row.fingerprint);
                self.passes_seen
                    .add_pass_without_number(key, row.fingerprint, at)?;
            }
            self.registry.note(row.case, row.traits);
            return Ok(());
        }
        if let Some(latest) = latest {
            latest.check(row)?;
        }
        self.registry
            .add(row.case, row.fingerprint, at, row.traits)?;
        if row.place.is_none() {
            return Err(IssueCode::OutsidePeriod);
        }
        if latest.is_some_and(|latest| latest.has_refused_above(row)) {
            self.log.add(Issue::of_row(at, IssueCode::StaleVersion));
        }
        if let Some(likeness) = row.likeness {
            self.alike.push((likeness, at));
        }
        Ok(())
    }

    fn take_records(
        &mut self,
        source: Source,
        records: RecordBatch,
        inside: Option<PassesInside>,
        is_kept: &[bool],
    ) {
        let all = is_kept.iter().all(|is_kept| *is_kept);
        let records = if all {
            records
        } else {
            kept(&records, is_kept)
        };
        if let Some(inside) = inside {
            let is_kept: Vec<_> = inside
                .case_places
                .iter()
                .map(|place| is_kept[*place])
                .collect();
            let passes = kept(&inside.records, &is_kept);
            self.passes_inside += passes.num_rows() as u64;
            self.take_passes(passes);
        }
        match source {
            Source::Passes => self.take_passes(records),
            Source::Cases => {
                self.tallies.add(&Tallies::of(&records));
                // A block of blank or faulty rows has none, and yet takes memory.
                if self.cases_kept < self.most_cases && records.num_rows() > 0 {
                    self.cases_kept += records.num_rows();
                    self.cases.push(records);
                }
            }
        }
    }

    fn take_passes(&mut self, records: RecordBatch) {
        for (sum, count) in self.passes_filled.iter_mut().zip(filled(&records)) {
            *sum += count;
        }
        if self.cases_kept < self.most_cases && records.num_rows() > 0 {
            self.passes.push(records);
        }
    }

    /// Columns of either kind of record that have a value in at least one of them.
    pub(super) fn filled_columns(&self) -> BTreeSet<&'static str> {
        fn of<F: Field>(filled: &[u64]) -> impl Iterator<Item = &'static str> {
            F::ALL
                .iter()
                .zip(filled)
                .filter(|(_, count)| **count > 0)
                .map(|(field, _)| field.column())
        }
        of::<CaseField>(&self.tallies.filled)
            .chain(of::<PassField>(&self.passes_filled))
            .collect()
    }

    /// Notes what only shows once every row is known.
    pub(super) fn finish(&mut self, knows_passes: bool) {
        if knows_passes {
            for (at, code) in self.registry.cases_against_passes() {
                self.log.add(Issue::of_row(at, code));
            }
        }
        self.alike.sort_unstable();
        let mut repeats: Vec<_> = self
            .alike
            .windows(2)
            .filter(|pair| pair[0].0 == pair[1].0)
            .map(|pair| pair[1].1)
            .collect();
        self.alike = Vec::new();
        repeats.sort();
        for at in repeats {
            self.log.add(Issue::of_row(at, IssueCode::SuspectedRepeat));
        }
    }
}

/// Which file a block belongs to.
#[derive(Clone, Copy)]
pub(super) struct FilePosition {
    pub(super) source: Source,
    pub(super) file_index: usize,
}

/// The highest version of each case.
#[derive(Default)]
pub(super) struct Latest {
    usable: BTreeMap<Key, Version>,
    /// Of rows that were set aside.
    refused: BTreeMap<Key, Version>,
}

impl Latest {
    /// Takes in the versions of a block.
    pub(super) fn add(&mut self, block: &ParsedBlock) {
        for row in &block.rows {
            let (highest, case, version) = match &row.verdict {
                Verdict::Keyed(row) => (&mut self.usable, row.case, row.version),
                Verdict::Refused {
                    claim: Some(claim), ..
                } => (&mut self.refused, claim.case, claim.version),
                Verdict::Refused { claim: None, .. } => continue,
            };
            let highest = highest.entry(case).or_default();
            *highest = version.max(*highest);
        }
    }

    /// Whether no later version stands against a row. A version that cannot be read may be the
    /// latest, so a row that has one is not superseded but contradicts the other.
    fn check(&self, row: &KeyedRow) -> Result<(), IssueCode> {
        let Some(highest) = self.usable.get(&row.case) else {
            return Ok(());
        };
        if *highest <= row.version {
            return Ok(());
        }
        let is_same_number = highest.number == row.version.number;
        if row.unreadable.number || (row.unreadable.amended && is_same_number) {
            return Err(IssueCode::ConflictingRow);
        }
        Err(IssueCode::SupersededRow)
    }

    fn has_refused_above(&self, row: &KeyedRow) -> bool {
        self.refused
            .get(&row.case)
            .is_some_and(|refused| *refused > row.version)
    }
}
