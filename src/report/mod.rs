//! Findings to one HTML page and its charts. Knows the words and the findings, not the rows, not
//! the statistics, and no file: the caller writes what [`page`] returns.
//!
//! `sections` decides what stands on the page, `series` turns findings into figures, `words` and
//! `format` write sentences and numbers, `draw` paints, `html` and
//! `markdown` alone know markup, and `pdf` sets pages for print.

mod chart;
mod comparison_words;
mod content;
mod draw;
mod format;
mod groups;
mod html;
mod markdown;
mod one_minute;
mod parts;
mod pdf;
mod sections;
mod series;
mod signal_words;
mod staffing;
mod words;

#[cfg(test)]
mod tests;

use crate::findings::review::Review;
use content::{Block, Figure, Section};

pub use pdf::{Pdf, PdfError, PdfFile};

pub(crate) use format::{NO_CASES, counted, month_name, whole};
pub(crate) use words::{before_words, finding_words, score_doubt};

/// The report of one month, ready to be written to files.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Text of `report.html`. It needs no other file.
    pub html: String,
    /// Text of `summary.md`: the first page and the cautions, for the minutes of a meeting.
    pub summary: String,
    /// The same content as `report.pdf`.
    pub pdf: Pdf,
    /// The charts of the page, for files of their own, in the order of the page.
    pub charts: Vec<ChartImage>,
}

/// A chart of the page. It is painted when asked for, since most readers want the page alone.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartImage(Figure);

impl ChartImage {
    /// File name without ending, unique on the page: `call_to_scope_by_month`.
    pub fn stem(&self) -> &str {
        &self.0.stem
    }

    /// Text of an SVG file.
    pub fn svg(&self) -> String {
        draw::svg(&self.0.chart, &self.0.alternative)
    }

    /// Bytes of a PNG file, 1440 pixels wide, with a list of its colors, 8 bits a pixel.
    pub fn png(&self) -> Vec<u8> {
        draw::png(&self.0.chart)
    }
}

/// The page of a review. The same review gives the same bytes.
pub fn page(review: &Review) -> Page {
    let sections = sections::all(review);
    let html = html::document(review, &sections);
    let is_for_minutes = |section: &&Section| ["summary", "cautions"].contains(&section.id);
    let summary = markdown::document(
        &words::title(review),
        &words::lead(review),
        sections.iter().filter(is_for_minutes),
    );
    let charts = sections
        .iter()
        .flat_map(|section| &section.blocks)
        .filter_map(|block| match block {
            Block::Figure(figure) => Some(ChartImage((**figure).clone())),
            _ => None,
        })
        .collect();
    let pdf = Pdf {
        title: words::title(review),
        lead: words::lead(review),
        sections,
        tool_version: review.tool_version,
        made_on: review.made_on.clone(),
    };
    Page {
        html,
        summary,
        pdf,
        charts,
    }
}
