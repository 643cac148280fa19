//! All tables as one workbook for spreadsheets (Office Open XML), a sheet each, after a first sheet that
//! says what each sheet and each column is.
//!
//! Knows nothing of what a table is about: the words come from the metadata of its columns. Numbers are
//! cells of numbers and everything else cells of text, so that no locale turns a month into a date and
//! no text runs as a formula. Cells wait in temporary files without a name: held in memory, a table of
//! 700,000 rows took 2.2 GB.

use super::described::{DEFINITION, METHOD, UNIT};
use super::table::{Cells, Table, TableError, Value, is_formula};
use arrow::datatypes::{DataType, Field};
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, Worksheet, XlsxError};

/// Name of the file in the output directory.
pub const FILE_NAME: &str = "tables.xlsx";

/// Name of the first sheet.
const FIRST_SHEET: &str = "about";

/// Rows that a sheet holds, the header among them.
const MOST_ROWS: usize = 1_048_576;

/// Letters that a cell holds.
const MOST_LETTERS: usize = 32_767;

/// The content of the workbook. The same tables and date give the same bytes: without a date it bears
/// the first day that the container can name.
///
/// # Errors
/// When a column has a type that cells do not hold, or `made_on` is no date `YYYY-MM-DD`.
pub fn workbook(tables: &[Table], made_on: Option<&str>) -> Result<Vec<u8>, TableError> {
    with_rows(tables, made_on, MOST_ROWS)
}

fn with_rows(
    tables: &[Table],
    made_on: Option<&str>,
    most_rows: usize,
) -> Result<Vec<u8>, TableError> {
    // The writer opens such a file for each sheet and would panic where it cannot.
    tempfile::tempfile().map_err(TableError::TemporaryFile)?;
    let mut book = Workbook::new();
    let created = ExcelDateTime::parse_from_str(made_on.unwrap_or("1980-01-01"))?;
    let properties = DocProperties::new().set_creation_datetime(&created);
    book.set_properties(&properties);
    let header = Format::new().set_bold();
    let fits = |table: &&Table| table.batch.num_rows() < most_rows;
    first_sheet(
        book.add_worksheet_with_low_memory(),
        tables,
        &header,
        |table| fits(&table),
    )?;
    for table in tables.iter().filter(fits) {
        sheet(book.add_worksheet_with_low_memory(), table, &header)?;
    }
    Ok(book.save_to_buffer()?)
}

/// A row for each table and for each of its columns.
fn first_sheet(
    sheet: &mut Worksheet,
    tables: &[Table],
    header: &Format,
    fits: impl Fn(&Table) -> bool,
) -> Result<(), XlsxError> {
    const COLUMNS: [(&str, f64); 7] = [
        ("sheet", 14.0),
        ("column", 26.0),
        ("rows", 9.0),
        ("type", 9.0),
        ("unit", 20.0),
        ("definition", 90.0),
        ("method", 40.0),
    ];
    start(sheet, FIRST_SHEET, COLUMNS, header)?;
    let mut row = 0;
    for table in tables {
        let schema = table.batch.schema();
        let of_table = schema.metadata().get(DEFINITION);
        let definition = of_table.map_or("", String::as_str);
        row += 1;
        write_text(sheet, row, 0, table.name)?;
        sheet.write_number(row, 2, table.batch.num_rows() as f64)?;
        if fits(table) {
            write_text(sheet, row, 5, definition)?;
        } else {
            let words = format!(
                "LEFT OUT, as a sheet holds fewer rows: take tables/{}.csv or .parquet. {definition}",
                table.name
            );
            write_text(sheet, row, 5, &words)?;
        }
        for field in schema.fields() {
            row += 1;
            let said = |key: &str| field.metadata().get(key).map_or("", String::as_str);
            write_text(sheet, row, 0, table.name)?;
            write_text(sheet, row, 1, field.name())?;
            write_text(sheet, row, 3, kind(field))?;
            write_text(sheet, row, 4, said(UNIT))?;
            write_text(sheet, row, 5, said(DEFINITION))?;
            write_text(sheet, row, 6, said(METHOD))?;
        }
    }
    Ok(())
}

fn kind(field: &Field) -> &'static str {
    match field.data_type() {
        DataType::Int64 => "integer",
        DataType::Float64 => "number",
        DataType::Boolean => "boolean",
        _ => "text",
    }
}

fn sheet(sheet: &mut Worksheet, table: &Table, header: &Format) -> Result<(), TableError> {
    let schema = table.batch.schema();
    let names = schema.fields().iter().map(|field| {
        let width = field.name().len().clamp(8, 30);
        (field.name().as_str(), width as f64 + 2.0)
    });
    start(sheet, table.name, names, header)?;
    let columns = Cells::of_all(&table.batch)?;
    for (row, at) in (0..table.batch.num_rows()).zip(1_u32..) {
        for (column, cells) in (0_u16..).zip(&columns) {
            match cells.value(row) {
                None => {}
                Some(Value::Text(text)) => write_text(sheet, at, column, text)?,
                Some(Value::Whole(number)) => {
                    sheet.write_number(at, column, number as f64)?;
                }
                // A sheet has no such number, and an error in its place would spread.
                Some(Value::Number(number)) if !number.is_finite() => {
                    write_text(sheet, at, column, &number.to_string())?;
                }
                Some(Value::Number(number)) => {
                    sheet.write_number(at, column, number)?;
                }
                Some(Value::Flag(flag)) => {
                    sheet.write_boolean(at, column, flag)?;
                }
            }
        }
    }
    Ok(())
}

/// Names the sheet and writes its header, which stays in view.
fn start<'a>(
    sheet: &mut Worksheet,
    name: &str,
    columns: impl IntoIterator<Item = (&'a str, f64)>,
    header: &Format,
) -> Result<(), XlsxError> {
    sheet.set_name(name)?;
    sheet.set_freeze_panes(1, 0)?;
    for (column, (words, width)) in (0_u16..).zip(columns) {
        sheet.write_string_with_format(0, column, words, header)?;
        sheet.set_column_width(column, width)?;
    }
    Ok(())
}

/// A cell of text. One that would be taken for a formula when somebody edits it is marked as text, which
/// changes nothing of what it holds. Text is cut where a cell ends.
fn write_text(sheet: &mut Worksheet, row: u32, column: u16, text: &str) -> Result<(), XlsxError> {
    let end = text.char_indices().nth(MOST_LETTERS).map(|(at, _)| at);
    let text = end.map_or(text, |end| &text[..end]);
    if is_formula(text) {
        let marked = Format::new().set_quote_prefix();
        sheet.write_string_with_format(row, column, text, &marked)?;
    } else {
        sheet.write_string(row, column, text)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests;
