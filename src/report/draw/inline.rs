//! The picture inside the page: what the drawing library writes as SVG, rewritten for a page with
//! many charts. Inks become classes, so that the style sheet can choose them for light and dark;
//! shapes of one ink become one path, which is a quarter of the bytes. Knows the elements that the
//! library writes, not the charts.

use super::image::drawn;
use super::scene::{Ink, Scene, Size, WIDTH};
use std::fmt::Write;

/// What the library calls half the height of a small letter, in hundredths of an em of the typeface.
const HALF_LETTER: i32 = 26;

/// From the middle of the last line of the title to where the rest of the picture begins.
const BELOW_TITLE: i32 = 28;

/// The picture without its title, which the page writes itself. `alternative` is escaped already.
pub(super) fn svg(scene: &Scene, alternative: &str) -> String {
    let text = drawn(scene);
    let mut groups = Groups::default();
    let mut top = 0;
    // The first two are the opening tag and the sheet, both of which the page has.
    for element in elements(&text).skip(2) {
        let Some(piece) = piece(&element) else {
            continue;
        };
        if let Look::Words { size, .. } = piece.look
            && size == Size::Title.pixels().cast_signed()
        {
            top = top.max(element.number("y") + BELOW_TITLE);
        } else {
            groups.add(&piece);
        }
    }
    let height = scene.height - top;
    let mut svg = format!(
        "<svg viewBox=\"0 {top} {WIDTH} {height}\" role=\"img\" aria-label=\"{alternative}\">"
    );
    for group in &groups.0 {
        svg.push_str(&group.markup());
    }
    svg.push_str("</svg>");
    svg
}

/// One element as the library writes it.
struct Element<'a> {
    name: &'a str,
    attributes: &'a str,
    words: &'a str,
}

impl<'a> Element<'a> {
    fn text(&self, name: &str) -> Option<&'a str> {
        let (_, value) = self.attributes.split_once(&format!(" {name}=\""))?;
        value.split('"').next()
    }

    fn number(&self, name: &str) -> i32 {
        self.text(name).map_or(0, whole)
    }

    /// The corners of a line or a polygon.
    fn points(&self) -> Vec<(i32, i32)> {
        let points = self.text("points").unwrap_or_default().split(' ');
        points
            .filter_map(|point| point.split_once(','))
            .map(|(x, y)| (whole(x), whole(y)))
            .collect()
    }
}

/// Sizes of text come with decimals, all else in whole pixels.
fn whole(number: &str) -> i32 {
    let number: f64 = number.parse().unwrap_or_default();
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a place or a size within a picture of some thousand pixels"
    )]
    let number = number.round() as i32;
    number
}

/// The elements of the library's text. Attributes hold numbers, colors and words without brackets.
fn elements(text: &str) -> impl Iterator<Item = Element<'_>> {
    let starts = text.split('<').filter(|part| !part.starts_with('/'));
    starts.filter_map(|part| {
        let (tag, words) = part.split_once('>')?;
        let name_end = tag.find(' ')?;
        Some(Element {
            name: &tag[..name_end],
            attributes: &tag[name_end..],
            words: words.trim(),
        })
    })
}

/// How a piece is painted, beside its ink.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Look<'a> {
    /// Filled.
    Fill,
    /// A line so wide.
    Line(i32),
    /// A dot of this diameter.
    Dot(i32),
    /// Words.
    Words { size: i32, anchor: &'a str },
}

/// What is drawn of one ink and look, and the boxes that it covers: left, top, right, bottom.
struct Piece<'a> {
    ink: &'a str,
    look: Look<'a>,
    outline: Outline<'a>,
    covers: [i32; 4],
}

/// Where the pen goes.
enum Outline<'a> {
    Open(Vec<(i32, i32)>),
    Closed(Vec<(i32, i32)>),
    Dot(i32, i32),
    Ring(i32, i32, i32),
    Words(i32, i32, &'a str),
}

/// An element as a piece; `None` for what has no place in a picture of this program.
fn piece<'a>(element: &Element<'a>) -> Option<Piece<'a>> {
    let width = element.text("stroke-width").map_or(1, whole);
    let (fill, stroke) = (element.text("fill"), element.text("stroke"));
    let is_filled = fill.is_some_and(|fill| fill != "none");
    let ink = if is_filled { fill } else { stroke }?;
    let (look, outline, covers) = match element.name {
        "polyline" => {
            let points = element.points();
            let covers = box_of(&points, width);
            (Look::Line(width), Outline::Open(points), covers)
        }
        "polygon" => {
            let points = element.points();
            let covers = box_of(&points, 0);
            (Look::Fill, Outline::Closed(points), covers)
        }
        "rect" => {
            let (x, y) = (element.number("x"), element.number("y"));
            let (right, bottom) = (x + element.number("width"), y + element.number("height"));
            let points = vec![(x, y), (right, y), (right, bottom), (x, bottom)];
            let covers = box_of(&points, 0);
            (Look::Fill, Outline::Closed(points), covers)
        }
        "circle" => {
            let (x, y) = (element.number("cx"), element.number("cy"));
            let radius = element.number("r");
            let covers = box_of(&[(x, y)], radius + width);
            if is_filled {
                (Look::Dot(2 * radius), Outline::Dot(x, y), covers)
            } else {
                (Look::Line(width), Outline::Ring(x, y, radius), covers)
            }
        }
        "text" => {
            let (x, y) = (element.number("x"), element.number("y"));
            let size = element.number("font-size");
            let anchor = element.text("text-anchor").unwrap_or("start");
            let covers = box_of_words(x, y, size, anchor, element.words);
            // The library hangs words by the middle of a letter; the base of the letters needs no
            // attribute of its own.
            let base = y + (size * HALF_LETTER + 50) / 100;
            let outline = Outline::Words(x, base, element.words);
            (Look::Words { size, anchor }, outline, covers)
        }
        _ => return None,
    };
    Some(Piece {
        ink,
        look,
        outline,
        covers,
    })
}

