//! Encodings: what a file is read as, and bytes that are no text in it.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

const BOTH: &str = "2 = 2 + 0 + 0";
const UNREADABLE: &[&str] = &["C01 object_type, line 3"];
const UNKNOWN: &[&str] = &["C02 object_type, line 3"];

/// A good row and one whose object is these bytes.
fn object(what: &'static str, bytes: &[u8]) -> Input {
    let mut row = b"K2,Alder,Food,2026-03-01 10:00,,,".to_vec();
    row.extend(bytes);
    row.push(b'\n');
    Input::rows(what, row)
}

fn utf16(text: &str, unit: fn(u16) -> [u8; 2]) -> Vec<u8> {
    text.encode_utf16().flat_map(unit).collect()
}

/// The two rows in which the second object is a word nobody knows.
fn file(object: &str) -> String {
    format!("{HEADER}{GOOD}K2,Alder,Food,2026-03-01 10:00,,,{object}\n")
}

#[test]
fn bytes_that_are_no_utf_8() {
    // A whole character of UTF-8 elsewhere shows that the file is meant to be UTF-8.
    object("half a character", b"SECRET \xe2\x82\xac \xc3")
        .reviewed()
        .ends(1, BOTH, UNREADABLE);
    object("a byte that never stands in UTF-8", b"\xe2\x82\xac\xff").ends(1, BOTH, UNREADABLE);
    object("a surrogate in UTF-8", b"\xe2\x82\xac\xed\xa0\x80").ends(1, BOTH, UNREADABLE);
    object("a character in too many bytes", b"\xe2\x82\xac\xc0\xaf").ends(1, BOTH, UNREADABLE);
    object("Windows-1252 in a file that is declared UTF-8", b"B\xe4r")
        .set("encoding = \"utf-8\"")
        .ends(1, BOTH, UNREADABLE);
    object(
        "a byte that is no text and a quote",
        b"\"\xe2\x82\xac\xff\"\"SECRET\"",
    )
    .ends(1, BOTH, UNREADABLE);
}

#[test]
fn unreadable_cells_of_other_columns() {
    let euro = "€";
    Input::rows(
        "a case number",
        [
            b"K\xff,SECRET,Food,2026-03-01 10:00,,,",
            euro.as_bytes(),
            b"\n",
        ]
        .concat(),
    )
    .ends(
        1,
        "2 = 1 + 1 + 0",
        &[
            "C01 case_id, line 3",
            "C02 object_type, line 3",
            "R02 line 3",
        ],
    );
    Input::rows(
        "a time",
        [
            b"K2,Alder,Food,2026-03-01 10:00,\xff,,".as_slice(),
            euro.as_bytes(),
            b"\n",
        ]
        .concat(),
    )
    .ends(
        1,
        BOTH,
        &["C01 scope_in_at, line 3", "C02 object_type, line 3"],
    );
    Input::rows(
        "a site",
        [
            b"K2,\xff,Food,2026-03-01 10:00,,,".as_slice(),
            euro.as_bytes(),
            b"\n",
        ]
        .concat(),
    )
    .ends(
        1,
        BOTH,
        &[
            "C01 site, line 3",
            "C02 object_type, line 3",
            "C09 site, line 3",
        ],
    );
}

#[test]
fn windows_1252() {
    object("found", b"B\xe4r SECRET").ends(1, BOTH, UNKNOWN);
    object("a known word", b"B\xe4r")
        .mapped("\"Meat\" =", "\"Bär\" = \"food_bolus\"\n\"Meat\" =")
        .ends(0, BOTH, &[]);
    object(
        "a byte to which it gives no character",
        b"B\xe4r \x81 SECRET",
    )
    .set("encoding = \"windows-1252\"")
    .ends(1, BOTH, UNREADABLE);
    for byte in [0x81, 0x8d, 0x8f, 0x90, 0x9d] {
        object("each of the five", &[byte])
            .set("encoding = \"windows-1252\"")
            .ends(1, BOTH, UNREADABLE);
    }
    // Such a byte proves that it is not Windows-1252; so it is read as UTF-8, and no text there.
    object(
        "a byte to which it gives no character, and nobody says so",
        b"B\xe4r \x81",
    )
    .ends(1, BOTH, UNREADABLE);
}

