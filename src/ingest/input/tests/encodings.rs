//! Detection of encodings, and what becomes of bytes that no encoding knows.

use super::super::encoding::of_text;
use super::super::transcode::character_1252;
use super::{Encoding, EncodingOrigin, open, read, text_of, utf16};
use encoding_rs::{UTF_16BE, UTF_16LE, WINDOWS_1252};
use proptest::prelude::*;

#[track_caller]
fn check_detected(sample: &[u8], expected: Encoding) {
    assert_eq!(
        of_text(sample, true, None),
        (expected, EncodingOrigin::Detected, 0)
    );
}

#[test]
fn an_encoding_is_found_by_what_only_it_can_hold() {
    check_detected(b"", Encoding::Utf8);
    check_detected(b"Case,Site\nK1,Alder\n", Encoding::Utf8);
    check_detected("Fälle;Größe\n".as_bytes(), Encoding::Utf8);
    check_detected(b"F\xe4lle;Gr\xf6\xdfe\n", Encoding::Windows1252);
    // The same bytes, once with a character of UTF-8 beside them, once with a byte that
    // Windows-1252 does not know: UTF-8 with damage.
    check_detected(b"F\xe4lle;Gr\xc3\xb6\xdfe\n", Encoding::Utf8);
    check_detected(b"F\xe4lle;Gr\x81\xdfe\n", Encoding::Utf8);
    check_detected(&utf16("Case,Site\n", u16::to_le_bytes), Encoding::Utf16Le);
    check_detected(&utf16("Case,Site\n", u16::to_be_bytes), Encoding::Utf16Be);
    let chinese = "病例,地点,时间\n甲,乙,2026-03-01 10:00\n";
    check_detected(&utf16(chinese, u16::to_le_bytes), Encoding::Utf16Le);
    check_detected(&utf16(chinese, u16::to_be_bytes), Encoding::Utf16Be);
    // A block of NULs from a crash makes no UTF-16.
    let damaged = [b"Case,Site\nK1,Alder\n".as_slice(), &[0; 4096]].concat();
    check_detected(&damaged, Encoding::Utf8);
    check_detected(b"a\0", Encoding::Utf8);
}

#[test]
fn a_character_may_be_cut_where_the_sample_ends_and_not_where_the_file_ends() {
    let cut = "Größ".as_bytes();
    let cut = &cut[..cut.len() - 1];
    assert_eq!(of_text(cut, false, None).0, Encoding::Utf8);
    // Whole, the text ends in an accented letter of Windows-1252.
    assert_eq!(of_text(b"caf\xe9", true, None).0, Encoding::Windows1252);
    assert_eq!(of_text(b"caf\xe9", false, None).0, Encoding::Utf8);
}

#[test]
fn a_mark_overrules_the_mapping_and_the_mapping_overrules_detection() {
    let marked = utf16("\u{feff}a,b", u16::to_be_bytes);
    for (given, origin) in [
        (Encoding::Utf16, EncodingOrigin::Given),
        (Encoding::Utf16Be, EncodingOrigin::Given),
        (Encoding::Utf16Le, EncodingOrigin::Marked),
        (Encoding::Windows1252, EncodingOrigin::Marked),
    ] {
        assert_eq!(
            of_text(&marked, true, Some(given)),
            (Encoding::Utf16Be, origin, 2)
        );
    }
    let utf8 = "ö".as_bytes();
    assert_eq!(
        of_text(utf8, true, Some(Encoding::Windows1252)),
        (Encoding::Windows1252, EncodingOrigin::Given, 0)
    );
    for order in [u16::to_le_bytes as fn(u16) -> [u8; 2], u16::to_be_bytes] {
        let bytes = utf16("a,b\n", order);
        assert_eq!(read(&bytes, Some(Encoding::Utf16)).unwrap(), b"a,b\n");
    }
    let chinese = utf16("病例", u16::to_le_bytes);
    assert_eq!(
        of_text(&chinese, true, Some(Encoding::Utf16)).0,
        Encoding::Utf16Le
    );
}

#[test]
fn encodings_are_known_by_the_names_of_the_mapping() {
    for name in Encoding::names() {
        assert_eq!(Encoding::from_name(name).unwrap().name(), name);
    }
    assert_eq!(
        Encoding::from_name("Windows-1252"),
        Some(Encoding::Windows1252)
    );
    assert_eq!(Encoding::from_name("latin1"), None);
}

#[test]
fn windows_1252_is_that_of_python() {
    // Python 3.11: bytes(range(0x80, 0xa0)).decode('cp1252', 'replace').encode('unicode_escape')
    let python = "\u{20ac}\u{fffd}\u{201a}\u{192}\u{201e}\u{2026}\u{2020}\u{2021}\
                  \u{2c6}\u{2030}\u{160}\u{2039}\u{152}\u{fffd}\u{17d}\u{fffd}\
                  \u{fffd}\u{2018}\u{2019}\u{201c}\u{201d}\u{2022}\u{2013}\u{2014}\
                  \u{2dc}\u{2122}\u{161}\u{203a}\u{153}\u{fffd}\u{17e}\u{178}";
    for (byte, expected) in (0x80..0xa0).zip(python.chars()) {
        assert_eq!(
            character_1252(byte).unwrap_or('\u{fffd}'),
            expected,
            "{byte:x}"
        );
    }
    for byte in (0..0x80).chain(0xa0..=0xff) {
        assert_eq!(character_1252(byte), Some(char::from(byte)));
    }
}

