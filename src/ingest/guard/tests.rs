use super::pattern::Pattern;
use super::watch::Looking;
use super::{
    CellsToPass, ColumnWatch, Evidence, Guard, GuardFinding, HeadingLists, IdentifierKind,
    MappedColumn, heading_kind, site_verdict,
};
use crate::domain::fields::{CaseField, Field, Kind};
use crate::ingest::error::IngestError;
use std::path::PathBuf;

mod columns;
mod gaps;
mod listed;
mod own_words;
mod sample;

const HEADINGS: &str = include_str!("../../../tests/data/guard/headings.csv");
const CELLS: &str = include_str!("../../../tests/data/guard/cells.txt");

/// A watch of every cell of a column that is not mapped.
fn watch<T: AsRef<str>>(cells: impl IntoIterator<Item = T>) -> ColumnWatch {
    let mut watch = ColumnWatch::new(Looking::EveryCell);
    for cell in cells {
        watch.observe(cell.as_ref().as_bytes());
    }
    watch
}

#[test]
fn headings_announce_what_a_person_would_say_they_do() {
    let mut wrong = Vec::new();
    for line in HEADINGS.lines().skip(1) {
        let (heading, expected) = line.split_once(';').unwrap();
        let found = heading_kind(heading).map_or("", IdentifierKind::code);
        if found != expected {
            wrong.push(format!(
                "`{heading}`: expected `{expected}`, found `{found}`"
            ));
        }
    }
    assert!(HEADINGS.lines().count() > 200);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn cells_show_the_patterns_that_were_worked_out_by_hand_and_no_other() {
    let mut wrong = Vec::new();
    let lines = CELLS.lines().filter(|line| !line.starts_with("# "));
    for line in lines.clone().filter(|line| *line != "#") {
        let (cell, expected) = line.rsplit_once('|').unwrap();
        let found: Vec<String> = watch([cell])
            .seen()
            .iter()
            .map(|pattern| format!("{pattern:?}"))
            .collect();
        let expected: Vec<&str> = expected.split_whitespace().collect();
        if found != expected {
            wrong.push(format!("`{cell}`: expected {expected:?}, found {found:?}"));
        }
    }
    assert!(lines.count() > 300);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_pattern_is_shown_by_some_cell_of_the_table() {
    for pattern in Pattern::ALL {
        let name = format!("{pattern:?}");
        let is_shown = |line: &str| {
            let shown = line.rsplit('|').next().unwrap_or_default();
            shown.split_whitespace().any(|word| word == name)
        };
        assert!(CELLS.lines().any(is_shown), "{name}");
    }
}

#[test]
fn every_kind_has_a_code_of_its_own_and_a_heading() {
    for kind in IdentifierKind::ALL {
        let code = kind.code();
        assert!(
            code.bytes()
                .all(|byte| byte.is_ascii_lowercase() || byte == b'_')
        );
        assert!(!kind.label().is_empty());
        let has_heading = |line: &str| line.ends_with(&format!(";{code}"));
        assert!(HEADINGS.lines().any(has_heading), "{code}");
    }
}

fn mapped(field: CaseField) -> MappedColumn {
    MappedColumn {
        field: field.name(),
        kind: field.kind(),
    }
}

/// Runs the guard over a small file and gives its findings.
fn findings(
    headings: &[&str],
    columns: &[Option<MappedColumn>],
    lists: HeadingLists<'_>,
    rows: &[&[&str]],
) -> Vec<GuardFinding> {
    let guard = Guard::new(headings, columns, lists);
    let mut watches = guard.watches();
    for row in rows {
        for (index, cell) in row.iter().enumerate() {
            // In these files the parsers refuse every cell.
            if guard.cells_to_pass(index) != CellsToPass::No {
                watches[index].observe(cell.as_bytes());
            }
        }
    }
    guard.findings(&watches)
}

#[test]
fn a_column_is_found_by_its_heading_or_its_cells_and_once_where_both_agree() {
    let found = findings(
        &["Case no.", "Patient name", "Team", "E-mail", "Age"],
        &[],
        HeadingLists::default(),
        &[
            &[
                "E-1",
                "withheld",
                "call 415-555-0132",
                "a@example.org",
                "67",
            ],
            &["E-2", "withheld", "call 415-555-0177", "", "68"],
        ],
    );
    let expected = |column_number, kind, from| GuardFinding {
        column_number,
        kind,
        from,
        mapped_field: None,
        files: 1,
    };
    assert_eq!(
        found,
        [
            expected(2, IdentifierKind::PersonName, Evidence::Heading),
            expected(
                3,
                IdentifierKind::Phone,
                Evidence::Values { cells: 2, of: 2 }
            ),
            expected(
                4,
                IdentifierKind::Email,
                Evidence::Values { cells: 1, of: 1 }
            ),
        ]
    );
}

#[test]
fn a_column_that_was_emptied_or_says_yes_and_no_is_harmless_whatever_its_heading() {
    let found = findings(
        &["Patient name", "Nurse", "Comments"],
        &[],
        HeadingLists::default(),
        &[&["", "Y", "yes"], &[" ", "N", "No"], &["", "Y", "n/a"]],
    );
    assert_eq!(found, []);
}

#[test]
fn dropped_and_cleared_headings_are_left_alone_unless_the_column_is_mapped() {
    let (drop, cleared) = (["Nurse".to_string()], ["Remarks".to_string()]);
    let lists = HeadingLists {
        drop: &drop,
        cleared: &cleared,
    };
    let rows: &[&[&str]] = &[&["Dr Okafor", "Dr Okafor"], &["Dr Abara", "Dr Abara"]];
    assert_eq!(findings(&["Nurse", "Remarks"], &[], lists, rows), []);
    let guard = Guard::new(&["Nurse", "Remarks", "Device"], &[], lists);
    assert_eq!(guard.cells_to_pass(0), CellsToPass::No);
    assert_eq!(guard.cells_to_pass(1), CellsToPass::No);
    assert_eq!(guard.cells_to_pass(2), CellsToPass::Every);
    assert_eq!(guard.cells_to_pass(3), CellsToPass::No);

    let columns = [Some(mapped(CaseField::Site)), Some(mapped(CaseField::Site))];
    let found = findings(&["Nurse", "Remarks"], &columns, lists, rows);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].column_number, 1);
    assert_eq!(found[0].mapped_field, Some("site"));
}

