//! Rows that repeat or contradict another one, within a file and across files.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

const TWO_FILES: &str = "--cases a.csv b.csv";

#[test]
fn repeats_and_conflicts_within_a_file() {
    Input::rows("the same row again", GOOD)
        .reviewed()
        .ends(0, "2 = 1 + 0 + 1", &["R05 line 3"]);
    Input::rows("the same row three times more", GOOD.repeat(3)).ends(
        0,
        "4 = 1 + 0 + 3",
        &["R05 line 3", "R05 line 4", "R05 line 5"],
    );
    Input::rows(
        "another reason under the same number",
        "K1,Alder,Food,2026-03-01 10:01,,,SECRET\n",
    )
    .ends(
        1,
        "2 = 1 + 1 + 0",
        &["R06 line 3", "C02 object_type, line 3"],
    );
    Input::rows("one value less", GOOD.replace("Meat", "")).ends(
        1,
        "2 = 1 + 1 + 0",
        &["R06 line 3"],
    );
    // What is wrong in a repeat was said of the row that it repeats.
    let bad = "K2,Alder,Food,2026-03-01 10:00,,,SECRET\n";
    Input::rows("a faulty row twice", bad.repeat(2)).ends(
        1,
        "3 = 2 + 0 + 1",
        &["C02 object_type, line 3", "R05 line 4"],
    );
    // Set aside rows claim no number.
    Input::rows(
        "a row without a call, then the same case whole",
        format!("K2,Alder,Food,,,,Meat\n{}", GOOD.replace("K1", "K2")),
    )
    .ends(1, "3 = 2 + 1 + 0", &["R04 line 3"]);
}

#[test]
fn columns_that_are_not_mapped_make_no_conflict() {
    let header = HEADER.replace('\n', ",Room\n");
    let good = GOOD.replace('\n', ",SECRET-1\n");
    Input::of("two rooms")
        .cases(format!("{header}{good}{}", good.replace("-1", "-2")))
        .ends(0, "2 = 1 + 0 + 1", &["R05 line 3"]);
}

#[test]
fn one_case_in_two_files() {
    let file = |rows: &str| format!("{HEADER}{rows}");
    Input::of("the same row in both")
        .file("a.csv", file(GOOD))
        .file("b.csv", file(GOOD))
        .typed(TWO_FILES)
        .ends(0, "2 = 1 + 0 + 1", &["R05 b.csv, line 2"]);
    Input::of("another row in the second")
        .file("a.csv", file(GOOD))
        .file("b.csv", file(&GOOD.replace("Meat", "SECRET")))
        .typed(TWO_FILES)
        .ends(
            1,
            "2 = 1 + 1 + 0",
            &["R06 b.csv, line 2", "C02 b.csv, object_type, line 2"],
        );
    Input::of("the same row with the columns in another order")
        .file("a.csv", file(GOOD))
        .file(
            "b.csv",
            "Object;In;Out;Case;Site;Reason;Called\n\
             Meat;2026-03-01 11:00;2026-03-01 11:20;K1;Alder;Food;2026-03-01 10:00\n",
        )
        .typed(TWO_FILES)
        .ends(0, "2 = 1 + 0 + 1", &["R05 b.csv, line 2"]);
    Input::of("values of two columns exchanged")
        .file("a.csv", file(&GOOD.replace("11:20", "11:00")))
        .file("b.csv", file(&GOOD.replace("11:00", "11:20")))
        .typed(TWO_FILES)
        .ends(
            1,
            "2 = 1 + 1 + 0",
            &[
                "T01 a.csv, scope_in_at to scope_out_at, line 2",
                "R06 b.csv, line 2",
                "T01 b.csv, scope_in_at to scope_out_at, line 2",
            ],
        );
    Input::of("many files, each with the last case of the one before")
        .file(
            "1.csv",
            file(&(GOOD.to_owned() + &GOOD.replace("K1", "K2"))),
        )
        .file(
            "2.csv",
            file(&(GOOD.replace("K1", "K2") + &GOOD.replace("K1", "K3"))),
        )
        .file(
            "3.csv",
            file(&(GOOD.replace("K1", "K3") + &GOOD.replace("K1", "K4"))),
        )
        .typed("--cases [123].csv")
        .ends(
            0,
            "6 = 4 + 0 + 2",
            &["R05 2.csv, line 2", "R05 3.csv, line 2"],
        );
}

#[test]
fn one_case_under_two_numbers() {
    let input = |what, rows: &str| {
        let header = HEADER.replace('\n', ",Arrived,Age\n");
        Input::of(what)
            .column("arrived_at = \"Arrived\"\nage_years = \"Age\"")
            .cases(format!("{header}{rows}"))
    };
    let one = "K1,Alder,Food,2026-03-01 10:00,,,Meat,2026-03-01 09:30,61\n";
    let other = |from: &str, to: &str| one.replace("K1", "SECRET").replace(from, to);
    input(
        "the same under another number",
        &format!("{one}{}", other("", "")),
    )
    .ends(0, "2 = 2 + 0 + 0", &["R12 line 3"]);
    input(
        "three times",
        &format!("{one}{}{}", other("", ""), one.replace("K1", "K3")),
    )
    .ends(0, "3 = 3 + 0 + 0", &["R12 line 3", "R12 line 4"]);
    input(
        "a minute later",
        &format!("{one}{}", other("10:00", "10:01")),
    )
    .ends(0, "2 = 2 + 0 + 0", &[]);
    input(
        "no age",
        &format!("{}{}", one.replace("61", ""), other("61", "")),
    )
    .ends(0, "2 = 2 + 0 + 0", &[]);
    input("another site", &format!("{one}{}", other("Alder", "Birch"))).ends(
        0,
        "2 = 2 + 0 + 0",
        &[],
    );
}

#[test]
fn a_row_in_other_letters_and_blanks_is_the_same_row() {
    Input::rows("blanks around cells", GOOD.replace(",Alder,", ", Alder ,"))
        .reviewed()
        .ends(0, "2 = 1 + 0 + 1", &["R05 line 3"]);
    Input::rows(
        "small letters",
        GOOD.replace("Food", "food").replace("Meat", "MEAT"),
    )
    .ends(0, "2 = 1 + 0 + 1", &["R05 line 3"]);
    let long = format!("Meat{}", " and Meat".repeat(40));
    let row = |object: &str| format!("K2,Alder,Food,2026-03-01 10:00,,,{object}\n");
    let words = |word: &str| format!("[cases.codes.object_type]\n\"{word}\" = \"food_bolus\"");
    Input::rows(
        "a long cell with more blanks",
        row(&long) + &row(&long.replace(' ', "   ").to_lowercase()),
    )
    .mapped("[cases.codes.object_type]", &words(&long))
    .ends(0, "3 = 2 + 0 + 1", &["R05 line 4"]);
    Input::rows(
        "a long cell with another end",
        row(&long) + &row(&format!("{long}s")),
    )
    .mapped("[cases.codes.object_type]", &words(&long))
    .ends(
        1,
        "3 = 2 + 1 + 0",
        &["R06 line 4", "C02 object_type, line 4"],
    );
    Input::rows("a blank less is another word", row("Me at") + &row("Meat")).ends(
        1,
        "3 = 2 + 1 + 0",
        &["C02 object_type, line 3", "R06 line 4"],
    );
}
