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
    column(
        "one name in free text",
        "Extra",
        ["seen by Dr. Okafor", "x", "y"],
    )
    .ends(0, "3 = 3 + 0 + 0", &[]);
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
