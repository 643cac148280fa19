//! From the records, the roster, the checks and the plan to what is found.

use super::Arguments;
use crate::cli::console;
use crate::cli::inputs::{Read, name};
use crate::cli::outputs::inputs;
use crate::cli::site;
use crate::domain::accounting::Accounting;
use crate::domain::duty::cart_check::CartCheck;
use crate::domain::duty::issue::{DutyIssueKind, by_kind_and_column};
use crate::domain::duty::plan::DutyPlan;
use crate::domain::duty::roster::RosterLine;
use crate::domain::month::Month;
use crate::export::manifest::Input;
use crate::findings::estimate::{Settings, ShareMethod};
use crate::findings::staffing::Staffing;
use crate::findings::staffing::checks::cart_checks;
use crate::findings::staffing::coverage::coverage;
use crate::findings::staffing::demand::demand;
use crate::findings::staffing::kit::kit;
use crate::findings::staffing::load::load;
use crate::findings::staffing::overlap::overlap;
use crate::findings::staffing::stock::stock;
use crate::ingest::{DutyRows, read_cart_checks, read_plan, read_roster};
use crate::measure::{self, InOrder};
use crate::report::counted;
use crate::stats::Level;
use anyhow::bail;
use std::collections::BTreeMap;
use std::path::Path;

/// Measures whose counts are needed.
const MEASURES: [&str; 2] = ["calls", "device_malfunction"];

/// The files beside the exports.
pub(super) struct Extras {
    pub(super) plan: DutyPlan,
    pub(super) roster: Option<Named<RosterLine>>,
    pub(super) checks: Option<Named<CartCheck>>,
    /// Those that were given, as `run.json` lists them.
    pub(super) inputs: Vec<Input>,
}

/// A file that was read.
pub(super) struct Named<T> {
    /// What to call it in messages.
    pub(super) name: String,
    pub(super) rows: DutyRows<T>,
}

impl<T> Named<T> {
    fn new(path: &Path, rows: DutyRows<T>) -> Named<T> {
        Named {
            name: name(path),
            rows,
        }
    }

    fn check(
        &self,
        known: &BTreeMap<String, u64>,
        site: impl Fn(&T) -> &String,
    ) -> anyhow::Result<()> {
        if self.rows.rows.is_empty() {
            bail!(
                "`{}` has {} and none that can be used; the first: line {}, {}",
                self.name,
                counted(self.rows.accounting.read, "row", "rows"),
                self.rows
                    .issues
                    .first()
                    .map_or(0, |issue| issue.line_number),
                self.rows
                    .issues
                    .first()
                    .map_or("", |issue| issue.kind.summary())
            );
        }
        let rows = self.rows.rows.iter();
        let strange = rows.filter(|row| !known.contains_key(site(row))).count();
        if strange > 0 {
            console::warn(&format!(
                "{} of `{}` are of a site without a case; is its name written as in the export?",
                counted(strange as u64, "row", "rows"),
                self.name
            ));
        }
        Ok(())
    }

    fn input(&self, role: &str) -> Input {
        Input {
            role: role.to_owned(),
            file: self.name.clone(),
            bytes: self.rows.facts.bytes,
            sha256: self.rows.facts.sha256.clone(),
            read_as: None,
        }
    }
}

impl Extras {
    /// Reads what was given.
    ///
    /// # Errors
    /// When a file cannot be used, or is of a site that the records do not have.
    pub(super) fn read(arguments: &Arguments, read: &Read) -> anyhow::Result<Extras> {
        let mut extras = Extras {
            plan: DutyPlan::default(),
            roster: None,
            checks: None,
            inputs: Vec::new(),
        };
        if let Some(path) = &arguments.duty {
            let file = read_plan(path)?;
            extras.plan = file.plan;
            extras
                .inputs
                .push(Input::read("duty", &name(path), file.bytes.as_slice())?);
        }
        if let Some(path) = &arguments.roster {
            let file = Named::new(path, read_roster(path, &read.mapping)?);
            extras.inputs.push(file.input("roster"));
            extras.roster = Some(file);
        }
        if let Some(path) = &arguments.cart_checks {
            let file = Named::new(path, read_cart_checks(path, &read.mapping)?);
            extras.inputs.push(file.input("cart_checks"));
            extras.checks = Some(file);
        }
        extras.check_sites(read)?;
        extras.check_rows(read)?;
        if let Some(site) = &arguments.site {
            extras.keep(site);
        }
        Ok(extras)
    }

    /// A site that no case has is a slip of the pen more often than a site without a call.
    fn check_sites(&self, read: &Read) -> anyhow::Result<()> {
        let known = &read.ingested.cases_by_site;
        let scenarios = self.plan.scenarios.iter();
        let unknown = scenarios
            .filter_map(|scenario| scenario.site.as_deref())
            .find(|site| !known.contains_key(*site));
        if let Some(unknown) = unknown {
            bail!(site::unknown("`site` of a `[[scenario]]`", unknown, known));
        }
        Ok(())
    }

