use super::read::{counts_from_batches, read_counts};
use super::*;
use crate::domain::month::Month;
use crate::export::table::Format;
use proptest::collection::btree_map;
use proptest::prelude::*;

pub(super) fn key(month: Option<&str>) -> Key {
    Key {
        measure: "call_to_scope".to_owned(),
        version: 2,
        by: "site".to_owned(),
        group: "Alder".to_owned(),
        month: month.map(|text| text.parse().unwrap()),
    }
}

pub(super) fn sample() -> CountTables {
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
fn cases_that_could_not_be_judged_have_a_row_only_when_there_are_any() {
    let mut counts = sample();
    counts
        .minutes
        .values_mut()
        .for_each(|count| count.excluded = 0);
    counts
        .passes
        .values_mut()
        .for_each(|count| count.excluded = 0);
    let rows = count_tables(&counts)
        .unwrap()
        .map(|table| table.batch.num_rows());
    assert_eq!(rows, [2, 3, 2, 1]);
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
