//! Cells of every common form, what is forgiven and what is not.

mod laws;

use super::*;
use jiff::civil::Date;

/// Date as text and minute of the day; the offset after it where there is one.
type Expected = Result<(Option<&'static str>, Option<u16>), IssueCode>;

fn format(words: &str) -> TimeFormat {
    TimeFormat::new(words).expect("a form that holds all it begins")
}

fn days(date: &str) -> u16 {
    let date: Date = date.parse().expect("a date of the test");
    let since = date.duration_since(Date::constant(1970, 1, 1));
    u16::try_from(since.as_hours() / 24).expect("a day within the years")
}

#[track_caller]
fn check(words: &str, text: &str, expected: Expected) {
    let read = format(words).read(text);
    let found = read.map(|written| (written.date, written.minute_of_day));
    let expected = expected.map(|(date, minute)| (date.map(days), minute));
    assert_eq!(found, expected, "`{words}` on `{text}`");
}

#[track_caller]
fn check_moment(words: &str, text: &str, date: &'static str, hour: u16, minute: u16) {
    check(words, text, Ok((Some(date), Some(hour * 60 + minute))));
}

#[track_caller]
fn check_refused(words: &str, texts: &[&str]) {
    for text in texts {
        check(words, text, Err(IssueCode::NotATime));
    }
}

#[test]
fn common_forms_are_read() {
    check_moment("%Y-%m-%d %H:%M", "2024-11-02 22:40", "2024-11-02", 22, 40);
    check_moment(
        "%m/%d/%Y %I:%M %p",
        "11/2/2024 10:40 PM",
        "2024-11-02",
        22,
        40,
    );
    check_moment(
        "%m/%d/%Y %I:%M %p",
        "11/2/2024 12:05 am",
        "2024-11-02",
        0,
        5,
    );
    check_moment(
        "%m/%d/%Y %I:%M %p",
        "11/2/2024 12:05 PM",
        "2024-11-02",
        12,
        5,
    );
    check_moment(
        "%d.%m.%Y %H:%M:%S",
        "02.11.2024 22:40:31",
        "2024-11-02",
        22,
        40,
    );
    check_moment("%d.%m.%y %H.%M", "2.11.24 22.40", "2024-11-02", 22, 40);
    check_moment("%Y%m%d%H%M", "202411022240", "2024-11-02", 22, 40);
    check_moment("%Y%m%d%H%M%S", "20241102224059", "2024-11-02", 22, 40);
    check_moment("%Y%m%dT%H%M", "20241102T2240", "2024-11-02", 22, 40);
    check_moment("%d-%b-%Y %H:%M", "2-NOV-2024 22:40", "2024-11-02", 22, 40);
    check_moment(
        "%d-%b-%y %I.%M.%S.%f %p",
        "02-NOV-24 10.40.00.000000 PM",
        "2024-11-02",
        22,
        40,
    );
    check_moment(
        "%B %d, %Y %H:%M",
        "November 2, 2024 22:40",
        "2024-11-02",
        22,
        40,
    );
    check_moment(
        "%b %e, %Y %l:%M %p",
        "Sept.  2, 2024  9:40 p.m.",
        "2024-09-02",
        21,
        40,
    );
    check_moment(
        "%d. %b. %Y %H:%M",
        "2. Nov. 2024 22:40",
        "2024-11-02",
        22,
        40,
    );
    check_moment("%d/%m/%Y, %k:%M", "02/11/2024,  9:40", "2024-11-02", 9, 40);
    check_moment("%D %R", "11/02/24 22:40", "2024-11-02", 22, 40);
    check_moment("%F %T", "2024-11-02 22:40:00", "2024-11-02", 22, 40);
    check_moment("%H:%M %d.%m.%Y", "22:40 02.11.2024", "2024-11-02", 22, 40);
    check_moment(
        "%m/%d/%Y %p %I:%M",
        "11/02/2024 PM 10:40",
        "2024-11-02",
        22,
        40,
    );
    check("%H:%M", "9:05", Ok((None, Some(545))));
    check("%H%M", "0905", Ok((None, Some(545))));
    check("%I:%M %p", "12:00 AM", Ok((None, Some(0))));
    check("%d.%m.%Y", "2.11.2024", Ok((Some("2024-11-02"), None)));
}

#[test]
fn forms_of_rare_words_are_read_by_the_library() {
    check_moment(
        "%a %d %b %Y %H:%M",
        "Sat 02 Nov 2024 22:40",
        "2024-11-02",
        22,
        40,
    );
    // The weekday contradicts the date.
    check_refused("%a %d %b %Y %H:%M", &["Sun 02 Nov 2024 22:40", "Sat", ""]);
    check_moment("%Y-%j %H:%M", "2024-307 22:40", "2024-11-02", 22, 40);
}

#[test]
fn what_is_forgiven_never_changes_the_meaning() {
    for text in [
        " 2024-11-02 22:40 ",
        "\u{a0}2024-11-02\u{a0}22:40",
        "2024-11-02T22:40",
        "2024-11-02t22:40:59",
        "2024-11-02   22:40",
        "2024-11-2 22:40:59.999999",
        "2024-11-02 22:40:00,5",
        "2024-11-02 22:40:60",
    ] {
        check_moment("%Y-%m-%d %H:%M", text, "2024-11-02", 22, 40);
        check_moment("%Y-%m-%dT%H:%M:%S", text, "2024-11-02", 22, 40);
        check_moment("%Y-%m-%dT%H:%M:%S%.f", text, "2024-11-02", 22, 40);
    }
    for text in [
        "2/11/2024 10:40pm",
        "2/11/2024 10:40 P.M.",
        "2/11/2024 10:40:07 p. m.",
        "2/11/2024 10:40\u{202f}PM",
        "02/11/2024 10:40Pm",
    ] {
        check_moment("%d/%m/%Y %I:%M %p", text, "2024-11-02", 22, 40);
        check_moment("%d/%m/%Y %I:%M:%S%p", text, "2024-11-02", 22, 40);
    }
}

#[test]
fn other_forms_and_days_that_do_not_exist_are_no_times() {
    check_refused(
        "%Y-%m-%d %H:%M",
        &[
            "",
            " ",
            "2024-11-02",
            "22:40",
            "2024-11-02 24:00",
            "2024-11-02 22:60",
            "2024-11-02 22:4",
            "2024-11-02 22:40:61",
            "2024-11-02 22:40:5",
            "2024-11-02 22:40:",
            "2024-11-02 22:40:00.",
            "2024-11-02 10:40 PM",
            "2024-11-02 22:40Z",
            "2024-11-02 22:40 +01:00",
            "2024-11-0222:40",
            "2024-13-02 22:40",
            "2024-00-02 22:40",
            "2024-11-00 22:40",
            "2024-11-31 22:40",
            "2023-02-29 22:40",
            "02.11.2024 22:40",
            "24-11-02 22:40",
            "0024-11-02 22:40",
            "1969-12-31 22:40",
            "2101-01-01 22:40",
            "1900-01-02 22:40",
            "+2024-11-02 22:40",
            "2024-11-02 22:40 x",
            "２０２４-11-02 22:40",
            "not recorded",
        ],
    );
    check_refused(
        "%m/%d/%Y %I:%M %p",
        &[
            "11/02/2024 13:40 PM",
            "11/02/2024 00:40 AM",
            "11/02/2024 10:40",
            "11/02/2024 10:40 XM",
            "11/02/2024 10:40 P",
            "30/09/2024 10:40 PM",
        ],
    );
    // One digit would leave open where the month ends and the day begins.
    check_refused(
        "%Y%m%d%H%M",
        &["2024115", "2024112240", "20241102 2240", "2024110222405"],
    );
    check_refused(
        "%d-%b-%Y",
        &["2-Nove-2024", "2-No-2024", "2-11-2024", "2-Mai-2024"],
    );
    check_refused("%m/%d/%y", &["11/02/2024", "11/02/4"]);
}

#[test]
fn two_digits_of_a_year_mean_1970_to_2069() {
    check("%d.%m.%y", "02.11.69", Ok((Some("2069-11-02"), None)));
    check("%d.%m.%y", "02.11.70", Ok((Some("1970-11-02"), None)));
    check("%d.%m.%y", "02.11.99", Ok((Some("1999-11-02"), None)));
    check("%d.%m.%y", "02.11.00", Ok((Some("2000-11-02"), None)));
}

#[test]
fn an_offset_in_the_cell_is_kept() {
    for (text, offset) in [
        ("2024-11-02T22:40:00-04:00", -240),
        ("2024-11-02 22:40+0530", 330),
        ("2024-11-02T22:40:00.123Z", 0),
        ("2024-11-02T22:40 +01", 60),
    ] {
        for words in [
            "%Y-%m-%dT%H:%M:%S%:z",
            "%Y-%m-%d %H:%M%z",
            "%Y-%m-%dT%H:%M:%SZ",
        ] {
            let written = format(words).read(text).expect("a time with its offset");
            assert_eq!(
                written.offset_minutes,
                Some(offset),
                "`{words}` on `{text}`"
            );
            let local = i64::from(days("2024-11-02")) * 1440 + 22 * 60 + 40;
            let zone = super::super::ZoneTable::new(&TimeZone::UTC);
            let expected = super::super::Reading::Once(local - i64::from(offset));
            assert_eq!(written.reading(&zone), Ok(expected));
        }
    }
    // A form with an offset promises one in every cell.
    check_refused(
        "%Y-%m-%dT%H:%M%:z",
        &[
            "2024-11-02T22:40",
            "2024-11-02T22:40+1",
            "2024-11-02T22:40+16:00",
            "2024-11-02T22:40+01:60",
        ],
    );
}

#[test]
fn placeholders_are_told_from_times() {
    let form = format("%Y-%m-%d %H:%M");
    for date in [
        "0000-00-00",
        "0001-01-01",
        "1753-01-01",
        "1899-12-30",
        "1899-12-31",
        "1900-01-00",
        "1900-01-01",
        "2099-12-31",
        "2100-01-01",
        "2100-12-31",
        "9999-12-31",
    ] {
        for time in ["00:00", "23:59"] {
            let read = form.read(&format!("{date} {time}"));
            assert_eq!(read, Err(IssueCode::Placeholder), "{date} {time}");
        }
        let read = format("%Y-%m-%d").read(date);
        assert_eq!(read, Err(IssueCode::Placeholder), "{date}");
    }
    assert_eq!(
        form.read("1970-01-01 00:00:00"),
        Err(IssueCode::Placeholder)
    );
    check_moment("%Y-%m-%d %H:%M", "1970-01-01 00:01", "1970-01-01", 0, 1);
    check_moment("%Y-%m-%d %H:%M", "2099-12-30 00:00", "2099-12-30", 0, 0);
    let us = format("%m/%d/%Y %I:%M:%S %p");
    assert_eq!(us.read("1/1/1900 12:00:00 AM"), Err(IssueCode::Placeholder));
    assert_eq!(
        us.read("12/31/9999 12:00:00 AM"),
        Err(IssueCode::Placeholder)
    );
    check("%H:%M", "00:00", Ok((None, Some(0))));
}

#[test]
fn serials_and_what_spreadsheets_leave_in_place_of_them() {
    check_moment("serial", "45598.9444444444", "2024-11-02", 22, 40);
    check_moment("serial_1904", "44136,9444444444", "2024-11-02", 22, 40);
    check_moment("serial", " 45598 ", "2024-11-02", 0, 0);
    check_refused("serial", &["20000", "80000", "2024", "22:40", ""]);
    for text in ["0", "1", "25569", "25569.0000001"] {
        check("serial", text, Err(IssueCode::Placeholder));
    }
    check_moment("serial", "25569.5", "1970-01-01", 12, 0);
    for words in ["serial", "%Y-%m-%d %H:%M", "%H:%M", "%a %d %b %Y %H:%M"] {
        for text in ["=B2+TIME(1,0,0)", "#REF!", "#N/A", "########", " #VALUE! "] {
            check(words, text, Err(IssueCode::SpreadsheetError));
        }
    }
}

#[test]
fn a_form_that_loses_part_of_what_it_begins_is_refused() {
    for words in [
        "",
        " ",
        "22:40",
        "%",
        "%K",
        "%Y-%m-%d %I:%M",
        "%I:%M",
        "%m/%d %H:%M",
        "%d",
        "%Y-%m",
        "%Y-%m-%d %H",
        "%Y-%m-%d %M",
        "%S",
        "%p",
        "%H %p",
        "%a %H:%M",
        "%Y-%m-%d %H:%M %Q",
        "%m/%m/%Y %H:%M",
        "serial_1905",
        "%j %H:%M",
        "%y-%d",
    ] {
        let fault = TimeFormat::new(words).expect_err(words);
        assert!(
            fault
                .what
                .contains("does not hold a whole date and time of day")
        );
    }
    let (date, time) = (format("%d.%m.%Y"), format("%I:%M %p"));
    assert_eq!((date.has_date(), date.has_time()), (true, false));
    assert_eq!((time.has_date(), time.has_time()), (false, true));
    let both = format("%a %d.%m.%Y %H:%M");
    assert_eq!((both.has_date(), both.has_time()), (true, true));
    assert_eq!(both.words(), "%a %d.%m.%Y %H:%M");
}

#[test]
fn day_and_month_exchange_where_they_are_two_numbers_before_the_year() {
    for (words, expected) in [
        ("%d/%m/%Y %H:%M", Some("%m/%d/%Y %H:%M")),
        ("%m-%d-%y", Some("%d-%m-%y")),
        ("%-m/%-d/%Y %I:%M %p", Some("%-d/%-m/%Y %I:%M %p")),
        ("%D %R", Some("%d/%m/%y %R")),
        ("%Y-%m-%d %H:%M", None),
        ("%y.%m.%d", None),
        ("%F %T", None),
        ("%d-%b-%Y %H:%M", None),
        ("%H:%M", None),
        ("serial", None),
    ] {
        let found = swapped(&format(words));
        assert_eq!(found.as_ref().map(TimeFormat::words), expected, "{words}");
    }
}

#[test]
fn no_debug_output_holds_what_a_cell_says() {
    let written = format("%H:%M").read("22:40").expect("a time of day");
    assert_eq!(format!("{written:?}"), "Written(..)");
}
