//! Four weeks of invented calls, in which everything can be worked out by hand.

use super::*;
use crate::domain::codes::{Presentation, Shift, Weekday};
use crate::domain::exposure::{ExposureCell, WeekHour};

/// 2026-02-01, a Sunday, in days since 1970.
const FIRST_DAY: i64 = 20_485;

/// The month is February 2026: 28 days, each weekday four times, three whole weeks from Monday 2 on.
fn exposure(sites: &[&str]) -> Exposure {
    let month = "2026-02".parse().expect("a month");
    let mut exposure = Exposure::new();
    for site in sites {
        let cell = ExposureCell {
            site: (*site).to_owned(),
            month,
            shift: Shift::AfterHours,
        };
        exposure.by_shift.insert(cell, 28 * 24 * 60);
    }
    for weekday in Weekday::ALL {
        for hour in 0..24 {
            let cell = WeekHour {
                month,
                weekday: *weekday,
                hour,
            };
            exposure.by_hour.insert(cell, 4 * 60);
        }
    }
    exposure
}

/// A call on a day, 0 to 27, at a minute. The team is there after 20 minutes, scope in after 40, and
/// the team is free after 100; the window is 60 minutes.
fn call(site: &str, day: i64, minute: i64) -> Call {
    let called = (FIRST_DAY + day) * 24 * 60 + minute;
    let weekday = usize::try_from((day + 6).rem_euclid(7)).expect("a day");
    let hour = u8::try_from(minute / 60).expect("an hour");
    Call {
        site: site.to_owned(),
        month: "2026-02".parse().expect("a month"),
        weekday: Weekday::ALL[weekday],
        hour,
        shift: if (8..16).contains(&hour) {
            Shift::InHours
        } else {
            Shift::AfterHours
        },
        presentation: Presentation::ALL[0],
        called,
        team: Some(called + 20),
        scope_in: Some(called + 40),
        scope_out: Some(called + 70),
        ended: None,
        released: Some(called + 100),
        deadline: Some(called + 60),
    }
}

/// Calls at the same minutes of every day.
fn daily(site: &str, minutes: &[i64]) -> Vec<Call> {
    let all = (0..28).flat_map(|day| minutes.iter().map(move |minute| call(site, day, *minute)));
    all.collect()
}

fn staffed() -> StaffedWeek {
    StaffedWeek::new(|_, hour| (8..16).contains(&hour))
}

fn plan(arrivals: Arrivals, years: u32) -> DutyPlan {
    let simulation = SimulationRules {
        years,
        seed: 1,
        arrivals,
    };
    DutyPlan {
        simulation,
        ..DutyPlan::default()
    }
}

fn two_threads() -> NonZeroUsize {
    NonZeroUsize::new(2).expect("not 0")
}

fn run(calls: &[Call], plan: &DutyPlan) -> Coverage {
    let exposure = exposure(&["Alder", "Birch"]);
    coverage(calls, &exposure, &staffed(), plan, two_threads())
}

/// Recorded weeks in which one of two teams at all hours lets every second call wait for 50 minutes.
pub(crate) fn every_second_call_waits() -> Coverage {
    run(&daily("Alder", &[0, 50]), &plan(Arrivals::Weeks, 4))
}

/// Four calls a day at one site, as fitted, and too few at another.
pub(crate) fn fitted() -> Coverage {
    let mut calls = daily("Alder", &[0, 360, 720, 1080]);
    calls.push(call("Birch", 0, 0));
    run(&calls, &plan(Arrivals::Fitted, 40))
}

/// So many of so many observed calls beside a simulated share.
pub(crate) fn beside(events: u64, cases: u64, simulated: f64) -> Beside {
    Beside::new(events, cases, Some(simulated))
}

#[track_caller]
fn close(found: f64, expected: f64) {
    assert!((found - expected).abs() < 1e-9, "{found}, not {expected}");
}

