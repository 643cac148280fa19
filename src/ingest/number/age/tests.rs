use super::{AgeUnit, age_years};
use crate::domain::fields::{CaseField, Field, Kind};
use crate::domain::issue::IssueCode::{self, NotAWholeNumber, OutOfRange, SpreadsheetError};

const POINT: u8 = b'.';
const COMMA: u8 = b',';

#[track_caller]
fn check_age(text: &str, declared: AgeUnit, expected: Result<i64, IssueCode>) {
    assert_eq!(age_years(text, declared, POINT), expected, "{text}");
}

#[test]
fn ages_with_and_without_units_become_completed_years() {
    for (text, years) in [
        ("67", 67),
        ("0", 0),
        ("67.0", 67),
        ("67.9", 67),
        ("67 y", 67),
        ("67y", 67),
        ("67yo", 67),
        ("67 yo", 67),
        ("67 y/o", 67),
        ("67 y.o.", 67),
        ("67 Years", 67),
        ("67 yrs.", 67),
        ("67 years old", 67),
        ("67-year-old", 67),
        ("1 year of age", 1),
        ("4 mo", 0),
        ("4 months", 0),
        ("11 mths", 0),
        ("12 months", 1),
        ("18 mo", 1),
        ("23.9 mo", 1),
        ("3 wk", 0),
        ("3w", 0),
        ("53 weeks", 1),
        ("10 d", 0),
        ("365 days", 0),
        ("366 days", 1),
        ("731 days", 2),
        ("2y 3m", 2),
        ("2 y 11 mo", 2),
        ("2y3m", 2),
        ("2 years, 3 months", 2),
        ("2 years and 3 months", 2),
        ("1 yr 6 wks", 1),
        ("51 wk 6 d", 0),
        ("52 wk 6 d", 1),
        ("120", 90),
        ("97 y", 90),
    ] {
        check_age(text, AgeUnit::Years, Ok(years));
    }
    check_age("18", AgeUnit::Months, Ok(1));
    check_age("18 m", AgeUnit::Months, Ok(1));
    check_age("18 y", AgeUnit::Months, Ok(18));
    check_age("104", AgeUnit::Weeks, Ok(1));
    check_age("105", AgeUnit::Weeks, Ok(2));
    check_age("6575", AgeUnit::Days, Ok(18));
    check_age("6574", AgeUnit::Days, Ok(17));
    assert_eq!(age_years("67,0 y", AgeUnit::Years, COMMA), Ok(67));
}

#[test]
fn open_ended_ages_count_where_they_leave_no_doubt() {
    for text in [
        "90+",
        "90 +",
        "89+",
        ">89",
        "> 90",
        "≥90",
        ">= 90",
        "90 and over",
        "90 or older",
        "90 years and over",
        "90+ years",
        "90 y+",
        ">89 y",
        "over 89",
        "at least 90",
        "90 plus",
    ] {
        check_age(text, AgeUnit::Years, Ok(90));
    }
    for text in [
        "<1",
        "< 1",
        "<1 y",
        "<12 mo",
        "< 30 days",
        "under 1",
        "≤ 11 months",
        "<0.5",
    ] {
        check_age(text, AgeUnit::Years, Ok(0));
    }
    for text in [
        "70+", "88+", "<18", "<2", "≤1", "<13 mo", ">17", ">121", "121", "-1", "-0.5 y",
    ] {
        check_age(text, AgeUnit::Years, Err(OutOfRange));
    }
    check_age("1440 mo", AgeUnit::Years, Ok(90));
    check_age("1452 mo", AgeUnit::Years, Err(OutOfRange));
}

#[test]
fn what_could_be_something_else_is_no_age() {
    for text in [
        "",
        "adult",
        "child",
        "67M",
        "67 m",
        "67F",
        "67yoM",
        "67 min",
        "65-69",
        "60s",
        "67?",
        "~67",
        "67,4",
        "1,234",
        "y",
        "+",
        ">",
        "90++y+x",
        "2y 3",
        "2y 13m",
        "2y 3y",
        "2 mo 3 y",
        "2y 3.5m",
        "2.5y 3m",
        ">2y 3m",
        "<90+",
        "67 y 67 y",
        "DOB 1950",
        "1950-01-01",
        "4 mo 5 mo",
        "１２",
    ] {
        check_age(text, AgeUnit::Years, Err(NotAWholeNumber));
    }
    check_age("=DATEDIF(A1,B1)", AgeUnit::Years, Err(SpreadsheetError));
    let Kind::Age { max } = CaseField::AgeYears.kind() else {
        panic!("an age");
    };
    check_age(&max.to_string(), AgeUnit::Years, Ok(90));
    check_age(&(max + 1).to_string(), AgeUnit::Years, Err(OutOfRange));
}
