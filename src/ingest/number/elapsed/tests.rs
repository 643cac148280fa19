use super::{DurationUnit, elapsed_minutes};
use crate::domain::issue::IssueCode::{self, NotAWholeNumber, OutOfRange, SpreadsheetError};

const POINT: u8 = b'.';
const COMMA: u8 = b',';

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
