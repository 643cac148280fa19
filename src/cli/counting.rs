//! Rows that are counted while they are read, so that memory does not grow with their number.

use super::inputs::Read;
use super::record_files::RecordFiles;
use crate::domain::counts::CountTables;
use crate::domain::exposure::Exposure;
use crate::domain::fields::CaseField;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::domain::review_rules::{CaseToReview, review_rules};
use crate::domain::sequence::EventSequence;
use crate::findings::comparisons::HARM;
use crate::ingest::with_value;
use crate::measure::{self, CasesWithPasses, Counter, Counts, EngineError, ReviewColumns};
use crate::records::texts;
use arrow::array::RecordBatch;
use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::ops::Deref;

/// What is counted of the rows, and which of them are kept.
#[derive(Clone, Copy)]
pub(super) struct Wants<'a> {
    pub(super) definitions: &'a [Definition],
    /// The one site to count, or all.
    pub(super) site: Option<&'a str>,
    pub(super) in_view: InView,
    pub(super) threads: NonZeroUsize,
}

/// The month in view, of which rows tell what counts cannot: the events of harm in their order up to
/// its end, and its cases that somebody should read.
#[derive(Clone, Copy)]
pub(super) enum InView {
    /// None is, and counts are all that is taken.
    Nothing,
    /// This one; or, where none is told, the last of the period.
    Month(Option<Month>),
}

/// Counts records as they come.
pub(super) struct Counting<'a> {
    wants: Wants<'a>,
    counter: Counter,
    kept: Option<KeptMonth>,
    files: Option<&'a mut RecordFiles>,
    cases: u64,
}

impl<'a> Counting<'a> {
    /// Nothing yet. `last` is the last month of the period where it is known before the rows are. With
    /// `files` all records that are counted are written.
    pub(super) fn new(
        wants: Wants<'a>,
        has_order: bool,
        last: Option<Month>,
        files: Option<&'a mut RecordFiles>,
    ) -> Counting<'a> {
        let in_view = match wants.in_view {
            InView::Nothing => None,
            InView::Month(month) => Some(month.or(last)),
        };
        let in_order: &[&str] = match in_view {
            Some(_) if has_order => &HARM,
            _ => &[],
        };
        Counting {
            counter: Counter::new(wants.definitions, in_order, wants.threads),
            kept: in_view.map(|month| {
                let columns = ReviewColumns::new(wants.definitions, &review_rules());
                KeptMonth::new(month, columns)
            }),
            files,
            cases: 0,
            wants,
        }
    }

    /// Takes cases and all their passes.
    pub(super) fn add(&mut self, cases: RecordBatch, passes: Option<RecordBatch>) {
        if let Some(kept) = &mut self.kept {
            // Also by cases of other sites: the period is that of all of them.
            kept.look_for_later(&cases);
        }
        let Some(site) = self.wants.site else {
            return self.count(cases, passes);
        };
        let passes = Vec::from_iter(passes);
        let (cases, passes) = with_value(&[cases], &passes, CaseField::Site, site);
        let mut passes = passes.into_iter();
        for cases in cases {
            self.count(cases, passes.next());
        }
    }

    /// Counts records of the site.
    fn count(&mut self, cases: RecordBatch, passes: Option<RecordBatch>) {
        if let Some(kept) = &mut self.kept {
            kept.add(&cases, passes.as_ref());
        }
        if let Some(files) = &mut self.files {
            files.add(&cases, passes.as_ref());
        }
        self.cases += cases.num_rows() as u64;
        self.counter.add(cases, passes);
    }

    /// The rows that were read, with what was counted of them.
    pub(super) fn finish(mut self, mut read: Read) -> CountedRows {
        if let (Some(kept), Some((_, last))) = (&mut self.kept, read.ingested.observed) {
            kept.go_to(last);
        }
        // With a passes export the rows of the site were kept. They are freed part by part.
        let cases = std::mem::take(&mut read.ingested.cases);
        let passes = std::mem::take(&mut read.ingested.passes);
        let passes = measure::passes_of(&cases, &passes);
        for (cases, passes) in cases.into_iter().zip(passes) {
            self.count(cases, passes);
        }
        CountedRows {
            counted: self.end(),
            read,
        }
    }

    /// What was counted, once all cases are added.
    pub(super) fn end(self) -> CountedCases {
        CountedCases {
            counts: self.counter.finish(),
            cases: self.cases,
            kept: self.kept,
        }
    }
}

/// What was counted of cases, and the rows that are kept of them.
pub(super) struct CountedCases {
    /// How many cases were counted.
    pub(super) cases: u64,
    counts: Counts,
    kept: Option<KeptMonth>,
}

impl CountedCases {
    /// The count tables, and the events of shares in the order of the calls up to a month.
    ///
    /// # Errors
    /// When a measure cannot be counted.
    pub(super) fn tables(
        &self,
        exposure: &Exposure,
        last_month: Option<Month>,
    ) -> Result<(CountTables, BTreeMap<String, EventSequence>), EngineError> {
        self.counts.tables(exposure, last_month)
    }

