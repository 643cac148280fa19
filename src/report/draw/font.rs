//! The bundled typeface: measuring text, and the name under which both backends know it.

use plotters::style::{FontStyle, IntoFont, register_font};
use std::sync::{LazyLock, Once};
use ttf_parser::{Face, GlyphId};

/// A CSS list of typefaces, so that an SVG still looks as measured where the first is missing.
/// The drawing library looks up its bytes under this whole name.
pub(super) const FAMILY: &str = "Liberation Sans, Arial, Helvetica, sans-serif";

static BYTES: &[u8] = include_bytes!("../fonts/LiberationSans-Regular.ttf");
static REGISTERED: Once = Once::new();
static FACE: LazyLock<Face<'static>> =
    LazyLock::new(|| Face::parse(BYTES, 0).expect("the bundled typeface can be read"));

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

/// Where each letter of `text` starts, in pixels from the start of the first, at a size of the
/// library: where the library would put it.
pub(super) fn starts(text: &str, library_size: f64) -> Vec<i32> {
    let face = &*FACE;
    let pixels = library_size / f64::from(face.height());
    let (mut start, mut before) = (0.0, None);
    text.chars()
        .map(|letter| {
            let glyph = face.glyph_index(letter).unwrap_or_default();
            start += before.map_or(0.0, |before| pixels * f64::from(kerning(before, glyph)));
            before = Some(glyph);
            #[expect(
                clippy::cast_possible_truncation,
                reason = "whole pixels, as the library rounds, and the cast saturates"
            )]
            let whole = start as i32;
            start += pixels * f64::from(face.glyph_hor_advance(glyph).unwrap_or(0));
            whole
        })
        .collect()
}

/// By how much two letters stand closer or wider than they measure, in units of the typeface.
fn kerning(before: GlyphId, after: GlyphId) -> i16 {
    let tables = FACE.tables().kern.into_iter();
    let pairs = tables.flat_map(|table| table.subtables);
    pairs
        .filter(|pairs| pairs.horizontal && !pairs.variable)
        .find_map(|pairs| pairs.glyphs_kerning(before, after))
        .unwrap_or(0)
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
