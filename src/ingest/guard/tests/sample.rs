//! The invented exports of the sample hold no identifier, by any column, mapped or not.

use super::watch;
use crate::ingest::guard::{Guard, HeadingLists, heading_kind};

fn check(export: &str) {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(b';')
        .from_reader(export.as_bytes());
    let headings = reader.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert!(rows.len() > 500);
    for (index, heading) in headings.iter().enumerate() {
        assert_eq!(heading_kind(heading), None, "{heading}");
        let column = watch(rows.iter().map(|row| &row[index]));
        assert_eq!(column.verdict(), None, "{heading}");
        assert_eq!(column.seen(), [], "{heading}");
    }
    let headings: Vec<&str> = headings.iter().collect();
    let guard = Guard::new(&headings, &[], HeadingLists::default());
    let mut watches = guard.watches();
    for row in &rows {
        for (watch, cell) in watches.iter_mut().zip(row) {
            watch.observe(cell.as_bytes());
        }
    }
    assert_eq!(guard.findings(&watches), []);
}

#[test]
fn the_cases_of_the_sample_hold_no_identifier() {
    check(include_str!("../../../../sample_data/cases.csv"));
}

#[test]
fn the_passes_of_the_sample_hold_no_identifier() {
    check(include_str!("../../../../sample_data/passes.csv"));
}

/// A guard that finds nothing would pass the tests above.
#[test]
fn the_same_columns_with_identifiers_in_them_are_found() {
    let cells = include_str!("../../../../sample_data/cases.csv")
        .lines()
        .skip(1);
    let notes = cells.enumerate().map(|(index, line)| match index % 100 {
        0 => "see nurse@example.org".to_string(),
        _ => line.split(';').nth(2).unwrap().to_string(),
    });
    assert!(watch(notes).verdict().is_some());
}
