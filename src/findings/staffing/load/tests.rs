use super::*;
use crate::domain::duty::plan::DutyPlan;
use crate::domain::duty::roster::Duty;
use crate::findings::comparisons::Counted;
use crate::findings::staffing::invented_calls::{at, calendar, call};
use proptest::prelude::{ProptestConfig, prop_assert, prop_assert_eq, proptest};

fn rules() -> DutyRules {
    DutyPlan::default().rules
}

fn of(calls: &[Call], days: i64) -> SiteLoad {
    load(calls, &calendar(days), rules(), None, Level::P95).all
}

fn counted(events: u64, cases: u64) -> Counted {
    Counted { events, cases }
}

#[test]
fn calls_up_to_an_hour_after_the_team_was_free_belong_to_one_call_back() {
    // Monday: free at 19:00; 20:00 is 60 minutes later, and 22:01 is 61 after 21:00.
    let calls = [
        call(at(0, 18, 0), Some(60)),
        call(at(0, 20, 0), Some(60)),
        call(at(0, 22, 1), Some(10)),
    ];
    let found = of(&calls, 30).call_backs;
    assert_eq!((found.count(), found.by_calls), (2, [1, 1, 0]));
    assert_eq!((found.after_hours_calls, found.calls()), (3, 3));
    assert!((found.calls_each().expect("two") - 1.5).abs() < 1e-12);
    // Two in 30 days: Garwood 0.242 to 7.225.
    let rate = found.per_30_days.expect("30 days");
    assert!((rate.rate - 2.0).abs() < 1e-12);
    assert!((rate.low - 0.242).abs() < 5e-4 && (rate.high - 7.225).abs() < 5e-4);
}

#[test]
fn a_call_while_the_team_is_bound_by_an_older_one_joins_its_call_back() {
    // The first binds until 23:00, the second until 20:00: 23:30 is 30 minutes after the first.
    let calls = [
        call(at(0, 18, 0), Some(300)),
        call(at(0, 19, 0), Some(60)),
        call(at(0, 23, 30), Some(10)),
    ];
    assert_eq!(of(&calls, 30).call_backs.by_calls, [0, 0, 1]);
}

#[test]
fn a_team_that_stayed_on_is_not_called_back_and_the_day_does_not_join_the_night() {
    let calls = [
        // Until 17:30: the call of 17:20 finds the team of the day.
        call(at(0, 16, 0), Some(90)),
        call(at(0, 17, 20), Some(60)),
        // A call-back at 7:00 until 8:30, and a call of the day at 8:10.
        call(at(1, 7, 0), Some(90)),
        call(at(1, 8, 10), Some(60)),
    ];
    let found = of(&calls, 30).call_backs;
    assert_eq!((found.after_hours_calls, found.stayed_on), (2, 1));
    assert_eq!(found.by_calls, [1, 0, 0]);
}

#[test]
fn call_backs_of_two_sites_are_added_up_and_never_merged() {
    let at_birch = Call {
        site: "Birch".to_owned(),
        ..call(at(0, 20, 10), Some(60))
    };
    let calls = [call(at(0, 20, 0), Some(60)), at_birch];
    let found = load(&calls, &calendar(30), rules(), None, Level::P95);
    assert_eq!(found.all.call_backs.by_calls, [2, 0, 0]);
    assert_eq!(found.all.call_backs.site_days, 60);
    assert_eq!(found.days, 30);
    let names: Vec<_> = found
        .sites
        .iter()
        .map(|site| site.site.as_deref())
        .collect();
    assert_eq!(names, [Some("Alder"), Some("Birch")]);
    assert_eq!(found.all.bound_minutes(), 120);
}

#[test]
fn bound_minutes_are_those_outside_staffed_hours_each_once() {
    let calls = [
        // 7:00 to 9:00: 60 of them before the staffed hours.
        call(at(0, 7, 0), Some(120)),
        // 16:30 to 18:00 and 17:30 to 18:30: 17:00 to 18:30.
        call(at(0, 16, 30), Some(90)),
        call(at(0, 17, 30), Some(60)),
        call(at(0, 23, 0), None),
    ];
    let found = of(&calls, 30);
    assert_eq!(found.bound_minutes(), 60 + 90);
    let month = found.months[0];
    assert_eq!((found.months.len(), month.known, month.unknown), (1, 3, 1));
    assert_eq!((found.lengths.recorded, found.lengths.unknown), (3, 1));
    assert!((found.bound_hours_per_30_days().expect("days") - 2.5).abs() < 1e-12);
    // 30 days with 22 of Monday to Friday, nine hours each.
    assert_eq!(found.after_hours_minutes, 30 * 1440 - 22 * 540);
}

#[test]
fn the_end_of_the_case_stands_in_for_a_release_that_is_not_recorded() {
    let done = Call {
        scope_out: Some(at(0, 20, 30)),
        ..call(at(0, 20, 0), None)
    };
    let found = of(&[done], 30);
    assert_eq!((found.lengths.from_end, found.bound_minutes()), (1, 60));
}

