//! Files that are no CSV, told by their first bytes, with what to do about each. A name ending in
//! `.csv` or `.xls` proves nothing.

use super::encoding::Encoding;
use super::packing::Packing;
use super::transcode::Transcoder;
use crate::ingest::error::IngestError;
use std::path::Path;

const EXPORT_AS_CSV: &str =
    "export it as CSV; in a spreadsheet program, save the sheet as `CSV UTF-8`";
const UNPACK: &str =
    "unpack it, or pack the CSV file with gzip or zstd, which are read as they are";
const AS_UTF_8: &str = "export the file as UTF-8";

const STATISTICS_FILE: &str = "a data file of a statistics program";
const UTF_32: &str = "text in UTF-32";

/// First bytes, what they are the mark of, and the remedy. Whole magic numbers, so that a column
/// called `PAR1` is no Parquet file.
const MARKS: &[(&[u8], &str, &str)] = &[
    (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
        "a spreadsheet or document of an old office program (`.xls`)",
        EXPORT_AS_CSV,
    ),
    (b"%PDF-", "a PDF document", EXPORT_AS_CSV),
    (b"PAR1\x15", "a Parquet file", EXPORT_AS_CSV),
    (b"ARROW1\0\0", "an Arrow file", EXPORT_AS_CSV),
    (b"SQLite format 3\0", "a SQLite database", EXPORT_AS_CSV),
    (b"{\\rtf", "a rich-text document", EXPORT_AS_CSV),
    (b"$FL2@(#)", STATISTICS_FILE, EXPORT_AS_CSV),
    (b"<stata_dta>", STATISTICS_FILE, EXPORT_AS_CSV),
    (b"\xfd7zXZ\0", "an xz archive", UNPACK),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive", UNPACK),
    (b"Rar!\x1a\x07", "a RAR archive", UNPACK),
    (b"\x04\x22\x4d\x18", "an lz4 archive", UNPACK),
    (b"\xff\xfe\0\0", UTF_32, AS_UTF_8),
    (b"\0\0\xfe\xff", UTF_32, AS_UTF_8),
];

/// Beginnings of text that is no CSV, in lower case.
const BEGINNINGS: &[(&str, &str)] = &[
    ("<!doctype html", WEB_PAGE),
    ("<html", WEB_PAGE),
    ("<head", WEB_PAGE),
    ("<meta", WEB_PAGE),
    ("<body", WEB_PAGE),
    ("<table", WEB_PAGE),
    ("<style", WEB_PAGE),
    ("<script", WEB_PAGE),
    ("<div", WEB_PAGE),
    ("<?xml", "an XML file"),
    ("[{", "a JSON file"),
    ("{\"", "a JSON file"),
];

const WEB_PAGE: &str = "a web page or a table of one";

/// How much text is looked at; white space may come first.
const TEXT_BYTES: usize = 1024;

/// Refuses a file that is no CSV by its first bytes.
pub(super) fn check(path: &Path, head: &[u8]) -> Result<(), IngestError> {
    match mark(head) {
        Some((found, remedy)) => Err(refusal(path, found, remedy)),
        None => Ok(()),
    }
}

/// Refuses what was packed in an archive.
pub(super) fn check_unpacked(path: &Path, head: &[u8]) -> Result<(), IngestError> {
    if Packing::of(head) == Packing::Plain {
        check(path, head)
    } else {
        Err(refusal(path, "an archive inside an archive", UNPACK))
    }
}

/// Refuses text that is no CSV, whatever its encoding; without its byte-order mark.
pub(super) fn check_text(path: &Path, text: &[u8], encoding: Encoding) -> Result<(), IngestError> {
    let text = &text[..text.len().min(TEXT_BYTES)];
    let mut decoded = Vec::new();
    let text = match Transcoder::new(encoding) {
        None => text,
        Some(mut transcoder) => {
            // Reading from memory cannot fail.
            let mut buffer = [0; 4 * TEXT_BYTES];
            let length = transcoder.read(&mut &text[..], &mut buffer).unwrap_or(0);
            decoded.extend_from_slice(&buffer[..length]);
            &decoded
        }
    }
    .trim_ascii_start();
    let begins_with = |beginning: &str| {
        text.get(..beginning.len())
            .is_some_and(|start| start.eq_ignore_ascii_case(beginning.as_bytes()))
    };
    match BEGINNINGS.iter().find(|(start, _)| begins_with(start)) {
        Some((_, found)) => Err(refusal(path, found, EXPORT_AS_CSV)),
        None => Ok(()),
    }
}

fn refusal(path: &Path, found: &'static str, remedy: &'static str) -> IngestError {
    IngestError::NotCsv {
        path: path.to_path_buf(),
        found,
        remedy,
    }
}

fn mark(head: &[u8]) -> Option<(&'static str, &'static str)> {
    let has = |bytes: &[u8], offset: usize| {
        head.get(offset..)
            .is_some_and(|rest| rest.starts_with(bytes))
    };
    if has(b"PK\x03\x04", 0) || has(b"PK\x05\x06", 0) || has(b"PK\x07\x08", 0) {
        return Some(inside_zip(head));
    }
    if has(b"ustar", 257) {
        return Some(("a tar archive", UNPACK));
    }
    if has(b"BZh", 0) && has(b"1AY&SY", 4) {
        return Some(("a bzip2 archive", UNPACK));
    }
    MARKS
        .iter()
        .find(|(mark, ..)| head.starts_with(mark))
        .map(|(_, found, remedy)| (*found, *remedy))
}

/// Newer office documents are zip archives, told by the name of the first file in them, which
/// stands at byte 30.
fn inside_zip(head: &[u8]) -> (&'static str, &'static str) {
    let name = head.get(30..).unwrap_or_default();
    let starts = |start: &[u8]| name.starts_with(start);
    if starts(b"mimetypeapplication/vnd.oasis.opendocument") {
        return ("a spreadsheet or document (`.ods`)", EXPORT_AS_CSV);
    }
    let parts: [&[u8]; 4] = [b"[Content_Types].xml", b"_rels/", b"xl/", b"docProps/"];
    if parts.into_iter().any(starts) {
        return ("a spreadsheet or document (`.xlsx`)", EXPORT_AS_CSV);
    }
    ("a zip archive", UNPACK)
}
