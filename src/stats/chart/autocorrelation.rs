//! Whether neighbors resemble each other, which makes the limits of individual values too narrow.
//! Knows numbers in order.

use super::mean;

#[cfg(test)]
mod tests;

/// Correlation of each point with the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Autocorrelation {
    /// Lag-1 autocorrelation, in -1 to 1.
    pub lag_one: f64,
    /// Beyond `2 / sqrt(n)` either way: more than chance usually gives. Limits from moving ranges
    /// mislead then; take longer periods, or limits from the overall standard deviation.
    pub is_notable: bool,
}

/// The lag-1 autocorrelation of `points` in the order of time: the sum of products of neighboring
/// deviations from the mean over the sum of squared deviations.
///
/// A gap takes two products away and no square but its own, which draws the value toward 0.
/// `None` when the points do not differ, without two neighbors, or with numbers that are not
/// finite.
///
/// Source: Box & Jenkins (1970), Time Series Analysis, chapter 2; from memory.
pub fn autocorrelation(points: &[Option<f64>]) -> Option<Autocorrelation> {
    let observed = || points.iter().copied().flatten();
    let center = mean(observed())?;
    let most = observed().fold(0.0_f64, |most, value| most.max((value - center).abs()));
    if !(most > 0.0 && most.is_finite()) {
        return None;
    }
    // Relative to the largest, so that squares neither overflow nor vanish.
    let deviation = |value: f64| (value - center) / most;
    let products: Vec<f64> = points
        .windows(2)
        .filter_map(|pair| Some(deviation(pair[0]?) * deviation(pair[1]?)))
        .collect();
    if products.is_empty() {
        return None;
    }
    let squares: f64 = observed().map(|value| deviation(value).powi(2)).sum();
    let lag_one = products.iter().sum::<f64>() / squares;
    Some(Autocorrelation {
        lag_one,
        is_notable: lag_one.abs() > 2.0 / (observed().count() as f64).sqrt(),
    })
}
