use super::read::{CountsError, counts_from_batches, read_counts};
use super::*;
use crate::domain::month::Month;
use crate::export::table::Format;
use arrow::array::{
    Array, ArrayRef, Float64Array, Int64Array, LargeStringArray, RecordBatch, StringViewArray,
    UInt32Array, UInt64Array,
};
use proptest::collection::btree_map;
use proptest::prelude::*;
use std::sync::Arc;

fn key(month: Option<&str>) -> Key {
    Key {
        measure: "call_to_scope".to_owned(),
        version: 2,
        by: "site".to_owned(),
        group: "Alder".to_owned(),
        month: month.map(|text| text.parse().unwrap()),
    }
}

fn sample() -> CountTables {
    let minutes = MinutesCount {
        cases: BTreeMap::from([((35, true), 2), ((35, false), 1), ((-1, true), 1)]),
        excluded: 4,
    };
    let passes = PassesCount {
        cases: BTreeMap::from([((0, 2), 3), ((2, 2), 1)]),
        excluded: 5,
    };
    let share = ShareCount {
        eligible: 10,
        hit: 4,
        excluded: 1,
    };
    let events = EventsCount {
        events: 7,
        exposure_minutes: 30 * 24 * 60 + 20,
    };
    CountTables {
        shares: BTreeMap::from([(key(Some("2026-09")), share), (key(None), share)]),
        minutes: BTreeMap::from([(key(None), minutes)]),
        passes: BTreeMap::from([(key(None), passes)]),
        events: BTreeMap::from([(key(None), events)]),
    }
}

#[test]
fn tables_are_long_and_sorted_and_count_the_excluded_cases_in_rows_of_their_own() {
    let csv = count_tables(&sample())
        .unwrap()
        .map(|table| String::from_utf8(table.encode(Format::Csv).unwrap()).unwrap());
    let expected = [
        "measure,version,by,group,month,eligible,hit,excluded\n\
         call_to_scope,2,site,Alder,all,10,4,1\n\
         call_to_scope,2,site,Alder,2026-09,10,4,1\n",
        "measure,version,by,group,month,minutes,reached,cases\n\
         call_to_scope,2,site,Alder,all,,,4\n\
         call_to_scope,2,site,Alder,all,-1,1,1\n\
         call_to_scope,2,site,Alder,all,35,0,1\n\
         call_to_scope,2,site,Alder,all,35,1,2\n",
        "measure,version,by,group,month,events,attempts,cases\n\
         call_to_scope,2,site,Alder,all,0,0,5\n\
         call_to_scope,2,site,Alder,all,0,2,3\n\
         call_to_scope,2,site,Alder,all,2,2,1\n",
        "measure,version,by,group,month,events,exposure\n\
         call_to_scope,2,site,Alder,all,7,720.3333333333334\n",
    ];
    assert_eq!(csv, expected);
}

#[test]
fn exposure_beyond_what_hours_can_tell_is_an_error() {
    let too_long = EventsCount {
        events: 0,
        exposure_minutes: (1 << 50) + 1,
    };
    let counts = CountTables {
        events: BTreeMap::from([(key(None), too_long)]),
        ..CountTables::default()
    };
    let error = count_tables(&counts).unwrap_err();
    assert!(matches!(error, TableError::TooLarge { column } if column == "exposure"));
}

#[test]
fn whole_minutes_are_told_from_fractions_at_any_size() {
    assert_eq!(whole_minutes(0.5), Some(30));
    assert_eq!(whole_minutes(0.501), None);
    assert_eq!(whole_minutes(1e9 + 0.01), None);
    for odd in [-1.0, f64::NAN, f64::INFINITY, 1e16] {
        assert_eq!(whole_minutes(odd), None, "{odd}");
    }
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
    assert!(matches!(error, CountsError::Parquet { path: named, .. } if named == path));
}

fn keys() -> impl Strategy<Value = Key> {
    let month =
        (1900_u16..=2200, 1_u8..=12).prop_map(|(year, number)| Month::new(year, number).unwrap());
    (
        "[a-z_]{1,9}",
        any::<u32>(),
        "all|[a-z]{1,5}",
        "\\PC{1,8}",
        prop::option::of(month),
    )
        .prop_map(|(measure, version, by, group, month)| Key {
            measure,
            version,
            by,
            group,
            month,
        })
}

const MOST: u64 = i64::MAX as u64;

fn counts() -> impl Strategy<Value = CountTables> {
    let share = (0..=MOST, 0..=MOST, 0..=MOST).prop_map(|(one, other, excluded)| ShareCount {
        eligible: one.max(other),
        hit: one.min(other),
        excluded,
    });
    // Neither map is empty: a group in which nothing was counted has no row to come back from.
    let minutes = (btree_map(any::<(i64, bool)>(), 0..=MOST, 1..5), 0..=MOST)
        .prop_map(|(cases, excluded)| MinutesCount { cases, excluded });
    let pair = (0..=MOST, 1..=MOST).prop_map(|(one, other)| (one.min(other), other));
    let passes = (btree_map(pair, 0..=MOST, 1..5), 0..=MOST)
        .prop_map(|(cases, excluded)| PassesCount { cases, excluded });
    let events = (0..=MOST, 0_u64..=1 << 50).prop_map(|(events, exposure_minutes)| EventsCount {
        events,
        exposure_minutes,
    });
    (
        btree_map(keys(), share, 0..5),
        btree_map(keys(), minutes, 0..5),
        btree_map(keys(), passes, 0..5),
        btree_map(keys(), events, 0..5),
    )
        .prop_map(|(shares, minutes, passes, events)| CountTables {
            shares,
            minutes,
            passes,
            events,
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn counts_come_back_from_batches_and_from_files(counts in counts()) {
        let tables = count_tables(&counts).unwrap();
        let back = counts_from_batches(tables.each_ref().map(|table| &table.batch));
        prop_assert_eq!(back.unwrap(), counts.clone());

        let directory = tempfile::tempdir().unwrap();
        for table in &tables {
            let path = directory.path().join(table.file_name(Format::Parquet));
            std::fs::write(path, table.encode(Format::Parquet).unwrap()).unwrap();
        }
        prop_assert_eq!(read_counts(directory.path()).unwrap(), counts);
    }
}
