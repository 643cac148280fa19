//! Known lines against closed forms and published figures; estimated lines against simulation.

use super::runs::arrangements;
use super::runs::few_crossings;
use super::*;
use crate::stats::chart::between::g_baseline;
use crate::stats::chart::between::t_baseline;
use crate::stats::chart::limits::Possible;
use crate::stats::chart::rate::EventCount;
use crate::stats::chart::rate::u_baseline;
use crate::stats::chart::rules::Rule;
use crate::stats::chart::rules::signals;
use crate::stats::chart::run_chart::run_chart_about;
use crate::stats::chart::share::p_baseline;
use crate::stats::chart::sigma_error;
use crate::stats::chart::xmr::xmr_baseline;
use rand::RngExt;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;

fn tally(events: u64, cases: u64) -> Tally {
    Tally::new(events, cases).unwrap().unwrap()
}

fn after_the_baseline(size: f64, limits: Limits) -> Recent {
    Recent {
        size,
        limits,
        is_of_baseline: false,
    }
}

fn is_near(found: f64, expected: f64, tolerance: f64) -> bool {
    (found - expected).abs() <= tolerance
}

/// Beyond three standard deviations on either side: 2 Φ(-3), as every table of the normal
/// distribution prints it.
const BEYOND_THREE: f64 = 0.002_699_796;

#[test]
fn known_lines_have_the_textbook_chances() {
    let lines = |points: usize| {
        normal_alarm(&NormalLines {
            sigma_error: 0.0,
            center_variances: &vec![0.0; points],
            low: Some(3.0),
            high: Some(3.0),
        })
    };
    assert!(is_near(lines(1), BEYOND_THREE, 1e-8), "{}", lines(1));
    assert!(is_near(lines(7), BEYOND_THREE, 1e-8), "no run of eight yet");
    // Either eight heads or tails in a row, or the last point beyond; both at once counted once.
    let both = 2.0 * 0.5_f64.powi(7) * (BEYOND_THREE / 2.0);
    let expected = BEYOND_THREE + 2.0 * 0.5_f64.powi(8) - both;
    assert!(is_near(lines(8), expected, 1e-8), "{}", lines(8));
}

#[test]
fn five_cases_a_month_with_a_share_of_5_percent_lie_outside_in_23_of_1000_months() {
    // The figure stands at `p_baseline`; 1 - 0.95^5 - 5 * 0.05 * 0.95^4 = 0.0226.
    let whole = p_baseline(&[Some(tally(50_000, 1_000_000))]).unwrap();
    let limits = whole.chart(&[Some(tally(0, 5))])[0].unwrap().limits;
    let found = share_alarm(tally(50_000, 1_000_000), &[after_the_baseline(5.0, limits)]);
    assert!(is_near(found, 0.022_592_5, 1e-5), "{found}");
}

#[test]
fn a_count_of_four_a_month_lies_above_its_limit_in_3_of_1000_months() {
    // c chart of 4: upper limit 4 + 3 * 2 = 10; P(X > 10) = 0.00284 (tables of the Poisson
    // distribution: P(X <= 10) = 0.99716).
    let baseline = EventCount::new(4_000_000, 1_000_000.0);
    let limits = u_baseline(&[baseline])
        .unwrap()
        .chart(&[EventCount::new(0, 1.0)])[0]
        .unwrap()
        .limits;
    let found = rate_alarm(4_000_000, 1_000_000.0, &[after_the_baseline(1.0, limits)]);
    assert!(is_near(found, 0.002_84, 1e-5), "{found}");
}

/// One value of the standard normal distribution, by the polar method.
fn normal(random: &mut ChaCha8Rng) -> f64 {
    loop {
        let (x, y) = (
            2.0 * random.random::<f64>() - 1.0,
            2.0 * random.random::<f64>() - 1.0,
        );
        let square = x * x + y * y;
        if square > 0.0 && square < 1.0 {
            return x * (-2.0 * square.ln() / square).sqrt();
        }
    }
}

fn binomial(random: &mut ChaCha8Rng, cases: u64, share: f64) -> u64 {
    (0..cases)
        .filter(|_| random.random::<f64>() < share)
        .count() as u64
}

const RUNS: usize = 6_000;