#[test]
fn nights_with_a_call_and_the_longest_run_without_one() {
    // Ten days have nine whole nights: the tenth ends after the period.
    let calls = [
        call(at(2, 21, 59), Some(10)),
        call(at(2, 22, 0), Some(10)),
        call(at(3, 6, 59), Some(10)),
        call(at(4, 7, 0), Some(10)),
        call(at(8, 3, 0), Some(10)),
        call(at(9, 23, 0), Some(10)),
    ];
    let nights = of(&calls, 10).nights;
    assert_eq!(nights.with_one.counted, counted(2, 9));
    assert_eq!(nights.with_two.counted, counted(1, 9));
    // Nights 3 to 6 between night 2 and night 7.
    assert_eq!(nights.longest_quiet, 4);
}

#[test]
fn a_weekend_is_saturday_and_sunday_within_the_period() {
    // Fourteen days have two weekends, days 5-6 and 12-13; thirteen have one.
    let calls = [
        call(at(0, 12, 0), Some(10)),
        call(at(5, 0, 0), Some(10)),
        call(at(6, 23, 59), Some(10)),
        call(at(7, 0, 0), Some(10)),
    ];
    let weekends = of(&calls, 14).weekends;
    assert_eq!(weekends.with_one.counted, counted(1, 2));
    assert_eq!(weekends.with_two.counted, counted(1, 2));
    assert_eq!(weekends.longest_quiet, 1);
    assert_eq!(of(&calls, 13).weekends.with_one.counted, counted(1, 1));
    // Without a call in any known day no day has a weekday.
    assert_eq!(
        of(&[call(at(40, 0, 0), None)], 14)
            .weekends
            .with_one
            .counted,
        counted(0, 0)
    );
}

#[test]
fn without_a_roster_rest_is_told_by_the_next_staffed_hours() {
    let calls = [
        // Free at 0:00, eight hours before the staffed hours: not short.
        call(at(0, 23, 0), Some(60)),
        // Free at 0:01: short.
        call(at(1, 23, 0), Some(61)),
        // Free at 8:30, when the day has begun: short.
        call(at(3, 7, 0), Some(90)),
        // Saturday 3:00: the next staffed hours begin on Monday.
        call(at(5, 3, 0), Some(60)),
        call(at(6, 20, 0), None),
    ];
    let rest = of(&calls, 14).rest;
    assert_eq!(rest.by_roster, None);
    assert_eq!(rest.by_hours.short.counted, counted(2, 4));
    assert_eq!(rest.by_hours.end_unknown, 1);
}

fn line(role: &str, duty: Duty, from: i64, until: i64) -> RosterLine {
    RosterLine {
        site: "Alder".to_owned(),
        role: role.to_owned(),
        duty,
        span: Span { from, until },
    }
}

#[test]
fn rest_by_the_roster_is_from_the_last_call_back_of_a_duty_to_the_next_shift_of_its_place() {
    let on_call = |role, day| line(role, Duty::OnCall, at(day, 17, 0), at(day + 1, 8, 0));
    let shift = |role, day| line(role, Duty::Shift, at(day, 8, 0), at(day, 17, 0));
    let roster = [
        on_call("nurse_1", 0),
        shift("nurse_1", 1),
        on_call("nurse_2", 0),
        shift("nurse_2", 2),
        // No call comes in this duty.
        on_call("nurse_1", 2),
        // A call without an end.
        on_call("nurse_1", 3),
        // No shift of this place follows.
        on_call("nurse_3", 4),
        RosterLine {
            site: "Birch".to_owned(),
            ..on_call("nurse_1", 0)
        },
    ];
    let calls = [
        call(at(0, 20, 0), Some(60)),
        // Free at 1:00, seven hours before the shift of nurse_1 and 31 before that of nurse_2.
        call(at(1, 0, 0), Some(60)),
        // No duty of the roster on this evening.
        call(at(1, 20, 0), Some(60)),
        call(at(3, 20, 0), None),
        call(at(4, 20, 0), Some(60)),
        // After the last line.
        call(at(9, 20, 0), Some(60)),
    ];
    let found = load(&calls, &calendar(14), rules(), Some(&roster), Level::P95);
    let rest = found.all.rest.by_roster.expect("a roster");
    assert_eq!((rest.duties, rest.met), (5, 4));
    assert_eq!(rest.short.counted, counted(1, 2));
    assert_eq!((rest.end_unknown, rest.no_shift_after), (1, 1));
    assert_eq!((rest.without_duty, rest.off_roster), (1, 1));
}

