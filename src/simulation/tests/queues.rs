//! Against the closed forms of queues: calls at random at a steady rate, served in order.

use super::{EVERY_HOUR, NO_HOUR, always, lasting, pool, setting, team, two_threads};
use crate::domain::duty::plan::{Place, WEEK_HOURS};
use crate::simulation::{
    Arrivals, CallPool, EndlessQueue, Estimate, Outcome, Rates, Setting, YEAR_WEEKS, simulate,
    waiting_difference,
};
use crate::stats::queue::{erlang_c, mean_wait, waits_longer_share};

/// Mean minutes of the service times below. So long that whole minutes change nothing.
const MEAN: f64 = 400.0;

/// Exponential times as the middles of so many slices of equal probability.
fn exponential() -> CallPool {
    let slices = 20_000_u16;
    let minutes = (0..slices).map(|slice| {
        let covered = (f64::from(slice) + 0.5) / f64::from(slices);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most 400 ln 40,000 = 4,239"
        )]
        let minutes = (-MEAN * (1.0 - covered).ln()).round() as u16;
        lasting(minutes)
    });
    pool(minutes.collect())
}

/// A rate at which calls offer so much load.
fn steady(load: f64, mean_minutes: f64) -> Rates {
    Rates::new([load / mean_minutes; WEEK_HOURS]).expect("a rate")
}

fn run(rates: &Rates, pool: &CallPool, teams: usize, years: u32) -> Outcome {
    let teams = always(teams);
    let arrangements = [teams.as_slice()];
    let setting = setting(Arrivals::Poisson(rates), pool, &arrangements);
    let mut outcomes = simulate(&setting, years, 11, two_threads());
    outcomes.remove(0).expect("less load than teams")
}

/// The estimate lies within four of its errors of the truth, and its error is small.
#[track_caller]
fn check(found: Option<Estimate>, truth: f64) {
    let found = found.expect("calls");
    let error = found.standard_error.expect("blocks");
    assert!(
        (found.value - truth).abs() < 4.0 * error + 1e-12,
        "{found:?}, not {truth}"
    );
    assert!(error <= 0.05 * truth + 1e-12, "{found:?} is too vague");
}

#[test]
fn exponential_times_wait_as_erlang_says() {
    let pool = exponential();
    for (teams, load) in [(1, 0.3), (1, 0.6), (2, 1.0), (3, 1.8)] {
        let outcome = run(&steady(load, MEAN), &pool, usize::from(teams), 300);
        check(outcome.waiting, erlang_c(load, teams).expect("a load"));
        check(
            outcome.mean_wait,
            mean_wait(load, teams, MEAN).expect("a load below the teams"),
        );
        // The tail: P(wait > t) = C exp(-(c - a) t / mean).
        for minutes in [100_u16, 600] {
            let truth = waits_longer_share(load, teams, MEAN, f64::from(minutes));
            let found = outcome.waits_longer(usize::from(minutes)).expect("calls");
            let (truth, calls) = (truth.expect("a load"), outcome.calls as f64);
            // Waits come in clumps; ten times the variance of as many independent calls.
            let error = (10.0 * truth * (1.0 - truth) / calls).sqrt();
            assert!((found - truth).abs() < 4.0 * error, "{found}, not {truth}");
        }
        // And its quantile: nine of ten that wait do so no longer than mean ln 10 / (c - a).
        let quantile = MEAN * 10.0_f64.ln() / (f64::from(teams) - load);
        let found = outcome.p90_wait_of_waiting.expect("some wait");
        let [low, high] = found.limits.expect("blocks").map(f64::from);
        assert!(low <= found.minutes.into() && high >= found.minutes.into());
        let slack = 2.0 * (high - low) + 1.0;
        assert!((f64::from(found.minutes) - quantile).abs() < slack);
        assert!(slack < 0.3 * quantile, "{slack}");
    }
}

#[test]
fn one_team_waits_as_pollaczek_and_khinchine_say() {
    let steady_times = pool(vec![lasting(400)]);
    // 100 minutes in nine of ten calls, 3,100 in the tenth: mean 400, mean square 970,000.
    let two_times = pool(
        [[100; 9].as_slice(), &[3100]]
            .concat()
            .into_iter()
            .map(lasting)
            .collect(),
    );
    for (pool, mean_square) in [(steady_times, 160_000.0), (two_times, 970_000.0)] {
        for load in [0.2, 0.5] {
            let outcome = run(&steady(load, MEAN), &pool, 1, 400);
            check(outcome.waiting, load);
            // Mean wait: rate times mean square over 2 (1 - load).
            check(
                outcome.mean_wait,
                load / MEAN * mean_square / (2.0 * (1.0 - load)),
            );
        }
    }
}

#[test]
fn with_many_teams_nobody_waits_and_the_number_bound_is_poisson() {
    for pool in [exponential(), pool(vec![lasting(400)])] {
        let outcome = run(&steady(1.5, MEAN), &pool, 25, 100);
        assert_eq!(outcome.waiting_calls, 0);
        assert_eq!(outcome.waits, [outcome.calls]);
        assert_eq!(outcome.p90_wait.expect("calls").minutes, 0);
        assert_eq!(outcome.p90_wait_of_waiting, None);
        let mut chance = (-1.5_f64).exp();
        for (bound, found) in (0_u32..5).zip(outcome.bound_shares.iter().zip(&outcome.found_bound))
        {
            assert!(
                (found.0 - chance).abs() < 0.01,
                "{bound}: {found:?}, {chance}"
            );
            // A call that comes at random sees what there is at any time.
            assert!(
                (found.1 - chance).abs() < 0.015,
                "{bound}: {found:?}, {chance}"
            );
            chance *= 1.5 / f64::from(bound + 1);
        }
        assert!((outcome.bound_shares.iter().sum::<f64>() - 1.0).abs() < 1e-9);
    }
}

