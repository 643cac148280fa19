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

/// Draws a chart with its upper left at `corner`, one of its pixels being `scale` points.
pub(super) fn paint(
    surface: &mut Surface<'_>,
    picture: &Picture,
    corner: (f32, f32),
    scale: f32,
    typefaces: &Typefaces,
) {
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
                let size = em * scale;
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
