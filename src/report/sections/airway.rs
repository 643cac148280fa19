//! Overtube and airway.

use super::{by_group, by_month, section_of};
use crate::findings::review::Review;
use crate::report::content::Section;

pub(super) const OVERTUBE_USED: &str = "overtube_used";
pub(super) const OVERTUBE_USED_SHARP: &str = "overtube_used_sharp";
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
            by_month(review, AIRWAY_SECURED),
            by_group(review, AIRWAY_SECURED, "obstruction"),
            by_group(review, AIRWAY_SECURED, "presentation"),
        ],
    )
}
