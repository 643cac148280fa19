//! Whether the scope went in within the window of a guideline, and which windows there are.

use super::{by_group, by_month, by_site, section_of};
use crate::domain::fields::{CaseField, Field, value_label};
use crate::domain::window::GuidelineWindow;
use crate::findings::finding::{Address, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::{format, series, words};

pub(super) const SCOPED_WITHIN_WINDOW: &str = "scoped_within_window";

/// The section; `None` when the measure was not counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    review.definition(SCOPED_WITHIN_WINDOW)?;
    section_of(
        "window",
        "Within the window",
        vec![
            Block::Text(format!(
                "Windows are counted from {}. Which window fits a case follows from what was \
                 recorded about it: they are tried from the top of the table, and the first that \
                 fits counts.",
                review.window_start
            )),
            Block::Caution(
                "Time beyond a window is not proof of poor care: a patient may first need fasting, \
                 resuscitation or an operating room. Local policy and licensed practice decide."
                    .to_owned(),
            ),
        ],
        [
            by_month(review, SCOPED_WITHIN_WINDOW),
            table(review),
            by_group(review, SCOPED_WITHIN_WINDOW, "urgency"),
            by_group(review, SCOPED_WITHIN_WINDOW, "shift"),
            by_site(review, SCOPED_WITHIN_WINDOW),
        ],
    )
}

/// Every window, also those that no case fell under; `None` when there are none.
fn table(review: &Review) -> Option<Block> {
    let scoped = format!(
        "Scoped within it ({} interval)",
        format::level(review.level)
    );
    let mut table = Table::new(
        format!(
            "The guideline windows, and cases scoped within each, {}",
            series::whole_period(review)
        ),
        &[
            "Applies to",
            "Urgency",
            "Window",
            "Source, and how it was checked",
            &scoped,
            "Not judged",
            "Method",
        ],
    );
    for window in &review.windows {
        table.push(row(review, window));
    }
    (!table.rows.is_empty()).then_some(Block::Table(table))
}

fn row(review: &Review, window: &GuidelineWindow) -> Vec<Cell> {
    let mut row = vec![
        Cell {
            text: window.applies_to.clone(),
            details: details(&window.note),
        },
        value_label(CaseField::Urgency.column(), window.urgency.code()).into(),
        format::window_length(window.minutes).into(),
        Cell {
            text: window.source.clone(),
            details: details(how_checked(&window.status)),
        },
    ];
    let by = CaseField::WindowId.column();
    let mut split = review
        .findings
        .by_group(SCOPED_WITHIN_WINDOW, by, Statistic::Share);
    // Counts that were not split by window cannot say that a window had no case.
    if split.next().is_none() {
        return row;
    }
    let finding = review.findings.at(Address {
        measure: SCOPED_WITHIN_WINDOW,
        by,
        group: &window.id,
        month: None,
        statistic: Statistic::Share,
    });
    row.push(series::value_cell(finding));
    if let Some(finding) = finding {
        row.push(format::unless_withheld(finding, finding.excluded).into());
        row.push(words::method_name(finding.method).into());
    }
    row
}

/// The status of a window for readers who do not know the words of the table.
fn how_checked(status: &str) -> &str {
    match status {
        "verified" => "verified in the guideline",
        "secondary" => "secondary: read in another page about it",
        other => other,
    }
}

fn details(text: &str) -> Vec<String> {
    let text = Some(text.to_owned());
    text.filter(|text| !text.is_empty()).into_iter().collect()
}
