//! What a review rests on: rows that are read and counted here, or counts that were made elsewhere.

use super::Arguments;
use super::counted::Counted;
use crate::cli::inputs::Read;
use crate::cli::outputs::inputs;
use crate::cli::site;
use crate::domain::accounting::Accounting;
use crate::domain::counts::CountTables;
use crate::domain::fields::CaseField;
use crate::domain::issue::IssueCode;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::domain::recording::Recording;
use crate::domain::review_rules::{CaseToReview, review_rules};
use crate::export::manifest::Input;
use crate::findings::comparisons::{CaseOrder, HARM};
use crate::ingest::{Ingested, Mapping, with_value};
use crate::measure::{self, InOrder};
use std::collections::BTreeMap;

/// Counts, and what only rows can tell beside them.
pub(super) struct Basis<'a> {
    /// What holds for all of it: windows, hours, changes, targets.
    pub(super) mapping: &'a Mapping,
    pub(super) counts: CountTables,
    /// The order of events of harm.
    pub(super) order: CaseOrder,
    /// Cases of the month in view that somebody should read; `None` without rows.
    pub(super) list: Option<Vec<CaseToReview>>,
    /// First and last month.
    pub(super) observed: (Month, Month),
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
    /// Counts the rows.
    ///
    /// # Errors
    /// When a measure cannot be counted.
    pub(super) fn of_rows(
        arguments: &Arguments,
        read: &'a Read,
        definitions: &[Definition],
        observed: (Month, Month),
        month: Month,
    ) -> anyhow::Result<Basis<'a>> {
        let ingested = &read.ingested;
        let (counts, order) = counts(arguments, read, definitions, month)?;
        Ok(Basis {
            mapping: &read.mapping,
            counts,
            order,
            list: Some(list_of(ingested, month, definitions)?),
            observed,
            counted: site::counted_cases(arguments.site.as_deref(), ingested),
            cases: ingested.cases_accounting,
            passes: ingested.passes_accounting,
            issues: ingested.issues.tallies(),
            completeness: ingested.completeness.clone(),
            recording: ingested.recording.clone(),
            inputs: inputs(read)?,
        })
    }

    /// Takes counts as they are.
    pub(super) fn of_counts(counted: &'a Counted) -> Basis<'a> {
        Basis {
            mapping: &counted.mapping,
            counts: counted.counts.clone(),
            order: CaseOrder::NotKept,
            list: None,
            observed: counted.observed,
            counted: counted.cases_counted,
            cases: counted.cases,
            passes: counted.passes,
            issues: counted.issues.clone(),
            completeness: Vec::new(),
            recording: Recording::default(),
            inputs: counted.inputs.clone(),
        }
    }
}

/// The cases of the month in view that somebody should read. Only that month is looked at, since the
/// rows of a measure are needed for them.
fn list_of(
    ingested: &Ingested,
    month: Month,
    definitions: &[Definition],
) -> anyhow::Result<Vec<CaseToReview>> {
    let month = month.to_string();
    let (cases, passes) = with_value(&ingested.cases, &ingested.passes, CaseField::Month, &month);
    let rules = review_rules();
    Ok(measure::cases_to_review(
        &cases,
        &passes,
        definitions,
        &rules,
    )?)
}

/// The count tables, and the order of events of harm up to the month in view where times tell it.
fn counts(
    arguments: &Arguments,
    read: &Read,
    definitions: &[Definition],
    month: Month,
) -> anyhow::Result<(CountTables, CaseOrder)> {
    let ingested = &read.ingested;
    let has_order = read.mapping.has_clock_times();
    let in_order = InOrder {
        measures: if has_order { &HARM } else { &[] },
        last_month: Some(month),
    };
    let (tables, sequences) = measure::count_in_order(
        &ingested.cases,
        &ingested.passes,
        &ingested.exposure,
        definitions,
        &in_order,
        arguments.inputs.threads(),
    )?;
    let order = if has_order {
        CaseOrder::Known(sequences)
    } else {
        CaseOrder::Elapsed
    };
    Ok((tables, order))
}
