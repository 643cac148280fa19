//! Numbers: ages, versions, minutes since the call, months and hours.

use super::Input;
use crate::bad_input::{GOOD, HEADER};

/// One good case with an age.
fn age(what: &'static str, cell: &str) -> Input {
    let header = HEADER.replace('\n', ",Years\n");
    Input::of(what)
        .column("age_years = \"Years\"")
        .cases(format!(
            "{header}{}",
            GOOD.replace('\n', &format!(",{cell}\n"))
        ))
}

const STANDS: &str = "1 = 1 + 0 + 0";

#[test]
fn ages_that_are_none() {
    let none = &["C05 age_years, line 2"];
    age("a word", "SECRET").reviewed().ends(1, STANDS, none);
    age("about sixty", "about 60").ends(1, STANDS, none);
    age("a range", "60-70").ends(1, STANDS, none);
    age("two numbers", "61 62").ends(1, STANDS, none);
    age("a decimal comma where a point is declared", "\"61,5\"").ends(1, STANDS, none);
    age("a year of birth and a sign", "*1961").ends(1, STANDS, none);
    age("an error", "#VALUE!").ends(1, STANDS, &["C11 age_years, line 2"]);
    age("a formula", "=2026-1961").ends(1, STANDS, &["C11 age_years, line 2"]);
}

#[test]
fn ages_outside_of_their_range() {
    let outside = &["C06 age_years, line 2"];
    age("121 years", "121").ends(1, STANDS, outside);
    age("a year of birth", "1961")
        .reviewed()
        .ends(1, STANDS, outside);
    age("a negative age", "-1").ends(1, STANDS, outside);
    age("a number of many digits", "99999999999999999999").ends(
        1,
        STANDS,
        &["C05 age_years, line 2"],
    );
    age("days, read as years", "22000").ends(1, STANDS, outside);
    age("sixty or more", "60+").ends(1, STANDS, outside);
}

#[test]
fn ages_as_text_are_read() {
    for cell in ["61 y", "90+", "18 mo", "2y 3m", "<1", " 61 ", "61.0"] {
        age("an age as text", cell).ends(0, STANDS, &[]);
    }
    age("a decimal comma that the mapping declares", "\"61,5\"")
        .set("decimal = \",\"")
        .ends(0, STANDS, &[]);
    age("a decimal point where a comma is declared", "61.5")
        .set("decimal = \",\"")
        .ends(1, STANDS, &["C05 age_years, line 2"]);
}

const ELAPSED: &str = r#"
[cases]
time_form = "elapsed"
[cases.columns]
case_id = "Case"
site = "Site"
presentation = "Reason"
month = "Month"
weekday = "Day"
hour = "Hour"
scope_in_at = "In"
scope_out_at = "Out"
"#;

/// One case in minutes since the call.
fn elapsed(what: &'static str, cells: &str) -> Input {
    Input::of(what).mapping(ELAPSED).cases(format!(
        "Case,Site,Reason,Month,Day,Hour,In,Out\nK1,Alder,food_impaction,{cells}\n"
    ))
}

#[test]
fn minutes_since_the_call() {
    elapsed("a scope before the call", "2026-03,sun,10,-5,20").ends(
        0,
        STANDS,
        // The scope came out 25 minutes after it went in, as it may.
        &["T03 called_at to scope_in_at, line 2"],
    );
    elapsed("a scope an hour before the call", "2026-03,sun,10,-60,-40").ends(
        0,
        STANDS,
        &["T01 called_at to scope_in_at, line 2"],
    );
    elapsed("a word for minutes", "2026-03,sun,10,SECRET,80").ends(
        1,
        STANDS,
        &["C05 scope_in_at, line 2"],
    );
    elapsed("a date for minutes", "2026-03,sun,10,2026-03-01 10:00,80").ends(
        1,
        STANDS,
        &["C05 scope_in_at, line 2"],
    );
    elapsed("three months of minutes", "2026-03,sun,10,60,129600").ends(
        1,
        STANDS,
        &["C06 scope_out_at, line 2"],
    );
    elapsed(
        "hours and minutes where minutes are declared",
        "2026-03,sun,10,1:00,80",
    )
    .ends(1, STANDS, &["C05 scope_in_at, line 2"]);
    elapsed("a unit that the cell names", "2026-03,sun,10,1 h,80 min").ends(0, STANDS, &[]);
    elapsed("hours that the mapping declares", "2026-03,sun,10,1:00,1.5")
        .table("[cases.units]\nscope_in_at = \"hours\"\nscope_out_at = \"hours\"")
        .ends(0, STANDS, &[]);
}

#[test]
fn months_weekdays_and_hours_of_a_call() {
    let row = "K2,Alder,food_impaction,2026-03,sun,10,60,80\n";
    let two = |what, cells: &str| elapsed(what, &format!("{cells}\n{}", row.trim_end()));
    two("a month in words", "SECRET 26,sun,10,60,80").ends(
        1,
        "2 = 1 + 1 + 0",
        &["C07 month, line 2", "R04 line 2"],
    );
    two("month 13", "2026-13,sun,10,60,80").ends(
        1,
        "2 = 1 + 1 + 0",
        &["C07 month, line 2", "R04 line 2"],
    );
    two("a date for a month", "2026-03-01,sun,10,60,80").ends(
        1,
        "2 = 1 + 1 + 0",
        &["C07 month, line 2", "R04 line 2"],
    );
    two("no month", ",sun,10,60,80").ends(1, "2 = 1 + 1 + 0", &["R04 line 2"]);
    two("hour 24", "2026-03,sun,24,60,80").ends(1, "2 = 2 + 0 + 0", &["C06 hour, line 2"]);
    two("a time for an hour", "2026-03,sun,10:30,60,80").ends(
        1,
        "2 = 2 + 0 + 0",
        &["C05 hour, line 2"],
    );
    two("a weekday nobody knows", "2026-03,Sunday-SECRET,10,60,80").ends(
        1,
        "2 = 2 + 0 + 0",
        &["C02 weekday, line 2"],
    );
}

#[test]
fn lengths_of_time_that_cannot_be() {
    let clock = |what, cells: &str| {
        Input::of(what).cases(format!(
            "{HEADER}SECRET,Alder,Food,2026-03-01 10:00,{cells},Meat\n"
        ))
    };
    clock("out before in", "2026-03-01 11:00,2026-03-01 10:50").ends(
        0,
        STANDS,
        &["T01 scope_in_at to scope_out_at, line 2"],
    );
    clock(
        "out five minutes before in",
        "2026-03-01 11:00,2026-03-01 10:55",
    )
    .ends(0, STANDS, &["T03 scope_in_at to scope_out_at, line 2"]);
    clock(
        "in and out in one minute",
        "2026-03-01 11:00,2026-03-01 11:00",
    )
    .ends(0, STANDS, &["T01 scope_in_at to scope_out_at, line 2"]);
    clock("out after one minute", "2026-03-01 11:00,2026-03-01 11:01").ends(
        0,
        STANDS,
        &["T02 scope_in_at to scope_out_at, line 2"],
    );
    clock("in after 25 hours", "2026-03-02 11:00,2026-03-02 11:20").ends(
        0,
        STANDS,
        &["T02 called_at to scope_in_at, line 2"],
    );
    clock("in after 15 days", "2026-03-16 11:00,2026-03-16 11:20").ends(
        0,
        STANDS,
        &["T01 called_at to scope_in_at, line 2"],
    );
    clock(
        "in two minutes before the call",
        "2026-03-01 09:58,2026-03-01 10:20",
    )
    .ends(0, STANDS, &["T03 called_at to scope_in_at, line 2"]);
}
