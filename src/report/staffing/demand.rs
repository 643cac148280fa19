//! How many calls come and when, in text, tables and at most three figures. Knows the demand that was
//! found; computes nothing.

mod figures;
mod tables;
#[cfg(test)]
mod tests;
mod words;

use crate::findings::staffing::demand::{Demand, Week};
use crate::report::content::{Block, Figure, Section};

pub(crate) use words::in_words;

/// The section; without demand it says why.
pub(super) fn section(demand: Option<&Demand>) -> Section {
    Section {
        id: "demand",
        heading: "How many calls come, and when".to_owned(),
        blocks: demand.map_or_else(
            || vec![Block::Text(words::NOT_COUNTED.to_owned())],
            blocks_of,
        ),
    }
}

fn blocks_of(demand: &Demand) -> Vec<Block> {
    let mut blocks = vec![Block::Text(words::lead(demand))];
    blocks.extend(words::left_out(demand).map(Block::Text));
    blocks.push(Block::Table(tables::rates(demand)));
    blocks.extend(words::months(demand).into_iter().map(Block::Text));
    blocks.extend(tables::after_hours(demand).map(Block::Table));
    blocks.push(figure(figures::by_month(demand)));
    blocks.extend(tables::next_months(demand).map(Block::Table));
    if demand.all.prediction.is_some() {
        blocks.push(Block::Text("The prediction assumes:".to_owned()));
        blocks.push(Block::List(words::assumptions(demand)));
    }
    match &demand.week {
        Some(week) => blocks.extend(blocks_of_week(demand, week)),
        None => blocks.push(Block::Text(words::NO_HOURS.to_owned())),
    }
    blocks
}

fn blocks_of_week(demand: &Demand, week: &Week) -> Vec<Block> {
    let mut blocks = vec![Block::Text(words::week(demand, week))];
    // Where days are put together, both figures would show the same cells.
    if week.has_single_days() {
        blocks.push(figure(figures::week(demand, week)));
    }
    blocks.push(figure(figures::day_kinds(demand, week)));
    blocks
}

fn figure(figure: Figure) -> Block {
    Block::Figure(Box::new(figure))
}
