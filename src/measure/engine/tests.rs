use super::*;

const TWO: NonZeroUsize = NonZeroUsize::new(2).unwrap();
use crate::domain::codes::{Shift, Weekday};
use crate::domain::counts::Key;
use crate::domain::exposure::{ExposureCell, WeekHour};
use crate::domain::fields::{CaseField, Field, Kind, PassField};
use crate::measure::built_in;
use arrow::array::{ArrayRef, Int64Array, StringArray};
use arrow::datatypes::{DataType as ArrowType, Field as ArrowField, Schema};
use std::sync::Arc;

/// Records in which every cell is null but those given as (row, column, value).
pub(in crate::measure) fn records<F: Field>(
    rows: usize,
    cells: &[(usize, &str, &str)],
) -> RecordBatch {
    let (mut fields, mut columns) = (Vec::new(), Vec::<ArrayRef>::new());
    for field in F::ALL {
        let cell = |row: usize| {
            let found = cells
                .iter()
                .find(|(r, column, _)| *r == row && *column == field.column());
            found.map(|(_, _, value)| *value)
        };
        let (kind, column): (_, ArrayRef) = match field.kind() {
            Kind::Text | Kind::Code(_) | Kind::Month => (
                ArrowType::Utf8,
                Arc::new((0..rows).map(cell).collect::<StringArray>()),
            ),
            _ => {
                let numbers = (0..rows).map(|row| cell(row).map(|n| n.parse::<i64>().unwrap()));
                (ArrowType::Int64, Arc::new(numbers.collect::<Int64Array>()))
            }
        };
        fields.push(ArrowField::new(field.column(), kind, true));
        columns.push(column);
    }
    RecordBatch::try_new(Arc::new(Schema::new(fields)), columns).unwrap()
}

fn measure(kind: MeasureKind, sql: &str) -> Definition {
    let mut definition = built_in().remove(0);
    definition.id = "own".into();
    definition.kind = kind;
    definition.sql = sql.into();
    definition
}

#[test]
fn a_case_that_would_count_twice_is_refused() {
    check_refused(
        MeasureKind::Share,
        "select 'one' as case_id, 1 as eligible, 1 as hit from cases",
        "selects a case more than once",
    );
}

#[track_caller]
fn check_refused(kind: MeasureKind, sql: &str, message: &str) {
    let cases = records::<CaseField>(
        2,
        &[
            (0, "called_minute", "5"),
            (0, "case_id", "SECRET"),
            (1, "case_id", "other"),
        ],
    );
    let passes = records::<PassField>(0, &[]);
    let error = count(&[cases], &[passes], &Exposure::new(), &[measure(kind, sql)])
        .expect_err("a faulty measure")
        .to_string();
    assert!(error.contains(message), "{error}");
    assert!(!error.contains("SECRET"), "{error}");
}

#[test]
fn every_built_in_measure_runs_on_tables_without_a_row() {
    let (cases, passes) = (records::<CaseField>(0, &[]), records::<PassField>(0, &[]));
    let tables = count(&[cases], &[passes], &Exposure::new(), &built_in()).unwrap();
    assert!(
        tables
            .shares
            .values()
            .all(|share| share.eligible == 0 && share.excluded == 0)
    );
    let is_share = |measure: &Definition| measure.kind == MeasureKind::Share;
    assert_eq!(
        tables.shares.len(),
        built_in().into_iter().filter(is_share).count(),
        "one empty row over all cases for each share"
    );
}

#[test]
fn faulty_measures_are_refused_without_a_cell_in_the_message() {
    use MeasureKind::{Minutes, Share};
    check_refused(
        Share,
        "select case_id, nosuch as eligible from cases",
        "does not run",
    );
    check_refused(
        Share,
        "select case_id, 1 as eligible from cases",
        "no column `hit`",
    );
    check_refused(
        Share,
        "select case_id, 2 as eligible, 0 as hit from cases",
        "`eligible` must be 0 or 1",
    );
    check_refused(
        Share,
        "select case_id, 1 as eligible, case_id as hit from cases",
        "`hit` must be 0 or 1",
    );
    check_refused(
        Share,
        "select case_id, 1 as eligible, case when called_minute = 5 then 1 end as hit from cases",
        "`hit` must be 0 or 1",
    );
    check_refused(
        Minutes,
        "select case_id, 1 as eligible, 1 as reached, called_minute * 0.5 as minutes from cases",
        "`minutes` must be a whole number",
    );
    check_refused(
        Share,
        "select * from read_csv('/etc/passwd')",
        "does not run",
    );
}

