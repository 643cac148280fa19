//! Findings to one HTML page and its charts. Knows the words and the findings, not the rows, not
//! the statistics, and no file: the caller writes what [`page`] returns.
//!
//! `sections` decides what stands on the page, `series` turns findings into figures, `words` and
//! `format` write sentences and numbers, `draw` paints, and `html` alone knows markup.

mod chart;
mod content;
mod draw;
mod format;
mod groups;
mod html;
mod sections;
mod series;
mod words;

#[cfg(test)]
mod tests;

use crate::findings::review::Review;
use content::Block;

/// The report of one month, ready to be written to files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// Text of `report.html`. It needs no other file.
    pub html: String,
    /// The charts of the page, each once more as files of their own, in the order of the page.
    pub charts: Vec<ChartFiles>,
}

/// One chart as files.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChartFiles {
    /// File name without ending, unique on the page: `call_to_scope_by_month`.
    pub stem: String,
    /// Text of the SVG file.
    pub svg: String,
    /// Bytes of the PNG file.
    pub png: Vec<u8>,
}

/// The page of a review. The same review gives the same bytes.
pub fn page(review: &Review) -> Page {
    let sections = sections::all(review);
    let charts = sections
        .iter()
        .flat_map(|section| &section.blocks)
        .filter_map(|block| match block {
            Block::Figure(figure) => Some(ChartFiles {
                stem: figure.stem.clone(),
                svg: draw::svg(&figure.chart, &figure.alternative),
                png: draw::png(&figure.chart),
            }),
            _ => None,
        })
        .collect();
    Page {
        html: html::document(review, &sections),
        charts,
    }
}
