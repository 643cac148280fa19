//! The bytes of a file as they lie on disk: counted and hashed as they pass, the first of them
//! shown in advance. Knows nothing of what they mean.

use sha2::{Digest, Sha256};
use std::fmt::Write;
use std::io;
use std::io::Read;

/// How many bytes are shown in advance: enough for the marks of every kind of file that is known.
pub(super) const PEEKED_BYTES: usize = 4096;

/// A file that is read once.
pub(super) struct Source {
    inner: Box<dyn Read + Send>,
    /// The first bytes, read in advance, of which `head_at` are passed on.
    head: Vec<u8>,
    head_at: usize,
    bytes_read: u64,
    hasher: Option<Sha256>,
}

impl Source {
    pub(super) fn new(inner: Box<dyn Read + Send>, wants_hash: bool) -> Source {
        Source {
            inner,
            head: Vec::new(),
            head_at: 0,
            bytes_read: 0,
            hasher: wants_hash.then(Sha256::new),
        }
    }

    /// The first bytes, which stay to be read. Only before the first `read`.
    pub(super) fn peek(&mut self) -> io::Result<&[u8]> {
        let mut head = vec![0; PEEKED_BYTES];
        let mut filled = 0;
        while filled < head.len() {
            match self.read_inner(&mut head[filled..])? {
                0 => break,
                length => filled += length,
            }
        }
        head.truncate(filled);
        self.head = head;
        Ok(&self.head)
    }

    /// How many bytes have been read from the file.
    pub(super) fn bytes_read(&self) -> u64 {
        self.bytes_read
    }

    /// Reads what is left; the size of the file and its hash in hexadecimal.
    pub(super) fn finish(mut self) -> io::Result<(u64, Option<String>)> {
        let mut buffer = vec![0; 64 * 1024];
        while self.read_inner(&mut buffer)? > 0 {}
        let sha256 = self.hasher.map(|hasher| {
            let mut text = String::with_capacity(64);
            for byte in hasher.finalize() {
                write!(text, "{byte:02x}").expect("a string takes any text");
            }
            text
        });
        Ok((self.bytes_read, sha256))
    }

    fn read_inner(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let length = loop {
            match self.inner.read(buffer) {
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                other => break other?,
            }
        };
        self.bytes_read += length as u64;
        if let Some(hasher) = &mut self.hasher {
            hasher.update(&buffer[..length]);
        }
        Ok(length)
    }
}

impl Read for Source {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.head_at < self.head.len() {
            let length = (&self.head[self.head_at..]).read(buffer)?;
            self.head_at += length;
            return Ok(length);
        }
        self.read_inner(buffer)
    }
}
