//! What stands between the first section and the second: where to read on, and the contents.

use super::flow::{Flow, Paragraph, words_at};
use super::piece::{BODY_TEXT, Drawn, HEADING, Piece, SMALL, WIDTH};
use super::tags::{Kind, Node};
use crate::report::content::Section;

/// Said once, since a chart stands here without its table.
const NO_TABLES: &str = "The numbers behind each chart stand in the files below tables/ and on the \
    HTML page beside this file, and are left out here.";

/// Sections that the first page points to.
const POINTERS: [(&str, &str); 6] = [
    ("Before acting on any of this, read the ", ""),
    ("cautions", "cautions"),
    (". How each number is defined: ", ""),
    ("definitions", "definitions"),
    (" and ", ""),
    ("methods", "methods"),
];

impl Flow<'_> {
    /// Says where to read on.
    pub(super) fn pointer(&mut self, sections: &[Section], root: Node) {
        let paragraph = self.tags.child(root, Kind::Paragraph);
        let mut parts = Vec::new();
        for (words, id) in POINTERS {
            let target = sections.iter().position(|section| section.id == id);
            let kind = target.map_or(Kind::Span, |_| Kind::Link);
            parts.push((words, self.tags.child(paragraph, kind), target));
        }
        parts.push((".", self.tags.child(paragraph, Kind::Span), None));
        self.paragraph(&Paragraph {
            parts,
            style: SMALL,
            indent: 0.0,
            before: 5.0,
            is_whole: true,
        });
        let node = self.tags.child(root, Kind::Paragraph);
        self.plain(NO_TABLES, node, SMALL, 2.0);
    }

    /// The page of contents.
    pub(super) fn contents(&mut self, sections: &[Section]) {
        let root = self.tags.root(Kind::Section);
        let first = self.pieces.len();
        let node = self
            .tags
            .child(root, Kind::Heading(2, "Contents".to_owned()));
        self.plain("Contents", node, HEADING, 0.0);
        self.keep(first);
        self.pieces[first].extent.breaks_before = true;
        let list = self.tags.child(root, Kind::Contents);
        for (target, section) in sections.iter().enumerate() {
            let item = self.tags.child(list, Kind::ContentsItem);
            let reference = self.tags.child(item, Kind::Reference);
            let link = self.tags.child(reference, Kind::Link);
            self.contents_line(&section.heading, target, link);
        }
    }

    fn contents_line(&mut self, heading: &str, target: usize, link: Node) {
        /// Room for a page number, and for a dot or two before it.
        const NUMBER: f32 = 40.0;
        let style = BODY_TEXT;
        let heading = self.typefaces.drawable(heading);
        let face = self.typefaces.of(style.weight);
        let lines = face.lines(&heading, style.size, WIDTH - NUMBER);
        let last = lines.len() - 1;
        for (index, range) in lines.into_iter().enumerate() {
            let text = &heading[range];
            let mut words = words_at(0.0, style.baseline(), text, style, link);
            if let Drawn::Text(words) = &mut words {
                words.target = Some(target);
            }
            let mut drawn = vec![words];
            if index == last {
                drawn.push(Drawn::PageOf {
                    section: target,
                    x: face.width(text, style.size),
                    node: link,
                });
            }
            let before = if index == 0 { 5.0 } else { 0.0 };
            let mut piece = Piece::new(before, style.leading, drawn);
            piece.extent.keeps_next = index != last;
            self.pieces.push(piece);
        }
    }
}
