use super::*;
use crate::export::records::{RecordsWriter, observed_tables};
use crate::export::table::{Format, write_parquet};
use crate::records::data_type;
use arrow::array::{ArrayRef, Int32Array, LargeStringArray, new_null_array};
use arrow::datatypes::{Field as ArrowField, Schema};
use parquet::file::reader::{FileReader as _, SerializedFileReader};
use std::fs::File;
use std::sync::Arc;
use tempfile::TempDir;

/// Records in which every cell is null but those of the columns given.
fn records<F: Field>(rows: usize, columns: &[(F, ArrayRef)]) -> RecordBatch {
    let (fields, arrays): (Vec<_>, Vec<_>) = F::ALL
        .iter()
        .map(|field| {
            let given = columns.iter().find(|(known, _)| known == field);
            let kind = data_type(*field);
            let array =
                given.map_or_else(|| new_null_array(&kind, rows), |(_, array)| array.clone());
            let kind = array.data_type().clone();
            (ArrowField::new(field.column(), kind, true), array)
        })
        .unzip();
    RecordBatch::try_new(Arc::new(Schema::new(fields)), arrays).expect("columns of one length")
}

fn texts_of(values: &[&str]) -> ArrayRef {
    Arc::new(StringArray::from(values.to_vec()))
}

fn cases(numbers: &[&str]) -> RecordBatch {
    let rows = numbers.len();
    cases_with(numbers, &[], rows)
}

fn cases_with(numbers: &[&str], more: &[(CaseField, ArrayRef)], rows: usize) -> RecordBatch {
    let mut columns = more.to_vec();
    columns.extend([
        (CaseField::CaseId, texts_of(numbers)),
        (
            CaseField::Presentation,
            texts_of(&vec!["foreign_body"; rows]),
        ),
        (
            CaseField::CalledAt,
            Arc::new(Int64Array::from(vec![5; rows])) as ArrayRef,
        ),
        (CaseField::Month, texts_of(&vec!["2026-09"; rows])),
    ]);
    records(rows, &columns)
}

fn passes(numbers: &[&str], devices: &[&str]) -> RecordBatch {
    records(
        numbers.len(),
        &[
            (PassField::CaseId, texts_of(numbers)),
            (PassField::Device, texts_of(devices)),
        ],
    )
}

/// Both files, those of passes with or without the note that they follow their cases.
fn written(cases: &RecordBatch, passes: &RecordBatch, is_in_order: bool) -> TempDir {
    let directory = tempfile::tempdir().expect("a directory");
    let create = |table| File::create(file(directory.path(), table)).expect("a file");
    write_parquet(cases, create("cases")).expect("written");
    if is_in_order {
        let mut writer = RecordsWriter::new::<PassField>(create("passes")).expect("a writer");
        writer.write(passes).expect("written");
        writer.finish().expect("written");
    } else {
        write_parquet(passes, create("passes")).expect("written");
    }
    directory
}

/// A number of a case, and the devices of its passes.
type Devices = (String, Vec<String>);

/// The number of each case with the devices of its passes, and how many columns were read.
fn read(directory: &TempDir, named: &[&str]) -> Result<(Vec<Devices>, usize), RecordsError> {
    let named = named.iter().map(|name| (*name).to_owned()).collect();
    let mut reader = RecordsReader::open(directory.path(), Some(&named))?;
    let (mut found, mut columns) = (Vec::new(), 0);
    while let Some((cases, passes)) = reader.next_part()? {
        columns = cases.num_columns();
        for case in texts(&cases, CaseField::CaseId).iter().flatten() {
            let devices = passes.iter().flat_map(|passes| {
                let of_rows = texts(passes, PassField::CaseId).iter();
                let devices = texts(passes, PassField::Device).iter();
                let of_case = of_rows
                    .zip(devices)
                    .filter(|(number, _)| *number == Some(case));
                of_case.map(|(_, device)| device.expect("a device").to_owned())
            });
            found.push((case.to_owned(), devices.collect()));
        }
    }
    Ok((found, columns))
}

#[test]
fn passes_are_found_whether_they_follow_their_cases_or_not() {
    let cases = cases(&["A", "B", "C"]);
    let expected = |devices: [&[&str]; 3]| {
        let owned = |devices: &[&str]| devices.iter().map(|&device| device.to_owned()).collect();
        let numbers = ["A", "B", "C"].map(str::to_owned);
        numbers
            .into_iter()
            .zip(devices.map(owned))
            .collect::<Vec<Devices>>()
    };
    let along = passes(&["A", "A", "C"], &["net", "cap", "push"]);
    let found = read(&written(&cases, &along, true), &["device"]).expect("good records");
    assert_eq!(found, (expected([&["net", "cap"], &[], &["push"]]), 4));
    let mixed = passes(&["C", "A", "A"], &["push", "net", "cap"]);
    let found = read(&written(&cases, &mixed, false), &["device", "site"]).expect("good records");
    assert_eq!(found, (expected([&["net", "cap"], &[], &["push"]]), 5));
    let (none, _) = read(&written(&cases, &passes(&[], &[]), false), &["device"]).expect("no pass");
    assert_eq!(none, expected([&[], &[], &[]]));
}