/// How often `signal` is true.
fn share_of_runs(mut signal: impl FnMut(&mut ChaCha8Rng) -> bool) -> f64 {
    let mut random = ChaCha8Rng::seed_from_u64(1);
    (0..RUNS).filter(|_| signal(&mut random)).count() as f64 / RUNS as f64
}

/// Whether the last of `points` completes a pattern.
fn signals_at_last(points: &[Option<crate::stats::chart::limits::ChartPoint>]) -> bool {
    let found = signals(points, &Rule::DEFAULT);
    found.iter().any(|signal| signal.index + 1 == points.len())
}

#[test]
fn single_values_signal_as_often_as_in_a_simulation() {
    for (baseline, later) in [(12, 1), (12, 4), (12, 12), (24, 10)] {
        let simulated = share_of_runs(|random| {
            let values: Vec<Option<f64>> = (0..baseline + later)
                .map(|_| Some(normal(random)))
                .collect();
            let lines = xmr_baseline(&values[..baseline], Possible::AnyNumber).unwrap();
            signals_at_last(&lines.chart(&values))
        });
        let mut variances = [1.0 / baseline as f64; LONG_RUN];
        variances[..LONG_RUN.saturating_sub(later)].fill(0.0);
        let found = normal_alarm(&NormalLines {
            sigma_error: sigma_error(&vec![true; baseline]).unwrap(),
            center_variances: &variances,
            low: Some(3.0),
            high: Some(3.0),
        });
        // Two standard errors of the simulation are 0.005.
        assert!(
            (-0.008..0.004).contains(&(simulated - found)),
            "{baseline} and {later}: {simulated} and {found}"
        );
    }
}

#[test]
fn values_of_the_baseline_itself_signal_less_often() {
    let simulated = share_of_runs(|random| {
        let values: Vec<Option<f64>> = (0..12).map(|_| Some(normal(random))).collect();
        let lines = xmr_baseline(&values, Possible::AnyNumber).unwrap();
        signals_at_last(&lines.chart(&values))
    });
    let found = normal_alarm(&NormalLines {
        sigma_error: sigma_error(&[true; 12]).unwrap(),
        center_variances: &[0.0; LONG_RUN],
        low: Some(3.0),
        high: Some(3.0),
    });
    assert!(simulated < found, "{simulated} and {found}");
}

#[test]
fn shares_signal_as_often_as_in_a_simulation_over_the_same_prior() {
    let (months, cases) = (12, 30);
    let (mut printed, mut seen) = (Vec::new(), 0);
    let mut random = ChaCha8Rng::seed_from_u64(2);
    for run in 0..RUNS {
        let share = 0.3 + 0.4 * random.random::<f64>();
        let tallies: Vec<Option<Tally>> = (0..months + 10)
            .map(|_| Some(tally(binomial(&mut random, cases, share), cases)))
            .collect();
        let lines = p_baseline(&tallies[..months]).unwrap();
        let charted = lines.chart(&tallies);
        seen += usize::from(signals_at_last(&charted));
        // The chance differs little from one baseline to the next.
        if run % 100 == 0 {
            let events = tallies[..months].iter().flatten().map(|t| t.events()).sum();
            let recent: Vec<Recent> = charted[charted.len() - LONG_RUN..]
                .iter()
                .map(|point| after_the_baseline(cases as f64, point.unwrap().limits))
                .collect();
            printed.push(share_alarm(tally(events, months as u64 * cases), &recent));
        }
    }
    let seen = seen as f64 / RUNS as f64;
    let printed = printed.iter().sum::<f64>() / printed.len() as f64;
    assert!(is_near(seen, printed, 0.005), "{seen} and {printed}");
}

#[test]
fn runs_and_crossings_of_coin_flips_are_counted_exactly() {
    // Every arrangement of 6 above and 6 below: the chance by counting them all.
    let (mut all, mut hits) = (0_u32, 0_u32);
    for bits in 0_u32..1 << 12 {
        if bits.count_ones() != 6 {
            continue;
        }
        all += 1;
        let sides: Vec<bool> = (0..12).map(|place| bits >> place & 1 == 1).collect();
        let crossings = sides.windows(2).filter(|pair| pair[0] != pair[1]).count();
        // Anhøj's limits for 12 points: a run of more than 7, fewer than 3 crossings.
        hits += u32::from(crossings < 3);
    }
    let expected = f64::from(hits) / f64::from(all);
    let found = run_alarm(6, 6, 0).unwrap();
    assert!(is_near(found, expected, 1e-12), "{found} and {expected}");
}

