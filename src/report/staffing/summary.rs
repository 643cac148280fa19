//! The first page: the answers in a few sentences, each made of findings.

use super::{checks, coverage, demand, kit, load, overlap, stock};
use crate::findings::staffing::Staffing;
use crate::report::content::{Block, Section};

/// What is said before anything else.
const BEFORE: &str = "Staffing law, contracts, rest rules and local policy decide who is on call and what a \
    cart carries. These numbers describe what was recorded; what-ifs show what follows from their \
    assumptions, and no more.";

/// The section.
pub(super) fn section(staffing: &Staffing) -> Section {
    let mut blocks = vec![Block::Caution(BEFORE.to_owned())];
    for (heading, sentences) in answers(staffing) {
        if !sentences.is_empty() {
            blocks.push(Block::Heading(heading.to_owned()));
            blocks.push(Block::List(sentences));
        }
    }
    if staffing.load.is_none() {
        blocks.push(Block::Text(
            "The export gives minutes since each call and no clock times, so it tells neither what calls \
             ask of the teams outside staffed hours nor which calls met, and nothing can be simulated."
                .to_owned(),
        ));
    }
    Section {
        id: "summary",
        heading: "The answers in brief".to_owned(),
        blocks,
    }
}

/// The questions of the page, each with its sentences; none where nothing can be said.
pub(crate) fn answers(staffing: &Staffing) -> Vec<(&'static str, Vec<String>)> {
    let cart = [
        stock::in_words(&staffing.stock),
        kit::in_words(&staffing.kit),
        checks::in_words(staffing.checks.as_ref()),
    ];
    vec![
        (
            "When do calls come?",
            staffing
                .demand
                .as_ref()
                .map_or_else(Vec::new, demand::in_words),
        ),
        (
            "What do they ask of the teams?",
            staffing.load.as_ref().map_or_else(Vec::new, load::in_words),
        ),
        (
            "How often do two calls meet?",
            staffing
                .overlap
                .as_ref()
                .map_or_else(Vec::new, overlap::in_words),
        ),
        (
            "What would other arrangements do?",
            staffing
                .coverage
                .as_ref()
                .map_or_else(Vec::new, coverage::in_words),
        ),
        ("What must the cart carry?", cart.concat()),
    ]
}
