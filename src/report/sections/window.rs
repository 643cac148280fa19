//! Whether the scope went in within the window of a guideline, and which windows there are.

use super::{by_group, by_month, by_site, section_of};
use crate::domain::codes::Urgency;
use crate::domain::fields::{CaseField, Field, value_label};
use crate::domain::window::{GuidelineWindow, WindowChoice, WindowLength};
use crate::findings::finding::{Address, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::{format, series, words};

pub(super) const SCOPED_WITHIN_WINDOW: &str = "scoped_within_window";
pub(super) const UPPER_BLEED_WITHIN_24H: &str = "upper_bleed_within_24h";
pub(super) const VARICEAL_WITHIN_12H: &str = "variceal_within_12h";

/// The section; `None` when none of its measures was counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    section_of(
        "window",
        "Within the window",
        vec![
            Block::Text(format!(
                "Windows are counted from {}. Which window fits a case follows from what was \
                 recorded about it: they are tried from the top of the table, and the first that \
                 fits counts. Which windows are in force, the site chooses in its mapping.",
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
            without_window(review),
            table(review),
            by_group(review, SCOPED_WITHIN_WINDOW, "urgency"),
            by_group(review, SCOPED_WITHIN_WINDOW, "shift"),
            by_site(review, SCOPED_WITHIN_WINDOW),
            by_month(review, UPPER_BLEED_WITHIN_24H),
            by_month(review, VARICEAL_WITHIN_12H),
        ],
    )
}

/// How many cases could be held against no window, and why; `None` when nothing was counted by
/// urgency.
fn without_window(review: &Review) -> Option<Block> {
    review.definition(SCOPED_WITHIN_WINDOW)?;
    let by = CaseField::Urgency.column();
    let findings = &review.findings;
    findings
        .by_group(SCOPED_WITHIN_WINDOW, by, Statistic::Share)
        .next()?;
    let cases = |urgency: Urgency| {
        let finding = findings.at(Address {
            measure: SCOPED_WITHIN_WINDOW,
            by,
            group: urgency.code(),
            month: None,
            statistic: Statistic::Share,
        });
        match finding {
            None => format::NO_CASES.to_owned(),
            Some(finding) if finding.suppressed => "withheld".to_owned(),
            Some(finding) => format::counted(finding.excluded, "case", "cases"),
        }
    };
    Some(Block::Text(format!(
        "In {}, window not assignable, since what a window asks for was not recorded or no guideline \
         speaks of such a case: {}. No window by the guideline, which gives no time and lets the case \
         be watched: {}. Neither are judged.",
        series::whole_period(review),
        cases(Urgency::NotAssignable),
        cases(Urgency::NoWindow),
    )))
}

/// Every window, also those that no case fell under; `None` when there are none.
fn table(review: &Review) -> Option<Block> {
    review.definition(SCOPED_WITHIN_WINDOW)?;
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
            "The guideline counts from",
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
    let choice = match window.choice {
        WindowChoice::Default => "",
        WindowChoice::SwitchedOn => "switched on by the site",
        WindowChoice::SwitchedOff => "switched off by the site",
        WindowChoice::Local => "window of the site",
    };
    let row_of_table = format!("row {}", window.id);
    let mut row = vec![
        Cell {
            text: window.applies_to.clone(),
            details: details(&[&window.note, choice, &row_of_table]),
        },
        value_label(CaseField::Urgency.column(), window.urgency.code()).into(),
        window.length.map_or("none".to_owned(), length).into(),
        Cell {
            text: window.clock_start.label().to_owned(),
            details: details(&[&format!("here: {}", review.window_start)]),
        },
        Cell {
            text: window.source.clone(),
            details: details(&[how_checked(&window.status)]),
        },
    ];
    let by = CaseField::WindowId.column();
    let mut split = review
        .findings
        .by_group(SCOPED_WITHIN_WINDOW, by, Statistic::Share);
    // Counts that were not split by window cannot say that a window had no case.
    if split.next().is_none() || !window.choice.is_in_force() {
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

/// `within 6 hours`, `in less than 2 hours`.
fn length(length: WindowLength) -> String {
    let before = if length.is_inclusive {
        "within"
    } else {
        "in less than"
    };
    format!("{before} {}", format::window_length(length.minutes))
}

/// The status of a window for readers who do not know the words of the table.
fn how_checked(status: &str) -> &str {
    match status {
        "verified" => "verified in the guideline",
        "secondary" => "secondary: read in another page about it",
        "from memory" => "from memory: not seen while this was written",
        "local" => "as the mapping says",
        other => other,
    }
}

/// The texts that say something.
fn details(texts: &[&str]) -> Vec<String> {
    let texts = texts.iter().filter(|text| !text.is_empty());
    texts.map(|text| (*text).to_owned()).collect()
}
