//! The typed records and the observed time as Parquet, so that another engine can do the counting.
//!
//! These files hold rows of cases: they stand below `internal/` and never leave the premises. Knows
//! the columns of the records, and nothing of what any of them means.

pub mod read;

use super::columns::{batch, text, whole};
use super::table::{Table, TableError, properties};
use crate::domain::exposure::Exposure;
use crate::domain::fields::Field;
use crate::records::{schema, written_out};
use arrow::array::RecordBatch;
use parquet::arrow::ArrowWriter;
use parquet::file::metadata::KeyValue;
use std::io::Write;

/// Rows that are written and read at once, so that neither takes memory for all.
const ROWS_AT_ONCE: usize = 1 << 17;

/// The note in a file of passes that they stand in the order of their cases.
const PASSES_IN_ORDER: &str = "scopetally.passes_in_order_of_cases";

/// The records of one kind on their way into a Parquet file with every column of the kind, also
/// without a record.
pub struct RecordsWriter<W: Write + Send> {
    parquet: ArrowWriter<W>,
}

impl<W: Write + Send> RecordsWriter<W> {
    /// A file without a record yet. Passes must come in the order of their cases, as the file will say.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn new<F: Field>(writer: W) -> Result<RecordsWriter<W>, TableError> {
        // Spark cannot read a file with a note that has no value.
        let note = KeyValue::new(PASSES_IN_ORDER.to_owned(), "yes".to_owned());
        let properties = properties()
            .set_max_row_group_row_count(Some(ROWS_AT_ONCE))
            .set_key_value_metadata(Some(vec![note]));
        let parquet = ArrowWriter::try_new(writer, schema::<F>(), Some(properties.build()))?;
        Ok(RecordsWriter { parquet })
    }

    /// Adds records.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn write(&mut self, records: &RecordBatch) -> Result<(), TableError> {
        Ok(self.parquet.write(&written_out(records))?)
    }

    /// Ends the file.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn finish(self) -> Result<(), TableError> {
        self.parquet.close()?;
        Ok(())
    }
}

/// The observed time: `observed` by site, month and shift, and `observed_hours` by site, month and hour
/// of the week.
///
/// # Errors
/// When a number of minutes does not fit INT64.
pub fn observed_tables(exposure: &Exposure) -> Result<[Table; 2], TableError> {
    let cells = || exposure.by_shift.iter();
    let by_shift = batch(vec![
        text("site", "site", cells().map(|(cell, _)| &cell.site)),
        text(
            "month",
            "month as YYYY-MM",
            cells().map(|(cell, _)| cell.month.to_string()),
        ),
        text("shift", "shift", cells().map(|(cell, _)| cell.shift.code())),
        whole(
            "minutes",
            "observed time",
            "minutes",
            cells().map(|(_, minutes)| *minutes),
        )?,
    ]);
    let mut watched: Vec<_> = cells().map(|(cell, _)| (&cell.site, cell.month)).collect();
    watched.dedup();
    let hours: Vec<_> = watched
        .iter()
        .flat_map(|(site, month)| {
            let of_month = exposure.by_hour.iter();
            let of_month = of_month.filter(move |(hour, _)| hour.month == *month);
            of_month.map(move |(hour, minutes)| (*site, hour, *minutes))
        })
        .collect();
    let by_hour = batch(vec![
        text("site", "site", hours.iter().map(|(site, ..)| *site)),
        text(
            "month",
            "month as YYYY-MM",
            hours.iter().map(|(_, hour, _)| hour.month.to_string()),
        ),
        text(
            "weekday",
            "day of the week",
            hours.iter().map(|(_, hour, _)| hour.weekday.code()),
        ),
        whole(
            "hour",
            "hour on the clock, 0 to 23",
            "",
            hours.iter().map(|(_, hour, _)| hour.hour),
        )?,
        whole(
            "minutes",
            "observed time",
            "minutes",
            hours.iter().map(|(_, _, minutes)| *minutes),
        )?,
    ]);
    Ok([
        Table {
            name: "observed",
            batch: by_shift,
        },
        Table {
            name: "observed_hours",
            batch: by_hour,
        },
    ])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::codes::{Shift, Weekday};
    use crate::domain::exposure::{ExposureCell, WeekHour};
    use crate::domain::fields::{CaseField, PassField};
    use crate::export::table::Format;
    use parquet::arrow::arrow_reader::ParquetRecordBatchReaderBuilder;

    #[test]
    fn a_file_without_a_record_has_every_column() {
        fn columns<F: Field>() -> usize {
            let file = tempfile::NamedTempFile::new().expect("a file");
            let writer = RecordsWriter::new::<F>(file.reopen().expect("opened"));
            writer.and_then(RecordsWriter::finish).expect("written");
            let opened = std::fs::File::open(file.path()).expect("opened");
            let reader = ParquetRecordBatchReaderBuilder::try_new(opened).expect("Parquet");
            assert_eq!(reader.metadata().file_metadata().num_rows(), 0);
            reader.schema().fields().len()
        }
        assert_eq!(columns::<CaseField>(), CaseField::ALL.len());
        assert_eq!(columns::<PassField>(), PassField::ALL.len());
    }

    #[test]
    fn hours_of_the_week_are_told_once_for_each_site_of_the_month() {
        let month = |text: &str| text.parse().expect("a month");
        let mut exposure = Exposure::new();
        for (site, text) in [
            ("Alder", "2026-01"),
            ("Birch", "2026-01"),
            ("Alder", "2026-02"),
        ] {
            for (shift, minutes) in Shift::ALL.iter().zip([40, 20]) {
                let cell = ExposureCell {
                    site: site.to_owned(),
                    month: month(text),
                    shift: *shift,
                };
                exposure.by_shift.insert(cell, minutes);
            }
        }
        for (text, minutes) in [("2026-01", 240), ("2026-02", 300)] {
            let hour = WeekHour {
                month: month(text),
                weekday: Weekday::Monday,
                hour: 7,
            };
            exposure.by_hour.insert(hour, minutes);
        }
        let csv = observed_tables(&exposure)
            .expect("tables")
            .map(|table| table.encode(Format::Csv).expect("text"))
            .map(|bytes| String::from_utf8(bytes).expect("text"));
        assert_eq!(
            csv[0],
            "site,month,shift,minutes\nAlder,2026-01,in_hours,40\nAlder,2026-01,after_hours,20\n\
             Alder,2026-02,in_hours,40\nAlder,2026-02,after_hours,20\n\
             Birch,2026-01,in_hours,40\nBirch,2026-01,after_hours,20\n"
        );
        assert_eq!(
            csv[1],
            "site,month,weekday,hour,minutes\nAlder,2026-01,mon,7,240\nAlder,2026-02,mon,7,300\n\
             Birch,2026-01,mon,7,240\n"
        );
    }
}
