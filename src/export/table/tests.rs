use super::*;
use crate::export::columns::{batch, flag, number, optional_text, optional_whole};
use arrow::array::Int32Array;
use arrow::datatypes::Field;
use arrow::ipc::reader::FileReader;
use parquet::arrow::arrow_reader::ParquetRecordBatchReaderBuilder;
use proptest::prelude::*;
use std::fs::File;
use std::io::Cursor;
use std::sync::Arc;

type Row = (Option<String>, Option<i64>, Option<f64>, bool);

fn table(rows: &[Row]) -> Table {
    let rows = || rows.iter();
    Table {
        name: "sample",
        batch: batch(vec![
            optional_text("text", "a text", rows().map(|row| row.0.clone())),
            optional_whole("whole", "a whole number", "cases", rows().map(|row| row.1)).unwrap(),
            number("number", "a number", "hours", rows().map(|row| row.2)),
            flag("flag", "yes or no", rows().map(|row| row.3)),
        ]),
    }
}

fn csv_of(table: &Table) -> String {
    String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap()
}

fn parquet_reader(bytes: &[u8]) -> ParquetRecordBatchReaderBuilder<File> {
    let mut file = tempfile::tempfile().unwrap();
    file.write_all(bytes).unwrap();
    ParquetRecordBatchReaderBuilder::try_new(file).unwrap()
}

#[test]
fn csv_quotes_only_where_needed_and_ends_lines_with_a_line_feed() {
    let rows = [
        (Some("plain".into()), Some(-3), Some(0.1), true),
        (Some("a,b".into()), None, None, false),
        (Some("say \"so\"\nthen".into()), Some(0), Some(-1e-9), true),
        (None, Some(i64::MAX), Some(30.0), false),
    ];
    assert_eq!(
        csv_of(&table(&rows)),
        "text,whole,number,flag\n\
         plain,-3,0.1,true\n\
         \"a,b\",,,false\n\
         \"say \"\"so\"\"\nthen\",0,-0.000000001,true\n\
         ,9223372036854775807,30,false\n"
    );
}

#[test]
fn csv_defuses_formulas_in_texts_but_leaves_negative_numbers() {
    for start in ["=", "+", "-", "@", "\t", "\r"] {
        let row = (Some(format!("{start}cmd")), Some(-1), Some(-1.5), true);
        let text = csv_of(&table(&[row]));
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let record = reader.records().next().unwrap().unwrap();
        assert_eq!(&record[0], format!("'{start}cmd"));
        assert_eq!((&record[1], &record[2]), ("-1", "-1.5"));
    }
}

#[test]
fn csv_refuses_a_type_that_it_does_not_know() {
    let field = Field::new("small", DataType::Int32, false);
    let odd = batch(vec![(field, Arc::new(Int32Array::from(vec![1])))]);
    let error = write_csv(&odd, Vec::new()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "column `small` has type Int32, which CSV files here do not hold"
    );
}

#[test]
fn parquet_says_who_made_it_and_is_compressed_with_snappy() {
    let table = table(&[(None, Some(1), None, true)]);
    let bytes = table.encode(Format::Parquet).unwrap();
    let reader = parquet_reader(&bytes);
    let file = reader.metadata().file_metadata();
    let made_by = format!("scopetally version {}", env!("CARGO_PKG_VERSION"));
    assert_eq!(file.created_by(), Some(&*made_by));
    for column in reader.metadata().row_group(0).columns() {
        assert_eq!(column.compression(), Compression::SNAPPY);
    }
}

#[test]
fn file_names_bear_the_format() {
    let names = Format::ALL.map(|format| table(&[]).file_name(format));
    assert_eq!(names, ["sample.csv", "sample.parquet", "sample.arrow"]);
}

fn rows() -> impl Strategy<Value = Vec<Row>> {
    let finite = prop::num::f64::NORMAL | prop::num::f64::SUBNORMAL | prop::num::f64::ZERO;
    let row = (
        prop::option::of("\\PC{0,12}|[=+@\t\r\n\",-]{1,4}"),
        any::<Option<i64>>(),
        prop::option::of(finite),
        any::<bool>(),
    );
    prop::collection::vec(row, 0..20)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn parquet_and_arrow_give_the_table_back_with_its_descriptions(rows in rows()) {
        let table = table(&rows);
        let bytes = table.encode(Format::Parquet).unwrap();
        let reader = parquet_reader(&bytes);
        prop_assert_eq!(reader.schema(), &table.batch.schema());
        let batches: Vec<_> = reader.build().unwrap().map(Result::unwrap).collect();
        let rows_back: usize = batches.iter().map(RecordBatch::num_rows).sum();
        prop_assert_eq!(rows_back, rows.len());
        for batch in batches {
            prop_assert_eq!(batch.columns(), table.batch.columns());
        }

        let bytes = table.encode(Format::Arrow).unwrap();
        let mut reader = FileReader::try_new(Cursor::new(bytes), None).unwrap();
        prop_assert_eq!(reader.next().unwrap().unwrap(), table.batch);
    }

    #[test]
    fn csv_gives_every_number_back_exactly(rows in rows()) {
        let text = csv_of(&table(&rows));
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let records: Vec<_> = reader.records().map(Result::unwrap).collect();
        prop_assert_eq!(records.len(), rows.len());
        for (record, (text, whole, number, flag)) in records.iter().zip(rows) {
            let cell = text.unwrap_or_default();
            prop_assert_eq!(record[0].strip_prefix('\'').unwrap_or(&record[0]), cell.strip_prefix('\'').unwrap_or(&cell));
            prop_assert_eq!(record[1].parse().ok(), whole);
            prop_assert_eq!(record[2].parse().ok().map(f64::to_bits), number.map(f64::to_bits));
            prop_assert_eq!(record[3].parse(), Ok(flag));
        }
    }

    #[test]
    fn the_same_table_gives_the_same_bytes(rows in rows()) {
        for format in Format::ALL {
            prop_assert_eq!(table(&rows).encode(format).unwrap(), table(&rows).encode(format).unwrap());
        }
    }
}
