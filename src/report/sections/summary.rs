//! The first page: what a committee reads in one minute.

use super::coding;
use crate::domain::counts::ALL;
use crate::findings::review::{Headline, Review};
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::{format, groups, one_minute, series, signal_words, words};

/// Months within which a rule that is met no longer is still told.
const LATELY: i32 = 3;

/// The section. It always exists, even when there is nothing to show.
pub(super) fn section(review: &Review) -> Section {
    let mut blocks = vec![Block::List(one_minute::three_sentences(review))];
    if !review.headlines.is_empty() {
        blocks.push(Block::Table(table(review)));
    }
    let things = one_minute::to_look_at(review);
    if !things.is_empty() {
        blocks.push(Block::Heading("To look at".to_owned()));
        blocks.push(Block::List(things));
    }
    blocks.push(Block::Text(notes(review)));
    Section {
        id: "summary",
        heading: format!("{} in one minute", format::month_name(review.month)),
        blocks,
    }
}

/// How the numbers are to be read, and how often comparisons and rules mislead.
fn notes(review: &Review) -> String {
    let reading = format!(
        "Each number stands with its counts, its {} interval and its method. Below {} cases only \
         counts are shown.",
        format::level(review.level),
        format::FEWEST_CASES_FOR_PERCENT
    );
    [
        Some(reading),
        words::chance_note(review),
        signal_words::chance_note(review),
    ]
    .into_iter()
    .flatten()
    .collect::<Vec<_>>()
    .join(" ")
}

fn table(review: &Review) -> Table {
    let month = format::month_name(review.month);
    let before = match review.months_before {
        0 => "Months before".to_owned(),
        1 => "The month before".to_owned(),
        months => format!("The {months} months before"),
    };
    let with_interval = |when: &str| format!("{when} ({} interval)", format::level(review.level));
    let mut table = Table::new(
        format!("{month} beside {}", before.to_lowercase()),
        &[
            "Measure",
            &with_interval(&month),
            &with_interval(&before),
            "What can be said",
            "Rules met",
        ],
    );
    let doubted = coding::doubted(review);
    for headline in &review.headlines {
        let Some(definition) = review.definition(&headline.measure) else {
            continue;
        };
        let (verdict, detail) = words::change_words(headline, definition);
        let doubt = doubted
            .contains(&definition.id.as_str())
            .then(|| coding::SHORT.to_owned());
        let target = one_minute::target(review, definition, headline.month.as_ref());
        table.push(vec![
            Cell {
                text: definition.title.clone(),
                details: std::iter::once(method(headline)).chain(target).collect(),
            },
            series::value_cell(headline.month.as_ref()),
            series::value_cell(headline.before.as_ref()),
            Cell {
                text: verdict,
                details: Some(detail)
                    .filter(|text| !text.is_empty())
                    .into_iter()
                    .chain(doubt)
                    .collect(),
            },
            rules(review, &headline.measure),
        ]);
    }
    table
}

/// The rules that a measure meets now: over all cases, and below them at single sites.
fn rules(review: &Review, measure: &str) -> Cell {
    let at_sites = review
        .signals
        .charts
        .iter()
        .filter(|chart| chart.measure == measure && chart.by != ALL)
        .filter(|chart| chart.standing().next().is_some())
        .map(|chart| {
            format!(
                "{}: {}",
                groups::group_label(&chart.by, &chart.group),
                signal_words::standing(Some(chart))
            )
        });
    let whole = review.signals.chart(measure, ALL, ALL);
    let ended = whole.and_then(|chart| signal_words::ended_lately(chart, LATELY));
    Cell {
        text: signal_words::standing(whole),
        details: ended.into_iter().chain(at_sites).collect(),
    }
}

fn method(headline: &Headline) -> String {
    let used = [&headline.month, &headline.before];
    words::method_names(used.into_iter().flatten())
}
