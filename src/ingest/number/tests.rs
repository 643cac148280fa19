use super::{AgeUnit, DurationUnit, age_years, decimal, elapsed_minutes, whole};
use crate::domain::fields::{CaseField, Field, Kind};
use crate::domain::issue::IssueCode::{self, NotAWholeNumber, OutOfRange, SpreadsheetError};
use proptest::prelude::any;

const POINT: u8 = b'.';
const COMMA: u8 = b',';

#[track_caller]
fn check_whole(text: &str, mark: u8, expected: Result<i64, IssueCode>) {
    assert_eq!(
        whole(text, mark, -1_000_000_000, 1_000_000_000),
        expected,
        "{text}"
    );
}

#[test]
fn whole_numbers_are_digits_with_a_sign_and_a_zero_fraction_at_most() {
    for (text, number) in [
        ("67", 67),
        ("0", 0),
        ("-0", 0),
        ("+5", 5),
        ("-60", -60),
        ("−60", -60),
        ("007", 7),
        ("67.0", 67),
        ("67.000", 67),
        ("-3.00", -3),
        ("0000000000000000000000000012", 12),
    ] {
        check_whole(text, POINT, Ok(number));
        check_whole(&text.replace('.', ","), COMMA, Ok(number));
    }
    for text in [
        "", "-", "+", ".", "67.", ".0", "67.5", "67.01", "6 7", "67 ", "1e3", "0x10", "--5", "+-5",
        "67,0", "٣", "６７", "adult", "67.0.0", "½",
    ] {
        check_whole(text, POINT, Err(NotAWholeNumber));
    }
    check_whole("67.0", COMMA, Err(NotAWholeNumber));
    for text in ["=A2-B2", "#REF!", "#VALUE!", "#N/A", "#DIV/0!", "="] {
        check_whole(text, POINT, Err(SpreadsheetError));
    }
}

#[test]
fn thousands_are_read_only_where_their_mark_marks_no_decimals() {
    for (text, mark, number) in [
        ("1,234.0", POINT, 1234),
        ("1.234,0", COMMA, 1234),
        ("1,234,567", POINT, 1_234_567),
        ("-1.234.567", COMMA, -1_234_567),
        ("1\u{a0}234", POINT, 1234),
        ("12\u{202f}345", COMMA, 12_345),
        ("1'234", POINT, 1234),
        ("1’234’567", POINT, 1_234_567),
    ] {
        check_whole(text, mark, Ok(number));
    }
    for (text, mark) in [
        ("1,234", POINT),
        ("1.234", COMMA),
        ("1 234", POINT),
        ("1,234,56", POINT),
        ("1,234.567", POINT),
        ("12345,678,901", POINT),
        ("0,123,456", POINT),
        ("1,234 567", POINT),
        ("1,,234", POINT),
        (",234,567", POINT),
        ("1.234.567", POINT),
        ("1;234;567", POINT),
    ] {
        check_whole(text, mark, Err(NotAWholeNumber));
    }
}

#[test]
fn bounds_are_included_and_what_is_beyond_every_number_is_none() {
    assert_eq!(whole("23", POINT, 0, 23), Ok(23));
    assert_eq!(whole("24", POINT, 0, 23), Err(OutOfRange));
    assert_eq!(whole("-1", POINT, 0, 23), Err(OutOfRange));
    assert_eq!(whole("-9223372036854775808", POINT, 0, 23), Err(OutOfRange));
    assert_eq!(
        whole("-9223372036854775808", POINT, i64::MIN, i64::MAX),
        Ok(i64::MIN)
    );
    assert_eq!(
        whole("9223372036854775807", POINT, i64::MIN, i64::MAX),
        Ok(i64::MAX)
    );
    check_whole("9223372036854775808", POINT, Err(NotAWholeNumber));
    check_whole("99999999999999999999", POINT, Err(NotAWholeNumber));
    check_whole(&"9".repeat(200), POINT, Err(NotAWholeNumber));
}

#[test]
fn decimals_have_digits_on_both_sides_of_the_told_mark() {
    for (text, number) in [
        ("11.25", 11.25),
        ("45598.93", 45598.93),
        ("-0.5", -0.5),
        ("−0.5", -0.5),
        ("7", 7.0),
        ("+7.0", 7.0),
        ("0.1000000000000000055511151231257827", 0.1),
    ] {
        assert_eq!(decimal(text, POINT), Ok(number), "{text}");
        assert_eq!(
            decimal(&text.replace('.', ","), COMMA),
            Ok(number),
            "{text}"
        );
    }
    for text in [
        "",
        ".5",
        "5.",
        "11,25",
        "1,234.5",
        "1e3",
        "inf",
        "NaN",
        "11.25 g",
        " 1",
        "1.2.3",
        "-",
        "0.00000000000000000000000000000000000000001",
    ] {
        assert_eq!(decimal(text, POINT), Err(NotAWholeNumber), "{text}");
    }
    assert_eq!(decimal("#REF!", POINT), Err(SpreadsheetError));
}

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

#[track_caller]
fn check_minutes(text: &str, declared: DurationUnit, expected: Result<i64, IssueCode>) {
    assert_eq!(elapsed_minutes(text, declared, POINT), expected, "{text}");
}

