//! The passes export, alone and against the cases.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

fn passes(what: &'static str, rows: &str) -> Input {
    Input::rows(what, GOOD.replace("K1", "K2")).passes(format!("Case,Pass,Device\n{rows}"))
}

const CASES: &str = "2 = 2 + 0 + 0";

#[test]
fn passes_that_belong_to_no_accepted_case() {
    passes("an unknown number", "K1,1,net\nSECRET,1,net\n")
        .reviewed()
        .ends_with_passes(1, CASES, Some("2 = 1 + 1 + 0"), &["R07 passes.csv, line 3"]);
    passes("a number in other letters", "k1,1,net\n").ends_with_passes(
        1,
        CASES,
        Some("1 = 0 + 1 + 0"),
        &["R07 passes.csv, line 2"],
    );
    Input::rows(
        "a case that was set aside",
        "K9,Alder,SECRET,2026-03-01 10:00,,,\n",
    )
    .passes("Case,Pass,Device\nK9,1,net\nK1,1,net\n")
    .ends_with_passes(
        1,
        "2 = 1 + 1 + 0",
        Some("2 = 1 + 1 + 0"),
        &[
            "C02 presentation, line 3",
            "R03 line 3",
            "R07 passes.csv, line 2",
        ],
    );
}

#[test]
fn passes_without_a_key_or_twice() {
    passes("no case number", ",1,SECRET\n").ends_with_passes(
        1,
        CASES,
        Some("1 = 0 + 1 + 0"),
        &["R02 passes.csv, line 2", "C02 passes.csv, device, line 2"],
    );
    passes("the same pass twice", "K1,1,net\nK1,1,net\n").ends_with_passes(
        0,
        CASES,
        Some("2 = 1 + 0 + 1"),
        &["R05 passes.csv, line 3"],
    );
    passes("two devices in one pass", "K1,1,net\nK1,1,snare\n").ends_with_passes(
        1,
        CASES,
        Some("2 = 1 + 1 + 0"),
        &["R06 passes.csv, line 3"],
    );
    // A pass without a number is kept, or its case would look like one with fewer passes.
    passes("no number of the pass", "K1,,net\nK1,,net\n").ends_with_passes(
        0,
        CASES,
        Some("2 = 2 + 0 + 0"),
        &[],
    );
}

#[test]
fn cells_of_passes_that_cannot_be_used() {
    passes("a device nobody knows", "K1,1,SECRET\n").ends_with_passes(
        1,
        CASES,
        Some("1 = 1 + 0 + 0"),
        &["C02 passes.csv, device, line 2"],
    );
    passes(
        "pass zero and pass 201",
        "K1,0,net\nK1,201,net\nK1,200,net\n",
    )
    .ends_with_passes(
        1,
        CASES,
        Some("3 = 3 + 0 + 0"),
        &[
            "C06 passes.csv, pass_number, line 2",
            "C06 passes.csv, pass_number, line 3",
        ],
    );
    passes(
        "a number in words",
        "K1,SECRET,net\nK1,1st,net\nK1,1.5,net\n",
    )
    .ends_with_passes(
        1,
        CASES,
        Some("3 = 3 + 0 + 0"),
        &[
            "C05 passes.csv, pass_number, line 2",
            "C05 passes.csv, pass_number, line 3",
            "C05 passes.csv, pass_number, line 4",
        ],
    );
    passes("an error of a spreadsheet", "K1,#REF!,net\n").ends_with_passes(
        1,
        CASES,
        Some("1 = 1 + 0 + 0"),
        &["C11 passes.csv, pass_number, line 2"],
    );
}

/// Cases with an outcome, and passes with a result.
fn against(what: &'static str, outcomes: &[&str], passes: &str) -> Input {
    let mut cases = HEADER.replace('\n', ",Outcome\n");
    for (number, outcome) in (1..).zip(outcomes) {
        cases += &GOOD
            .replace("K1", &format!("K{number}"))
            .replace('\n', &format!(",{outcome}\n"));
    }
    Input::of(what)
        .column("outcome = \"Outcome\"")
        .table("result = \"Result\"")
        .cases(cases)
        .passes(format!("Case,Pass,Device,Result\n{passes}"))
}

