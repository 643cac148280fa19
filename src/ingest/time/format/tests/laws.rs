//! Laws that hold for every text and every form.

use super::*;
use jiff::fmt::strtime;
use proptest::prelude::*;

const FORMS: [&str; 22] = [
    "%Y-%m-%d %H:%M",
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%dT%H:%M:%S",
    "%Y-%m-%dT%H:%M:%S%.3f",
    "%Y-%m-%dT%H:%M:%S%:z",
    "%Y-%m-%dT%H:%M:%S%z",
    "%Y%m%d%H%M",
    "%Y%m%d%H%M%S",
    "%Y/%m/%d %k:%M",
    "%m/%d/%Y %I:%M %p",
    "%m/%d/%Y %I:%M:%S %p",
    "%-m/%-d/%Y %-I:%M %p",
    "%m/%d/%y %l:%M%P",
    "%d.%m.%Y %H:%M",
    "%d.%m.%y %H.%M.%S",
    "%e/%m/%Y, %H:%M",
    "%d-%b-%Y %H:%M",
    "%d-%B-%Y %H:%M",
    "%b %d, %Y %I:%M %p",
    "%H:%M %d.%m.%Y",
    "%a, %d %b %Y %H:%M:%S",
    "%Y-%j %H:%M",
];

proptest! {
    #[test]
    fn what_the_library_writes_in_a_form_is_read_back(
        day in 1_i32..36_000,
        minute in 0_u16..1440,
        second in 0_i8..60,
        offset_hours in -12_i8..=14,
        form in 0..FORMS.len(),
    ) {
        let words = FORMS[form];
        // Two digits of a year do not reach further.
        let day = if words.contains("%y") { day } else { day + 11_000 };
        let date = Date::constant(1970, 1, 1) + jiff::Span::new().days(day);
        let hour = i8::try_from(minute / 60).unwrap();
        let moment = date.at(hour, i8::try_from(minute % 60).unwrap(), second, 0);
        let zone = jiff::tz::Offset::constant(offset_hours).to_time_zone();
        let zoned = zone.to_zoned_datetime(moment).unwrap();
        let text = strtime::format(words, &zoned).unwrap();
        let read = format(words).read(&text);
        let has_offset = words.ends_with('z');
        let expected = Written {
            date: u16::try_from(day).ok(),
            minute_of_day: Some(minute),
            offset_minutes: has_offset.then(|| i16::from(offset_hours) * 60),
        };
        prop_assert!(
            read == Ok(expected) || (day >= 47_481 && read == Err(IssueCode::Placeholder)),
            "`{}` on `{}`", words, text
        );
    }

    #[test]
    fn no_text_panics(text in any::<String>(), form in 0..FORMS.len()) {
        let _ = format(FORMS[form]).read(&text);
        let _ = format("serial").read(&text);
        let _ = is_spreadsheet_error(&text);
    }

    #[test]
    fn no_text_that_looks_like_a_time_panics(
        text in "[0-9]{0,5}[-/.: T,]?[0-9A-Za-z ]{0,9}[-/.: T,+]{0,2}[0-9.,:]{0,12}[ apmAPMZ.+-]{0,5}[0-9:]{0,6}",
        form in 0..FORMS.len(),
    ) {
        let _ = format(FORMS[form]).read(&text);
        let _ = format("serial_1904").read(&text);
    }

    #[test]
    fn no_form_panics(words in any::<String>(), common in "(%[-_0^#]?[0-9]{0,3}[.:]{0,3}[a-zA-Z%]|[-/:. TZ,]){0,9}") {
        for words in [words, common] {
            if let Ok(format) = TimeFormat::new(&words) {
                let _ = format.read("2024-11-02 22:40");
                let _ = swapped(&format);
            }
        }
    }
}
