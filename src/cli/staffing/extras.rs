//! The files beside the exports: duty plan, roster, checks of carts. What concerns other months, or a
//! site that is not looked at, is left out and counted.

use super::Arguments;
use crate::cli::inputs::{Read, name};
use crate::cli::{console, limits, site};
use crate::domain::accounting::Accounting;
use crate::domain::duty::calendar::{DutyCalendar, Span};
use crate::domain::duty::cart_check::CartCheck;
use crate::domain::duty::issue::DutyIssue;
use crate::domain::duty::plan::DutyPlan;
use crate::domain::duty::roster::RosterLine;
use crate::domain::month::Month;
use crate::export::manifest::Input;
use crate::ingest::{DutyRows, read_cart_checks, read_plan, read_roster};
use crate::report::counted;
use anyhow::bail;
use std::collections::BTreeMap;
use std::path::Path;

/// The files beside the exports.
pub(super) struct Extras {
    pub(super) plan: DutyPlan,
    pub(super) roster: Option<Extra<RosterLine>>,
    pub(super) checks: Option<Extra<CartCheck>>,
    /// Those that were given, as `run.json` lists them.
    pub(super) inputs: Vec<Input>,
    /// Staffed hours, nights and days under the rules of the plan; `None` without clock times.
    pub(super) calendar: Option<DutyCalendar>,
}

/// A file with rows, whatever its rows are.
pub(super) struct ExtraFile<'a> {
    /// What it was read as, in words.
    pub(super) what: &'static str,
    /// What to call it in messages.
    pub(super) name: &'a str,
    pub(super) accounting: Accounting,
    pub(super) issues: &'a [DutyIssue],
    /// Accepted rows of other months or sites.
    pub(super) left_out: u64,
}

/// A file with rows.
pub(super) struct Extra<T> {
    /// What to call it in messages.
    name: String,
    /// What was read, less what is left out.
    pub(super) file: DutyRows<T>,
    /// Accepted rows of other months or sites.
    left_out: u64,
}

/// What is common to the rows of both files.
pub(super) trait Planned {
    fn site(&self) -> &str;
    fn is_within(&self, period: Span) -> bool;
}

impl Planned for RosterLine {
    fn site(&self) -> &str {
        &self.site
    }

    fn is_within(&self, period: Span) -> bool {
        self.span.shared(period) > 0
    }
}

impl Planned for CartCheck {
    fn site(&self) -> &str {
        &self.site
    }

    fn is_within(&self, period: Span) -> bool {
        period.contains(self.due)
    }
}

impl Extras {
    /// Reads what was given.
    ///
    /// # Errors
    /// When a file cannot be used.
    pub(super) fn read(
        arguments: &Arguments,
        read: &Read,
        (first, last): (Month, Month),
    ) -> anyhow::Result<Extras> {
        let mut extras = Extras {
            plan: DutyPlan::default(),
            roster: None,
            checks: None,
            inputs: Vec::new(),
            calendar: None,
        };
        if let Some(path) = &arguments.duty {
            let file = read_plan(path)?;
            extras.plan = file.plan;
            extras
                .inputs
                .push(Input::read("duty", &name(path), file.bytes.as_slice())?);
        }
        extras.calendar = read.mapping.duty_calendar(first, last, extras.plan.rules);
        let period = extras.calendar.as_ref().map(|calendar| calendar.period);
        let site = arguments.site.as_deref();
        if let Some(path) = &arguments.roster {
            let file = read_roster(path, &read.mapping)?;
            let file = Extra::new(path, file, &read.ingested.cases_by_site, period, site)?;
            extras.inputs.push(file.input("roster"));
            extras.roster = Some(file);
        }
        if let Some(path) = &arguments.cart_checks {
            let file = read_cart_checks(path, &read.mapping)?;
            let file = Extra::new(path, file, &read.ingested.cases_by_site, period, site)?;
            extras.inputs.push(file.input("cart_checks"));
            extras.checks = Some(file);
        }
        extras.keep_scenarios(&read.ingested.cases_by_site, site);
        Ok(extras)
    }

    /// Keeps the scenarios of sites that are looked at. A site without a case has no calls to simulate.
    fn keep_scenarios(&mut self, known: &BTreeMap<String, u64>, site: Option<&str>) {
        for scenario in &self.plan.scenarios {
            if let Some(unknown) = scenario
                .site
                .as_deref()
                .filter(|of| !known.contains_key(*of))
            {
                let place = format!("scenario `{}` is left out: `site`", scenario.name);
                console::warn(&site::unknown(&place, unknown, known));
            }
        }
        self.plan.scenarios.retain(|scenario| {
            let of = scenario.site.as_deref();
            of.is_none_or(|of| known.contains_key(of) && site.is_none_or(|site| site == of))
        });
    }

    /// One sentence for each file of which more rows were set aside than the mapping allows.
    pub(super) fn limits_crossed(&self, read: &Read) -> Vec<String> {
        let limit = read.mapping.limits().rows_set_aside;
        self.files()
            .filter_map(|file| {
                let rows = file.accounting;
                limits::of_rows(file.what, rows.set_aside, rows.read, limit)
            })
            .collect()
    }

    /// The files with rows that were given.
    pub(super) fn files(&self) -> impl Iterator<Item = ExtraFile<'_>> {
        let roster = self.roster.as_ref().map(|file| file.described("roster"));
        let checks = self
            .checks
            .as_ref()
            .map(|file| file.described("cart checks"));
        roster.into_iter().chain(checks)
    }
}

impl<T: Planned> Extra<T> {
    /// # Errors
    /// When no row can be used: that is not what was meant.
    fn new(
        path: &Path,
        mut file: DutyRows<T>,
        known: &BTreeMap<String, u64>,
        period: Option<Span>,
        site: Option<&str>,
    ) -> anyhow::Result<Extra<T>> {
        let name = name(path);
        if file.rows.is_empty() {
            let first = file.issues.first();
            bail!(
                "`{name}` has {} and none that can be used; the first: line {}, {}",
                counted(file.accounting.read, "row", "rows"),
                first.map_or(0, |issue| issue.line_number),
                first.map_or("", |issue| issue.kind.summary())
            );
        }
        let is_strange = |row: &&T| !known.contains_key(row.site());
        match file.rows.iter().filter(is_strange).count() as u64 {
            0 => {}
            1 => console::warn(&format!(
                "1 row of `{name}` is of a site without a case; is its name written as in the export?"
            )),
            strange => console::warn(&format!(
                "{} of `{name}` are of a site without a case; is its name written as in the export?",
                counted(strange, "row", "rows")
            )),
        }
        let before = file.rows.len();
        file.rows.retain(|row| {
            known.contains_key(row.site())
                && period.is_none_or(|period| row.is_within(period))
                && site.is_none_or(|site| site == row.site())
        });
        Ok(Extra {
            name,
            left_out: (before - file.rows.len()) as u64,
            file,
        })
    }
}

impl<T> Extra<T> {
    fn described(&self, what: &'static str) -> ExtraFile<'_> {
        ExtraFile {
            what,
            name: &self.name,
            accounting: self.file.accounting,
            issues: &self.file.issues,
            left_out: self.left_out,
        }
    }

    fn input(&self, role: &str) -> Input {
        Input {
            role: role.to_owned(),
            file: self.name.clone(),
            bytes: self.file.facts.bytes,
            sha256: self.file.facts.sha256.clone(),
            read_as: None,
        }
    }
}