#[test]
fn crossings_of_independent_flips_are_binomial() {
    // Anhøj & Olesen: crossings among n useful points follow the binomial distribution of n - 1.
    let none = arrangements(0, 0, 8);
    let found = few_crossings(&none, 24, 0.5, 0.5);
    let expected = binomial_log_tails(23, 0.5, 7).lower.exp();
    assert!(is_near(found, expected, 1e-12), "{found} and {expected}");
    // Printed there: 24 points, crossings of fewer than 8 in less than 5 % of series.
    assert!(found < 0.05);
}

#[test]
fn a_run_chart_about_the_median_of_a_baseline_signals_as_often_as_in_a_simulation() {
    for later in [2_usize, 12, 24] {
        let simulated = share_of_runs(|random| {
            let values: Vec<Option<f64>> = (0..12 + later).map(|_| Some(normal(random))).collect();
            let center = run_chart_about(&values[..12], 0.0)
                .and_then(|_| crate::stats::chart::run_chart::run_chart(&values[..12]))
                .unwrap()
                .center;
            let chart = run_chart_about(&values, center).unwrap();
            let last = values.len() - 1;
            let side = |index: usize| values[index].unwrap() > center;
            let run = (0..=last)
                .rev()
                .take_while(|index| side(*index) == side(last));
            let is_long = run.count() as u64 > chart.limits.unwrap().longest_run;
            is_long || chart.has_few_crossings()
        });
        let found = run_alarm(6, 6, later as u64).unwrap();
        assert!(
            (-0.02..0.004).contains(&(simulated - found)),
            "{later}: {simulated} and {found}"
        );
    }
}

#[test]
fn too_few_points_have_no_chance_and_nothing_panics() {
    assert_eq!(run_alarm(4, 5, 0), None, "10 useful points are needed");
    assert_eq!(run_alarm(u64::MAX, 1, u64::MAX), None);
    assert!(run_alarm(0, 0, 10).is_some_and(|chance| chance <= 1.0));
    assert!(run_alarm(30, 30, 240).is_some_and(|chance| chance > 0.0));
    let none = NormalLines {
        sigma_error: 0.27,
        center_variances: &[],
        low: None,
        high: None,
    };
    assert!(normal_alarm(&none) <= 0.0);
    assert!(share_alarm(tally(3, 10), &[]) <= 0.0);
    assert!(rate_alarm(3, 0.0, &[]) <= 0.0);
    assert!(most(f64::MAX, f64::MAX, |value| value <= 1.0).is_none_or(|count| count > 0));
    assert_eq!(most(10.0, 0.0, |value| value < 0.0), None);
}

#[test]
fn cases_between_events_signal_as_often_as_in_a_simulation() {
    for (points, tolerance) in [(24, 0.02), (30, 0.006)] {
        let simulated = share_of_runs(|random| {
            // An event at one case of 20.
            let between: Vec<u64> = (0..points)
                .map(|_| {
                    let found = (0..9_999).find(|_| random.random::<f64>() < 0.05);
                    found.unwrap()
                })
                .collect();
            signals_at_last(&g_baseline(&between[..20]).unwrap().chart(&between))
        });
        let expected = g_alarm(&[19; 20], points).unwrap();
        assert!(
            (-tolerance..0.006).contains(&(simulated - expected)),
            "{points}: {simulated} and {expected}"
        );
    }
}

#[test]
fn times_between_events_signal_as_often_as_single_values() {
    // Exponential times have near normal 3.6th roots, with a lower limit that is none.
    let simulated = share_of_runs(|random| {
        let between: Vec<u64> = (0..30)
            .map(|_| whole(-10_000.0 * random.random::<f64>().ln()))
            .collect();
        signals_at_last(&t_baseline(&between[..20]).unwrap().chart(&between))
    });
    let times: Vec<u64> = (1..=20)
        .map(|place| whole(10_000.0 * (20.5_f64 / f64::from(place)).ln()))
        .collect();
    // In an order that has a usual moving range.
    let mixed: Vec<u64> = (0..20).map(|place| times[place * 7 % 20]).collect();
    let expected = t_alarm(&mixed, 30).unwrap();
    assert!(
        (-0.012..0.006).contains(&(simulated - expected)),
        "{simulated} and {expected}"
    );
}