#[test]
fn utf_16() {
    let text = file("SECRET");
    let le: fn(u16) -> [u8; 2] = u16::to_le_bytes;
    let be: fn(u16) -> [u8; 2] = u16::to_be_bytes;
    for (what, bytes) in [
        ("low byte first", utf16(&text, le)),
        ("high byte first", utf16(&text, be)),
        (
            "low byte first with a mark",
            utf16(&format!("\u{feff}{text}"), le),
        ),
        (
            "high byte first with a mark",
            utf16(&format!("\u{feff}{text}"), be),
        ),
        (
            "tabs and CR LF, as spreadsheets save it",
            utf16(
                &format!("\u{feff}{}", text.replace(',', "\t").replace('\n', "\r\n")),
                le,
            ),
        ),
    ] {
        Input::of(what).cases(bytes).ends(1, BOTH, UNKNOWN);
    }
    Input::of("declared")
        .set("encoding = \"utf-16be\"")
        .cases(utf16(&text, be))
        .ends(1, BOTH, UNKNOWN);
    Input::of("declared as UTF-16, marked as UTF-8")
        .set("encoding = \"utf-16\"")
        .cases(format!("\u{feff}{text}"))
        .ends(1, BOTH, UNKNOWN);
    let mut cut = utf16(&text, le);
    cut.pop();
    // The last unit is half of the last line end: the cell before it holds what is no text.
    Input::of("an odd number of bytes")
        .cases(cut)
        .ends(1, BOTH, UNREADABLE);
}

#[test]
fn lone_surrogates() {
    let lone = |unit: u16| {
        let mut units: Vec<u16> = file("SECRET").encode_utf16().collect();
        let place = units.len() - 2;
        units[place] = unit;
        units
            .into_iter()
            .flat_map(u16::to_le_bytes)
            .collect::<Vec<u8>>()
    };
    Input::of("the first half of a pair")
        .cases(lone(0xd83d))
        .ends(1, BOTH, UNREADABLE);
    Input::of("the second half of a pair")
        .cases(lone(0xdc1d))
        .ends(1, BOTH, UNREADABLE);
}

#[test]
fn marks_of_utf_8() {
    Input::of("at the start")
        .cases(format!("\u{feff}{}", file("SECRET")))
        .ends(1, BOTH, UNKNOWN);
    Input::of("twice")
        .cases(format!("\u{feff}\u{feff}{}", file("SECRET")))
        .ends(1, BOTH, UNKNOWN);
    Input::of("in front of a sep= line")
        .cases(format!("\u{feff}sep=,\n{}", file("SECRET")))
        .ends(1, BOTH, &["C02 object_type, line 4"]);
}

#[test]
fn encodings_that_are_not_read() {
    let text = file("SECRET");
    let utf32: Vec<u8> = format!("\u{feff}{text}")
        .chars()
        .flat_map(|c| (c as u32).to_le_bytes())
        .collect();
    Input::of("UTF-32")
        .cases(utf32)
        .refused("is text in UTF-32, not CSV", "export the file as UTF-8");
    Input::of("UTF-16 where UTF-8 is declared")
        .set("encoding = \"utf-8\"")
        .cases(utf16(&text, u16::to_le_bytes))
        .refused("no column `Case`", "");
    Input::of("an encoding nobody knows here")
        .set("encoding = \"latin-7\"")
        .cases(text)
        .refused(
            "`cases.encoding` is no encoding that is known here",
            "windows-1252",
        );
    // 0x81 is a character neither of UTF-8 nor of Windows-1252.
    Input::of("a header that is no text")
        .cases(
            [
                b"Case,Site,Rea\x81son,Called,In,Out,Object\n",
                GOOD.as_bytes(),
            ]
            .concat(),
        )
        .refused(
            "column 3 of the header is not UTF-8 text",
            "export the file as UTF-8",
        );
}
