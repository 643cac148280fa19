//! Weeks that are the same every time, so that each wait can be worked out by hand.

use super::{EVERY_HOUR, NO_HOUR, always, lasting, pool, setting, team, two_threads};
use crate::domain::duty::plan::{Place, ScenarioTeam, WEEK_HOURS};
use crate::simulation::{
    Arrivals, CallPool, Outcome, RecordedCall, RecordedWeek, Setting, WeekCall, simulate,
};

/// One year of the same week. Every count is 52 times that of a week.
fn year(
    week: &[(u16, RecordedCall)],
    teams: &[ScenarioTeam],
    after_hours: &[bool; WEEK_HOURS],
) -> Outcome {
    let calls = week.iter().map(|(minute, call)| WeekCall {
        minute: *minute,
        call: Some(*call),
    });
    let weeks = [RecordedWeek::new(calls.collect())];
    let unused: CallPool = pool(vec![lasting(9999)]);
    let arrangements = [teams];
    let setting = Setting {
        after_hours,
        merge_minutes: 60,
        ..setting(Arrivals::Weeks(&weeks), &unused, &arrangements)
    };
    simulate(&setting, 1, 1, two_threads())
        .remove(0)
        .expect("little load")
}

/// Waits of a week that are not 0, with how often each comes.
fn waits(outcome: &Outcome) -> Vec<(usize, u64)> {
    let waits = outcome.waits.iter().enumerate().skip(1);
    waits
        .filter(|(_, calls)| **calls > 0)
        .map(|(minutes, calls)| (minutes, calls / 52))
        .collect()
}

fn in_house(hours: std::ops::Range<usize>, minutes: u16) -> ScenarioTeam {
    team(
        std::array::from_fn(|hour| hours.contains(&hour)),
        Place::InHouse { minutes },
    )
}

#[test]
fn calls_wait_for_the_team_that_is_free_first() {
    // Minute 0 for 100, 10 for 50, 20 for 30, 55 for 5, 200 for 10.
    let week = [(0, 100), (10, 50), (20, 30), (55, 5), (200, 10)]
        .map(|(at, minutes)| (at, lasting(minutes)));
    // One team: 0-100, 100-150 (waits 90), 150-180 (130), 180-185 (125), 200-210.
    let one = year(&week, &always(1), &NO_HOUR);
    assert_eq!(waits(&one), [(90, 1), (125, 1), (130, 1)]);
    assert_eq!(
        (one.calls, one.waiting_calls, one.years, one.blocks),
        (5 * 52, 3 * 52, 1, 1)
    );
    let mean = one.mean_wait.expect("calls");
    assert!((mean.value - 345.0 / 5.0).abs() < 1e-9 && mean.standard_error.is_none());
    let mean = one.mean_wait_of_waiting.expect("waits").value;
    assert!((mean - 115.0).abs() < 1e-9);
    assert_eq!(one.p90_wait.expect("calls").minutes, 130);
    assert_eq!(one.waits_longer(90), Some(0.4));
    // Bound 195 of 10,080 minutes.
    assert!((one.bound_shares[1] - 195.0 / 10_080.0).abs() < 1e-12);
    // Two: first 0-100, second 10-60, second 60-90 (waits 40), second 90-95 (35), first 200-210.
    let two = year(&week, &always(2), &NO_HOUR);
    assert_eq!(waits(&two), [(35, 1), (40, 1)]);
    let calls: Vec<f64> = two
        .teams
        .iter()
        .map(|team| team.calls.value * 7.0 / 30.0)
        .collect();
    assert!(
        (calls[0] - 2.0).abs() < 1e-9 && (calls[1] - 3.0).abs() < 1e-9,
        "{calls:?}"
    );
    // Both bound 10-95; one 0-10, 95-100 and 200-210.
    assert!((two.bound_shares[2] - 85.0 / 10_080.0).abs() < 1e-12);
    assert!((two.bound_shares[1] - 25.0 / 10_080.0).abs() < 1e-12);
    // The calls find 0, 1, 2, 2 and 0 teams bound (that of minute 55: one bound until 100 and one
    // promised until 90).
    assert_eq!(two.found_bound, [0.4, 0.2, 0.4]);
}

