//! Identifiers of persons: which columns stop a run, and what lets it go on. Column 8 holds what the
//! heading or the cells give away; all persons, numbers and addresses are invented.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

/// Three good cases with one more column.
fn column(what: &'static str, heading: &str, cells: [&str; 3]) -> Input {
    let mut text = HEADER.replace('\n', &format!(",{heading}\n"));
    for (number, cell) in (1..).zip(cells) {
        text += &GOOD
            .replace("K1", &format!("K{number}"))
            .replace('\n', &format!(",{cell}\n"));
    }
    Input::of(what).cases(text)
}

const HINT: &str = "add their headings to `drop` in `[cases]`";

#[test]
fn headings_that_announce_identifiers() {
    for (heading, kind) in [
        ("Patient name", "name of a person"),
        ("MRN", "record number"),
        ("NHS number", "national number of a person"),
        ("Date of birth", "date of birth"),
        ("Telephone", "phone number"),
        ("E-mail", "e-mail address"),
        ("Street", "postal address"),
        ("ZIP code", "postal code"),
        ("Comments", "free text"),
    ] {
        column("a heading", heading, ["SECRET", "SECRET", "SECRET"])
            .refused(&format!("column 8 (heading: {kind})"), HINT);
    }
}

#[test]
fn cells_that_identify_under_a_harmless_heading() {
    for (kind, cells) in [
        ("e-mail address", ["SECRET@example.org", "x", "y"]),
        (
            "national number of a person",
            ["078-05-1120", "219-09-9999", ""],
        ),
        (
            "phone number",
            ["+1 312 555 0142", "+1 312 555 0143", "+1 312 555 0144"],
        ),
        (
            "name of a person",
            ["Dr. Okafor", "Dr. Lindqvist", "Dr. Marchetti"],
        ),
        ("web address", ["https://example.org/SECRET", "", ""]),
        (
            "postal address",
            ["12 Elm Street", "14 Elm Street", "7 Oak Avenue"],
        ),
    ] {
        column("cells", "Extra", cells).refused(&format!("filled cells: {kind}"), HINT);
    }
    column("one name in a cell", "Extra", ["Dr. Okafor", "x", "y"]).ends(0, "3 = 3 + 0 + 0", &[]);
    column(
        "one name in free text",
        "Extra",
        ["was seen by Dr. Okafor", "x", "y"],
    )
    .refused("column 8 (1 of 3 filled cells: name of a person)", HINT);
}

#[test]
fn columns_that_somebody_has_dropped_or_cleared() {
    let mails = ["SECRET@example.org"; 3];
    column("dropped", "Extra", mails)
        .set("drop = [\"Extra\"]")
        .reviewed()
        .ends(0, "3 = 3 + 0 + 0", &[]);
    column("cleared", "Extra", mails)
        .set("cleared = [\"Extra\"]")
        .ends(0, "3 = 3 + 0 + 0", &[]);
    column("a dropped heading that is not there", "Extra", mails)
        .set("drop = [\"Extras\"]")
        .refused(
            "no column `Extras`, which the mapping lists under `drop`",
            "correct the heading in `drop`",
        );
    column("a cleared heading that is not there", "Extra", mails)
        .set("cleared = [\"Extras\"]")
        .refused(
            "no column `Extras`, which the mapping lists under `cleared`",
            "correct the heading in `cleared`",
        );
    column("a mapped column that is dropped as well", "Extra", mails)
        .mapped("object_type = \"Object\"", "object_type = \"Extra\"")
        .set("drop = [\"Extra\"]")
        .refused(
            "mapped to `object_type`",
            "a mapped column cannot be dropped",
        );
}

