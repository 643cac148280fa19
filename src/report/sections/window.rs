//! Whether the scope went in within the window of a guideline, and which windows there are.

use super::{by_group, by_month, by_site, section_of};
use crate::domain::codes::WhyNotJudged;
use crate::domain::fields::{CaseField, Field, value_label};
use crate::domain::window::{GuidelineWindow, WindowChoice, WindowLength};
use crate::findings::finding::{Address, Finding, Statistic};
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::{format, series, words};

pub(super) const SCOPED_WITHIN_WINDOW: &str = "scoped_within_window";
pub(super) const SCOPED_WITHIN_PREFERRED_WINDOW: &str = "scoped_within_preferred_window";
pub(super) const UPPER_BLEED_WITHIN_24H: &str = "upper_bleed_within_24h";
pub(super) const VARICEAL_WITHIN_12H: &str = "variceal_within_12h";

/// Windows of children are mostly shorter than those of adults of the same urgency.
const BY_URGENCY_AND_AGE: &str = "urgency+adult_or_child";
const BY_REASON: &str = "why_not_judged";

/// The section; `None` when none of its measures was counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    let from_start = |block: Option<Block>| counted_from(review, block);
    section_of(
        "window",
        "Within the window",
        vec![
            Block::Text(format!(
                "Windows are counted from {}. Which window fits a case follows from what was \
                 recorded about it: they are tried from the top of the table, and the first that \
                 fits counts. Which windows are in force, the site chooses in its mapping. Where a \
                 guideline prefers one time and allows a later one at the latest, both are counted.",
                review.window_start
            )),
            Block::Caution(
                "Time beyond a window is not proof of poor care: a patient may first need fasting, \
                 resuscitation or an operating room. Local policy and licensed practice decide."
                    .to_owned(),
            ),
        ],
        [
            from_start(by_month(review, SCOPED_WITHIN_WINDOW)),
            from_start(by_month(review, SCOPED_WITHIN_PREFERRED_WINDOW)),
            not_judged(review),
            reasons(review),
            table(review),
            off_table(review),
            from_start(by_group(review, SCOPED_WITHIN_WINDOW, BY_URGENCY_AND_AGE)),
            from_start(by_group(review, SCOPED_WITHIN_WINDOW, "shift")),
            from_start(by_site(review, SCOPED_WITHIN_WINDOW)),
            from_start(by_month(review, UPPER_BLEED_WITHIN_24H)),
            from_start(by_month(review, VARICEAL_WITHIN_12H)),
            variceal_source(review),
        ],
    )
}

/// The moment from which windows count, where a figure or a table is read by itself.
fn counted_from(review: &Review, block: Option<Block>) -> Option<Block> {
    let start = &review.window_start;
    block.map(|block| match block {
        Block::Figure(mut figure) => {
            figure.caption = format!("{} Counted from {start}.", figure.caption);
            figure.table.caption = format!("{}, counted from {start}", figure.table.caption);
            Block::Figure(figure)
        }
        Block::Table(mut table) => {
            table.caption = format!("{}, counted from {start}", table.caption);
            Block::Table(table)
        }
        other => other,
    })
}

fn variceal_source(review: &Review) -> Option<Block> {
    let definition = review.definition(VARICEAL_WITHIN_12H)?;
    Some(Block::Text(format!(
        "{}: the 12 hours are from memory; the text of the guidelines (Baveno VII 2022, ESGE 2022) \
         was not seen while this was written. They hold once the patient is stable.",
        definition.title
    )))
}

/// A finding on why cases were not judged.
fn because(review: &Review, why: WhyNotJudged) -> Option<&Finding> {
    review.findings.at(Address {
        measure: SCOPED_WITHIN_WINDOW,
        by: BY_REASON,
        group: why.code(),
        month: None,
        statistic: Statistic::Share,
    })
}

/// How many cases were not judged, before the reasons; `None` when nothing was counted by reason.
fn not_judged(review: &Review) -> Option<Block> {
    let definition = review.definition(SCOPED_WITHIN_WINDOW)?;
    let findings = &review.findings;
    findings
        .by_group(SCOPED_WITHIN_WINDOW, BY_REASON, Statistic::Share)
        .next()?;
    let all = findings.overall(SCOPED_WITHIN_WINDOW, None, Statistic::Share)?;
    let cases = if all.suppressed {
        "withheld".to_owned()
    } else {
        format::counted(all.excluded, "case", "cases")
    };
    Some(Block::Text(format!(
        "{}: not judged in {}: {cases}. Each counts under the first reason that holds:",
        definition.title,
        series::whole_period(review)
    )))
}