#[test]
fn a_team_ends_what_it_began_and_takes_nothing_off_duty() {
    // On duty Monday 00:00 to 02:00 and from Sunday 23:00 (hour 167) on, 10 minutes away in the house.
    let mut duty = in_house(0..2, 10);
    duty.on_duty[167] = true;
    // Minute 100 for 60: ends at 170, after its duty. Minute 115 finds it bound, and it is off duty
    // when free: it waits for Sunday 23:00, minute 10,020, which is 9,905 minutes.
    let week = [(100, lasting(60)), (115, lasting(20))];
    let alone = year(&week, std::slice::from_ref(&duty), &NO_HOUR);
    assert_eq!(waits(&alone), [(9905, 1)]);
    // It had gone in between, and comes again: bound for 10 + 60 and 10 + 20 minutes.
    assert!((alone.bound_shares[1] - 100.0 / 10_080.0).abs() < 1e-12);
    // A second team on duty from 02:00 on takes it at minute 120.
    let relieved = year(&week, &[duty, in_house(2..167, 10)], &NO_HOUR);
    assert_eq!(waits(&relieved), [(5, 1)]);
}

#[test]
fn the_first_team_of_the_order_comes_even_where_another_is_nearer() {
    let home = team(EVERY_HOUR, Place::Home { minutes: Some(40) });
    let near = in_house(0..168, 5);
    let teams = |order: [ScenarioTeam; 2]| {
        let outcome = year(&[(0, lasting(60))], &order, &NO_HOUR);
        outcome
            .teams
            .iter()
            .map(|team| team.bound_hours.value * 60.0 * 7.0 / 30.0)
            .collect::<Vec<_>>()
    };
    let close = |found: Vec<f64>, expected: [f64; 2]| {
        assert!(
            found
                .iter()
                .zip(expected)
                .all(|(one, other)| (one - other).abs() < 1e-9),
            "{found:?}"
        );
    };
    close(teams([home.clone(), near.clone()]), [100.0, 0.0]);
    close(teams([near, home]), [65.0, 0.0]);
}

#[test]
fn a_team_that_goes_from_one_waiting_call_to_the_next_does_not_travel() {
    let recorded = |window| RecordedCall {
        to_team: 30,
        team_to_free: 60,
        team_to_scope: Some(20),
        window: Some(window),
    };
    // From home as recorded: minute 0 is bound 0-90. Minute 80 waits 10 and is bound 90-150 without
    // a way. Minute 150 finds the team free that very minute: nobody waited for it, so it has gone
    // and comes again, 150-240. Minute 230 waits 10 again, 240-300.
    // Scope in after 30 + 20 = 50, 10 + 0 + 20 = 30, 50 and 30 minutes; without any wait 50 each.
    let week = [
        (0, recorded(50)),
        (80, recorded(30)),
        (150, recorded(49)),
        (230, recorded(29)),
    ];
    let home = year(&week, &always(1), &NO_HOUR);
    assert_eq!(waits(&home), [(10, 2)]);
    assert_eq!(home.windowed, 4 * 52);
    assert!((home.in_window.expect("windows").value - 0.5).abs() < 1e-12);
    let without = home.in_window_without_wait.expect("windows").value;
    assert!((without - 0.25).abs() < 1e-12);
    assert!((home.bound_shares[1] - 300.0 / 10_080.0).abs() < 1e-12);
    // In the house, 5 minutes away, nobody waits: 0-65, 80-145, 150-215, 230-295; scope in after 25.
    let house = year(&week, &[in_house(0..168, 5)], &NO_HOUR);
    assert_eq!(house.waiting_calls, 0);
    assert!((house.in_window.expect("windows").value - 1.0).abs() < 1e-12);
    assert!((house.bound_shares[1] - 260.0 / 10_080.0).abs() < 1e-12);
}

#[test]
fn of_two_teams_that_are_free_at_once_the_first_takes_the_waiting_call() {
    // Both are bound 0-100; minute 50 waits for either.
    let week = [(0, lasting(100)), (0, lasting(100)), (50, lasting(10))];
    let outcome = year(&week, &always(2), &NO_HOUR);
    let calls = outcome
        .teams
        .iter()
        .map(|team| team.calls.value * 7.0 / 30.0);
    assert_eq!(calls.map(f64::round).collect::<Vec<_>>(), [2.0, 1.0]);
}

#[test]
fn what_begins_after_the_last_week_is_not_time_of_it() {
    // On duty in the second hour alone: the call of minute 200 waits for the next Monday 01:00, which
    // is 10,140 - 200 minutes, and in the last week for one that is not simulated.
    let week = [(200, lasting(30))];
    let outcome = year(&week, &[in_house(1..2, 0)], &NO_HOUR);
    assert_eq!(waits(&outcome), [(9_940, 1)]);
    // 52 begin in it, the first of them from the week before.
    assert!((outcome.bound_shares[1] - 30.0 / 10_080.0).abs() < 1e-12);
}

