//! Files that cannot be read, are no CSV, or are given in a way that cannot be right.

use super::Input;
use crate::bad_input::{GOOD, HEADER};
use flate2::Compression;
use flate2::write::GzEncoder;
use std::fmt::Write as _;
use std::io::Write as _;

fn file() -> String {
    format!("{HEADER}{GOOD}")
}

fn gzip(content: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::fast());
    encoder.write_all(content).unwrap();
    encoder.finish().unwrap()
}

/// A frame of zstd that holds its content as it is: RFC 8878, one raw block for each 100 kB.
fn zstd(content: &[u8]) -> Vec<u8> {
    let size = u32::try_from(content.len()).unwrap();
    // Magic number; a single segment with four bytes of content size.
    let mut frame = vec![0x28, 0xb5, 0x2f, 0xfd, 0b1010_0000];
    frame.extend(size.to_le_bytes());
    let mut parts = content.chunks(100_000).peekable();
    while let Some(part) = parts.next() {
        let is_last = u32::from(parts.peek().is_none());
        let header = (u32::try_from(part.len()).unwrap() << 3) | is_last;
        frame.extend(&header.to_le_bytes()[..3]);
        frame.extend(part);
    }
    frame
}

#[test]
fn files_that_are_not_there_or_hold_nothing() {
    Input::of("no file").refused("cannot read `cases.csv`", "check the path");
    Input::of("nothing")
        .cases("")
        .refused("`cases.csv` is empty", "run the export again");
    Input::of("blank lines")
        .cases("\r\n\r\n \n")
        .refused("`cases.csv`", "");
    Input::of("a mark alone")
        .cases("\u{feff}")
        .refused("`cases.csv` is empty", "run the export again");
    Input::of("a header alone").cases(HEADER).refused(
        "has a header and no row below it",
        "the filter of the export",
    );
    Input::of("a directory")
        .file("cases.csv/a.txt", "")
        .refused(
            "cannot read `cases.csv`: it is a directory",
            "check the path",
        );
}

#[test]
fn files_that_are_no_csv() {
    for (what, content, message) in [
        (
            "a spreadsheet",
            b"PK\x03\x04\x14\0\x06\0\x08\0\0\0!\0SECRETxxxxxxxxxx[Content_Types].xml".as_slice(),
            "(`.xlsx`), not CSV",
        ),
        (
            "an old spreadsheet",
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1SECRET",
            "(`.xls`), not CSV",
        ),
        ("a PDF", b"%PDF-1.7\n%SECRET", "is a PDF document, not CSV"),
        (
            "a web page",
            b"<!DOCTYPE html>\n<html><body>SECRET",
            "is a web page or a table of one, not CSV",
        ),
        (
            "a table of a web page",
            b"\n  <TABLE><tr><td>SECRET",
            "is a web page or a table of one, not CSV",
        ),
        (
            "XML",
            b"<?xml version=\"1.0\"?><a>SECRET</a>",
            "is an XML file, not CSV",
        ),
        (
            "JSON",
            b"[{\"Case\": \"SECRET\"}]",
            "is a JSON file, not CSV",
        ),
        (
            "Parquet",
            b"PAR1\x15\x04SECRET",
            "is a Parquet file, not CSV",
        ),
        (
            "a zip archive",
            b"PK\x03\x04\x14\0\0\0\x08\0\0\0!\0SECRETxxxxxxxxxxcases.csv",
            "is a zip archive, not CSV",
        ),
        (
            "a database",
            b"SQLite format 3\0SECRET",
            "is a SQLite database, not CSV",
        ),
        (
            "rich text",
            b"{\\rtf1 SECRET}",
            "is a rich-text document, not CSV",
        ),
    ] {
        Input::of(what).cases(content).refused(message, "");
    }
    let page: Vec<u8> = "<html>SECRET"
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    Input::of("a web page in UTF-16")
        .cases([b"\xff\xfe", page.as_slice()].concat())
        .refused("is a web page", "export it as CSV");
    Input::of("a picture")
        .cases(b"\x89PNG\r\n\x1a\n\0\0\0\rSECRET")
        .refused("`cases.csv`", "");
    Input::of("prose")
        .cases("Dear colleague,\nplease find SECRET below.\n")
        .refused("no column `Case`", "correct the heading");
}

