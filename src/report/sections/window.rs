//! Whether the scope went in within the window of a guideline.

use super::{by_group, by_month, by_site, section_of};
use crate::findings::review::Review;
use crate::report::content::{Block, Section};

pub(super) const SCOPED_WITHIN_WINDOW: &str = "scoped_within_window";

/// The section; `None` when the measure was not counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    section_of(
        "window",
        "Within the window",
        vec![
            Block::Text(format!(
                "Windows are counted from {}. Which window fits a case follows from what was \
                 recorded about it.",
                review.window_start
            )),
            Block::Caution(
                "Time beyond a window is not proof of poor care: a patient may first need fasting, \
                 resuscitation or an operating room. Local policy and licensed practice decide."
                    .to_owned(),
            ),
        ],
        [
            by_month(review, SCOPED_WITHIN_WINDOW),
            by_group(review, SCOPED_WITHIN_WINDOW, "urgency"),
            by_group(review, SCOPED_WITHIN_WINDOW, "shift"),
            by_site(review, SCOPED_WITHIN_WINDOW),
        ],
    )
}
