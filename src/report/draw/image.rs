//! Shapes to SVG text and PNG bytes, by one function for both.

use super::canvas::Canvas;
use super::font::{FAMILY, library_size, register};
use super::pack;
use super::palette::PAPER;
use super::scene::{Align, Ink, Mark, Scene, Shape, Size, WIDTH};
use maud::{PreEscaped, html};
use plotters::backend::{DrawingBackend, SVGBackend};
use plotters::coord::Shift;
use plotters::drawing::{DrawingArea, DrawingAreaErrorKind, IntoDrawingArea};
use plotters::element::{Circle, PathElement, Polygon, Rectangle};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, IntoFont, RGBColor, ShapeStyle, TextStyle, WHITE};

/// The library centers letters on a line above the middle of their height when it paints pixels.
const PNG_TEXT_DROP: i32 = 24;

type Drawn<DB> = Result<(), DrawingAreaErrorKind<<DB as DrawingBackend>::ErrorType>>;

/// A white sheet and the shapes on it, as the library writes them in SVG.
pub(super) fn drawn(scene: &Scene) -> String {
    let mut text = String::new();
    let area = SVGBackend::with_string(&mut text, size(scene)).into_drawing_area();
    let painted = area.fill(&WHITE).and_then(|()| paint(&area, scene, 0));
    painted.expect("writing to a string cannot fail");
    drop(area);
    text
}

/// The picture as SVG. `alternative` says what it shows to who cannot see it.
pub(super) fn svg(scene: &Scene, title: &str, alternative: &str) -> String {
    let (width, height) = size(scene);
    let text = drawn(scene);
    // The library's opening tag has no accessible name; ours replaces it.
    let shapes = text
        .split_once('>')
        .and_then(|(_, rest)| rest.trim_end().strip_suffix("</svg>"))
        .expect("the library writes one svg element");
    let view_box = format!("0 0 {width} {height}");
    html! {
        svg xmlns="http://www.w3.org/2000/svg" width=(width) height=(height) viewBox=(view_box)
            font-family=(FAMILY) role="img" aria-label=(alternative) {
            title { (title) }
            (PreEscaped(without_defaults(shapes)))
        }
    }
    .into_string()
}

/// The shapes without what the library writes on each of them although it is the default, or the same
/// for all: a third of a page with many charts.
fn without_defaults(shapes: &str) -> String {
    let family = format!(" font-family=\"{FAMILY}\"");
    let mut shorter = shapes.to_owned();
    for attribute in [
        " opacity=\"1\"",
        " stroke=\"none\" stroke-width=\"1\"",
        " stroke=\"none\"",
        " text-anchor=\"start\"",
        &family,
    ] {
        shorter = shorter.replace(attribute, "");
    }
    shorter
}

/// The picture as PNG, by a list of its colors.
pub(super) fn png(scene: &Scene) -> Vec<u8> {
    let (width, height) = size(scene);
    let mut places = vec![PAPER; width as usize * height as usize];
    let area = Canvas::new(&mut places, WIDTH, scene.height).into_drawing_area();
    paint(&area, scene, PNG_TEXT_DROP).expect("a scene has nothing but inks and the typeface");
    drop(area);
    pack::png(width, height, &places)
}

fn size(scene: &Scene) -> (u32, u32) {
    (WIDTH.unsigned_abs(), scene.height.unsigned_abs())
}

/// Draws the shapes; texts move down by `text_drop` percent of their size.
fn paint<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    scene: &Scene,
    text_drop: i32,
) -> Drawn<DB> {
    register();
    for shape in &scene.shapes {
        match shape {
            Shape::Line {
                from,
                to,
                ink,
                width,
            } => area.draw(&PathElement::new(
                [*from, *to],
                color(*ink).stroke_width(*width),
            ))?,
            Shape::Path { points, ink, width } => area.draw(&PathElement::new(
                points.clone(),
                color(*ink).stroke_width(*width),
            ))?,
            Shape::Area { corners, ink } => {
                area.draw(&Polygon::new(corners.clone(), color(*ink).filled()))?;
            }
            Shape::Bar { from, to, ink } => {
                area.draw(&Rectangle::new([*from, *to], color(*ink).filled()))?;
            }
            Shape::Mark { at, mark } => paint_mark(area, *at, *mark)?,
            Shape::Text {
                at,
                text,
                size,
                ink,
                align,
            } => {
                let drop = size.pixels().cast_signed() * text_drop / 100;
                let style = text_style(*size, *ink, *align);
                area.draw_text(&drawable(text), &style, (at.0, at.1 + drop))?;
            }
        }
    }
    area.present()
}

fn paint_mark<DB: DrawingBackend>(
    area: &DrawingArea<DB, Shift>,
    (x, y): (i32, i32),
    mark: Mark,
) -> Drawn<DB> {
    let diamond = |half: i32| [(x, y - half), (x + half, y), (x, y + half), (x - half, y)];
    let outline = |half: i32| {
        diamond(half)
            .into_iter()
            .chain([(x, y - half)])
            .collect::<Vec<_>>()
    };
    let open = |ink: Ink| -> ShapeStyle { color(ink).stroke_width(2) };
    match mark {
        Mark::Estimate => area.draw(&Circle::new((x, y), 8, color(Ink::Black).filled())),
        Mark::InView => area.draw(&Polygon::new(diamond(15), color(Ink::Accent).filled())),
        Mark::Far => area.draw(&PathElement::new(outline(10), open(Ink::Black))),
        Mark::Case => area.draw(&Circle::new((x, y), 4, color(Ink::Silver).filled())),
        Mark::OpenCase => area.draw(&Circle::new((x, y), 4, open(Ink::Gray))),
    }
}

fn text_style(size: Size, ink: Ink, align: Align) -> TextStyle<'static> {
    let horizontal = match align {
        Align::Start => HPos::Left,
        Align::Middle => HPos::Center,
        Align::End => HPos::Right,
    };
    let mut style = TextStyle::from((FAMILY, library_size(size.pixels())).into_font());
    style.color = color(ink).to_backend_color();
    style.pos = Pos::new(horizontal, VPos::Center);
    style
}

/// Control characters have no glyph and are not allowed in XML.
fn drawable(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect()
}

pub(super) const fn color(ink: Ink) -> RGBColor {
    let [red, green, blue] = ink.rgb();
    RGBColor(red, green, blue)
}
