//! A picture as a list of shapes in whole pixels, from back to front.

/// Width of every chart. Twice the width on the page, so that lines can be half a pixel there.
pub(super) const WIDTH: i32 = 1440;

/// A point in pixels, from the upper left.
pub(super) type At = (i32, i32);

/// A picture.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Scene {
    /// Height in pixels; the width is [`WIDTH`].
    pub(super) height: i32,
    /// From back to front.
    pub(super) shapes: Vec<Shape>,
}

/// The inks. They differ in lightness, so they hold in black and white.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ink {
    /// Words, numbers and estimates.
    Black,
    /// Axis words.
    Gray,
    /// Single cases, and the interval of a second number.
    Silver,
    /// Cells between `Silver` and `Mist`.
    Ash,
    /// Bars behind marks.
    Cloud,
    /// Grid lines.
    Mist,
    /// The month in view.
    Accent,
    /// Numbers on a dark cell: the color of the page.
    Paper,
}

impl Ink {
    /// Every ink.
    pub(super) const ALL: [Ink; 8] = [
        Ink::Black,
        Ink::Gray,
        Ink::Silver,
        Ink::Ash,
        Ink::Cloud,
        Ink::Mist,
        Ink::Accent,
        Ink::Paper,
    ];

    /// Red, green and blue on white paper.
    pub(super) const fn rgb(self) -> [u8; 3] {
        match self {
            Ink::Black => [28, 28, 30],
            Ink::Gray => [92, 94, 98],
            Ink::Silver => [156, 160, 166],
            Ink::Ash => [192, 197, 203],
            Ink::Cloud => [212, 218, 224],
            Ink::Mist => [228, 231, 234],
            Ink::Accent => [10, 84, 120],
            Ink::Paper => [255, 255, 255],
        }
    }

    /// The same as the drawing library writes it.
    pub(super) fn hex(self) -> String {
        let [red, green, blue] = self.rgb();
        format!("#{red:02X}{green:02X}{blue:02X}")
    }

    /// Its class on the page, whose style sheet has a color for it in the light and in the dark.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Ink::Black => "black",
            Ink::Gray => "gray",
            Ink::Silver => "silver",
            Ink::Ash => "ash",
            Ink::Cloud => "cloud",
            Ink::Mist => "mist",
            Ink::Accent => "accent",
            Ink::Paper => "paper",
        }
    }
}

/// Sizes of text, an em in pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Size {
    /// The title.
    Title,
    /// Labels and numbers.
    Label,
    /// Numbers that must fit under one month.
    Small,
}

impl Size {
    /// An em in pixels.
    pub(super) const fn pixels(self) -> u32 {
        match self {
            Size::Title => 32,
            Size::Label => 25,
            Size::Small => 19,
        }
    }
}

/// Where a text stands in relation to its point; vertically it is always centered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Align {
    /// Starts at the point.
    Start,
    /// Centered on the point.
    Middle,
    /// Ends at the point.
    End,
}

/// Forms of marks; form, not color, tells them apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mark {
    /// An estimate: a filled circle.
    Estimate,
    /// The estimate of the month in view: a large filled diamond.
    InView,
    /// A second number of the same group, such as the 90th percentile: an open diamond.
    Far,
    /// A case that reached the end: a small filled dot.
    Case,
    /// A case followed until it was cancelled or transferred: a small open dot.
    OpenCase,
}

/// One shape.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Shape {
    /// A straight line.
    Line {
        /// One end.
        from: At,
        /// The other end.
        to: At,
        /// Its ink.
        ink: Ink,
        /// Its width in pixels.
        width: u32,
    },
    /// A line through points, one shape however many there are.
    Path {
        /// The points in order.
        points: Vec<At>,
        /// Its ink.
        ink: Ink,
        /// Its width in pixels.
        width: u32,
    },
    /// A filled form.
    Area {
        /// Its corners in order.
        corners: Vec<At>,
        /// Its ink.
        ink: Ink,
    },
    /// A filled rectangle.
    Bar {
        /// Upper left.
        from: At,
        /// Lower right.
        to: At,
        /// Its ink.
        ink: Ink,
    },
    /// A mark that stands for a number.
    Mark {
        /// Its center.
        at: At,
        /// Its form.
        mark: Mark,
    },
    /// A text.
    Text {
        /// Where.
        at: At,
        /// The words.
        text: String,
        /// How large.
        size: Size,
        /// Its ink.
        ink: Ink,
        /// Where `at` lies in it.
        align: Align,
    },
}

impl Scene {
    /// A line.
    pub(super) fn line(&mut self, from: At, to: At, ink: Ink, width: u32) {
        self.shapes.push(Shape::Line {
            from,
            to,
            ink,
            width,
        });
    }

    /// A line through points; nothing where there are fewer than two.
    pub(super) fn path(&mut self, points: Vec<At>, ink: Ink, width: u32) {
        if points.len() > 1 {
            self.shapes.push(Shape::Path { points, ink, width });
        }
    }

    /// A filled form; nothing where it has no extent.
    pub(super) fn area(&mut self, corners: Vec<At>, ink: Ink) {
        if corners.len() > 2 {
            self.shapes.push(Shape::Area { corners, ink });
        }
    }

    /// A horizontal dashed line.
    pub(super) fn dashes(&mut self, from: At, to_x: i32, ink: Ink, width: u32) {
        let mut x = from.0;
        while x < to_x {
            self.line((x, from.1), ((x + 14).min(to_x), from.1), ink, width);
            x += 24;
        }
    }

    /// A filled rectangle.
    pub(super) fn bar(&mut self, from: At, to: At, ink: Ink) {
        self.shapes.push(Shape::Bar { from, to, ink });
    }

    /// A mark.
    pub(super) fn mark(&mut self, at: At, mark: Mark) {
        self.shapes.push(Shape::Mark { at, mark });
    }

    /// A text.
    pub(super) fn text(
        &mut self,
        at: At,
        text: impl Into<String>,
        size: Size,
        ink: Ink,
        align: Align,
    ) {
        self.shapes.push(Shape::Text {
            at,
            text: text.into(),
            size,
            ink,
            align,
        });
    }

    /// A vertical interval with caps at the limits that exist and lie within the axis.
    pub(super) fn upright_interval(&mut self, x: i32, ends: [End; 2], ink: Ink) {
        self.line((x, ends[0].at), (x, ends[1].at), ink, 3);
        for end in ends.iter().filter(|end| end.is_limit) {
            self.line((x - 7, end.at), (x + 7, end.at), ink, 3);
        }
    }

    /// A horizontal interval with caps at the limits that exist and lie within the axis.
    pub(super) fn level_interval(&mut self, y: i32, ends: [End; 2], ink: Ink) {
        self.line((ends[0].at, y), (ends[1].at, y), ink, 3);
        for end in ends.iter().filter(|end| end.is_limit) {
            self.line((end.at, y - 7), (end.at, y + 7), ink, 3);
        }
    }
}

/// One end of an interval on its axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct End {
    /// Pixels along the axis.
    pub(super) at: i32,
    /// Whether this is the limit itself, and not where the axis or the knowledge ends.
    pub(super) is_limit: bool,
}
