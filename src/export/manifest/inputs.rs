//! The files that a run read, and how.

use super::Rows;
use crate::domain::file_facts::FileFacts;
use crate::export::sha256::size_and_sha256;
use serde::Serialize;
use std::io::{self, Read};

/// One input file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Input {
    /// What it was read as: `cases`, `passes`, `mapping`, `counts`.
    pub role: String,
    /// File name without directory.
    pub file: String,
    /// Size.
    pub bytes: u64,
    /// SHA-256 in lowercase hexadecimal.
    pub sha256: String,
    /// How an export was read; `None` for other files.
    pub read_as: Option<ReadAs>,
}

/// How an export was read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReadAs {
    /// `none`, `gzip` or `zstd`.
    pub packing: &'static str,
    /// Name of the encoding.
    pub encoding: &'static str,
    /// `given`, `mark` or `found`.
    pub encoding_from: &'static str,
    /// What stands between two cells.
    pub separator: char,
    /// `given`, `sep line` or `found`.
    pub separator_from: &'static str,
    /// What ends the lines.
    pub line_ends: &'static str,
    /// Line of the header, from 1.
    pub header_line: u64,
    /// Lines above the header.
    pub lines_before_header: u64,
    /// Lines that the header takes.
    pub header_rows: usize,
    /// Columns of the header.
    pub columns: usize,
    /// Of these, columns that have a field.
    pub columns_mapped: usize,
    /// Of these, columns that the mapping drops by name.
    pub columns_dropped: usize,
    /// How the times of each field are written.
    pub times: Vec<ReadTime>,
    /// What stands before decimals.
    pub decimal_mark: char,
    /// What became of the rows of this file.
    pub rows: Rows,
}

/// How the times of one field are written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReadTime {
    /// Our name of the field.
    pub field: &'static str,
    /// The form in `strptime` words.
    pub format: String,
    /// `cells` when these allow no other form, `given` when the mapping said so.
    pub format_from: &'static str,
}

impl Input {
    /// Reads an input to its end for its size and its SHA-256.
    ///
    /// # Errors
    /// When reading fails.
    pub fn read(role: &str, file: &str, reader: impl Read) -> io::Result<Input> {
        let (bytes, sha256) = size_and_sha256(reader)?;
        Ok(Input {
            role: role.to_owned(),
            file: file.to_owned(),
            bytes,
            sha256,
            read_as: None,
        })
    }
}

impl From<&FileFacts> for ReadAs {
    fn from(facts: &FileFacts) -> ReadAs {
        ReadAs {
            packing: facts.packing,
            encoding: facts.encoding,
            encoding_from: facts.encoding_from,
            separator: facts.separator,
            separator_from: facts.separator_from,
            line_ends: facts.line_ends,
            header_line: facts.header_line,
            lines_before_header: facts.lines_before_header,
            header_rows: facts.header_rows,
            columns: facts.columns,
            columns_mapped: facts.columns_mapped,
            columns_dropped: facts.columns_dropped,
            times: facts
                .times
                .iter()
                .map(|time| ReadTime {
                    field: time.field,
                    format: time.format.clone(),
                    format_from: if time.is_proved { "cells" } else { "given" },
                })
                .collect(),
            decimal_mark: facts.decimal_mark,
            rows: facts.rows.into(),
        }
    }
}
