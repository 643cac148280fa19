//! The planted shift of the sample is signaled in its month, and a sample in which nothing changes
//! signals no more often than the report says.

use crate::run::{Run, inputs, repository};
use scopetally::domain::month::Month;
use scopetally::findings::signals::{
    MonthChart, MonthRule, MonthSignal, Multiplicity, Side, Signals, signals,
};
use scopetally::ingest::{Ingested, Mapping, ingest};
use scopetally::measure;
use scopetally::sample::{self, Plan};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};

const BASELINE_MONTHS: usize = 12;

/// The variable that asks for more seeds than a test should take.
const SEEDS_WISHED: &str = "SCOPETALLY_SEEDS";

/// Seeds of the no-change test; `tests/bench/no_change.md` has 200.
const SEEDS: u64 = 8;

fn month(text: &str) -> Month {
    text.parse().unwrap()
}

fn read(directory: &Path) -> Ingested {
    let [cases, passes] = ["cases.csv", "passes.csv"].map(|name| [directory.join(name)]);
    let inputs = inputs(&cases, &passes);
    let mapping = Mapping::read(&directory.join("mapping.toml")).unwrap();
    ingest(&inputs, &mapping).unwrap()
}

/// The signals of some measures, seen from each of some months.
fn signals_of(directory: &Path, measures: &[&str], months: &[Month]) -> Vec<Signals> {
    let ingested = read(directory);
    let definitions: Vec<_> = measure::built_in()
        .into_iter()
        .filter(|definition| measures.contains(&definition.id.as_str()))
        .collect();
    let counts = measure::count(
        &ingested.cases,
        &ingested.passes,
        &ingested.exposure,
        &definitions,
    )
    .unwrap();
    let (first, _) = ingested.observed.unwrap();
    months
        .iter()
        .map(|month| signals(&counts, &definitions, first, *month, &[], BASELINE_MONTHS))
        .collect()
}

/// The same of a sample that is made for it.
fn signals_of_plan(plan: &Plan, measures: &[&str], months: &[Month]) -> Vec<Signals> {
    let directory = tempfile::tempdir().unwrap();
    let file = |name: &str| std::fs::File::create(directory.path().join(name)).unwrap();
    sample::write(plan, file("cases.csv"), file("passes.csv")).unwrap();
    let mapping = sample::mapping_toml(plan).unwrap();
    std::fs::write(directory.path().join("mapping.toml"), mapping).unwrap();
    signals_of(directory.path(), measures, months)
}

fn of_birch(signals: &Signals) -> &MonthChart {
    signals.chart("call_to_scope", "site", "Birch").unwrap()
}

#[test]
fn the_shift_at_birch_is_signaled_in_the_committed_sample() {
    let months = [month("2025-11"), month("2026-01"), month("2026-09")];
    let seen = signals_of(&repository("sample_data"), &["call_to_scope"], &months);
    assert_eq!(of_birch(&seen[0]).standing().count(), 0, "before the shift");

    // Ten cases in its first month do not lie beyond the limits; those of the second month do.
    let above = |chart: &MonthChart, rule: MonthRule| -> Option<MonthSignal> {
        let mut standing = chart.standing();
        standing
            .find(|signal| signal.rule == rule && signal.side == Some(Side::Above))
            .copied()
    };
    let beyond = above(of_birch(&seen[1]), MonthRule::BeyondLimits).expect("in 2026-01");
    assert_eq!((beyond.first, beyond.points), (month("2026-01"), 1));
    let run = above(of_birch(&seen[2]), MonthRule::EightOnOneSide).expect("in 2026-09");
    assert!(run.first <= month("2025-12") && run.points >= 10, "{run:?}");

    // The mean of the medians of 2024-10 to 2025-09, which stays as it is.
    let chart = of_birch(&seen[2]);
    assert_eq!(chart.baselines.len(), 1);
    assert_eq!(chart.baselines[0].last, month("2025-09"));
    for point in &chart.points {
        assert!((point.line.unwrap() - 50.875).abs() < 1e-9, "{point:?}");
    }
    for site in ["Alder", "Cedar"] {
        let chart = seen[2].chart("call_to_scope", "site", site).unwrap();
        assert_eq!(chart.standing().count(), 0, "{site}");
    }
}

#[test]
fn with_ten_times_the_cases_the_shift_is_signaled_in_its_month_and_not_before() {
    let plan = Plan {
        cases: 9000,
        ..Plan::default()
    };
    let shifted = month("2025-12");
    let months: Vec<Month> = month("2024-10").through(shifted).collect();
    let seen = signals_of_plan(&plan, &["call_to_scope"], &months);
    let (at_shift, before) = seen.split_last().unwrap();
    for (signals, month) in before.iter().zip(&months) {
        assert_eq!(of_birch(signals).standing().count(), 0, "{month}");
    }
    let standing: Vec<_> = of_birch(at_shift).standing().collect();
    assert!(
        standing
            .iter()
            .any(|signal| signal.rule == MonthRule::BeyondLimits
                && signal.side == Some(Side::Above)
                && signal.first == shifted),
        "{standing:?}"
    );
}