#[test]
fn recorded_weeks_give_the_waits_that_can_be_worked_out_by_hand() {
    let found = every_second_call_waits();
    let [site] = found.sites.as_slice() else {
        panic!("one site")
    };
    let [one, two] = site.scenarios.as_slice() else {
        panic!("two scenarios")
    };
    let alone = one.outcome.as_ref().expect("ends");
    // 4 years of 52 weeks with 14 calls; the second of each day waits from 50 to 100, then has no
    // way to go: scope in after 50 + 20 = 70 minutes, beyond its window of 60.
    assert_eq!((alone.calls, alone.waiting_calls), (2912, 1456));
    close(alone.waiting.expect("calls").value, 0.5);
    close(alone.mean_wait.expect("calls").value, 25.0);
    assert_eq!(alone.p90_wait_of_waiting.expect("waits").minutes, 50);
    close(alone.in_window.expect("windows").value, 0.5);
    close(alone.in_window_without_wait.expect("windows").value, 1.0);
    // Bound 0 to 100 and 100 to 180 of each day; one call-back a day, since the second is merged.
    let team = alone.teams[0];
    close(team.bound_hours.value, 30.0 * 180.0 / 60.0);
    close(team.after_hours.value, 90.0);
    close(team.call_backs.value, 30.0);
    let both = two.outcome.as_ref().expect("ends");
    assert_eq!(both.waiting_calls, 0);

    assert_eq!(one.difference, None);
    let difference = two.difference.expect("two scenarios");
    close(difference.simulated.value, -0.5);
    // Every week is like the others, so that other weeks give the same: an interval without width would
    // look like certainty, so there is none; and none where no call waits in any draw.
    assert_eq!(difference.from_records, None);
    assert_eq!((one.from_records, two.from_records), (None, None));

    // Observed: 28 of 56 calls came while another bound a team, and every scope was in time.
    let calibration = &site.calibration;
    let counts = |beside: Beside| (beside.events, beside.cases);
    assert_eq!(counts(calibration.overlapping), (28, 56));
    close(calibration.overlapping.simulated.expect("simulated"), 0.5);
    assert_eq!(counts(calibration.in_window), (56, 56));
    assert_eq!(calibration.overlapping.agrees(), Some(true));
}

#[test]
fn the_fit_counts_every_call_over_the_observed_time() {
    let found = fitted();
    let fit = &found.sites[0].fit;
    assert_eq!((fit.calls, fit.usable, fit.released), (112, 112, 112));
    // 28 in hours (12:00) and 84 after.
    assert_eq!((fit.usable_in_hours, fit.pool_sizes), (28, [28, 84]));
    assert!(!fit.is_pool_shared && fit.knows_travel);
    assert_eq!(fit.observed_minutes, 28 * 24 * 60);
    close(fit.observed_weeks(), 4.0);
    assert!((fit.calls_per_week() - 28.0).abs() < 1e-6);
    // 100 minutes each, 4 a day.
    assert!((fit.mean_minutes - 100.0).abs() < 1e-6);
    assert!((fit.offered_load - 400.0 / 1440.0).abs() < 1e-6);
    assert_eq!((fit.hours[0].calls, fit.hours[0].minutes), (4, 240));
    assert_eq!(found.sites[0].scenarios.len(), 2);
    assert_eq!(
        found.skipped,
        [SkippedSite {
            site: "Birch".to_owned(),
            calls: 1,
            usable: 1,
            reason: SkipReason::TooFewUsable,
        }]
    );
}

#[test]
fn calls_at_random_wait_and_a_second_team_makes_that_rare() {
    let found = fitted();
    let [one, two] = found.sites[0].scenarios.as_slice() else {
        panic!("two scenarios")
    };
    let share = |scenario: &ScenarioCoverage| {
        let outcome = scenario.outcome.as_ref().expect("ends");
        outcome.waiting.expect("calls")
    };
    // With one team about its load of 0.28 would wait if calls came evenly, and more since they do
    // not; with two, Erlang's 0.034 for exponential times, and more.
    assert!((0.25..0.45).contains(&share(one).value), "{:?}", share(one));
    assert!((0.02..0.12).contains(&share(two).value), "{:?}", share(two));
    let difference = two.difference.expect("two scenarios").simulated;
    close(difference.value, share(two).value - share(one).value);
    let [low, high] = share(one).limits().expect("blocks");
    let records = one.from_records.expect("repetitions");
    assert!(records.low < low && records.high.expect("ends") > high);
    assert_eq!((records.endless, records.draws), (0, 100));
    // Four calls a day never overlap; at random they do, and the page says that this does not agree.
    let overlapping = found.sites[0].calibration.overlapping;
    assert_eq!((overlapping.events, overlapping.agrees()), (0, Some(false)));
}

