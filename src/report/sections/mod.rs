//! Which sections the page has and in which order. A section whose measures were not counted is
//! left out; a measure without a case says so.

mod airway;
mod biopsies;
mod bleeding;
mod by_shift;
mod calls;
mod calls_by_hour;
mod cart;
mod case_mix;
mod cases_to_look_at;
mod coding;
mod curves;
mod definitions;
mod devices;
mod distribution;
mod funnel;
mod glossary;
mod harm;
mod harm_kinds;
mod harm_over_time;
mod other;
mod passes;
mod protection;
mod quality;
mod quality_by_month;
mod recording_shifts;
mod retrieval;
mod round_times;
mod scope_care;
mod signals;
mod summary;
mod switches;
mod time;
mod time_parts;
mod window;
mod writing_up;

pub(super) use curves::METHOD as CURVES;
pub(super) use devices::HOLM;

use super::chart::Plot;
use super::content::{Block, Section};
use super::{format, groups, series};
use crate::domain::counts::SITE;
use crate::findings::review::Review;
use crate::findings::time_parts::PARTS;

/// Every section, the first page first.
pub(super) fn all(review: &Review) -> Vec<Section> {
    let measured = [
        time::section(review),
        curves::section(review),
        time_parts::section(review),
        window::section(review),
        retrieval::section(review),
        passes::section(review),
        devices::section(review),
        switches::section(review),
        airway::section(review),
        harm::section(review),
        protection::section(review),
        harm_over_time::section(review),
        biopsies::section(review),
        bleeding::section(review),
        cart::section(review),
        scope_care::section(review),
        calls::section(review),
        funnel::section(review),
        case_mix::section(review),
        other::section(review),
    ];
    let mut sections = vec![summary::section(review)];
    sections.extend(signals::section(review));
    sections.extend(cases_to_look_at::section(review));
    sections.extend(measured.into_iter().flatten());
    sections.push(quality::section(review));
    sections.extend(definitions::sections(review));
    sections.push(writing_up::section(review));
    coding::add_cautions(review, &mut sections);
    sections
}

/// Measures that a section names. Of the others, minutes have charts under "How long it took", whose
/// table holds all minutes, and all else stands under "Other measures".
const NAMED: &[&str] = &[
    window::SCOPED_WITHIN_WINDOW,
    window::SCOPED_WITHIN_PREFERRED_WINDOW,
    window::UPPER_BLEED_WITHIN_24H,
    window::VARICEAL_WITHIN_12H,
    retrieval::RETRIEVAL_SUCCESS,
    retrieval::FIRST_DEVICE_SUCCESS,
    retrieval::DEVICE_SUCCESS,
    airway::OVERTUBE_USED,
    airway::OVERTUBE_USED_SHARP,
    airway::AIRWAY_SECURED,
    harm::ADVERSE_EVENT,
    passes::ONE_PIECE_REMOVAL,
    passes::REMOVED_IN_ONE_PASS,
    passes::THREE_OR_MORE_PASSES,
    passes::THREE_OR_MORE_DEVICES,
    passes::PUSH_SUCCESS,
    retrieval::ALREADY_GONE,
    airway::OVERTUBE_USED_REPEAT_PASSES,
    airway::OVERTUBE_USED_AIRWAY_NOT_SECURED,
    airway::PROTECTIVE_AID_USED,
    airway::PROTECTIVE_AID_USED_SHARP,
    airway::PASSES_BEFORE_OVERTUBE,
    airway::SCOPE_IN_TO_OVERTUBE,
    airway::OVERTUBE_TO_REMOVAL,
    harm::PERFORATION,
    harm_kinds::GRADED_HARM,
    biopsies::BIOPSY_AT_FOOD_IMPACTION,
    calls::CALLS,
    PARTS[0],
    PARTS[1],
    PARTS[2],
    PARTS[3],
    time_parts::TEAM_WITHIN_30,
    cart::CART_COMPLETE,
    cart::STOCK_OUTS,
    cart::CASE_MALFUNCTION,
    cart::DEVICE_MALFUNCTION,
    scope_care::PRECLEAN_DONE,
    scope_care::PRECLEAN_WITHIN_10,
    scope_care::HANDOVER_WITHIN_60,
    scope_care::MANUAL_CLEAN_WITHIN_60,
    scope_care::SCOPE_OUT_TO_PRECLEAN,
    scope_care::SCOPE_OUT_TO_HANDOVER,
    scope_care::PRECLEAN_END_TO_MANUAL_CLEAN,
    scope_care::PRECLEAN_START_TO_MANUAL_CLEAN,
    scope_care::SCOPE_OUT_TO_MANUAL_CLEAN,
    switches::DEVICE_SWITCH,
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
        Some(_) if series::is_small(review, definition) => {
            Block::Table(series::pooled_table(review, definition))
        }
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
        .then(|| by_group(review, measure, SITE))
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
