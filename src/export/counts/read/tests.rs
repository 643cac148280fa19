use super::super::count_tables;
use super::super::tests::{key, sample};
use super::*;
use crate::export::table::Format;
use arrow::array::{
    Array, ArrayRef, Float64Array, Int64Array, LargeStringArray, StringViewArray, UInt32Array,
    UInt64Array,
};
use std::sync::Arc;

#[test]
fn a_row_is_numbered_from_the_top_of_a_long_file() {
    let count = |version| ShareCount {
        eligible: 1,
        hit: if version == 3_000 { 2 } else { 1 },
        excluded: 0,
    };
    let row = |version| {
        (
            Key {
                version,
                ..key(None)
            },
            count(version),
        )
    };
    let counts = CountTables {
        shares: (1..=3_000).map(row).collect(),
        ..CountTables::default()
    };
    let directory = tempfile::tempdir().unwrap();
    let [shares, ..] = count_tables(&counts).unwrap();
    let path = directory.path().join("shares.parquet");
    std::fs::write(path, shares.encode(Format::Parquet).unwrap()).unwrap();
    assert_eq!(
        read_counts(directory.path()).unwrap_err().to_string(),
        "row 3000 of count table `shares`: more cases in `hit` than in `eligible`"
    );
}

/// The count table at `index` of `sample` with one column replaced, beside the three others.
fn with_column(index: usize, name: &str, array: &ArrayRef) -> Result<CountTables, String> {
    let mut batches = count_tables(&sample()).unwrap().map(|table| table.batch);
    let schema = batches[index].schema();
    let columns = schema.fields().iter().zip(batches[index].columns());
    let replaced = columns.map(|(field, column)| {
        let is_replaced = field.name() == name;
        (
            field.name(),
            Arc::clone(if is_replaced { array } else { column }),
        )
    });
    batches[index] = RecordBatch::try_from_iter(replaced).unwrap();
    counts_from_batches(batches.each_ref()).map_err(|error| error.to_string())
}

#[track_caller]
fn check_refused(index: usize, name: &str, array: impl Array + 'static, message: &str) {
    let array: ArrayRef = Arc::new(array);
    assert_eq!(with_column(index, name, &array), Err(message.to_owned()));
}

fn wholes<const N: usize>(values: [i64; N]) -> Int64Array {
    Int64Array::from_iter_values(values)
}

#[test]
fn refuses_keys_that_are_against_the_contract() {
    let version =
        "row 1 of count table `shares`: `version` is not a whole number of 0 to 4294967295";
    check_refused(0, "version", wholes([-1, 1]), version);
    let text = |words: [&str; 2]| LargeStringArray::from_iter_values(words);
    let month = "row 2 of count table `shares`: `month` is neither YYYY-MM nor `all`";
    check_refused(0, "month", text(["all", "September"]), month);
    let group = "row 1 of count table `shares`: `measure`, `by`, `group` or `month` is empty";
    check_refused(0, "group", text(["", "Alder"]), group);
}

#[test]
fn refuses_counts_that_contradict_themselves() {
    let hit = "row 2 of count table `shares`: more cases in `hit` than in `eligible`";
    check_refused(0, "hit", wholes([1, 11]), hit);
    let negative = "row 1 of count table `shares`: a count is negative";
    check_refused(0, "hit", wholes([-1, 1]), negative);
    let empty = "row 2 of count table `shares`: a count is empty";
    check_refused(0, "excluded", Int64Array::from(vec![Some(1), None]), empty);
    let reached = "row 3 of count table `minutes`: `reached` is neither 0 nor 1";
    let reached_column = Int64Array::from(vec![None, Some(1), Some(2), Some(1)]);
    check_refused(1, "reached", reached_column, reached);
    let half = "row 1 of count table `minutes`: only one of `minutes` and `reached` is empty";
    check_refused(1, "minutes", wholes([5, 1, 2, 3]), half);
    let events = "row 2 of count table `passes`: more passes in `events` than in `attempts`";
    check_refused(2, "events", wholes([0, 3, 2]), events);
    let exposure =
        "row 1 of count table `events`: `exposure` is not a whole number of minutes in hours";
    check_refused(3, "exposure", Float64Array::from(vec![0.1234]), exposure);
}

#[test]
fn refuses_columns_that_are_missing_or_of_another_type() {
    let fractions = Float64Array::from(vec![1.0, 1.0]);
    let message = "column `hit` of count table `shares` has type Float64 instead of Int64";
    check_refused(0, "hit", fractions, message);
    let too_large = UInt64Array::from(vec![1, u64::MAX]);
    let message = "column `hit` of count table `shares` has type UInt64 instead of Int64";
    check_refused(0, "hit", too_large, message);

    let batches = count_tables(&sample()).unwrap().map(|table| table.batch);
    let [shares, minutes, passes, events] = batches.each_ref();
    let error = counts_from_batches([shares, minutes, passes, shares]).unwrap_err();
    let message = "count table `events` has no column `events`";
    assert_eq!(error.to_string(), message);
    assert!(counts_from_batches([shares, minutes, passes, events]).is_ok());
}

#[test]
fn takes_the_text_and_number_types_of_other_engines() {
    let view: ArrayRef = Arc::new(StringViewArray::from(vec!["all", "2026-09"]));
    // The first row of the sample is the whole period, the second the month.
    assert_eq!(with_column(0, "month", &view), Ok(sample()));
    let small: ArrayRef = Arc::new(UInt32Array::from(vec![10, 10]));
    assert_eq!(with_column(0, "eligible", &small), Ok(sample()));
}

#[test]
fn rows_with_equal_keys_add_up() {
    let all: ArrayRef = Arc::new(LargeStringArray::from(vec!["all", "all"]));
    let counts = with_column(0, "month", &all).unwrap();
    let sum = ShareCount {
        eligible: 20,
        hit: 8,
        excluded: 2,
    };
    assert_eq!(counts.shares, BTreeMap::from([(key(None), sum)]));
}

#[test]
fn a_missing_or_damaged_file_is_named() {
    let directory = tempfile::tempdir().unwrap();
    let error = read_counts(directory.path()).unwrap_err();
    let path = directory.path().join("shares.parquet");
    assert_eq!(
        error.to_string(),
        format!("cannot open `{}`", path.display())
    );
    std::fs::write(&path, "no Parquet").unwrap();
    let error = read_counts(directory.path()).unwrap_err();
    assert!(matches!(
        error,
        CountsError::File(ParquetFileError::Parquet { path: named, .. }) if named == path
    ));
}
