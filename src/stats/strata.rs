//! Two groups compared within strata (two devices, within each type of object), the strata then
//! put together. Knows counts only: it removes differences between the strata as they were drawn
//! and nothing else, so a choice that followed difficulty within a stratum still shows as effect.

use super::p_value::chi_square_above;
use super::{Interval, Level};

pub mod conditional;
#[cfg(test)]
mod tests;

/// Events and misses of both groups in one stratum. A group may be empty.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stratum {
    /// Cases of the first group with the event.
    pub first_events: u64,
    /// Cases of the first group without it.
    pub first_misses: u64,
    /// Cases of the second group with the event.
    pub second_events: u64,
    /// Cases of the second group without it.
    pub second_misses: u64,
}

/// The four counts and their margins as the formulas name them.
#[derive(Clone, Copy)]
struct Table {
    a: f64,
    b: f64,
    c: f64,
    d: f64,
    first: f64,
    second: f64,
    events: f64,
    misses: f64,
    cases: f64,
}

impl Table {
    fn of(stratum: &Stratum) -> Table {
        let [a, b, c, d] = [
            stratum.first_events,
            stratum.first_misses,
            stratum.second_events,
            stratum.second_misses,
        ]
        .map(|count| count as f64);
        Table {
            a,
            b,
            c,
            d,
            first: a + b,
            second: c + d,
            events: a + c,
            misses: b + d,
            cases: a + b + c + d,
        }
    }

    fn has_both_groups(&self) -> bool {
        self.first > 0.0 && self.second > 0.0
    }

    /// Whether the odds ratio can learn from it: both groups, and both outcomes.
    fn is_informative(&self) -> bool {
        self.has_both_groups() && self.events > 0.0 && self.misses > 0.0
    }

    /// Events expected in the first group with these margins when the odds ratio is 1.
    fn expected(&self) -> f64 {
        self.first * (self.events / self.cases)
    }

    /// Variance of the events of the first group with these margins when the odds ratio is 1.
    fn variance(&self) -> f64 {
        self.expected() * (self.second / self.cases) * (self.misses / (self.cases - 1.0))
    }

    /// Events expected in the first group with these margins at this odds ratio: the root of a
    /// quadratic equation that lies within the margins, in the form that subtracts least.
    fn expected_at(&self, odds_ratio: f64) -> f64 {
        let square = odds_ratio - 1.0;
        let constant = odds_ratio * self.first * self.events;
        let linear = odds_ratio * (self.first + self.events) + (self.second - self.events);
        let root = (linear * linear - 4.0 * square * constant).max(0.0).sqrt();
        if linear > 0.0 {
            2.0 * constant / (linear + root)
        } else {
            (linear - root) / (2.0 * square)
        }
    }
}

fn informative(strata: &[Stratum]) -> impl Iterator<Item = Table> {
    strata.iter().map(Table::of).filter(Table::is_informative)
}

/// Number of strata that have both groups and both outcomes: the only ones that an odds ratio
/// learns from. Print it beside the result.
pub fn informative_strata(strata: &[Stratum]) -> usize {
    informative(strata).count()
}

/// A ratio common to all strata, and its interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CommonOddsRatio {
    /// Odds of the event in the first group over those in the second; infinite when nothing speaks
    /// for the second.
    pub estimate: f64,
    /// Its interval; `None` when the estimate is 0 or infinite.
    pub interval: Option<Interval>,
}

/// Mantel-Haenszel odds ratio, first group over second, with the Robins-Breslow-Greenland interval
/// on the log scale. Good for few large strata as well as many small ones.
///
/// `None` when no stratum says anything. With a single stratum it is the plain odds ratio with the
/// interval of Woolf. It means little where the strata differ: see [`breslow_day`].
///
/// Sources: Mantel & Haenszel (1959), Journal of the National Cancer Institute 22:719-748; Robins,
/// Breslow & Greenland (1986), Biometrics 42:311-323; from memory, the stored output of R for
/// the 1973 Berkeley admissions is reproduced.
pub fn common_odds_ratio(strata: &[Stratum], level: Level) -> Option<CommonOddsRatio> {
    let (mut r_sum, mut s_sum) = (0.0, 0.0);
    let (mut both_r, mut mixed, mut both_s) = (0.0, 0.0, 0.0);
    for table in informative(strata) {
        let r = table.a * (table.d / table.cases);
        let s = table.b * (table.c / table.cases);
        let p = (table.a + table.d) / table.cases;
        let q = (table.b + table.c) / table.cases;
        r_sum += r;
        s_sum += s;
        both_r += p * r;
        mixed += p * s + q * r;
        both_s += q * s;
    }
    if r_sum <= 0.0 && s_sum <= 0.0 {
        return None;
    }
    let estimate = r_sum / s_sum;
    let interval = (r_sum > 0.0 && s_sum > 0.0).then(|| {
        let variance =
            (both_r / r_sum / r_sum + mixed / r_sum / s_sum + both_s / s_sum / s_sum) / 2.0;
        let factor = (level.normal_bound() * variance.sqrt()).exp();
        Interval {
            low: estimate / factor,
            high: estimate * factor,
        }
    });
    Some(CommonOddsRatio { estimate, interval })
}

/// A chi-square statistic and its two-sided p-value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChiSquareTest {
    /// The statistic.
    pub chi_square: f64,
    /// Degrees of freedom, at least 1.
    pub degrees_of_freedom: usize,
    /// Probability of a statistic at least as large when there is no difference.
    pub p: f64,
}

impl ChiSquareTest {
    fn new(chi_square: f64, degrees_of_freedom: usize) -> ChiSquareTest {
        ChiSquareTest {
            chi_square,
            degrees_of_freedom,
            // Only counts beyond f64 make the statistic infinite; nothing lies above it then.
            p: chi_square_above(chi_square, degrees_of_freedom).unwrap_or(0.0),
        }
    }
}