#[test]
fn scenarios_of_a_site_are_for_that_site_alone() {
    let mut plan = plan(Arrivals::Fitted, 2);
    plan.scenarios[0].site = Some("Birch".to_owned());
    plan.scenarios[1].site = Some("Cedar".to_owned());
    let calls = [daily("Alder", &[0, 720]), daily("Birch", &[0, 720])].concat();
    let found = run(&calls, &plan);
    assert_eq!(found.sites.len(), 1);
    assert_eq!(found.sites[0].site, "Birch");
    assert_eq!(found.sites[0].scenarios[0].name, plan.scenarios[0].name);
    assert_eq!(found.without_site, [plan.scenarios[1].name.clone()]);
    assert!(found.skipped.is_empty() && run(&[], &plan).is_empty());
}

#[test]
fn without_times_of_teams_their_way_is_part_of_the_call() {
    let mut calls = daily("Alder", &[0, 720]);
    for call in &mut calls {
        call.team = None;
    }
    let mut plan = plan(Arrivals::Weeks, 2);
    for team in &mut plan.scenarios[0].teams {
        team.place = Place::InHouse { minutes: 500 };
    }
    let found = run(&calls, &plan);
    let site = &found.sites[0];
    assert!(!site.fit.knows_travel);
    let outcome = site.scenarios[0].outcome.as_ref().expect("ends");
    // 100 minutes of 720, as recorded, and not 500 more.
    close(outcome.bound_shares[1], 200.0 / 1440.0);
    // The plan is shown as it was written.
    assert_eq!(site.scenarios[0].teams, plan.scenarios[0].teams);
}

#[test]
fn where_few_ends_are_known_nothing_observed_stands_beside_the_simulation() {
    let mut calls = daily("Alder", &[0, 50]);
    for call in calls.iter_mut().take(29) {
        (call.released, call.scope_out) = (None, None);
    }
    let found = run(&calls, &plan(Arrivals::Weeks, 2));
    let overlapping = found.sites[0].calibration.overlapping;
    assert_eq!((found.sites[0].fit.usable, overlapping.cases), (27, 0));
    assert_eq!(overlapping.compared(), None);
    assert_eq!(found.together(), None);
}

#[test]
fn a_queue_that_never_ends_has_no_share_and_no_difference() {
    // Twenty calls a day of 100 minutes: load 1.39.
    let minutes: Vec<i64> = (0..20).map(|call| call * 72).collect();
    let found = run(&daily("Alder", &minutes), &plan(Arrivals::Fitted, 4));
    let [one, two] = found.sites[0].scenarios.as_slice() else {
        panic!("two scenarios")
    };
    assert_eq!((&one.outcome, one.from_records), (&Err(EndlessQueue), None));
    assert!(two.outcome.is_ok() && two.difference.is_none());
}

#[test]
fn calls_outside_observed_time_are_not_simulated() {
    let calls = daily("Alder", &[0]);
    for arrivals in [Arrivals::Weeks, Arrivals::Fitted] {
        let exposure = exposure(&["Birch"]);
        let plan = plan(arrivals, 2);
        let found = coverage(&calls, &exposure, &staffed(), &plan, two_threads());
        assert_eq!(found.skipped[0].reason, SkipReason::NotObserved);
        assert!(found.is_empty());
    }
}

#[test]
fn threads_change_nothing() {
    let calls = daily("Alder", &[0, 360, 720]);
    let plan = plan(Arrivals::Fitted, 10);
    let exposure = exposure(&["Alder"]);
    let one = coverage(&calls, &exposure, &staffed(), &plan, NonZeroUsize::MIN);
    assert_eq!(
        one,
        coverage(&calls, &exposure, &staffed(), &plan, two_threads())
    );
}
