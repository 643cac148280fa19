//! Counts every measure over the records, chunk by chunk. Every measure looks at one case at a time, so
//! counts of chunks add up to those of all cases, and memory does not grow with their number.

use super::alike::{Kinds, KnownKinds, Trait, traits};
use super::chunk::{Chunk, Named, label};
use super::engine::{EngineError, Records};
use super::exposure::add_exposure;
use super::grouped::{Rows, Sums, WordsOfCases};
use super::groupings::{Grouping, groupings};
use super::judged::{check_columns, columns_of, judge};
use super::locality::{handed_on, is_case_local, named_columns, takes_case_id_as_key};
use super::part::{CASES_AT_ONCE, CasesWithPasses};
use super::passes_of::passes_of;
use super::plain_in::plain_in;
use super::sequence::{CallOrder, is_in_order};
use super::to_review::SHOWN;
use super::words::Words;
use crate::domain::counts::CountTables;
use crate::domain::exposure::Exposure;
use crate::domain::fields::{CaseField, Field};
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::domain::sequence::EventSequence;
use crate::domain::side_by_side::side_by_side;
use arrow::array::RecordBatch;
use polars::prelude::{DataFrame, col};
use std::collections::{BTreeMap, BTreeSet};
use std::num::NonZeroUsize;
use std::sync::Mutex;

/// Counts measures over records that come a part at a time.
pub struct Counter {
    measures: Vec<Mutex<MeasureCounter>>,
    words: WordsOfCases,
    waiting: CasesWithPasses,
    at_once: usize,
    has_counted: bool,
    threads: NonZeroUsize,
}

impl Counter {
    /// Nothing counted yet. The shares named `in_order` are put in the order of their calls as well.
    /// Measures are counted side by side on `threads`. A measure that may compare cases with one
    /// another, which none of those built in does, makes all records wait for the last.
    pub fn new(definitions: &[Definition], in_order: &[&str], threads: NonZeroUsize) -> Counter {
        let at_once = if definitions.iter().all(is_case_local) {
            CASES_AT_ONCE
        } else {
            usize::MAX
        };
        Counter::of_chunks(definitions, in_order, threads, at_once)
    }

    /// The same with parts of another size: at least so many cases are counted at once.
    pub fn of_chunks(
        definitions: &[Definition],
        in_order: &[&str],
        threads: NonZeroUsize,
        at_once: usize,
    ) -> Counter {
        let groupings = groupings();
        let measures: Vec<_> = definitions
            .iter()
            .map(|definition| {
                let is_in_order = is_in_order(definition, in_order);
                MeasureCounter::new(definition, &groupings, is_in_order)
            })
            .collect();
        let mut labeled: BTreeSet<CaseField> = measures
            .iter()
            .flat_map(|measure| measure.split_columns().chain(measure.words()))
            .collect();
        if !in_order.is_empty() {
            labeled.insert(CaseField::Month);
        }
        Counter {
            measures: measures.into_iter().map(Mutex::new).collect(),
            words: labeled
                .into_iter()
                .map(|field| (field, Words::default()))
                .collect(),
            waiting: CasesWithPasses::default(),
            at_once,
            has_counted: false,
            threads,
        }
    }

    /// Adds cases and all their passes. No case may be added twice.
    pub fn add(&mut self, cases: RecordBatch, passes: Option<RecordBatch>) {
        self.waiting.cases.push(cases);
        self.waiting.passes.extend(passes);
        if self.waiting.height() >= self.at_once {
            self.count_waiting();
        }
    }

    /// Adds all cases and all passes, in whatever order the passes are.
    pub fn add_all(&mut self, cases: &[RecordBatch], passes: &[RecordBatch]) {
        for (cases, passes) in cases.iter().zip(passes_of(cases, passes)) {
            self.add(cases.clone(), passes);
        }
    }

    fn count_waiting(&mut self) {
        let CasesWithPasses { cases, passes } = std::mem::take(&mut self.waiting);
        self.count_chunk(&cases, &passes);
    }

    /// Counts cases and all their passes at once.
    fn count_chunk(&mut self, cases: &[RecordBatch], passes: &[RecordBatch]) {
        self.has_counted = true;
        let labels = label(cases, &mut self.words, self.threads);
        let chunk = Chunk::new(cases, passes, &self.words, labels);
        side_by_side(&self.measures, self.threads, |measure| {
            let mut measure = measure.lock().expect("each measure is counted once");
            measure.add(&chunk);
        });
    }

