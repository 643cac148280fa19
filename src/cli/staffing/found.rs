//! From the records, the roster, the checks and the plan to what is found.

use super::Arguments;
use super::extras::Extras;
use crate::cli::inputs::Read;
use crate::cli::outputs::inputs;
use crate::cli::site;
use crate::domain::duty::issue::{DutyIssueKind, by_kind_and_column};
use crate::domain::month::Month;
use crate::findings::estimate::{Settings, ShareMethod};
use crate::findings::staffing::checks::cart_checks;
use crate::findings::staffing::coverage::coverage;
use crate::findings::staffing::demand::demand;
use crate::findings::staffing::kit::kit;
use crate::findings::staffing::load::load;
use crate::findings::staffing::overlap::overlap;
use crate::findings::staffing::stock::stock;
use crate::findings::staffing::{RowsOfFile, Staffing};
use crate::measure::{self, Counter};
use crate::stats::Level;
use std::collections::BTreeMap;

/// Measures whose counts are needed.
const MEASURES: [&str; 2] = ["calls", "device_malfunction"];

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
    let mut counter = Counter::new(&definitions, &[], threads);
    counter.add_all(&ingested.cases, &ingested.passes);
    let (counts, _) = counter.finish().tables(&ingested.exposure, None)?;
    let items = measure::item_counts(&ingested.cases, &ingested.passes)?;
    let rules = extras.plan.rules;
    let on_clock = match &extras.calendar {
        Some(calendar) => Some((calendar, measure::duty_calls(&ingested.cases)?)),
        None => None,
    };
    let on_clock = on_clock.as_ref();
    let roster = extras.roster.as_ref().map(|file| file.file.rows.as_slice());
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
        checks: checks.and_then(|checks| cart_checks(&checks.file.rows, day_of, settings)),
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
fn rows(read: &Read, extras: &Extras) -> Vec<RowsOfFile> {
    let of_export = |file, rows| RowsOfFile {
        file,
        rows,
        left_out: 0,
    };
    let passes = read.ingested.passes_accounting;
    let mut rows = vec![of_export("cases", read.ingested.cases_accounting)];
    rows.extend(passes.map(|passes| of_export("passes", passes)));
    rows.extend(extras.files().map(|file| RowsOfFile {
        file: file.what,
        rows: file.accounting,
        left_out: file.left_out,
    }));
    rows
}

/// The issues of roster and checks, by file, kind and column.
fn duty_issues(extras: &Extras) -> BTreeMap<(String, DutyIssueKind, &'static str), u64> {
    let mut tallies = BTreeMap::new();
    for file in extras.files() {
        for ((kind, column), occurrences) in by_kind_and_column(file.issues) {
            tallies.insert((file.name.to_owned(), kind, column), occurrences.count);
        }
    }
    tallies
}
