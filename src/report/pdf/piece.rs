//! What stands in a piece of a page: lines of text, rules and charts, at their places within it. The
//! measures of the page and of its letters.

use super::layout::Extent;
use super::tags::Node;
use super::text::Weight;
use crate::report::draw::Picture;

/// Points in a millimeter.
const MM: f32 = 72.0 / 25.4;

/// A4.
pub(super) const PAGE: (f32, f32) = (210.0 * MM, 297.0 * MM);

/// Width of what stands on a page. In the middle of A4 it leaves 17 mm on each side; printed on the
/// middle of Letter, 216 by 279 mm, it leaves 20 mm.
pub(super) const WIDTH: f32 = 176.0 * MM;

/// Height of what stands on a page, with its foot: 23 mm are left above and below on A4, and 15 mm on
/// Letter, which no printer fails to reach.
const HEIGHT: f32 = 250.0 * MM;

/// Height of the foot, with the space above it.
const FOOT: f32 = 26.0;

/// Height that pieces may fill.
pub(super) const BODY: f32 = HEIGHT - FOOT;

/// Left end of the lines.
pub(super) const LEFT: f32 = (PAGE.0 - WIDTH) / 2.0;

/// Upper end of the first piece.
pub(super) const TOP: f32 = (PAGE.1 - HEIGHT) / 2.0;

/// Baseline of the foot.
pub(super) const FOOT_BASELINE: f32 = TOP + HEIGHT - 2.0;

/// Gray of words and numbers, of what stands beside them, and of rules; 0 is black.
pub(super) const BLACK: u8 = 0;
/// Of what stands beside words and numbers.
pub(super) const SOFT: u8 = 70;
/// Of light rules.
pub(super) const RULE: u8 = 190;

/// Letters of one kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Style {
    /// Their weight.
    pub(super) weight: Weight,
    /// An em.
    pub(super) size: f32,
    /// From one line to the next.
    pub(super) leading: f32,
    /// Their gray.
    pub(super) gray: u8,
}

impl Style {
    const fn new(weight: Weight, size: f32, leading: f32, gray: u8) -> Style {
        Style {
            weight,
            size,
            leading,
            gray,
        }
    }

    /// Where letters stand within the height of their line.
    pub(super) fn baseline(self) -> f32 {
        self.leading / 2.0 + self.size * 0.345
    }
}

/// The title.
pub(super) const TITLE: Style = Style::new(Weight::Bold, 17.0, 21.0, BLACK);
/// Headings of sections.
pub(super) const HEADING: Style = Style::new(Weight::Bold, 14.0, 18.0, BLACK);
/// Headings within sections.
pub(super) const SUBHEADING: Style = Style::new(Weight::Bold, 10.5, 14.0, BLACK);
/// Paragraphs and lists.
pub(super) const BODY_TEXT: Style = Style::new(Weight::Regular, 9.6, 13.2, BLACK);
/// What explains: the lead, captions of charts.
pub(super) const SMALL: Style = Style::new(Weight::Regular, 8.4, 11.2, SOFT);
/// Captions of tables and terms.
pub(super) const STRONG: Style = Style::new(Weight::Bold, 9.2, 12.6, BLACK);
/// The foot of a page.
pub(super) const FOOT_TEXT: Style = Style::new(Weight::Regular, 8.0, 10.0, SOFT);

/// How close letters and lines of a part stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Closeness {
    /// Size of letters, of the ordinary.
    letters: f32,
    /// Space between lines and pieces, of the ordinary.
    space: f32,
}

/// Letters of text are not made smaller than this.
const LEAST_TEXT: f32 = 8.0;

impl Closeness {
    /// As it is everywhere but on a first page that would not hold its part.
    pub(super) const ORDINARY: Closeness = Closeness {
        letters: 1.0,
        space: 1.0,
    };

    /// What is tried from first to last until the first part fits its page.
    pub(super) const STEPS: [Closeness; 6] = [
        Closeness::ORDINARY,
        Closeness::new(1.0, 0.75),
        Closeness::new(0.96, 0.7),
        Closeness::new(0.92, 0.6),
        Closeness::new(0.88, 0.5),
        Closeness::new(0.84, 0.4),
    ];

    const fn new(letters: f32, space: f32) -> Closeness {
        Closeness { letters, space }
    }

    /// Space that is ordinarily `points`.
    pub(super) fn space(self, points: f32) -> f32 {
        points * self.space
    }

    /// Letters that are ordinarily of this style.
    pub(super) fn style(self, style: Style) -> Style {
        let size = (style.size * self.letters).max(LEAST_TEXT.min(style.size));
        let air = (style.leading / style.size - 1.16) * self.space.max(0.6);
        Style {
            size,
            leading: if self == Closeness::ORDINARY {
                style.leading
            } else {
                size * (1.16 + air)
            },
            ..style
        }
    }
}

/// What is never cut.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Piece {
    /// Its room.
    pub(super) extent: Extent,
    /// What stands in it.
    pub(super) drawn: Vec<Drawn>,
    /// The section that it begins.
    pub(super) anchor: Option<usize>,
    /// The table head that is repeated above it where it begins a page.
    pub(super) head: Option<usize>,
}

impl Piece {
    /// A piece with what stands in it.
    pub(super) fn new(before: f32, height: f32, drawn: Vec<Drawn>) -> Piece {
        Piece {
            extent: Extent {
                before,
                height,
                ..Extent::default()
            },
            drawn,
            anchor: None,
            head: None,
        }
    }
}

/// Something drawn; `x` counts from the left end of lines and `y` from the top of its piece.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Drawn {
    /// A line of text.
    Text(Words),
    /// The number of the page on which a section begins, at the right end of the line, and dots
    /// that lead to it from `x`.
    PageOf {
        /// The section.
        section: usize,
        /// Where the dots may begin.
        x: f32,
        /// What it is.
        node: Node,
    },
    /// A straight rule, upright or level.
    Rule {
        /// One end.
        from: (f32, f32),
        /// The other end.
        to: (f32, f32),
        /// Its width.
        width: f32,
        /// Its gray.
        gray: u8,
    },
    /// A chart.
    Chart {
        /// Its primitives.
        picture: Picture,
        /// Points in one of its pixels, where it is as wide as the page.
        scale: f32,
        /// What it is.
        node: Node,
    },
}

/// A line of text, or a part of one.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Words {
    /// Left end.
    pub(super) x: f32,
    /// Baseline.
    pub(super) y: f32,
    /// The words, drawable.
    pub(super) text: String,
    /// Their letters.
    pub(super) style: Style,
    /// What they are; nothing for what is drawn once more.
    pub(super) node: Option<Node>,
    /// The section that they lead to.
    pub(super) target: Option<usize>,
    /// Whether the eye has to be told that they lead somewhere.
    pub(super) is_underlined: bool,
}
