//! Archives written by the programs `gzip` and `zstd`, whole, cut and damaged.

use super::{Packing, gzip, open, read, text_of, zstd};
use crate::ingest::error::IngestError;
use proptest::prelude::*;

const TEXT: &[u8] = b"Case,Site\nK1,Alder\nK2,Alder\nK3,Alder\nK4,Alder\n";

/// `gzip -n -9`, version 1.12.
const BY_GZIP: &[u8] = b"\x1f\x8b\x08\x00\x00\x00\x00\x00\x02\x03\x73\x4e\x2c\x4e\xd5\x09\xce\x2c\
    \x49\xe5\xf2\x36\xd4\x71\xcc\x49\x49\x2d\xe2\xf2\x36\x82\x31\x8c\x61\x0c\x13\x28\x03\x00\xbc\
    \x07\x0b\xe9\x2e\x00\x00\x00";

/// `zstd --check`, version 1.5.4.
const BY_ZSTD: &[u8] = b"\x28\xb5\x2f\xfd\x24\x2e\x35\x01\x00\xf0\x43\x61\x73\x65\x2c\x53\x69\x74\
    \x65\x0a\x4b\x31\x2c\x41\x6c\x64\x65\x72\x0a\x4b\x32\x33\x34\x2c\x41\x6c\x64\x65\x72\x0a\x02\
    \x00\x80\x88\x24\x0a\x13\xfe\x3d\xde\xd0";

/// A frame that readers shall skip, with five bytes in it.
const SKIPPED: &[u8] = b"\x5a\x2a\x4d\x18\x05\0\0\0extra";

#[test]
fn archives_of_other_programs_are_read() {
    assert_eq!(read(BY_GZIP, None).unwrap(), TEXT);
    assert_eq!(read(BY_ZSTD, None).unwrap(), TEXT);
    let twice = [TEXT, TEXT].concat();
    assert_eq!(read(&[BY_GZIP, BY_GZIP].concat(), None).unwrap(), twice);
    for frames in [
        [BY_ZSTD, BY_ZSTD].concat(),
        [SKIPPED, BY_ZSTD, SKIPPED, SKIPPED, BY_ZSTD, SKIPPED].concat(),
    ] {
        let input = open(&frames, None).unwrap();
        assert_eq!(input.facts().packing, Packing::Zstd);
        assert_eq!(read(&frames, None).unwrap(), twice);
    }
}

#[test]
fn the_hash_is_that_of_the_file_on_disk_even_if_nothing_was_read() {
    // sha256sum of the two archives.
    for (file, expected) in [
        (
            BY_GZIP,
            "d776348fc3c417b15f99f7eb1d4079c1bcde8562162820b8901dda4f269d308c",
        ),
        (
            BY_ZSTD,
            "0fc83abb582fe95c0e57ff6027f7d89c89cb85bc1071d5e15ab279404b5e6576",
        ),
    ] {
        let input = open(file, None).unwrap();
        let (bytes, sha256) = input.finish().unwrap();
        assert_eq!(bytes, file.len() as u64);
        assert_eq!(sha256.as_deref(), Some(expected));
    }
    // FIPS 180-2, appendix B.1.
    let input = open(b"abc", None).unwrap();
    assert_eq!(
        input.finish().unwrap().1.as_deref(),
        Some("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")
    );
}

#[track_caller]
fn fault_of(file: &[u8]) -> &'static str {
    match read(file, None) {
        Err(error @ IngestError::DamagedArchive { what, .. }) => {
            let message = error.to_string();
            assert!(message.starts_with("`cases.csv`: the "), "{message}");
            assert!(error.hint().contains("export the file again"));
            what
        }
        Err(other) => panic!("{other}"),
        Ok(text) => panic!("{} bytes of text", text.len()),
    }
}

#[test]
fn an_archive_that_is_cut_anywhere_is_refused() {
    for (file, shortest) in [(BY_GZIP, 3), (BY_ZSTD, 4)] {
        for length in shortest..file.len() {
            assert_eq!(fault_of(&file[..length]), "ends too early", "{length}");
            let second = [file, &file[..length]].concat();
            assert_eq!(fault_of(&second), "ends too early", "second, {length}");
        }
    }
    assert_eq!(fault_of(&SKIPPED[..10]), "ends too early");
}

#[test]
fn an_archive_with_other_bytes_is_damaged() {
    for (file, sum_at) in [(BY_GZIP, BY_GZIP.len() - 8), (BY_ZSTD, BY_ZSTD.len() - 4)] {
        let mut wrong_sum = file.to_vec();
        wrong_sum[sum_at] ^= 1;
        assert_eq!(fault_of(&wrong_sum), "is damaged");
        assert_eq!(
            fault_of(&[file, b"Case,Site\n".as_slice()].concat()),
            "is damaged"
        );
    }
}

#[test]
fn a_frame_that_wants_too_much_memory_or_a_dictionary_is_refused() {
    // RFC 8878: descriptor 0 with window descriptor 0x98 asks for 2^(10 + 19) bytes.
    let window = b"\x28\xb5\x2f\xfd\x00\x98\x01\x00\x00";
    assert!(fault_of(window).contains("128 MiB of memory"));
    // Descriptor 1: a dictionary number of one byte follows the window descriptor.
    let dictionary = b"\x28\xb5\x2f\xfd\x01\x00\x07\x01\x00\x00";
    assert!(fault_of(dictionary).contains("dictionary"));
}

#[test]
fn a_fault_beyond_the_sample_comes_while_reading() {
    let text = b"K1,Alder,Food,2026-03-01 10:00\n".repeat(100_000);
    for packed in [gzip(&text), zstd(&text)] {
        assert_eq!(read(&packed, None).unwrap(), text);
        let cut = &packed[..packed.len() - 1];
        let mut input = open(cut, None).unwrap();
        match text_of(&mut input, 64 * 1024) {
            Err(IngestError::DamagedArchive { what, .. }) => assert_eq!(what, "ends too early"),
            _ => panic!("was read"),
        }
        assert_eq!(input.finish().unwrap().0, cut.len() as u64);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn a_changed_byte_is_noticed_or_does_not_matter(
        is_gzip: bool,
        place in 4_usize..51,
        change in 1_u8..,
    ) {
        let mut file = if is_gzip { BY_GZIP } else { BY_ZSTD }.to_vec();
        let place = place.min(file.len() - 1);
        file[place] ^= change;
        if let Ok(text) = read(&file, None) {
            prop_assert!(text == TEXT, "at {}", place);
        }
    }
}
