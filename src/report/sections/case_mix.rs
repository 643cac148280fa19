//! Which cases came, month by month: a change of the mix moves other numbers without any change of
//! the service.

use super::calls::CALLS;
use crate::domain::codes::NOT_RECORDED;
use crate::domain::fields::{code_list, dimension_label, value_label};
use crate::domain::month::Month;
use crate::findings::finding::{Address, Finding, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::{format, groups, series};

/// By what the cases are told apart, in the order of the page.
const DIMENSIONS: [&str; 6] = [
    "presentation",
    "object_type",
    "age_group",
    "sex",
    "setting",
    "urgency",
];

/// Months that a table has room for.
const MONTHS_SHOWN: usize = 12;

/// The section; `None` when calls were not counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    review.definition(CALLS)?;
    let mut months: Vec<Month> = groups::months_shown(review).collect();
    months.drain(..months.len().saturating_sub(MONTHS_SHOWN));
    let tables: Vec<_> = DIMENSIONS
        .iter()
        .filter_map(|dimension| table(review, dimension, &months))
        .map(Block::Table)
        .collect();
    let text = Block::Text(
        "Calls of each kind. When the mix of cases changes, times, success and harm change with it \
         though nobody works differently; read them beside these tables. A bleed has no object, so \
         it stands under “not recorded” there. All months stand in the \
         tables of findings."
            .to_owned(),
    );
    (!tables.is_empty()).then(|| Section {
        id: "case_mix",
        heading: "Case mix".to_owned(),
        blocks: [text].into_iter().chain(tables).collect(),
    })
}

/// One row for each group that occurs, in the order of its list; `None` when none does.
fn table(review: &Review, dimension: &str, months: &[Month]) -> Option<Table> {
    let at = |group: &'static str, month| {
        review.findings.at(Address {
            measure: CALLS,
            by: dimension,
            group,
            month,
            statistic: Statistic::Rate,
        })
    };
    let codes = code_list(dimension)?.words.iter().map(|word| word.code);
    let overall: Vec<(&str, &Finding)> = codes
        .chain([NOT_RECORDED])
        .filter_map(|group| Some((group, at(group, None)?)))
        .filter(|(_, finding)| finding.events > 0 || finding.suppressed)
        .collect();
    if overall.is_empty() {
        return None;
    }
    let is_withheld = overall.iter().any(|(_, finding)| finding.suppressed);
    let total = overall.iter().map(|(_, finding)| finding.events).sum();
    let label = format::capitalized(dimension_label(dimension));
    let mut table = Table::new(
        format!("Calls by {} and month", dimension_label(dimension)),
        &[&label, "Whole period"],
    );
    table.columns[1] = series::months_of_records(review);
    let mut year = None;
    for month in months {
        // The year stands where it changes.
        let name = format::month_short(*month);
        table.columns.push(if year == Some(month.year()) {
            name.to_owned()
        } else {
            format!("{name} {}", month.year())
        });
        year = Some(month.year());
    }
    for (group, finding) in overall {
        let mut row: Vec<Cell> = vec![
            value_label(dimension, group).into(),
            if is_withheld {
                format::unless_withheld(finding, finding.events).into()
            } else {
                format::part(finding.events, total).into()
            },
        ];
        row.extend(months.iter().map(|month| match at(group, Some(*month)) {
            Some(finding) => Cell::from(format::unless_withheld(finding, finding.events)),
            None => "0".into(),
        }));
        table.push(row);
    }
    Some(table)
}
