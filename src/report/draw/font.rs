//! The bundled typeface: measuring text, and the name under which both backends know it.

use plotters::style::{FontStyle, IntoFont, register_font};
use std::sync::Once;

/// A CSS list of typefaces, so that an SVG still looks as measured where the first is missing.
/// The drawing library looks up its bytes under this whole name.
pub(super) const FAMILY: &str = "Liberation Sans, Arial, Helvetica, sans-serif";

static BYTES: &[u8] = include_bytes!("../fonts/LiberationSans-Regular.ttf");
static REGISTERED: Once = Once::new();

/// The drawing library writes sizes divided by this into SVG.
const LIBRARY_SCALE: f64 = 1.24;

/// The size to ask the library for, so that an em measures `pixels`.
pub(super) fn library_size(pixels: u32) -> f64 {
    f64::from(pixels) * LIBRARY_SCALE
}

/// Makes the typeface known to the drawing library, once per process.
pub(super) fn register() {
    REGISTERED.call_once(|| {
        // The error type says nothing; the bytes are part of the program and read in every test.
        assert!(
            register_font(FAMILY, FontStyle::Normal, BYTES).is_ok(),
            "the bundled typeface can be read"
        );
    });
}

/// Width of `text` in pixels, at an em of `pixels`. On the safe side by about a tenth.
pub(super) fn text_width(text: &str, pixels: u32) -> i32 {
    register();
    let (width, _) = (FAMILY, library_size(pixels))
        .into_font()
        .box_size(text)
        .expect("the typeface is registered");
    i32::try_from(width).unwrap_or(i32::MAX)
}

/// `text` in lines of at most `width` pixels, broken between words.
pub(super) fn wrapped(text: &str, pixels: u32, width: i32) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if text_width(&format!("{line} {word}"), pixels) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// `text`, cut with an ellipsis when wider than `width` pixels.
pub(super) fn fitted(text: &str, pixels: u32, width: i32) -> String {
    if text_width(text, pixels) <= width {
        return text.to_owned();
    }
    let mut letters: Vec<char> = text.chars().collect();
    while letters.pop().is_some() {
        let cut = format!("{}…", letters.iter().collect::<String>().trim_end());
        if text_width(&cut, pixels) <= width {
            return cut;
        }
    }
    String::new()
}
