//! Times: their form, proved or not; dates and hours that do not exist; days over midnight.

use super::Input;
use crate::bad_input::{HEADER, MAPPING};
use std::fmt::Write as _;

const STANDS: &str = "1 = 1 + 0 + 0";

/// One case with these cells for call, scope in and scope out, in the form of the mapping.
fn given(what: &'static str, cells: &str) -> Input {
    Input::of(what).cases(format!("{HEADER}K1,Alder,Food,{cells},Meat\n"))
}

/// Cases whose cells have to prove the form.
fn proved(what: &'static str, rows: &[&str]) -> Input {
    let mut text = HEADER.to_owned();
    for (number, cells) in (1..).zip(rows) {
        writeln!(text, "K{number},Alder,Food,{cells},Meat").unwrap();
    }
    Input::of(what).times_by_cells().cases(text)
}

#[test]
fn cells_that_are_no_times() {
    let none = &["C03 scope_in_at, line 2"];
    given("a word", "2026-03-01 10:00,SECRET,")
        .reviewed()
        .ends(1, STANDS, none);
    given(
        "a day that does not exist",
        "2026-03-01 10:00,2026-02-29 11:00,",
    )
    .ends(1, STANDS, none);
    given("month 13", "2026-03-01 10:00,2026-13-01 11:00,").ends(1, STANDS, none);
    given("hour 24", "2026-03-01 10:00,2026-03-01 24:00,").ends(1, STANDS, none);
    given("minute 60", "2026-03-01 10:00,2026-03-01 11:60,").ends(1, STANDS, none);
    given("a date alone", "2026-03-01 10:00,2026-03-01,").ends(1, STANDS, none);
    given("a time alone", "2026-03-01 10:00,11:00,").ends(1, STANDS, none);
    given("another form", "2026-03-01 10:00,03/01/2026 11:00,").ends(1, STANDS, none);
    given(
        "more behind it",
        "2026-03-01 10:00,2026-03-01 11:00 SECRET,",
    )
    .ends(1, STANDS, none);
    given("the year 2206", "2026-03-01 10:00,2206-03-01 11:00,").ends(1, STANDS, none);
    given("a negative year", "2026-03-01 10:00,-2026-03-01 11:00,").ends(1, STANDS, none);
    given("a serial number", "2026-03-01 10:00,46082.4583,").ends(1, STANDS, none);
}

#[test]
fn dates_that_systems_write_where_there_is_none() {
    let placeholder = &["C10 scope_in_at, line 2"];
    for date in [
        "1900-01-01 00:00",
        "1899-12-30 00:00",
        "1970-01-01 00:00",
        "9999-12-31 23:59",
    ] {
        given("a placeholder", &format!("2026-03-01 10:00,{date},")).ends(1, STANDS, placeholder);
    }
    given(
        "a placeholder that the mapping calls missing",
        "2026-03-01 10:00,1900-01-01 00:00,",
    )
    .set("missing = [\"1900-01-01 00:00\"]")
    .reviewed()
    .ends(0, STANDS, &[]);
}

#[test]
fn errors_of_spreadsheets_in_times() {
    given("a value that is none", "2026-03-01 10:00,#VALUE!,").ends(
        1,
        STANDS,
        &["C11 scope_in_at, line 2"],
    );
    given(
        "a column that was too narrow",
        "2026-03-01 10:00,2026-03-01 11:00,#########",
    )
    .ends(1, STANDS, &["C11 scope_out_at, line 2"]);
}

#[test]
fn hours_of_clock_changes() {
    // In Chicago the clocks of 2026 went from 2:00 to 3:00 on March 8 and from 2:00 to 1:00 on
    // November 1.
    given(
        "a scope in the skipped hour",
        "2026-03-08 01:30,2026-03-08 02:15,2026-03-08 03:30",
    )
    .ends(1, STANDS, &["C04 scope_in_at, line 2"]);
    given(
        "a scope in the repeated hour",
        "2026-11-01 00:30,2026-11-01 01:15,2026-11-01 01:40",
    )
    .ends(
        0,
        STANDS,
        &["C08 scope_in_at, line 2", "C08 scope_out_at, line 2"],
    );
    // 1:50 then 1:10 can only be the second pass: twenty minutes.
    given(
        "a step back over the change",
        "2026-11-01 00:30,2026-11-01 01:50,2026-11-01 01:10",
    )
    .ends(
        0,
        STANDS,
        &["C08 scope_in_at, line 2", "C08 scope_out_at, line 2"],
    );
    given(
        "the same cells where no clock changes",
        "2026-11-01 00:30,2026-11-01 01:50,2026-11-01 01:10",
    )
    .mapped("America/Chicago", "America/Phoenix")
    .ends(0, STANDS, &["T01 scope_in_at to scope_out_at, line 2"]);
}

