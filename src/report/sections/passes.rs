//! How many passes it took, and whether the object came out whole.

use super::{by_month, distribution, retrieval, section_of};
use crate::findings::review::Review;
use crate::report::content::Section;

pub(super) const ONE_PIECE_REMOVAL: &str = "one_piece_removal";
pub(super) const REMOVED_IN_ONE_PASS: &str = "removed_in_one_pass";
pub(super) const THREE_OR_MORE_PASSES: &str = "three_or_more_passes";
pub(super) const THREE_OR_MORE_DEVICES: &str = "three_or_more_devices";
pub(super) const PUSH_SUCCESS: &str = "push_success";

/// The section; `None` when none of its measures was counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    section_of(
        "passes",
        "Passes",
        Vec::new(),
        [
            distribution::table(
                review,
                retrieval::RETRIEVAL_SUCCESS,
                "passes_in_case",
                "Judged cases by the number of passes, where all passes are known",
                Some("Brought out"),
            ),
            by_month(review, REMOVED_IN_ONE_PASS),
            by_month(review, THREE_OR_MORE_PASSES),
            by_month(review, THREE_OR_MORE_DEVICES),
            by_month(review, ONE_PIECE_REMOVAL),
            by_month(review, PUSH_SUCCESS),
        ],
    )
}
