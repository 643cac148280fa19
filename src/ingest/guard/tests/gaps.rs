//! What a stranger found that the guard let through, and what it stopped for nothing.

use super::{findings, mapped, watch};
use crate::domain::fields::CaseField;
use crate::ingest::guard::watch::{ColumnWatch, Looking};
use crate::ingest::guard::{HeadingLists, IdentifierKind as Identifier};

fn among_words(cells: &[&str]) -> Option<Identifier> {
    let mut column: Vec<&str> = cells.to_vec();
    column.resize(900, "snare");
    watch(column).verdict().map(|finding| finding.kind)
}

fn looked_at(looking: Looking, cells: &[String]) -> Option<Identifier> {
    let mut watch = ColumnWatch::new(looking);
    for cell in cells {
        watch.observe(cell.as_bytes());
    }
    watch.verdict().map(|finding| finding.kind)
}

#[test]
fn two_labeled_numbers_in_a_column_are_enough() {
    for (cell, kind) in [
        ("MRN 4456781", Identifier::RecordNumber),
        ("MRN: 4456781", Identifier::RecordNumber),
        ("mrn#E4456781", Identifier::RecordNumber),
        ("DOB 3/4/1956", Identifier::BirthDate),
        ("dob: 12 Mar 1956", Identifier::BirthDate),
        ("D.O.B. 1956", Identifier::BirthDate),
        ("SSN 123456789", Identifier::NationalNumber),
        ("NHS no 943 476 5919", Identifier::NationalNumber),
        ("Phone 5551234567", Identifier::Phone),
        ("tel. no: 5551234", Identifier::Phone),
        ("OKAFOR^NGOZI", Identifier::PersonName),
        ("PID|OKAFOR^NGOZI^A", Identifier::PersonName),
    ] {
        assert_eq!(among_words(&[cell; 2]), Some(kind), "{cell}");
        assert_eq!(among_words(&[cell]), None, "{cell}");
    }
    for cell in [
        "NHS trust 12",
        "phone 2026-03-01 10:42",
        "cell count 1234567",
        "born late",
        "chart 12",
        "tel 10:42",
        "GI^BLEED",
    ] {
        assert_eq!(among_words(&[cell; 2]), None, "{cell}");
    }
}

#[test]
fn one_number_or_name_within_a_sentence_is_enough() {
    for (cell, kind) in [
        ("was seen by Dr Okafor", Identifier::PersonName),
        ("please call wife at 415-555-0132", Identifier::Phone),
        ("has ssn with him 123-45-6789", Identifier::NationalNumber),
        ("came back with MRN 4456781", Identifier::RecordNumber),
    ] {
        assert_eq!(among_words(&[cell]), Some(kind), "{cell}");
    }
}

#[test]
fn numbers_with_a_mark_that_all_differ_are_record_numbers() {
    let column =
        |write: &dyn Fn(u64) -> String, count| -> Vec<String> { (0..count).map(write).collect() };
    let forms: [&dyn Fn(u64) -> String; 4] = [
        &|index| format!("M{}", 4_456_781 + index * 7),
        &|index| format!("AB{}", 445_678 + index * 7),
        &|index| format!("{}.0", 4_456_781 + index * 7),
        &|index| (445_678_190_123 + index * 7919).to_string(),
    ];
    for (index, form) in forms.into_iter().enumerate() {
        let every = Looking::EveryCell;
        assert_eq!(looked_at(every, &column(form, 19)), None, "form {index}");
        let found = looked_at(every, &column(form, 20));
        assert_eq!(found, Some(Identifier::RecordNumber), "form {index}");
        assert_eq!(looked_at(Looking::CaseNumbers, &column(form, 20)), None);
    }
    // Dates with a time of day, and five digits.
    let times = column(
        &|index| format!("2026{:02}{:02}1042", index % 12 + 1, index + 1),
        28,
    );
    assert_eq!(looked_at(Looking::EveryCell, &times), None);
    let short = column(&|index| (44_567 + index).to_string(), 60);
    assert_eq!(looked_at(Looking::EveryCell, &short), None);
}

#[test]
fn columns_of_names_with_initials_or_degrees_are_names() {
    let last = [
        "Okafor",
        "Abara",
        "Nwosu",
        "Eze",
        "Marchetti",
        "Lindqvist",
        "Kowalski",
        "Ferreira",
        "Tanaka",
        "Moreau",
    ];
    let forms: [&dyn Fn(&str) -> String; 5] = [
        &|name| format!("{name} J"),
        &|name| format!("J. {name}"),
        &|name| format!("J.A. {name}"),
        &|name| format!("{name} MD"),
        &|name| format!("Dr {name}"),
    ];
    for (index, form) in forms.into_iter().enumerate() {
        let column: Vec<String> = last.iter().map(|name| form(name)).collect();
        let found = looked_at(Looking::EveryCell, &column);
        assert_eq!(found, Some(Identifier::PersonName), "form {index}");
    }
    let nine: Vec<String> = last[..9].iter().map(|name| format!("{name} J")).collect();
    assert_eq!(looked_at(Looking::EveryCell, &nine), None);
    let rooms: Vec<String> = ('A'..='Z').map(|letter| format!("Room {letter}")).collect();
    assert_eq!(looked_at(Looking::EveryCell, &rooms), None);
}

