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
    Input::rows("a site alone, and a word", ",SECRET,,,,,x\n").ends(
        1,
        "2 = 1 + 1 + 0",
        &["R02 line 3", "C02 object_type, line 3"],
    );
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
    Input::rows("a total", "Total,,,SECRET,,,12\n").ends(0, "2 = 1 + 1 + 0", &["R10 line 3"]);
    Input::rows("a total of fewer cells", "Total: 12,SECRET\n").ends(
        0,
        "2 = 1 + 1 + 0",
        &["R10 line 3"],
    );
    Input::rows("a remark", "SECRET data only\n").ends(0, "2 = 1 + 1 + 0", &["R10 line 3"]);
    Input::rows(
        "the header again on each page",
        format!("{HEADER}{}{HEADER}", GOOD.replace("K1", "K2")),
    )
    .ends(0, "4 = 2 + 2 + 0", &["R10 line 3", "R10 line 5"]);
    Input::rows("rows of the database", "(2 rows affected)\n").ends(
        0,
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
            0,
            "1 = 1 + 0 + 0",
            Some("2 = 1 + 1 + 0"),
            &["R10 passes.csv, line 3"],
        );
}

#[test]
fn rows_of_separators_and_of_blanks_are_no_cases() {
    let no_case = |what, row: &str| {
        Input::rows(what, row).ends(0, "2 = 1 + 1 + 0", &["R10 line 3"]);
    };
    no_case("separators alone", ",,,,,,\n");
    no_case("fewer separators", ",,,,\n");
    no_case("more separators", ",,,,,,,,,\n");
    no_case("separators and blanks", " ,\t, ,\u{a0},,\"\",\n");
    no_case("a line of blanks", "   \n");
    Input::rows("a line of blanks where short rows are filled", "  \n")
        .set("short_rows = \"blank\"")
        .ends(0, "2 = 1 + 1 + 0", &["R10 line 3"]);
    Input::rows("separators below passes", "")
        .passes("Case,Pass,Device\nK1,1,net\n,,\n")
        .ends_with_passes(
            0,
            "1 = 1 + 0 + 0",
            Some("2 = 1 + 1 + 0"),
            &["R10 passes.csv, line 3"],
        );
}

#[test]
fn the_header_again_in_other_letters_is_no_case() {
    let again = |what, header: &str| {
        Input::rows(what, format!("{header}{}", GOOD.replace("K1", "K2"))).ends(
            0,
            "3 = 2 + 1 + 0",
            &["R10 line 3"],
        );
    };
    again("with a byte-order mark", &format!("\u{feff}{HEADER}"));
    again(
        "with a byte-order mark and quotes",
        &format!("\u{feff}{}", HEADER.replace("Case", "\"Case\"")),
    );
    again("in capitals", &HEADER.to_uppercase());
    again("with blanks", &HEADER.replace(",Called,", ", Called ,"));
    let named = |heading: &str| HEADER.replace("Called", heading);
    Input::of("with more blanks")
        .mapped("\"Called\"", "\"Time of call\"")
        .cases(format!(
            "{}{}{}",
            named("Time of call"),
            GOOD,
            named("Time  of \u{a0}call")
        ))
        .ends(0, "2 = 1 + 1 + 0", &["R10 line 3"]);
}

#[test]
fn each_row_of_a_header_of_two_is_known_again() {
    let (upper, lower) = ("Case,Site,Reason,Times,,,Object\n", ",,,Called,In,Out,\n");
    Input::of("both rows again")
        .mapped("\"Called\"", "\"Times / Called\"")
        .mapped("\"In\"", "\"Times / In\"")
        .mapped("\"Out\"", "\"Times / Out\"")
        .cases(format!("{upper}{lower}{GOOD}{upper}{lower}"))
        .ends(0, "3 = 1 + 2 + 0", &["R10 line 4", "R10 line 5"]);
}

#[test]
fn rows_that_are_no_cases_cross_no_limit() {
    Input::rows("many totals", "Total,,,,,,12\n".repeat(30))
        .reviewed()
        .ends(
            0,
            "31 = 1 + 30 + 0",
            &(3..33)
                .map(|line| format!("R10 line {line}"))
                .collect::<Vec<_>>()
                .iter()
                .map(String::as_str)
                .collect::<Vec<_>>(),
        );
}

#[test]
fn columns_that_are_dropped() {
    let header = HEADER.replace('\n', ",Room,Room\n");
    let good = GOOD.replace('\n', ",SECRET,SECRET\n");
    let dropped = |what| Input::of(what).cases(format!("{header}{good}"));
    let twice = dropped("a dropped heading that stands twice").set("drop = [\"Room\"]");
    let shown = twice.run(&twice.lay_out(), "check");
    assert!(
        shown
            .stdout
            .contains("9 columns: 7 mapped, 2 dropped, 0 not used"),
        "{}",
        shown.stdout
    );
    let listed = dropped("a heading that is dropped twice").set("drop = [\"Room\", \"Room\"]");
    let shown = listed.run(&listed.lay_out(), "check");
    assert!(shown.stdout.contains("2 dropped, 0 not used"));
    dropped("mapped and dropped")
        .set("drop = [\"Object\"]")
        .refused(
            "`cases.drop` names a heading that is mapped to `object_type`",
            "take it out of `drop`",
        );
    dropped("a device that is dropped, in other letters")
        .set("drop = [\"ROOM\"]")
        .mapped(
            "[cases.codes.presentation]",
            "[cases.devices]\ncolumns = [\"Room\"]\n[cases.codes.presentation]",
        )
        .refused(
            "`cases.drop` names a heading that is mapped to `device`",
            "take it out of `drop`",
        );
    dropped("a column of passes that is dropped")
        .mapped(
            "[passes.columns]",
            "[passes]\ndrop = [\"Device\"]\n[passes.columns]",
        )
        .refused(
            "`passes.drop` names a heading that is mapped to `device`",
            "take it out of `drop`",
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