    /// What was counted, once all records are added.
    pub fn finish(mut self) -> Counts {
        // Shares and events of no case at all are zeros.
        if !self.has_counted || self.waiting.height() > 0 {
            self.count_waiting();
        }
        let measures = self.measures.into_iter().map(|measure| {
            let measure = measure.into_inner();
            measure.expect("no measure panicked")
        });
        Counts {
            measures: measures.collect(),
            words: self.words,
            threads: self.threads,
        }
    }
}

/// What was counted of all records, before it is written into tables.
pub struct Counts {
    measures: Vec<MeasureCounter>,
    words: WordsOfCases,
    threads: NonZeroUsize,
}

impl Counts {
    /// The count tables, with the observed time, and the events of the shares that are put in order,
    /// those called after the last month left out.
    ///
    /// # Errors
    /// When a measure does not run, or breaks the contract of its kind.
    pub fn tables(
        &self,
        exposure: &Exposure,
        last_month: Option<Month>,
    ) -> Result<(CountTables, BTreeMap<String, EventSequence>), EngineError> {
        let counted = side_by_side(&self.measures, self.threads, |measure| {
            measure.tables(&self.words, exposure, last_month)
        });
        let mut tables = Vec::with_capacity(counted.len());
        let mut sequences = BTreeMap::new();
        for (measure, counted) in self.measures.iter().zip(counted) {
            let (of_measure, sequence) = counted?;
            tables.push(of_measure);
            let id = &measure.definition.id;
            sequences.extend(sequence.map(|sequence| (id.clone(), sequence)));
        }
        Ok((tables.into_iter().collect(), sequences))
    }
}

/// The columns of records that counting these measures, and listing the cases that somebody should
/// read, may look at; `None` for all.
pub fn columns_to_count(definitions: &[Definition]) -> Option<BTreeSet<String>> {
    let mut named = named_columns(definitions)?;
    named.extend(SHOWN.iter().map(|field| field.column().to_owned()));
    Some(named)
}

/// One measure that is being counted.
struct MeasureCounter {
    definition: Definition,
    /// Its query, as the engine runs it.
    sql: String,
    named: Named,
    handed_on: BTreeSet<CaseField>,
    takes_key: bool,
    /// What tells cases apart for it; `None` when each case is looked at.
    traits: Option<Vec<Trait>>,
    known: KnownKinds,
    /// Those of its kind, whether it selects their columns or not.
    groupings: Vec<Grouping>,
    /// Known once the query was planned.
    sums: Option<Sums>,
    order: Option<CallOrder>,
    /// Why it cannot be counted; then nothing more is tried.
    fault: Option<EngineError>,
}

impl MeasureCounter {
    fn new(definition: &Definition, groupings: &[Grouping], is_in_order: bool) -> MeasureCounter {
        let of_kind = groupings
            .iter()
            .filter(|grouping| grouping.kind == definition.kind);
        MeasureCounter {
            groupings: of_kind.cloned().collect(),
            named: Named(named_columns(std::slice::from_ref(definition))),
            handed_on: handed_on(definition),
            traits: traits(definition),
            known: KnownKinds::default(),
            takes_key: takes_case_id_as_key(definition),
            sums: None,
            order: is_in_order.then(CallOrder::default),
            fault: None,
            sql: plain_in(&definition.sql),
            definition: definition.clone(),
        }
    }

