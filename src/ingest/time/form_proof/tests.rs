//! Columns of cells and what they prove.

use super::*;
use crate::ingest::time::TimeFormat;
use proptest::prelude::*;

fn column(texts: &[&str]) -> FormProof {
    let mut proof = FormProof::default();
    for text in texts {
        proof.observe(text);
    }
    proof
}

fn form(format: &str, cells: u64, proof: Proof) -> Form {
    Form {
        format: format.into(),
        cells,
        strays: 0,
        proof,
        may_lack_meridiem: false,
    }
}

#[track_caller]
fn check(texts: &[&str], expected: &Verdict) {
    assert_eq!(column(texts).verdict(), *expected, "{texts:?}");
}

#[track_caller]
fn check_self_evident(text: &str, format: &str) {
    check(
        &[text],
        &Verdict::Proved(form(format, 1, Proof::SelfEvident)),
    );
}

#[test]
fn iso_and_names_of_months_are_self_evident() {
    check_self_evident("2024-11-02 22:40", "%Y-%m-%d %H:%M");
    check_self_evident("2024-11-02T22:40", "%Y-%m-%dT%H:%M");
    check_self_evident("2024-11-02T22:40:31Z", "%Y-%m-%dT%H:%M:%S%:z");
    check_self_evident("2024-11-02T22:40:31.250-04:00", "%Y-%m-%dT%H:%M:%S%.f%:z");
    check_self_evident("2024/11/02 22:40", "%Y/%m/%d %H:%M");
    check_self_evident("2024-11-02 10:40 PM", "%Y-%m-%d %I:%M %p");
    check_self_evident("202411022240", "%Y%m%d%H%M");
    check_self_evident("20241102224031", "%Y%m%d%H%M%S");
    check_self_evident("20241102 22:40", "%Y%m%d %H:%M");
    check_self_evident("20241102T2240", "%Y%m%dT%H%M");
    check_self_evident("02-Nov-2024 22:40", "%d-%b-%Y %H:%M");
    check_self_evident("2-NOV-24 10.40.00.000000 PM", "%d-%b-%y %I.%M.%S%.f %p");
    check_self_evident("2 November 2024 22:40", "%d %b %Y %H:%M");
    check_self_evident("Nov 2, 2024 10:40 p.m.", "%b %d, %Y %I:%M %p");
}

#[test]
fn a_number_above_twelve_proves_the_order_of_day_and_month() {
    let days = |cells| Proof::DaysAboveTwelve(cells);
    check(
        &["02/11/2024 22:40", "13/11/2024 10:00", "30/11/2024 00:15"],
        &Verdict::Proved(form("%d/%m/%Y %H:%M", 3, days(2))),
    );
    check(
        &["11/02/2024 10:40 PM", "11/13/2024 10:00 AM"],
        &Verdict::Proved(form("%m/%d/%Y %I:%M %p", 2, days(1))),
    );
    check(
        &["02.11.2024, 22:40:10", "13.11.2024, 22:40:10"],
        &Verdict::Proved(form("%d.%m.%Y, %H:%M:%S", 2, days(1))),
    );
    check(
        &["13-11-2024 22.40"],
        &Verdict::Proved(form("%d-%m-%Y %H.%M", 1, days(1))),
    );
    check(
        &["13.11.2024", "1.2.2024"],
        &Verdict::DateOnly(form("%d.%m.%Y", 2, days(1))),
    );
}

#[test]
fn without_a_number_above_twelve_both_orders_stay_open() {
    let formats = ["%d/%m/%Y %H:%M", "%m/%d/%Y %H:%M"]
        .map(String::from)
        .to_vec();
    check(
        &["02/11/2024 22:40", "12/12/2024 10:00", "01/02/2025 00:15"],
        &Verdict::Ambiguous { formats },
    );
    let formats = ["%d.%m.%Y", "%m.%d.%Y"].map(String::from).to_vec();
    check(&["02.11.2024"], &Verdict::Ambiguous { formats });
}

