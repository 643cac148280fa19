//! How often a run chart signals at its last point although nothing has changed: chances of runs in
//! closed form, those of crossings point by point. Knows counts of points on both sides of a line.

use super::average;
use super::log_beta;
use super::power;
use crate::stats::chart::run_chart::run_limits;

/// Most useful points that are counted through.
const MOST_USEFUL: u64 = 1_200;

/// Chance of a signal at the last useful point of a run chart: a run that has become too long, or
/// too few crossings so far. `None` where the rules ask for more useful points, and for more of them than 100 years
/// have months.
///
/// The baseline has `above` and `below` useful points, in any order equally likely; `later` useful
/// points follow, each above the line with the same chance, whose distribution is
/// Beta(above + 1/2, below + 1/2): a median of a dozen points is not that of the process. The sum
/// of the two chances, so never below the chance of either.
pub fn run_alarm(above: u64, below: u64, later: u64) -> Option<f64> {
    let useful = above.saturating_add(below).saturating_add(later);
    let limits = run_limits(useful).filter(|_| useful <= MOST_USEFUL)?;
    let (a, b) = (above as f64 + 0.5, below as f64 + 0.5);
    let length = limits.longest_run + 1;
    let start = arrangements(above, below, limits.crossings);
    let (center, spread) = ((a / b).ln(), (1.0 / a + 1.0 / b).sqrt());
    let chance = average(center, spread, log_beta(a, b), |log_odds| {
        let share = 1.0 / (1.0 + (-log_odds).exp());
        let miss = 1.0 / (1.0 + log_odds.exp());
        let long = |side: f64, on_side: u64, others: u64| {
            let inside = length.saturating_sub(later);
            power(side, length.min(later)) * all_on_one_side(inside, on_side, others)
        };
        let few = few_crossings(&start, later, share, miss);
        long(share, above, below) + long(miss, below, above) + few
    });
    Some(chance.min(1.0))
}

/// Chance that the last `places` of a random arrangement are all on one side.
fn all_on_one_side(places: u64, on_side: u64, others: u64) -> f64 {
    if places > on_side {
        return 0.0;
    }
    let all = on_side + others;
    (0..places)
        .map(|place| (on_side - place) as f64 / (all - place) as f64)
        .product()
}

/// Chances by the side of the last point and the number of crossings, below a limit.
#[derive(Clone, Debug)]
pub(super) struct Crossings {
    above: Vec<f64>,
    below: Vec<f64>,
    /// Chance that there is no point yet.
    none: f64,
}

/// The crossings of a random arrangement of points on both sides.
pub(super) fn arrangements(above: u64, below: u64, limit: u64) -> Crossings {
    let size = usize::try_from(limit).unwrap_or(usize::MAX).min(1 << 16);
    // By the number of points above among those placed so far.
    let empty = Crossings {
        above: vec![0.0; size],
        below: vec![0.0; size],
        none: 0.0,
    };
    let width = usize::try_from(above).unwrap_or(0) + 1;
    let mut states = vec![empty.clone(); width];
    states[0].none = 1.0;
    for placed in 0..above + below {
        let mut next = vec![empty.clone(); width];
        for (used, state) in states.iter().enumerate() {
            let left = (above + below - placed) as f64;
            let left_above = above as f64 - used as f64;
            let share = (left_above / left).clamp(0.0, 1.0);
            let moved = step(state, share, 1.0 - share);
            if used + 1 < width {
                add(&mut next[used + 1].above, &moved.above);
            }
            add(&mut next[used].below, &moved.below);
        }
        states = next;
    }
    states.pop().unwrap_or(empty)
}

/// The state after one more point, above with chance `share`.
fn step(state: &Crossings, share: f64, miss: f64) -> Crossings {
    let moved = |same: &[f64], other: &[f64], chance: f64| -> Vec<f64> {
        (0..same.len())
            .map(|crossings| {
                let crossed = crossings.checked_sub(1).map_or(0.0, |before| other[before]);
                let begun = if crossings == 0 { state.none } else { 0.0 };
                chance * (same[crossings] + crossed + begun)
            })
            .collect()
    };
    Crossings {
        above: moved(&state.above, &state.below, share),
        below: moved(&state.below, &state.above, miss),
        none: 0.0,
    }
}

fn add(into: &mut [f64], from: &[f64]) {
    for (into, from) in into.iter_mut().zip(from) {
        *into += from;
    }
}

/// Chance of fewer crossings than the limit after `later` more points.
pub(super) fn few_crossings(start: &Crossings, later: u64, share: f64, miss: f64) -> f64 {
    let mut state = start.clone();
    for _ in 0..later {
        state = step(&state, share, miss);
    }
    state.above.iter().sum::<f64>() + state.below.iter().sum::<f64>()
}