#[test]
fn identifiers_in_mapped_columns() {
    let cases = |what, from: &str, cells: [&str; 3]| {
        let mut text = HEADER.to_owned();
        for cell in cells {
            text += &GOOD
                .replace("K1", &format!("K{}", text.len()))
                .replace(from, cell);
        }
        Input::of(what).cases(text)
    };
    cases(
        "e-mail addresses for objects",
        "Meat",
        ["SECRET@example.org"; 3],
    )
    .refused(
        "column 7 (3 of 3 cells that could not be read: e-mail address; mapped to `object_type`)",
        "a mapped column cannot be dropped",
    );
    cases(
        "titled names for sites",
        "Alder",
        ["Dr. Okafor", "Dr. Lindqvist", "Dr. Marchetti"],
    )
    .refused(
        "name of a person; mapped to `site`",
        "give it other values in the export",
    );
    Input::of("social security numbers for case numbers")
        .cases(format!(
            "{HEADER}{}{}",
            GOOD.replace("K1", "078-05-1120"),
            GOOD.replace("K1", "219-09-9999")
        ))
        .refused(
            "column 1 (2 of 2 filled cells: national number of a person; mapped to `case_id`)",
            "random case numbers",
        );
    Input::of("a date of birth that is mapped to a time")
        .column("arrived_at = \"DOB\"")
        .cases(format!(
            "{}{}",
            HEADER.replace('\n', ",DOB\n"),
            GOOD.replace('\n', ",2026-03-01 09:00\n")
        ))
        .refused(
            "(heading: date of birth; mapped to `arrived_at`)",
            "a mapped column cannot be dropped",
        );
}

#[test]
fn identifiers_in_passes() {
    Input::rows("a nurse for each pass", "")
        .passes("Case,Pass,Device,Nurse\nK1,1,net,SECRET\n")
        .refused("`passes.csv` seems to hold identifiers of persons: column 4 (heading: name of a person)", "`[passes]`");
}

/// Good cases from one number on, with one more column.
fn month(heading: &str, from: usize, cells: &[String]) -> String {
    let mut text = HEADER.replace('\n', &format!(",{heading}\n"));
    for (number, cell) in (from..).zip(cells) {
        text += &GOOD
            .replace("K1", &format!("K{number}"))
            .replace('\n', &format!(",{cell}\n"));
    }
    text
}

#[test]
fn numbers_that_are_spread_over_the_files_of_one_export() {
    let numbers: Vec<String> = (0..60)
        .map(|index| (4_456_781 + index * 7).to_string())
        .collect();
    let part = |index: usize| &numbers[index * 15..][..15];
    Input::of("fifteen record numbers in each of four files")
        .file("jan.csv", month("Ref", 100, part(0)))
        .file("feb.csv", month(" ref", 200, part(1)))
        .file("mar.csv", month("REF", 300, part(2)))
        .file("apr.csv", month("Ref", 400, part(3)))
        .typed("--cases jan.csv feb.csv mar.csv apr.csv")
        .refused(
            "`jan.csv` seems to hold identifiers of persons: column 8 (60 of 60 filled cells in 4 files: record number)",
            HINT,
        );
    Input::of("as many in passes")
        .cases(format!("{HEADER}{GOOD}"))
        .file("one.csv", passes(&numbers[..15]))
        .file("two.csv", passes(&numbers[15..30]))
        .typed("--cases cases.csv --passes one.csv two.csv")
        .refused(
            "`one.csv` seems to hold identifiers of persons: column 4 (30 of 30 filled cells in 2 files: record number)",
            "`[passes]`",
        );
}

fn passes(cells: &[String]) -> String {
    let rows = (1..).zip(cells);
    let rows = rows.map(|(number, cell)| format!("K1,{number},net,{cell}"));
    let rows: Vec<String> = rows.collect();
    format!("Case,Pass,Device,Ref\n{}\n", rows.join("\n"))
}

#[test]
fn identifiers_in_rows_that_are_set_aside() {
    Input::rows(
        "e-mail addresses in rows that are too short",
        "K2,SECRET@example.org\n",
    )
    .refused(
        "column 2 (1 of 2 filled cells: e-mail address; mapped to `site`)",
        "",
    );
    Input::rows(
        "numbers beyond the last column",
        format!(
            "{}{}",
            GOOD.replace("K1", "K2").replace('\n', ",078-05-1120\n"),
            GOOD.replace("K1", "K3").replace('\n', ",219-09-9999\n")
        ),
    )
    .refused(
        "2 of 4 cells that could not be read: national number of a person; mapped to `object_type`",
        "",
    );
}

