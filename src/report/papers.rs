//! What goes into a paper: the case mix and the main findings as tables in Markdown and LaTeX, a
//! paragraph of methods with its sources, and a list of what the outputs cover.
//!
//! Decides what stands there. Files are written by the caller.

mod checklist;
mod devices;
mod latex;
mod methods;
mod months;
mod sources;
mod times;

use super::content::{Cell, Table};
use super::{format, groups, markdown, series, words};
use crate::domain::counts::SITE;
use crate::domain::fields::{dimension_label, value_label};
use crate::findings::calls_by_hour::CALLS;
use crate::findings::case_mix::{CaseMix, Largest, Quartiles, Variable, share};
use crate::findings::finding::{Finding, Statistic, Unit};
use crate::findings::review::Review;

/// Groups that a page has room for side by side.
const GROUPS_SHOWN: usize = 8;

/// Files for a paper, each with its path and content; without a case mix where none may be shared.
/// The same review gives the same bytes.
pub fn papers(review: &Review, mix: Option<&CaseMix>) -> Vec<(String, String)> {
    let (mut files, mut names) = (Vec::new(), Vec::new());
    let optional = [
        ("main_findings", main_findings(review, mix)),
        ("devices", devices::table(review)),
        ("time_to_scope", times::curves(review)),
        ("ends", times::ends(review)),
        ("months", months::table(review)),
    ];
    let optional = optional
        .into_iter()
        .filter(|(_, table)| !table.rows.is_empty());
    let case_mix = mix.map(|mix| ("case_mix", case_mix(review, mix)));
    for (name, table) in case_mix.into_iter().chain(optional) {
        names.push(name);
        files.push((format!("papers/{name}.md"), markdown::table(&table)));
        files.push((format!("papers/{name}.tex"), latex::document(&table, name)));
    }
    let (text, keys) = methods::methods(review, mix);
    files.push(("methods.txt".to_owned(), text));
    files.push(("methods.bib".to_owned(), sources::bibliography(&keys)));
    let checklist = checklist::document(review, &names);
    files.push(("reporting.md".to_owned(), checklist));
    files
}

/// All cases, also where the counts do not hold them by group.
fn cases(review: &Review, mix: Option<&CaseMix>) -> Option<u64> {
    let grouped = mix.filter(|mix| !mix.groups.is_empty());
    grouped.map(CaseMix::cases).or_else(|| {
        let calls = review.findings.overall(CALLS, None, Statistic::Rate);
        let told = calls.filter(|calls| !calls.suppressed);
        told.map(|calls| calls.events)
    })
}

/// `900 recorded cases`; without the number where it may not be told.
fn all_cases(review: &Review, mix: Option<&CaseMix>) -> String {
    cases(review, mix).map_or_else(
        || "recorded cases".to_owned(),
        |cases| format::counted(cases, "recorded case", "recorded cases"),
    )
}

fn case_mix(review: &Review, mix: &CaseMix) -> Table {
    let shown = if mix.groups.len() <= GROUPS_SHOWN {
        mix.groups.len()
    } else {
        0
    };
    let by = dimension_label(mix.by.code());
    let left_out = match mix.groups.len() {
        shown_all if shown_all == shown => String::new(),
        groups => format!(" The {groups} groups stand in tables/case_mix.csv."),
    };
    let without_row: String = [not_counted(review, mix), withheld(review, mix)]
        .into_iter()
        .flatten()
        .flat_map(|words| [" ".to_owned(), words])
        .collect();
    let mut table = Table::new(
        format!(
            "Case mix by {by}, {}, n = {} cases. Cases (percent of the cases with the item recorded); \
             not recorded as percent of all cases that are asked, a tier of urgency that could not be assigned \
             among them; minutes as median (lower to upper quartile) with the cases judged, by Kaplan-Meier \
             where some were not followed to the end. \
             SMD: largest standardized difference of any two groups, over the recorded categories, or of \
             means where every time reached its end. No intervals and no tests: all recorded cases are \
             described.{left_out}{without_row}",
            series::period(review),
            format::whole(cases(review, Some(mix)).unwrap_or(0))
        ),
        &[""],
    );
    table.columns.push(format!(
        "All (n = {})",
        format::whole(cases(review, Some(mix)).unwrap_or(0))
    ));
    for (group, cases) in &mix.groups[..shown] {
        let label = value_label(mix.by.code(), group);
        let cases = format::whole(*cases);
        table.columns.push(format!("{label} (n = {cases})"));
    }
    table.columns.push("SMD".to_owned());
    for variable in &mix.variables {
        push_variable(&mut table, mix, variable, shown);
    }
    for time in &mix.times {
        let title = review.title(&time.measure);
        let mut row: Vec<Cell> = vec![format!("{title}, min").into()];
        let each = std::iter::once(&time.all).chain(&time.groups[..shown]);
        row.extend(each.map(|quartiles| minutes(quartiles).into()));
        row.push(difference(mix, time.largest).into());
        table.push(row);
    }
    table
}

/// What has no row since the counts do not hold it, and what to do; `None` where all is counted.
fn not_counted(review: &Review, mix: &CaseMix) -> Option<String> {
    (!mix.not_counted.is_empty()).then(|| {
        format!(
            "Not counted for every case by {}, so without a row here: {}. Counts made before these \
             groupings existed lack them; counting the exports again adds them.",
            dimension_label(mix.by.code()),
            listed(review, &mix.not_counted)
        )
    })
}

/// What has no row since it would give a small count away; `None` where nothing is withheld.
pub(super) fn withheld(review: &Review, mix: &CaseMix) -> Option<String> {
    (!mix.withheld.is_empty()).then(|| {
        format!(
            "Withheld from the case mix, since they would give a small count away: {}.",
            listed(review, &mix.withheld)
        )
    })
}