#[track_caller]
fn check_undecodable(encoding: Encoding, bytes: &[u8], expected: &[u8]) {
    for size in [1, 5, 64, 4096] {
        let mut input = open(bytes, Some(encoding)).unwrap();
        assert_eq!(
            text_of(&mut input, size).unwrap(),
            expected,
            "{bytes:x?} by {size}"
        );
    }
}

#[test]
fn what_cannot_be_decoded_is_a_byte_that_no_text_holds() {
    use Encoding::{Utf8, Utf16Be, Utf16Le, Windows1252};
    // A high surrogate before a letter, a low one alone, an odd last byte, a pair that is whole.
    check_undecodable(Utf16Le, b"a\0\x00\xd8b\0", b"a\xffb");
    check_undecodable(Utf16Le, b"a\0\x00\xdcb\0", b"a\xffb");
    check_undecodable(Utf16Be, b"\0a\xdc\x00\xdc\x00\0b", b"a\xff\xffb");
    check_undecodable(Utf16Le, b"a\0b\0c", b"ab\xff");
    check_undecodable(Utf16Le, b"a\0\x00\xd8", b"a\xff");
    check_undecodable(Utf16Le, b"\x3d\xd8\x00\xde", "😀".as_bytes());
    check_undecodable(
        Windows1252,
        b"a\x81\x8d\x8f\x90\x9db",
        b"a\xff\xff\xff\xff\xffb",
    );
    // Invalid UTF-8 passes as it stands.
    check_undecodable(Utf8, b"a\xffb\xc3", b"a\xffb\xc3");
    // A replacement character that is written in the text is text.
    check_undecodable(Utf16Be, b"\xff\xfd", "\u{fffd}".as_bytes());
}

#[test]
fn an_undecodable_character_falls_on_every_place_of_the_blocks() {
    // 64 KiB is the block of the decoder, 64 bytes its smallest output.
    for before in (0..70).chain(32_700..32_800) {
        let mut bytes = b"a\0".repeat(before);
        bytes.extend(b"\x00\xdc");
        bytes.extend(b"\xac\x20");
        let mut expected = "a".repeat(before).into_bytes();
        expected.push(0xff);
        expected.extend("€".bytes());
        check_undecodable(Encoding::Utf16Le, &bytes, &expected);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn text_comes_back_whole(text in "\\PC{0,300}", size in 1_usize..200) {
        for (encoding, order) in [
            (Encoding::Utf16Le, u16::to_le_bytes as fn(u16) -> [u8; 2]),
            (Encoding::Utf16Be, u16::to_be_bytes),
        ] {
            let bytes = utf16(&format!("-{text}"), order);
            let mut input = open(&bytes, Some(encoding)).unwrap();
            let read = text_of(&mut input, size).unwrap();
            prop_assert_eq!(&read[1..], text.as_bytes());
        }
    }

    #[test]
    fn decoding_agrees_with_another_decoder(
        bytes in proptest::collection::vec(any::<u8>(), 0..300),
        size in 1_usize..200,
    ) {
        for (encoding, other) in [
            (Encoding::Utf16Le, UTF_16LE),
            (Encoding::Utf16Be, UTF_16BE),
            (Encoding::Windows1252, WINDOWS_1252),
        ] {
            // A letter first, so that the bytes are no mark and no archive.
            let start: &[u8] = match encoding {
                Encoding::Utf16Le => b"-\0",
                Encoding::Utf16Be => b"\0-",
                _ => b"-",
            };
            let bytes = [start, &bytes].concat();
            let mut input = open(&bytes, Some(encoding)).unwrap();
            let read = text_of(&mut input, size).unwrap();
            let (text, _) = other.decode_without_bom_handling(&bytes);
            // The other decoder writes U+FFFD for damage, and controls for the five bytes that
            // Windows-1252 leaves undefined.
            let expected: Vec<char> = text
                .chars()
                .map(|c| if matches!(c, '\u{80}'..='\u{9f}') && other == WINDOWS_1252 { '\u{fffd}' } else { c })
                .collect();
            let read: Vec<char> = String::from_utf8_lossy(&read).chars().collect();
            prop_assert_eq!(read, expected);
        }
    }

    #[test]
    fn any_bytes_are_read_to_their_end(
        bytes in proptest::collection::vec(any::<u8>(), 0..2000),
        start in 0_usize..6,
        size in 1_usize..200,
    ) {
        let start: &[u8] = [
            b"".as_slice(),
            b"\xff\xfe",
            b"\xfe\xff",
            b"\x1f\x8b\x08",
            b"\x28\xb5\x2f\xfd",
            b"\x50\x2a\x4d\x18\x01\0\0\0x\x28\xb5\x2f\xfd",
        ][start];
        let bytes = [start, &bytes].concat();
        let encodings = Encoding::names().map(Encoding::from_name);
        for given in encodings.chain([None]) {
            if let Ok(mut input) = open(&bytes, given) {
                let _ = text_of(&mut input, size);
                prop_assert_eq!(input.finish().unwrap().0, bytes.len() as u64);
            }
        }
    }
}