#[test]
fn the_roster_says_from_which_local_day_to_which_it_goes() {
    // The 2nd day of January 1970, on which the axis of the invented calendar begins, to 21 February.
    let roster = [
        line("nurse_1", Duty::OnCall, at(1, 17, 0), at(2, 8, 0)),
        line("nurse_1", Duty::Shift, at(51, 8, 0), at(52, 0, 0)),
    ];
    let dates = |calendar: &DutyCalendar, roster: &[RosterLine]| {
        let calls = [call(at(0, 20, 0), Some(60))];
        let found = load(&calls, calendar, rules(), Some(roster), Level::P95);
        let rest = found.all.rest.by_roster.expect("a roster");
        rest.dates
            .map(|days| days.map(|of| (of.month.to_string(), of.day)))
    };
    let day = |month: &str, day: u8| (month.to_owned(), day);
    let expected = Some([day("1970-01", 2), day("1970-02", 21)]);
    assert_eq!(dates(&calendar(14), &roster), expected);
    assert_eq!(dates(&calendar(59), &roster), expected);
    // Two hours east of Greenwich the first day begins at 22:00 of the day before.
    let east = |minute: i64| minute - 120;
    let mut calendar = calendar(14);
    for span in calendar.days.iter_mut().chain([&mut calendar.period]) {
        *span = Span {
            from: east(span.from),
            until: east(span.until),
        };
    }
    let roster = roster.map(|line| RosterLine {
        span: Span {
            from: east(line.span.from),
            until: east(line.span.until),
        },
        ..line
    });
    // 1 January 1970 is the first day of the count, before which there is none.
    assert_eq!(dates(&calendar, &roster), expected);
    assert_eq!(dates(&calendar, &[]), None);
}

#[test]
fn a_call_back_that_runs_into_the_shift_leaves_no_rest() {
    let roster = [
        line("nurse_1", Duty::OnCall, at(0, 17, 0), at(1, 8, 0)),
        line("nurse_1", Duty::Shift, at(1, 8, 0), at(1, 17, 0)),
        line("nurse_1", Duty::Shift, at(2, 8, 0), at(2, 17, 0)),
    ];
    let calls = [call(at(1, 7, 30), Some(60))];
    let found = load(&calls, &calendar(14), rules(), Some(&roster), Level::P95);
    let rest = found.all.rest.by_roster.expect("a roster");
    assert_eq!(rest.short.counted, counted(1, 1));
}

#[test]
fn a_window_reaches_past_the_morning_when_it_ends_after_the_next_staffed_hours_begin() {
    let scoped = |called: i64, after: i64, deadline| Call {
        scope_in: Some(called + after),
        deadline,
        ..call(called, Some(120))
    };
    let night = at(0, 23, 0);
    let morning = at(1, 8, 0);
    let calls = [
        scoped(night, 60, Some(morning)),
        scoped(night, 60, Some(morning + 1)),
        scoped(night, 60, None),
        // Scoped at 8:00, when the day had begun.
        scoped(night, 540, Some(morning + 300)),
        call(night, Some(60)),
        // In staffed hours.
        scoped(at(0, 12, 0), 60, Some(at(3, 0, 0))),
    ];
    let found = of(&calls, 14).past_morning;
    assert_eq!(found.reached.counted, counted(1, 2));
    assert_eq!((found.without_window, found.scoped_in_hours), (1, 1));
    assert_eq!((found.not_scoped, found.not_known), (1, 0));
}

#[test]
fn without_a_call_there_is_nothing_to_tell() {
    let found = load(&[], &calendar(14), rules(), Some(&[]), Level::P95);
    assert!(found.sites.is_empty() && found.all.months.is_empty());
    assert_eq!(found.all.call_backs.per_30_days, None);
    assert_eq!(found.all.nights.with_one.counted, counted(0, 0));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Bound minutes counted one by one, and call-backs by what the rule says of each pair of neighbors.
    #[test]
    fn bound_minutes_and_call_backs_are_those_that_a_clock_would_count(
        drawn in proptest::collection::vec((0_i64..at(3, 0, 0), proptest::option::of(1_i64..240)), 0..25)
    ) {
        let mut calls: Vec<Call> = drawn
            .into_iter()
            .map(|(called, minutes)| call(called, minutes))
            .collect();
        calls.sort_by_key(|call| call.called);
        let calendar = calendar(3);
        let found = of(&calls, 3);
        let is_staffed = |minute: i64| calendar.in_hours.iter().any(|span| span.contains(minute));
        let is_bound = |minute: i64| {
            calls.iter().any(|call| {
                call.called <= minute && call.released.is_some_and(|until| minute < until)
            })
        };
        let bound = (0..at(4, 0, 0)).filter(|minute| is_bound(*minute) && !is_staffed(*minute));
        prop_assert_eq!(found.bound_minutes(), bound.count() as u64);

        let refs: Vec<_> = calls.iter().collect();
        let call_backs = call_backs::call_backs(&refs, rules());
        for pair in call_backs.windows(2) {
            prop_assert!(pair[0].span.until <= pair[1].span.from);
        }
        for call_back in &call_backs {
            prop_assert!(call_back.calls > 0 && !is_staffed(call_back.span.from));
        }
        let of_all = found.call_backs;
        prop_assert_eq!(of_all.count(), call_backs.len() as u64);
        prop_assert!(of_all.calls() + of_all.stayed_on == of_all.after_hours_calls);
    }
}
