//! Title, lead, contents and sections as pieces, one below the other, and what each of them is.

use super::chart::least_share;
use super::piece::{
    BODY, BODY_TEXT, Closeness, Drawn, HEADING, Piece, SMALL, SOFT, STRONG, SUBHEADING, Style,
    TITLE, WIDTH, Words,
};
use super::table;
use super::tags::{Kind, Node, Tags};
use super::text::{Typefaces, Weight, readable};
use crate::report::content::{Block, Figure, Section};
use crate::report::draw;
use std::ops::Range;

/// Indents of lists, cautions and explanations of terms.
const INDENT: f32 = 11.0;

/// What a chart leaves free on its left and right, in its pixels; here its words begin with the lines
/// of the page.
pub(super) const CHART_EDGE: f32 = 20.0;

/// Pieces, table heads and the tree of a document.
pub(super) struct Flow<'a> {
    pub(super) typefaces: &'a Typefaces,
    /// From first to last.
    pub(super) pieces: Vec<Piece>,
    /// Table heads that are drawn again on the pages that a table goes on to.
    pub(super) heads: Vec<Vec<Drawn>>,
    /// What is what.
    pub(super) tags: Tags,
    /// How close what is added stands.
    closeness: Closeness,
}

/// A paragraph before it is broken into lines.
pub(super) struct Paragraph<'a> {
    /// Its words, what they are, and the section that they lead to.
    pub(super) parts: Vec<(&'a str, Node, Option<usize>)>,
    /// Its letters.
    pub(super) style: Style,
    /// Space on its left.
    pub(super) indent: f32,
    /// Space above it.
    pub(super) before: f32,
    /// Whether all of its lines stay on one page.
    pub(super) is_whole: bool,
}

