//! How often each interval that the report prints holds the true value, by exact sums where there
//! is one unknown and by seeded simulation elsewhere. Prints the table of `coverage.md`:
//! `cargo bench --bench coverage > tests/bench/coverage.md`.

#![expect(
    clippy::print_stdout,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a program that prints a table of simulated counts"
)]

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use scopetally::domain::tally::Tally;
use scopetally::stats::clustered::clustered_share;
use scopetally::stats::difference::{Estimate, square_and_add};
use scopetally::stats::proportion::{clopper_pearson, jeffreys, newcombe_difference, wilson};
use scopetally::stats::quantile::{Distribution, quantile_interval};
use scopetally::stats::rate::garwood;
use scopetally::stats::survival::KaplanMeier;
use scopetally::stats::{Interval, Level};
use statrs::distribution::{Binomial, Discrete, Poisson};
use std::collections::BTreeMap;

const LEVEL: Level = Level::P95;
/// Data sets for each line that is simulated: the last digit printed is about one standard error.
const DATA_SETS: u32 = 4_000;
const SEED: u64 = 20_261_125;

fn main() {
    println!("# Coverage of the 95 % intervals\n");
    println!(
        "Made by `cargo bench --bench coverage`; seed {SEED}, {DATA_SETS} data sets a line where simulated."
    );
    println!("Mean and lowest over the true values named.\n");
    println!("| interval | cases | true values | mean | lowest |");
    println!("|---|---|---|---|---|");
    for cases in [5, 10, 20, 50, 100, 300] {
        share("Wilson", cases, wilson);
        share("Clopper-Pearson", cases, clopper_pearson);
        share("Jeffreys", cases, jeffreys);
    }
    for (first, second) in [(10, 10), (10, 100), (30, 400), (50, 50)] {
        difference_of_shares(first, second);
    }
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    for cases in [8, 20, 40, 100] {
        clustered(cases, &mut random);
    }
    for cases in [6, 13, 36, 100] {
        quantiles(cases, &mut random);
    }
    for cases in [20, 50, 200] {
        kaplan_meier(cases, &mut random);
    }
    for (first, second) in [(10, 100), (35, 420), (35, 35)] {
        difference_of_medians(first, second, &mut random);
    }
    for mean in [1, 5, 30, 400] {
        rate(f64::from(mean));
    }
}

/// One line of the table from the coverage at each true value.
fn line(interval: &str, cases: &str, truth: &str, coverage: &[f64]) {
    let mean = coverage.iter().sum::<f64>() / coverage.len() as f64;
    let lowest = coverage.iter().copied().fold(f64::INFINITY, f64::min);
    println!("| {interval} | {cases} | {truth} | {mean:.3} | {lowest:.3} |");
}

fn tally(events: u64, cases: u64) -> Tally {
    Tally::new(events, cases)
        .expect("no more events than cases")
        .expect("cases")
}

fn holds(interval: Interval, truth: f64) -> bool {
    (interval.low..=interval.high).contains(&truth)
}

/// True shares on a grid that no round number of events hits exactly.
fn shares() -> impl Iterator<Item = f64> {
    (0..500).map(|step| (f64::from(step) + 0.5) / 500.0)
}

fn share(name: &str, cases: u64, interval: fn(Tally, Level) -> Interval) {
    let intervals: Vec<_> = (0..=cases)
        .map(|events| interval(tally(events, cases), LEVEL))
        .collect();
    let coverage: Vec<_> = shares()
        .map(|truth| {
            let chances = Binomial::new(truth, cases).expect("a share");
            let held = (0..=cases).filter(|events| holds(intervals[*events as usize], truth));
            held.map(|events| chances.pmf(events)).sum()
        })
        .collect();
    line(name, &cases.to_string(), "shares 0.001 to 0.999", &coverage);
}

fn difference_of_shares(first: u64, second: u64) {
    let truths: Vec<_> = (1..20).map(|step| f64::from(step) * 0.05 - 0.013).collect();
    let mut coverage = Vec::new();
    for p in &truths {
        for q in &truths {
            let (of_first, of_second) = (
                Binomial::new(*p, first).expect("a share"),
                Binomial::new(*q, second).expect("a share"),
            );
            let mut held = 0.0;
            for events in 0..=first {
                for other in 0..=second {
                    let difference =
                        newcombe_difference(tally(events, first), tally(other, second), LEVEL);
                    if (difference.low..=difference.high).contains(&(p - q)) {
                        held += of_first.pmf(events) * of_second.pmf(other);
                    }
                }
            }
            coverage.push(held);
        }
    }
    line(
        "difference of shares",
        &format!("{first} and {second}"),
        "19 by 19 shares",
        &coverage,
    );
}

/// A standard normal draw, by Box and Muller.
fn normal(random: &mut ChaCha8Rng) -> f64 {
    let (first, second) = (uniform(random), uniform(random));
    (-2.0 * first.ln()).sqrt() * (std::f64::consts::TAU * second).cos()
}

/// A draw above 0 and at most 1.
fn uniform(random: &mut ChaCha8Rng) -> f64 {
    ((random.next_u64() >> 11) + 1) as f64 / (1_u64 << 53) as f64
}