#[test]
fn a_mapped_time_is_no_date_of_birth_but_refused_cells_may_hold_a_phone_number() {
    let columns = [
        Some(mapped(CaseField::CalledAt)),
        Some(mapped(CaseField::Outcome)),
    ];
    let rows: Vec<[String; 2]> = (0..40)
        .map(|index| [format!("{}-03-12", 1940 + index * 2), "n".into()])
        .collect();
    let rows: Vec<Vec<&str>> = rows
        .iter()
        .map(|row| row.iter().map(String::as_str).collect())
        .collect();
    let rows: Vec<&[&str]> = rows.iter().map(Vec::as_slice).collect();
    let headings = ["Called", "Nurse"];
    assert_eq!(
        findings(&headings, &columns, HeadingLists::default(), &rows),
        []
    );
    // The same column, not mapped.
    let found = findings(&headings, &[], HeadingLists::default(), &rows);
    assert_eq!(found[0].kind, IdentifierKind::BirthDate);
    assert_eq!(found.len(), 1);

    let rows: &[&[&str]] = &[
        &[
            "415-555-0132",
            "He had eaten lunch at about noon and could not swallow anything since.",
        ],
        &[
            "415-555-0177",
            "wife says he always eats too fast; second time this year, came by car",
        ],
        &[
            "later",
            "The same person came in the month before and had eaten the same thing.",
        ],
    ];
    let found = findings(&headings, &columns, HeadingLists::default(), rows);
    assert_eq!(
        found,
        [GuardFinding {
            column_number: 1,
            kind: IdentifierKind::Phone,
            from: Evidence::RefusedValues { cells: 2, of: 3 },
            mapped_field: Some("called_at"),
            files: 1,
        }]
    );
}

