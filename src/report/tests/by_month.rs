//! What a page says of recording month by month, and of the hours at which calls come.

use super::invented;
use crate::domain::codes::Weekday;
use crate::domain::counts::{EventsCount, Key};
use crate::domain::fields::CaseField;
use crate::domain::month::Month;
use crate::domain::recording::{Filled, Recording};
use crate::findings::calls_by_hour::calls_by_hour;
use crate::findings::drift::drift;
use crate::findings::heaping::heaping;
use crate::findings::review::Review;
use crate::report::{Page, page};
use crate::stats::Level;

/// Blank cases by month: from the oldest month shown to the month in view, of 40 cases each.
fn recorded(recording: &mut Recording, field: CaseField, blank: impl Fn(i32) -> u64) {
    let last = month("2026-09");
    for place in 0..24 {
        let filled = Filled {
            filled: 40 - blank(place),
            cases: 40,
        };
        let at = (field, last.plus(place - 23));
        recording.completeness.insert(at, filled);
    }
}

fn month(text: &str) -> Month {
    text.parse().expect("a month")
}

/// A review of which all that this file is about is known: `calls` by hour, blanks, rounded times of
/// the call, and as many calls by setting as `settings` says for each month.
fn review(calls: impl Fn(Weekday, u8) -> u64, settings: &[(&str, &str, u64)]) -> Review {
    let mut review = invented::review();
    let definition = review.definition("calls").cloned().expect("calls");
    let mut add = |by: &str, group: &str, month, events| {
        let key = Key {
            by: by.to_owned(),
            group: group.to_owned(),
            ..Key::of_all(&definition, month)
        };
        let count = EventsCount {
            events,
            exposure_minutes: 104 * 60,
        };
        review.counts.events.insert(key, count);
    };
    for weekday in Weekday::ALL {
        for hour in 0..24 {
            let group = format!("{}|{hour}", weekday.code());
            add("weekday+hour", &group, None, calls(*weekday, hour));
        }
    }
    for (setting, text, events) in settings {
        add("setting", setting, Some(month(text)), *events);
    }
    review.calls_by_hour = calls_by_hour(&review.counts, &definition);
    let needed = &mut review.quality.read_by_first_page;
    needed.extend([CaseField::CalledAt, CaseField::ScopeInAt]);
    let recording = &mut review.quality.recording;
    recorded(recording, CaseField::CaseId, |_| 0);
    recorded(recording, CaseField::ScopeInAt, |_| 0);
    recorded(recording, CaseField::ObjectType, |place| {
        u64::from(place % 7 == 0)
    });
    recorded(recording, CaseField::Overtube, |place| {
        if place < 9 { 31 } else { 3 }
    });
    recorded(recording, CaseField::PrecleanAt, |place| {
        u64::try_from(place + 2).unwrap_or(0)
    });
    recorded(recording, CaseField::OvertubePass, |_| 5);
    let digits = (CaseField::CalledAt, month("2026-08"));
    recording
        .last_digits
        .insert(digits, [30, 1, 2, 2, 1, 28, 1, 2, 2, 1]);
    let digits = (CaseField::TeamAt, month("2026-09"));
    recording.last_digits.insert(digits, [7; 10]);
    review.quality.heaping = heaping(recording, review.month, Level::P95);
    review.quality.drift = drift(
        &review.counts,
        &definition,
        review.first_month,
        review.month,
        Level::P95,
    );
    review
}

const QUIET: [(&str, &str, u64); 4] = [
    ("emergency_department", "2026-01", 300),
    ("ward", "2026-01", 100),
    ("emergency_department", "2026-08", 74),
    ("ward", "2026-08", 26),
];

/// More calls in the evening, and few at night.
fn evenings(weekday: Weekday, hour: u8) -> u64 {
    let at_weekend = u64::from(weekday >= Weekday::Saturday);
    match hour {
        0..7 => 1 + u64::from(hour % 2),
        7..17 => 4 + at_weekend,
        17..23 => 11 + 2 * at_weekend,
        _ => 0,
    }
}

fn svg(page: &Page, stem: &str) -> String {
    let chart = page.charts().find(|chart| chart.stem() == stem);
    chart.expect("the chart").svg()
}