#[test]
fn forms_that_no_cell_proves() {
    proved("day or month first", &["03/04/2026 10:00,03/04/2026 11:00,03/04/2026 11:20"]).refused(
        "`cases.csv`, `called_at`: no cell of the first rows proves how its times are written: %d/%m/%Y %H:%M, %m/%d/%Y %H:%M all fit",
        "day and month are never guessed",
    );
    proved("years of two digits", &["03/04/26 10:00,03/04/26 11:00,"]).refused(
        "no cell of the first rows proves how its times are written",
        "set `cases.time_format`",
    );
    // One column proves the order for all of the same shape.
    proved(
        "one cell settles it",
        &["03/04/2026 10:00,03/04/2026 11:00,", "03/13/2026 10:00,,"],
    )
    .ends(0, "2 = 2 + 0 + 0", &[]);
}

#[test]
fn clocks_that_may_have_lost_am_and_pm() {
    let rows: Vec<String> = (1..=25)
        .map(|day| format!("2026-03-{day:02} {:02}:00,,", day % 12 + 1))
        .collect();
    let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
    proved("25 calls and none in the afternoon", &rows).refused(
        "`called_at`: none of its 25 times lies after 12:59 and none says am or pm",
        "export the clock with 24 hours",
    );
    let with_one = [rows.as_slice(), &["2026-03-26 13:00,,"]].concat();
    proved("one call in the afternoon", &with_one).ends(0, "26 = 26 + 0 + 0", &[]);
}

#[test]
fn columns_in_several_forms() {
    proved(
        "half of the cells in another form",
        &[
            "2026-03-01 10:00,2026-03-01 11:00,",
            "2026-03-02 10:00,03/13/2026 11:00,",
        ],
    )
    .refused(
        "`scope_in_at`: its times are written in several forms",
        "export the column in one form",
    );
    proved(
        "orders that contradict one another",
        &["13/03/2026 10:00,,", "03/13/2026 10:00,,"],
    )
    .refused("`called_at`", "");
    proved(
        "numbers of days",
        &["46082.4167,46082.4583,", "46083.5,46083.6,"],
    )
    .refused(
        "2 of its cells are day numbers of a spreadsheet",
        "`serial_1904`",
    );
    proved("dates without a time", &["2026-03-01,2026-03-01 11:00,"]).refused(
        "`called_at`: its cells are dates without a time of day",
        "`[\"date heading\", \"time heading\"]`",
    );
    proved(
        "words",
        &["2026-03-01 10:00,SECRET,", "2026-03-02 10:00,SECRET,"],
    )
    .refused(
        "`scope_in_at`: most of its cells are no times",
        "check its heading in the mapping",
    );
}

#[test]
fn numbers_of_days_that_the_mapping_declares() {
    proved("day numbers", &["46082.4167,46082.4583,46082.4722"])
        .set("time_format = \"serial\"")
        .ends(0, STANDS, &[]);
    proved(
        "a word and day zero among day numbers",
        &["46082.4167,SECRET,0"],
    )
    .set("time_format = \"serial\"")
    .ends(
        1,
        STANDS,
        &["C03 scope_in_at, line 2", "C10 scope_out_at, line 2"],
    );
    proved("an age among day numbers", &["46082.4167,61,"])
        .set("time_format = \"serial\"")
        .ends(1, STANDS, &["C03 scope_in_at, line 2"]);
}

#[test]
fn rows_with_another_number_of_cells_prove_no_form() {
    // The date stands in the column of scope in, a cell too far to the right.
    proved(
        "a separator too many",
        &["2026-03-01 10:00,,", "SECRET,2026-03-02,11:00,"],
    )
    .ends(1, "2 = 1 + 1 + 0", &["R01 line 3"]);
}

#[test]
fn forms_that_the_first_rows_do_not_show() {
    // A slip of one in a hundred is a cell with an issue, not another form.
    let mut rows: Vec<String> = (0..120)
        .map(|number| {
            format!(
                "2026-03-{:02} 10:00,2026-03-{:02} 14:00,",
                number % 28 + 1,
                number % 28 + 1
            )
        })
        .collect();
    rows.push("2026-03-02 10:00,03/13/2026 11:00,".into());
    let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
    // 121 rows from line 2 on.
    proved("one cell in another form", &rows).ends(
        0,
        "121 = 121 + 0 + 0",
        &["C03 scope_in_at, line 122"],
    );
}