/// Variables and measures of time by their labels and titles.
fn listed(review: &Review, names: &[String]) -> String {
    let names = names.iter().map(|name| {
        let definition = review.definition(name);
        definition.map_or(dimension_label(name), |definition| &definition.title)
    });
    names.collect::<Vec<_>>().join(", ")
}

fn push_variable(table: &mut Table, mix: &CaseMix, variable: &Variable, shown: usize) {
    let recorded = variable.recorded();
    let label = format::capitalized(dimension_label(variable.name));
    let mut heading: Vec<Cell> = vec![label.into()];
    heading.resize(shown + 2, "".into());
    heading.push(difference(mix, variable.largest).into());
    table.push(heading);
    let mut add = |label: &str, cases: &[u64], of: &[u64]| {
        let mut row: Vec<Cell> = vec![format!("\u{2003}{label}").into()];
        row.push(part(cases.iter().sum(), of.iter().sum()).into());
        let each = cases.iter().zip(of).take(shown);
        row.extend(each.map(|(cases, of)| Cell::from(part(*cases, *of))));
        row.push("".into());
        table.push(row);
    };
    for category in &variable.categories {
        let label = value_label(variable.name, &category.code);
        add(label, &category.cases, &recorded);
    }
    let asked = recorded.iter().zip(&variable.missing);
    let asked: Vec<u64> = asked
        .map(|(recorded, missing)| recorded + missing)
        .collect();
    add("not recorded", &variable.missing, &asked);
}

/// `162 (46%)`; the cases alone where they are too few for a percentage.
fn part(cases: u64, of: u64) -> String {
    let count = format::whole(cases);
    match share(cases, of).filter(|_| of >= format::FEWEST_CASES_FOR_PERCENT) {
        Some(share) => format!("{count} ({})", format::with_unit(Unit::Fraction, of, share)),
        None => count,
    }
}

/// The number of a finding behind its counts: `19 of 20 (95%)`, `54 min, n = 38`, `12.3 (38 events)`; of
/// few cases the counts alone.
fn number_with_counts(finding: &Finding) -> String {
    if finding.suppressed || format::is_empty(finding) {
        return format::estimate(finding);
    }
    let estimate = format::estimate(finding);
    let counts = format::counts(finding);
    match finding.unit {
        Unit::Fraction => {
            let counts = if finding.attempts.is_some() {
                counts
            } else {
                let [events, cases] = [finding.events, finding.cases].map(format::whole);
                format!("{events} of {cases}")
            };
            match format::shown_estimate(finding) {
                Some(_) => format!("{counts} ({estimate})"),
                None => counts,
            }
        }
        Unit::Minutes => format!("{estimate}, n = {}", format::whole(finding.cases)),
        Unit::Per30SiteDays => format!("{estimate} ({counts})"),
    }
}

/// `43 (30 to 71), n = 340`.
fn minutes(quartiles: &Quartiles) -> String {
    let number = |minutes: Option<f64>| {
        minutes.map_or_else(
            || format::NOTHING.to_owned(),
            |minutes| format::bare(Unit::Minutes, quartiles.cases, minutes),
        )
    };
    if quartiles.cases == 0 {
        return format::NOTHING.to_owned();
    }
    format!(
        "{} ({} to {}), n = {}",
        number(quartiles.median),
        number(quartiles.p25),
        number(quartiles.p75),
        format::whole(quartiles.cases)
    )
}

/// `0.26 (Alder, Cedar)`; the groups go without saying where there are two.
fn difference(mix: &CaseMix, largest: Option<Largest>) -> String {
    let Some(Largest { size, between }) = largest else {
        return format::NOTHING.to_owned();
    };
    let size = format::ratio(size);
    if mix.groups.len() == 2 {
        return size;
    }
    let [a, b] = between.map(|place| value_label(mix.by.code(), &mix.groups[place].0));
    format!("{size} ({a}, {b})")
}

fn main_findings(review: &Review, mix: Option<&CaseMix>) -> Table {
    let mut table = Table::new(
        format!(
            "Main findings by site, {}, {}. Each with its numerator and denominator and its {} \
             interval by the method named; cases that could not be judged, or that the measure is not about, \
             are not in the denominator. \
             Rates are per 30 days of one site. Groups stand in the order of their names; unadjusted.",
            series::period(review),
            all_cases(review, mix),
            format::level(review.level)
        ),
        &[
            "Measure",
            "Site",
            "Cases",
            "Estimate",
            "Interval",
            "Not judged",
            "Method",
        ],
    );
    for headline in &review.headlines {
        let Some(definition) = review.definition(&headline.measure) else {
            continue;
        };
        let statistic = series::main_statistic(definition.kind);
        let title = definition.title.as_str();
        if let Some(all) = review.findings.overall(&definition.id, None, statistic) {
            table.push(finding_row(title, "all", all));
        }
        let sites = groups::in_list_order(review, &definition.id, SITE, statistic);
        for finding in sites {
            let site = value_label(SITE, &finding.group);
            table.push(finding_row("", site, finding));
        }
    }
    table
}

fn finding_row(title: &str, site: &str, finding: &Finding) -> Vec<Cell> {
    vec![
        title.into(),
        site.into(),
        format::counts(finding).into(),
        format::estimate(finding).into(),
        format::interval(finding).into(),
        format::unless_withheld(finding, finding.excluded).into(),
        words::method_name(finding.method).into(),
    ]
}

#[cfg(test)]
mod tests;
