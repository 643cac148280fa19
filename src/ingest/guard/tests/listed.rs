//! The headings that a mapping drops or clears.

use crate::ingest::guard::{CellsToPass, Guard, HeadingLists, ListedHeadings};
use std::path::PathBuf;

#[test]
fn a_listed_heading_that_no_file_of_the_export_has_is_an_error() {
    let paths = [PathBuf::from("cases.csv"), PathBuf::from("more.csv")];
    let check = |files: &[&[&str]], lists| {
        let mut listed = ListedHeadings::new(lists);
        for headings in files {
            listed.note(&Guard::new(headings, &[], lists));
        }
        listed.check(&paths[..files.len()])
    };
    let names = ["Nurse".to_string()];
    let lists = HeadingLists {
        drop: &names,
        cleared: &[],
    };
    assert!(check(&[&["Device", "Nurse"]], lists).is_ok());
    assert!(check(&[&["Device", "NURSE"]], lists).is_ok());
    assert!(check(&[&["Device"], &["nurse"]], lists).is_ok());
    let error = check(&[&["Device", "Nurses"]], lists).unwrap_err();
    assert_eq!(
        error.to_string(),
        "`cases.csv` has no column `Nurse`, which the mapping lists under `drop`"
    );
    let error = check(&[&["Device"], &["Nurses"]], lists).unwrap_err();
    assert_eq!(
        error.to_string(),
        "none of the 2 files from `cases.csv` on has a column `Nurse`, which the mapping lists under `drop`"
    );
    let lists = HeadingLists {
        drop: &[],
        cleared: &names,
    };
    let error = check(&[&["Device"]], lists).unwrap_err();
    assert!(error.to_string().contains("`cleared`") && error.hint().contains("`cleared`"));
}

#[test]
fn a_listed_heading_means_the_one_that_is_written_so_before_those_in_other_case() {
    let names = [" Scrub  nurse".to_string(), "Remark".to_string()];
    let lists = HeadingLists {
        drop: &names,
        cleared: &[],
    };
    let headings = ["Scrub nurse", "SCRUB NURSE", "REMARK"];
    let guard = Guard::new(&headings, &[], lists);
    let passes = |index| guard.cells_to_pass(index) == CellsToPass::No;
    assert!(passes(0) && passes(1) && passes(2));
    let names = ["Scrub nurse".to_string()];
    let lists = HeadingLists {
        drop: &names,
        cleared: &[],
    };
    let guard = Guard::new(&headings, &[], lists);
    assert_eq!(guard.cells_to_pass(0), CellsToPass::No);
    assert_eq!(guard.cells_to_pass(1), CellsToPass::Every);
    assert_eq!(guard.columns_dropped(), 1);
}