#[test]
fn columns_may_be_written_in_other_types_of_their_kind() {
    let numbers: ArrayRef = Arc::new(LargeStringArray::from(vec!["A", "B"]));
    let ages: ArrayRef = Arc::new(Int32Array::from(vec![Some(44), None]));
    let cases = cases_with(
        &["A", "B"],
        &[(CaseField::CaseId, numbers), (CaseField::AgeYears, ages)],
        2,
    );
    let directory = written(&cases, &passes(&["A"], &["net"]), true);
    let (found, columns) = read(&directory, &["age_years", "device"]).expect("good records");
    assert_eq!((found.len(), columns), (2, 5));
}

#[track_caller]
fn check_refused(cases: &RecordBatch, passes: &RecordBatch, is_in_order: bool, words: &str) {
    let directory = written(cases, passes, is_in_order);
    let fault =
        read(&directory, &["site", "outcome", "age_years", "device"]).expect_err("faulty records");
    let message = fault.to_string();
    assert!(message.contains(words), "{message}");
    assert!(!message.contains("SECRET"), "{message}");
}

#[test]
fn records_against_their_contract_are_refused_without_a_word_of_their_content() {
    let none = passes(&[], &[]);
    check_refused(
        &cases(&["SECRET", "B", "SECRET"]),
        &none,
        true,
        "row 3 of table `cases`: a case of this number stands above",
    );
    check_refused(
        &cases_with(
            &["A", "B"],
            &[(CaseField::Outcome, texts_of(&["removed", "SECRET"]))],
            2,
        ),
        &none,
        true,
        "row 2 of table `cases`: `outcome` holds none of its codes",
    );
    check_refused(
        &cases_with(&["A"], &[(CaseField::AgeYears, texts_of(&["SECRET"]))], 1),
        &none,
        true,
        "column `age_years` of table `cases` has type Utf8 instead of Int64",
    );
    for (field, array, words) in [
        (
            CaseField::Month,
            texts_of(&["SECRET"]),
            "`month` is no month",
        ),
        (
            CaseField::CalledAt,
            new_null_array(&DataType::Int64, 1),
            "`called_minute` is empty",
        ),
        (
            CaseField::CaseId,
            new_null_array(&DataType::Utf8, 1),
            "`case_id` is empty",
        ),
    ] {
        check_refused(
            &cases_with(&["A"], &[(field, array)], 1),
            &none,
            true,
            words,
        );
    }
    let stray = passes(&["SECRET"], &["net"]);
    for is_in_order in [true, false] {
        check_refused(&cases(&["A"]), &stray, is_in_order, "passes of no case");
    }
    let lacking = cases(&["A"]).project(&[0, 1, 2]).expect("columns");
    check_refused(&lacking, &none, true, "no column");
}

#[test]
fn observed_time_is_read_back_as_it_was_written() {
    let directory = tempfile::tempdir().expect("a directory");
    let mut exposure = Exposure::new();
    for (site, month) in [
        ("Alder", "2026-01"),
        ("Birch", "2026-01"),
        ("Birch", "2026-02"),
    ] {
        let month = month.parse().expect("a month");
        for (shift, minutes) in Shift::ALL.iter().zip([40, 20]) {
            let cell = ExposureCell {
                site: site.to_owned(),
                month,
                shift: *shift,
            };
            exposure.by_shift.insert(cell, minutes);
        }
        let hour = WeekHour {
            month,
            weekday: Weekday::Monday,
            hour: 23,
        };
        exposure.by_hour.insert(hour, 240);
    }
    for table in observed_tables(&exposure).expect("tables") {
        let bytes = table.encode(Format::Parquet).expect("bytes");
        std::fs::write(file(directory.path(), table.name), bytes).expect("written");
    }
    assert_eq!(
        read_observed(directory.path()).expect("observed time"),
        exposure
    );
}

/// Spark fails on a note that has none.
#[test]
fn every_note_in_a_file_has_a_value() {
    let directory = TempDir::new().unwrap();
    let path = directory.path().join("passes.parquet");
    let file = File::create(&path).unwrap();
    let writer = RecordsWriter::new::<PassField>(file).unwrap();
    writer.finish().unwrap();
    let reader = SerializedFileReader::new(File::open(&path).unwrap()).unwrap();
    let notes = reader.metadata().file_metadata().key_value_metadata();
    let notes = notes.expect("the file says how its passes stand");
    assert!(notes.iter().any(|note| note.key == PASSES_IN_ORDER));
    assert!(notes.iter().all(|note| note.value.is_some()), "{notes:?}");
}
