//! Slopes of the beta-binomial log likelihood in its mean and its spread (one over the
//! concentration), from grouped counts. Knows sums only, nothing of where the maximum lies.
//!
//! The likelihood of k events in n cases is a product of `mean + i spread` over i < k, of
//! `1 - mean + i spread` over i < n - k, over one of `1 + i spread` over i < n; so it needs only
//! how many units have each k, each n - k and each n, and it holds at spread 0, the binomial.

use std::collections::BTreeMap;

/// How many units have each number of events, misses and cases.
pub(super) struct Scores {
    events: Vec<(f64, f64)>,
    misses: Vec<(f64, f64)>,
    cases: Vec<(f64, f64)>,
    /// Sum over units of cases times the squared distance of their share from the pooled one.
    squares: f64,
}

impl Scores {
    /// From units grouped by (events, cases), events at most cases.
    pub(super) fn new(units: &BTreeMap<(u64, u64), u64>) -> Scores {
        let used = || {
            units
                .iter()
                .filter(|((_, cases), count)| *cases > 0 && **count > 0)
                .map(|(&(events, cases), &count)| (events, cases, count as f64))
        };
        let tabulated = |number: fn(u64, u64) -> u64| {
            let mut table: BTreeMap<u64, f64> = BTreeMap::new();
            for (events, cases, count) in used() {
                *table.entry(number(events, cases)).or_default() += count;
            }
            let nonzero = table.into_iter().filter(|(number, _)| *number > 0);
            nonzero
                .map(|(number, count)| (number as f64, count))
                .collect::<Vec<_>>()
        };
        let mut scores = Scores {
            events: tabulated(|events, _| events),
            misses: tabulated(|events, cases| cases - events),
            cases: tabulated(|_, cases| cases),
            squares: 0.0,
        };
        let (events, misses) = scores.totals();
        let pooled = events / (events + misses);
        scores.squares = used()
            .map(|(events, cases, count)| {
                let cases = cases as f64;
                count * cases * (events as f64 / cases - pooled).powi(2)
            })
            .sum();
        scores
    }

    /// Events and misses of all units.
    pub(super) fn totals(&self) -> (f64, f64) {
        (total(&self.events), total(&self.misses))
    }

    /// Slope in the spread at spread 0. Positive when the units differ more than chance makes
    /// them differ: it is the numerator of Tarone's statistic, over 2.
    pub(super) fn spread_at_binomial(&self, mean: f64) -> f64 {
        let pairs = |table: &[(f64, f64)]| -> f64 {
            table
                .iter()
                .map(|(number, count)| count * number * (number - 1.0))
                .sum()
        };
        let (events, misses) = (pairs(&self.events), pairs(&self.misses));
        let slope = events / mean + misses / (1.0 - mean) - pairs(&self.cases);
        // Less than rounding of the three sums is 0.
        if slope > 1e-12 * pairs(&self.cases) {
            slope / 2.0
        } else {
            0.0
        }
    }

    /// Concentration at which the variance between units would be the observed one; positive and
    /// finite, a start only.
    pub(super) fn moments_concentration(&self, mean: f64) -> f64 {
        let units: f64 = self.cases.iter().map(|(_, count)| count).sum();
        let sum = total(&self.cases);
        let squared: f64 = self.cases.iter().map(|(n, count)| count * n * n).sum();
        let binomial = mean * (1.0 - mean);
        let excess = self.squares - binomial * (units - 1.0);
        let correlation = excess / (binomial * (sum - squared / sum - (units - 1.0)));
        if correlation > 1e-6 && correlation < 0.999 {
            1.0 / correlation - 1.0
        } else {
            100.0
        }
    }

    /// Slope in the log odds of the mean; falls as the mean rises. `rest` is `1 - mean`.
    pub(super) fn by_mean(&self, mean: f64, rest: f64, spread: f64) -> f64 {
        let sum = |table: &[(f64, f64)], x: f64| -> f64 {
            table
                .iter()
                .map(|(number, count)| count * sums(x, spread, *number).reciprocals)
                .sum()
        };
        mean * rest * (sum(&self.events, mean) - sum(&self.misses, rest))
    }

    /// Slope in the spread.
    pub(super) fn by_spread(&self, mean: f64, rest: f64, spread: f64) -> f64 {
        let sum = |table: &[(f64, f64)], x: f64| -> f64 {
            table
                .iter()
                .map(|(number, count)| count * sums(x, spread, *number).weighted)
                .sum()
        };
        sum(&self.events, mean) + sum(&self.misses, rest) - sum(&self.cases, 1.0)
    }
}

fn total(table: &[(f64, f64)]) -> f64 {
    table.iter().map(|(number, count)| number * count).sum()
}

/// Sums over i below a number of terms.
struct Sums {
    /// Of `1 / (x + i spread)`.
    reciprocals: f64,
    /// Of `i / (x + i spread)`.
    weighted: f64,
}

/// Terms added one by one; the rest follow from an integral.
const SINGLE_TERMS: u32 = 16;

/// Both sums for `x > 0` and `spread > 0`, in a time that does not grow with `terms`: the
/// Euler-Maclaurin formula (Abramowitz & Stegun 1964, 23.1.30; from memory), good to 12 digits
/// from the 16th term on.
fn sums(x: f64, spread: f64, terms: f64) -> Sums {
    let (mut reciprocals, mut weighted) = (0.0, 0.0);
    for index in (0..SINGLE_TERMS).map(f64::from) {
        if index >= terms {
            return Sums {
                reciprocals,
                weighted,
            };
        }
        let term = 1.0 / (x + index * spread);
        reciprocals += term;
        weighted += index * term;
    }
    let from = f64::from(SINGLE_TERMS);
    let (first, last) = (1.0 / (x + from * spread), 1.0 / (x + terms * spread));
    let integral = ((terms - from) * spread * first).ln_1p() / spread;
    let [low, high] = [first, last].map(|value| {
        let step = value * spread;
        let square = step * step;
        value * (0.5 + step * (1.0 / 12.0 - square * (1.0 / 120.0 - square / 252.0)))
    });
    let rest = integral + low - high;
    Sums {
        reciprocals: reciprocals + rest,
        // i / (x + i s) is (1 - x / (x + i s)) / s.
        weighted: weighted + ((terms - from) - x * rest) / spread,
    }
}
