//! Rows as a whole: their number of cells, what a case cannot do without, totals and remarks,
//! periods, rows over many lines.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

#[test]
fn rows_with_another_number_of_cells() {
    Input::rows(
        "a cell too many",
        "K2,Alder,Food,2026-03-01 10:00,,,Meat,SECRET\n",
    )
    .reviewed()
    .ends(1, "2 = 1 + 1 + 0", &["R01 line 3"]);
    Input::rows("a cell too few", "SECRET,Alder,Food,2026-03-01 10:00,,\n").ends(
        1,
        "2 = 1 + 1 + 0",
        &["R01 line 3"],
    );
    Input::rows(
        "a separator in an unquoted cell",
        "K2,Alder,Food,2026-03-01 10:00,,,Meat, SECRET\n",
    )
    .ends(1, "2 = 1 + 1 + 0", &["R01 line 3"]);
    Input::rows(
        "a row cut by an unquoted line break",
        "K2,Alder,Food,2026-03-01 10:00,,\nSECRET,Meat\n",
    )
    .ends(1, "3 = 1 + 2 + 0", &["R01 line 3", "R01 line 4"]);
    Input::rows(
        "thousands of cells",
        format!("SECRET{}\n", ",x".repeat(5000)),
    )
    .ends(1, "2 = 1 + 1 + 0", &["R01 line 3"]);
}

#[test]
fn blank_cells_after_the_last_column_are_no_fault() {
    Input::rows(
        "separators at the end",
        "K2,Alder,Food,2026-03-01 10:00,,,Meat,,\n",
    )
    .ends(0, "2 = 2 + 0 + 0", &[]);
    Input::rows(
        "blanks at the end",
        "K2,Alder,Food,2026-03-01 10:00,,,Meat, ,\"\"\n",
    )
    .ends(0, "2 = 2 + 0 + 0", &[]);
}

#[test]
fn short_rows_are_filled_where_the_mapping_says_so() {
    let short = "K2,Alder,Food,2026-03-01 10:00\n";
    Input::rows("a short row", short).ends(1, "2 = 1 + 1 + 0", &["R01 line 3"]);
    Input::rows("a short row that is filled", short)
        .set("short_rows = \"blank\"")
        .reviewed()
        .ends(0, "2 = 2 + 0 + 0", &["R15 line 3"]);
    Input::rows("a row that ends before its call", "SECRET,Alder,Food\n")
        .set("short_rows = \"blank\"")
        .ends(1, "2 = 1 + 1 + 0", &["R04 line 3", "R15 line 3"]);
    Input::rows(
        "a long row where short ones are filled",
        "K2,Alder,Food,2026-03-01 10:00,,,,SECRET\n",
    )
    .set("short_rows = \"blank\"")
    .ends(1, "2 = 1 + 1 + 0", &["R01 line 3"]);
    Input::rows("short passes", "")
        .mapped(
            "[passes.columns]",
            "[passes]\nshort_rows = \"blank\"\n[passes.columns]",
        )
        .passes("Case,Pass,Device,Remark\nK1,1,net\n")
        .ends_with_passes(
            0,
            "1 = 1 + 0 + 0",
            Some("1 = 1 + 0 + 0"),
            &["R15 passes.csv, line 2"],
        );
}

#[test]
fn cases_without_a_number() {
    Input::rows("no number", ",SECRET,Food,2026-03-01 10:00,,,Meat\n").ends(
        1,
        "2 = 1 + 1 + 0",
        &["R02 line 3"],
    );
    Input::rows(
        "a number of blanks",
        "\"  \",SECRET,Food,2026-03-01 10:00,,,Meat\n",
    )
    .ends(1, "2 = 1 + 1 + 0", &["R02 line 3"]);
    Input::rows(
        "a word for nothing in place of a number",
        "N/A,SECRET,Food,2026-03-01 10:00,,,\n",
    )
    .set("missing = [\"n/a\"]")
    .ends(1, "2 = 1 + 1 + 0", &["R02 line 3"]);
    // The case number is looked at first, so nothing else is said of this row.
    Input::rows("separators alone", ",,,,,,\n").ends(1, "2 = 1 + 1 + 0", &["R02 line 3"]);
}

#[test]
fn cases_without_a_reason_for_the_call() {
    Input::rows("no reason", "SECRET,Alder,,2026-03-01 10:00,,,Meat\n").ends(
        1,
        "2 = 1 + 1 + 0",
        &["R03 line 3"],
    );
    Input::rows(
        "a reason nobody knows",
        "K2,Alder,SECRET,2026-03-01 10:00,,,Meat\n",
    )
    .ends(
        1,
        "2 = 1 + 1 + 0",
        &["C02 presentation, line 3", "R03 line 3"],
    );
    Input::rows(
        "a reason that was not recorded",
        "SECRET,Alder,unclear,2026-03-01 10:00,,,Meat\n",
    )
    .mapped("\"Food\" =", "\"unclear\" = \"not_recorded\"\n\"Food\" =")
    .ends(1, "2 = 1 + 1 + 0", &["R03 line 3"]);
}

