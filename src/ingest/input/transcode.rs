//! UTF-16 and Windows-1252 → UTF-8, a block at a time. Knows nothing of what is written.
//!
//! What cannot be decoded comes out as 0xFF, never as `?` or U+FFFD, which a cell could not be
//! told from afterwards.

use super::encoding::Encoding;
use encoding_rs::{Decoder, DecoderResult, UTF_16BE, UTF_16LE};
use std::io;
use std::io::Read;

/// Stands for what cannot be decoded. In no UTF-8 text is there such a byte.
pub(super) const UNDECODABLE: u8 = 0xff;

const INPUT_BYTES: usize = 64 * 1024;
/// A buffer with room for some characters of any length, for callers with a smaller one.
const SPILL_BYTES: usize = 64;

/// Decodes what it reads from another reader.
pub(super) struct Transcoder {
    charset: Charset,
    input: Box<[u8]>,
    /// What is read and not yet decoded stands at `start..end` of `input`.
    start: usize,
    end: usize,
    is_last: bool,
    is_finished: bool,
    spill: [u8; SPILL_BYTES],
    spill_start: usize,
    spill_end: usize,
}

enum Charset {
    Utf16(Box<Decoder>),
    Windows1252,
}

impl Transcoder {
    /// `None` where nothing is to be decoded.
    pub(super) fn new(encoding: Encoding) -> Option<Transcoder> {
        let utf16 = |encoding: &'static encoding_rs::Encoding| {
            Charset::Utf16(Box::new(encoding.new_decoder_without_bom_handling()))
        };
        let charset = match encoding {
            Encoding::Utf8 => return None,
            Encoding::Utf16 | Encoding::Utf16Le => utf16(UTF_16LE),
            Encoding::Utf16Be => utf16(UTF_16BE),
            Encoding::Windows1252 => Charset::Windows1252,
        };
        Some(Transcoder {
            charset,
            input: vec![0; INPUT_BYTES].into_boxed_slice(),
            start: 0,
            end: 0,
            is_last: false,
            is_finished: false,
            spill: [0; SPILL_BYTES],
            spill_start: 0,
            spill_end: 0,
        })
    }

    /// Fills the beginning of `output` with the UTF-8 of what `source` holds; 0 at its end.
    pub(super) fn read(&mut self, source: &mut impl Read, output: &mut [u8]) -> io::Result<usize> {
        if self.spill_start == self.spill_end {
            if output.len() >= SPILL_BYTES {
                return self.decode_from(source, output);
            }
            let mut spill = self.spill;
            self.spill_start = 0;
            self.spill_end = 0;
            self.spill_end = self.decode_from(source, &mut spill)?;
            self.spill = spill;
        }
        let length = (&self.spill[self.spill_start..self.spill_end]).read(output)?;
        self.spill_start += length;
        Ok(length)
    }

    fn decode_from(&mut self, source: &mut impl Read, output: &mut [u8]) -> io::Result<usize> {
        let mut written = 0;
        while written == 0 && !self.is_finished {
            if self.start == self.end && !self.is_last {
                self.start = 0;
                self.end = source.read(&mut self.input)?;
                self.is_last = self.end == 0;
            }
            let input = &self.input[self.start..self.end];
            let (read, length) = match &mut self.charset {
                Charset::Windows1252 => {
                    self.is_finished = self.is_last;
                    decode_1252(input, output)
                }
                Charset::Utf16(decoder) => {
                    let (is_finished, read, length) =
                        decode_utf16(decoder, input, self.is_last, output);
                    self.is_finished = is_finished;
                    (read, length)
                }
            };
            self.start += read;
            written = length;
        }
        Ok(written)
    }
}

/// Decodes until the input is used up or the output is full. Whether nothing can follow, bytes
/// read, bytes written.
fn decode_utf16(
    decoder: &mut Decoder,
    input: &[u8],
    is_last: bool,
    output: &mut [u8],
) -> (bool, usize, usize) {
    let mut read = 0;
    let mut written = 0;
    // The last byte is kept for the sign of what cannot be decoded.
    let room = output.len() - 1;
    loop {
        let (result, used, length) = decoder.decode_to_utf8_without_replacement(
            &input[read..],
            &mut output[written..room],
            is_last,
        );
        read += used;
        written += length;
        match result {
            DecoderResult::InputEmpty => return (is_last, read, written),
            DecoderResult::OutputFull => return (false, read, written),
            DecoderResult::Malformed(..) => {
                output[written] = UNDECODABLE;
                written += 1;
                if written > room {
                    return (false, read, written);
                }
            }
        }
    }
}

/// Decodes until the input is used up or the output is full. Bytes read, bytes written.
fn decode_1252(input: &[u8], output: &mut [u8]) -> (usize, usize) {
    let mut read = 0;
    let mut written = 0;
    while read < input.len() {
        let rest = &input[read..];
        let room = &mut output[written..];
        let ascii = encoding_rs::Encoding::ascii_valid_up_to(rest).min(room.len());
        room[..ascii].copy_from_slice(&rest[..ascii]);
        read += ascii;
        written += ascii;
        let Some(byte) = input.get(read) else { break };
        let room = &mut output[written..];
        // No character of Windows-1252 takes more than three bytes.
        if room.len() < 3 {
            break;
        }
        written += if let Some(character) = character_1252(*byte) {
            character.encode_utf8(room).len()
        } else {
            room[0] = UNDECODABLE;
            1
        };
        read += 1;
    }
    (read, written)
}

/// The character of a byte; `None` for the five that have none.
pub(super) fn character_1252(byte: u8) -> Option<char> {
    match byte {
        0x80..=0x9f => HIGH_CONTROLS[usize::from(byte - 0x80)],
        _ => Some(char::from(byte)),
    }
}

/// Where Windows-1252 differs from ISO 8859-1: bytes 0x80 to 0x9F.
/// Equal to the codec `cp1252` of Python, as a test shows.
const HIGH_CONTROLS: [Option<char>; 32] = [
    Some('€'),
    None,
    Some('‚'),
    Some('ƒ'),
    Some('„'),
    Some('…'),
    Some('†'),
    Some('‡'),
    Some('ˆ'),
    Some('‰'),
    Some('Š'),
    Some('‹'),
    Some('Œ'),
    None,
    Some('Ž'),
    None,
    None,
    Some('‘'),
    Some('’'),
    Some('“'),
    Some('”'),
    Some('•'),
    Some('–'),
    Some('—'),
    Some('˜'),
    Some('™'),
    Some('š'),
    Some('›'),
    Some('œ'),
    None,
    Some('ž'),
    Some('Ÿ'),
];
