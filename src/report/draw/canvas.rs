//! What the drawing library paints pixels on: one byte a pixel, its place among the colors of
//! [`super::palette`]. Straight lines and bars are filled row by row, and a thread makes each letter
//! once. Knows pixels, not charts.

use super::font::starts;
use super::palette::{COVERED, mixes_of};
use plotters_backend::rasterizer::{draw_line, draw_rect, fill_polygon, polygonize};
use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{BackendColor, BackendCoord, BackendStyle, BackendTextStyle};
use plotters_backend::{DrawingBackend, DrawingErrorKind};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::convert::Infallible;

/// A color that is none of the inks.
#[derive(Debug, thiserror::Error)]
#[error("pictures are painted with inks alone")]
pub(super) struct NotAnInk;

type Painted = Result<(), DrawingErrorKind<NotAnInk>>;

/// The mixes of one ink.
type Mixes = [[u8; COVERED as usize + 1]];

/// The pixels of a letter: to the right of its start, down from its top, and how much is covered.
type Letter = Vec<(i32, i32, u8)>;

thread_local! {
    /// The letters that a thread made, by size, to the bit: charts have most of them in common.
    static LETTERS: RefCell<BTreeMap<(u64, char), Letter>> = const { RefCell::new(BTreeMap::new()) };
}

/// A canvas over the pixels of a picture.
pub(super) struct Canvas<'a> {
    width: i32,
    height: i32,
    places: &'a mut [u8],
}

impl<'a> Canvas<'a> {
    /// A canvas of `width` times `height` pixels, which `places` are.
    pub(super) fn new(places: &'a mut [u8], width: i32, height: i32) -> Canvas<'a> {
        Canvas {
            width,
            height,
            places,
        }
    }
}

impl DrawingBackend for Canvas<'_> {
    type ErrorType = NotAnInk;

    fn get_size(&self) -> (u32, u32) {
        (self.width.unsigned_abs(), self.height.unsigned_abs())
    }

    fn ensure_prepared(&mut self) -> Painted {
        Ok(())
    }

    fn present(&mut self) -> Painted {
        Ok(())
    }

    fn draw_pixel(&mut self, at: BackendCoord, color: BackendColor) -> Painted {
        let mixes = mixes(color)?;
        self.cover(at, mixes, covered(color.alpha));
        Ok(())
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Painted {
        if style.stroke_width() == 1 && is_straight(from, to) {
            let last = (from.0.max(to.0), from.1.max(to.1));
            let first = (from.0.min(to.0), from.1.min(to.1));
            self.fill(first, (last.0 + 1, last.1 + 1), style.color())
        } else {
            draw_line(self, from, to, style)
        }
    }

    /// Without its last row and column, as the library paints bars.
    fn draw_rect<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
        fill: bool,
    ) -> Painted {
        if fill {
            self.fill(from, to, style.color())
        } else {
            draw_rect(self, from, to, style, fill)
        }
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Painted {
        let points: Vec<BackendCoord> = path.into_iter().collect();
        let color = style.color();
        match (points.as_slice(), style.stroke_width()) {
            (points, 1) => points
                .windows(2)
                .try_for_each(|ends| self.draw_line(ends[0], ends[1], &color)),
            // Most lines of a chart; a polygon of them is slow to make and to fill.
            ([from, to], width) if is_straight(*from, *to) && from != to => {
                let (from, to) = stretched(*from, *to, width);
                self.fill(from, to, color)
            }
            (points, width) => fill_polygon(self, &polygonize(points, width), &color),
        }
    }

    /// Texts are never turned.
    fn draw_text<T: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &T,
        (x, y): BackendCoord,
    ) -> Painted {
        let mixes = mixes(style.color())?;
        let (upper_left, lower_right) = style.layout_box(text).map_err(font_error)?;
        let (width, height) = (lower_right.0 - upper_left.0, lower_right.1 - upper_left.1);
        let left = match style.anchor().h_pos {
            HPos::Left => x,
            HPos::Center => x - width / 2,
            HPos::Right => x - width,
        };
        let top = match style.anchor().v_pos {
            VPos::Top => y,
            VPos::Center => y - height / 2,
            VPos::Bottom => y - height,
        };
        LETTERS.with_borrow_mut(|letters| {
            for (letter, start) in text.chars().zip(starts(text, style.size())) {
                let pixels = match letters.entry((style.size().to_bits(), letter)) {
                    Entry::Occupied(made) => made.into_mut(),
                    Entry::Vacant(place) => place.insert(made(letter, style)?),
                };
                for (right, down, covered) in pixels {
                    let at = (left + start + *right, top + *down);
                    self.cover(at, mixes, *covered);
                }
            }
            Ok(())
        })
    }
}

