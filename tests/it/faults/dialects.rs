//! How rows and cells are set apart: separators, quotes, line ends.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

const BAD: &str = "K2,Alder,Food,2026-03-01 10:00,,,SECRET\n";
const FOUND: &[&str] = &["C02 object_type, line 3"];
const BOTH: &str = "2 = 2 + 0 + 0";

fn file() -> String {
    format!("{HEADER}{GOOD}{BAD}")
}

#[test]
fn separators_are_found_and_cells_with_another_separator_stay_whole() {
    for separator in [";", "\t", "|"] {
        Input::of("another separator")
            .cases(file().replace(',', separator))
            .ends(1, BOTH, FOUND);
    }
    Input::of("commas inside of cells between semicolons")
        .cases(
            file()
                .replace(',', ";")
                .replace("SECRET", "SECRET, and more"),
        )
        .ends(1, BOTH, FOUND);
    Input::of("separators that differ from row to row")
        .cases(format!("{HEADER}{GOOD}{}", BAD.replace(',', ";")))
        // One cell that holds a whole row is no remark.
        .ends(1, "2 = 1 + 1 + 0", &["R01 line 3"]);
    Input::of("colons")
        .cases(file().replace(',', ":"))
        .refused("no column `Case`", "correct the heading");
}

#[test]
fn a_separator_that_is_not_that_of_the_mapping() {
    Input::of("semicolons where commas are declared")
        .set("separator = \",\"")
        .cases(file().replace(',', ";"))
        .refused("no column `Case`", "set `separator = \";\"` in the mapping");
    Input::of("tabs where bars are declared")
        .set("separator = \"|\"")
        .cases(file().replace(',', "\t"))
        .refused("its header has 1 columns", "set `separator = \"\\t\"`");
}

#[test]
fn lines_that_name_the_separator() {
    // The line is counted, so the bad row stands on line 4.
    let found = &["C02 object_type, line 4"];
    Input::of("sep=")
        .cases(format!("sep=,\n{}", file()))
        .ends(1, BOTH, found);
    Input::of("sep= in quotes, of Windows")
        .cases(format!("\"sep=;\"\n{}", file().replace(',', ";")).replace('\n', "\r\n"))
        .reviewed()
        .ends(1, BOTH, found);
    Input::of("sep= of a separator that is not used")
        .cases(format!("sep=;\n{}", file()))
        .ends(1, BOTH, found);
    Input::of("sep= of a rare separator")
        .cases(format!("sep=^\n{}", file().replace(',', "^")))
        .ends(1, BOTH, found);
}

#[test]
fn quotes_in_the_middle_of_cells() {
    let object = |what, cell: &str| {
        Input::rows(
            what,
            format!(
                "K2,Alder,Food,2026-03-01 10:00,,,{cell}\n{}",
                GOOD.replace("K1", "K3")
            ),
        )
    };
    let found = &["C02 object_type, line 3"];
    object("inches", "SECRET 5\" bone").ends(1, "3 = 3 + 0 + 0", found);
    object("a quote at the end", "SECRET\"").ends(1, "3 = 3 + 0 + 0", found);
    object("a quote after a blank", " \"SECRET\"").ends(1, "3 = 3 + 0 + 0", found);
    object("text behind a quote that closed", "\"SECRET\" bone").ends(1, "3 = 3 + 0 + 0", found);
    object("doubled quotes", "\"SECRET \"\"5\"\" bone\"").ends(1, "3 = 3 + 0 + 0", found);
    object("nothing but doubled quotes", "\"\"\"\"\"\"").ends(1, "3 = 3 + 0 + 0", found);
    object("a separator in quotes", "\"SECRET, bone\"").ends(1, "3 = 3 + 0 + 0", found);
    object("a known word in quotes", "\"Meat\"").ends(0, "3 = 3 + 0 + 0", &[]);
    object(
        "single quotes where double ones are meant",
        "'SECRET, bone'",
    )
    .ends(1, "3 = 2 + 1 + 0", &["R01 line 3"]);
    object("single quotes that the mapping declares", "'SECRET, bone'")
        .set("quote = \"'\"")
        .ends(1, "3 = 3 + 0 + 0", found);
}

#[test]
fn quotes_that_never_close() {
    let open = "K2,Alder,Food,2026-03-01 10:00,,,\"SECRET\n";
    Input::rows("in the last row", open).refused(
        "`cases.csv`, line 3: a quote opens in this row and never closes",
        "close the quote, or double it",
    );
    Input::rows(
        "in a row in the middle",
        format!("{open}{}", GOOD.replace("K1", "K3")),
    )
    .refused(
        "line 3: a quote opens in this row and never closes",
        "close the quote, or double it",
    );
    Input::of("in the header")
        .cases(format!("Case,\"Site{}", &file()[9..]))
        .refused(
            "line 1: a quote opens in this row and never closes",
            "close the quote",
        );
    Input::rows(
        "in a doubled quote",
        "K2,Alder,Food,2026-03-01 10:00,,,\"SECRET\"\"\n",
    )
    .refused(
        "line 3: a quote opens in this row and never closes",
        "close the quote",
    );
}

#[test]
fn ends_of_lines_of_every_kind() {
    Input::of("CR alone")
        .cases(file().replace('\n', "\r"))
        .ends(1, BOTH, FOUND);
    Input::of("CR and LF")
        .cases(file().replace('\n', "\r\n"))
        .ends(1, BOTH, FOUND);
    Input::of("one of each")
        .cases(format!(
            "{}\r\n{}\r{BAD}",
            HEADER.trim_end(),
            GOOD.trim_end()
        ))
        .ends(1, BOTH, FOUND);
    Input::of("no end of the last line")
        .cases(file().trim_end())
        .ends(1, BOTH, FOUND);
    // Two ends each: every second line is blank.
    Input::of("CR CR LF, as of a file that was converted twice")
        .cases(file().replace('\n', "\r\r\n"))
        .ends(1, BOTH, &["C02 object_type, line 5"]);
    Input::of("blank lines everywhere")
        .cases(format!("\n\n{HEADER}\n{GOOD}\n\n{BAD}\n\n"))
        .ends(1, BOTH, &["C02 object_type, line 8"]);
    Input::of("LF and CR, the wrong way round")
        .cases(file().replace('\n', "\n\r"))
        .ends(1, BOTH, &["C02 object_type, line 5"]);
}

#[test]
fn bytes_that_no_text_has() {
    Input::of("a NUL in a cell")
        .cases(file().replace("SECRET", "SECRET\0"))
        .ends(1, BOTH, FOUND);
    Input::rows(
        "a row of NULs, as after a crash",
        format!("{}\n", "\0".repeat(512)),
    )
    .ends(0, "2 = 1 + 1 + 0", &["R10 line 3"]);
    Input::of("NULs at the end")
        .cases(file() + &"\0".repeat(512))
        .ends(
            1,
            "3 = 2 + 1 + 0",
            &["C02 object_type, line 3", "R10 line 4"],
        );
    Input::of("the end of a file of old days")
        .cases(file() + "\u{1a}")
        .ends(
            1,
            "3 = 2 + 1 + 0",
            &["C02 object_type, line 3", "R10 line 4"],
        );
}
