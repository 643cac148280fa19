//! The typed records as files below `internal/records`, written while the rows are read.

use super::outputs::write_table;
use crate::domain::exposure::Exposure;
use crate::domain::fields::{CaseField, PassField};
use crate::export::directory::OutputDirectory;
use crate::export::records::{RecordsWriter, observed_tables};
use crate::export::table::{Format, TableError};
use arrow::array::RecordBatch;
use std::fs::File;

/// Where the records of a run stand.
pub(super) const FOLDER: &str = "internal/records";

/// The files of cases and of passes.
pub(super) struct RecordFiles {
    cases: RecordsWriter<File>,
    passes: RecordsWriter<File>,
    /// Why they could not be written; told at the end, as nobody can be told while rows are read.
    fault: Option<TableError>,
}

impl RecordFiles {
    /// Creates both files.
    ///
    /// # Errors
    /// When they cannot be written.
    pub(super) fn create(directory: &mut OutputDirectory) -> anyhow::Result<RecordFiles> {
        let mut open = |kind: &str| directory.open(&format!("{FOLDER}/{kind}.parquet"));
        Ok(RecordFiles {
            cases: RecordsWriter::new::<CaseField>(open("cases")?)?,
            passes: RecordsWriter::new::<PassField>(open("passes")?)?,
            fault: None,
        })
    }

    /// Adds cases and their passes, which stand in the order of their cases.
    pub(super) fn add(&mut self, cases: &RecordBatch, passes: Option<&RecordBatch>) {
        if self.fault.is_none() {
            let written = self.cases.write(cases);
            let written = written.and_then(|()| match passes {
                Some(passes) => self.passes.write(passes),
                None => Ok(()),
            });
            self.fault = written.err();
        }
    }

    /// Ends both files, and writes the observed time beside them.
    ///
    /// # Errors
    /// When something cannot be written.
    pub(super) fn finish(
        self,
        directory: &mut OutputDirectory,
        exposure: &Exposure,
    ) -> anyhow::Result<()> {
        if let Some(fault) = self.fault {
            return Err(fault.into());
        }
        self.cases.finish()?;
        self.passes.finish()?;
        for table in observed_tables(exposure)? {
            write_table(directory, FOLDER, &table, &[Format::Parquet])?;
        }
        Ok(())
    }
}