    /// A file of which nothing can be used is not what was meant, and rows of a site without a case may
    /// be.
    fn check_rows(&self, read: &Read) -> anyhow::Result<()> {
        let known = &read.ingested.cases_by_site;
        if let Some(roster) = &self.roster {
            roster.check(known, |line| &line.site)?;
        }
        if let Some(checks) = &self.checks {
            checks.check(known, |check| &check.site)?;
        }
        Ok(())
    }

    /// Keeps what concerns one site.
    fn keep(&mut self, site: &str) {
        self.plan
            .scenarios
            .retain(|scenario| scenario.site.as_deref().is_none_or(|of| of == site));
        if let Some(roster) = &mut self.roster {
            roster.rows.rows.retain(|line| line.site == site);
        }
        if let Some(checks) = &mut self.checks {
            checks.rows.rows.retain(|check| check.site == site);
        }
    }
}

/// Everything that the report shows.
///
/// # Errors
/// When the records cannot be counted.
pub(super) fn staffing(
    arguments: &Arguments,
    read: &Read,
    extras: &Extras,
    (first, last): (Month, Month),
    made_on: Option<String>,
) -> anyhow::Result<Staffing> {
    let ingested = &read.ingested;
    let threads = arguments.inputs.threads();
    let settings = Settings {
        level: Level::P95,
        share_method: ShareMethod::Wilson,
    };
    let mut definitions = measure::built_in();
    definitions.retain(|definition| MEASURES.contains(&definition.id.as_str()));
    let (counts, _) = measure::count_in_order(
        &ingested.cases,
        &ingested.passes,
        &ingested.exposure,
        &definitions,
        &InOrder::default(),
        threads,
    )?;
    let items = measure::item_counts(&ingested.cases, &ingested.passes)?;
    let rules = extras.plan.rules;
    let on_clock = match read.mapping.duty_calendar(first, last, rules) {
        Some(calendar) => Some((calendar, measure::duty_calls(&ingested.cases)?)),
        None => None,
    };
    let on_clock = on_clock.as_ref();
    let roster = extras.roster.as_ref().map(|file| file.rows.rows.as_slice());
    let checks = extras.checks.as_ref();
    let day_of = |minute| read.mapping.day_of(minute);
    let mut inputs = inputs(read)?;
    inputs.extend(extras.inputs.iter().cloned());
    Ok(Staffing {
        site: arguments.site.clone(),
        sites: match &arguments.site {
            Some(_) => 1,
            None => ingested.cases_by_site.len() as u64,
        },
        cases: site::counted_cases(arguments.site.as_deref(), ingested),
        first_month: first,
        last_month: last,
        plan: extras.plan.clone(),
        is_plan_given: arguments.duty.is_some(),
        demand: demand(&counts, &definitions, first, last, settings),
        load: on_clock
            .map(|(calendar, calls)| load(calls, calendar, rules, roster, settings.level)),
        overlap: on_clock.map(|(calendar, calls)| overlap(calls, calendar, rules, settings.level)),
        coverage: on_clock.map(|(_, calls)| {
            let week = read.mapping.staffed_week();
            coverage(calls, &ingested.exposure, &week, &extras.plan, threads)
        }),
        stock: stock(
            &items,
            &ingested.exposure,
            &counts,
            &extras.plan.cart,
            settings,
        ),
        kit: kit(&items, &extras.plan.cart, settings),
        checks: checks.and_then(|checks| cart_checks(&checks.rows.rows, day_of, settings)),
        rows: rows(read, extras),
        issues: ingested.issues.tallies(),
        duty_issues: duty_issues(extras),
        inputs: inputs
            .into_iter()
            .map(|input| (input.role, input.sha256))
            .collect(),
        level: settings.level.fraction(),
        tool_version: env!("CARGO_PKG_VERSION"),
        made_on,
    })
}

/// What became of the rows of every file.
fn rows(read: &Read, extras: &Extras) -> Vec<(&'static str, Accounting)> {
    let passes = read.ingested.passes_accounting;
    let roster = extras.roster.as_ref().map(|file| file.rows.accounting);
    let checks = extras.checks.as_ref().map(|file| file.rows.accounting);
    [
        ("cases", Some(read.ingested.cases_accounting)),
        ("passes", passes),
        ("roster", roster),
        ("cart checks", checks),
    ]
    .into_iter()
    .filter_map(|(file, rows)| Some((file, rows?)))
    .collect()
}

/// The issues of roster and checks, by file, kind and column.
fn duty_issues(extras: &Extras) -> BTreeMap<(String, DutyIssueKind, &'static str), u64> {
    let mut tallies = BTreeMap::new();
    for (file, issues) in extras.issues() {
        for ((kind, column), occurrences) in by_kind_and_column(issues) {
            tallies.insert((file.to_owned(), kind, column), occurrences.count);
        }
    }
    tallies
}
