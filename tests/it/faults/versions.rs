//! Corrected versions of a case: which stands, within a file and across files.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

fn versions(what: &'static str, rows: &[(&str, &str, &str)]) -> Input {
    Input::of(what)
        .column("record_version = \"Version\"")
        .cases(table(rows))
}

/// Number of the case, version and object of each row.
fn table(rows: &[(&str, &str, &str)]) -> String {
    let mut text = HEADER.replace('\n', ",Version\n");
    for (id, version, object) in rows {
        text += &GOOD
            .replace("K1", id)
            .replace("Meat", object)
            .replace('\n', &format!(",{version}\n"));
    }
    text
}

#[test]
fn the_highest_version_stands_wherever_it_is() {
    versions("1 then 2", &[("K1", "1", "SECRET"), ("K1", "2", "Meat")])
        .reviewed()
        .ends(
            1,
            "2 = 1 + 1 + 0",
            &["C02 object_type, line 2", "R11 line 2"],
        );
    versions("2 then 1", &[("K1", "2", "Meat"), ("K1", "1", "")]).ends(
        0,
        "2 = 1 + 1 + 0",
        &["R11 line 3"],
    );
    versions(
        "10 is above 9",
        &[("K1", "9", ""), ("K1", "10", "Meat"), ("K1", "1", "")],
    )
    .ends(0, "3 = 1 + 2 + 0", &["R11 line 2", "R11 line 4"]);
    versions(
        "a version is above none",
        &[("K1", "", ""), ("K1", "0", "Meat")],
    )
    .ends(0, "2 = 1 + 1 + 0", &["R11 line 2"]);
}

#[test]
fn rows_of_the_same_version_repeat_or_contradict_one_another() {
    versions(
        "the same version twice",
        &[("K1", "2", "Meat"), ("K1", "2", "Meat")],
    )
    .ends(0, "2 = 1 + 0 + 1", &["R05 line 3"]);
    versions(
        "two rows of version 2",
        &[("K1", "2", "Meat"), ("K1", "2", "")],
    )
    .ends(1, "2 = 1 + 1 + 0", &["R06 line 3"]);
    versions(
        "a version that is no number",
        &[("K1", "SECRET", "Meat"), ("K2", "1", "Meat")],
    )
    .ends(1, "2 = 2 + 0 + 0", &["C05 record_version, line 2"]);
}

#[test]
fn versions_in_two_files() {
    Input::of("the correction in the first file")
        .column("record_version = \"Version\"")
        .file("a.csv", table(&[("K1", "2", "Meat")]))
        .file("b.csv", table(&[("K1", "1", ""), ("K2", "1", "Meat")]))
        .typed("--cases a.csv b.csv")
        .ends(0, "3 = 2 + 1 + 0", &["R11 b.csv, line 2"]);
    Input::of("the correction in the second file")
        .column("record_version = \"Version\"")
        .file("a.csv", table(&[("K1", "1", "")]))
        .file("b.csv", table(&[("K1", "2", "Meat")]))
        .typed("--cases a.csv b.csv")
        .ends(0, "2 = 1 + 1 + 0", &["R11 a.csv, line 2"]);
}

#[test]
fn the_later_amendment_stands() {
    let input = |what, rows: &[(&str, &str, &str)]| {
        let text = table(rows).replacen(",Version", ",Amended", 1);
        Input::of(what)
            .column("amended_at = \"Amended\"")
            .cases(text)
    };
    let (early, late) = ("2026-03-02 09:00", "2026-03-02 09:01");
    input(
        "amended a minute later",
        &[("K1", early, ""), ("K1", late, "Meat")],
    )
    .ends(0, "2 = 1 + 1 + 0", &["R11 line 2"]);
    input(
        "never amended, then amended",
        &[("K1", "", ""), ("K1", early, "Meat")],
    )
    .ends(0, "2 = 1 + 1 + 0", &["R11 line 2"]);
    input(
        "amended at no time",
        &[("K1", "SECRET", "Meat"), ("K2", early, "Meat")],
    )
    .ends(1, "2 = 2 + 0 + 0", &["C03 amended_at, line 2"]);
}