/// Whole, skewed minutes, as call-to-scope times are.
fn minutes(random: &mut ChaCha8Rng) -> i64 {
    (10.0 + (4.0 + 0.35 * normal(random)).exp()).round() as i64
}

/// The quantile that holds in 200,000 draws, since rounding moves it off the formula.
fn true_quantile(q: f64, random: &mut ChaCha8Rng) -> f64 {
    let mut counts = BTreeMap::<i64, u64>::new();
    for _ in 0..200_000 {
        *counts.entry(minutes(random)).or_default() += 1;
    }
    let draws = Distribution::new(counts);
    scopetally::stats::quantile::quantile(&draws, q).expect("draws")
}

fn simulated(mut held: impl FnMut() -> bool) -> f64 {
    (0..DATA_SETS).filter(|_| held()).count() as f64 / f64::from(DATA_SETS)
}

/// Passes whose chance differs from case to case (intra-case correlation about 0.3 and 0.6), one to
/// four a case.
fn clustered(cases: u64, random: &mut ChaCha8Rng) {
    let mut coverage = Vec::new();
    for truth in [0.5, 0.8, 0.95] {
        for correlation in [0.3, 0.6] {
            coverage.push(simulated(|| {
                let mut counts = BTreeMap::<(u64, u64), u64>::new();
                for _ in 0..cases {
                    // A case follows its own fixed answer with the chance that gives the
                    // correlation, and draws each pass anew otherwise.
                    let of_case = uniform(random) <= truth;
                    let attempts = 1 + random.next_u64() % 4;
                    let events = (0..attempts)
                        .filter(|_| {
                            if uniform(random) <= f64::sqrt(correlation) {
                                of_case
                            } else {
                                uniform(random) <= truth
                            }
                        })
                        .count() as u64;
                    *counts.entry((events, attempts)).or_default() += 1;
                }
                clustered_share(&counts, LEVEL).is_some_and(|share| holds(share.interval, truth))
            }));
        }
    }
    line(
        "clustered share",
        &cases.to_string(),
        "0.5, 0.8, 0.95; correlation 0.3, 0.6",
        &coverage,
    );
}

fn quantiles(cases: u64, random: &mut ChaCha8Rng) {
    for (name, q, fewest) in [
        ("median", 0.5, 6),
        ("lower quartile", 0.25, 13),
        ("90th percentile", 0.9, 36),
    ] {
        if cases < fewest {
            continue;
        }
        let truth = true_quantile(q, random);
        let coverage = simulated(|| {
            let values = Distribution::new((0..cases).map(|_| (minutes(random), 1)));
            quantile_interval(&values, q, LEVEL).is_some_and(|found| {
                found.low.is_none_or(|low| low <= truth)
                    && found.high.is_none_or(|high| truth <= high)
            })
        });
        line(
            name,
            &cases.to_string(),
            "whole, skewed minutes",
            &[coverage],
        );
    }
}

fn kaplan_meier(cases: u64, random: &mut ChaCha8Rng) {
    let truth = true_quantile(0.5, random);
    let coverage: Vec<_> = [0.05, 0.25]
        .into_iter()
        .map(|censored| {
            simulated(|| {
                let mut counts = BTreeMap::<(i64, bool), u64>::new();
                for _ in 0..cases {
                    let end = minutes(random);
                    let case = if uniform(random) <= censored {
                        ((end as f64 * uniform(random)) as i64, false)
                    } else {
                        (end, true)
                    };
                    *counts.entry(case).or_default() += 1;
                }
                let median = KaplanMeier::new(&counts)
                    .quantile(0.5, LEVEL)
                    .expect("a quantile");
                median.low.is_none_or(|low| low <= truth)
                    && median.high.is_none_or(|high| truth <= high)
            })
        })
        .collect();
    line(
        "Kaplan-Meier median",
        &cases.to_string(),
        "5 % and 25 % followed for a while only",
        &coverage,
    );
}

fn difference_of_medians(first: u64, second: u64, random: &mut ChaCha8Rng) {
    let median = |cases: u64, random: &mut ChaCha8Rng| {
        let values = Distribution::new((0..cases).map(|_| (minutes(random), 1)));
        let found = quantile_interval(&values, 0.5, LEVEL).expect("cases");
        let (low, high) = (found.low.expect("6 cases"), found.high.expect("6 cases"));
        Estimate {
            value: found.estimate,
            interval: Interval { low, high },
        }
    };
    let coverage = simulated(|| {
        let difference = square_and_add(median(first, random), median(second, random));
        (difference.low..=difference.high).contains(&0.0)
    });
    line(
        "difference of medians",
        &format!("{first} and {second}"),
        "no difference",
        &[coverage],
    );
}

fn rate(mean: f64) {
    let chances = Poisson::new(mean).expect("a mean above 0");
    let most = (mean + 12.0 * mean.sqrt() + 30.0) as u64;
    let held = (0..=most).filter(|events| {
        garwood(*events, 1.0, LEVEL).is_some_and(|rate| (rate.low..=rate.high).contains(&mean))
    });
    let coverage = held.map(|events| chances.pmf(events)).sum();
    line(
        "Garwood",
        &format!("{mean:.0} expected"),
        "that rate",
        &[coverage],
    );
}
