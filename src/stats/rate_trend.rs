//! Does a rate rise or fall along an ordered scale, such as months, and by how much a unit of it?
//! Knows counts with exposures and scores. It fits one straight line on the scale of logarithms,
//! where there may be a step or a season: look at the counts first.

use super::Level;
use super::p_value::chi_square_above;
use super::rate::Exposed;
use super::special::student_quantile;

#[cfg(test)]
mod tests;

/// A log-linear trend of a rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RateTrend {
    /// Ratio of the rates at scores one apart.
    pub ratio: f64,
    /// Lower limit.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// Pearson's chi-square about the line over its degrees of freedom: above 1 when counts vary
    /// about the line by more than events that come at random would.
    pub index: f64,
    /// Counts less two.
    pub degrees_of_freedom: usize,
    /// The chance of such an index or a higher one when events come at random about the line.
    pub p_of_index: f64,
}

/// The trend of the rates of `counts`, each with its score, by Poisson regression with the
/// exposure as offset.
///
/// The interval is `exp(b ± t √max(1, index) se(b))`, with `t` of Student's distribution with the
/// degrees of freedom of the index: quasi-Poisson where counts vary by more than chance, never
/// narrower than Poisson.
///
/// `None` with fewer than three counts, unless every exposure is a positive finite number and every
/// score finite, or when all events lie at the lowest or all at the highest score, where no finite
/// line fits best.
///
/// Source: Frome (1983), Biometrics 39:665-674, for rates by Poisson regression; from memory.
pub fn rate_trend(counts: &[(f64, Exposed)], level: Level) -> Option<RateTrend> {
    let degrees_of_freedom = counts.len().checked_sub(2).filter(|degrees| *degrees > 0)?;
    let is_usable = |&(score, count): &(f64, Exposed)| {
        score.is_finite() && count.exposure > 0.0 && count.exposure.is_finite()
    };
    if !counts.iter().all(is_usable) {
        return None;
    }
    let events: f64 = counts.iter().map(|(_, count)| count.events as f64).sum();
    let least = counts
        .iter()
        .map(|(score, _)| *score)
        .fold(f64::INFINITY, f64::min);
    let most = counts
        .iter()
        .map(|(score, _)| *score)
        .fold(f64::NEG_INFINITY, f64::max);
    let range = most - least;
    // Scores from 0 to 1, so that no exponential leaves what f64 can hold.
    let places: Vec<(f64, Exposed)> = counts
        .iter()
        .map(|&(score, count)| ((score - least) / range, count))
        .collect();
    let sum: f64 = places
        .iter()
        .map(|&(place, count)| place * count.events as f64)
        .sum();
    let target = sum / events;
    if !(range > 0.0 && range.is_finite() && target > 0.0 && target < 1.0) {
        return None;
    }
    let slope = best_slope(&places, target)?;
    let line = Line::new(&places, slope);
    let chi_square: f64 = places
        .iter()
        .zip(&line.parts)
        .map(|((_, count), part)| {
            let expected = events * part;
            let distance = count.events as f64 - expected;
            distance * (distance / expected)
        })
        .sum();
    let index = chi_square / degrees_of_freedom as f64;
    let bound = student_quantile(level.tail(), degrees_of_freedom as f64);
    let half = bound * (index.max(1.0) / (events * line.variance)).sqrt();
    let ratio_of = |slope: f64| (slope / range).exp();
    let trend = RateTrend {
        ratio: ratio_of(slope),
        low: ratio_of(slope - half),
        high: ratio_of(slope + half),
        index,
        degrees_of_freedom,
        p_of_index: chi_square_above(chi_square, degrees_of_freedom)?,
    };
    (index.is_finite() && trend.low > 0.0 && trend.high.is_finite()).then_some(trend)
}

/// How a slope shares the events out.
struct Line {
    /// The part of all events that each count expects.
    parts: Vec<f64>,
    /// The mean place of an event.
    mean: f64,
    /// The variance of its place.
    variance: f64,
}

impl Line {
    fn new(places: &[(f64, Exposed)], slope: f64) -> Line {
        let logs: Vec<f64> = places
            .iter()
            .map(|(place, count)| count.exposure.ln() + slope * place)
            .collect();
        let highest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = logs.iter().map(|log| (log - highest).exp()).collect();
        let total: f64 = weights.iter().sum();
        let parts: Vec<f64> = weights.iter().map(|weight| weight / total).collect();
        let over_parts = |term: &dyn Fn(f64) -> f64| -> f64 {
            let terms = places.iter().zip(&parts);
            terms.map(|((place, _), part)| part * term(*place)).sum()
        };
        let mean = over_parts(&|place| place);
        let variance = over_parts(&|place| (place - mean).powi(2));
        Line {
            parts,
            mean,
            variance,
        }
    }
}

/// The slope under which an event lies on average at `target`: given their number, the events are
/// shared out among the counts, and the likelihood is highest there. By Newton's method held in a
/// bracket; the mean place rises with the slope. `None` beyond slopes that the variance of f64
/// allows.
fn best_slope(places: &[(f64, Exposed)], target: f64) -> Option<f64> {
    const STEEPEST: f64 = 600.0;
    let (mut low, mut high, mut slope) = (-STEEPEST, STEEPEST, 0.0);
    for _ in 0..100 {
        let line = Line::new(places, slope);
        if line.mean > target {
            high = slope;
        } else {
            low = slope;
        }
        let step = (target - line.mean) / line.variance;
        if step.abs() <= 1e-12 * slope.abs().max(1.0) {
            return Some(slope);
        }
        let next = slope + step;
        slope = if next > low && next < high {
            next
        } else {
            f64::midpoint(low, high)
        };
    }
    // Rounding may keep the last digits moving.
    (high - low < 1e-6).then_some(slope)
}