#[test]
fn no_time_or_age_is_read_from_a_column_that_calls_itself_a_date_of_birth() {
    let columns = [
        Some(mapped(CaseField::AgeYears)),
        Some(mapped(CaseField::CalledAt)),
    ];
    let found = findings(&["DOB", "Phone"], &columns, HeadingLists::default(), &[]);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].kind, IdentifierKind::BirthDate);
    assert_eq!(found[0].mapped_field, Some("age_years"));
}

#[test]
fn a_case_number_may_be_a_record_number_but_not_under_that_heading() {
    let rows: Vec<String> = (0..50)
        .map(|index| (7_300_100 + index * 37).to_string())
        .collect();
    let rows: Vec<[&str; 1]> = rows.iter().map(|cell| [cell.as_str()]).collect();
    let rows: Vec<&[&str]> = rows.iter().map(<[&str; 1]>::as_slice).collect();
    let columns = [Some(mapped(CaseField::CaseId))];
    assert_eq!(
        findings(&["Case no."], &columns, HeadingLists::default(), &rows),
        []
    );
    let found = findings(&["MRN"], &columns, HeadingLists::default(), &rows);
    assert_eq!(found[0].from, Evidence::Heading);
    let found = findings(&["Case no."], &[], HeadingLists::default(), &rows);
    assert_eq!(found[0].kind, IdentifierKind::RecordNumber);
    assert_eq!(found[0].from, Evidence::Values { cells: 50, of: 50 });
}

#[test]
fn the_error_names_columns_and_kinds_and_neither_a_heading_nor_a_cell() {
    let error = IngestError::Identifiers {
        path: PathBuf::from("cases.csv"),
        findings: vec![
            GuardFinding {
                column_number: 3,
                kind: IdentifierKind::PersonName,
                from: Evidence::Heading,
                mapped_field: None,
                files: 1,
            },
            GuardFinding {
                column_number: 9,
                kind: IdentifierKind::Phone,
                from: Evidence::Values {
                    cells: 812,
                    of: 900,
                },
                mapped_field: None,
                files: 1,
            },
            GuardFinding {
                column_number: 11,
                kind: IdentifierKind::Email,
                from: Evidence::RefusedValues { cells: 1, of: 4 },
                mapped_field: Some("called_at"),
                files: 1,
            },
        ],
    };
    assert_eq!(
        error.to_string(),
        "`cases.csv` seems to hold identifiers of persons: \
         column 3 (heading: name of a person), \
         column 9 (812 of 900 filled cells: phone number), \
         column 11 (1 of 4 cells that could not be read: e-mail address; mapped to `called_at`)"
    );
    assert!(error.hint().contains("`drop`") && error.hint().contains("`cleared`"));
}

#[test]
fn sites_are_few_and_have_many_cases() {
    assert_eq!(site_verdict(3, 900), None);
    assert_eq!(site_verdict(3, 3), None);
    assert_eq!(site_verdict(20, 20), None);
    assert_eq!(site_verdict(21, 21), Some(IdentifierKind::RecordNumber));
    assert_eq!(site_verdict(21, 24), None);
    assert_eq!(site_verdict(200, 10_000), None);
    assert_eq!(site_verdict(201, 10_000), Some(IdentifierKind::PersonName));
    assert_eq!(site_verdict(900, 1_000), Some(IdentifierKind::RecordNumber));
    assert_eq!(site_verdict(0, 0), None);
}

#[test]
fn a_watch_shows_no_content_when_printed() {
    assert_eq!(format!("{:?}", watch(["Okafor, Ngozi"])), "ColumnWatch(..)");
}

#[test]
fn only_text_columns_are_watched_cell_by_cell() {
    for field in CaseField::ALL {
        let guard = Guard::new(&["x"], &[Some(mapped(*field))], HeadingLists::default());
        let expected = if field.kind() == Kind::Text {
            CellsToPass::Every
        } else {
            CellsToPass::Refused
        };
        assert_eq!(guard.cells_to_pass(0), expected, "{}", field.name());
    }
}
