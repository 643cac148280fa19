//! Local wall-clock times → minutes of UTC, over the hour that one night skips and another repeats.

/// What a clock showed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Reading {
    /// One moment, in minutes of UTC since 1970-01-01 00:00.
    Once(i64),
    /// Two moments: the clock showed this time twice.
    Twice {
        /// The first pass through the hour.
        first: i64,
        /// The second pass.
        second: i64,
    },
}

/// Settles which pass through a repeated hour each reading of one case means.
///
/// `readings` stand in the usual order of the events. The clock is set back once, so from some
/// event on every ambiguous reading means the second pass. Of all such splits the one with the
/// fewest `impossible` intervals is taken; among equals the one with the shortest whole course, then
/// the one with the fewest steps back between neighbors (some events have no fixed order, so a step
/// back is a hint and no more), then the one that stays longest in the first pass.
pub(super) fn settle<const N: usize>(
    readings: &[Option<Reading>; N],
    impossible: impl Fn(&[Option<i64>]) -> usize,
) -> [Option<i64>; N] {
    let ambiguous_count = readings
        .iter()
        .filter(|reading| matches!(reading, Some(Reading::Twice { .. })))
        .count();
    // Nearly every case: nothing to weigh.
    if ambiguous_count == 0 {
        return assign(readings, 0);
    }
    (0..=ambiguous_count)
        .rev()
        .map(|in_first_pass| assign(readings, in_first_pass))
        .min_by_key(|minutes| (impossible(minutes), course(minutes), steps_back(minutes)))
        .unwrap_or([None; N])
}

fn assign<const N: usize>(
    readings: &[Option<Reading>; N],
    in_first_pass: usize,
) -> [Option<i64>; N] {
    let mut ambiguous_seen = 0;
    readings.map(|reading| {
        reading.map(|reading| match reading {
            Reading::Once(minute) => minute,
            Reading::Twice { first, second } => {
                ambiguous_seen += 1;
                if ambiguous_seen <= in_first_pass {
                    first
                } else {
                    second
                }
            }
        })
    })
}

/// Minutes from the first event to the last.
fn course(minutes: &[Option<i64>]) -> i64 {
    let known = || minutes.iter().flatten();
    known().max().unwrap_or(&0) - known().min().unwrap_or(&0)
}

fn steps_back(minutes: &[Option<i64>]) -> usize {
    let known: Vec<_> = minutes.iter().flatten().collect();
    known.windows(2).filter(|pair| pair[1] < pair[0]).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::issue::IssueCode;
    use crate::ingest::time::{TimeFormat, ZoneTable};
    use jiff::tz::TimeZone;

    const FORMAT: &str = "%Y-%m-%d %H:%M";

    fn new_york() -> ZoneTable {
        let zone = TimeZone::get("America/New_York").expect("a zone of the bundled database");
        ZoneTable::new(&zone)
    }

    fn read(text: &str, zone: &ZoneTable) -> Result<Reading, IssueCode> {
        let format = TimeFormat::new(FORMAT).expect("a whole form");
        format.read(text)?.reading(zone)
    }

    /// The minutes between neighboring local times after settling.
    #[track_caller]
    fn check_gaps(times: &[&str], expected: &[i64]) {
        check_gaps_with(times, steps_back, expected);
    }

    /// The same where only some steps back are `impossible`.
    #[track_caller]
    fn check_gaps_with(
        times: &[&str],
        impossible: impl Fn(&[Option<i64>]) -> usize,
        expected: &[i64],
    ) {
        let mut readings = [None; 8];
        for (reading, time) in readings.iter_mut().zip(times) {
            *reading = Some(read(time, &new_york()).expect("a time that existed"));
        }
        let minutes: Vec<_> = settle(&readings, impossible)
            .into_iter()
            .flatten()
            .collect();
        let gaps: Vec<_> = minutes.windows(2).map(|pair| pair[1] - pair[0]).collect();
        assert_eq!(gaps, expected, "{times:?}");
    }

    #[test]
    fn a_night_of_the_autumn_change_keeps_its_order() {
        // Worked by hand: 00:48 to 01:16 daylight time, handover at 01:10 standard time, which is
        // 54 minutes after the scope came out, not 6 minutes before.
        check_gaps(
            &[
                "2024-11-03 00:48",
                "2024-11-03 01:12",
                "2024-11-03 01:16",
                "2024-11-03 01:19",
                "2024-11-03 01:10",
            ],
            &[24, 4, 3, 51],
        );
    }

    #[test]
    fn with_nothing_to_tell_the_passes_apart_the_shorter_course_is_taken() {
        check_gaps(&["2024-11-03 01:30", "2024-11-03 02:10"], &[40]);
        check_gaps(&["2024-11-03 00:50", "2024-11-03 01:30"], &[40]);
        check_gaps(&["2024-11-03 01:20", "2024-11-03 01:40"], &[20]);
    }

    #[test]
    fn events_without_a_fixed_order_do_not_force_an_hour_between_them() {
        // Called ten minutes before the arrival of an announced patient: all in one pass.
        let none = |_: &[Option<i64>]| 0;
        let times = ["2024-11-03 01:20", "2024-11-03 01:10", "2024-11-03 01:50"];
        check_gaps_with(&times, none, &[-10, 40]);
        // Called 01:15, team 01:40, cart 01:36; then airway 01:02, 8 minutes before scope in.
        let times = [
            "2024-11-03 01:15",
            "2024-11-03 01:40",
            "2024-11-03 01:36",
            "2024-11-03 01:02",
            "2024-11-03 01:10",
        ];
        let scope_before_call = |minutes: &[Option<i64>]| usize::from(minutes[4] < minutes[0]);
        check_gaps_with(&times, scope_before_call, &[25, -4, 26, 8]);
    }

    #[test]
    fn the_spring_change_skips_an_hour() {
        assert_eq!(
            read("2025-03-09 02:30", &new_york()),
            Err(IssueCode::SkippedHour)
        );
        check_gaps(&["2025-03-09 01:50", "2025-03-09 03:10"], &[20]);
    }

    #[test]
    fn days_that_do_not_exist_and_other_forms_are_no_times() {
        for text in [
            "2025-02-30 10:00",
            "30.09.2025 10:00",
            "2025-09-30",
            "2025-09-30 24:10",
            "0026-07-07 10:00",
            "",
        ] {
            assert_eq!(read(text, &new_york()), Err(IssueCode::NotATime), "{text}");
        }
    }

    #[test]
    fn minutes_count_from_1970_in_utc() {
        let utc = ZoneTable::new(&TimeZone::UTC);
        assert_eq!(read("1970-01-02 00:01", &utc), Ok(Reading::Once(1441)));
    }
}