#[test]
fn a_change_of_the_mapping_gives_the_charts_of_its_site_new_lines() {
    let run = Run::of_sample();
    let mapping = std::fs::read_to_string(run.path("mapping.toml")).unwrap();
    let phase = "[[phase]]\nfrom = \"2025-10\"\nnote = \"second cart\"\nsites = [\"Birch\"]\n";
    run.file("mapping.toml", format!("{mapping}\n{phase}"));
    let ended = run.on_files("review --out out --quiet");
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let rows = run.table("out/tables/signal_charts.csv");
    let lines_of = |group: &str| -> Vec<(String, String)> {
        let of_group = rows
            .iter()
            .filter(|row| row["measure"] == "call_to_scope" && row["group"] == group);
        of_group
            .map(|row| {
                (
                    row["first_month"].clone(),
                    row["baseline_last_month"].clone(),
                )
            })
            .collect()
    };
    let months = |first: &str, last: &str| (first.to_owned(), last.to_owned());
    let both = [months("2024-10", "2025-09"), months("2025-10", "2026-09")];
    assert_eq!(lines_of("Alder"), both[..1]);
    assert_eq!(lines_of("all"), both[..1]);
    assert_eq!(lines_of("Birch"), both);
    let rows = run.table("out/tables/signals.csv");
    let at = rows.iter().find(|row| {
        row["measure"] == "call_to_scope" && row["group"] == "Birch" && row["month"] == "2026-09"
    });
    assert_eq!(
        at.unwrap()["rule"],
        "",
        "judged by the lines since the change"
    );
}

/// Every measure that is followed, as the committed sample has them all.
fn followed_measures() -> BTreeSet<String> {
    let known = measure::built_in();
    let ids: Vec<&str> = known.iter().map(|it| it.id.as_str()).collect();
    let seen = signals_of(&repository("sample_data"), &ids, &[month("2026-09")]);
    let charts = seen[0].charts.iter();
    charts.map(|chart| chart.measure.clone()).collect()
}

/// Charts that signal at the month in view, those expected to, and those that can. Charts of harm by
/// event are not among them.
fn of_seed(seed: u64, measures: &[&str]) -> (usize, f64, usize) {
    let plan = Plan {
        seed,
        first_month: month("2027-01"),
        ..Plan::default()
    };
    let last = month("2028-12");
    let signals = signals_of_plan(&plan, measures, &[last]).remove(0);
    let Multiplicity { able, expected, .. } = signals.multiplicity(&[], last);
    let standing = signals
        .charts
        .iter()
        .filter(|chart| chart.standing().next().is_some());
    (standing.count(), expected, able)
}

#[test]
#[expect(
    clippy::print_stdout,
    reason = "the figures of `tests/bench/no_change.md`"
)]
fn a_sample_without_a_change_signals_no_more_often_than_the_printed_rate() {
    let wished = std::env::var(SEEDS_WISHED).ok();
    let seeds = wished.map_or(SEEDS, |seeds| seeds.parse().unwrap());
    let followed = followed_measures();
    let measures: Vec<&str> = followed.iter().map(String::as_str).collect();
    let next = AtomicU64::new(1);
    let work = || {
        let seeds = std::iter::from_fn(|| {
            let seed = next.fetch_add(1, Ordering::Relaxed);
            (seed <= seeds).then_some(seed)
        });
        seeds
            .map(|seed| of_seed(seed, &measures))
            .collect::<Vec<_>>()
    };
    let found: Vec<_> = std::thread::scope(|scope| {
        let threads = [scope.spawn(work), scope.spawn(work)];
        threads
            .into_iter()
            .flat_map(|thread| thread.join().unwrap())
            .collect()
    });
    let n = found.len() as f64;
    let mean = |of: &dyn Fn(&(usize, f64, usize)) -> f64| found.iter().map(of).sum::<f64>() / n;
    let seen = mean(&|(seen, _, _)| *seen as f64);
    let expected = mean(&|(_, expected, _)| *expected);
    let able = mean(&|(_, _, able)| *able as f64);
    // Charts of one sample share cases, so the spread is that between samples.
    let spread = mean(&|(seen_here, _, _)| (*seen_here as f64 - seen).powi(2));
    let error = (spread / (n - 1.0)).sqrt();
    assert!(able > 30.0, "{able}");
    println!(
        "{n} seeds: {seen:.2} charts signal (standard error {error:.2}), {expected:.2} expected, \
         of {able:.1} that can"
    );
    assert!(seen <= expected + 2.0 * error, "{seen} and {expected}");
}