#[test]
fn dates_and_times_in_two_columns() {
    let two = |what, header: &str, row: &str| {
        Input::of(what)
            .times_by_cells()
            .mapped("\"Called\"", "[\"Date\", \"Called\"]")
            .cases(format!("{header}\n{row}\n"))
    };
    let header = "Case,Site,Reason,Date,Called,In,Out,Object";
    two(
        "a date that is none",
        header,
        "SECRET,Alder,Food,2026-02-30,10:00,,,Meat\nK1,Alder,Food,2026-03-01,10:00,,,Meat",
    )
    .ends(1, "2 = 1 + 1 + 0", &["C03 called_at, line 2", "R04 line 2"]);
    two(
        "a time without its date",
        header,
        "SECRET,Alder,Food,,10:00,,,Meat\nK1,Alder,Food,2026-03-01,10:00,,,Meat",
    )
    .ends(
        1,
        "2 = 1 + 1 + 0",
        // A time of day that no other time of the case can give a day.
        &["C12 called_at, line 2", "R04 line 2"],
    );
    two(
        "a date column full of times",
        header,
        "K1,Alder,Food,10:00,10:00,,,Meat",
    )
    .refused(
        "`called_at`: most cells of its date column are no dates",
        "the first of its two headings",
    );
    two(
        "a date column full of dates and times",
        header,
        "K1,Alder,Food,2026-03-01 00:00,10:00,,,Meat",
    )
    .ends(0, "1 = 1 + 0 + 0", &[]);
    two(
        "a time column full of dates and times",
        header,
        "SECRET,Alder,Food,2026-03-01,2026-03-02 10:00,,,Meat\nK1,Alder,Food,2026-03-01,2026-03-01 10:00,,,Meat",
    )
    .ends(1, "2 = 1 + 1 + 0", &["C03 called_at, line 2", "R04 line 2"]);
    two(
        "one column for both",
        header,
        "K1,Alder,Food,,2026-03-01 10:00,,,Meat",
    )
    .mapped("\"Date\", \"Called\"", "\"Called\", \"Called\"")
    .ends(0, "1 = 1 + 0 + 0", &[]);
    two(
        "a date column that is another moment",
        header,
        "K1,Alder,Food,2026-03-01 09:00,10:00,,,Meat",
    )
    .column("arrived_at = \"Date\"")
    .ends(0, "1 = 1 + 0 + 0", &[]);
}

/// The call with its date, everything after it with a time of day only.
fn times_of_day(what: &'static str, cells: &str) -> Input {
    let forms = "[cases.formats]\nscope_in_at = \"%H:%M\"\nscope_out_at = \"%H:%M\"\n[cases.codes.presentation]";
    given(what, cells).mapped("[cases.codes.presentation]", forms)
}

#[test]
fn times_of_day_over_midnight() {
    times_of_day("past midnight", "2026-03-01 23:30,00:40,01:00").ends(
        0,
        STANDS,
        &["T04 scope_in_at, line 2", "T04 scope_out_at, line 2"],
    );
    times_of_day("only the end past midnight", "2026-03-01 22:30,23:50,00:15").ends(
        0,
        STANDS,
        &["T04 scope_out_at, line 2"],
    );
    // 00:20 is no 28 minutes before 00:48 but nearly a day after it, and so far no scope stays in.
    times_of_day("a time that fits on no day", "2026-03-01 23:35,00:48,00:20").ends(
        1,
        STANDS,
        &["T04 scope_in_at, line 2", "C12 scope_out_at, line 2"],
    );
    times_of_day("a word for a time of day", "2026-03-01 23:35,SECRET,00:20").ends(
        1,
        STANDS,
        &["C03 scope_in_at, line 2", "T04 scope_out_at, line 2"],
    );
}

