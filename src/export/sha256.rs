//! SHA-256 of inputs and definitions, by which a reader can tell whether theirs are the same.
//!
//! Knows no file; reads what it is given.

use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use std::io::{self, Read};

/// SHA-256 of everything that `reader` gives, in lowercase hexadecimal.
///
/// # Errors
/// When reading fails.
pub fn sha256_hex(reader: impl Read) -> io::Result<String> {
    size_and_sha256(reader).map(|(_, sha256)| sha256)
}

/// Size and SHA-256 of everything that `reader` gives.
///
/// # Errors
/// When reading fails.
pub(super) fn size_and_sha256(mut reader: impl Read) -> io::Result<(u64, String)> {
    let mut hasher = Sha256::new();
    let mut buffer = vec![0; 1 << 16];
    let mut bytes = 0;
    loop {
        match reader.read(&mut buffer) {
            Ok(0) => return Ok((bytes, hexadecimal(hasher))),
            Ok(length) => {
                hasher.update(&buffer[..length]);
                bytes += length as u64;
            }
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}

/// SHA-256 of a text, in lowercase hexadecimal.
pub fn sha256_of_text(text: &str) -> String {
    hexadecimal(Sha256::new_with_prefix(text))
}

fn hexadecimal(hasher: Sha256) -> String {
    let mut text = String::with_capacity(64);
    for byte in hasher.finalize() {
        write!(text, "{byte:02x}").expect("a String takes any text");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hashes_match_the_published_examples() {
        // FIPS 180-2, appendix B.1 and B.3; the empty message from NIST's example values.
        let empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855";
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let million_a = "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0";
        assert_eq!(sha256_hex(&b""[..]).unwrap(), empty);
        assert_eq!(sha256_hex(&b"abc"[..]).unwrap(), abc);
        let long = io::repeat(b'a').take(1_000_000);
        assert_eq!(
            size_and_sha256(long).unwrap(),
            (1_000_000, million_a.to_owned())
        );
        assert_eq!(sha256_of_text("abc"), abc);
    }

    #[test]
    fn a_reader_that_fails_is_an_error_and_one_that_is_interrupted_goes_on() {
        struct Interrupted(u8);
        impl Read for Interrupted {
            fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
                self.0 += 1;
                match self.0 {
                    1 => Err(io::ErrorKind::Interrupted.into()),
                    2 => {
                        buffer[..3].copy_from_slice(b"abc");
                        Ok(3)
                    }
                    3 => Ok(0),
                    _ => Err(io::ErrorKind::PermissionDenied.into()),
                }
            }
        }
        assert!(sha256_hex(Interrupted(0)).unwrap().starts_with("ba7816bf"));
        assert!(sha256_hex(Interrupted(3)).is_err());
    }
}
