//! Measures that no other section names, among them those that a service adds itself.

use super::{NAMED, by_group, by_month};
use crate::domain::measure::MeasureKind;
use crate::findings::review::Review;
use crate::report::content::{Block, Section};

/// The section; `None` when every measure stands in another.
pub(super) fn section(review: &Review) -> Option<Section> {
    let blocks: Vec<_> = review
        .definitions
        .iter()
        .filter(|definition| definition.kind != MeasureKind::Minutes)
        .filter(|definition| !NAMED.contains(&definition.id.as_str()))
        .flat_map(|definition| {
            let by = match definition.kind {
                MeasureKind::ClusteredShare => "object_type",
                MeasureKind::Minutes | MeasureKind::Share | MeasureKind::Count => "shift",
            };
            [
                Some(Block::Heading(definition.title.clone())),
                Some(Block::Text(definition.question.clone())),
                by_month(review, &definition.id),
                by_group(review, &definition.id, by),
            ]
        })
        .flatten()
        .collect();
    (!blocks.is_empty()).then(|| Section {
        id: "other",
        heading: "Other measures".to_owned(),
        blocks,
    })
}
