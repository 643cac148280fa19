//! One table of several measures over the whole period, by shift: for measures of which no chart is
//! worth its place on the page.

use crate::domain::codes::Shift;
use crate::domain::counts::ALL;
use crate::domain::fields::{CaseField, Field, value_label};
use crate::domain::measure::{Definition, MeasureKind};
use crate::findings::finding::{Address, Finding, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Table};
use crate::report::{format, series, words};

/// The table; `None` when none of the measures was counted.
pub(super) fn table(review: &Review, what: &str, measures: &[&str]) -> Option<Block> {
    let by = CaseField::Shift.column();
    let shifts = Shift::ALL.iter().map(|shift| shift.code());
    let groups: Vec<_> = [(ALL, ALL)]
        .into_iter()
        .chain(shifts.map(|shift| (by, shift)))
        .collect();
    let mut table = Table::new(
        format!(
            "{what}, {} ({} interval)",
            series::whole_period(review),
            format::level(review.level)
        ),
        &["Measure", "All"],
    );
    let names = Shift::ALL
        .iter()
        .map(|shift| format::capitalized(value_label(by, shift.code())));
    table.columns.extend(names);
    table.columns.push("Method".to_owned());
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
