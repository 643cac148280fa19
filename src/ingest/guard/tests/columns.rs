//! Whole columns: what their cells say together, and that it does not matter in which order, nor by
//! how many threads, they were seen.

use super::watch;
use crate::ingest::guard::IdentifierKind as Identifier;
use crate::ingest::guard::watch::{ColumnWatch, Looking};
use proptest::prelude::*;

#[track_caller]
fn check(cells: &[String], expected: Option<(Identifier, u64, u64)>) {
    let found = watch(cells)
        .verdict()
        .map(|finding| (finding.kind, finding.cells, finding.of));
    assert_eq!(found, expected);
}

fn repeated(cell: &str, times: usize) -> Vec<String> {
    vec![cell.to_string(); times]
}

/// A mixture: `cells`, and words that say nothing up to `length` cells.
fn among_words(cells: &[&str], length: usize) -> Vec<String> {
    let mut column: Vec<String> = cells.iter().map(ToString::to_string).collect();
    column.resize(length, "snare".into());
    column
}

/// Written in every way, 60 dates from 1931 on, every 16 months or so.
fn births(write: impl Fn(i32, i32, i32) -> String) -> Vec<String> {
    (0..60)
        .map(|index| write(1931 + index * 4 / 3, index % 12 + 1, index % 28 + 1))
        .collect()
}

/// 60 dates of two years.
fn calls(write: impl Fn(i32, i32, i32) -> String) -> Vec<String> {
    (0..60)
        .map(|index| write(2024 + index / 30, index % 12 + 1, index % 28 + 1))
        .collect()
}

#[test]
fn dates_over_lifetimes_are_dates_of_birth_and_dates_of_some_years_are_not() {
    const MONTHS: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    let month = |month: i32| MONTHS[usize::try_from(month - 1).unwrap()];
    let forms: [&dyn Fn(i32, i32, i32) -> String; 12] = [
        &|y, m, d| format!("{y}-{m:02}-{d:02}T00:00:00+01:00"),
        &|y, m, d| format!("{d:02}/{m:02}/{y} 0:00"),
        &|y, m, d| format!("{y}-{m:02}-{d:02}"),
        &|y, m, d| format!("{d:02}.{m:02}.{y}"),
        &|y, m, d| format!("{m}/{d}/{y}"),
        &|y, m, d| format!("{y}{m:02}{d:02}"),
        &|y, m, d| format!("{d:02}{m:02}{y}"),
        &|y, m, d| format!("{y}-{m:02}-{d:02} 00:00:00"),
        &|y, m, d| format!("{y}-{m:02}-{d:02}T00:00:00Z"),
        &|y, m, d| format!("{m}/{d}/{y} 12:00:00 AM"),
        &|y, m, d| format!("{d}-{}-{y}", month(m)),
        &|y, m, d| format!("{} {d}, {y}", month(m)),
    ];
    for (index, form) in forms.into_iter().enumerate() {
        // 1931 + 59 * 4 / 3 = 2009: every one of them is before 2016.
        let found = watch(births(form)).verdict().map(|finding| finding.kind);
        assert_eq!(found, Some(Identifier::BirthDate), "form {index}");
        check(&births(form), Some((Identifier::BirthDate, 60, 60)));
        check(&calls(form), None);
    }
}

#[test]
fn years_of_two_digits_are_read_as_dates_too() {
    // `31` of 1931 could be 2031, and is read so: 59 of 60 are up to 2015.
    check(
        &births(|y, m, d| format!("{m:02}/{d:02}/{:02}", y % 100)),
        Some((Identifier::BirthDate, 59, 60)),
    );
    check(
        &calls(|y, m, d| format!("{m:02}/{d:02}/{:02}", y % 100)),
        None,
    );
    // The year first: days of the month stand where the year would be.
    check(
        &calls(|y, m, d| format!("{:02}-{m:02}-{d:02}", y % 100)),
        None,
    );
}

#[test]
fn a_time_of_day_makes_a_date_no_date_of_birth() {
    check(&births(|y, m, d| format!("{y}-{m:02}-{d:02} 12:42")), None);
    check(&births(|y, m, d| format!("{d:02}.{m:02}.{y} 00:42")), None);
}

#[test]
fn a_few_impossible_dates_among_calls_are_no_dates_of_birth() {
    let mut column = calls(|y, m, d| format!("{y}-{m:02}-{d:02}"));
    column.extend(repeated("1900-01-01", 30));
    column.extend(["1924-03-01", "1932-04-01", "1999-12-31"].map(String::from));
    check(&column, None);
}

#[test]
fn an_old_archive_with_a_wrong_year_holds_no_dates_of_birth() {
    let mut column: Vec<String> = (0..60)
        .map(|index| format!("{}-05-06", 1995 + index / 4))
        .collect();
    column.extend(["1924-03-01", "2031-04-01"].map(String::from));
    check(&column, None);
}

