//! A part of the records keeps its passes and leaves the rest alone.

use super::*;
use crate::ingest::cell::Value;
use crate::ingest::records::{Columns, FilledFields, Record};

fn cases(rows: &[(&'static str, Option<&'static str>)]) -> RecordBatch {
    let mut columns = Columns::<CaseField>::new(FilledFields::ALL);
    for (number, site) in rows {
        let mut record = Record::empty();
        record.set(CaseField::CaseId, Value::Text(number));
        if let Some(site) = site {
            record.set(CaseField::Site, Value::Text(site));
        }
        columns.push(&record);
    }
    columns.finish()
}

fn passes(numbers: &[&'static str]) -> RecordBatch {
    let mut columns = Columns::<PassField>::new(FilledFields::ALL);
    for number in numbers {
        let mut record = Record::empty();
        record.set(PassField::CaseId, Value::Text(number));
        columns.push(&record);
    }
    columns.finish()
}

fn numbers<F: Field>(records: &[RecordBatch], field: F) -> Vec<&str> {
    texts(field, records).flatten().collect()
}

#[test]
fn the_cases_of_a_value_come_with_their_passes_in_order() {
    let cases = [
        cases(&[("1", Some("Alder")), ("2", Some("Birch")), ("3", None)]),
        cases(&[("4", Some("Birch"))]),
        cases(&[("5", Some("Alder")), ("6", Some("alder"))]),
    ];
    let passes = [passes(&["5", "2", "1", "1", "3"]), passes(&["2", "9"])];
    let (some, of_some) = with_value(&cases, &passes, CaseField::Site, "Alder");
    assert_eq!(numbers(&some, CaseField::CaseId), ["1", "5"]);
    assert_eq!(numbers(&of_some, PassField::CaseId), ["5", "1", "1"]);
    let (none, of_none) = with_value(&cases, &passes, CaseField::Site, "Cedar");
    assert!(none.is_empty() && of_none.is_empty());
}
