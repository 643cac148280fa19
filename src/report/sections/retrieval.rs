//! Whether the object came out, and with what.

use super::{by_group, by_month, section_of};
use crate::findings::review::Review;
use crate::report::content::{Block, Section};

pub(super) const RETRIEVAL_SUCCESS: &str = "retrieval_success";
pub(super) const FIRST_DEVICE_SUCCESS: &str = "first_device_success";
pub(super) const DEVICE_SUCCESS: &str = "device_success";

/// The section; `None` when none of its measures was counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    let caution = review.definition(DEVICE_SUCCESS).map(|_| {
        Block::Caution(
            "This compares uses, not devices. Which device goes down follows the object, its place, \
             the hour and the hands, and a hard case needs more passes; none of this is taken out \
             of the numbers. Passes of one case are counted as belonging together."
                .to_owned(),
        )
    });
    section_of(
        "retrieval",
        "Getting it out",
        Vec::new(),
        [
            by_month(review, RETRIEVAL_SUCCESS),
            by_group(review, RETRIEVAL_SUCCESS, "object_type"),
            by_month(review, FIRST_DEVICE_SUCCESS),
            by_group(review, FIRST_DEVICE_SUCCESS, "object_type"),
            caution,
            by_group(review, DEVICE_SUCCESS, "device+object_type"),
            by_group(review, DEVICE_SUCCESS, "device"),
        ],
    )
}