#[test]
fn call_backs_are_merged_and_hours_cut_at_the_end_of_staffed_hours() {
    // After hours until Monday 02:00 (minute 120). Lasting 30 each:
    // 0-30 a call-back; 90-120 comes 60 after, the same; 181-211 in staffed hours; none.
    let mut after = NO_HOUR;
    after[0] = true;
    after[1] = true;
    let week = [(0, lasting(30)), (90, lasting(30)), (181, lasting(30))];
    let load = |week: &[(u16, RecordedCall)]| {
        let outcome = year(week, &always(1), &after);
        let team = outcome.teams[0];
        let per_week = |value: f64| (value * 7.0 / 30.0 * 1e6).round() / 1e6;
        (
            per_week(team.call_backs.value),
            per_week(team.after_hours.value * 60.0),
        )
    };
    assert_eq!(load(&week), (1.0, 60.0));
    // 91 comes 61 minutes after: a call-back of its own, and of its 30 minutes 29 are before 02:00.
    assert_eq!(load(&[(0, lasting(30)), (91, lasting(30))]), (2.0, 59.0));
}

#[test]
fn weeks_are_drawn_as_often_as_each_other_and_calls_without_minutes_from_the_pool() {
    let empty = RecordedWeek::default();
    let busy = RecordedWeek::new(vec![
        WeekCall {
            minute: 20_000,
            call: None,
        },
        WeekCall {
            minute: 600,
            call: None,
        },
        WeekCall {
            minute: 0,
            call: Some(lasting(10)),
        },
    ]);
    assert_eq!(
        busy.calls().len(),
        2,
        "a minute beyond the week is left out"
    );
    let weeks = [empty, busy];
    let pool = pool(vec![lasting(50)]);
    let teams = always(1);
    let arrangements = [teams.as_slice()];
    let setting = setting(Arrivals::Weeks(&weeks), &pool, &arrangements);
    let outcome = simulate(&setting, 200, 1, two_threads())
        .remove(0)
        .expect("little load");
    // 10,400 weeks, half of them with two calls: standard deviation 51 weeks.
    let busy_weeks = outcome.calls / 2;
    assert!((busy_weeks as f64 - 5_200.0).abs() < 5.0 * 51.0);
    let minutes = outcome.bound_shares[1] * 10_080.0 * 10_400.0;
    assert!((minutes - busy_weeks as f64 * 60.0).abs() < 1e-3);
}

#[test]
fn nine_of_ten_calls_may_be_exactly_nine() {
    // Nine calls an hour apart wait for nobody; the tenth comes 5 minutes before the last is done.
    let mut week: Vec<_> = (0..9).map(|call| (call * 60, lasting(30))).collect();
    week.push((8 * 60 + 25, lasting(30)));
    let outcome = year(&week, &always(1), &NO_HOUR);
    assert_eq!(waits(&outcome), [(5, 1)]);
    assert_eq!(outcome.p90_wait.expect("calls").minutes, 0);
    assert_eq!(outcome.p90_wait_of_waiting.expect("waits").minutes, 5);
}

#[test]
fn calls_are_drawn_from_their_shift_and_years_split_without_loss() {
    let at = |minute| WeekCall { minute, call: None };
    let weeks = [RecordedWeek::new(vec![at(0), at(600)])];
    let pool = CallPool::new(vec![lasting(10); 20], vec![lasting(50); 20]).expect("calls");
    let mut after = NO_HOUR;
    after[0] = true;
    let teams = always(1);
    let arrangements = [teams.as_slice()];
    let setting = Setting {
        after_hours: &after,
        ..setting(Arrivals::Weeks(&weeks), &pool, &arrangements)
    };
    // 150 years are 50 blocks of two and 50 of one.
    let outcome = simulate(&setting, 150, 1, two_threads())
        .remove(0)
        .expect("little load");
    assert_eq!((outcome.calls, outcome.blocks), (150 * 52 * 2, 100));
    let hours = outcome.teams[0];
    assert!((hours.bound_hours.value * 7.0 / 30.0 - 1.0).abs() < 1e-9);
    assert!((hours.after_hours.value * 7.0 / 30.0 - 50.0 / 60.0).abs() < 1e-9);
}