fn reasons(review: &Review) -> Option<Block> {
    not_judged(review)?;
    let start = &review.window_start;
    let reasons = WhyNotJudged::ALL.iter().filter_map(|why| {
        let words = match why {
            WhyNotJudged::Judged => return None,
            WhyNotJudged::NotAssignable => {
                "no window assignable: a value that a window asks for is \
                not recorded, or no window in force is for such a case"
                    .to_owned()
            }
            WhyNotJudged::NoTime => "the guideline gives no time for such a case: the windows \
                \"none\" of the table, each with what the guideline says instead"
                .to_owned(),
            WhyNotJudged::NoStart if review.window_start == CaseField::ArrivedAt.label() => {
                format!("{start} not recorded, or a patient on a ward, who had arrived long before")
            }
            WhyNotJudged::NoStart => format!("{start} not recorded"),
            WhyNotJudged::NoScopeIn | WhyNotJudged::OutOfRange => why.label().to_owned(),
        };
        let cases = match because(review, *why) {
            None => format::NO_CASES.to_owned(),
            Some(finding) if finding.suppressed => "withheld".to_owned(),
            Some(finding) => format::counted(finding.excluded, "case", "cases"),
        };
        Some(format!("{words}: {cases}"))
    });
    Some(Block::List(reasons.collect()))
}

/// Every window that is in force or that the site switched off, also those that no case fell under;
/// `None` when there are none.
fn table(review: &Review) -> Option<Block> {
    review.definition(SCOPED_WITHIN_WINDOW)?;
    let scoped = format!(
        "Scoped within the latest time ({} interval)",
        format::level(review.level)
    );
    let mut table = Table::new(
        format!(
            "The guideline windows, and cases scoped within each, {}, counted from {}",
            series::whole_period(review),
            review.window_start
        ),
        &[
            "Applies to",
            "Urgency",
            "Window",
            "The guideline counts from",
            "Source, and how it was checked",
            &scoped,
            "Within the preferred time",
            "Not judged",
            "Method",
        ],
    );
    let windows = review.windows.iter();
    for window in windows.filter(|window| window.choice != WindowChoice::OffByDefault) {
        table.push(row(review, window));
    }
    (!table.rows.is_empty()).then_some(Block::Table(table))
}

/// The windows that are off as shipped, with why; `None` when there are none.
fn off_table(review: &Review) -> Option<Block> {
    review.definition(SCOPED_WITHIN_WINDOW)?;
    let mut table = Table::new(
        "Windows that are off as shipped; a site may switch them on in its mapping",
        &[
            "Applies to",
            "Urgency",
            "Window",
            "Source, and how it was checked",
            "Why it is off",
        ],
    );
    let windows = review.windows.iter();
    for window in windows.filter(|window| window.choice == WindowChoice::OffByDefault) {
        let why = match window.status.as_str() {
            "from memory" => "from memory, and only what was checked is on",
            _ => "guidelines disagree, and the window of another is on",
        };
        table.push(vec![
            Cell {
                text: window.applies_to.clone(),
                details: details(&[&format!("row {}", window.id)]),
            },
            value_label(CaseField::Urgency.column(), window.urgency.code()).into(),
            window.length.map_or("none".to_owned(), length).into(),
            Cell {
                text: window.source.clone(),
                details: details(&[how_checked(&window.status)]),
            },
            Cell {
                text: why.to_owned(),
                details: details(&[&window.note]),
            },
        ]);
    }
    (!table.rows.is_empty()).then_some(Block::Table(table))
}

fn row(review: &Review, window: &GuidelineWindow) -> Vec<Cell> {
    let choice = match window.choice {
        WindowChoice::Default => "",
        WindowChoice::OffByDefault => "off as shipped",
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
        Cell {
            text: window.length.map_or("none".to_owned(), length),
            details: details(&[&preferred(window)]),
        },
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
    let at = |measure| {
        review.findings.at(Address {
            measure,
            by,
            group: &window.id,
            month: None,
            statistic: Statistic::Share,
        })
    };
    let finding = at(SCOPED_WITHIN_WINDOW);
    row.push(series::value_cell(finding));
    let is_preferred_counted = review.definition(SCOPED_WITHIN_PREFERRED_WINDOW).is_some();
    row.push(match window.preferred_minutes {
        Some(_) if is_preferred_counted => series::value_cell(at(SCOPED_WITHIN_PREFERRED_WINDOW)),
        _ => format::NOTHING.into(),
    });
    if let Some(finding) = finding {
        row.push(format::unless_withheld(finding, finding.excluded).into());
        row.push(words::method_name(finding.method).into());
    }
    row
}

/// `preferred: within 2 hours`, or nothing.
fn preferred(window: &GuidelineWindow) -> String {
    window.preferred_minutes.map_or(String::new(), |minutes| {
        format!("preferred: within {}", format::window_length(minutes))
    })
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
