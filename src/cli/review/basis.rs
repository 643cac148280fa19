//! What a review rests on: rows that are read and counted here, or counts that were made elsewhere.

use super::counted::Counted;
use super::recorded::Recorded;
use super::start::{Source, StartArguments};
use crate::cli::counting::{CountedCases, CountedRows};
use crate::cli::outputs::inputs;
use crate::cli::site;
use crate::domain::accounting::Accounting;
use crate::domain::counts::CountTables;
use crate::domain::exposure::Exposure;
use crate::domain::issue::IssueCode;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::domain::recording::Recording;
use crate::domain::review_rules::CaseToReview;
use crate::export::manifest::Input;
use crate::findings::comparisons::CaseOrder;
use crate::findings::review::MonthsOfSite;
use crate::ingest::Mapping;
use std::collections::BTreeMap;

/// Counts, and what only rows can tell beside them.
pub(in crate::cli) struct Basis<'a> {
    /// Whether counts were all there was to read.
    pub(super) is_from_counts: bool,
    /// What holds for all of it: windows, hours, changes, targets.
    pub(super) mapping: &'a Mapping,
    pub(super) counts: CountTables,
    /// The order of events of harm.
    pub(super) order: CaseOrder,
    /// Cases of the month in view that somebody should read; `None` without rows or such a month.
    pub(super) list: Option<Vec<CaseToReview>>,
    /// First and last month.
    pub(super) observed: (Month, Month),
    /// The months of each site, where counts that cover unlike months were added up.
    pub(super) months_of_sites: Vec<MonthsOfSite>,
    /// Accepted cases that are counted.
    pub(super) counted: u64,
    pub(super) cases: Accounting,
    pub(super) passes: Option<Accounting>,
    pub(super) issues: BTreeMap<(IssueCode, &'static str, &'static str), u64>,
    /// Empty without rows.
    pub(super) completeness: Vec<(&'static str, u64)>,
    /// Empty without rows.
    pub(super) recording: Recording,
    pub(super) inputs: Vec<Input>,
}

impl<'a> Basis<'a> {
    /// Counts the rows, or takes the counts as they are.
    ///
    /// # Errors
    /// When a measure cannot be counted.
    pub(in crate::cli) fn of(
        arguments: &StartArguments,
        source: &'a Source,
        definitions: &[Definition],
        observed: (Month, Month),
        month: Month,
    ) -> anyhow::Result<Basis<'a>> {
        match source {
            Source::Rows(read) => Basis::of_rows(arguments, read, definitions, observed, month),
            Source::Records(recorded) => Basis::of_records(recorded, definitions, month),
            Source::Counts(counted) => Ok(Basis::of_counts(counted)),
        }
    }

    /// Counts the rows.
    ///
    /// # Errors
    /// When a measure cannot be counted.
    fn of_rows(
        arguments: &StartArguments,
        read: &'a CountedRows,
        definitions: &[Definition],
        observed: (Month, Month),
        month: Month,
    ) -> anyhow::Result<Basis<'a>> {
        let ingested = &read.ingested;
        let (counts, order) = counts(&read.counted, &ingested.exposure, &read.mapping, month)?;
        Ok(Basis {
            is_from_counts: false,
            mapping: &read.mapping,
            counts,
            order,
            list: read.counted.cases_to_review(month, definitions)?,
            observed,
            months_of_sites: Vec::new(),
            counted: site::counted_cases(arguments.site.as_deref(), ingested),
            cases: ingested.cases_accounting,
            passes: ingested.passes_accounting,
            issues: ingested.issues.tallies(),
            completeness: ingested.completeness.clone(),
            recording: ingested.recording.clone(),
            inputs: inputs(read)?,
        })
    }

    /// Takes what was counted of records; which columns were filled is known where they were made.
    ///
    /// # Errors
    /// When a measure cannot be counted.
    fn of_records(
        recorded: &'a Recorded,
        definitions: &[Definition],
        month: Month,
    ) -> anyhow::Result<Basis<'a>> {
        let (mapping, counted) = (&recorded.mapping, &recorded.counted);
        let (counts, order) = counts(counted, &recorded.exposure, mapping, month)?;
        Ok(Basis {
            is_from_counts: false,
            mapping,
            counts,
            order,
            list: counted.cases_to_review(month, definitions)?,
            observed: recorded.observed,
            months_of_sites: Vec::new(),
            counted: counted.cases,
            cases: recorded.cases,
            passes: recorded.passes,
            issues: recorded.issues.clone(),
            completeness: Vec::new(),
            recording: Recording::default(),
            inputs: recorded.inputs.clone(),
        })
    }

    /// Takes counts as they are.
    fn of_counts(counted: &'a Counted) -> Basis<'a> {
        Basis {
            is_from_counts: true,
            mapping: &counted.mapping,
            counts: counted.counts.clone(),
            order: CaseOrder::NotKept,
            list: None,
            observed: counted.observed,
            months_of_sites: counted.months_of_sites.clone(),
            counted: counted.accepted,
            cases: counted.cases,
            passes: counted.passes,
            issues: counted.issues.clone(),
            completeness: Vec::new(),
            recording: Recording::default(),
            inputs: counted.inputs.clone(),
        }
    }
}

/// The count tables, and the order of events of harm up to the month in view where times tell it.
fn counts(
    counted: &CountedCases,
    exposure: &Exposure,
    mapping: &Mapping,
    month: Month,
) -> anyhow::Result<(CountTables, CaseOrder)> {
    let (tables, sequences) = counted.tables(exposure, Some(month))?;
    let order = if !counted.has_view() {
        CaseOrder::NotKept
    } else if mapping.has_clock_times() {
        CaseOrder::Known(sequences)
    } else {
        CaseOrder::Elapsed
    };
    Ok((tables, order))
}