#[test]
fn calls_stand_in_their_hour_with_totals_and_a_frame_around_staffed_hours() {
    let page = page(&review(evenings, &QUIET));
    let svg = svg(&page, "calls_by_weekday_and_hour");
    for text in [
        // A weekday has 116, and each day of a weekend 138.
        "When do calls come? 856 calls, October 2024 to September 2026",
        "Monday",
        "All days",
        "staffed hours",
        "10 to 13",
    ] {
        assert!(svg.contains(text), "{text}");
    }
    // A weekday: 10 at night (four hours with 1 and three with 2), 10 by 4 and 6 by 11.
    assert!(svg.contains("\n116\n"));
    assert!(page.html().contains("Saturday 138"));
    assert!(page.html().contains("clock changes included"));
    // Observed: 104 hours in each of 24.
    assert!(page.html().contains("<td>2,496</td>"));
}

#[test]
fn few_calls_stand_in_blocks_of_hours() {
    let page = page(&review(|_, hour| u64::from(hour % 3 == 0), &QUIET));
    // 56 calls are too few for the longest block to hold five: 2 in each block of 6 hours.
    assert!(page.html().contains("Blocks of 6 hours"));
    assert!(svg(&page, "calls_by_weekday_and_hour").contains("18–24"));
}

#[test]
fn blanks_stand_out_of_the_cases_that_are_asked() {
    let page = page(&review(evenings, &QUIET));
    let svg = svg(&page, "blank_by_field_and_month");
    // 31 of 40, in nine months; 3 of 40; and over 24 months 324 of 960.
    for text in [
        "\n78\n",
        "\n8\n",
        "\n34\n",
        "overtube",
        "Cases of the month",
    ] {
        assert!(svg.contains(text), "{text}");
    }
    assert_eq!(svg.matches("\n78\n").count(), 9);
    // Too long for one line.
    assert!(svg.contains("was placed") && !svg.contains('…'));
    // Never blank: named where a first measure reads it, and no row of empty cells.
    assert!(!svg.contains("scope in"));
    let named = "Read by the first page and never blank: scope in.";
    assert!(
        page.html().contains(named),
        "and not the number of the case"
    );
    assert!(
        page.html()
            .contains("Read by the first page and never blank: scope in.")
    );
    assert!(
        page.html()
            .contains("<td>cases with food or an object not called off before the scope</td>")
    );
    assert!(page.html().contains("324 of 960 (33.8%)"));
}

#[test]
fn rounded_times_are_named_and_even_ones_are_not() {
    let html = page(&review(evenings, &QUIET)).html();
    assert!(html.contains("Rounded: call. Numbers made"));
    assert!(html.contains("58 of 70 (83%)"));
    assert!(html.contains("14 of 70 (20%)"));
    assert!(html.contains("not rounded beyond the rule"));
}

#[test]
fn a_quiet_mix_is_said_plainly_and_a_shift_stands_in_a_table() {
    let quiet = page(&review(evenings, &QUIET)).html();
    assert!(quiet.contains("No category shifted beyond chance; 2 were looked at."));
    assert!(!quiet.contains("Categories whose share shifted"));
    let mut shifted = QUIET;
    shifted[2].2 = 20;
    shifted[3].2 = 80;
    let loud = page(&review(evenings, &shifted)).html();
    assert!(loud.contains("Categories whose share shifted beyond chance"));
    for text in ["80 of 100 (80.0%)", "+55.0", "a larger share than before"] {
        assert!(loud.contains(text), "{text}");
    }
    // One month before is too short a past.
    let mut young = review(evenings, &QUIET);
    young.quality.drift = None;
    assert!(page(&young).html().contains("Not compared: it takes calls"));
}

#[test]
fn pictures_for_the_eye() {
    let Ok(directory) = std::env::var("SCOPETALLY_PICTURES") else {
        return;
    };
    let reviews = [
        review(evenings, &QUIET),
        review(|_, hour| u64::from(hour % 3), &QUIET),
    ];
    for (number, review) in reviews.iter().enumerate() {
        let page = page(review);
        for chart in page.charts() {
            if ["calls_by_weekday_and_hour", "blank_by_field_and_month"].contains(&chart.stem()) {
                let path = format!("{directory}/{}_{number}.png", chart.stem());
                std::fs::write(path, chart.png()).expect("a picture");
            }
        }
    }
}
