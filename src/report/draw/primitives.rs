//! Shapes as lines, outlines, dots and texts, for a surface that is not the drawing library's: the
//! printed report. Knows no file format.

use super::image::color;
use super::scene::{Align, Ink, Mark, Scene, Shape, WIDTH};

/// Red, green and blue.
pub(in crate::report) type Rgb = (u8, u8, u8);

/// A point in pixels of the chart, from the upper left.
pub(in crate::report) type Point = (f32, f32);

/// A chart as primitives, from back to front.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) struct Picture {
    /// Width in pixels.
    pub(in crate::report) width: f32,
    /// Height in pixels.
    pub(in crate::report) height: f32,
    /// From back to front.
    pub(in crate::report) primitives: Vec<Primitive>,
}

/// One primitive; all lengths are pixels of the chart.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::report) enum Primitive {
    /// A line through points.
    Line {
        /// At least two.
        points: Vec<Point>,
        /// Its color.
        color: Rgb,
        /// Its width.
        width: f32,
    },
    /// A filled outline.
    Filled {
        /// The corners.
        points: Vec<Point>,
        /// Its color.
        color: Rgb,
    },
    /// A dot or a circle.
    Dot {
        /// Its center.
        at: Point,
        /// Its radius.
        radius: f32,
        /// Its color.
        color: Rgb,
        /// Width of its line; filled where there is none.
        line: Option<f32>,
    },
    /// A text, vertically centered on its point.
    Text {
        /// Where.
        at: Point,
        /// The words.
        text: String,
        /// An em.
        em: f32,
        /// Its color.
        color: Rgb,
        /// How much of it stands left of the point: 0 for none, 1 for all.
        before: f32,
    },
}

/// The shapes of a picture as primitives.
pub(super) fn picture(scene: &Scene) -> Picture {
    let mut primitives = Vec::with_capacity(scene.shapes.len());
    for shape in &scene.shapes {
        primitives.push(match shape {
            Shape::Line {
                from,
                to,
                ink,
                width,
            } => Primitive::Line {
                points: vec![point(*from), point(*to)],
                color: rgb(*ink),
                width: *width as f32,
            },
            Shape::Path { points, ink, width } => Primitive::Line {
                points: points.iter().map(|&at| point(at)).collect(),
                color: rgb(*ink),
                width: *width as f32,
            },
            Shape::Area { corners, ink } => Primitive::Filled {
                points: corners.iter().map(|&at| point(at)).collect(),
                color: rgb(*ink),
            },
            Shape::Bar { from, to, ink } => {
                let (left, top) = point(*from);
                let (right, bottom) = point(*to);
                Primitive::Filled {
                    points: vec![(left, top), (right, top), (right, bottom), (left, bottom)],
                    color: rgb(*ink),
                }
            }
            Shape::Mark { at, mark } => self::mark(point(*at), *mark),
            Shape::Text {
                at,
                text,
                size,
                ink,
                align,
            } => Primitive::Text {
                at: point(*at),
                text: text.clone(),
                em: size.pixels() as f32,
                color: rgb(*ink),
                before: match align {
                    Align::Start => 0.0,
                    Align::Middle => 0.5,
                    Align::End => 1.0,
                },
            },
        });
    }
    Picture {
        width: WIDTH as f32,
        height: scene.height as f32,
        primitives,
    }
}

/// The forms of `image`.
fn mark(at: Point, mark: Mark) -> Primitive {
    let (x, y) = at;
    let diamond = |half: f32| vec![(x, y - half), (x + half, y), (x, y + half), (x - half, y)];
    let dot = |radius: f32, ink: Ink, line: Option<f32>| Primitive::Dot {
        at,
        radius,
        color: rgb(ink),
        line,
    };
    match mark {
        Mark::Estimate => dot(8.0, Ink::Black, None),
        Mark::InView => Primitive::Filled {
            points: diamond(15.0),
            color: rgb(Ink::Accent),
        },
        Mark::Far => {
            let mut points = diamond(10.0);
            points.push(points[0]);
            Primitive::Line {
                points,
                color: rgb(Ink::Black),
                width: 2.0,
            }
        }
        Mark::Case => dot(4.0, Ink::Silver, None),
        Mark::OpenCase => dot(4.0, Ink::Gray, Some(2.0)),
    }
}

fn point((x, y): (i32, i32)) -> Point {
    (x as f32, y as f32)
}

fn rgb(ink: Ink) -> Rgb {
    let color = color(ink);
    (color.0, color.1, color.2)
}
