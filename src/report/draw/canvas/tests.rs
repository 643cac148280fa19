//! Whether the canvas paints what the library paints on a surface that knows single pixels alone.

use super::*;
use crate::report::draw::font::{FAMILY, library_size, register};
use crate::report::draw::palette::PAPER;
use crate::report::draw::scene::Ink;
use plotters::style::text_anchor::Pos;
use plotters::style::{Color, IntoFont, RGBColor, TextStyle};

const WIDTH: i32 = 120;
const HEIGHT: i32 = 60;

/// A surface that takes every way of the library but [`Canvas::draw_pixel`].
struct PixelByPixel<'a>(Canvas<'a>);

impl DrawingBackend for PixelByPixel<'_> {
    type ErrorType = NotAnInk;

    fn get_size(&self) -> (u32, u32) {
        self.0.get_size()
    }

    fn ensure_prepared(&mut self) -> Painted {
        Ok(())
    }

    fn present(&mut self) -> Painted {
        Ok(())
    }

    fn draw_pixel(&mut self, at: BackendCoord, color: BackendColor) -> Painted {
        self.0.draw_pixel(at, color)
    }
}

fn painted(paint: impl FnOnce(&mut Canvas<'_>)) -> Vec<u8> {
    let mut places = vec![PAPER; (WIDTH * HEIGHT) as usize];
    paint(&mut Canvas::new(&mut places, WIDTH, HEIGHT));
    places
}

fn pixel_by_pixel(paint: impl FnOnce(&mut PixelByPixel<'_>)) -> Vec<u8> {
    let mut places = vec![PAPER; (WIDTH * HEIGHT) as usize];
    paint(&mut PixelByPixel(Canvas::new(&mut places, WIDTH, HEIGHT)));
    places
}

fn color(ink: Ink) -> RGBColor {
    let [red, green, blue] = ink.rgb();
    RGBColor(red, green, blue)
}

#[test]
fn lines_of_any_width_and_direction_are_those_of_the_library() {
    let paths = [
        vec![(10, 20), (90, 20)],
        vec![(90, 20), (10, 20)],
        vec![(30, 5), (30, 50)],
        vec![(30, 50), (30, 5)],
        vec![(30, 5), (30, 5)],
        vec![(10, 50), (60, 9), (100, 40)],
    ];
    for path in paths {
        for width in 1..=5 {
            let style = Color::stroke_width(&color(Ink::Black), width);
            let ours = painted(|canvas| canvas.draw_path(path.clone(), &style).unwrap());
            let plain = pixel_by_pixel(|canvas| canvas.draw_path(path.clone(), &style).unwrap());
            assert_eq!(ours, plain, "{path:?} of width {width}");
            assert_eq!(
                ours.iter().any(|place| *place != PAPER),
                path[0] != path[1] || width == 1
            );
        }
    }
}

#[test]
fn letters_stand_where_the_library_puts_them() {
    register();
    for (size, h_pos) in [
        (19, HPos::Left),
        (25, HPos::Center),
        (32, HPos::Right),
        (25, HPos::Left),
    ] {
        let mut style = TextStyle::from((FAMILY, library_size(size)).into_font());
        style.color = color(Ink::Accent).to_backend_color();
        style.pos = Pos::new(h_pos, VPos::Center);
        for text in ["AVATo 11", "fi, 1 % é—", "", "\u{fffd}\u{2192}"] {
            let ours = painted(|canvas| canvas.draw_text(text, &style, (60, 30)).unwrap());
            let plain = pixel_by_pixel(|canvas| canvas.draw_text(text, &style, (60, 30)).unwrap());
            assert_eq!(ours, plain, "{text} at {size}");
        }
    }
}

#[test]
fn circles_and_forms_are_those_of_the_library() {
    let style = color(Ink::Silver).filled();
    let form = vec![(60, 5), (80, 25), (60, 45), (40, 25)];
    let ours = painted(|canvas| {
        canvas.draw_circle((30, 30), 8, &style, true).unwrap();
        canvas.fill_polygon(form.clone(), &style).unwrap();
    });
    let plain = pixel_by_pixel(|canvas| {
        canvas.draw_circle((30, 30), 8, &style, true).unwrap();
        canvas.fill_polygon(form, &style).unwrap();
    });
    assert_eq!(ours, plain);
}

#[test]
fn a_bar_ends_before_its_last_row_and_column_and_at_the_edge_of_the_sheet() {
    let style = color(Ink::Cloud).filled();
    let count = |from, to| {
        let places = painted(|canvas| canvas.draw_rect(from, to, &style, true).unwrap());
        places.iter().filter(|place| **place != PAPER).count()
    };
    assert_eq!(count((10, 10), (14, 13)), 4 * 3);
    assert_eq!(count((14, 13), (10, 10)), 4 * 3);
    assert_eq!(count((-5, -5), (2, 2)), 2 * 2);
    assert_eq!(count((119, 59), (500, 500)), 1);
    assert_eq!(count((200, 200), (500, 500)), 0);
}

#[test]
fn nothing_but_inks_can_be_painted() {
    painted(|canvas| {
        let style = RGBColor(1, 2, 3).filled();
        assert!(canvas.draw_rect((0, 0), (5, 5), &style, true).is_err());
    });
}