#[test]
fn two_digits_of_a_year_may_stand_in_front() {
    let orders = |formats: &[&str]| Verdict::Ambiguous {
        formats: formats.iter().map(ToString::to_string).collect(),
    };
    check(
        &["05-11-02"],
        &orders(&["%d-%m-%y", "%m-%d-%y", "%y-%m-%d"]),
    );
    // 24 is a day or a year, and nothing else tells.
    check(&["24-11-02"], &orders(&["%d-%m-%y", "%y-%m-%d"]));
    // The last number takes many values and the first one few.
    check(
        &["24-11-02", "24-11-29", "25-01-15"],
        &orders(&["%d-%m-%y", "%y-%m-%d"]),
    );
    // Days in front, lying further apart than the years behind.
    check(
        &["24.11.24", "02.11.24", "29.12.25"],
        &Verdict::DateOnly(form("%d.%m.%y", 3, Proof::DaysAboveTwelve(2))),
    );
    check(
        &["11/24/24", "11/02/24"],
        &Verdict::DateOnly(form("%m/%d/%y", 2, Proof::DaysAboveTwelve(1))),
    );
    // No month has 98 days.
    check(
        &["98-11-24", "99-11-02"],
        &Verdict::DateOnly(form("%y-%m-%d", 2, Proof::DaysAboveTwelve(2))),
    );
}

#[test]
fn cells_that_prove_both_orders_or_have_several_shapes_are_mixed() {
    let forms = |forms: &[(&str, u64)]| Verdict::Mixed {
        forms: forms
            .iter()
            .map(|(form, cells)| ((*form).to_string(), *cells))
            .collect(),
    };
    check(
        &[
            "13/11/2024 22:40",
            "11/13/2024 22:40",
            "11/14/2024 22:40",
            "01/02/2024 10:00",
        ],
        &forms(&[("%d/%m/%Y %H:%M", 1), ("%m/%d/%Y %H:%M", 2)]),
    );
    check(
        &["2024-11-02 22:40", "2024-11-03 22:40", "02.11.2024 22:40"],
        &forms(&[("%Y-%m-%d %H:%M", 2), ("%d.%m.%Y %H:%M", 1)]),
    );
    check(
        &["2024-11-02 22:40", "2024-11-03"],
        &forms(&[("%Y-%m-%d", 1), ("%Y-%m-%d %H:%M", 1)]),
    );
    // One cell in three hundred is a slip, not a shape of the column.
    let mut texts = vec!["2024-11-02 22:40"; 299];
    texts.push("13.11.2024 22:40");
    let mut settled = form("%Y-%m-%d %H:%M", 299, Proof::SelfEvident);
    settled.strays = 1;
    check(&texts, &Verdict::Proved(settled));
    // But a single proof against the order is not: rows written so stay hidden among the others.
    let mut texts = vec!["11/13/2024 22:40"; 299];
    texts.push("13/11/2024 22:40");
    check(
        &texts,
        &forms(&[("%d/%m/%Y %H:%M", 1), ("%m/%d/%Y %H:%M", 299)]),
    );
}

#[test]
fn times_of_day_serials_and_other_columns() {
    check(
        &["22:40", "9:05", ""],
        &Verdict::TimeOfDay(form("%H:%M", 2, Proof::SelfEvident)),
    );
    check(
        &["10:40 PM", "9:05:10 a.m."],
        &Verdict::TimeOfDay(form("%I:%M:%S %p", 2, Proof::SelfEvident)),
    );
    check(&["45598.9375", "45599"], &Verdict::Serial { cells: 2 });
    check(&["snare", "net", "2024-11-02 22:40"], &Verdict::NotTimes);
    check(&["0", "1", "1"], &Verdict::NotTimes);
    check(&["4711", "12", "37.5"], &Verdict::NotTimes);
    check(
        &[
            "22:40:10:5",
            "25:00",
            "13:00 PM",
            "2024-13-02",
            "32/13/2024",
        ],
        &Verdict::NotTimes,
    );
    check(&[], &Verdict::Empty);
    check(
        &["", " ", "#REF!", "=A2", "0000-00-00", "00/00/0000 00:00"],
        &Verdict::Empty,
    );
}

