//! The two bundled typefaces: which letters they have, how wide a text is, and where it is broken
//! into lines. Letters stand side by side as the typeface measures them; there is no shaping, which
//! Latin, Greek and Cyrillic do not need.

use krilla::text::{Font, GlyphId, KrillaGlyph};
use std::ops::Range;

static REGULAR: &[u8] = include_bytes!("../fonts/LiberationSans-Regular.ttf");
static BOLD: &[u8] = include_bytes!("../fonts/LiberationSans-Bold.ttf");

/// Stands for a letter that the typeface does not have. It has no U+FFFD.
const MISSING: char = '?';

/// Letters below this are looked up once; beyond are arrows, signs and rare scripts.
const KEPT: u32 = 0x500;

/// A part of a word that is shorter than this, in bytes, is not set on a line of its own.
const SHORT_PART: usize = 5;

/// Weight of letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Weight {
    /// For reading.
    Regular,
    /// For headings and table heads.
    Bold,
}

/// Both weights.
pub(super) struct Typefaces {
    regular: Face,
    bold: Face,
}

impl Typefaces {
    /// Reads the bundled files.
    pub(super) fn new() -> Typefaces {
        Typefaces {
            regular: Face::new(REGULAR),
            bold: Face::new(BOLD),
        }
    }

    /// The typeface of a weight.
    pub(super) fn of(&self, weight: Weight) -> &Face {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Bold => &self.bold,
        }
    }

    /// `text` with nothing in it but letters that both weights have, and with single spaces.
    pub(super) fn drawable(&self, text: &str) -> String {
        let mut drawn = String::with_capacity(text.len());
        for c in text.chars() {
            let c = match c {
                // The only space that a line is not broken at.
                '\u{a0}' | '\u{202f}' => '\u{a0}',
                '\u{2011}' => '\u{2010}',
                _ if c.is_whitespace() => ' ',
                _ if is_invisible(c) || !self.regular.has(c) || !self.bold.has(c) => MISSING,
                _ => c,
            };
            if c != ' ' || !drawn.ends_with(' ') {
                drawn.push(c);
            }
        }
        drawn
    }
}

/// Control characters, and marks that change the direction of reading or join words: they have no
/// form, and some may not stand in a PDF.
fn is_invisible(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
                | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{fff0}'..='\u{fffc}'
        )
}

/// `text` for a place that is not drawn, such as an outline: any letter may stand there. Never empty,
/// since a heading without words breaks a rule of PDF/UA-1.
pub(super) fn readable(text: &str) -> String {
    let is_plain = |c: &char| !c.is_control() && !matches!(c, '\u{fffe}' | '\u{ffff}');
    let spaced = text
        .chars()
        .map(|c| if c.is_whitespace() { ' ' } else { c });
    let kept: String = spaced.filter(is_plain).collect();
    if kept.trim().is_empty() {
        "no words".to_owned()
    } else {
        kept
    }
}

/// One weight.
pub(super) struct Face {
    font: Font,
    parsed: ttf_parser::Face<'static>,
    units: f32,
    /// Of each letter below [`KEPT`], by its code point.
    kept: Vec<Option<Letter>>,
}

/// A letter in the typeface.
#[derive(Clone, Copy, Debug)]
struct Letter {
    glyph: u16,
    /// In units of the typeface.
    advance: u16,
}

impl Face {
    fn new(bytes: &'static [u8]) -> Face {
        let parsed = ttf_parser::Face::parse(bytes, 0).expect("the bundled typeface can be read");
        let font = Font::new(bytes.into(), 0).expect("the bundled typeface can be read");
        let kept = (0..KEPT)
            .map(|code| char::from_u32(code).and_then(|c| looked_up(&parsed, c)))
            .collect();
        Face {
            font,
            units: f32::from(parsed.units_per_em()),
            parsed,
            kept,
        }
    }

    /// What the writer of the file embeds.
    pub(super) fn font(&self) -> Font {
        self.font.clone()
    }

    fn has(&self, c: char) -> bool {
        self.letter(c).is_some()
    }

    fn letter(&self, c: char) -> Option<Letter> {
        match self.kept.get(c as usize) {
            Some(letter) => *letter,
            None => looked_up(&self.parsed, c),
        }
    }

