//! In which encoding a text is written: given, marked, or found out from its first bytes. Knows
//! nothing of CSV.

use super::transcode::character_1252;
use std::str::Utf8Chunk;

/// An encoding that can be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::ingest) enum Encoding {
    /// UTF-8, of which ASCII is a part.
    Utf8,
    /// UTF-16 in the order of bytes that the file shows. Only ever given by a mapping.
    Utf16,
    /// UTF-16, low byte first.
    Utf16Le,
    /// UTF-16, high byte first.
    Utf16Be,
    /// Windows-1252, of which printable ISO 8859-1 is a part.
    Windows1252,
}

/// All encodings by the names that a mapping gives them.
const NAMES: &[(&str, Encoding)] = &[
    ("utf-8", Encoding::Utf8),
    ("utf-16", Encoding::Utf16),
    ("utf-16le", Encoding::Utf16Le),
    ("utf-16be", Encoding::Utf16Be),
    ("windows-1252", Encoding::Windows1252),
];

impl Encoding {
    /// The encoding of this name, in any case.
    pub(in crate::ingest) fn from_name(name: &str) -> Option<Encoding> {
        NAMES
            .iter()
            .find(|(known, _)| known.eq_ignore_ascii_case(name))
            .map(|(_, encoding)| *encoding)
    }

    /// Its name in a mapping.
    pub(in crate::ingest) fn name(self) -> &'static str {
        NAMES
            .iter()
            .find(|(_, encoding)| *encoding == self)
            .map_or("", |(name, _)| name)
    }

    /// The names that a mapping may give, for messages.
    pub(in crate::ingest) fn names() -> impl Iterator<Item = &'static str> {
        NAMES.iter().map(|(name, _)| *name)
    }
}

/// Why a file is read in an encoding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::ingest) enum EncodingOrigin {
    /// The mapping says so.
    Given,
    /// The file begins with a byte-order mark.
    Marked,
    /// The bytes of the file look like it.
    Detected,
}

/// The encoding of a text, why it is taken, and the length of the byte-order mark in bytes.
///
/// `is_whole` says that the sample is all of the text, so that no character is cut at its end.
///
/// A mark goes before what was given: it is proof, since no text begins with the characters that
/// its bytes would be in another encoding, and one mapping may serve files of several systems.
pub(super) fn of_text(
    sample: &[u8],
    is_whole: bool,
    given: Option<Encoding>,
) -> (Encoding, EncodingOrigin, usize) {
    if let Some((encoding, length)) = byte_order_mark(sample) {
        let origin = if given.is_some_and(|given| agrees(given, encoding)) {
            EncodingOrigin::Given
        } else {
            EncodingOrigin::Marked
        };
        return (encoding, origin, length);
    }
    match given {
        // Without a sign of its order, UTF-16 is read as Windows writes it.
        Some(Encoding::Utf16) => (
            utf16_order(sample).unwrap_or(Encoding::Utf16Le),
            EncodingOrigin::Given,
            0,
        ),
        Some(encoding) => (encoding, EncodingOrigin::Given, 0),
        None => (detect(sample, is_whole), EncodingOrigin::Detected, 0),
    }
}

fn agrees(given: Encoding, marked: Encoding) -> bool {
    given == marked || (given == Encoding::Utf16 && marked != Encoding::Utf8)
}

fn byte_order_mark(sample: &[u8]) -> Option<(Encoding, usize)> {
    match sample {
        [0xef, 0xbb, 0xbf, ..] => Some((Encoding::Utf8, 3)),
        [0xff, 0xfe, ..] => Some((Encoding::Utf16Le, 2)),
        [0xfe, 0xff, ..] => Some((Encoding::Utf16Be, 2)),
        _ => None,
    }
}

fn detect(sample: &[u8], is_whole: bool) -> Encoding {
    // ASCII in UTF-16 is valid UTF-8 full of NULs, so this comes first.
    if let Some(order) = utf16_order(sample) {
        return order;
    }
    let is_1252 = match std::str::from_utf8(sample) {
        Ok(_) => false,
        Err(error) if !is_whole && error.error_len().is_none() => false,
        // Text in Windows-1252 hardly ever makes a whole character of UTF-8 by chance.
        Err(_) => {
            let is_ascii = |chunk: Utf8Chunk| chunk.valid().is_ascii();
            sample.utf8_chunks().all(is_ascii) && !sample.iter().any(|byte| is_undefined(*byte))
        }
    };
    if is_1252 {
        Encoding::Windows1252
    } else {
        Encoding::Utf8
    }
}

/// The order of bytes of UTF-16 text by its NULs.
///
/// Separators, line ends, digits and blanks are ASCII in every language, so at least a fifth of
/// the units of a CSV file have a NUL as their high byte, and next to none as their low one. The
/// NULs of a damaged UTF-8 file stand in rows, at odd and even places alike.
fn utf16_order(sample: &[u8]) -> Option<Encoding> {
    let (units, _) = sample.as_chunks::<2>();
    let count = |place: usize| units.iter().filter(|unit| unit[place] == 0).count();
    let (first, second) = (count(0), count(1));
    let is_high = |high: usize, low: usize| high * 5 >= units.len() && low * 20 <= high;
    if units.len() < 2 {
        None
    } else if is_high(second, first) {
        Some(Encoding::Utf16Le)
    } else if is_high(first, second) {
        Some(Encoding::Utf16Be)
    } else {
        None
    }
}

/// The five bytes to which Windows-1252 gives no character.
fn is_undefined(byte: u8) -> bool {
    character_1252(byte).is_none()
}
