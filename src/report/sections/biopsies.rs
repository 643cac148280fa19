//! Biopsies while the scope is there for stuck food.

use super::{by_group, by_month, by_site, section_of};
use crate::findings::review::Review;
use crate::report::content::Section;

pub(super) const BIOPSY_AT_FOOD_IMPACTION: &str = "biopsy_at_food_impaction";

/// The section; `None` when the measure was not counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    section_of(
        "biopsies",
        "Biopsies at food impaction",
        Vec::new(),
        [
            by_month(review, BIOPSY_AT_FOOD_IMPACTION),
            by_site(review, BIOPSY_AT_FOOD_IMPACTION),
            by_group(review, BIOPSY_AT_FOOD_IMPACTION, "shift"),
        ],
    )
}