#[test]
fn lengths_of_time_become_whole_minutes() {
    use DurationUnit::{Hours, Minutes, Seconds};
    for (text, declared, minutes) in [
        ("90", Minutes, 90),
        ("-60", Minutes, -60),
        ("90.0", Minutes, 90),
        ("44.5", Minutes, 44),
        ("-0.5", Minutes, -1),
        ("90 min", Minutes, 90),
        ("90 mins.", Seconds, 90),
        ("2 h", Minutes, 120),
        ("2", Hours, 120),
        ("1.5", Hours, 90),
        ("1.5 h", Minutes, 90),
        ("-1.5 h", Minutes, -90),
        ("59", Seconds, 0),
        ("60", Seconds, 1),
        ("119.9", Seconds, 1),
        ("-30", Seconds, -1),
        ("-30 s", Minutes, -1),
        ("1 h 30 min", Minutes, 90),
        ("1h30", Minutes, 90),
        ("1h05m", Minutes, 65),
        ("1 hr, 30 mins", Minutes, 90),
        ("1 hour and 5 minutes", Minutes, 65),
        ("2 min 30 s", Minutes, 2),
        ("1 h 59 min 59 s", Minutes, 119),
        ("-1 h 30 min", Minutes, -90),
        ("-2 min 30 s", Minutes, -3),
        ("1:30", Hours, 90),
        ("0:05", Hours, 5),
        ("-0:30", Hours, -30),
        ("26:00", Hours, 1560),
        ("1:30:59", Hours, 90),
        ("-0:00:30", Hours, -1),
        ("86400", Minutes, 86_400),
        ("-86400", Minutes, -86_400),
    ] {
        check_minutes(text, declared, Ok(minutes));
    }
    assert_eq!(elapsed_minutes("1,5 h", Minutes, COMMA), Ok(90));
}

#[test]
fn a_decimal_that_was_rounded_from_a_whole_minute_gives_that_minute() {
    for minutes in 0..=600_i32 {
        let hours = f64::from(minutes) / 60.0;
        for text in [
            format!("{hours:.2}"),
            format!("{hours:.3}"),
            format!("{hours:.6}"),
            format!("{hours}"),
        ] {
            check_minutes(&text, DurationUnit::Hours, Ok(i64::from(minutes)));
        }
        // What a spreadsheet makes of the difference of two moments of the year 2026.
        let (from, to) = (46_000.25, 46_000.25 + f64::from(minutes) / 1440.0);
        let difference = format!("{}", (to - from) * 1440.0);
        check_minutes(&difference, DurationUnit::Minutes, Ok(i64::from(minutes)));
    }
    check_minutes("2.05", DurationUnit::Hours, Ok(123));
    check_minutes("1.01", DurationUnit::Hours, Ok(60));
    check_minutes("44.99", DurationUnit::Minutes, Ok(44));
    check_minutes("44.9999999998", DurationUnit::Minutes, Ok(45));
}

#[test]
fn what_could_be_something_else_is_no_length_of_time() {
    for (text, declared) in [
        ("1:30", DurationUnit::Minutes),
        ("1:30", DurationUnit::Seconds),
        ("1:3", DurationUnit::Hours),
        ("1:60", DurationUnit::Hours),
        ("1:30:5", DurationUnit::Hours),
        ("1:30:00:00", DurationUnit::Hours),
        (":30", DurationUnit::Hours),
        ("12345:00", DurationUnit::Hours),
        ("1:30 pm", DurationUnit::Hours),
        ("~30", DurationUnit::Minutes),
        (">60", DurationUnit::Minutes),
        ("30-40", DurationUnit::Minutes),
        ("90 days", DurationUnit::Minutes),
        ("1,5", DurationUnit::Hours),
        ("1 h 60 min", DurationUnit::Minutes),
        ("1 h 30", DurationUnit::Minutes),
        ("1 h 2 h", DurationUnit::Minutes),
        ("30 min 1 h", DurationUnit::Minutes),
        ("1.5 h 30 min", DurationUnit::Minutes),
        ("1 30 min", DurationUnit::Minutes),
        ("min", DurationUnit::Minutes),
        ("", DurationUnit::Minutes),
        ("stat", DurationUnit::Minutes),
    ] {
        check_minutes(text, declared, Err(NotAWholeNumber));
    }
    check_minutes("86401", DurationUnit::Minutes, Err(OutOfRange));
    check_minutes("1441 h", DurationUnit::Minutes, Err(OutOfRange));
    check_minutes("999999999999999 h", DurationUnit::Minutes, Err(OutOfRange));
    check_minutes("=A2-B2", DurationUnit::Minutes, Err(SpreadsheetError));
}

#[test]
fn units_have_one_word_each() {
    assert_eq!(
        AgeUnit::ALL.map(AgeUnit::code),
        ["years", "months", "weeks", "days"]
    );
    assert_eq!(
        DurationUnit::ALL.map(DurationUnit::code),
        ["hours", "minutes", "seconds"]
    );
}

proptest::proptest! {
    #[test]
    fn any_number_reads_as_itself(number in any::<i64>(), zeros in 1..5_usize) {
        let text = number.to_string();
        assert_eq!(whole(&text, POINT, i64::MIN, i64::MAX), Ok(number));
        let text = format!("{text},{}", "0".repeat(zeros));
        assert_eq!(whole(&text, COMMA, i64::MIN, i64::MAX), Ok(number));
    }

    #[test]
    fn no_text_panics(text in "[-+−0-9.,:'><=≥ hmysdwokn#]{0,30}|\\PC{0,20}") {
        for mark in [POINT, COMMA] {
            let _ = whole(&text, mark, i64::MIN, i64::MAX);
            let _ = decimal(&text, mark).map(|number| assert!(number.is_finite()));
            for unit in AgeUnit::ALL {
                let age = age_years(&text, unit, mark);
                assert!(age.is_err() || age.is_ok_and(|age| (0..=90).contains(&age)));
            }
            for unit in DurationUnit::ALL {
                let _ = elapsed_minutes(&text, unit, mark);
            }
        }
    }
}
