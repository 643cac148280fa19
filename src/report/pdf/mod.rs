//! The report as a PDF for meetings and for print: the same content as the page, made without a
//! browser. Tagged by the rules of PDF/UA-1, so that it can be read aloud.
//!
//! `flow` makes pieces of the content, `front` those before the second section, `table` and `columns`
//! those of tables, `layout` says where they stand,
//! `text` measures letters, `tags` says what is what, and `sheets` and `chart` draw. The file
//! format itself is the work of a library; `packed` makes the finished file smaller.

mod chart;
mod columns;
mod flow;
mod front;
mod layout;
mod packed;
mod piece;
mod sheets;
mod table;
mod tags;
mod text;

#[cfg(test)]
mod tests;

use super::page::Page;
use flow::Flow;
use krilla::Document;
use krilla::SerializeSettings;
use krilla::configure::{Accessibility, Configuration, ConfigurationBuilder};
use krilla::metadata::{DateTime, Metadata};
use krilla::outline::{Outline, OutlineNode};
use layout::Extent;
use sheets::Sheets;
use text::{Typefaces, Weight, readable};

/// Language of every word, as the page has it.
const LANGUAGE: &str = "en-US";

/// A finished file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PdfFile {
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// Whether it keeps the rules of PDF/UA-1, so that it can be read aloud everywhere.
    pub keeps_rules: bool,
}

/// Why there is no file.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PdfError {
    /// The library that writes the format refused the document.
    #[error("the report cannot be written as a PDF")]
    NotWritten,
}

impl Page {
    /// The PDF, A4.
    ///
    /// What a library finds wrong with some letters of a name must not cost a site its report, so a
    /// file that would break a rule of PDF/UA-1 is written without the rules, and says so.
    ///
    /// # Errors
    /// When no file can be written even without the rules.
    pub fn pdf(&self) -> Result<PdfFile, PdfError> {
        let settings = |configuration| SerializeSettings {
            configuration,
            ..SerializeSettings::default()
        };
        let by_rules = self.written(settings(accessible()));
        let keeps_rules = by_rules.is_some();
        let bytes = by_rules
            .or_else(|| self.written(settings(Configuration::default())))
            .ok_or(PdfError::NotWritten)?;
        Ok(PdfFile {
            bytes: packed::packed(&bytes).unwrap_or(bytes),
            keeps_rules,
        })
    }

    /// The file under these settings; `None` when it would break a rule of theirs.
    fn written(&self, settings: SerializeSettings) -> Option<Vec<u8>> {
        let typefaces = Typefaces::new();
        let mut flow = Flow::new(&self.title, &self.lead, &self.sections, &typefaces);
        let extents: Vec<Extent> = flow.pieces.iter().map(|piece| piece.extent).collect();
        let places = layout::places(&extents, piece::BODY);
        let anchors = sheets::anchors(&flow.pieces, &places);

        let mut document = Document::new_with(settings);
        let sheets = Sheets {
            typefaces: &typefaces,
            anchors: &anchors,
            headings: self
                .sections
                .iter()
                .map(|part| readable(&part.heading))
                .collect(),
            foot: self.foot(&typefaces),
        };
        sheets.draw(&mut flow, &places, &mut document);

        let mut outline = Outline::new();
        for (heading, anchor) in sheets.headings.iter().zip(&anchors) {
            outline.push_child(OutlineNode::new(heading.clone(), anchor.destination()));
        }
        document.set_outline(outline);
        document.set_metadata(self.metadata());
        document.set_tag_tree(flow.tags.tree(LANGUAGE));
        document.finish().ok()
    }

    fn metadata(&self) -> Metadata {
        let tool = format!("scopetally {}", self.tool_version);
        let metadata = Metadata::new()
            .title(readable(&self.title))
            .language(LANGUAGE.to_owned())
            .creator(tool);
        match self.made_on.as_deref().and_then(date) {
            Some(date) => metadata.creation_date(date),
            None => metadata,
        }
    }

    /// The left of every foot, on one line.
    fn foot(&self, typefaces: &Typefaces) -> String {
        let mut foot = format!("{} · scopetally {}", self.title, self.tool_version);
        if let Some(date) = &self.made_on {
            foot.push_str(", ");
            foot.push_str(date);
        }
        let foot = typefaces.drawable(&foot);
        let face = typefaces.of(Weight::Regular);
        let lines = face.lines(&foot, piece::FOOT_TEXT.size, piece::WIDTH - 90.0);
        lines
            .into_iter()
            .next()
            .map_or_else(String::new, |line| foot[line].trim_end().to_owned())
    }
}

fn accessible() -> Configuration {
    ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .expect("one validator and no version contradict nothing")
}

/// A day written as 2026-10-02.
fn date(day: &str) -> Option<DateTime> {
    let mut parts = day.split('-');
    let year = parts.next()?.parse().ok()?;
    let month = parts.next()?.parse().ok()?;
    let day = parts.next()?.parse().ok()?;
    Some(DateTime::new(year).month(month).day(day))
}
