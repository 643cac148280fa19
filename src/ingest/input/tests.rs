//! Every encoding in every packing, archives of other programs cut and damaged at every byte, and
//! any bytes at all.

mod archives;
mod encodings;
mod files;

use super::{Encoding, EncodingOrigin, OpenInput, Packing, read_error};
use crate::ingest::error::IngestError;
use flate2::Compression;
use flate2::write::GzEncoder;
use std::io;
use std::io::{Cursor, Read, Write};
use std::path::Path;

/// Hands out few bytes at a time, as a pipe may.
struct Dribble(Cursor<Vec<u8>>, usize);

impl Read for Dribble {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let length = buffer.len().min(self.1);
        self.0.read(&mut buffer[..length])
    }
}

fn open(bytes: &[u8], given: Option<Encoding>) -> Result<OpenInput, IngestError> {
    let source = Box::new(Cursor::new(bytes.to_vec()));
    OpenInput::from_source(Path::new("cases.csv"), source, given, true)
}

/// The whole text of an input, read through a buffer of `size` bytes.
fn text_of(input: &mut OpenInput, size: usize) -> Result<Vec<u8>, IngestError> {
    let mut text = Vec::new();
    let mut buffer = vec![0; size];
    loop {
        match input.read(&mut buffer) {
            Ok(0) => return Ok(text),
            Ok(length) => text.extend_from_slice(&buffer[..length]),
            Err(error) => return Err(read_error(Path::new("cases.csv"), error)),
        }
    }
}

fn read(bytes: &[u8], given: Option<Encoding>) -> Result<Vec<u8>, IngestError> {
    text_of(&mut open(bytes, given)?, 4096)
}

fn gzip(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

fn zstd(bytes: &[u8]) -> Vec<u8> {
    ruzstd::encoding::compress_to_vec(bytes, ruzstd::encoding::CompressionLevel::Fastest)
}

fn utf16(text: &str, order: fn(u16) -> [u8; 2]) -> Vec<u8> {
    text.encode_utf16().flat_map(order).collect()
}

/// One byte a character, which the test's own eyes can follow.
fn windows_1252(text: &str) -> Vec<u8> {
    text.chars()
        .map(|character| match character {
            '€' => 0x80,
            '’' => 0x92,
            '–' => 0x96,
            'ö' => 0xf6,
            'ß' => 0xdf,
            'ï' => 0xef,
            ascii => u8::try_from(ascii).ok().filter(u8::is_ascii).unwrap(),
        })
        .collect()
}

#[test]
fn every_encoding_packing_and_line_end_gives_the_same_text() {
    for line_end in ["\n", "\r\n", "\r"] {
        let text = ["Case,Größe,Note", "K1,5 €,naïve – patient’s", "K2,,"].join(line_end);
        let marked = format!("\u{feff}{text}");
        let encoded = [
            (Encoding::Utf8, false, text.clone().into_bytes()),
            (Encoding::Utf8, true, marked.clone().into_bytes()),
            (Encoding::Utf16Le, false, utf16(&text, u16::to_le_bytes)),
            (Encoding::Utf16Le, true, utf16(&marked, u16::to_le_bytes)),
            (Encoding::Utf16Be, false, utf16(&text, u16::to_be_bytes)),
            (Encoding::Utf16Be, true, utf16(&marked, u16::to_be_bytes)),
            (Encoding::Windows1252, false, windows_1252(&text)),
        ];
        for (encoding, has_mark, bytes) in &encoded {
            let (first, second) = bytes.split_at(11);
            let packed = [
                (Packing::Plain, bytes.clone()),
                (Packing::Gzip, gzip(bytes)),
                (Packing::Gzip, [gzip(first), gzip(second)].concat()),
                (Packing::Zstd, zstd(bytes)),
                (Packing::Zstd, [zstd(first), zstd(second)].concat()),
            ];
            for (packing, file) in &packed {
                check_read(text.as_bytes(), file, *packing, *encoding, *has_mark);
            }
        }
    }
}

#[track_caller]
fn check_read(text: &[u8], file: &[u8], packing: Packing, encoding: Encoding, has_mark: bool) {
    let detected = if has_mark {
        EncodingOrigin::Marked
    } else {
        EncodingOrigin::Detected
    };
    for (given, origin) in [(None, detected), (Some(encoding), EncodingOrigin::Given)] {
        for (source_bytes, size) in [(1, 1), (3, 7), (5, 63), (1000, 64), (1000, 70_000)] {
            let source = Box::new(Dribble(Cursor::new(file.to_vec()), source_bytes));
            let path = Path::new("cases.csv");
            let mut input = OpenInput::from_source(path, source, given, true).unwrap();
            let facts = input.facts();
            assert_eq!(
                (facts.packing, facts.encoding, facts.has_mark, facts.origin),
                (packing, encoding, has_mark, origin)
            );
            assert!(
                text_of(&mut input, size).unwrap() == text,
                "{packing:?} {encoding:?} {has_mark} {size}"
            );
            let (bytes, sha256) = input.finish().unwrap();
            assert_eq!(bytes, file.len() as u64);
            assert_eq!(sha256.map(|text| text.len()), Some(64));
        }
    }
}
