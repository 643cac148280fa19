//! How long one call of each statistic takes: intervals of a share or a rate stay under 5 µs, and
//! anything on 1,000 distinct values under 1 ms. `cargo bench --bench stats_speed`.

#![expect(clippy::print_stdout, reason = "a program that prints a table")]

use scopetally::domain::tally::Tally;
use scopetally::stats::Level;
use scopetally::stats::clustered::clustered_share;
use scopetally::stats::proportion::{clopper_pearson, jeffreys, newcombe_difference, wilson};
use scopetally::stats::quantile::{Distribution, quantile_interval};
use scopetally::stats::rate::garwood;
use scopetally::stats::survival::KaplanMeier;
use std::collections::BTreeMap;
use std::hint::black_box;
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