/// Cochran-Mantel-Haenszel test of no difference between the groups in any stratum, without
/// continuity correction. `None` when no stratum is informative.
///
/// Sources: Cochran (1954), Biometrics 10:417-451, with the variance of Mantel & Haenszel (1959);
/// from memory.
pub fn cochran_mantel_haenszel(strata: &[Stratum]) -> Option<ChiSquareTest> {
    cmh(strata, 0.0)
}

/// [`cochran_mantel_haenszel`] with the continuity correction: half an event is taken off the
/// difference before it is squared.
///
/// This is the formula of 1959 as it stands. Where the difference is below a quarter of an event,
/// it makes the statistic larger; R leaves the correction off below half an event, statsmodels
/// does as here. Such a statistic is near 0 either way.
pub fn cochran_mantel_haenszel_corrected(strata: &[Stratum]) -> Option<ChiSquareTest> {
    cmh(strata, 0.5)
}

fn cmh(strata: &[Stratum], correction: f64) -> Option<ChiSquareTest> {
    let (mut difference, mut variance) = (0.0, 0.0);
    for table in informative(strata) {
        difference += excess_events(&table);
        variance += table.variance();
    }
    let distance = f64::abs(difference) - correction;
    (variance > 0.0).then(|| ChiSquareTest::new(distance / variance * distance, 1))
}

/// Events of the first group beyond those expected: `(ad - bc) / n`.
fn excess_events(table: &Table) -> f64 {
    table.a * (table.d / table.cases) - table.b * (table.c / table.cases)
}

/// Whether the odds ratio is the same in all strata.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Homogeneity {
    /// Breslow and Day's statistic.
    pub breslow_day: ChiSquareTest,
    /// The same with Tarone's correction, never larger; the one to use.
    pub tarone: ChiSquareTest,
}

/// Test of one odds ratio for all strata, at the Mantel-Haenszel odds ratio. A small p-value says:
/// do not pool, show the strata. A large one says little: the test has low power in few cases.
///
/// `None` with fewer than two informative strata, or when the odds ratio is 0 or infinite.
///
/// Sources: Breslow & Day (1980), Statistical Methods in Cancer Research 1, section 4.4; Tarone
/// (1985), Biometrika 72:91-95; both from memory.
pub fn breslow_day(strata: &[Stratum]) -> Option<Homogeneity> {
    let odds_ratio = common_odds_ratio(strata, Level::P95)?;
    // The interval is missing where the odds ratio is 0 or infinite.
    odds_ratio.interval?;
    let degrees_of_freedom = informative_strata(strata).checked_sub(1)?;
    if degrees_of_freedom == 0 {
        return None;
    }
    let (mut statistic, mut difference, mut variance) = (0.0, 0.0, 0.0);
    for table in informative(strata) {
        let expected = table.expected_at(odds_ratio.estimate);
        let precision = [
            expected,
            table.first - expected,
            table.events - expected,
            table.second - table.events + expected,
        ]
        // Above 0 by the formula; rounding may take a cell of an extreme table to 0.
        .map(|cell| 1.0 / cell.max(f64::MIN_POSITIVE))
        .iter()
        .sum::<f64>();
        let distance = table.a - expected;
        statistic += distance * precision * distance;
        difference += distance;
        variance += 1.0 / precision;
    }
    let tarone = statistic - difference / variance * difference;
    Some(Homogeneity {
        breslow_day: ChiSquareTest::new(statistic, degrees_of_freedom),
        tarone: ChiSquareTest::new(tarone.max(0.0), degrees_of_freedom),
    })
}

/// A difference common to all strata, and its interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CommonRiskDifference {
    /// Share of the first group minus share of the second, each stratum weighted by
    /// `first * second / cases`; in -1 to 1.
    pub estimate: f64,
    /// Its interval within -1 to 1; `None` when the variance comes out as 0.
    pub interval: Option<Interval>,
    /// Strata with both groups. Those with a single outcome count too: they say "no difference".
    pub strata: usize,
}

/// Mantel-Haenszel risk difference, first group minus second, with Sato's variance, which holds
/// for few large strata as well as many small ones.
///
/// `None` when no stratum has both groups.
///
/// Sources: Greenland & Robins (1985), Biometrics 41:55-68 (weights); Sato (1989), Biometrics
/// 45:1323-1324 (variance); both from memory.
pub fn common_risk_difference(strata: &[Stratum], level: Level) -> Option<CommonRiskDifference> {
    let (mut excess, mut weight, mut p, mut q, mut count) = (0.0, 0.0, 0.0, 0.0, 0);
    for table in strata.iter().map(Table::of).filter(Table::has_both_groups) {
        let (first, second) = (table.first / table.cases, table.second / table.cases);
        excess += excess_events(&table);
        weight += table.first * second;
        p += first * first * table.c - second * second * table.a
            + first * second * (table.second - table.first) / 2.0;
        q += f64::midpoint(
            table.a * (table.d / table.cases),
            table.c * (table.b / table.cases),
        );
        count += 1;
    }
    if weight <= 0.0 {
        return None;
    }
    let estimate = (excess / weight).clamp(-1.0, 1.0);
    let spread = estimate * p + q;
    // Groups wholly apart have a variance of 0, which rounding may raise a little.
    let interval = (spread > 1e-12 * q).then(|| {
        let half_width = level.normal_bound() * spread.sqrt() / weight;
        Interval {
            low: (estimate - half_width).max(-1.0),
            high: (estimate + half_width).min(1.0),
        }
    });
    Some(CommonRiskDifference {
        estimate,
        interval,
        strata: count,
    })
}