#[test]
fn unrecorded_groups_and_months_without_a_call_are_counted() {
    let cases = records::<CaseField>(
        2,
        &[
            (0, "case_id", "1"),
            (0, "site", "Alder"),
            (0, "month", "2026-01"),
            (0, "shift", "in_hours"),
            (0, "weekday", "mon"),
            (0, "hour", "7"),
            (1, "case_id", "2"),
            (1, "site", "Alder"),
            (1, "month", "2026-03"),
        ],
    );
    let by_shift = ["2026-01", "2026-02", "2026-03"]
        .iter()
        .map(|month| {
            let month = month.parse().unwrap();
            (
                ExposureCell {
                    site: "Alder".into(),
                    month,
                    shift: Shift::InHours,
                },
                600,
            )
        })
        .collect();
    let by_hour = [
        ("2026-01", Weekday::Monday, 7),
        ("2026-02", Weekday::Monday, 7),
    ]
    .map(|(month, weekday, hour)| {
        let month = month.parse().unwrap();
        let cell = WeekHour {
            month,
            weekday,
            hour,
        };
        (cell, 240)
    })
    .into();
    let exposure = Exposure { by_shift, by_hour };
    let calls: Vec<_> = built_in()
        .into_iter()
        .filter(|measure| measure.id == "calls")
        .collect();
    let tables = count(&[cases], &[], &exposure, &calls).unwrap();
    let at = |by: &str, group: &str, month: Option<&str>| {
        let key = Key {
            measure: "calls".into(),
            version: 1,
            by: by.into(),
            group: group.into(),
            month: month.map(|month| month.parse().unwrap()),
        };
        tables
            .events
            .get(&key)
            .map(|count| (count.events, count.exposure_minutes))
    };
    assert_eq!(at("all", "all", None), Some((2, 1800)));
    assert_eq!(at("all", "all", Some("2026-02")), Some((0, 600)));
    assert_eq!(at("site", "Alder", Some("2026-03")), Some((1, 600)));
    assert_eq!(at("shift", "not_recorded", None), Some((1, 0)));
    assert_eq!(at("presentation", "not_recorded", None), Some((2, 1800)));
    assert_eq!(at("weekday+hour", "mon|7", None), Some((1, 480)));
    assert_eq!(
        at("weekday+hour", "not_recorded|not_recorded", None),
        Some((1, 0))
    );
    // Another site may have such calls: without its hours here, their rates would not add up.
    assert_eq!(at("presentation", "lower_bleed", None), Some((0, 1800)));
}

/// Rows in the order of the file: an event of the 3rd call, a case that is not judged, an event of
/// the last call, one without event of the 1st, one of a later month, two calls of one minute.
#[test]
fn events_of_a_share_come_in_the_order_of_the_calls() {
    let rows = [
        ("C", "30", "2026-08", Some("perforation")),
        ("A", "20", "2026-08", None),
        ("E", "50", "2026-09", Some("perforation")),
        ("B", "10", "2026-08", Some("none")),
        ("G", "60", "2026-10", Some("perforation")),
        ("F", "40", "2026-09", Some("none")),
        ("D", "40", "2026-09", Some("perforation")),
    ];
    let mut cells = Vec::new();
    for (row, (id, minute, month, event)) in rows.into_iter().enumerate() {
        cells.extend([
            (row, "case_id", id),
            (row, "called_minute", minute),
            (row, "month", month),
        ]);
        cells.extend(event.map(|event| (row, "adverse_event", event)));
    }
    let cases = [records::<CaseField>(rows.len(), &cells)];
    let mut measures = built_in();
    measures.retain(|measure| measure.id == "adverse_event" || measure.id == "overtube_used");
    let exposure = Exposure::default();
    let in_order = |measures: &[Definition]| {
        let mut counter = Counter::new(measures, &["adverse_event", "unheard_of"], TWO);
        counter.add_all(&cases, &[]);
        let last_month = Some("2026-09".parse().unwrap());
        counter.finish().tables(&exposure, last_month).unwrap()
    };
    let (tables, sequences) = in_order(&measures);
    assert_eq!(tables, count(&cases, &[], &exposure, &measures).unwrap());
    assert_eq!(sequences.keys().collect::<Vec<_>>(), ["adverse_event"]);
    let sequence = &sequences["adverse_event"];
    let events: Vec<_> = sequence
        .events
        .iter()
        .map(|event| (event.minute, event.cases_before, event.month.to_string()))
        .collect();
    // 10 none, 30 event, then at 40 first F without and then D with an event, 50 event.
    let expected = [(30, 1, "2026-08"), (40, 1, "2026-09"), (50, 0, "2026-09")];
    assert_eq!(
        events,
        expected.map(|(minute, cases, month)| (minute, cases, month.to_owned()))
    );
    assert_eq!((sequence.cases_after, sequence.last_minute), (0, Some(50)));

    // A measure that does not select the call is joined to its case.
    let mut joined = measures.clone();
    for measure in &mut joined {
        measure.sql = measure.sql.replace(" called_minute,", "");
    }
    let (_, of_joined) = in_order(&joined);
    assert_eq!(of_joined, sequences);
}
