//! Overtube and airway.

use super::{by_group, by_month, distribution, section_of};
use crate::findings::review::Review;
use crate::report::content::Section;

pub(super) const OVERTUBE_USED: &str = "overtube_used";
pub(super) const OVERTUBE_USED_SHARP: &str = "overtube_used_sharp";
pub(super) const OVERTUBE_USED_REPEAT_PASSES: &str = "overtube_used_repeat_passes";
pub(super) const OVERTUBE_USED_AIRWAY_NOT_SECURED: &str = "overtube_used_airway_not_secured";
pub(super) const PROTECTIVE_AID_USED: &str = "protective_aid_used";
pub(super) const PROTECTIVE_AID_USED_SHARP: &str = "protective_aid_used_sharp";
pub(super) const PASSES_BEFORE_OVERTUBE: &str = "passes_before_overtube";
pub(super) const SCOPE_IN_TO_OVERTUBE: &str = "scope_in_to_overtube";
pub(super) const OVERTUBE_TO_REMOVAL: &str = "overtube_to_removal";
pub(super) const AIRWAY_SECURED: &str = "airway_secured";

/// The section; `None` when none of its measures was counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    section_of(
        "airway",
        "Overtube and airway",
        Vec::new(),
        [
            by_month(review, OVERTUBE_USED),
            by_group(review, OVERTUBE_USED, "object_type"),
            by_month(review, OVERTUBE_USED_SHARP),
            by_month(review, OVERTUBE_USED_REPEAT_PASSES),
            by_month(review, OVERTUBE_USED_AIRWAY_NOT_SECURED),
            by_month(review, PROTECTIVE_AID_USED),
            by_month(review, PROTECTIVE_AID_USED_SHARP),
            by_month(review, PASSES_BEFORE_OVERTUBE),
            distribution::table(
                review,
                PASSES_BEFORE_OVERTUBE,
                "passes_before_overtube",
                "Overtubes by the passes before they were placed",
                None,
            ),
            distribution::table(
                review,
                PASSES_BEFORE_OVERTUBE,
                "passes_after_overtube",
                "Overtubes by the passes through them, where all passes are known",
                None,
            ),
            by_month(review, SCOPE_IN_TO_OVERTUBE),
            by_month(review, OVERTUBE_TO_REMOVAL),
            by_month(review, AIRWAY_SECURED),
            by_group(review, AIRWAY_SECURED, "obstruction"),
            by_group(review, AIRWAY_SECURED, "presentation"),
        ],
    )
}