#[test]
fn days_that_stand_where_a_year_is_looked_for_are_no_years_of_birth() {
    let column = ["24-03-01", "24-05-05", "25-01-12", "25-06-28", "25-07-31"];
    check(&column.map(String::from), None);
}

#[test]
fn four_dates_of_birth_are_too_few_and_five_are_enough() {
    let dates = [
        "1931-02-03",
        "1944-05-06",
        "1957-08-09",
        "1970-11-12",
        "2001-01-02",
    ];
    let dates = dates.map(String::from);
    check(&dates[..4], None);
    check(&dates, Some((Identifier::BirthDate, 5, 5)));
}

#[test]
fn numbers_that_all_differ_are_record_numbers() {
    let numbers = |step: u32, times: u32| -> Vec<String> {
        (0..times)
            .map(|index| (4_000_003 + index * step).to_string())
            .collect()
    };
    check(&numbers(17, 19), None);
    check(&numbers(17, 20), Some((Identifier::RecordNumber, 20, 20)));
    check(
        &numbers(17, 5_000),
        Some((Identifier::RecordNumber, 5_000, 5_000)),
    );
    // Each twice.
    let twice: Vec<String> = numbers(17, 2_500)
        .into_iter()
        .chain(numbers(17, 2_500))
        .collect();
    check(&twice, None);
    // Five digits: spreadsheet dates, and much else.
    check(
        &(0..500)
            .map(|index| (45_000 + index).to_string())
            .collect::<Vec<_>>(),
        None,
    );
    // Times of day and seconds since 1970.
    let times: Vec<String> = (0..500)
        .map(|index| format!("{:02}{:02}{:02}", index % 24, index % 60, (index * 7) % 60))
        .collect();
    check(&times, None);
    let seconds: Vec<String> = (0..500)
        .map(|index| (1_727_786_527 + index * 977).to_string())
        .collect();
    assert!(watch(seconds).verdict().is_none());
    check(&calls(|y, m, d| format!("{y}{m:02}{d:02}")), None);
}

#[test]
fn an_nhs_column_is_found_and_random_numbers_are_not_taken_for_one() {
    // Valid by hand: see the table of cells.
    let valid = ["9434765919", "9313317125", "5466066893", "1745438912"];
    check(&repeated(valid[0], 4), None);
    let column: Vec<String> = valid
        .iter()
        .cycle()
        .take(40)
        .map(ToString::to_string)
        .collect();
    check(&column, Some((Identifier::NationalNumber, 40, 40)));
    // Consecutive numbers: one in eleven passes.
    let column: Vec<String> = (0..2_200_u64)
        .map(|index| (4_000_000_000 + index).to_string())
        .collect();
    let found = watch(column).verdict().unwrap();
    assert_eq!(found.kind, Identifier::RecordNumber);
}

#[test]
fn thresholds_say_how_many_cells_are_needed() {
    let email = Some((Identifier::Email, 1, 10_000));
    check(&among_words(&["nurse@example.org"], 10_000), email);

    check(&among_words(&["123-45-6789"], 900), None);
    check(
        &among_words(&["123-45-6789"; 2], 900),
        Some((Identifier::NationalNumber, 2, 900)),
    );
    check(
        &repeated("123-45-6789", 1),
        Some((Identifier::NationalNumber, 1, 1)),
    );

    check(&among_words(&["(415) 555-0132"], 900), None);
    check(
        &among_words(&["(415) 555-0132"; 2], 900),
        Some((Identifier::Phone, 2, 900)),
    );

    check(&among_words(&["020 7946 0018"; 2], 200), None);
    check(
        &among_words(&["020 7946 0018"; 3], 300),
        Some((Identifier::Phone, 3, 300)),
    );
    check(&among_words(&["020 7946 0018"; 3], 301), None);

    check(&among_words(&["Dr Okafor"], 900), None);
    check(
        &among_words(&["Dr Okafor"; 2], 900),
        Some((Identifier::PersonName, 2, 900)),
    );

    check(
        &among_words(&["12 High Street"; 2], 900),
        Some((Identifier::PostalAddress, 2, 900)),
    );
    check(
        &among_words(&["PO1 3AX"; 3], 300),
        Some((Identifier::PostalCode, 3, 300)),
    );
    check(&among_words(&["PO1 3AX"; 2], 300), None);
    check(
        &among_words(&["02139-4307"; 3], 30),
        Some((Identifier::PostalCode, 3, 30)),
    );
    check(&among_words(&["02139-4307"; 3], 31), None);
    check(
        &among_words(&["192.0.2.1"; 3], 30),
        Some((Identifier::IpAddress, 3, 30)),
    );
    check(&among_words(&["192.0.2.1"; 2], 30), None);
    check(
        &among_words(&["1EG4-TE5-MK73"; 2], 900),
        Some((Identifier::AccountOrPlanNumber, 2, 900)),
    );
    check(
        &among_words(&["www.example.org"], 900),
        Some((Identifier::WebAddress, 1, 900)),
    );
}

