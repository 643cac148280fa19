//! Nights in which the clocks change.

use super::*;
use crate::ingest::clock::settle;
use std::collections::BTreeMap;

/// Minutes of UTC after the passes through a repeated hour are settled by the same limits.
fn settled(placed: &Placed<{ COURSE.len() }>) -> BTreeMap<CaseField, i64> {
    let limits = built_in();
    let impossible = |minutes: &[Option<i64>]| {
        let wrong = limits.iter().filter(|row| {
            let ends = minutes[place_of(row.from)].zip(minutes[place_of(row.to)]);
            ends.is_some_and(|(from, to)| !(row.possible.0..=row.possible.1).contains(&(to - from)))
        });
        wrong.count()
    };
    let minutes = settle(&placed.readings, impossible);
    let known = COURSE.iter().zip(minutes);
    known
        .filter_map(|(field, minute)| Some((*field, minute?)))
        .collect()
}

/// The worked night of the change from summer time; the clock is set back at 02:00 on 3 November.
/// The pre-clean starts at 01:19 and ends at 01:26; exports have one of the two.
const NIGHT: [(CaseField, &str, &str); 10] = [
    (ArrivedAt, "2024-11-02", "22:40"),
    (CalledAt, "2024-11-02", "23:50"),
    (CartAt, "2024-11-03", "00:15"),
    (TeamAt, "2024-11-03", "00:22"),
    (AirwayAt, "2024-11-03", "00:41"),
    (ScopeInAt, "2024-11-03", "00:48"),
    (RemovedAt, "2024-11-03", "01:12"),
    (ScopeOutAt, "2024-11-03", "01:16"),
    (PrecleanAt, "2024-11-03", "01:19"),
    (HandoverAt, "2024-11-03", "01:10"),
];

#[track_caller]
fn check_worked_night(text_of: impl Fn(CaseField, &str, &str) -> String, dates: Dates) {
    for (preclean, to_handover) in [("01:19", 51), ("01:26", 44)] {
        let texts: Vec<_> = NIGHT
            .iter()
            .map(|(field, date, time)| {
                let time = if *field == PrecleanAt { preclean } else { time };
                (*field, text_of(*field, date, time))
            })
            .collect();
        let times: Vec<_> = texts
            .iter()
            .map(|(field, text)| (*field, text.as_str()))
            .collect();
        let placed = place(&times, dates);
        let at = settled(&placed);
        let between = |from: CaseField, to: CaseField| at[&to] - at[&from];
        assert_eq!(between(CalledAt, TeamAt), 32);
        assert_eq!(between(CalledAt, ScopeInAt), 58);
        assert_eq!(between(ArrivedAt, ScopeInAt), 128);
        assert_eq!(between(AirwayAt, ScopeInAt), 7);
        assert_eq!(between(PrecleanAt, HandoverAt), to_handover);
        assert_eq!(between(ScopeOutAt, HandoverAt), 54);
        // 2024-11-02 22:40 daylight time is 02:40 UTC of the next day.
        assert_eq!(at[&ArrivedAt], 20_030 * 1440 + 160);
        let carried = placed.issues.iter().flatten().count();
        let is_carried = |issue: &Option<IssueCode>| *issue == Some(IssueCode::PastMidnight);
        assert_eq!(
            placed
                .issues
                .iter()
                .filter(|issue| is_carried(issue))
                .count(),
            carried
        );
        let has_dates = dates == Dates::AsWritten && times.iter().all(|(_, text)| text.len() > 5);
        assert_eq!(carried, if has_dates { 0 } else { 8 });
        assert!(!placed.has_two_midnights);
    }
}

#[test]
fn the_worked_night_with_a_date_in_every_cell() {
    check_worked_night(|_, date, time| format!("{date} {time}"), Dates::AsWritten);
}

#[test]
fn the_worked_night_with_times_of_day() {
    // The date stands with the arrival, or with the call, or with both.
    for dated in [&[ArrivedAt][..], &[CalledAt], &[ArrivedAt, CalledAt]] {
        check_worked_night(
            |field, date, time| {
                if dated.contains(&field) {
                    format!("{date} {time}")
                } else {
                    time.to_string()
                }
            },
            Dates::AsWritten,
        );
    }
}

#[test]
fn the_worked_night_with_the_date_of_the_arrival_everywhere() {
    check_worked_night(|_, _, time| format!("2024-11-02 {time}"), Dates::Shared);
}

#[test]
fn the_second_pass_explains_one_step_back_and_no_more() {
    // Scope in 01:50 and out 01:20 in the second pass; a pre-clean at 01:10 can only be wrong.
    let times = [
        (ScopeInAt, "2024-11-03 01:50"),
        (ScopeOutAt, "01:20"),
        (PrecleanAt, "01:10"),
        (HandoverAt, "01:40"),
    ];
    let placed = check(
        Dates::AsWritten,
        &times,
        &[
            "2024-11-03 01:50",
            "2024-11-03 01:20",
            "C12",
            "2024-11-03 01:40",
        ],
    );
    let at = settled(&placed);
    assert_eq!(at[&ScopeOutAt] - at[&ScopeInAt], 30);
    assert_eq!(at[&HandoverAt] - at[&ScopeOutAt], 20);
    // On any other night the same times are a step back.
    let times = [(ScopeOutAt, "2024-11-10 01:16"), (HandoverAt, "01:06")];
    check(Dates::AsWritten, &times, &["2024-11-10 01:16", "C12"]);
}

#[test]
fn a_time_carried_into_a_skipped_hour_is_refused() {
    let times = [(CalledAt, "2025-03-08 23:50"), (ScopeInAt, "02:30")];
    check(Dates::AsWritten, &times, &["2025-03-08 23:50", "C04"]);
}