#[test]
fn a_site_may_be_named_after_a_person_but_not_like_one() {
    let column = |cells: &[&str]| -> Option<Identifier> {
        let mut sites = vec!["Alder".to_string(); 40];
        sites.extend(cells.iter().map(ToString::to_string));
        looked_at(Looking::Sites, &sites)
    };
    let name = Some(Identifier::PersonName);
    assert_eq!(column(&["Okafor, Ngozi"]), name);
    assert_eq!(column(&["OKAFOR^NGOZI"]), name);
    assert_eq!(column(&["Dr Okafor"]), name);
    assert_eq!(column(&["Ngozi Okafor", "Ada Abara"]), None);
    assert_eq!(column(&["Ngozi Okafor", "Ada Abara", "Chidi Nwosu"]), name);
    assert_eq!(
        column(&[
            "Mount Sinai",
            "St. Vincent",
            "Southmead Clinic",
            "Ngozi Okafor Campus"
        ]),
        None
    );
    assert_eq!(column(&["Springfield, North Campus"]), None);
}

#[test]
fn a_case_number_may_be_neither_a_social_security_number_nor_a_date_of_birth() {
    let numbers = |write: &dyn Fn(u64) -> String| -> Vec<String> { (0..20).map(write).collect() };
    let case_numbers = |cells: Vec<String>| looked_at(Looking::CaseNumbers, &cells);
    let spread = numbers(&|index| (123_456_789 + index * 7_310_123).to_string());
    assert_eq!(
        case_numbers(spread.clone()),
        Some(Identifier::NationalNumber)
    );
    assert_eq!(case_numbers(spread[..19].to_vec()), None);
    // Given one after another.
    assert_eq!(
        case_numbers(numbers(&|index| (123_456_789 + index * 7).to_string())),
        None
    );
    let initials = ["NO", "AA", "CN", "IE", "OBE"];
    let letters = |index: u64| initials[usize::try_from(index).unwrap() % initials.len()];
    let forms: [&dyn Fn(u64) -> String; 4] = [
        &|index| format!("{}{}0304", letters(index), 1931 + index * 3),
        &|index| format!("{}-{}-03-04", letters(index), 1931 + index * 3),
        &|index| format!("0304{}{}", 1931 + index * 3, letters(index)),
        &|index| format!("{}0304{:02}", letters(index), (1932 + index * 3) % 100),
    ];
    for (index, form) in forms.into_iter().enumerate() {
        let found = case_numbers(numbers(form));
        assert_eq!(found, Some(Identifier::BirthDate), "form {index}");
    }
    // A prefix and a number, and the date of the case.
    let prefixed = numbers(&|index| format!("ED0304{:02}", (1932 + index * 3) % 100));
    assert_eq!(case_numbers(prefixed), None);
    let dated = numbers(&|index| format!("{}202603{:02}", letters(index), index + 1));
    assert_eq!(case_numbers(dated), None);
}

#[test]
fn ages_that_could_not_be_read_may_be_dates_of_birth() {
    let births: Vec<String> = (0..20)
        .map(|index| format!("{}-03-04", 1931 + index * 3))
        .collect();
    assert_eq!(
        looked_at(Looking::RefusedAges, &births),
        Some(Identifier::BirthDate)
    );
    assert_eq!(looked_at(Looking::RefusedCells, &births), None);
}

#[test]
fn grades_of_staff_and_labels_that_repeat_are_nobody() {
    let found = |heading: &str, cells: &[&str]| {
        let rows: Vec<&[&str]> = cells.iter().map(std::slice::from_ref).collect();
        let found = findings(&[heading], &[None], HeadingLists::default(), &rows);
        found.first().map(|finding| finding.kind)
    };
    assert_eq!(
        found(
            "Operator",
            &["Consultant", "Senior fellow", "Trainee (ST5)"]
        ),
        None
    );
    assert_eq!(found("Nurse", &["C1", "C2", "N12"]), None);
    let name = Some(Identifier::PersonName);
    assert_eq!(found("Operator", &["Consultant", "okafor"]), name);
    assert_eq!(found("Operator", &["AB", "CD"]), name);
    assert_eq!(found("Operator", &["48213", "48214"]), name);
    let many: Vec<String> = (0..13).map(|index| format!("C{index}")).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    assert_eq!(found("Operator", &many), name);
    assert_eq!(found("Comments", &["see report"; 10]), None);
    assert_eq!(
        found("Comments", &["see report"; 9]),
        Some(Identifier::FreeText)
    );
}

#[test]
fn a_mapped_column_is_looked_for_in_its_own_way() {
    let site = [Some(mapped(CaseField::Site))];
    let rows: &[&[&str]] = &[
        &["Alder"],
        &["Alder"],
        &["Okafor, Ngozi"],
        &["Alder"],
        &["Alder"],
        &["Alder"],
    ];
    let found = findings(&["Place"], &site, HeadingLists::default(), rows);
    assert_eq!(found.len(), 1);
    assert_eq!(findings(&["Place"], &[], HeadingLists::default(), rows), []);
}
