//! The first page: what a committee reads in one minute.

use super::coding;
use crate::findings::review::{Headline, Review};
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::{format, series, words};

/// The section. It always exists, even when there is nothing to show.
pub(super) fn section(review: &Review) -> Section {
    let mut blocks = vec![Block::List(words::summary(review))];
    if !review.headlines.is_empty() {
        blocks.push(Block::Table(table(review)));
    }
    let mut notes = format!(
        "Each number stands with its counts, its {} interval and its method; the methods are \
         explained under Methods. Below {} cases only counts are shown.",
        format::level(review.level),
        format::FEWEST_CASES_FOR_PERCENT
    );
    if let Some(note) = words::chance_note(review) {
        notes.push(' ');
        notes.push_str(&note);
    }
    blocks.push(Block::Text(notes));
    Section {
        id: "summary",
        heading: format!("{} in one minute", format::month_name(review.month)),
        blocks,
    }
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
            "Method",
        ],
    );
    for headline in &review.headlines {
        if let Some(definition) = review.definition(&headline.measure) {
            let (verdict, detail) = words::change_words(headline, definition);
            let doubt =
                coding::is_doubted(review, &definition.id).then(|| coding::SHORT.to_owned());
            table.push(vec![
                definition.title.as_str().into(),
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
                method(headline).into(),
            ]);
        }
    }
    table
}

fn method(headline: &Headline) -> String {
    let used = [&headline.month, &headline.before];
    words::method_names(used.into_iter().flatten())
}