    /// The columns of cases by which the measure is split as they stand.
    fn split_columns(&self) -> impl Iterator<Item = CaseField> + '_ {
        let names: BTreeSet<_> = self.groupings.iter().flat_map(Grouping::columns).collect();
        let handed_on = self.handed_on.iter().copied();
        handed_on.filter(move |field| names.contains(field.column()))
    }

    /// The columns of text that tell cases apart for it.
    fn words(&self) -> impl Iterator<Item = CaseField> + '_ {
        let traits = self.traits.iter().flatten();
        traits.filter_map(|of| match of {
            Trait::Value(field) if field.kind().is_text() => Some(*field),
            _ => None,
        })
    }

    fn add(&mut self, chunk: &Chunk<'_>) {
        if self.fault.is_none() {
            self.fault = self.try_add(chunk).err();
        }
    }

    fn try_add(&mut self, chunk: &Chunk<'_>) -> Result<(), EngineError> {
        let traits = self.traits.as_ref();
        let kinds = traits.and_then(|traits| chunk.kinds(traits));
        let rows = if let Some(kinds) = kinds {
            self.rows_by_kind(chunk, &kinds)?
        } else {
            let records = chunk.records(&self.named, self.takes_key);
            self.rows(chunk, &records)?
        };
        let counted = match &mut self.order {
            Some(order) => order.add(chunk, &rows),
            None => Some(()),
        };
        let sums = self.sums.as_mut().expect("made with the first rows");
        let counted = counted.and_then(|()| sums.add(chunk, &rows));
        counted.ok_or_else(|| self.data_error())
    }

    /// The same, where the query is asked of one case of each kind that was not known before.
    fn rows_by_kind(&mut self, chunk: &Chunk<'_>, kinds: &Kinds) -> Result<Rows, EngineError> {
        let (numbers, new) = self.known.numbers_of(kinds);
        if !new.is_empty() {
            let asked = new.iter().map(|kind| (kinds.firsts[*kind], numbers[*kind]));
            let asked: Vec<_> = asked.collect();
            let records = chunk.records_of(&asked, &self.named);
            let rows = self.rows(chunk, &records)?;
            self.known.add(rows);
        }
        Ok(self.known.rows_of_cases(kinds, &numbers))
    }

    fn data_error(&self) -> EngineError {
        EngineError::Data {
            measure: self.definition.id.clone(),
        }
    }

    /// What the rows of the measure are worth, each with the number of its case.
    fn rows(&mut self, chunk: &Chunk<'_>, records: &Records) -> Result<Rows, EngineError> {
        let frame = self.select(records)?;
        let cases = chunk.numbers_of(&frame, self.takes_key);
        let cases = cases.ok_or_else(|| self.data_error())?;
        if self.definition.kind != MeasureKind::ClusteredShare && has_repeats(&cases) {
            return Err(EngineError::RepeatedCase {
                measure: self.definition.id.clone(),
            });
        }
        let judged = judge(&self.definition, &frame)?;
        let sums = self.sums.as_mut().expect("made with the first rows");
        let columns = sums.columns(&frame).ok_or_else(|| self.data_error())?;
        Ok(Rows {
            cases,
            judged,
            columns,
        })
    }

    /// The rows of the measure, without the columns that are looked up by the case.
    fn select(&mut self, records: &Records) -> Result<DataFrame, EngineError> {
        let definition = &self.definition;
        let fault = || super::engine::fault(definition);
        let mut query = records.query(&self.sql).map_err(|_| fault())?;
        if self.sums.is_none() {
            let columns = query.collect_schema().map_err(|_| fault())?;
            let is_selected = |column: &str| columns.contains(column);
            check_columns(definition, is_selected)?;
            let groupings = self.groupings.iter();
            let counted = groupings.filter(|grouping| grouping.columns().all(is_selected));
            let counted: Vec<_> = counted.cloned().collect();
            self.sums = Some(Sums::new(definition.kind, &counted, &self.handed_on));
        }
        let of_rows = self.sums.iter().flat_map(Sums::columns_of_rows);
        let wanted: BTreeSet<&str> = columns_of(definition.kind)
            .iter()
            .copied()
            .chain(of_rows)
            .collect();
        let wanted: Vec<_> = wanted.into_iter().map(col).collect();
        query.select(wanted).collect().map_err(|_| fault())
    }

    /// The tables, and the events in order where they are asked for.
    fn tables(
        &self,
        words: &WordsOfCases,
        exposure: &Exposure,
        last_month: Option<Month>,
    ) -> Result<(CountTables, Option<EventSequence>), EngineError> {
        if let Some(fault) = &self.fault {
            return Err(fault.clone());
        }
        let Some(sums) = &self.sums else {
            return Err(super::engine::fault(&self.definition));
        };
        let mut tables = sums.tables(&self.definition, words);
        if self.definition.kind == MeasureKind::Count {
            for grouping in sums.groupings() {
                add_exposure(&mut tables, &self.definition, grouping, exposure);
            }
        }
        let sequence = self.order.as_ref().map(|order| order.sequence(last_month));
        Ok((tables, sequence))
    }
}

/// Whether a number stands twice.
fn has_repeats(numbers: &[u32]) -> bool {
    if numbers.is_sorted_by(|first, next| first < next) {
        return false;
    }
    let highest = numbers.iter().max().map_or(0, |highest| *highest as usize);
    let mut is_seen = vec![false; highest + 1];
    numbers
        .iter()
        .any(|number| std::mem::replace(&mut is_seen[*number as usize], true))
}

#[cfg(test)]
mod tests;