#[test]
fn a_column_of_names_differs_and_one_of_coded_words_repeats() {
    let names = ["Okafor, Ngozi", "Abara, Ada", "Nwosu, Chidi", "Eze, Ifeoma"];
    check(
        &among_words(&names, 20),
        Some((Identifier::PersonName, 4, 20)),
    );
    check(&among_words(&names, 21), None);
    check(&repeated("Fully, Partly", 900), None);
    let mut coded = repeated("Fully, Partly", 450);
    coded.extend(repeated("snare", 450));
    check(&coded, None);

    // Two capitalized words: only a column of ten and more.
    let first = ["Ngozi", "Ada", "Chidi", "Ifeoma", "Obi"];
    let last = ["Okafor", "Abara", "Nwosu", "Eze"];
    let pairs: Vec<String> = first
        .iter()
        .flat_map(|first| last.iter().map(move |last| format!("{first} {last}")))
        .collect();
    check(&pairs, Some((Identifier::PersonName, 20, 20)));
    check(&pairs[..9], None);
    check(&pairs[..10], Some((Identifier::PersonName, 10, 10)));
}

#[test]
fn long_cells_that_differ_are_free_text_and_long_labels_that_repeat_are_not() {
    let note = |index: u32| {
        format!("number {index} came in after lunch and could not swallow anything at all")
    };
    let notes: Vec<String> = (0..3).map(note).collect();
    let mut column = notes.clone();
    column.resize(10_000, "snare".into());
    check(&column, Some((Identifier::FreeText, 3, 10_000)));
    check(&notes[..1], Some((Identifier::FreeText, 1, 1)));
    let labels: Vec<String> = (0..900).map(|index| note(index % 12)).collect();
    check(&labels, None);
}

#[test]
fn refused_cells_are_searched_for_persons_only() {
    let verdict = |cells: &[String]| {
        let mut watch = ColumnWatch::new(Looking::RefusedCells);
        for cell in cells {
            watch.observe(cell.as_bytes());
        }
        watch.verdict().map(|finding| finding.kind)
    };
    assert_eq!(
        verdict(&births(|y, m, d| format!("{y}-{m:02}-{d:02}"))),
        None
    );
    assert_eq!(verdict(&repeated("PO1 3AX", 9)), None);
    assert_eq!(
        verdict(&repeated("Dr Okafor", 9)),
        Some(Identifier::PersonName)
    );
    assert_eq!(
        verdict(&repeated("a@example.org", 1)),
        Some(Identifier::Email)
    );
}

/// Cells of all kinds, also bytes that are no text.
fn cell() -> impl Strategy<Value = Vec<u8>> {
    let pieces = prop::sample::select(vec![
        "Okafor",
        ", ",
        "Dr ",
        "@",
        "example.org",
        "415-",
        "555-",
        "0132",
        "123-45-6789",
        " ",
        "+44",
        "PO1 3AX",
        "12 ",
        "Street",
        "1954-03-12",
        "00:00",
        "é",
        "É",
        "\u{a0}",
        "9434765919",
        ".",
        "(",
    ]);
    prop_oneof![
        prop::collection::vec(any::<u8>(), 0..300),
        prop::collection::vec(pieces, 0..12).prop_map(|pieces| pieces.concat().into_bytes()),
        "[0-9 +().:/-]{0,40}".prop_map(String::into_bytes),
        "[A-Z][a-z]{1,8},? [A-Z][a-z]{1,8}".prop_map(String::into_bytes),
        (1930_u32..2030, 1_u32..13, 1_u32..29)
            .prop_map(|(y, m, d)| format!("{y}-{m:02}-{d:02}").into_bytes()),
        (0_u32..9_999_999).prop_map(|number| number.to_string().into_bytes()),
    ]
}

proptest! {
    #[test]
    fn no_cell_and_no_heading_makes_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        let mut watch = ColumnWatch::new(Looking::EveryCell);
        watch.observe(&bytes);
        let _ = watch.verdict();
        let _ = crate::ingest::guard::heading_kind(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn neither_order_nor_threads_change_the_verdict(
        cells in prop::collection::vec(cell(), 0..120),
        split in 0_usize..120,
    ) {
        let observe = |cells: &mut dyn Iterator<Item = &Vec<u8>>| {
            let mut watch = ColumnWatch::new(Looking::EveryCell);
            cells.for_each(|cell| watch.observe(cell));
            watch
        };
        let whole = observe(&mut cells.iter());
        let backwards = observe(&mut cells.iter().rev());
        let (one, other) = cells.split_at(split.min(cells.len()));
        let (one, other) = (observe(&mut one.iter()), observe(&mut other.iter()));
        let mut forth = one.clone();
        forth.merge(&other);
        let mut back = other;
        back.merge(&one);
        let expected = whole.verdict();
        prop_assert_eq!(backwards.verdict(), expected);
        prop_assert_eq!(forth.verdict(), expected);
        prop_assert_eq!(back.verdict(), expected);
    }
}