#[test]
fn a_few_cells_that_are_no_times_do_not_hide_the_form() {
    let mut settled = form("%d.%m.%Y %H:%M", 2, Proof::DaysAboveTwelve(1));
    settled.strays = 1;
    check(
        &["02.11.2024 22:40", "unknown", "13.11.2024 09:00"],
        &Verdict::Proved(settled),
    );
}

#[test]
fn a_clock_without_an_hour_above_twelve_may_have_lost_its_am_and_pm() {
    let texts: Vec<_> = (0..20)
        .map(|n| format!("2024-11-02 {:02}:15", n % 12 + 1))
        .collect();
    let mut proof = FormProof::default();
    for text in &texts {
        proof.observe(text);
    }
    assert!(matches!(proof.verdict(), Verdict::Proved(form) if form.may_lack_meridiem));
    proof.observe("2024-11-02 00:15");
    assert!(matches!(proof.verdict(), Verdict::Proved(form) if !form.may_lack_meridiem));
}

#[test]
fn a_column_takes_the_order_that_a_sister_proves() {
    let open = column(&["02/11/2024 22:40", "01/02/2024 10:00"]);
    let proved = column(&["13/11/2024", "01/02/2024"]);
    let other_signs = column(&["11.13.2024 22:40"]);
    let contrary = column(&["11/13/2024 22:40"]);
    let mut columns = [open.clone(), proved.clone(), other_signs];
    settle_sisters(&mut columns);
    assert_eq!(
        columns.each_ref().map(FormProof::verdict),
        [
            Verdict::Proved(form("%d/%m/%Y %H:%M", 2, Proof::Sisters(1))),
            Verdict::DateOnly(form("%d/%m/%Y", 2, Proof::DaysAboveTwelve(1))),
            Verdict::Proved(form("%m.%d.%Y %H:%M", 1, Proof::DaysAboveTwelve(1))),
        ]
    );
    let mut columns = [open, proved, contrary];
    settle_sisters(&mut columns);
    for column in columns {
        assert!(matches!(column.verdict(), Verdict::Mixed { .. }));
    }
}

proptest! {
    #[test]
    fn no_text_panics_and_every_form_can_be_had(texts in prop::collection::vec(any::<String>(), 0..4)) {
        let texts: Vec<_> = texts.iter().map(String::as_str).collect();
        let _ = column(&texts).verdict();
    }

    /// A proved form reads the cells that proved it.
    #[test]
    fn what_is_proved_can_be_read(
        text in "([0-3]?[0-9][-/.][0-3]?[0-9][-/.](20)?[0-9]{2}|20[0-9]{2}[-/.]?[01][0-9][-/.]?[0-3][0-9]|[0-3]?[0-9][- ]Nov[- ]20[0-9]{2}|Nov [0-9],? 2024|)(,? |T|)([0-2]?[0-9][:.]?[0-5][0-9]([:.]?[0-5][0-9]([.,][0-9]{1,7})?)?( ?[aApP]\\.?[mM]\\.?)?(Z|\\+01:?00| -05)?)?",
    ) {
        let verdict = column(&[&text]).verdict();
        let formats = match verdict {
            Verdict::Proved(form) | Verdict::DateOnly(form) | Verdict::TimeOfDay(form) => vec![form.format],
            Verdict::Ambiguous { formats } => formats,
            _ => vec![],
        };
        for format in formats {
            let known = TimeFormat::new(&format);
            prop_assert!(known.is_ok(), "{}", format);
            let read = known.unwrap().read(&text);
            // Which days there are is for the reading to say: 30 February has the form of a date.
            let has_form = |issue| matches!(issue, crate::domain::issue::IssueCode::Placeholder);
            let is_no_day = has_number_of_no_day(&text);
            prop_assert!(read.is_ok() || read.is_err_and(has_form) || is_no_day, "`{}` on `{}`", format, text);
        }
    }
}

/// Whether a text has a number that is no day of some month, or a zero for one.
fn has_number_of_no_day(text: &str) -> bool {
    let numbers = text.split(|c: char| !c.is_ascii_digit());
    let mut parts = numbers
        .take(3)
        .chain((text.len() >= 8).then(|| text.get(6..8).unwrap_or_default()));
    parts.any(|part| ["29", "30", "31", "00", "0"].contains(&part))
}
