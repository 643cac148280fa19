//! Pieces onto pages: the only file that draws text and writes links.

use super::chart::{Scale, paint, round};
use super::flow::{CHART_EDGE, Flow};
use super::layout::Place;
use super::piece::{
    Drawn, FOOT_BASELINE, FOOT_TEXT, LEFT, PAGE, Piece, RULE, SOFT, Style, TOP, WIDTH, Words,
};
use super::tags::{Node, Tags};
use super::text::{Typefaces, Weight};
use krilla::Document;
use krilla::annotation::{Annotation, LinkAnnotation, Target};
use krilla::color::luma;
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point, Rect};
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, BBox, ContentTag, SpanTag};

/// Where a section begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Anchor {
    /// Its page, from 0.
    pub(super) page: usize,
    /// Below the upper edge of the paper.
    pub(super) y: f32,
}

impl Anchor {
    /// The place as the file names it.
    pub(super) fn destination(self) -> XyzDestination {
        XyzDestination::new(self.page, Point::from_xy(round(LEFT), round(self.y - 6.0)))
    }
}

/// Where the sections begin, in their order.
pub(super) fn anchors(pieces: &[Piece], places: &[Place]) -> Vec<Anchor> {
    let mut anchors: Vec<(usize, Anchor)> = Vec::new();
    for (piece, place) in pieces.iter().zip(places) {
        if let Some(section) = piece.anchor {
            let (page, y) = (place.page, TOP + place.top);
            anchors.push((section, Anchor { page, y }));
        }
    }
    anchors.sort_by_key(|(section, _)| *section);
    anchors.into_iter().map(|(_, anchor)| anchor).collect()
}

/// What the pages have in common.
pub(super) struct Sheets<'a> {
    /// The typefaces.
    pub(super) typefaces: &'a Typefaces,
    /// Where sections begin.
    pub(super) anchors: &'a [Anchor],
    /// Headings of the sections, for the words of links.
    pub(super) headings: Vec<String>,
    /// The left of the foot.
    pub(super) foot: String,
}

/// A link that is put onto its page when all is drawn.
struct Link {
    node: Node,
    area: Option<Rect>,
    target: usize,
}

/// What the marked content that is open belongs to.
#[derive(Clone, Copy, PartialEq)]
enum Open {
    /// None is open.
    Nothing,
    /// Something drawn once more.
    Again,
    /// A node.
    Node(Node),
}

/// A straight line that means nothing.
struct Rule {
    from: (f32, f32),
    to: (f32, f32),
    width: f32,
    gray: u8,
}

/// A page while it is drawn.
struct Sheet<'a, 'surface> {
    sheets: &'a Sheets<'a>,
    surface: Surface<'surface>,
    tags: &'a mut Tags,
    open: Open,
    /// Drawn last, all at once, since they mean nothing.
    rules: Vec<Rule>,
    links: Vec<Link>,
    page: usize,
}

impl Sheets<'_> {
    /// Draws every page.
    pub(super) fn draw(&self, flow: &mut Flow<'_>, places: &[Place], document: &mut Document) {
        let pages = places.last().map_or(1, |place| place.page + 1);
        let mut standing = flow.pieces.iter().zip(places).peekable();
        for page in 0..pages {
            let size = PageSettings::from_wh(round(PAGE.0), round(PAGE.1));
            let mut paper = document.start_page_with(size.expect("A4 has a size"));
            let mut sheet = Sheet {
                sheets: self,
                surface: paper.surface(),
                tags: &mut flow.tags,
                open: Open::Nothing,
                rules: Vec::new(),
                links: Vec::new(),
                page,
            };
            while let Some((piece, place)) = standing.next_if(|(_, place)| place.page == page) {
                if let (true, Some(head)) = (place.begins_page, piece.head) {
                    sheet.draw(&flow.heads[head], 0.0, 1.0);
                }
                sheet.draw(&piece.drawn, place.top, place.share);
            }
            let links = sheet.finish(pages);
            for link in links {
                let Some(area) = link.area else { continue };
                let anchor = self.anchors[link.target];
                let target = Target::Destination(anchor.destination().into());
                let heading = &self.headings[link.target];
                let words = format!("{heading}, page {}", anchor.page + 1);
                let annotation =
                    Annotation::new_link(LinkAnnotation::new(area, target), Some(words));
                let content = paper.add_tagged_annotation(annotation);
                flow.tags.fill_first(link.node, content);
            }
            paper.finish();
        }
    }
}

impl Sheet<'_, '_> {
    /// Draws what stands in a piece, charts at this share of their size.
    fn draw(&mut self, drawn: &[Drawn], top: f32, share: f32) {
        let top = TOP + top;
        for one in drawn {
            match one {
                Drawn::Text(words) => self.words(words, top),
                Drawn::PageOf { section, x, node } => self.page_of(*section, *x, *node, top),
                Drawn::Rule {
                    from,
                    to,
                    width,
                    gray,
                } => {
                    let place = |at: &(f32, f32)| (round(LEFT + at.0), round(top + at.1));
                    self.rules.push(Rule {
                        from: place(from),
                        to: place(to),
                        width: *width,
                        gray: *gray,
                    });
                }
                Drawn::Chart {
                    picture,
                    scale,
                    node,
                } => {
                    self.close();
                    let sizes = Scale {
                        whole: *scale,
                        share,
                    };
                    let scale = sizes.points();
                    let left = LEFT - CHART_EDGE * scale;
                    let content = self.surface.start_tagged(ContentTag::Other);
                    paint(
                        &mut self.surface,
                        picture,
                        (left, top),
                        sizes,
                        self.sheets.typefaces,
                    );
                    self.surface.end_tagged();
                    self.tags.fill(*node, content);
                    let (width, height) = (picture.width * scale, picture.height * scale);
                    if let Some(area) = Rect::from_xywh(left, top, width, height) {
                        self.tags.bound(*node, BBox::new(self.page, area));
                    }
                }
            }
        }
    }

