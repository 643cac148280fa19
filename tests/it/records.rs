//! Typed records for tests: rows of named cells → the Arrow batches that ingest would give, and the
//! same batches as tables of `SQLite`.
//!
//! The record columns are read from the field lists, so a new field needs no line here. Knows no
//! measure.

use arrow::array::{Array, ArrayRef, Int64Array, RecordBatch, StringArray};
use arrow::datatypes::{DataType, Field as ArrowField, Schema};
use rusqlite::Connection;
use rusqlite::types::Value;
use scopetally::domain::fields::{CaseField, Field, Kind, PassField};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The cells of one record by column. A column that is not there is null.
pub(crate) type Row = BTreeMap<String, String>;

/// The comment column of hand-written tables.
pub(crate) const WHY: &str = "why";

/// Both kinds of record.
pub(crate) struct Records {
    pub(crate) cases: RecordBatch,
    pub(crate) passes: RecordBatch,
}

impl Records {
    /// Records of the given rows.
    pub(crate) fn new(cases: &[Row], passes: &[Row]) -> Records {
        Records {
            cases: batch::<CaseField>(cases),
            passes: batch::<PassField>(passes),
        }
    }

    /// The tables `cases` and `passes` in a new `SQLite` database in memory.
    pub(crate) fn to_sqlite(&self) -> Connection {
        let connection = Connection::open_in_memory().unwrap();
        add_table(&connection, "cases", &self.cases);
        add_table(&connection, "passes", &self.passes);
        connection
    }
}

/// The rows of a CSV text. An empty cell is null; the comment column is left out.
pub(crate) fn rows_of_csv(text: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader.headers().unwrap().clone();
    let rows = reader.records().map(|record| {
        let record = record.unwrap();
        let cells = header.iter().zip(record.iter());
        cells
            .filter(|(column, cell)| *column != WHY && !cell.is_empty())
            .map(|(column, cell)| (column.to_string(), cell.to_string()))
            .collect()
    });
    rows.collect()
}

/// A batch with every column of `F`. Panics at a column or a code that no record has: in a
/// hand-written table it is a slip of the pen.
fn batch<F: Field>(rows: &[Row]) -> RecordBatch {
    let columns: Vec<_> = F::ALL.iter().map(|field| field.column()).collect();
    for column in rows.iter().flat_map(|row| row.keys()) {
        assert!(columns.contains(&column.as_str()), "no column `{column}`");
    }
    let (mut fields, mut arrays) = (Vec::new(), Vec::<ArrayRef>::new());
    for field in F::ALL {
        let column = field.column();
        let cells = rows.iter().map(|row| row.get(column).map(String::as_str));
        if let Kind::Code(list) = field.kind() {
            for code in cells.clone().flatten() {
                assert!(
                    list.position(code).is_some(),
                    "`{column}`: no code `{code}`"
                );
            }
        }
        let (data_type, array): (_, ArrayRef) = if field.kind().is_text() {
            (DataType::Utf8, Arc::new(cells.collect::<StringArray>()))
        } else {
            let numbers = cells.map(|cell| cell.map(|cell| cell.parse::<i64>().unwrap()));
            (DataType::Int64, Arc::new(numbers.collect::<Int64Array>()))
        };
        fields.push(ArrowField::new(column, data_type, true));
        arrays.push(array);
    }
    RecordBatch::try_new(Arc::new(Schema::new(fields)), arrays).unwrap()
}

/// Adds a batch of text and whole numbers as a table.
pub(crate) fn add_table(connection: &Connection, table: &str, records: &RecordBatch) {
    let schema = records.schema();
    let columns: Vec<_> = schema
        .fields()
        .iter()
        .map(|field| match field.data_type() {
            DataType::Int64 => format!("{} integer", field.name()),
            _ => format!("{} text", field.name()),
        })
        .collect();
    let places = vec!["?"; columns.len()].join(", ");
    connection
        .execute_batch(&format!("create table {table} ({})", columns.join(", ")))
        .unwrap();
    let transaction = connection.unchecked_transaction().unwrap();
    let mut insert = transaction
        .prepare(&format!("insert into {table} values ({places})"))
        .unwrap();
    for row in 0..records.num_rows() {
        let values = records.columns().iter().map(|column| value(column, row));
        insert.execute(rusqlite::params_from_iter(values)).unwrap();
    }
    drop(insert);
    transaction.commit().unwrap();
}

fn value(column: &ArrayRef, row: usize) -> Value {
    if column.is_null(row) {
        return Value::Null;
    }
    if let Some(numbers) = column.as_any().downcast_ref::<Int64Array>() {
        return Value::Integer(numbers.value(row));
    }
    let texts = column.as_any().downcast_ref::<StringArray>().unwrap();
    Value::Text(texts.value(row).to_string())
}