impl Flow<'_> {
    /// The document of a title, a lead and sections.
    pub(super) fn new<'a>(
        title: &str,
        lead: &str,
        sections: &[Section],
        typefaces: &'a Typefaces,
    ) -> Flow<'a> {
        let begun = |closeness| Flow::begun(title, lead, sections, typefaces, closeness);
        let mut flow = Closeness::STEPS
            .into_iter()
            .map(begun)
            .find(|flow| flow.height() <= BODY)
            .unwrap_or_else(|| begun(Closeness::ORDINARY));
        flow.closeness = Closeness::ORDINARY;
        if !sections.is_empty() {
            flow.contents(sections);
        }
        for (index, section) in sections.iter().enumerate().skip(1) {
            let root = flow.tags.root(Kind::Section);
            flow.section(section, index, root);
        }
        flow
    }

    /// The first page: what stands before the contents.
    fn begun<'a>(
        title: &str,
        lead: &str,
        sections: &[Section],
        typefaces: &'a Typefaces,
        closeness: Closeness,
    ) -> Flow<'a> {
        let mut flow = Flow {
            typefaces,
            pieces: Vec::new(),
            heads: Vec::new(),
            tags: Tags::new(),
            closeness,
        };
        let node = flow.tags.root(Kind::Heading(1, readable(title)));
        flow.plain(title, node, TITLE, 0.0);
        let node = flow.tags.root(Kind::Paragraph);
        flow.plain(lead, node, SMALL, 3.0);
        if let Some(section) = sections.first() {
            let root = flow.tags.root(Kind::Section);
            flow.section(section, 0, root);
            flow.pointer(sections, root);
        }
        flow
    }

    fn height(&self) -> f32 {
        let heights = self.pieces.iter().map(|piece| piece.extent);
        heights.map(|extent| extent.before + extent.height).sum()
    }

    fn section(&mut self, section: &Section, index: usize, root: Node) {
        let first = self.pieces.len();
        let kind = Kind::Heading(2, readable(&section.heading));
        let node = self.tags.child(root, kind);
        self.plain(
            &section.heading,
            node,
            HEADING,
            if index == 0 { 12.0 } else { 24.0 },
        );
        self.keep(first);
        self.pieces[first].anchor = Some(index);
        // The page after the contents is a new one.
        self.pieces[first].extent.breaks_before = index == 1;
        let is_first = index == 0;
        for (index, block) in section.blocks.iter().enumerate() {
            let first = self.pieces.len();
            self.block(block, root, is_first);
            if leads(&section.blocks[index..]) {
                for piece in &mut self.pieces[first..] {
                    piece.extent.joins_next = true;
                }
            }
        }
    }

    fn block(&mut self, block: &Block, root: Node, is_first: bool) {
        let body = if is_first { SMALL } else { BODY_TEXT };
        match block {
            Block::Text(words) => {
                let node = self.tags.child(root, Kind::Paragraph);
                self.plain(words, node, body, 6.0);
            }
            Block::Caution(words) => self.caution(words, root),
            Block::Heading(words) => {
                let kind = Kind::Heading(3, readable(words));
                let node = self.tags.child(root, kind);
                let first = self.pieces.len();
                self.plain(words, node, SUBHEADING, 15.0);
                self.keep(first);
            }
            Block::List(lines) => self.list(lines, root, !is_first),
            Block::Terms(terms) => self.terms(terms, root),
            Block::Table(table) => {
                let heads = &mut self.heads;
                let mut pieces = table::pieces(
                    table,
                    root,
                    &mut self.tags,
                    self.typefaces,
                    heads,
                    self.closeness,
                );
                self.pieces.append(&mut pieces);
            }
            Block::Figure(figure) => self.figure(figure, root),
        }
    }

    fn caution(&mut self, words: &str, root: Node) {
        let node = self.tags.child(root, Kind::Paragraph);
        let first = self.pieces.len();
        self.paragraph(&Paragraph {
            parts: vec![(words, node, None)],
            style: BODY_TEXT,
            indent: INDENT,
            before: 7.0,
            is_whole: true,
        });
        for piece in &mut self.pieces[first..] {
            let height = piece.extent.height;
            for x in [1.0, 3.4] {
                piece.drawn.push(Drawn::Rule {
                    from: (x, 0.0),
                    to: (x, height),
                    width: 0.9,
                    gray: SOFT,
                });
            }
            piece.extent.joins_next = true;
        }
    }

    fn list(&mut self, lines: &[String], root: Node, is_bulleted: bool) {
        let list = self.tags.child(root, Kind::List(is_bulleted));
        for (index, words) in lines.iter().enumerate() {
            let item = self.tags.child(list, Kind::ListItem);
            let bullet = is_bulleted.then(|| self.tags.child(item, Kind::Label));
            let body = self.tags.child(item, Kind::LabelBody);
            let first = self.pieces.len();
            self.paragraph(&Paragraph {
                parts: vec![(words, body, None)],
                style: BODY_TEXT,
                indent: if is_bulleted { INDENT } else { 0.0 },
                before: if index == 0 { 6.0 } else { 2.4 },
                is_whole: true,
            });
            if let (Some(node), Some(piece)) = (bullet, self.pieces.get_mut(first)) {
                let style = self.closeness.style(BODY_TEXT);
                let bullet = words_at(2.0, style.baseline(), "• ", style, node);
                piece.drawn.insert(0, bullet);
            }
        }
    }

    fn terms(&mut self, terms: &[(String, Vec<String>)], root: Node) {
        let list = self.tags.child(root, Kind::List(false));
        for (term, lines) in terms {
            let item = self.tags.child(list, Kind::ListItem);
            let label = self.tags.child(item, Kind::Label);
            let body = self.tags.child(item, Kind::LabelBody);
            let first = self.pieces.len();
            self.plain(term, label, STRONG, 7.0);
            self.keep(first);
            for line in lines {
                let node = self.tags.child(body, Kind::Paragraph);
                self.plain(line, node, BODY_TEXT, 0.6);
            }
        }
    }

    fn figure(&mut self, figure: &Figure, root: Node) {
        let group = self.tags.child(root, Kind::Group);
        let node = self
            .tags
            .child(group, Kind::Figure(readable(&figure.alternative)));
        let caption = self.tags.child(group, Kind::Caption);
        let mut below = self.pieces.split_off(self.pieces.len());
        std::mem::swap(&mut below, &mut self.pieces);
        self.paragraph(&Paragraph {
            parts: vec![(&figure.caption, caption, None)],
            style: SMALL,
            indent: 0.0,
            before: 3.0,
            is_whole: true,
        });
        std::mem::swap(&mut below, &mut self.pieces);
        let caption_height: f32 = below
            .iter()
            .map(|piece| piece.extent.before + piece.extent.height)
            .sum();

        let picture = draw::picture(&figure.chart);
        // A chart of very many lines is drawn smaller, never cut.
        let most = (BODY - caption_height).max(BODY / 2.0);
        let scale =
            (WIDTH / (picture.width - 2.0 * CHART_EDGE)).min(most / picture.height.max(1.0));
        let height = picture.height * scale;
        let least = least_share(&picture, scale, self.typefaces);
        let chart = Drawn::Chart {
            picture,
            scale,
            node,
        };
        let mut piece = Piece::new(12.0, height, vec![chart]);
        piece.extent.keeps_next = true;
        piece.extent.spare = 1.0 - least;
        self.pieces.push(piece);
        self.pieces.append(&mut below);
    }

    /// A paragraph of one part.
    pub(super) fn plain(&mut self, words: &str, node: Node, style: Style, before: f32) {
        self.paragraph(&Paragraph {
            parts: vec![(words, node, None)],
            style,
            indent: 0.0,
            before,
            is_whole: style.weight == Weight::Bold,
        });
    }

    /// Keeps everything from this piece on with what follows.
    pub(super) fn keep(&mut self, first: usize) {
        for piece in &mut self.pieces[first..] {
            piece.extent.keeps_next = true;
        }
    }

    /// A paragraph, each of its lines a piece.
    pub(super) fn paragraph(&mut self, paragraph: &Paragraph<'_>) {
        let style = self.closeness.style(paragraph.style);
        let face = self.typefaces.of(style.weight);
        let mut text = String::new();
        let mut parts: Vec<(Range<usize>, Node, Option<usize>)> = Vec::new();
        for (words, node, target) in &paragraph.parts {
            let start = text.len();
            text.push_str(&self.typefaces.drawable(words));
            parts.push((start..text.len(), *node, *target));
        }
        let lines = face.lines(&text, style.size, WIDTH - paragraph.indent);
        let count = lines.len();
        // A paragraph higher than a third of a page may be cut wherever it is.
        let is_whole = paragraph.is_whole && count as f32 * style.leading < BODY / 3.0;
        for (index, line) in lines.into_iter().enumerate() {
            let mut drawn = Vec::new();
            let mut x = paragraph.indent;
            for (range, node, target) in &parts {
                let is_empty = range.is_empty() && index == 0;
                let common = range.start.max(line.start)..range.end.min(line.end);
                if common.is_empty() && !is_empty {
                    continue;
                }
                let words = text.get(common).unwrap_or_default();
                let mut one = words_at(x, style.baseline(), words, style, *node);
                if let Drawn::Text(words) = &mut one {
                    words.target = *target;
                    words.is_underlined = target.is_some();
                }
                drawn.push(one);
                x += face.width(words, style.size);
            }
            let before = if index == 0 {
                self.closeness.space(paragraph.before)
            } else {
                0.0
            };
            let mut piece = Piece::new(before, style.leading, drawn);
            // No single line of a paragraph stands alone on a page.
            let is_near_end = index == 0 || index + 2 == count;
            piece.extent.keeps_next = index + 1 < count && (is_whole || is_near_end);
            self.pieces.push(piece);
        }
    }
}

/// Words of more letters than these, before a table or a chart, may stay on the page before it.
const LONG_LEAD: usize = 900;

/// Whether the first block is a paragraph that leads to a table, a chart or a list not far below.
fn leads(blocks: &[Block]) -> bool {
    let mut letters = 0;
    for (index, block) in blocks.iter().enumerate() {
        match block {
            Block::Text(words) | Block::Caution(words) => letters += words.len(),
            Block::Table(_) | Block::Figure(_) | Block::List(_) => {
                return index > 0 && letters < LONG_LEAD;
            }
            Block::Heading(_) | Block::Terms(_) => return false,
        }
    }
    false
}

/// A line of text.
pub(super) fn words_at(x: f32, y: f32, text: &str, style: Style, node: Node) -> Drawn {
    Drawn::Text(Words {
        x,
        y,
        text: text.to_owned(),
        style,
        node: Some(node),
        target: None,
        is_underlined: false,
    })
}
