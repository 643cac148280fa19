//! Parquet files that are read back: opened, with one error for whatever is wrong with the file itself.
//!
//! Knows nothing of what the files hold.

use arrow::array::RecordBatch;
use arrow::error::ArrowError;
use parquet::arrow::arrow_reader::{ParquetRecordBatchReader, ParquetRecordBatchReaderBuilder};
use parquet::errors::ParquetError;
use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};

/// A file that cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum ParquetFileError {
    /// The file is not there or cannot be read.
    #[error("cannot open `{}`", path.display())]
    Open {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// The file is not Parquet.
    #[error("`{}` is not a readable Parquet file", path.display())]
    Parquet {
        /// The file.
        path: PathBuf,
        /// Why.
        source: ParquetError,
    },
    /// The file is damaged.
    #[error("`{}` is damaged", path.display())]
    Damaged {
        /// The file.
        path: PathBuf,
        /// Why.
        source: ArrowError,
    },
}

/// Opens a file, of which it is still to be said what is read.
pub(super) fn open(path: &Path) -> Result<ParquetRecordBatchReaderBuilder<File>, ParquetFileError> {
    let file = File::open(path).map_err(|source| ParquetFileError::Open {
        path: path.to_owned(),
        source,
    })?;
    ParquetRecordBatchReaderBuilder::try_new(file).map_err(no_parquet(path))
}

fn no_parquet(path: &Path) -> impl Fn(ParquetError) -> ParquetFileError {
    move |source| ParquetFileError::Parquet {
        path: path.to_owned(),
        source,
    }
}

/// The rows of an open file, batch by batch.
pub(super) struct Batches {
    path: PathBuf,
    reader: ParquetRecordBatchReader,
}

impl Batches {
    /// Those of `builder`, which was opened at `path`.
    pub(super) fn new(
        path: &Path,
        builder: ParquetRecordBatchReaderBuilder<File>,
    ) -> Result<Batches, ParquetFileError> {
        Ok(Batches {
            path: path.to_owned(),
            reader: builder.build().map_err(no_parquet(path))?,
        })
    }

    /// All rows and columns of a file.
    pub(super) fn of(path: &Path) -> Result<Batches, ParquetFileError> {
        Batches::new(path, open(path)?)
    }
}

impl Iterator for Batches {
    type Item = Result<RecordBatch, ParquetFileError>;

    fn next(&mut self) -> Option<Self::Item> {
        let batch = self.reader.next()?;
        Some(batch.map_err(|source| ParquetFileError::Damaged {
            path: self.path.clone(),
            source,
        }))
    }
}
