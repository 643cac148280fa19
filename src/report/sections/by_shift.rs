//! One table of several measures over the whole period, by shift: for measures of which no chart is
//! worth its place on the page.

use crate::domain::codes::Shift;
use crate::domain::counts::ALL;
use crate::domain::fields::{CaseField, Field, value_label};
use crate::domain::measure::{Definition, MeasureKind};
use crate::findings::finding::{Address, Finding, Findings, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Table};
use crate::report::{format, series, words};

/// The table; `None` when none of the measures was counted.
pub(super) fn table(review: &Review, what: &str, measures: &[&str]) -> Option<Block> {
    let groups = groups();
    let mut table = empty(review, what);
    for definition in measures.iter().filter_map(|id| review.definition(id)) {
        for (statistic, words) in statistics(definition.kind) {
            let found: Vec<_> = groups
                .iter()
                .map(|&(by, group)| {
                    review.findings.at(Address {
                        measure: &definition.id,
                        by,
                        group,
                        month: None,
                        statistic: *statistic,
                    })
                })
                .collect();
            let label = Cell::from(row_label(definition, words));
            let method = words::method_names(found.iter().copied().flatten());
            let cells = found.into_iter().map(cell);
            let row = [label].into_iter().chain(cells);
            table.push(row.chain([Cell::from(method)]).collect());
        }
    }
    (!table.rows.is_empty()).then_some(Block::Table(table))
}

/// A table like [`table`] of one share from findings of its own.
pub(super) fn share_table(
    review: &Review,
    what: &str,
    (label, measure): (&str, &str),
    findings: &Findings,
) -> Option<Block> {
    findings.overall(measure, None, Statistic::Share)?;
    let mut table = empty(review, what);
    let found = groups().map(|(by, group)| {
        findings.at(Address {
            measure,
            by,
            group,
            month: None,
            statistic: Statistic::Share,
        })
    });
    let method = words::method_names(found.iter().copied().flatten());
    let cells = found.into_iter().map(cell);
    let row = [Cell::from(label)].into_iter().chain(cells);
    table.push(row.chain([Cell::from(method)]).collect());
    Some(Block::Table(table))
}

/// All cases, then each shift, as dimension and group.
pub(super) fn groups() -> [(&'static str, &'static str); Shift::ALL.len() + 1] {
    let mut groups = [(ALL, ALL); Shift::ALL.len() + 1];
    for (group, shift) in groups.iter_mut().skip(1).zip(Shift::ALL) {
        *group = (CaseField::Shift.column(), shift.code());
    }
    groups
}

/// `All`, or the words for the shift, for the head of a column or row.
pub(super) fn group_name((by, group): (&str, &str)) -> String {
    if by == ALL {
        "All".to_owned()
    } else {
        format::capitalized(value_label(by, group))
    }
}

/// The table without rows.
fn empty(review: &Review, what: &str) -> Table {
    let mut table = Table::new(
        format!(
            "{what}, {} ({} interval)",
            series::whole_period(review),
            format::level(review.level)
        ),
        &["Measure"],
    );
    table.columns.extend(groups().map(group_name));
    table.columns.push("Method".to_owned());
    table
}

/// The numbers that a row is for, with what to add to the title.
fn statistics(kind: MeasureKind) -> &'static [(Statistic, &'static str)] {
    match kind {
        MeasureKind::Share | MeasureKind::ClusteredShare => &[(Statistic::Share, "")],
        MeasureKind::Minutes => &[
            (Statistic::Median, "median"),
            (Statistic::P90, "nine of ten within"),
        ],
        MeasureKind::Count => &[(Statistic::Rate, "")],
    }
}

fn row_label(definition: &Definition, words: &str) -> String {
    if words.is_empty() {
        definition.title.clone()
    } else {
        format!("{}: {words}", definition.title)
    }
}

/// An estimate with its counts and interval, and how many cases could not be judged.
fn cell(finding: Option<&Finding>) -> Cell {
    let mut cell = series::value_cell(finding);
    if let Some(finding) = finding
        && finding.excluded > 0
        && !finding.suppressed
        && !format::is_empty(finding)
    {
        let excluded = format::whole(finding.excluded);
        cell.details.push(format!("{excluded} not judged"));
    }
    cell
}
