//! A finished page as content, and each file that is made of it. Nothing is painted or laid out
//! before it is asked for, so the caller may make the files side by side.

use super::content::{Block, Figure, Section};
use super::{draw, html, markdown};

/// Anchors of the sections that minutes of a meeting quote.
const FOR_MINUTES: [&str; 2] = ["summary", "cautions"];

/// A report, ready to be made into files. The same page gives the same bytes.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    pub(super) title: String,
    /// What the report is about, in one line.
    pub(super) lead: String,
    /// The first is the first page.
    pub(super) sections: Vec<Section>,
    pub(super) tool_version: &'static str,
    pub(super) made_on: Option<String>,
}

impl Page {
    /// Text of the HTML file. It needs no other file.
    pub fn html(&self) -> String {
        html::document(self)
    }

    /// Text of `summary.md`: the first page and the cautions, for the minutes of a meeting.
    pub fn summary(&self) -> String {
        let sections = self.sections.iter();
        let quoted = sections.filter(|section| FOR_MINUTES.contains(&section.id));
        markdown::document(&self.title, &self.lead, quoted)
    }

    /// The charts, for files of their own, in the order of the page.
    pub fn charts(&self) -> impl Iterator<Item = ChartImage<'_>> {
        let blocks = self.sections.iter().flat_map(|section| &section.blocks);
        blocks.filter_map(|block| match block {
            Block::Figure(figure) => Some(ChartImage(figure)),
            _ => None,
        })
    }
}

/// A chart of a page. It is painted when asked for, since most readers want the page alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartImage<'a>(&'a Figure);

impl<'a> ChartImage<'a> {
    /// File name without ending, unique on the page: `call_to_scope_by_month`.
    pub fn stem(&self) -> &'a str {
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