#[test]
fn teams_share_the_load_as_an_ordered_loss_says_of_time_bound() {
    // Little's law: mean teams bound is the load, also where calls wait.
    let outcome = run(&steady(1.2, MEAN), &exponential(), 2, 300);
    let bound: f64 = (0_u32..)
        .zip(&outcome.bound_shares)
        .map(|(teams, share)| f64::from(teams) * share)
        .sum();
    assert!((bound - 1.2).abs() < 0.03, "{bound}");
    let hours: f64 = outcome
        .teams
        .iter()
        .map(|team| team.bound_hours.value)
        .sum();
    assert!((hours / (30.0 * 24.0) - bound).abs() < 0.01, "{hours}");
    assert!(outcome.teams[0].bound_hours.value > outcome.teams[1].bound_hours.value);
}

#[test]
fn calls_come_at_the_rate_of_their_hour() {
    // Hour h of the week brings h / 168 of 0.01 calls a minute; a team that is on duty in that hour
    // alone of all teams takes its calls, which last no time.
    let rates: [f64; WEEK_HOURS] = std::array::from_fn(|hour| hour as f64 / 168.0 * 0.01);
    let rates = Rates::new(rates).expect("rates");
    let teams: Vec<_> = (0..WEEK_HOURS)
        .map(|on| {
            let mut hours = NO_HOUR;
            hours[on] = true;
            team(hours, Place::InHouse { minutes: 0 })
        })
        .collect();
    let pool = pool(vec![lasting(0)]);
    let arrangements = [teams.as_slice()];
    let setting = setting(Arrivals::Poisson(&rates), &pool, &arrangements);
    let years = 50;
    let outcome = simulate(&setting, years, 5, two_threads())
        .remove(0)
        .expect("no load");
    let weeks = f64::from(years * YEAR_WEEKS);
    let mut chi_square = 0.0;
    for (hour, team) in outcome.teams.iter().enumerate() {
        let expected = weeks * 60.0 * rates.of_hour(hour);
        let found = team.calls.value * weeks * 7.0 / 30.0;
        if hour == 0 {
            assert!(found.abs() < 1e-9);
        } else {
            chi_square += (found - expected).powi(2) / expected;
        }
    }
    // 167 degrees of freedom: mean 167, standard deviation 18.3.
    assert!((chi_square - 167.0).abs() < 5.0 * 18.3, "{chi_square}");
    assert_eq!(outcome.waiting_calls, 0);
    assert!((rates.calls_per_week() - 83.5 / 168.0 * 0.01 * 10_080.0).abs() < 1e-9);
}

#[test]
fn more_load_than_teams_is_told_and_other_arrangements_go_on() {
    let rates = steady(1.1, MEAN);
    let pool = exponential();
    let (one, two) = (always(1), always(2));
    let never = vec![team(NO_HOUR, Place::InHouse { minutes: 5 })];
    let arrangements = [one.as_slice(), &two, &never, &[]];
    let setting = setting(Arrivals::Poisson(&rates), &pool, &arrangements);
    let outcomes = simulate(&setting, 20, 1, two_threads());
    assert_eq!(outcomes[0], Err(EndlessQueue));
    assert!(outcomes[1].is_ok());
    assert_eq!(
        (&outcomes[2], &outcomes[3]),
        (&Err(EndlessQueue), &Err(EndlessQueue))
    );
}

#[test]
fn the_number_of_threads_and_the_other_arrangements_change_nothing() {
    let rates = steady(0.8, MEAN);
    let pool = exponential();
    let (two, three) = (always(2), always(3));
    let both = [two.as_slice(), &three];
    let setting = Setting {
        after_hours: &EVERY_HOUR,
        merge_minutes: 60,
        ..setting(Arrivals::Poisson(&rates), &pool, &both)
    };
    let one_thread = simulate(&setting, 30, 3, std::num::NonZeroUsize::MIN);
    assert_eq!(simulate(&setting, 30, 3, two_threads()), one_thread);
    let alone = Setting {
        arrangements: &both[1..],
        ..setting
    };
    assert_eq!(simulate(&alone, 30, 3, two_threads())[0], one_thread[1]);
    assert_ne!(simulate(&alone, 30, 4, two_threads())[0], one_thread[1]);

    // The same calls for both: the difference is known better than either.
    let [two, three] =
        [&one_thread[0], &one_thread[1]].map(|outcome| outcome.as_ref().expect("ends"));
    assert_eq!(two.calls, three.calls);
    let difference = waiting_difference(two, three).expect("calls");
    let of = |outcome: &Outcome| outcome.waiting.expect("calls");
    assert!((difference.value - (of(three).value - of(two).value)).abs() < 1e-12);
    assert!(difference.standard_error < of(two).standard_error);
}
