//! From what was typed to a stream of UTF-8 bytes: file patterns, standard input, packing and
//! encoding. Knows nothing of separators, rows or cells.

mod encoding;
mod expand;
mod foreign;
mod packing;
mod source;
#[cfg(test)]
mod tests;
mod transcode;

pub(super) use encoding::{Encoding, EncodingOrigin};
use expand::STANDARD_INPUT;
pub use expand::expand;
pub(super) use packing::{Packing, read_error};

use super::error::IngestError;
use packing::Unpacked;
use source::Source;
use std::fs::File;
use std::io;
use std::io::Read;
use std::path::{Path, PathBuf};
use transcode::Transcoder;

/// How many bytes the detection of the encoding looks at.
const SAMPLE_BYTES: u64 = 1 << 20;

/// What was found out about a file when it was opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct InputFacts {
    /// How the file is packed.
    pub(super) packing: Packing,
    /// How its text is written; never `Utf16`, since the order of the bytes is settled by now.
    pub(super) encoding: Encoding,
    /// Whether the text begins with a byte-order mark, which is not passed on.
    pub(super) has_mark: bool,
    /// Why it is read in this encoding.
    pub(super) origin: EncodingOrigin,
}

/// An open file, read once from its first byte to its last. Yields UTF-8 without byte-order mark.
///
/// What cannot be decoded comes out as the single byte 0xFF, and invalid UTF-8 in a UTF-8 file as
/// it stands: neither is UTF-8, so the cell that holds it is found out where it is read.
pub(super) struct OpenInput {
    path: PathBuf,
    facts: InputFacts,
    text: Text,
    /// `None` for UTF-8, whose bytes are passed on as they are.
    transcoder: Option<Transcoder>,
}

impl OpenInput {
    /// Opens a file, or standard input for `-`, and finds out its packing and its encoding.
    ///
    /// `encoding` is what the mapping says; a byte-order mark overrules it, since it is proof.
    /// Refuses directories, damaged archives, and files that are no CSV at all.
    pub(super) fn open(
        path: &Path,
        encoding: Option<Encoding>,
        wants_hash: bool,
    ) -> Result<OpenInput, IngestError> {
        let source: Box<dyn Read + Send> = if path == Path::new(STANDARD_INPUT) {
            Box::new(io::stdin())
        } else {
            let unreadable = |source| IngestError::unreadable(path, source);
            let file = File::open(path).map_err(unreadable)?;
            if file.metadata().map_err(unreadable)?.is_dir() {
                return Err(unreadable(io::Error::new(
                    io::ErrorKind::IsADirectory,
                    "it is a directory",
                )));
            }
            Box::new(file)
        };
        OpenInput::from_source(path, source, encoding, wants_hash)
    }

    fn from_source(
        path: &Path,
        source: Box<dyn Read + Send>,
        encoding: Option<Encoding>,
        wants_hash: bool,
    ) -> Result<OpenInput, IngestError> {
        let failed = |error| read_error(path, error);
        let mut source = Source::new(source, wants_hash);
        let head = source.peek().map_err(failed)?;
        foreign::check(path, head)?;
        let packing = Packing::of(head);
        let mut unpacked = Unpacked::new(source, packing);
        let mut sample = Vec::new();
        unpacked
            .by_ref()
            .take(SAMPLE_BYTES)
            .read_to_end(&mut sample)
            .map_err(failed)?;
        if packing != Packing::Plain {
            foreign::check_unpacked(path, &sample)?;
        }
        let is_whole = (sample.len() as u64) < SAMPLE_BYTES;
        let (encoding, origin, mark) = encoding::of_text(&sample, is_whole, encoding);
        let transcoder = Transcoder::new(encoding);
        foreign::check_text(path, &sample[mark..], encoding)?;
        Ok(OpenInput {
            path: path.to_path_buf(),
            facts: InputFacts {
                packing,
                encoding,
                has_mark: mark > 0,
                origin,
            },
            text: Text {
                sample,
                sample_at: mark,
                unpacked,
            },
            transcoder,
        })
    }

    pub(super) fn facts(&self) -> InputFacts {
        self.facts
    }

    /// How many bytes of the file as it lies on disk have been read, for a progress bar.
    pub(super) fn bytes_read(&self) -> u64 {
        self.text.unpacked.source().bytes_read()
    }

    /// Reads what is left. Bytes of the file as it lies on disk, and their SHA-256 in hexadecimal
    /// if it was asked for.
    pub(super) fn finish(self) -> Result<(u64, Option<String>), IngestError> {
        self.text
            .unpacked
            .into_source()
            .finish()
            .map_err(|error| read_error(&self.path, error))
    }
}

impl Read for OpenInput {
    /// Errors are made into those of ingest by `read_error`.
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match &mut self.transcoder {
            Some(transcoder) => transcoder.read(&mut self.text, buffer),
            None => self.text.read(buffer),
        }
    }
}

/// Text, unpacked and not decoded.
struct Text {
    /// The first bytes, read in advance, of which `sample_at` are passed on.
    sample: Vec<u8>,
    sample_at: usize,
    unpacked: Unpacked,
}

impl Read for Text {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.sample_at < self.sample.len() {
            let length = (&self.sample[self.sample_at..]).read(buffer)?;
            self.sample_at += length;
            return Ok(length);
        }
        self.sample = Vec::new();
        self.sample_at = 0;
        self.unpacked.read(buffer)
    }
}