#[test]
fn packed_files() {
    let bad = format!("{}K2,Alder,Food,2026-03-01 10:00,,,SECRET\n", file());
    let found = &["C02 object_type, line 3"];
    Input::of("gzip")
        .cases(gzip(bad.as_bytes()))
        .reviewed()
        .ends(1, "2 = 2 + 0 + 0", found);
    Input::of("zstd")
        .cases(zstd(bad.as_bytes()))
        .ends(1, "2 = 2 + 0 + 0", found);
    Input::of("two members of gzip")
        .cases([gzip(HEADER.as_bytes()), gzip(GOOD.as_bytes())].concat())
        .ends(0, "1 = 1 + 0 + 0", &[]);
    Input::of("a packed file that holds nothing")
        .cases(gzip(b""))
        .refused("`cases.csv` is empty", "run the export again");
    let inner = gzip(&gzip(bad.as_bytes()));
    Input::of("packed twice")
        .cases(inner)
        .refused("is an archive inside an archive", "unpack it");
    Input::of("a packed web page")
        .cases(gzip(b"<html>SECRET"))
        .refused("is a web page", "export it as CSV");
}

#[test]
fn packed_files_that_are_damaged() {
    // Enough that the end of the archive is met long after the header was read.
    let mut long = file();
    for number in 0..60_000 {
        writeln!(long, "SECRET{number},Alder,Food,2026-03-01 10:00,,,Meat").unwrap();
    }
    for (what, whole) in [
        ("gzip", gzip(long.as_bytes())),
        ("zstd", zstd(long.as_bytes())),
    ] {
        let cut = &whole[..whole.len() - 20];
        Input::of("cut at the end").cases(cut).refused(
            &format!("the {what} archive ends too early"),
            "copy or export the file again",
        );
        Input::of("cut at the start").cases(&whole[..12]).refused(
            &format!("the {what} archive"),
            "copy or export the file again",
        );
    }
    let mut damaged = gzip(long.as_bytes());
    let middle = damaged.len() / 2;
    damaged[middle..middle + 64].fill(0xff);
    Input::of("damaged in the middle")
        .cases(damaged)
        .refused("the gzip archive is damaged", "copy or export");
    let mut wrong_sum = gzip(file().as_bytes());
    let place = wrong_sum.len() - 8;
    wrong_sum[place] ^= 1;
    Input::of("a wrong checksum")
        .cases(wrong_sum)
        .refused("the gzip archive is damaged", "copy or export");
    Input::of("more behind the archive")
        .cases([gzip(file().as_bytes()), b"SECRET".to_vec()].concat())
        .refused("the gzip archive ends too early", "copy or export");
}

#[test]
fn standard_input() {
    // The name of standard input is quoted in tables, where a minus could begin a formula.
    let typed = |what| Input::of(what).typed("--cases -");
    let bad = format!("{}K2,Alder,Food,2026-03-01 10:00,,,SECRET\n", file());
    typed("a row")
        .standard_input(&bad)
        .ends(1, "2 = 2 + 0 + 0", &["C02 '-, object_type, line 3"]);
    typed("nothing")
        .standard_input("")
        .refused("`-` is empty", "run the export again");
    typed("packed").standard_input(gzip(bad.as_bytes())).ends(
        1,
        "2 = 2 + 0 + 0",
        &["C02 '-, object_type, line 3"],
    );
    typed("a PDF")
        .standard_input("%PDF-1.7 SECRET")
        .refused("`-` is a PDF document, not CSV", "export it as CSV");
    Input::of("twice")
        .typed("--cases - -")
        .standard_input(file())
        .refused("`-` is the same file as `-`", "give each file once");
}

#[test]
fn patterns_and_repeated_files() {
    Input::of("a pattern that fits nothing")
        .typed("--cases month-*.csv")
        .refused(
            "no file matches `month-*.csv`",
            "`*` stands for any part of a name",
        );
    Input::of("a bracket that never closes")
        .typed("--cases [a.csv")
        .refused("no file matches `[a.csv`", "");
    Input::of("the same file twice")
        .cases(file())
        .typed("--cases cases.csv ./cases.csv")
        .refused(
            "`./cases.csv` is the same file as `cases.csv`",
            "give each file once",
        );
    Input::of("a file and a pattern that fits it too")
        .cases(file())
        .typed("--cases cases.csv *.csv")
        .refused(
            "`cases.csv` is the same file as `cases.csv`",
            "give each file once",
        );
    Input::of("one file of a pattern is no CSV")
        .file("1.csv", file())
        .file("2.csv", "%PDF-1.7 SECRET")
        .typed("--cases ?.csv")
        .refused("`2.csv` is a PDF document", "export it as CSV");
    Input::of("one file of a pattern has a header alone")
        .file("1.csv", file())
        .file("2.csv", HEADER)
        .typed("--cases ?.csv")
        .refused(
            "`2.csv` has a header and no row below it",
            "the filter of the export",
        );
    Input::of("one file of a pattern lacks a column")
        .file("1.csv", file())
        .file("2.csv", file().replace("Object", "SECRET"))
        .typed("--cases ?.csv")
        .refused("`2.csv` has no column `Object`", "correct the heading");
}
