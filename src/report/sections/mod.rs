//! Which sections the page has and in which order. A section whose measures were not counted is
//! left out; a measure without a case says so.

mod airway;
mod bleeding;
mod calls;
mod definitions;
mod harm;
mod other;
mod quality;
mod retrieval;
mod summary;
mod time;
mod window;

use super::chart::Plot;
use super::content::{Block, Section};
use super::{format, groups, series};
use crate::findings::review::Review;

/// Every section, the first page first.
pub(super) fn all(review: &Review) -> Vec<Section> {
    let measured = [
        time::section(review),
        window::section(review),
        retrieval::section(review),
        airway::section(review),
        harm::section(review),
        bleeding::section(review),
        calls::section(review),
        other::section(review),
    ];
    let mut sections = vec![summary::section(review)];
    sections.extend(measured.into_iter().flatten());
    sections.push(quality::section(review));
    sections.extend(definitions::sections(review));
    sections
}

/// Measures that a section names. Of the others, minutes stand under "How long it took" and all else
/// under "Other measures".
const NAMED: &[&str] = &[
    window::SCOPED_WITHIN_WINDOW,
    retrieval::RETRIEVAL_SUCCESS,
    retrieval::FIRST_DEVICE_SUCCESS,
    retrieval::DEVICE_SUCCESS,
    airway::OVERTUBE_USED,
    airway::OVERTUBE_USED_SHARP,
    airway::AIRWAY_SECURED,
    harm::ADVERSE_EVENT,
    calls::CALLS,
    bleeding::INITIAL_HEMOSTASIS,
    bleeding::REBLEED_3D,
    bleeding::REBLEED_7D,
    bleeding::REBLEED_30D,
    bleeding::RESCUE_TREATMENT,
    bleeding::TRANSFUSED,
    bleeding::DEATH_30D,
    bleeding::UPPER_BLEEDS,
    bleeding::ULCER_BLEEDS,
    bleeding::LOWER_BLEEDS,
];

/// The month chart of a measure, or a sentence that there were no cases; `None` when the measure
/// was not counted.
fn by_month(review: &Review, measure: &str) -> Option<Block> {
    let definition = review.definition(measure)?;
    Some(match series::by_month(review, definition) {
        Some(figure) => Block::Figure(Box::new(figure)),
        None => Block::Text(format!(
            "{}: {} in the months shown.",
            definition.title,
            match series::not_judged(review, definition) {
                0 => "no such cases".to_owned(),
                excluded => format::none_judged(excluded),
            }
        )),
    })
}

/// The chart of a measure by group; `None` when the measure was not counted or has no case.
fn by_group(review: &Review, measure: &str, by: &str) -> Option<Block> {
    let figure = series::by_group(review, review.definition(measure)?, by)?;
    Some(match &figure.chart.plot {
        // Every group too small to draw: the counts alone remain.
        Plot::Rows(lines) if lines.is_empty() => Block::Table(figure.table),
        _ => Block::Figure(Box::new(figure)),
    })
}

/// The chart of a measure by site, when there is more than one.
fn by_site(review: &Review, measure: &str) -> Option<Block> {
    (groups::sites(review).len() > 1)
        .then(|| by_group(review, measure, "site"))
        .flatten()
}

/// A section of the blocks that exist; `None` when none does.
fn section_of<const N: usize>(
    id: &'static str,
    heading: &str,
    before: Vec<Block>,
    blocks: [Option<Block>; N],
) -> Option<Section> {
    let blocks: Vec<_> = blocks.into_iter().flatten().collect();
    (!blocks.is_empty()).then(|| Section {
        id,
        heading: heading.to_owned(),
        blocks: before.into_iter().chain(blocks).collect(),
    })
}
