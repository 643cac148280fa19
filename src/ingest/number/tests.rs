use super::age::{AgeUnit, age_years};
use super::elapsed::{DurationUnit, elapsed_minutes};
use super::whole;
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