#[test]
fn identifiers_above_the_header_and_in_it() {
    for (line, kind) in [
        ("Patient: Doe, SECRET  MRN 4456781", "record number"),
        ("DOB 3/4/1956", "date of birth"),
        ("SSN 123-45-6789", "national number of a person"),
        ("Phone: 5551234567", "phone number"),
        ("Patient: Doe, Jane", "name of a person"),
        ("Patient,SMITH^JOHN", "name of a person"),
    ] {
        Input::of("a patient above the header")
            .cases(format!("Emergency endoscopy\n{line}\n{HEADER}{GOOD}"))
            .refused(
                &format!(
                    "`cases.csv`, line 2, above the header, seems to identify a person: {kind}"
                ),
                "take it out of the export",
            );
    }
    Input::of("harmless lines above the header")
        .cases(format!(
            "Emergency endoscopy, Alder Hospital\nPrinted 2026-04-01 08:00; 1 of 12 pages\nReport 20260401\n\n{HEADER}{GOOD}"
        ))
        .ends(0, "1 = 1 + 0 + 0", &[]);
    column("a record number in a heading", "MRN 4456781", ["x"; 3])
        .refused("column 8 (heading: record number)", HINT);
}

#[test]
fn dropped_headings_are_compared_like_mapped_ones_and_over_all_files() {
    let mails: Vec<String> = vec!["SECRET@example.org".into()];
    let two = |what: &'static str, set: &str| {
        Input::of(what)
            .file("one.csv", month("Nurse  A", 1, &mails))
            .file("two.csv", month("Nurse B", 2, &mails))
            .typed("--cases one.csv two.csv")
            .set(set)
    };
    two("each in one file", "drop = [\" nurse a\", \"NURSE B\"]").ends(0, "2 = 2 + 0 + 0", &[]);
    two("one in no file", "drop = [\"Nurse A\", \"Nurse B\", \"Nurse C\"]").refused(
        "none of the 2 files from `one.csv` on has a column `Nurse C`, which the mapping lists under `drop`",
        "correct the heading in `drop`",
    );
}

#[test]
fn harmless_columns_under_headings_of_persons() {
    for (heading, cells) in [
        ("Operator", ["Consultant", "Fellow", "Trainee"]),
        ("Operator 1", ["C1", "C2", "C1"]),
        ("Anticoagulant name", ["apixaban", "Warfarin", "none"]),
        ("Note type", ["op note", "addendum", "consult"]),
    ] {
        column("harmless", heading, cells).ends(0, "3 = 3 + 0 + 0", &[]);
    }
    for cells in [["JD", "AB", "JD"], ["Smith", "Fellow", "Fellow"]] {
        column("operators by name", "Operator", cells)
            .refused("column 8 (heading: name of a person)", HINT);
    }
}

#[test]
fn sites_are_guarded_more_strictly_and_ages_against_dates_of_birth() {
    let cases = |what, from: &str, cells: &[&str]| {
        let mut text = HEADER.to_owned();
        for (number, cell) in cells.iter().enumerate() {
            text += &GOOD
                .replace("K1", &format!("K{number}"))
                .replace(from, cell);
        }
        Input::of(what).cases(text)
    };
    let mut sites = vec!["Alder"; 37];
    sites.extend(["Ngozi Okafor", "Chidi Nwosu", "Ada Abara"]);
    cases("three names among sites", "Alder", &sites).refused(
        "column 2 (3 of 40 filled cells: name of a person; mapped to `site`)",
        "",
    );
    let mut sites = vec!["Alder"; 39];
    sites.push("\"Okafor, Ngozi\"");
    cases("one name with a comma", "Alder", &sites).refused("name of a person", "");
    sites = vec![
        "Alder North",
        "Mount Sinai",
        "Saint Vincent",
        "Kaposvar Clinic",
        "Selly Oak Street",
    ];
    cases("names of places", "Alder", &sites).ends(0, "5 = 5 + 0 + 0", &[]);

    let mut text = HEADER.replace('\n', ",Age\n");
    for number in 0..20 {
        text += &GOOD
            .replace("K1", &format!("K{number}"))
            .replace('\n', &format!(",03/04/{}\n", 1931 + number * 3));
    }
    Input::of("dates of birth for ages")
        .column("age_years = \"Age\"")
        .cases(text)
        .refused(
            "column 8 (20 of 20 cells that could not be read: date of birth; mapped to `age_years`)",
            "",
        );
}
