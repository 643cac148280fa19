//! Where the table stands in a file: titles above, headers of several rows, columns missing, twice
//! or in another order.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

const BAD: &str = "K2,Alder,Food,2026-03-01 10:00,,,SECRET\n";
const BOTH: &str = "2 = 2 + 0 + 0";

#[test]
fn lines_above_the_header() {
    Input::of("a title and a date")
        .cases(format!(
            "Emergency endoscopy\nSECRET, 2026-03-31\n\n{HEADER}{GOOD}{BAD}"
        ))
        .reviewed()
        .ends(1, BOTH, &["C02 object_type, line 6"]);
    Input::of("a title with a quote that is never closed")
        .cases(format!(
            "SECRET \"quarterly\" 5\" report\n{HEADER}{GOOD}{BAD}"
        ))
        .ends(1, BOTH, &["C02 object_type, line 4"]);
    Input::of("a title of as many cells as the header")
        .cases(format!("SECRET,,,,,,\n{HEADER}{GOOD}{BAD}"))
        .ends(1, BOTH, &["C02 object_type, line 4"]);
    Input::of("a hundred and one lines")
        .cases(format!("{}{HEADER}{GOOD}", "SECRET\n".repeat(101)))
        .refused("no column `Case`", "correct the heading");
    Input::of("lines below the table")
        .cases(format!(
            "{HEADER}{GOOD}{BAD}\n\nExported by SECRET\nPage 1 of 1\n"
        ))
        .ends(
            1,
            "4 = 2 + 2 + 0",
            &["C02 object_type, line 3", "R10 line 6", "R10 line 7"],
        );
}

#[test]
fn headers_of_several_rows() {
    let upper = "Case,Site,Call,,Scope,,\n";
    let lower = ",,Reason,Called,In,Out,Object\n";
    let mapped = |what| {
        Input::of(what)
            .mapped("\"Reason\"", "\"Call / Reason\"")
            .mapped("\"Called\"", "\"Call / Called\"")
            .mapped("\"In\"", "\"Scope / In\"")
            .mapped("\"Out\"", "\"Scope / Out\"")
            .mapped("\"Object\"", "\"Scope / Object\"")
    };
    mapped("two rows")
        .cases(format!("{upper}{lower}{GOOD}{BAD}"))
        .ends(1, BOTH, &["C02 object_type, line 4"]);
    mapped("two rows, and a heading that is not there")
        .cases(format!("{upper}{}{GOOD}", lower.replace("Out", "SECRET")))
        .refused(
            "no column `Scope / Out`, which the mapping gives for `scope_out_at`",
            "correct the heading",
        );
    Input::of("a second row of units, which the mapping does not tell")
        .cases(format!(
            "{HEADER}number,name,word,local time,local time,local time,SECRET\n{GOOD}"
        ))
        .ends(
            1,
            "2 = 1 + 1 + 0",
            &[
                "C02 presentation, line 2",
                "C03 called_at, line 2",
                "C03 scope_in_at, line 2",
                "C03 scope_out_at, line 2",
                "C02 object_type, line 2",
                "R03 line 2",
            ],
        );
    Input::of("six header rows")
        .set("header_rows = 6")
        .cases(format!("{HEADER}{GOOD}"))
        .refused(
            "`cases.header_rows` is not a number from 1 to 5",
            "count the rows that hold headings",
        );
}

#[test]
fn columns_that_are_missing_or_stand_twice() {
    Input::of("a heading with a slip").cases(format!("{}{GOOD}", HEADER.replace("Object", "SECRET"))).refused(
        "no column `Object`, which the mapping gives for `object_type`; its header has 7 columns",
        "correct the heading in the mapping",
    );
    Input::of("a heading twice")
        .cases(format!("{}{GOOD}", HEADER.replace("Out", "In")))
        .refused(
            "the column `In` twice, so `scope_in_at` is ambiguous",
            "different headings",
        );
    Input::of("a heading twice but for case")
        .mapped("\"In\"", "\"in\"")
        .cases(format!("{}{GOOD}", HEADER.replace("Out", "IN")))
        .refused("the column `in` twice", "different headings");
    Input::of("no header at all")
        .cases(GOOD.replace("Meat", "SECRET").repeat(3))
        .refused("no column `Case`", "correct the heading");
    Input::of("a heading of blanks in the mapping")
        .mapped("\"Object\"", "\"  \"")
        .cases(format!("{HEADER}{GOOD}"))
        .refused("no column ``", "correct the heading");
}

#[test]
fn headings_are_found_in_any_order_and_spelling_of_case() {
    Input::of("capitals, blanks and columns nobody asked for")
        .cases("object,  CASE ,Extra 1,site,reason,Extra 2,called,in,out\nSECRET,K2,x,Alder,Food,y,2026-03-01 10:00,,\n")
        .ends(1, "1 = 1 + 0 + 0", &["C02 object_type, line 2"]);
    Input::of("a column without a heading at the end")
        .cases(format!(
            "{}{}",
            HEADER.replace('\n', ",\n"),
            GOOD.replace('\n', ",SECRET\n")
        ))
        .ends(0, "1 = 1 + 0 + 0", &[]);
}

#[test]
fn a_header_that_repeats_and_totals_between_groups() {
    Input::of("groups")
        .cases(format!(
            "{HEADER}{GOOD}Subtotal,,,,,,1\n{HEADER}{BAD}Grand total: 2 cases,,,,,,\n"
        ))
        .ends(
            1,
            "5 = 2 + 3 + 0",
            &[
                "R10 line 3",
                "R10 line 4",
                "C02 object_type, line 5",
                "R10 line 6",
            ],
        );
}
