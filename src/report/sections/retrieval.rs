//! Whether the object came out, and with what.

use super::{by_group, by_month, section_of};
use crate::findings::review::Review;
use crate::report::content::{Block, Section};

pub(super) const RETRIEVAL_SUCCESS: &str = "retrieval_success";
pub(super) const ALREADY_GONE: &str = "already_gone";
pub(super) const FIRST_DEVICE_SUCCESS: &str = "first_device_success";
pub(super) const DEVICE_SUCCESS: &str = "device_success";

/// The section; `None` when none of its measures was counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    let by_object = by_group(review, DEVICE_SUCCESS, "device+object_type");
    let by_device = by_group(review, DEVICE_SUCCESS, "device");
    let beside = if by_object.is_some() || by_device.is_some() {
        Some(Block::Caution(
            "This compares uses, not devices. Which device goes down follows the object, its place, \
             the hour and the hands, and a hard case needs more passes; none of this is taken out \
             of the numbers. Passes of one case are counted as belonging together."
                .to_owned(),
        ))
    } else if review.definition(DEVICE_SUCCESS).is_some() && review.quality.passes.is_none() {
        Some(Block::Text(
            "No passes were given, so nothing is said about the uses of devices.".to_owned(),
        ))
    } else {
        None
    };
    section_of(
        "retrieval",
        "Getting it out",
        Vec::new(),
        [
            by_month(review, RETRIEVAL_SUCCESS),
            by_group(review, RETRIEVAL_SUCCESS, "object_type"),
            by_month(review, ALREADY_GONE),
            by_month(review, FIRST_DEVICE_SUCCESS),
            by_group(review, FIRST_DEVICE_SUCCESS, "object_type"),
            beside,
            by_object,
            by_device,
        ],
    )
}