    /// Opens marked content of a node, unless it is open; of no node where something is drawn again.
    fn open(&mut self, node: Option<Node>) {
        let wanted = node.map_or(Open::Again, Open::Node);
        if self.open == wanted {
            return;
        }
        self.close();
        match node {
            Some(node) => {
                let content = ContentTag::Span(SpanTag::empty());
                let content = self.surface.start_tagged(content);
                self.tags.fill(node, content);
            }
            None => self.artifact(ArtifactType::PaginationOther),
        }
        self.open = wanted;
    }

    fn close(&mut self) {
        if self.open != Open::Nothing {
            self.surface.end_tagged();
            self.open = Open::Nothing;
        }
    }

    fn artifact(&mut self, kind: ArtifactType) {
        let artifact = Artifact::with_kind(kind);
        self.surface.start_tagged(ContentTag::Artifact(artifact));
    }

    fn words(&mut self, words: &Words, top: f32) {
        self.open(words.node);
        let x = LEFT + words.x;
        self.text(&words.text, x, top + words.y, words.style);
        if let (Some(target), Some(node)) = (words.target, words.node) {
            let face = self.sheets.typefaces.of(words.style.weight);
            let width = face.width(words.text.trim_end(), words.style.size);
            let (y, leading) = (top + words.y - words.style.baseline(), words.style.leading);
            let area = Rect::from_xywh(round(x), round(y), round(width), leading);
            if words.is_underlined {
                let under = round(top + words.y + 1.6);
                self.rules.push(Rule {
                    from: (round(x), under),
                    to: (round(x + width), under),
                    width: 0.4,
                    gray: SOFT,
                });
            }
            self.links.push(Link { node, area, target });
        }
    }

    /// Dots from `x` to the number of a page at the right end of the line.
    fn page_of(&mut self, section: usize, x: f32, node: Node, top: f32) {
        let style = super::piece::BODY_TEXT;
        let face = self.sheets.typefaces.of(style.weight);
        let number = (self.sheets.anchors[section].page + 1).to_string();
        let left = WIDTH - face.width(&number, style.size);
        self.open(Some(node));
        self.text(&number, LEFT + left, top + style.baseline(), style);
        let y = round(top + style.baseline());
        let (from, to) = (LEFT + x + 6.0, LEFT + left - 6.0);
        if from < to {
            self.rules.push(Rule {
                from: (round(from), y),
                to: (round(to), y),
                width: 0.4,
                gray: RULE,
            });
        }
        if let Some(link) = self.links.last_mut().filter(|link| link.node == node) {
            let area = link.area;
            link.area = area.and_then(|area| {
                Rect::from_ltrb(area.left(), area.top(), LEFT + WIDTH, area.bottom())
            });
        }
    }

    fn text(&mut self, text: &str, x: f32, y: f32, style: Style) {
        if text.is_empty() {
            return;
        }
        let text = text.replace('\u{a0}', " ");
        let face = self.sheets.typefaces.of(style.weight);
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(Fill {
            paint: luma::Color::new(style.gray).into(),
            ..Fill::default()
        }));
        self.surface.draw_glyphs(
            Point::from_xy(round(x), round(y)),
            &face.glyphs(&text),
            face.font(),
            &text,
            style.size,
            false,
        );
    }

    /// Draws what means nothing and hands out the links.
    fn finish(mut self, pages: usize) -> Vec<Link> {
        self.close();
        if !self.rules.is_empty() {
            self.artifact(ArtifactType::Layout);
            self.surface.set_fill(None);
            for rule in std::mem::take(&mut self.rules) {
                let mut path = PathBuilder::new();
                path.move_to(rule.from.0, rule.from.1);
                path.line_to(rule.to.0, rule.to.1);
                let Some(path) = path.finish() else { continue };
                self.surface.set_stroke(Some(Stroke {
                    paint: luma::Color::new(rule.gray).into(),
                    width: rule.width,
                    ..Stroke::default()
                }));
                self.surface.draw_path(&path);
            }
            self.surface.end_tagged();
        }
        self.artifact(ArtifactType::Footer);
        let number = format!("Page {} of {pages}", self.page + 1);
        let face = self.sheets.typefaces.of(Weight::Regular);
        let width = face.width(&number, FOOT_TEXT.size);
        self.text(&self.sheets.foot, LEFT, FOOT_BASELINE, FOOT_TEXT);
        self.text(&number, LEFT + WIDTH - width, FOOT_BASELINE, FOOT_TEXT);
        self.surface.end_tagged();
        self.surface.finish();
        self.links
    }
}
