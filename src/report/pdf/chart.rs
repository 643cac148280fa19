//! Charts on the surface of a page: lines and letters, not pixels.

use super::text::{Typefaces, Weight};
use crate::report::draw::{Picture, Primitive, Rgb};
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point};
use krilla::paint::{Fill, Stroke};
use krilla::surface::Surface;

/// How far control points lie from the ends of a quarter of a circle, of its radius.
const QUARTER: f32 = 0.552_284_8;

/// Letters are as high as this part of an em; half of it is below the middle.
const HALF_HEIGHT: f32 = 0.345;

/// Letters do not become smaller than this where a chart is drawn smaller than as wide as the page.
const LEAST_LETTERS: f32 = 6.5;

/// Shares of its size that a chart may be drawn at, if its words leave each other room.
const SHARES: [f32; 7] = [0.96, 0.92, 0.88, 0.84, 0.8, 0.76, 0.72];

/// Least space between two words of a chart on one line.
const APART: f32 = 1.3;

/// How many points are one pixel of a chart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    /// Where it is as wide as the page.
    pub(super) whole: f32,
    /// Part of it that the chart is drawn at.
    pub(super) share: f32,
}

impl Scale {
    /// Points in a pixel.
    pub(super) fn points(self) -> f32 {
        self.whole * self.share
    }

    /// Size of letters of so many pixels.
    fn letters(self, em: f32) -> f32 {
        (em * self.points()).max(LEAST_LETTERS.min(em * self.whole))
    }
}

/// The least share of its size at which the words of a chart do not run into each other.
pub(super) fn least_share(picture: &Picture, whole: f32, typefaces: &Typefaces) -> f32 {
    let face = typefaces.of(Weight::Regular);
    let mut words: Vec<(f32, f32, f32, f32, f32)> = Vec::new();
    for primitive in &picture.primitives {
        if let Primitive::Text {
            at: (x, y),
            text,
            em,
            before,
            ..
        } = primitive
        {
            words.push((*y, *x, *em, *before, face.width(text, 1.0)));
        }
    }
    words.sort_by(|one, other| one.0.total_cmp(&other.0).then(one.1.total_cmp(&other.1)));
    let is_free = |share: f32| {
        let scale = Scale { whole, share };
        words.windows(2).all(|pair| {
            let end = |&(_, x, em, before, width): &(f32, f32, f32, f32, f32), part: f32| {
                x * scale.points() + (part - before) * width * scale.letters(em)
            };
            let is_one_line = (pair[1].0 - pair[0].0).abs() < 1.0;
            !is_one_line || end(&pair[0], 1.0) + APART <= end(&pair[1], 0.0)
        })
    };
    let mut least = 1.0;
    for share in SHARES {
        if !is_free(share) {
            break;
        }
        least = share;
    }
    least
}

/// Draws a chart with its upper left at `corner`.
pub(super) fn paint(
    surface: &mut Surface<'_>,
    picture: &Picture,
    corner: (f32, f32),
    sizes: Scale,
    typefaces: &Typefaces,
) {
    let scale = sizes.points();
    let place = |(x, y): (f32, f32)| (round(corner.0 + x * scale), round(corner.1 + y * scale));
    for primitive in &picture.primitives {
        match primitive {
            Primitive::Line {
                points,
                color,
                width,
            } => stroke(
                surface,
                outline(points.iter().map(|&at| place(at)), false),
                *color,
                width * scale,
            ),
            Primitive::Filled { points, color } => {
                fill(
                    surface,
                    outline(points.iter().map(|&at| place(at)), true),
                    *color,
                );
            }
            Primitive::Dot {
                at,
                radius,
                color,
                line,
            } => {
                let path = circle(place(*at), radius * scale);
                match line {
                    Some(width) => stroke(surface, path, *color, width * scale),
                    None => fill(surface, path, *color),
                }
            }
            Primitive::Text {
                at,
                text,
                em,
                color,
                before,
            } => {
                let face = typefaces.of(Weight::Regular);
                let text = typefaces.drawable(text).replace('\u{a0}', " ");
                let size = sizes.letters(*em);
                let (x, y) = place(*at);
                let x = x - face.width(&text, size) * before;
                set_fill(surface, *color);
                surface.draw_glyphs(
                    Point::from_xy(round(x), round(y + size * HALF_HEIGHT)),
                    &face.glyphs(&text),
                    face.font(),
                    &text,
                    size,
                    false,
                );
            }
        }
    }
}

/// Hundredths of a point are finer than any printer, and shorter to write.
pub(super) fn round(points: f32) -> f32 {
    (points * 100.0).round() / 100.0
}

fn outline(points: impl Iterator<Item = (f32, f32)>, is_closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    for (index, (x, y)) in points.enumerate() {
        if index == 0 {
            path.move_to(x, y);
        } else {
            path.line_to(x, y);
        }
    }
    if is_closed {
        path.close();
    }
    path.finish()
}

fn circle((x, y): (f32, f32), radius: f32) -> Option<Path> {
    let r = round(radius);
    let k = round(radius * QUARTER);
    let mut path = PathBuilder::new();
    path.move_to(x + r, y);
    path.cubic_to(x + r, y + k, x + k, y + r, x, y + r);
    path.cubic_to(x - k, y + r, x - r, y + k, x - r, y);
    path.cubic_to(x - r, y - k, x - k, y - r, x, y - r);
    path.cubic_to(x + k, y - r, x + r, y - k, x + r, y);
    path.close();
    path.finish()
}

fn set_fill(surface: &mut Surface<'_>, (red, green, blue): Rgb) {
    surface.set_stroke(None);
    surface.set_fill(Some(Fill {
        paint: rgb::Color::new(red, green, blue).into(),
        ..Fill::default()
    }));
}

fn fill(surface: &mut Surface<'_>, path: Option<Path>, color: Rgb) {
    if let Some(path) = path {
        set_fill(surface, color);
        surface.draw_path(&path);
    }
}

fn stroke(surface: &mut Surface<'_>, path: Option<Path>, (red, green, blue): Rgb, width: f32) {
    if let Some(path) = path {
        surface.set_fill(None);
        surface.set_stroke(Some(Stroke {
            paint: rgb::Color::new(red, green, blue).into(),
            width: round(width),
            ..Stroke::default()
        }));
        surface.draw_path(&path);
    }
}
