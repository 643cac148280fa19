use super::*;
use crate::export::columns::{batch, flag, number, optional_text, text, whole};
use crate::export::described::described;
use calamine::{Data, Range, Reader, Xlsx};
use std::io::Cursor;

fn table(name: &'static str, sites: &[&str]) -> Table {
    let rows = || sites.iter();
    let columns = vec![
        text("group", "the site", rows()),
        text("month", "YYYY-MM", rows().map(|_| "2024-10")),
        optional_text("note", "nothing", rows().map(|_| None::<&str>)),
        whole("cases", "how many", "cases", rows().map(|_| 1_234_u64)).expect("fits"),
        number(
            "share",
            "a part",
            "fraction",
            rows().map(|_| Some(0.1 + 0.2)),
        ),
        number(
            "odds",
            "a ratio",
            "ratio",
            rows().map(|_| Some(f64::INFINITY)),
        ),
        flag("suppressed", "withheld", rows().map(|_| true)),
    ];
    described(&Table {
        name,
        batch: batch(columns),
    })
}

fn read(bytes: &[u8]) -> Xlsx<Cursor<&[u8]>> {
    Xlsx::new(Cursor::new(bytes)).expect("another program reads it")
}

fn rows(range: &Range<Data>) -> Vec<Vec<Data>> {
    range.rows().map(<[Data]>::to_vec).collect()
}

fn text_cell(words: &str) -> Data {
    Data::String(words.to_owned())
}

#[test]
fn another_program_reads_every_value_with_its_type() {
    // What a spreadsheet may take for a formula or markup.
    let sites = ["Alder", "=1+2", "-A", "+A", "@A", "<b>&\"'", " A "];
    let bytes = workbook(&[table("findings", &sites)], None).expect("a workbook");
    let mut book = read(&bytes);
    assert_eq!(book.sheet_names(), ["about", "findings"]);
    let found = rows(&book.worksheet_range("findings").expect("a sheet"));
    let header = [
        "group",
        "month",
        "note",
        "cases",
        "share",
        "odds",
        "suppressed",
    ];
    assert_eq!(found[0], header.map(text_cell));
    assert_eq!(found.len(), 1 + sites.len());
    for (row, site) in found[1..].iter().zip(sites) {
        let expected = [
            text_cell(site),
            text_cell("2024-10"),
            Data::Empty,
            Data::Float(1234.0),
            // All digits: 0.1 + 0.2 is not 0.3.
            Data::Float(0.1 + 0.2),
            text_cell("inf"),
            Data::Bool(true),
        ];
        assert_eq!(row[..], expected);
    }
    let formulas = book.worksheet_formula("findings").expect("a sheet");
    assert!(formulas.cells().all(|(.., formula)| formula.is_empty()));
}

#[test]
fn the_first_sheet_says_what_each_sheet_and_column_is() {
    let tables = [table("findings", &["A"]), table("ends", &["A", "B"])];
    let bytes = workbook(&tables, None).expect("a workbook");
    let found = rows(&read(&bytes).worksheet_range("about").expect("a sheet"));
    let columns = [
        "sheet",
        "column",
        "rows",
        "type",
        "unit",
        "definition",
        "method",
    ];
    assert_eq!(found[0], columns.map(text_cell));
    assert_eq!(found.len(), 1 + 2 * (1 + 7));
    assert_eq!(found[1][0], text_cell("findings"));
    assert_eq!(found[1][2], Data::Float(1.0));
    assert_eq!(found[9][2], Data::Float(2.0));
    let share = [
        "findings",
        "share",
        "",
        "number",
        "fraction",
        "a part",
        "computed from the counts beside it",
    ];
    let share = share.map(|words| {
        if words.is_empty() {
            Data::Empty
        } else {
            text_cell(words)
        }
    });
    assert_eq!(found[6], share);
}

#[test]
fn a_table_that_is_too_long_for_a_sheet_is_left_out_and_the_first_sheet_says_so() {
    let tables = [
        table("findings", &["A", "B", "C"]),
        table("ends", &["A", "B"]),
    ];
    // Three rows with the header: two of a table fit, three do not.
    let bytes = with_rows(&tables, None, 3).expect("a workbook");
    let mut book = read(&bytes);
    assert_eq!(book.sheet_names(), ["about", "ends"]);
    let found = rows(&book.worksheet_range("about").expect("a sheet"));
    let words = found[1][5].to_string();
    assert!(
        words.starts_with("LEFT OUT") && words.contains("tables/findings.csv"),
        "{words}"
    );
    assert!(!found[9][5].to_string().contains("LEFT OUT"));
    assert_eq!(
        MOST_ROWS,
        1 << 20,
        "rows of a sheet by Office Open XML in its common program"
    );
}

#[test]
fn the_same_tables_give_the_same_bytes_and_bear_the_date_that_is_given() {
    let made = |date| workbook(&[table("findings", &["A"])], date).expect("a workbook");
    assert!(made(None) == made(None));
    assert!(made(Some("2026-09-01")) == made(Some("2026-09-01")));
    assert!(made(None) != made(Some("2026-09-01")));
}
