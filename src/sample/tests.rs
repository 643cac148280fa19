//! What the sample promises of its files: exact numbers, the form, the faults, the mapping.

mod cart_checks;
mod duty;
mod planted;

use super::*;
use crate::domain::fields::{Field, Kind, Origin};
use case::Case;
use jiff::civil::DateTime;
use std::collections::BTreeSet;
use std::sync::LazyLock;

const COMMITTED_CASES: &str = include_str!("../../sample_data/cases.csv");
const COMMITTED_PASSES: &str = include_str!("../../sample_data/passes.csv");
const COMMITTED_MAPPING: &str = include_str!("../../sample_data/mapping.toml");
const COMMITTED_README: &str = include_str!("../../sample_data/README.md");

fn plan_of(cases: u64) -> Plan {
    Plan {
        cases,
        ..Plan::default()
    }
}

fn written(plan: &Plan) -> (String, String, Summary) {
    let (mut cases, mut passes) = (Vec::new(), Vec::new());
    let summary = write(plan, &mut cases, &mut passes).unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (text(cases), text(passes), summary)
}

/// Cases without the faults, enough of them for shares to be within about a percent.
static MANY_CASES: LazyLock<Vec<Case>> = LazyLock::new(|| {
    let plan = plan_of(20_000);
    let calendar = Calendar::new(plan.first_month, plan.months).unwrap();
    cases(&plan, &calendar).collect()
});

#[test]
fn the_committed_files_are_what_the_generator_writes() {
    let (cases, passes, summary) = written(&Plan::default());
    assert!(
        cases == COMMITTED_CASES,
        "sample_data/cases.csv is out of date"
    );
    assert!(
        passes == COMMITTED_PASSES,
        "sample_data/passes.csv is out of date"
    );
    assert_eq!(mapping_toml(&Plan::default()).unwrap(), COMMITTED_MAPPING);
    assert_eq!(summary.faults_left_out, []);
    let files = [
        COMMITTED_CASES,
        COMMITTED_PASSES,
        COMMITTED_MAPPING,
        COMMITTED_README,
    ];
    assert!(files.iter().map(|file| file.len()).sum::<usize>() < 450_000);
}

#[test]
fn the_seed_decides_everything() {
    let plan = plan_of(300);
    let other = Plan { seed: 2, ..plan };
    assert_eq!(written(&plan), written(&plan));
    assert_ne!(written(&plan).0, written(&other).0);
}

#[test]
fn every_plan_has_exactly_its_cases_in_order_of_the_call() {
    for count in [0, 1, 3, 4, 5, 2_000] {
        let (text, _, summary) = written(&plan_of(count));
        let numbers: BTreeSet<&str> = text.lines().skip(1).map(first_cell).collect();
        assert_eq!(numbers.len() as u64, count);
        assert_eq!(summary.case_rows, text.lines().count() as u64 - 1);
    }
    let calls: Vec<i64> = MANY_CASES.iter().map(|case| case.times.called).collect();
    assert!(calls.is_sorted());
    let plan = Plan::default();
    let calendar = Calendar::new(plan.first_month, plan.months).unwrap();
    let months: BTreeSet<Month> = calls
        .iter()
        .map(|minute| calendar::month_of(calendar.wall_clock(*minute).date()))
        .collect();
    assert!(
        months
            .into_iter()
            .eq(plan.first_month.through(plan.last_month()))
    );
}

#[test]
fn case_numbers_are_all_different() {
    for count in [999, 30_000] {
        let numbers = CaseNumbers::new(count);
        let mut number = String::new();
        let different: BTreeSet<String> = (0..=count)
            .map(|index| {
                numbers.write(index, &mut number);
                number.clone()
            })
            .collect();
        assert_eq!(different.len() as u64, count + 1);
    }
}

#[test]
fn the_nights_of_the_clock_changes_have_their_cases() {
    let rows: Vec<Vec<&str>> = rows_of(COMMITTED_CASES);
    let [paged, team, airway, scope_out] =
        ["Paged", "Team complete", "Airway ready", "Scope out"].map(column_of_cases);
    for (date, airway_clock, scope_out_clock) in [
        ("03.11.2024", "01:02", "01:29"),
        ("09.03.2025", "03:05", "03:29"),
        ("02.11.2025", "01:02", "01:29"),
        ("08.03.2026", "03:05", "03:29"),
    ] {
        let row = rows
            .iter()
            .find(|row| row[paged] == format!("{date} 01:15"))
            .unwrap();
        assert_eq!(row[team], format!("{date} 01:40"));
        assert_eq!(row[airway], format!("{date} {airway_clock}"));
        assert_eq!(row[scope_out], format!("{date} {scope_out_clock}"));
    }
}

#[test]
fn some_cases_cross_midnight() {
    let [paged, handed] = ["Paged", "Handed to reprocessing"].map(column_of_cases);
    let crossing = rows_of(COMMITTED_CASES)
        .iter()
        .filter(|row| !row[handed].is_empty() && row[paged][..10] != row[handed][..10])
        .count();
    assert!((20..200).contains(&crossing), "{crossing}");
}

