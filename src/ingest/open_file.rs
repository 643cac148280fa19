//! One file of an export, from its first bytes to its last row.

use super::block_rows::RowReader;
use super::blocks::{Block, BlockFault, Blocks};
use super::dialect::{SAMPLE_BYTES, Sample};
use super::error::IngestError;
use super::input::{InputFacts, OpenInput, read_error};
use super::mapping::ExportForm;
use super::parsed::ParsedBlock;
use super::pipeline;
use super::plan::FilePlan;
use super::run::{Advance, Inputs};
use crate::domain::fields::Field;
use std::io::{self, Cursor, Read};
use std::path::Path;

/// A file whose first bytes have been read.
pub(super) struct OpenFile<'a> {
    path: &'a Path,
    input: OpenInput,
    sample: Vec<u8>,
    is_whole: bool,
    inputs: &'a Inputs<'a>,
}

/// A file that has been read to its end.
pub(super) struct EndedFile {
    pub(super) facts: InputFacts,
    pub(super) bytes: u64,
    pub(super) sha256: Option<String>,
}

impl<'a> OpenFile<'a> {
    /// Opens a file and reads its first bytes.
    pub(super) fn open(
        path: &'a Path,
        form: &ExportForm,
        inputs: &'a Inputs<'a>,
    ) -> Result<OpenFile<'a>, IngestError> {
        let mut input = OpenInput::open(path, form.encoding, inputs.wants_hashes)?;
        let mut sample = Vec::new();
        input
            .by_ref()
            .take(SAMPLE_BYTES as u64)
            .read_to_end(&mut sample)
            .map_err(|error| read_error(path, error))?;
        Ok(OpenFile {
            path,
            is_whole: sample.len() < SAMPLE_BYTES,
            input,
            sample,
            inputs,
        })
    }

    /// The first bytes.
    pub(super) fn sample(&self) -> Sample<'_> {
        Sample {
            path: self.path,
            bytes: &self.sample,
            is_whole: self.is_whole,
        }
    }

    /// Reads every row.
    pub(super) fn run<F: Field>(
        self,
        plan: &FilePlan<'_, F>,
        parse: impl Fn(&mut RowReader, &Block) -> ParsedBlock + Sync,
        mut merge: impl FnMut(ParsedBlock),
    ) -> Result<EndedFile, IngestError> {
        let OpenFile {
            path,
            input,
            mut sample,
            inputs,
            ..
        } = self;
        let facts = input.facts();
        let rows = Cursor::new(sample.split_off(plan.dialect.rows_offset));
        let mut told = input.bytes_read();
        (inputs.progress)(Advance::Bytes(told));
        let rest = Watched {
            input,
            told: &mut told,
            progress: inputs.progress,
        };
        let blocks = Blocks::new(rows.chain(rest), plan.grammar(), plan.dialect.rows_line);
        let worker = || {
            let mut buffers = RowReader::new(plan.grammar());
            let parse = &parse;
            move |block: &Block| parse(&mut buffers, block)
        };
        let told_of_rows = |block: ParsedBlock| {
            (inputs.progress)(Advance::Rows(block.rows.len() as u64));
            merge(block);
        };
        let source =
            pipeline::run(blocks, inputs.threads, worker, told_of_rows).map_err(|fault| {
                let path = path.to_path_buf();
                match fault {
                    BlockFault::Unreadable(error) => read_error(&path, error),
                    BlockFault::UnclosedQuote { line_number } => {
                        IngestError::UnclosedQuote { path, line_number }
                    }
                    BlockFault::EndlessRow { line_number } => {
                        IngestError::EndlessRow { path, line_number }
                    }
                }
            })?;
        let (bytes, sha256) = source.into_inner().1.input.finish()?;
        Ok(EndedFile {
            facts,
            bytes,
            sha256,
        })
    }
}

/// An input that tells how far it has been read.
struct Watched<'a> {
    input: OpenInput,
    told: &'a mut u64,
    progress: &'a (dyn Fn(Advance) + Sync),
}

impl Read for Watched<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let length = self.input.read(buffer)?;
        let read = self.input.bytes_read();
        (self.progress)(Advance::Bytes(read - *self.told));
        *self.told = read;
        Ok(length)
    }
}
