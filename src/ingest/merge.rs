//! Blocks in the order of the file → which rows stand, which repeat or contradict an earlier one, and
//! how many of each. The one place where rows of different blocks meet.

use super::alike::Alike;
use super::guard::ColumnWatch;
use super::parsed::{CounterProof, Found, KeyedRow, ParsedBlock, PassesInside, Verdict, Version};
use super::records::filtered;
use super::registry::{Key, Registry, Traits};
use super::run::Taker;
use super::tallies::Tallies;
use crate::domain::accounting::Accounting;
use crate::domain::fields::{CaseField, PassField};
use crate::domain::issue::{Effect, Issue, IssueCode, Position, Source};
use crate::domain::issue_log::IssueLog;
use crate::domain::unknown_words::UnknownWords;
use arrow::array::RecordBatch;
use std::collections::{BTreeMap, BTreeSet};
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicBool, Ordering};

/// Everything that the rows of all files came to.
pub(super) struct Merge<'a, 't> {
    pub(super) log: IssueLog,
    pub(super) unknown_words: UnknownWords,
    /// Accepted cases by month, site and field.
    pub(super) tallies: Tallies,
    pub(super) cases: Vec<RecordBatch>,
    pub(super) passes: Vec<RecordBatch>,
    /// Passes that stood in the rows of their cases.
    pub(super) passes_inside: u64,
    passes_tallies: Tallies,
    /// Records of cases that are kept at most.
    most_cases: usize,
    cases_kept: usize,
    /// Whether records are still kept. The threads that make them ask; what one of them makes too
    /// late is dropped here.
    keeps: &'a AtomicBool,
    /// Who gets the records in place of keeping them.
    take: Option<&'a mut Taker<'t>>,
    registry: Registry,
    passes_seen: Registry,
    alike: Alike,
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

impl<'a, 't> Merge<'a, 't> {
    /// Nothing yet. `keeps` is set, and is cleared once `most_cases` are kept. With `take` records are
    /// handed on, and none is kept.
    pub(super) fn new(
        most_cases: usize,
        lists_issues: bool,
        keeps: &'a AtomicBool,
        take: Option<&'a mut Taker<'t>>,
    ) -> Merge<'a, 't> {
        keeps.store(most_cases > 0, Ordering::Relaxed);
        Merge {
            log: if lists_issues {
                IssueLog::with_list()
            } else {
                IssueLog::default()
            },
            unknown_words: UnknownWords::default(),
            tallies: Tallies::new::<CaseField>(),
            cases: Vec::new(),
            passes: Vec::new(),
            passes_inside: 0,
            passes_tallies: Tallies::new::<PassField>(),
            most_cases,
            cases_kept: 0,
            keeps,
            take,
            registry: Registry::new(),
            passes_seen: Registry::new(),
            alike: Alike::new(),
        }
    }

    /// Whether records are still kept, for the threads that make them.
    pub(super) fn keeps(&self) -> &'a AtomicBool {
        self.keeps
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
        self.registry.expect(block.keys());
        let mut is_kept = vec![true; block.record_count];
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
                    match (verdict, keyed.place) {
                        (Ok(()), _) => self.tallies_of(at.source).add(keyed.counted),
                        (Err(_), Some(place)) => is_kept[place] = false,
                        (Err(_), None) => {}
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
        self.tallies.end_block(&block.sites);
        let passes = block
            .passes
            .and_then(|inside| self.passes_inside(inside, &is_kept));
        let records = block.records.and_then(|records| kept(records, &is_kept));
        match at.source {
            Source::Cases => self.take_cases(records, passes),
            Source::Passes => self.keep_passes(records),
        }
    }

    fn tallies_of(&mut self, source: Source) -> &mut Tallies {
        match source {
            Source::Cases => &mut self.tallies,
            Source::Passes => &mut self.passes_tallies,
        }
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
            self.alike.add(likeness, at);
        }
        Ok(())
    }

    /// The passes of the cases of a block, of which those in `is_kept` were accepted.
    fn passes_inside(&mut self, inside: PassesInside, is_kept: &[bool]) -> Option<RecordBatch> {
        let is_kept: Vec<_> = inside
            .passes
            .iter()
            .map(|(case, _)| is_kept[*case])
            .collect();
        for ((_, counted), _) in inside
            .passes
            .iter()
            .zip(&is_kept)
            .filter(|(_, kept)| **kept)
        {
            self.passes_tallies.add(*counted);
            self.passes_inside += 1;
        }
        kept(inside.records?, &is_kept)
    }

    /// Hands the records of a block on, or keeps them.
    fn take_cases(&mut self, cases: Option<RecordBatch>, passes: Option<RecordBatch>) {
        if let Some(take) = &mut self.take {
            if let Some(cases) = cases {
                take(cases, passes);
            }
            return;
        }
        if self.cases_kept >= self.most_cases {
            return;
        }
        self.keep_passes(passes);
        if let Some(cases) = cases {
            self.cases_kept += cases.num_rows();
            self.cases.push(cases);
            self.keeps
                .store(self.cases_kept < self.most_cases, Ordering::Relaxed);
        }
    }

    fn keep_passes(&mut self, passes: Option<RecordBatch>) {
        if self.cases_kept < self.most_cases {
            self.passes.extend(passes);
        }
    }

    /// Columns of either kind of record that have a value in at least one of them.
    pub(super) fn filled_columns(&self) -> BTreeSet<&'static str> {
        self.tallies
            .filled_columns::<CaseField>()
            .chain(self.passes_tallies.filled_columns::<PassField>())
            .collect()
    }

    /// Notes what only shows once every row is known.
    pub(super) fn finish(&mut self, knows_passes: bool, threads: NonZeroUsize) {
        if knows_passes {
            for (at, code) in self.registry.cases_against_passes() {
                self.log.add(Issue::of_row(at, code));
            }
        }
        let alike = std::mem::replace(&mut self.alike, Alike::new());
        for at in alike.repeats(threads) {
            self.log.add(Issue::of_row(at, IssueCode::SuspectedRepeat));
        }
    }
}

/// The records that are kept; `None` without any. A block of blank or faulty rows has none, and yet
/// takes memory.
fn kept(records: RecordBatch, is_kept: &[bool]) -> Option<RecordBatch> {
    let all = is_kept.iter().all(|is_kept| *is_kept);
    let records = if all {
        records
    } else {
        filtered(&records, is_kept)
    };
    (records.num_rows() > 0).then_some(records)
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
