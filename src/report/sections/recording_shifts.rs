//! What changed in what was recorded: categories whose share shifted.

use super::quality::of_site;
use crate::domain::fields::{dimension_label, value_label};
use crate::domain::month::Month;
use crate::findings::comparisons::Counted;
use crate::findings::drift::{
    CategoryShift, Difference, Drift, LEAST_MONTHS_BEFORE, RECENT_MONTHS,
};
use crate::findings::finding::Unit;
use crate::findings::review::Review;
use crate::report::content::{Block, Table};
use crate::report::format;

/// The table with what it says, or why there is none.
pub(super) fn blocks(review: &Review) -> Vec<Block> {
    let heading = format!("What changed in what was recorded{}", of_site(review));
    let heading = Block::Heading(heading);
    let Some(drift) = &review.quality.drift else {
        let text = format!(
            "Not compared: it takes calls in the last {RECENT_MONTHS} months and in at least \
             {LEAST_MONTHS_BEFORE} months before them."
        );
        return vec![heading, Block::Text(text)];
    };
    let looked_at = u64::try_from(drift.categories.len()).unwrap_or(u64::MAX);
    let were = match looked_at {
        1 => "1 was".to_owned(),
        many => format!("{} were", format::whole(many)),
    };
    let what = format!(
        "The share of each category of {} is compared with {}; object types among cases with food or an \
         object. So many categories are looked at that \
         some would differ by chance alone; a shift is told only where an interval that holds for all \
         of them together ({}, widened for their number by Bonferroni) excludes zero.",
        span(drift.recent),
        span(drift.before),
        format::level(review.level),
    );
    let maybe = maybe_chance(drift);
    if drift.shifted().next().is_none() {
        let text = format!("{what} No category shifted beyond chance; {were} looked at.{maybe}");
        return vec![heading, Block::Text(text)];
    }
    let meaning = "A shift may come from other patients, from the season, or from another way of \
                   recording; which of them it is, the records do not say.";
    vec![
        heading,
        Block::Text(format!("{what} {meaning} {were} looked at.{maybe}")),
        Block::Table(table(review, drift)),
    ]
}

fn span((first, last): (Month, Month)) -> String {
    format!(
        "{} to {}",
        format::month_name(first),
        format::month_name(last)
    )
}

fn name(category: &CategoryShift) -> String {
    format!(
        "{}: {}",
        dimension_label(category.dimension),
        value_label(category.dimension, &category.value)
    )
}

/// Categories that came or went and may have done so by chance.
fn maybe_chance(drift: &Drift) -> String {
    let names = |is: fn(&CategoryShift) -> bool, part: fn(&CategoryShift) -> Counted| -> String {
        let found = drift
            .categories
            .iter()
            .filter(|category| is(category) && !category.is_beyond_chance());
        let names = found.map(|category| {
            let part = part(category);
            format!(
                "{} ({})",
                name(category),
                format::part(part.events, part.cases)
            )
        });
        names.collect::<Vec<_>>().join("; ")
    };
    let new = names(CategoryShift::is_new, |category| category.recent);
    let gone = names(CategoryShift::is_missed, |category| category.before);
    let mut text = String::new();
    for (names, words) in [
        (new, " Not seen in the months before, which may be chance: "),
        (
            gone,
            " Not seen any more though a case or more was to be expected, which may be chance: ",
        ),
    ] {
        if !names.is_empty() {
            text.extend([words, &names, "."]);
        }
    }
    text
}

fn table(review: &Review, drift: &Drift) -> Table {
    let level = format::level(review.level);
    let mut table = Table::new(
        format!(
            "Categories whose share shifted beyond chance{}",
            of_site(review)
        ),
        &[
            "Category",
            &span(drift.before),
            &span(drift.recent),
            &format!("Difference in points ({level} interval)"),
            "Interval for all together",
            "Reading",
        ],
    );
    for category in drift.shifted() {
        let part = |part: Counted| format::part(part.events, part.cases);
        let numbers = |found: Difference| {
            let numbers = [found.estimate, found.low, found.high];
            format::difference(Unit::Fraction, category.recent.cases, numbers)
        };
        let [estimate, low, high] = numbers(category.difference);
        let [_, low_for_all, high_for_all] = numbers(category.for_all);
        table.push(vec![
            name(category).into(),
            part(category.before).into(),
            part(category.recent).into(),
            format!("{estimate} ({low} to {high})").into(),
            format!("{low_for_all} to {high_for_all}").into(),
            match category {
                _ if category.is_new() => "new",
                _ if category.has_vanished() => "not seen any more",
                _ if category.difference.estimate > 0.0 => "a larger share than before",
                _ => "a smaller share than before",
            }
            .into(),
        ]);
    }
    table
}