#[test]
fn cases_without_a_call() {
    Input::rows("no call", "SECRET,Alder,Food,,2026-03-01 11:00,,Meat\n").ends(
        1,
        "2 = 1 + 1 + 0",
        &["R04 line 3"],
    );
    Input::rows(
        "a call that is no time",
        "K2,Alder,Food,SECRET,2026-03-01 11:00,,Meat\n",
    )
    .ends(1, "2 = 1 + 1 + 0", &["C03 called_at, line 3", "R04 line 3"]);
    Input::rows(
        "a call in the skipped hour",
        "SECRET,Alder,Food,2026-03-08 02:30,,,Meat\n",
    )
    .ends(1, "2 = 1 + 1 + 0", &["C04 called_at, line 3", "R04 line 3"]);
    Input::rows(
        "a call in 1900",
        "SECRET,Alder,Food,1900-01-01 00:00,,,Meat\n",
    )
    .ends(1, "2 = 1 + 1 + 0", &["C10 called_at, line 3", "R04 line 3"]);
}

#[test]
fn totals_remarks_and_repeated_headers_are_no_cases() {
    Input::rows("a total", "Total,,,SECRET,,,12\n").ends(1, "2 = 1 + 1 + 0", &["R10 line 3"]);
    Input::rows("a total of fewer cells", "Total: 12,SECRET\n").ends(
        1,
        "2 = 1 + 1 + 0",
        &["R10 line 3"],
    );
    Input::rows("a remark", "SECRET data only\n").ends(1, "2 = 1 + 1 + 0", &["R10 line 3"]);
    Input::rows(
        "the header again on each page",
        format!("{HEADER}{}{HEADER}", GOOD.replace("K1", "K2")),
    )
    .ends(1, "4 = 2 + 2 + 0", &["R10 line 3", "R10 line 5"]);
    Input::rows("rows of the database", "(2 rows affected)\n").ends(
        1,
        "2 = 1 + 1 + 0",
        &["R10 line 3"],
    );
    // A case number that begins like a total is a case number.
    Input::rows(
        "a case called TOTAL-7",
        "TOTAL-7,Alder,SECRET,2026-03-01 10:00,,,Meat\n",
    )
    .ends(
        1,
        "2 = 1 + 1 + 0",
        &["C02 presentation, line 3", "R03 line 3"],
    );
    Input::rows("a total below passes", "")
        .passes("Case,Pass,Device\nK1,1,net\nTotal,SECRET,\n")
        .ends_with_passes(
            1,
            "1 = 1 + 0 + 0",
            Some("2 = 1 + 1 + 0"),
            &["R10 passes.csv, line 3"],
        );
}

#[test]
fn calls_outside_of_the_period() {
    let other = "SECRET,Alder,Food,2026-05-31 23:59,,,Meat\n";
    Input::rows("a call after the period that was asked for", other)
        .with("--to 2026-04")
        .ends(0, "2 = 1 + 1 + 0", &["R09 line 3"]);
    Input::rows(
        "a call before the period of the mapping",
        "SECRET,Alder,Food,2026-02-28 23:59,,,\n",
    )
    .table("[period]\nfrom = \"2026-03\"\nto = \"2026-12\"")
    .ends(0, "2 = 1 + 1 + 0", &["R09 line 3"]);
    Input::rows("a pass of a case outside of the period", other)
        .passes("Case,Pass,Device\nSECRET,1,net\nK1,1,net\n")
        .with("--to 2026-03")
        .ends_with_passes(
            0,
            "2 = 1 + 1 + 0",
            Some("2 = 1 + 1 + 0"),
            &["R09 line 3", "R09 passes.csv, line 2"],
        );
}

#[test]
fn rows_over_many_lines() {
    let cell = |lines: usize| format!("\"Meat{}\"", "\nSECRET".repeat(lines));
    let row = |id: &str, lines| format!("{id},Alder,Food,2026-03-01 10:00,,,{}\n", cell(lines));
    Input::rows("ten line breaks", row("K2", 10)).ends(
        1,
        "2 = 2 + 0 + 0",
        &["C02 object_type, line 3"],
    );
    Input::rows("eleven line breaks", row("K2", 11) + &row("K3", 1)).ends(
        1,
        "3 = 3 + 0 + 0",
        // Line 3 and eleven breaks end on line 14; the next row starts on 15.
        &[
            "C02 object_type, line 3",
            "R08 line 3",
            "C02 object_type, line 15",
        ],
    );
    Input::rows("many lines of Windows", row("K2", 12).replace('\n', "\r\n")).ends(
        1,
        "2 = 2 + 0 + 0",
        &["C02 object_type, line 3", "R08 line 3"],
    );
}

#[test]
fn cases_without_a_site() {
    Input::rows("no site", "K2,,Food,2026-03-01 10:00,,,Meat\n").ends(
        1,
        "2 = 2 + 0 + 0",
        &["C09 site, line 3"],
    );
    Input::rows(
        "a word for no site",
        "K2,unknown,Food,2026-03-01 10:00,,,Meat\n",
    )
    .set("missing = [\"Unknown\"]")
    .ends(1, "2 = 2 + 0 + 0", &["C09 site, line 3"]);
}

#[test]
fn files_without_one_row_that_can_be_used() {
    Input::of("a call in no row")
        .cases(format!("{HEADER}SECRET,Alder,Food,,,,\n"))
        .refused(
            "none of the 1 rows of the cases export could be used",
            "`scopetally check`",
        );
    Input::of("all rows too short")
        .cases(format!("{HEADER}SECRET,Alder\nSECRET,Birch\n"))
        .refused("none of the 2 rows", "`scopetally check`");
    Input::of("every call outside of the period")
        .cases(format!("{HEADER}{}", GOOD.replace("K1", "SECRET")))
        .with("--from 2026-04")
        .refused("none of the 1 rows", "`scopetally check`");
}
