//! How long one call of each statistic takes: intervals of a share or a rate stay under 5 µs, and
//! anything on 1,000 distinct values under 1 ms. And how long a simulation of 10,000 years of a busy
//! site takes: under 5 s on two cores. `cargo bench --bench stats_speed`.

#![expect(clippy::print_stdout, reason = "a program that prints a table")]

use scopetally::domain::duty::plan::{Place, ScenarioTeam};
use scopetally::domain::tally::Tally;
use scopetally::simulation::{Arrivals, CallPool, Rates, RecordedCall, Setting, simulate};
use scopetally::stats::Level;
use scopetally::stats::clustered::clustered_share;
use scopetally::stats::competing::CumulativeIncidence;
use scopetally::stats::exact::fisher_exact;
use scopetally::stats::log_rank::log_rank;
use scopetally::stats::proportion::{clopper_pearson, jeffreys, newcombe_difference, wilson};
use scopetally::stats::quantile::{Distribution, quantile_interval};
use scopetally::stats::rank::{hodges_lehmann, kruskal_wallis, mann_whitney};
use scopetally::stats::rate::garwood;
use scopetally::stats::shrinkage::fit_unit_shares;
use scopetally::stats::strata::{Stratum, common_odds_ratio};
use scopetally::stats::survival::KaplanMeier;
use std::collections::BTreeMap;
use std::hint::black_box;
use std::num::NonZeroUsize;
use std::time::Instant;

const LEVEL: Level = Level::P95;

fn main() {
    println!("| call | input | median µs |");
    println!("|---|---|---|");
    for (events, cases) in [
        (3, 20),
        (150, 300),
        (9_000, 10_000),
        (3, 1_000_000),
        (40_000_000, 100_000_000),
    ] {
        let tally = Tally::new(events, cases)
            .expect("events among cases")
            .expect("cases");
        let input = format!("{events} of {cases}");
        time("Wilson", &input, || wilson(black_box(tally), LEVEL));
        time("Clopper-Pearson", &input, || {
            clopper_pearson(black_box(tally), LEVEL)
        });
        time("Jeffreys", &input, || jeffreys(black_box(tally), LEVEL));
        time("difference of shares", &input, || {
            newcombe_difference(black_box(tally), tally, LEVEL)
        });
        time("Fisher", &input, || fisher_exact(black_box(tally), tally));
        time("Garwood", &format!("{events} events"), || {
            garwood(black_box(events), 1.0, LEVEL)
        });
    }
    for cases_each in [1, 100_000] {
        let input = format!("1,000 values, {cases_each} cases each");
        let values = Distribution::new((0..1_000).map(|value| (value, cases_each)));
        time("90th percentile", &input, || {
            quantile_interval(black_box(&values), 0.9, LEVEL)
        });
        let course: BTreeMap<_, _> = (0..1_000)
            .map(|minute| ((minute, minute % 7 != 0), cases_each))
            .collect();
        time("Kaplan-Meier median", &input, || {
            KaplanMeier::new(black_box(&course)).quantile(0.5, LEVEL)
        });
        let clusters: BTreeMap<_, _> = (0..1_000)
            .map(|place| ((place % 30, 30 + place / 30), cases_each))
            .collect();
        time("clustered share", &input, || {
            clustered_share(black_box(&clusters), LEVEL)
        });
        let later = Distribution::new((0..1_000).map(|value| (value * 3 / 2 + 7, cases_each)));
        time("Mann-Whitney", &input, || {
            mann_whitney(black_box(&values), &later)
        });
        time("Hodges-Lehmann shift", &input, || {
            hodges_lehmann(black_box(&values), &later, LEVEL)
        });
        let groups = [values.clone(), later];
        time("Kruskal-Wallis", &input, || {
            kruskal_wallis(black_box(&groups))
        });
        let courses = [course.clone(), course];
        time("log-rank", &input, || log_rank(black_box(&courses)));
        let ends: BTreeMap<_, _> = (0..1_000)
            .map(|minute| {
                let end = (minute % 3 != 0).then_some(minute % 3);
                ((minute, end), cases_each)
            })
            .collect();
        time("cumulative incidence", &input, || {
            CumulativeIncidence::new(black_box(&ends), &1)
        });
        let strata: Vec<_> = (0..1_000)
            .map(|place| Stratum {
                first_events: cases_each * (1 + place % 5),
                first_misses: cases_each * 3,
                second_events: cases_each * 2,
                second_misses: cases_each * (1 + place % 7),
            })
            .collect();
        time("Mantel-Haenszel", &input, || {
            common_odds_ratio(black_box(&strata), LEVEL)
        });
        time("beta-binomial fit", &input, || {
            fit_unit_shares(black_box(&clusters))
        });
    }
    simulations();
}

/// Prints how long 10,000 years of 1,500 calls take, most of them by day, with two teams.
fn simulations() {
    let mean = 1_500.0 / (52.0 * 168.0 * 60.0);
    let rates = std::array::from_fn(|hour| {
        let by_day = (8..20).contains(&(hour % 24));
        mean * if by_day { 1.5 } else { 0.5 }
    });
    let rates = Rates::new(rates).expect("rates");
    let calls = |count: u16| -> Vec<RecordedCall> {
        let call = |number: u16| RecordedCall {
            to_team: 20 + number % 40,
            team_to_free: 60 + number * 7 % 150,
            team_to_scope: Some(10 + number % 30),
            window: number.is_multiple_of(3).then_some(120),
        };
        (0..count).map(call).collect()
    };
    let pool = CallPool::new(calls(700), calls(800)).expect("calls");
    let after_hours = std::array::from_fn(|hour| hour >= 120 || !(8..17).contains(&(hour % 24)));
    let always = ScenarioTeam {
        on_duty: [true; 168],
        place: Place::Home { minutes: None },
    };
    let by_day = ScenarioTeam {
        on_duty: after_hours.map(|after| !after),
        place: Place::InHouse { minutes: 10 },
    };
    println!();
    println!("| 10,000 years | threads | calls | s |");
    println!("|---|---|---|---|");
    for (name, teams) in [
        ("two teams at all hours", [always.clone(), always.clone()]),
        ("one by day, one at all hours", [by_day, always]),
    ] {
        let arrangements = [teams.as_slice()];
        let setting = Setting {
            arrivals: Arrivals::Poisson(&rates),
            pool: &pool,
            after_hours: &after_hours,
            merge_minutes: 60,
            arrangements: &arrangements,
        };
        for threads in [1, 2] {
            let start = Instant::now();
            let threads = NonZeroUsize::new(threads).expect("not 0");
            let outcomes = simulate(black_box(&setting), 10_000, 1, threads);
            let seconds = start.elapsed().as_secs_f64();
            let calls = outcomes[0].as_ref().map_or(0, |outcome| outcome.calls);
            println!("| {name} | {threads} | {calls} | {seconds:.2} |");
        }
    }
}

/// Prints the median of 21 rounds of as many calls as fill about a millisecond.
fn time<T>(call: &str, input: &str, mut run: impl FnMut() -> T) {
    let start = Instant::now();
    black_box(run());
    let once = start.elapsed().as_secs_f64().max(1e-9);
    let calls = (1e-3 / once).clamp(1.0, 100_000.0).round();
    let mut rounds: Vec<f64> = (0..21)
        .map(|_| {
            let start = Instant::now();
            let mut made = 0.0;
            while made < calls {
                black_box(run());
                made += 1.0;
            }
            start.elapsed().as_secs_f64() / calls
        })
        .collect();
    rounds.sort_by(f64::total_cmp);
    println!("| {call} | {input} | {:.2} |", rounds[10] * 1e6);
}