#[test]
fn an_overtube_over_midnight() {
    let placed = |what, cells: &str| {
        Input::of(what)
            .column("overtube_at = \"Tube\"")
            .mapped(
                "[cases.codes.presentation]",
                "[cases.formats]\novertube_at = \"%H:%M\"\n[cases.codes.presentation]",
            )
            .cases(format!(
                "{}K1,Alder,Food,2026-03-01 23:20,2026-03-01 23:50,2026-03-02 00:40,Meat,{cells}\n",
                HEADER.replace('\n', ",Tube\n")
            ))
    };
    placed("before midnight", "23:58").ends(0, STANDS, &[]);
    placed("past midnight", "00:05").ends(0, STANDS, &["T04 overtube_at, line 2"]);
    placed("before the scope", "23:48").ends(
        0,
        STANDS,
        &["T03 scope_in_at to overtube_at, line 2"],
    );
}

#[test]
fn one_date_for_all_moments() {
    let shared = |what, cells: &str| {
        Input::of(what)
            .mapping(
                &MAPPING
                    .replace("\"Called\"", "[\"Date\", \"Called\"]")
                    .replace("\"In\"", "[\"Date\", \"In\"]")
                    .replace("\"Out\"", "[\"Date\", \"Out\"]"),
            )
            .cases(format!(
                "Case,Site,Reason,Date,Called,In,Out,Object\nK1,Alder,Food,{cells},Meat\n"
            ))
    };
    shared("all of one day", "2026-03-01,10:00,11:00,11:20").ends(0, STANDS, &[]);
    shared("past midnight", "2026-03-01,23:30,00:40,01:00").ends(
        0,
        STANDS,
        &["T04 scope_in_at, line 2", "T04 scope_out_at, line 2"],
    );
    // A date that stands there is moved by one day at most: out of order it stays.
    shared("out long before in", "2026-03-01,10:00,20:00,11:00").ends(
        0,
        STANDS,
        &["T01 scope_in_at to scope_out_at, line 2"],
    );
}

#[test]
fn an_export_that_lost_its_am_and_pm_is_read_as_it_stands() {
    given(
        "twelve hours without am and pm",
        "2026-03-01 10:00,2026-03-01 01:00,",
    )
    .ends(0, STANDS, &["T01 called_at to scope_in_at, line 2"]);
    proved(
        "hours above twelve with am and pm",
        &["2026-03-01 10:00 PM,2026-03-01 13:00 PM,2026-03-01 11:20 PM"],
    )
    .set("time_format = \"%Y-%m-%d %I:%M %p\"")
    .ends(1, STANDS, &["C03 scope_in_at, line 2"]);
}

#[test]
fn two_midnights_in_one_case() {
    let forms = "[cases.formats]\nscope_in_at = \"%H:%M\"\nscope_out_at = \"%H:%M\"\nhandover_at = \"%H:%M\"\n[cases.codes.presentation]";
    let input = |what, cells: &str| {
        Input::of(what)
            .column("handover_at = \"Handover\"")
            .mapped("[cases.codes.presentation]", forms)
            .cases(format!(
                "{}K1,Alder,Food,{cells}\n",
                HEADER.replace('\n', ",Handover\n")
            ))
    };
    // In 50 minutes after the call; out 23 hours later is too long, so out fits on no day.
    input(
        "over midnight once",
        "2026-03-01 23:30,00:20,00:50,Meat,01:10",
    )
    .ends(
        0,
        STANDS,
        &[
            "T04 scope_in_at, line 2",
            "T04 scope_out_at, line 2",
            "T04 handover_at, line 2",
        ],
    );
    // In at 00:20 of the 2nd, out at 10:50, handed over at 00:30 of the 3rd: 820 minutes, which is
    // above the usual hour and below three days. The day is carried up to half a day only, so
    // 00:30 fits on none; see the worked rule in `src/ingest/time/roll.rs`.
    input(
        "over midnight a second time",
        "2026-03-01 23:30,00:20,10:50,Meat,00:30",
    )
    .ends(
        1,
        STANDS,
        &[
            "T04 scope_in_at, line 2",
            "T04 scope_out_at, line 2",
            "T02 scope_in_at to scope_out_at, line 2",
            "C12 handover_at, line 2",
        ],
    );
    // At 12:40 out, 700 minutes to 00:20 are within half a day: the date moves a second time.
    input(
        "over midnight twice",
        "2026-03-01 23:30,00:50,12:40,Meat,00:20",
    )
    .ends(
        0,
        STANDS,
        &[
            "T02 scope_in_at to scope_out_at, line 2",
            "T02 scope_out_at to handover_at, line 2",
            "T04 scope_in_at, line 2",
            "T04 scope_out_at, line 2",
            "T04 handover_at, line 2",
            "T05 line 2",
        ],
    );
}