#[test]
fn outcomes_without_a_pass() {
    against(
        "removed, pushed, failed, and gone",
        &["removed", "pushed", "failed", "not_present"],
        "",
    )
    .ends_with_passes(
        0,
        "4 = 4 + 0 + 0",
        Some("0 = 0 + 0 + 0"),
        &["R13 line 2", "R13 line 3", "R13 line 4"],
    );
    // The only pass of K1 is set aside, so K1 has none.
    against(
        "a pass that cannot be read",
        &["removed"],
        "K1,1,net,removed,SECRET\n",
    )
    .ends_with_passes(
        1,
        "1 = 1 + 0 + 0",
        Some("1 = 0 + 1 + 0"),
        &["R01 passes.csv, line 2", "R13 line 2"],
    );
}

#[test]
fn outcomes_against_the_results_of_passes() {
    against(
        "removed, but each pass failed",
        &["removed"],
        "K1,1,net,failed\nK1,2,snare,failed\n",
    )
    .ends_with_passes(0, "1 = 1 + 0 + 0", Some("2 = 2 + 0 + 0"), &["R14 line 2"]);
    against(
        "failed, but a pass took it out",
        &["failed"],
        "K1,1,net,removed\n",
    )
    .ends_with_passes(0, "1 = 1 + 0 + 0", Some("1 = 1 + 0 + 0"), &["R14 line 2"]);
    against(
        "removed, and one result is unknown",
        &["removed"],
        "K1,1,net,failed\nK1,2,net,\n",
    )
    .ends_with_passes(0, "1 = 1 + 0 + 0", Some("2 = 2 + 0 + 0"), &[]);
}

#[test]
fn passes_that_the_mapping_does_not_let_in() {
    Input::rows("passes twice", "")
        .mapped(
            "object_type = \"Object\"",
            "object_type = \"Object\"\n[cases.devices]\ncolumns = [\"Device\"]",
        )
        .cases("Case,Site,Reason,Called,In,Out,Object,Device\n")
        .passes("Case,Pass,Device\nSECRET,1,net\n")
        .refused(
            "a passes export was given, and `[cases.devices]`",
            "leave `--passes` out",
        );
    Input::rows("no columns of passes", "")
        .mapped(
            "[passes.columns]\ncase_id = \"Case\"\npass_number = \"Pass\"\ndevice = \"Device\"\n",
            "",
        )
        .passes("Case,Pass,Device\nSECRET,1,net\n")
        .refused(
            "the mapping has no `[passes.columns]`",
            "add `[passes.columns]`",
        );
    passes("a column of passes that is missing", "")
        .passes("Case,Pass,SECRET\nK1,1,net\n")
        .refused(
            "no column `Device`, which the mapping gives for `device`",
            "correct the heading",
        );
    passes("an empty file of passes", "")
        .passes("")
        .refused("`passes.csv` is empty", "run the export again");
}

#[test]
fn a_header_without_a_row_is_news_that_can_be_true_of_passes() {
    passes("no passes this month", "").ends_with_passes(0, CASES, Some("0 = 0 + 0 + 0"), &[]);
}

#[test]
fn passes_without_a_number_that_stand_in_two_files_repeat() {
    let file = |rows: &str| format!("Case,Pass,Device\n{rows}");
    let two = |what, first: &str, second: &str| {
        Input::rows(what, GOOD.replace("K1", "K2"))
            .file("a.csv", file(first))
            .file("b.csv", file(second))
            .typed("--cases cases.csv --passes a.csv b.csv")
    };
    two("the same pass in both", "K1,,net\n", "K1,, Net\n").ends_with_passes(
        0,
        CASES,
        Some("2 = 1 + 0 + 1"),
        &["R05 b.csv, line 2"],
    );
    // Within a file, two passes may well be told in the same words.
    two("twice in each", "K1,,net\nK1,,net\n", "K1,,net\nK1,,net\n").ends_with_passes(
        0,
        CASES,
        Some("4 = 2 + 0 + 2"),
        &["R05 b.csv, line 2", "R05 b.csv, line 3"],
    );
    two(
        "another device, another case, and twice in the second file",
        "K1,,net\n",
        "K1,,snare\nK2,,net\nK1,,snare\n",
    )
    .ends_with_passes(0, CASES, Some("4 = 4 + 0 + 0"), &[]);
}
