//! The whole of ingest: every file, every row, and what became of it.

use super::calendar;
use super::cases::{Bounds, Cases, read_cases};
use super::error::IngestError;
use super::mapping::Mapping;
use super::passes::read_passes;
use super::records::Columns;
use crate::domain::accounting::Accounting;
use crate::domain::exposure::{Exposure, ExposureCell};
use crate::domain::issue_log::IssueLog;
use crate::domain::month::Month;
use arrow::array::RecordBatch;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// What to read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Inputs {
    /// Cases exports, at least one.
    pub cases: Vec<PathBuf>,
    /// Passes exports.
    pub passes: Vec<PathBuf>,
    /// First month to keep; the mapping's period, or else the first month of the cases.
    pub from: Option<Month>,
    /// Last month to keep, likewise.
    pub to: Option<Month>,
    /// Whether every single issue is kept, and not only how often each kind came up where.
    pub list_issues: bool,
}

/// What was read.
#[derive(Clone, Debug)]
pub struct Ingested {
    /// One record per accepted case.
    pub cases: RecordBatch,
    /// One record per accepted pass; no rows when no passes were given.
    pub passes: RecordBatch,
    /// What became of the rows of the cases export.
    pub cases_accounting: Accounting,
    /// What became of the rows of the passes export; `None` when none was given.
    pub passes_accounting: Option<Accounting>,
    /// Everything that is wrong.
    pub issues: IssueLog,
    /// For each mapped field of a case, in how many accepted cases it has a value.
    pub completeness: Vec<(&'static str, u64)>,
    /// Accepted cases by month of the call.
    pub cases_by_month: BTreeMap<Month, u64>,
    /// Accepted cases by site.
    pub cases_by_site: BTreeMap<String, u64>,
    /// Whether the period comes from the first and the last call, for want of one that was given.
    pub is_period_guessed: bool,
    /// First and last month observed; `None` when no case was accepted.
    pub observed: Option<(Month, Month)>,
    /// Observed time.
    pub exposure: Exposure,
}

/// Reads all inputs.
///
/// # Errors
/// When a file cannot be read, lacks a mapped column, holds no row or ends inside a quote, or when
/// the months asked for lie outside the period of the mapping. Faults of single rows are issues in
/// the result.
pub fn ingest(inputs: &Inputs, mapping: &Mapping) -> Result<Ingested, IngestError> {
    let bounds = bounds(inputs, mapping)?;
    let mut issues = Vec::new();
    let (cases, cases_accounting) = read_cases(&inputs.cases, mapping, bounds, &mut issues)?;
    let (passes, passes_accounting) = if inputs.passes.is_empty() {
        (Columns::new(), None)
    } else {
        let mapping = mapping
            .passes
            .as_ref()
            .ok_or(IngestError::PassesNotMapped)?;
        let (passes, rows) = read_passes(&inputs.passes, mapping, &cases.fates, &mut issues)?;
        (passes, Some(rows))
    };
    issues.sort();
    let mut log = if inputs.list_issues {
        IssueLog::with_list()
    } else {
        IssueLog::default()
    };
    for issue in issues {
        log.add(issue);
    }
    let observed = observed(&cases, bounds);
    Ok(Ingested {
        completeness: cases.completeness(),
        exposure: observed
            .map(|months| exposure(mapping, &cases.sites, months))
            .unwrap_or_default(),
        observed,
        is_period_guessed: bounds.0.is_none() || bounds.1.is_none(),
        cases_by_month: cases.months,
        cases_by_site: cases.sites,
        cases: cases.columns.finish(),
        passes: passes.finish(),
        cases_accounting,
        passes_accounting,
        issues: log,
    })
}

/// The months that were asked for on the command line, or else in the mapping.
fn bounds(inputs: &Inputs, mapping: &Mapping) -> Result<Bounds, IngestError> {
    let Some(period) = mapping.period else {
        return Ok((inputs.from, inputs.to));
    };
    let is_outside = |month: &Month| !(period.0..=period.1).contains(month);
    match [inputs.from, inputs.to]
        .into_iter()
        .flatten()
        .find(is_outside)
    {
        Some(asked_for) => Err(IngestError::OutsidePeriod { asked_for, period }),
        None => Ok((
            Some(inputs.from.unwrap_or(period.0)),
            Some(inputs.to.unwrap_or(period.1)),
        )),
    }
}

/// The months within the bounds, or else those from the first accepted case to the last.
fn observed(cases: &Cases, (from, to): Bounds) -> Option<(Month, Month)> {
    let first = from.unwrap_or(*cases.months.keys().next()?);
    let last = to.unwrap_or(*cases.months.keys().next_back()?);
    Some((first, last.max(first)))
}

fn exposure(
    mapping: &Mapping,
    sites: &BTreeMap<String, u64>,
    (first_month, last_month): (Month, Month),
) -> Exposure {
    let mut exposure = Exposure::new();
    for month in first_month.through(last_month) {
        let minutes = calendar::minutes_of_month(month, &mapping.time_form, &mapping.staffed_hours);
        for (shift, minutes) in minutes {
            for site in sites.keys() {
                exposure.insert(
                    ExposureCell {
                        site: site.clone(),
                        month,
                        shift,
                    },
                    minutes,
                );
            }
        }
    }
    exposure
}
