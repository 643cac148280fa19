//! How many calls came, when and where.

use super::{by_group, by_month, by_site, section_of};
use crate::findings::review::Review;
use crate::report::content::{Block, Section};

pub(super) const CALLS: &str = "calls";

/// The section; `None` when calls were not counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    section_of(
        "calls",
        "Calls",
        vec![Block::Text(
            "Months differ in length and sites in the time they are observed, so calls are given \
             per 30 days of one site. The days observed stand in the tables."
                .to_owned(),
        )],
        [
            by_month(review, CALLS),
            by_group(review, CALLS, "shift"),
            by_site(review, CALLS),
            by_group(review, CALLS, "presentation"),
        ],
    )
}