#[test]
fn a_corrected_version_outside_of_the_period_takes_the_case_with_it() {
    versions(
        "moved out of the period",
        &[("K1", "1", "Meat"), ("K2", "1", "Meat")],
    )
    .file(
        "b.csv",
        table(&[("K1", "2", "Meat")]).replace("2026-03-01 10:00", "2026-04-01 10:00"),
    )
    .typed("--cases cases.csv b.csv")
    .with("--to 2026-03")
    // From the call in April back to a scope in March is out of order, too.
    .ends(
        0,
        "3 = 1 + 2 + 0",
        &[
            "R11 line 2",
            "R09 b.csv, line 2",
            "T01 b.csv, called_at to scope_in_at, line 2",
        ],
    );
}

#[test]
fn a_later_version_that_cannot_be_used_does_not_leave_the_earlier_one_silent() {
    let without = |rows: &[(&str, &str, &str)], from: &str| {
        let text = table(rows);
        let last = text.trim_end().rfind('\n').unwrap();
        let (before, row) = text.split_at(last);
        versions("the last row lacks something", rows)
            .cases(format!("{before}{}", row.replacen(from, "", 1)))
    };
    let two = [("K1", "1", "Meat"), ("K1", "2", "Meat")];
    without(&two, "2026-03-01 10:00").ends(1, "2 = 1 + 1 + 0", &["R04 line 3", "R17 line 2"]);
    without(&two, "Food").ends(1, "2 = 1 + 1 + 0", &["R03 line 3", "R17 line 2"]);
    // The next one stands, and the one before it does not.
    let three = [("K1", "1", ""), ("K1", "2", "Meat"), ("K1", "3", "")];
    without(&three, "Food").ends(
        1,
        "3 = 1 + 2 + 0",
        &["R11 line 2", "R17 line 3", "R03 line 4"],
    );
    // An earlier one that cannot be used, and one of another case, say nothing.
    let earlier = [("K1", "2", "Meat"), ("K1", "1", "Meat")];
    without(&earlier, "Food").ends(1, "2 = 1 + 1 + 0", &["R03 line 3"]);
    let other = [("K1", "1", "Meat"), ("K2", "2", "Meat")];
    without(&other, "Food").ends(1, "2 = 1 + 1 + 0", &["R03 line 3"]);
}

#[test]
fn a_later_amendment_that_cannot_be_used_is_told_as_well() {
    let rows = [
        ("K1", "2026-03-02 09:00", "Meat"),
        ("K1", "2026-03-02 09:01", "Meat"),
    ];
    let text = table(&rows).replacen(",Version", ",Amended", 1);
    let (before, last) = text.rsplit_once("K1,Alder,Food").unwrap();
    Input::of("an amended row without its reason")
        .column("amended_at = \"Amended\"")
        .cases(format!("{before}K1,Alder,{last}"))
        .ends(1, "2 = 1 + 1 + 0", &["R03 line 3", "R17 line 2"]);
}

#[test]
fn a_version_that_cannot_be_read_supersedes_nothing_and_is_not_superseded() {
    versions(
        "a word for a version, then a version",
        &[("K1", "SECRET", "Meat"), ("K1", "1", "Meat")],
    )
    .ends(
        1,
        "2 = 1 + 1 + 0",
        &["C05 record_version, line 2", "R06 line 2"],
    );
    versions(
        "a version, then a word for one",
        &[("K1", "1", "Meat"), ("K1", "SECRET", "")],
    )
    .ends(
        1,
        "2 = 1 + 1 + 0",
        &["C05 record_version, line 3", "R06 line 3"],
    );
    // A higher version needs no time.
    versions(
        "amended at no time, but an earlier version",
        &[("K1", "1,SECRET", ""), ("K1", "2,2026-03-02 09:00", "Meat")],
    )
    .column("amended_at = \"Amended\"")
    .cases(
        table(&[("K1", "1,SECRET", ""), ("K1", "2,2026-03-02 09:00", "Meat")]).replacen(
            ",Version",
            ",Version,Amended",
            1,
        ),
    )
    .ends(
        1,
        "2 = 1 + 1 + 0",
        &["C03 amended_at, line 2", "R11 line 2"],
    );
}