    fn advance(&self, c: char) -> u32 {
        self.letter(c).map_or(0, |letter| letter.advance.into())
    }

    fn advance_of(&self, text: &str) -> u32 {
        text.chars().map(|c| self.advance(c)).sum()
    }

    /// Width of a drawable text in points, at an em of `size` points.
    pub(super) fn width(&self, text: &str, size: f32) -> f32 {
        self.advance_of(text) as f32 / self.units * size
    }

    /// Width of the widest word, or part of a word that ends in a hyphen or a stroke between letters.
    pub(super) fn widest_part(&self, text: &str, size: f32) -> f32 {
        let parts = text.split(' ').flat_map(|word| {
            let mut parts = Vec::new();
            let mut start = 0;
            for (at, sign) in word.match_indices(['-', '/', '\u{2010}']) {
                let end = at + sign.len();
                let is_letter = |c: Option<char>| c.is_some_and(char::is_alphabetic);
                // A short part alone on a line reads badly, and so do parts of a number.
                let is_long = at - start >= SHORT_PART && word.len() - end >= SHORT_PART;
                if is_long
                    && is_letter(word[..at].chars().last())
                    && is_letter(word[end..].chars().next())
                {
                    parts.push(&word[start..end]);
                    start = end;
                }
            }
            parts.push(&word[start..]);
            parts
        });
        let widest = parts.map(|part| self.advance_of(part)).max();
        widest.unwrap_or(0) as f32 / self.units * size
    }

    /// The glyphs of a drawable text.
    pub(super) fn glyphs(&self, text: &str) -> Vec<KrillaGlyph> {
        let glyph = |(start, c): (usize, char)| {
            let letter = self.letter(c)?;
            Some(KrillaGlyph::new(
                GlyphId::new(letter.glyph.into()),
                f32::from(letter.advance) / self.units,
                0.0,
                0.0,
                0.0,
                start..start + c.len_utf8(),
                None,
            ))
        };
        text.char_indices().filter_map(glyph).collect()
    }

    /// Where a drawable text is broken into lines of at most `width` points: between words, and
    /// within a word that is wider than a line. Each line holds the space after its last word. A
    /// text without a letter is one empty line.
    pub(super) fn lines(&self, text: &str, size: f32, width: f32) -> Vec<Range<usize>> {
        // A hair of room, so that a cell as wide as its text is not broken by rounding.
        let most = ((width + 0.01) / size * self.units).max(0.0);
        let mut lines = Vec::new();
        let (mut start, mut filled, mut at) = (0, 0.0_f32, 0);
        for word in text.split_inclusive(' ') {
            let wide = self.advance_of(word.trim_end_matches(' ')) as f32;
            if at > start && filled + wide > most {
                lines.push(start..at);
                (start, filled) = (at, 0.0);
            }
            if wide > most {
                for (offset, c) in word.char_indices() {
                    let place = at + offset;
                    let letter = self.advance(c) as f32;
                    if c != ' ' && place > start && filled + letter > most {
                        let end = joint(&text[start..place]).map_or(place, |end| start + end);
                        lines.push(start..end);
                        (start, filled) = (end, self.advance_of(&text[end..place]) as f32);
                    }
                    filled += letter;
                }
            } else {
                filled += self.advance_of(word) as f32;
            }
            at += word.len();
        }
        if at > start || lines.is_empty() {
            lines.push(start..at);
        }
        lines
    }
}

/// Where a long word may be broken with more sense than at its last letter: after a sign that joins
/// words, in its second half.
fn joint(word: &str) -> Option<usize> {
    let end = word.rfind(['_', '/', '\\', '-', '.', '\u{2010}'])?;
    let after = end + word[end..].chars().next().map_or(0, char::len_utf8);
    (after * 2 > word.len() && after < word.len()).then_some(after)
}

fn looked_up(parsed: &ttf_parser::Face<'_>, c: char) -> Option<Letter> {
    let glyph = parsed.glyph_index(c).filter(|glyph| glyph.0 != 0)?;
    Some(Letter {
        glyph: glyph.0,
        advance: parsed.glyph_hor_advance(glyph).unwrap_or(0),
    })
}