fn box_of(points: &[(i32, i32)], more: i32) -> [i32; 4] {
    let (x, y) = (
        points.iter().map(|point| point.0),
        points.iter().map(|point| point.1),
    );
    [
        x.clone().min().unwrap_or(0) - more,
        y.clone().min().unwrap_or(0) - more,
        x.max().unwrap_or(0) + more,
        y.max().unwrap_or(0) + more,
    ]
}

/// Two thirds of an em a letter is more than words take.
fn box_of_words(x: i32, y: i32, size: i32, anchor: &str, words: &str) -> [i32; 4] {
    let letters = i32::try_from(words.chars().count()).unwrap_or(i32::MAX / 1000);
    let width = letters * size * 2 / 3;
    let left = match anchor {
        "end" => x - width,
        "middle" => x - width / 2,
        _ => x,
    };
    [left, y - size / 2, left + width, y + size / 2]
}

fn overlap(one: [i32; 4], other: [i32; 4]) -> bool {
    one[0] <= other[2] && other[0] <= one[2] && one[1] <= other[3] && other[1] <= one[3]
}

/// Pieces of one ink and look, from back to front.
#[derive(Default)]
struct Groups<'a>(Vec<Group<'a>>);

struct Group<'a> {
    ink: &'a str,
    look: Look<'a>,
    content: String,
    pen: (i32, i32),
    covers: Vec<[i32; 4]>,
}

impl<'a> Groups<'a> {
    /// Adds a piece to the last group of its ink and look, unless that would put it behind
    /// something that it now covers.
    fn add(&mut self, piece: &Piece<'a>) {
        let mut found = None;
        for (place, group) in self.0.iter().enumerate().rev() {
            if group.ink == piece.ink && group.look == piece.look {
                found = Some(place);
                break;
            }
            if group
                .covers
                .iter()
                .any(|&other| overlap(other, piece.covers))
            {
                break;
            }
        }
        let place = found.unwrap_or_else(|| {
            self.0.push(Group {
                ink: piece.ink,
                look: piece.look,
                content: String::new(),
                pen: (0, 0),
                covers: Vec::new(),
            });
            self.0.len() - 1
        });
        self.0[place].covers.push(piece.covers);
        self.0[place].draw(&piece.outline);
    }
}

impl Group<'_> {
    fn markup(&self) -> String {
        let class = Ink::ALL
            .into_iter()
            .find(|ink| ink.hex() == self.ink)
            .map_or_else(
                || format!("color={}", self.ink),
                |ink| format!("class={}", ink.name()),
            );
        let content = &self.content;
        match self.look {
            Look::Fill => format!("<path {class} fill=currentColor stroke=none d=\"{content}\"/>"),
            Look::Line(width) => format!("<path {class} stroke-width={width} d=\"{content}\"/>"),
            Look::Dot(width) => {
                format!("<path {class} stroke-width={width} stroke-linecap=round d=\"{content}\"/>")
            }
            Look::Words { size, anchor } => {
                format!("<g {class} font-size={size} text-anchor={anchor}>{content}</g>")
            }
        }
    }

    fn draw(&mut self, outline: &Outline<'_>) {
        match outline {
            Outline::Open(points) => self.along(points),
            Outline::Closed(points) => {
                self.along(points);
                self.content.push('z');
                self.pen = points.first().copied().unwrap_or_default();
            }
            Outline::Dot(x, y) => {
                self.go('m', (*x, *y));
                self.content.push_str("h0");
            }
            Outline::Ring(x, y, radius) => {
                self.go('m', (x - radius, *y));
                let (r, d) = (radius, 2 * radius);
                self.write(format_args!("a{r} {r} 0 1 0 {d} 0a{r} {r} 0 1 0-{d} 0"));
            }
            Outline::Words(x, y, words) => {
                self.write(format_args!("<text x={x} y={y}>{words}</text>"));
            }
        }
    }

    fn along(&mut self, points: &[(i32, i32)]) {
        for (index, &point) in points.iter().enumerate() {
            self.go(if index == 0 { 'm' } else { 'l' }, point);
        }
    }

    /// Moves the pen, in the shorter of the ways to say it.
    fn go(&mut self, step: char, (x, y): (i32, i32)) {
        let (right, down) = (x - self.pen.0, y - self.pen.1);
        let is_first = self.content.is_empty();
        match (step, right, down) {
            ('l', right, 0) => self.write(format_args!("h{right}")),
            ('l', 0, down) => self.write(format_args!("v{down}")),
            _ => {
                let relative = format!("{step}{}", pair(right, down));
                let absolute = format!("{}{}", step.to_ascii_uppercase(), pair(x, y));
                let is_shorter = relative.len() < absolute.len() && !is_first;
                self.content
                    .push_str(if is_shorter { &relative } else { &absolute });
            }
        }
        self.pen = (x, y);
    }

    fn write(&mut self, words: std::fmt::Arguments<'_>) {
        self.content
            .write_fmt(words)
            .expect("writing to a string cannot fail");
    }
}

/// Two numbers; a minus sign separates as well as a space does.
fn pair(x: i32, y: i32) -> String {
    if y < 0 {
        format!("{x}{y}")
    } else {
        format!("{x} {y}")
    }
}
