//! Packed files → the bytes that were packed. Packing is told by the first bytes of a file, never
//! by its name. Knows nothing of text.

use super::source::Source;
use crate::ingest::error::IngestError;
use flate2::bufread::MultiGzDecoder;
use ruzstd::decoding::errors::{FrameDecoderError, ReadFrameHeaderError};
use ruzstd::decoding::{BlockDecodingStrategy, FrameDecoder};
use std::error::Error;
use std::fmt;
use std::io;
use std::io::{BufRead, BufReader, Read};
use std::path::Path;

const PACKED_BUFFER_BYTES: usize = 256 * 1024;

/// Frames that look further back are refused, as the program `zstd` does unless told otherwise.
const MOST_WINDOW_BYTES: u64 = 128 << 20;

/// How a file is packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::ingest) enum Packing {
    /// Not at all.
    Plain,
    /// RFC 1952, any number of members.
    Gzip,
    /// RFC 8878, any number of frames.
    Zstd,
}

impl Packing {
    /// Told by the first bytes of a file.
    pub(super) fn of(head: &[u8]) -> Packing {
        match head {
            [0x1f, 0x8b, 8, ..] => Packing::Gzip,
            // A frame, or one of the frames that a reader shall skip, which may come first.
            [0x28, 0xb5, 0x2f, 0xfd, ..] | [0x50..=0x5f, 0x2a, 0x4d, 0x18, ..] => Packing::Zstd,
            _ => Packing::Plain,
        }
    }

    /// For messages and the manifest.
    pub(in crate::ingest) fn name(self) -> &'static str {
        match self {
            Packing::Plain => "none",
            Packing::Gzip => "gzip",
            Packing::Zstd => "zstd",
        }
    }
}

/// What is wrong with an archive. Travels inside an `io::Error`.
#[derive(Clone, Copy, Debug)]
struct ArchiveFault {
    packing: Packing,
    what: &'static str,
}

const CUT: &str = "ends too early";
const DAMAGED: &str = "is damaged";

impl fmt::Display for ArchiveFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the {} archive {}", self.packing.name(), self.what)
    }
}

impl Error for ArchiveFault {}

/// The error of ingest for an error of `OpenInput::read`.
pub(in crate::ingest) fn read_error(path: &Path, error: io::Error) -> IngestError {
    let fault = error
        .get_ref()
        .and_then(|inner| inner.downcast_ref::<ArchiveFault>());
    match fault {
        Some(fault) => IngestError::DamagedArchive {
            path: path.to_path_buf(),
            packing: fault.packing.name(),
            what: fault.what,
        },
        None => IngestError::unreadable(path, error),
    }
}

/// The content of a file, unpacked as it is read.
pub(super) enum Unpacked {
    Plain(Source),
    Gzip(MultiGzDecoder<BufReader<Source>>),
    Zstd(Box<ZstdFrames>),
}

impl Unpacked {
    pub(super) fn new(source: Source, packing: Packing) -> Unpacked {
        let buffered = |source| BufReader::with_capacity(PACKED_BUFFER_BYTES, source);
        match packing {
            Packing::Plain => Unpacked::Plain(source),
            Packing::Gzip => Unpacked::Gzip(MultiGzDecoder::new(buffered(source))),
            Packing::Zstd => {
                let mut decoder = FrameDecoder::new();
                decoder.set_max_window_size(MOST_WINDOW_BYTES);
                Unpacked::Zstd(Box::new(ZstdFrames {
                    source: buffered(source),
                    decoder,
                    is_inside: false,
                }))
            }
        }
    }

    pub(super) fn source(&self) -> &Source {
        match self {
            Unpacked::Plain(source) => source,
            Unpacked::Gzip(decoder) => decoder.get_ref().get_ref(),
            Unpacked::Zstd(frames) => frames.source.get_ref(),
        }
    }

    pub(super) fn into_source(self) -> Source {
        match self {
            Unpacked::Plain(source) => source,
            Unpacked::Gzip(decoder) => decoder.into_inner().into_inner(),
            Unpacked::Zstd(frames) => frames.source.into_inner(),
        }
    }
}

impl Read for Unpacked {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        match self {
            Unpacked::Plain(source) => source.read(buffer),
            Unpacked::Gzip(decoder) => decoder
                .read(buffer)
                .map_err(|error| archive_error(Packing::Gzip, error)),
            Unpacked::Zstd(frames) if buffer.is_empty() => frames.source.read(buffer),
            Unpacked::Zstd(frames) => frames.read(buffer),
        }
    }
}

/// All frames of a zstd file, one after the other, their checksums compared.
pub(super) struct ZstdFrames {
    source: BufReader<Source>,
    decoder: FrameDecoder,
    /// Whether a frame has begun that is not read to its end.
    is_inside: bool,
}

impl ZstdFrames {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        loop {
            if !self.is_inside {
                if self.source.fill_buf()?.is_empty() {
                    return Ok(0);
                }
                self.begin_frame()?;
            } else if self.decoder.can_collect() > 0 {
                return self.decoder.read(buffer);
            } else if self.decoder.is_finished() {
                let written = self.decoder.get_checksum_from_data();
                if written.is_some() && written != self.decoder.get_calculated_checksum() {
                    return Err(fault(Packing::Zstd, DAMAGED));
                }
                self.is_inside = false;
            } else {
                self.decoder
                    .decode_blocks(&mut self.source, BlockDecodingStrategy::UptoBlocks(1))
                    .map_err(zstd_error)?;
            }
        }
    }

    fn begin_frame(&mut self) -> io::Result<()> {
        match self.decoder.reset(&mut self.source) {
            Ok(()) => {
                self.is_inside = true;
                Ok(())
            }
            Err(FrameDecoderError::ReadFrameHeaderError(ReadFrameHeaderError::SkipFrame {
                length,
                ..
            })) => {
                let length = u64::from(length);
                let mut skipped = self.source.by_ref().take(length);
                if io::copy(&mut skipped, &mut io::sink())? == length {
                    Ok(())
                } else {
                    Err(fault(Packing::Zstd, CUT))
                }
            }
            Err(error) => Err(zstd_error(error)),
        }
    }
}

fn fault(packing: Packing, what: &'static str) -> io::Error {
    io::Error::other(ArchiveFault { packing, what })
}

fn zstd_error(error: FrameDecoderError) -> io::Error {
    match error {
        FrameDecoderError::WindowSizeTooBig { .. } => fault(
            Packing::Zstd,
            "needs more than 128 MiB of memory to be unpacked",
        ),
        FrameDecoderError::DictNotProvided { .. } => {
            fault(Packing::Zstd, "was packed with a dictionary")
        }
        other => archive_error(Packing::Zstd, io::Error::other(other)),
    }
}

/// Tells an archive that is cut off from one that is damaged, and both from a file that the system
/// cannot read, whose error is passed on.
fn archive_error(packing: Packing, error: io::Error) -> io::Error {
    if error.raw_os_error().is_some() {
        return error;
    }
    if error.kind() == io::ErrorKind::UnexpectedEof {
        return fault(packing, CUT);
    }
    let mut what = DAMAGED;
    let mut cause = error.get_ref().map(|inner| inner as &(dyn Error + 'static));
    while let Some(inner) = cause {
        if let Some(inner) = inner.downcast_ref::<io::Error>() {
            if let Some(code) = inner.raw_os_error() {
                return io::Error::from_raw_os_error(code);
            }
            if inner.kind() == io::ErrorKind::UnexpectedEof {
                what = CUT;
            }
        }
        cause = inner.source();
    }
    fault(packing, what)
}
