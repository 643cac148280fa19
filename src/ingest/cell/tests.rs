use super::*;
use crate::domain::codes::{Device, YesNo};

fn try_cells(kind: Kind, table: &[(&str, &str)]) -> Result<Cells, MappingFault> {
    let table: BTreeMap<_, _> = table
        .iter()
        .map(|(word, code)| ((*word).to_string(), (*code).to_string()))
        .collect();
    let missing = ["n/a".to_string()];
    let words = ColumnWords {
        name: "field",
        codes: (!table.is_empty()).then_some(&table),
        unit: None,
        missing: &missing,
        decimal: b'.',
    };
    Cells::new(kind, &words)
}

fn cells(kind: Kind, table: &[(&str, &str)]) -> Cells {
    try_cells(kind, table).unwrap_or_else(|fault| panic!("{fault:?}"))
}

#[track_caller]
fn check(cells: &Cells, cell: &str, expected: &Result<Value<'_>, IssueCode>) {
    let read = cells
        .read(RawCell::new(cell.as_bytes()))
        .map_err(|fault| fault.code);
    assert!(read == *expected, "{cell}");
}

#[test]
fn coded_words_are_the_sites_own_and_no_other() {
    let device = cells(
        Kind::Code(Device::LIST),
        &[("Landing  net", "net"), ("Rat tooth", "forceps_rat")],
    );
    check(&device, " rat TOOTH ", &Ok(Value::Code("forceps_rat")));
    check(&device, "landing net", &Ok(Value::Code("net")));
    check(&device, "net", &Err(IssueCode::UnknownWord));
    check(&device, "#REF!", &Err(IssueCode::SpreadsheetError));
    check(&device, "N/A", &Ok(Value::Missing));
    check(&device, "  ", &Ok(Value::Missing));
    let plain = cells(Kind::Code(YesNo::LIST), &[]);
    check(&plain, "Yes", &Ok(Value::Code("yes")));
}

#[test]
fn yes_no_and_unknown_are_three_answers_and_a_blank_means_what_the_mapping_says() {
    let ticked = cells(
        Kind::Code(YesNo::LIST),
        &[("1", "yes"), ("0", "not_recorded"), ("", "no")],
    );
    check(&ticked, "1", &Ok(Value::Code("yes")));
    check(&ticked, "0", &Ok(Value::Missing));
    check(&ticked, "", &Ok(Value::Code("no")));
    check(&ticked, " \t", &Ok(Value::Code("no")));
    check(&ticked, "n/a", &Ok(Value::Missing));
    check(&ticked, "2", &Err(IssueCode::UnknownWord));
    let asked = cells(
        Kind::Code(YesNo::LIST),
        &[("1", "yes"), ("0", "no"), ("9", "not_recorded")],
    );
    check(&asked, "0", &Ok(Value::Code("no")));
    check(&asked, "9", &Ok(Value::Missing));
    check(&asked, "", &Ok(Value::Missing));
}

#[test]
fn a_table_may_give_a_word_for_missing_values_a_meaning() {
    let asked = cells(Kind::Code(YesNo::LIST), &[("n/a", "no"), ("y", "yes")]);
    check(&asked, "N/A", &Ok(Value::Code("no")));
}

#[test]
fn words_for_not_recorded_are_told_in_every_kind_of_column() {
    let hours = cells(Kind::Whole { min: 0, max: 23 }, &[]);
    check(&hours, " N/A ", &Ok(Value::Missing));
    check(&hours, "n", &Err(IssueCode::NotAWholeNumber));
    check(&cells(Kind::Text, &[]), "n/a", &Ok(Value::Missing));
    check(&cells(Kind::Month, &[]), "n/a", &Ok(Value::Missing));
    let missing = MissingWords::new(&["Öffnung".into(), "-".into()]);
    assert!(missing.hold("ÖFFNUNG") && missing.hold("öffnung") && missing.hold("-"));
    assert!(!missing.hold("") && !missing.hold("--") && !missing.hold("0"));
}

#[test]
fn unreadable_bytes_and_wrong_numbers_are_issues_without_content() {
    let hours = cells(Kind::Whole { min: 0, max: 23 }, &[]);
    check(&hours, "23", &Ok(Value::Whole(23)));
    check(&hours, "24", &Err(IssueCode::OutOfRange));
    check(&hours, "7.5", &Err(IssueCode::NotAWholeNumber));
    let elapsed = cells(Kind::Minute, &[]);
    check(&elapsed, "-86401", &Err(IssueCode::OutOfRange));
    check(&elapsed, "-60", &Ok(Value::Whole(-60)));
    let bytes = RawCell::new(b"\xff\xfe");
    let fault = hours.read(bytes).map(drop).expect_err("not UTF-8");
    assert_eq!(
        fault,
        CellFault {
            code: IssueCode::UnreadableBytes,
            found: Shape::Bytes
        }
    );
    assert_eq!(format!("{:?}", RawCell::new(b"Jane Doe")), "RawCell(..)");
}

#[test]
fn a_mapping_that_contradicts_the_lists_is_refused() {
    let yes_no = Kind::Code(YesNo::LIST);
    let fault = try_cells(yes_no, &[("Y", "yess")]).expect_err("no code");
    assert!(fault.what.contains("`yess`") && fault.hint.contains("yes, no; or `not_recorded`"));
    assert!(try_cells(yes_no, &[("Y", "yes"), ("y", "no")]).is_err());
    assert!(try_cells(yes_no, &[("Y", "yes"), ("y", "not_recorded")]).is_err());
    assert!(try_cells(yes_no, &[("Y", "yes"), ("y", "yes")]).is_ok());
    assert!(try_cells(Kind::Text, &[("Y", "yes")]).is_err());
}
