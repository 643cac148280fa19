//! What one export turned out to be: how it was packed and written, which columns it has, and what
//! became of its rows. Printed by `check` and kept in `run.json`, so that nobody has to guess how a
//! file was read. Nothing here holds the content of a cell or a heading of the export.

use super::accounting::Accounting;
use super::issue::Source;

/// How one file was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileFacts {
    /// Cases or passes.
    pub source: Source,
    /// Size on disk, packed where it is packed.
    pub bytes: u64,
    /// SHA-256 of these bytes in lowercase hexadecimal; `None` when it was not computed on the way.
    pub sha256: Option<String>,
    /// `none`, `gzip` or `zstd`.
    pub packing: &'static str,
    /// Name of the encoding: `UTF-8`, `UTF-16LE`, `windows-1252` and so on.
    pub encoding: &'static str,
    /// Who says so: `given` by the mapping, a `mark` at the start of the file, or `found` in it.
    pub encoding_from: &'static str,
    /// What stands between two cells.
    pub separator: char,
    /// Who says so: `given` by the mapping, a `sep line`, or `found` in the file.
    pub separator_from: &'static str,
    /// `LF`, `CRLF`, `CR` or `mixed`.
    pub line_ends: &'static str,
    /// Line of the header, from 1.
    pub header_line: u64,
    /// Lines above the header that belong to no row, such as a title.
    pub lines_before_header: u64,
    /// Lines that the header takes, usually 1.
    pub header_rows: usize,
    /// Columns of the header.
    pub columns: usize,
    /// Of these, columns that the mapping gives a field.
    pub columns_mapped: usize,
    /// Of these, columns that the mapping drops by name. The rest is read over.
    pub columns_dropped: usize,
    /// How each time is written, in the order of the fields.
    pub times: Vec<TimeForm>,
    /// What stands before the decimals of a number: `.` or `,`.
    pub decimal_mark: char,
    /// What became of the rows of this file.
    pub rows: Accounting,
}

/// How the times of one field are written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TimeForm {
    /// Our name of the field.
    pub field: &'static str,
    /// The form in `strptime` words.
    pub format: String,
    /// Whether the cells themselves allow no other form; the mapping gave it otherwise.
    pub is_proved: bool,
}