#[test]
fn each_fault_stands_in_the_sample_once() {
    for count in [900, 4_000] {
        let (cases, passes, summary) = written(&plan_of(count));
        assert_eq!(summary.faults_left_out, []);
        let rows: Vec<&str> = cases.lines().skip(1).collect();
        let repeats = rows.windows(2).filter(|pair| pair[0] == pair[1]).count();
        assert_eq!(repeats, 1);
        assert_eq!(passes.matches(wording::UNKNOWN_DEVICE).count(), 1);
        assert_eq!(cases.matches(";31.02.").count(), 1);

        let numbers: BTreeSet<&str> = rows.iter().map(|row| first_cell(row)).collect();
        let strays = passes
            .lines()
            .skip(1)
            .filter(|row| !numbers.contains(first_cell(row)));
        assert_eq!(strays.count(), 1);

        let [scope_in, scope_out] = ["Scope in", "Scope out"].map(column_of_cases);
        let is_swapped = |row: &&Vec<&str>| {
            !row[scope_out].is_empty() && moment(row[scope_out]) < moment(row[scope_in])
        };
        let swapped = rows_of(&cases);
        let swapped: Vec<_> = swapped.iter().filter(is_swapped).collect();
        // The autumn clock change makes a true sequence look swapped too; those nights are known.
        let typed_wrong = swapped
            .iter()
            .filter(|row| !["03.11.2024", "02.11.2025"].contains(&&row[scope_in][..10]));
        assert_eq!(typed_wrong.count(), 1);
    }
}

#[test]
fn a_sample_of_a_few_cases_says_which_faults_it_leaves_out() {
    let (_, _, summary) = written(&plan_of(1));
    assert_eq!(summary.faults_left_out, Fault::ALL);
}

#[test]
fn the_mapping_knows_every_heading_and_every_word_but_the_planted_one() {
    let mapping: toml::Table = COMMITTED_MAPPING.parse().unwrap();
    let (cases, passes, _) = written(&plan_of(4_000));

    // The invented export corrects no row, so it has no versions, and gives one score.
    let left_out = [
        CaseField::RecordVersion,
        CaseField::AmendedAt,
        CaseField::ExportedRockall,
        CaseField::ExportedAims65,
        CaseField::ExportedOakland,
    ];
    let case_fields = CaseField::ALL
        .iter()
        .filter(|field| field.origin() == Origin::Export && !left_out.contains(field));
    let case_fields = case_fields
        .map(|field| (field.name(), field.kind()))
        .collect();
    let unknown = unknown_words(&cases, &mapping["cases"], case_fields);
    assert_eq!(unknown, BTreeSet::new());

    let pass_fields = PassField::ALL.iter();
    let pass_fields = pass_fields
        .map(|field| (field.name(), field.kind()))
        .collect();
    let unknown = unknown_words(&passes, &mapping["passes"], pass_fields);
    assert_eq!(
        unknown,
        BTreeSet::from([wording::UNKNOWN_DEVICE.to_owned()])
    );
}

/// The cells of coded columns that the mapping does not lead to a code of the domain.
fn unknown_words(
    text: &str,
    mapping: &toml::Value,
    fields: Vec<(&'static str, Kind)>,
) -> BTreeSet<String> {
    let headings: Vec<&str> = text.lines().next().unwrap().split(';').collect();
    assert_eq!(mapping["columns"].as_table().unwrap().len(), fields.len());
    assert_eq!(headings.len(), fields.len());
    let rows = rows_of(text);
    let mut unknown = BTreeSet::new();
    for (field, kind) in fields {
        let heading = mapping["columns"][field].as_str().unwrap();
        let column = headings.iter().position(|cell| *cell == heading).unwrap();
        let Kind::Code(list) = kind else { continue };
        for row in &rows {
            let word = row[column];
            let code = mapping["codes"][field]
                .get(word)
                .and_then(|code| code.as_str());
            let is_known = code.is_some_and(|code| list.position(code).is_some());
            if !is_known && !word.is_empty() && word != wording::NOT_RECORDED {
                unknown.insert(word.to_owned());
            }
        }
    }
    unknown
}

#[test]
fn an_output_that_cannot_be_written_is_an_error() {
    struct Full;
    impl Write for Full {
        fn write(&mut self, _: &[u8]) -> io::Result<usize> {
            Err(io::ErrorKind::StorageFull.into())
        }
        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
    let error = write(&plan_of(10), Full, io::sink()).unwrap_err();
    assert_eq!(error.kind(), io::ErrorKind::StorageFull);
    let error = write(&plan_of(2_000), io::sink(), Full).unwrap_err();
    assert_eq!(error.kind(), io::ErrorKind::StorageFull);
}

fn first_cell(row: &str) -> &str {
    row.split(';').next().unwrap()
}

fn rows_of(text: &str) -> Vec<Vec<&str>> {
    text.lines()
        .skip(1)
        .map(|row| row.split(';').collect())
        .collect()
}

fn column_of_cases(heading: &str) -> usize {
    let mut headings = COMMITTED_CASES.lines().next().unwrap().split(';');
    headings.position(|cell| cell == heading).unwrap()
}

fn moment(cell: &str) -> DateTime {
    DateTime::strptime(rows::TIME_FORMAT, cell).unwrap()
}