    /// Whether a month was in view.
    pub(super) fn has_view(&self) -> bool {
        self.kept.is_some()
    }

    /// The cases of a month that somebody should read; `None` when none was in view. Only the month in
    /// view is kept, since the rows of a measure are needed for them.
    ///
    /// # Errors
    /// When a measure cannot be counted.
    pub(super) fn cases_to_review(
        &self,
        month: Month,
        definitions: &[Definition],
    ) -> Result<Option<Vec<CaseToReview>>, EngineError> {
        let Some(kept) = &self.kept else {
            return Ok(None);
        };
        let parts: &[_] = match kept.month {
            Some(of_kept) if of_kept == month => &kept.parts,
            _ => &[],
        };
        measure::cases_to_review(parts, definitions, &review_rules()).map(Some)
    }
}

/// Rows that were read and counted.
pub(super) struct CountedRows {
    pub(super) counted: CountedCases,
    read: Read,
}

impl Deref for CountedRows {
    type Target = Read;

    fn deref(&self) -> &Read {
        &self.read
    }
}

/// The rows of one month: of that in view, or of the latest so far.
struct KeptMonth {
    month: Option<Month>,
    is_latest_so_far: bool,
    columns: ReviewColumns,
    parts: Vec<CasesWithPasses>,
}

impl KeptMonth {
    fn new(month: Option<Month>, columns: ReviewColumns) -> KeptMonth {
        KeptMonth {
            month,
            columns,
            is_latest_so_far: month.is_none(),
            parts: Vec::new(),
        }
    }

    /// Goes on to a later month when one shows up.
    fn look_for_later(&mut self, cases: &RecordBatch) {
        if !self.is_latest_so_far {
            return;
        }
        let latest = texts(CaseField::Month, std::slice::from_ref(cases))
            .flatten()
            .max();
        let latest: Option<Month> = latest.and_then(|month| month.parse().ok());
        if let Some(latest) = latest.filter(|latest| Some(*latest) > self.month) {
            self.go_to(latest);
        }
    }

    /// Keeps the rows of this month unless another was asked for.
    fn go_to(&mut self, month: Month) {
        if self.is_latest_so_far && self.month != Some(month) {
            self.month = Some(month);
            self.parts.clear();
        }
    }

    fn add(&mut self, cases: &RecordBatch, passes: Option<&RecordBatch>) {
        if let Some(month) = self.month {
            let (cases, passes) = with_value(
                std::slice::from_ref(cases),
                passes.map_or(&[], std::slice::from_ref),
                CaseField::Month,
                &month.to_string(),
            );
            if self.parts.last().is_none_or(CasesWithPasses::is_full) {
                self.parts.push(CasesWithPasses::default());
            }
            if let Some(part) = self.parts.last_mut() {
                part.cases
                    .extend(cases.iter().map(|cases| self.columns.of(cases)));
                part.passes
                    .extend(passes.iter().map(|passes| self.columns.of(passes)));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fields::Field as _;
    use crate::records::schema;

    fn month(text: &str) -> Month {
        text.parse().expect("a month")
    }

    #[test]
    fn a_later_month_takes_the_place_of_the_one_that_was_kept() {
        let cases = |months: &[&str]| {
            use arrow::array::{ArrayRef, StringArray, new_null_array};
            use std::sync::Arc;
            let schema = schema::<CaseField>();
            let columns = CaseField::ALL.iter().map(|field| match field {
                CaseField::Month => Arc::new(StringArray::from(months.to_vec())) as ArrayRef,
                field => {
                    let kind = schema.field(field.index()).data_type();
                    new_null_array(kind, months.len())
                }
            });
            let columns: Vec<_> = columns.collect();
            RecordBatch::try_new(schema, columns).expect("columns of their types")
        };
        let rows = |kept: &KeptMonth| {
            let cases = kept.parts.iter().flat_map(|part| &part.cases);
            cases.map(RecordBatch::num_rows).sum::<usize>()
        };
        let columns = ReviewColumns::new(&measure::built_in(), &review_rules());
        let mut latest = KeptMonth::new(None, columns.clone());
        let mut asked = KeptMonth::new(Some(month("2026-01")), columns);
        let parts: [(&[&str], _, _); 4] = [
            (&["2026-01", "2026-02", "2026-02"], ("2026-02", 2), 1),
            (&["2026-01", "2026-02"], ("2026-02", 3), 2),
            (&["2026-03"], ("2026-03", 1), 2),
            (&["2026-02", "2026-03"], ("2026-03", 2), 2),
        ];
        for (months, (of_latest, latest_rows), asked_rows) in parts {
            let cases = cases(months);
            for kept in [&mut latest, &mut asked] {
                kept.look_for_later(&cases);
                kept.add(&cases, None);
            }
            assert_eq!(
                (latest.month, rows(&latest)),
                (Some(month(of_latest)), latest_rows)
            );
            assert_eq!(
                (asked.month, rows(&asked)),
                (Some(month("2026-01")), asked_rows)
            );
        }
    }
}
