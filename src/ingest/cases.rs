//! The cases export → records of cases, and what later steps need to know of them.

use super::case::CaseReader;
use super::error::IngestError;
use super::mapping::Mapping;
use super::records::{Columns, Record};
use super::rows::{ByKey, Export, Seen};
use crate::domain::accounting::Accounting;
use crate::domain::fields::{CaseField, Field};
use crate::domain::issue::{Issue, IssueCode, Source};
use crate::domain::month::Month;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// What became of a case, so that its passes can be told from strays.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Fate {
    Accepted,
    OutsidePeriod,
}

/// First and last month to keep; `None` where nothing was asked for.
pub(super) type Bounds = (Option<Month>, Option<Month>);

/// The accepted cases.
pub(super) struct Cases {
    pub(super) columns: Columns<CaseField>,
    pub(super) fates: ByKey<Fate>,
    /// Accepted cases by month of the call.
    pub(super) months: BTreeMap<Month, u64>,
    /// Accepted cases by site.
    pub(super) sites: BTreeMap<String, u64>,
    /// For each mapped field, in how many accepted cases it has a value.
    pub(super) filled: Vec<(CaseField, u64)>,
}

pub(super) fn read_cases(
    paths: &[PathBuf],
    mapping: &Mapping,
    bounds: Bounds,
    issues: &mut Vec<Issue>,
) -> Result<(Cases, Accounting), IngestError> {
    let export = Export {
        source: Source::Cases,
        paths,
        separator: mapping.cases_separator,
        columns: &mapping.case_columns,
    };
    let reader = CaseReader::new(mapping);
    let mut seen = Seen::default();
    let mut cases = Cases {
        columns: Columns::new(),
        fates: ByKey::default(),
        months: BTreeMap::new(),
        sites: BTreeMap::new(),
        filled: mapping
            .mapped_case_fields()
            .map(|field| (field, 0))
            .collect(),
    };
    let accounting = export.read_rows(issues, |row, at, issues| {
        let record = reader.read(row, at, issues)?;
        let id = record
            .text(CaseField::CaseId)
            .ok_or(IssueCode::MissingKey)?;
        seen.check(id.to_string(), row)?;
        cases.accept(&record, id, bounds)
    })?;
    Ok((cases, accounting))
}

impl Cases {
    fn accept(
        &mut self,
        record: &Record<CaseField>,
        id: &str,
        (from, to): Bounds,
    ) -> Result<(), IssueCode> {
        let month: Month = record
            .text(CaseField::Month)
            .and_then(|month| month.parse().ok())
            .ok_or(IssueCode::MissingCall)?;
        if from.is_some_and(|from| month < from) || to.is_some_and(|to| month > to) {
            self.fates.insert(id.to_string(), Fate::OutsidePeriod);
            return Err(IssueCode::OutsidePeriod);
        }
        self.fates.insert(id.to_string(), Fate::Accepted);
        *self.months.entry(month).or_default() += 1;
        if let Some(site) = record.text(CaseField::Site) {
            *self.sites.entry(site.to_string()).or_default() += 1;
        }
        for (field, count) in &mut self.filled {
            *count += u64::from(record.has(*field));
        }
        self.columns.push(record);
        Ok(())
    }

    /// For each mapped field by name, in how many accepted cases it has a value.
    pub(super) fn completeness(&self) -> Vec<(&'static str, u64)> {
        self.filled
            .iter()
            .map(|(field, count)| (field.name(), *count))
            .collect()
    }
}
