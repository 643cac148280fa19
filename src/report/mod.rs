//! Findings to one HTML page and its charts. Knows the words and the findings, not the rows, not
//! the statistics, and no file: the caller writes
//! what the page of [`page`] is made into.
//!
//! `sections` decides what stands on the page, `series` turns findings into figures, `words` and
//! `format` write sentences and numbers, `draw` paints, `html` and
//! `markdown` alone know markup, `papers` makes tables for a paper, and `pdf` sets pages for print.

mod cautions;
mod chart;
mod comparison_words;
mod content;
mod draw;
mod format;
mod groups;
mod html;
mod markdown;
mod one_minute;
mod page;
mod papers;
mod parts;
mod pdf;
mod sections;
mod series;
mod sharing;
mod signal_words;
mod staffing;
mod words;

#[cfg(test)]
mod tests;

use crate::findings::review::Review;

pub use page::{ChartImage, Page};
pub use papers::papers;
pub use pdf::{PdfError, PdfFile};
pub use sharing::sharing;
pub use staffing::staffing_page;

pub(crate) use staffing::answers;

pub(crate) use format::{NO_CASES, counted, month_name, whole};
pub(crate) use words::{before_words, finding_words, score_doubt};

/// The page of a review. The same review gives the same page.
pub fn page(review: &Review) -> Page {
    Page {
        title: words::title(review),
        lead: words::lead(review),
        sections: sections::all(review),
        tool_version: review.tool_version,
        made_on: review.made_on.clone(),
    }
}