impl Canvas<'_> {
    /// Covers a part of one pixel; nothing outside the picture.
    fn cover(&mut self, (x, y): BackendCoord, mixes: &Mixes, covered: u8) {
        let is_inside = (0..self.width).contains(&x) && (0..self.height).contains(&y);
        if is_inside && covered > 0 {
            let place = &mut self.places[index(x + y * self.width)];
            *place = mixes[usize::from(*place)][usize::from(covered)];
        }
    }

    /// Covers every pixel from one corner to before the other.
    fn fill(&mut self, from: BackendCoord, to: BackendCoord, color: BackendColor) -> Painted {
        let mixes = mixes(color)?;
        let covered = usize::from(covered(color.alpha));
        let between = |from: i32, to: i32, end: i32| {
            let (from, to) = (from.min(to), from.max(to));
            from.clamp(0, end)..to.clamp(0, end)
        };
        let columns = between(from.0, to.0, self.width);
        for y in between(from.1, to.1, self.height) {
            let row = y * self.width;
            for place in &mut self.places[index(row + columns.start)..index(row + columns.end)] {
                *place = mixes[usize::from(*place)][covered];
            }
        }
        Ok(())
    }
}

fn is_straight(from: BackendCoord, to: BackendCoord) -> bool {
    from.0 == to.0 || from.1 == to.1
}

/// The corners of a straight line of some width, the second beyond it. Its last row or column is left
/// out in its own direction, as the library does.
fn stretched(from: BackendCoord, to: BackendCoord, width: u32) -> (BackendCoord, BackendCoord) {
    let half = width.cast_signed() / 2;
    // What is half a pixel beyond goes up.
    let (before, after) = (half, half + width.cast_signed() % 2);
    if from.0 == to.0 {
        let (top, bottom) = (from.1.min(to.1), from.1.max(to.1));
        ((from.0 - before, top), (from.0 + after + 1, bottom))
    } else {
        let (left, right) = (from.0.min(to.0), from.0.max(to.0));
        ((left, from.1 - before), (right, from.1 + after + 1))
    }
}

/// A letter as the library makes it.
fn made<T: BackendTextStyle>(
    letter: char,
    style: &T,
) -> Result<Letter, DrawingErrorKind<NotAnInk>> {
    let mut pixels = Letter::new();
    let drawn = style.draw(letter.encode_utf8(&mut [0; 4]), (0, 0), |x, y, color| {
        let covered = covered(color.alpha);
        if covered > 0 {
            pixels.push((x, y, covered));
        }
        Ok::<(), Infallible>(())
    });
    let Ok(()) = drawn.map_err(font_error)?;
    Ok(pixels)
}

fn font_error<E: std::error::Error + Send + Sync + 'static>(
    error: E,
) -> DrawingErrorKind<NotAnInk> {
    DrawingErrorKind::FontError(Box::new(error))
}

fn mixes(color: BackendColor) -> Result<&'static Mixes, DrawingErrorKind<NotAnInk>> {
    let (red, green, blue) = color.rgb;
    let mixes = mixes_of([red, green, blue]).ok_or(DrawingErrorKind::DrawingError(NotAnInk))?;
    Ok(mixes)
}

/// How much of a pixel is covered, of [`COVERED`].
fn covered(alpha: f64) -> u8 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "0 to COVERED after the clamp"
    )]
    let covered = (alpha.clamp(0.0, 1.0) * f64::from(COVERED) + 0.5) as u8;
    covered
}

fn index(place: i32) -> usize {
    usize::try_from(place).expect("clamped to the sheet")
}

#[cfg(test)]
mod tests;
