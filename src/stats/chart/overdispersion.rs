//! Whether units differ by more than counting explains, and by how much. Knows tallies of units
//! and a target.

use crate::domain::tally::Tally;
use crate::stats::special::{Tail, gamma_quantile};

#[cfg(test)]
mod tests;

/// Share of units at each end whose z values are drawn in before the spread is measured, so that a
/// few outlying units do not hide themselves by widening the limits.
const WINSORIZED: f64 = 0.1;

/// The spread between units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overdispersion {
    /// Mean squared z value after winsorizing: about 1 when counting explains everything.
    pub phi: f64,
    /// Variance between units beyond counting, to be added in [`super::funnel::normal_limits`];
    /// 0 when there is none.
    pub variance_between: f64,
    /// Whether the spread exceeds what counting gives in 95 of 100 sets of such units. Widen the
    /// limits then, and only then.
    pub is_notable: bool,
}

/// The spread of the shares of `units` about `target`.
///
/// With `z` the distances from the target in standard deviations by counting, winsorized at their
/// 10 % and 90 % quantiles (definition 7), `phi` is the mean of `z²`. With `I` units and weights
/// `w = 1 / s²`, the variance between is `(I phi - (I - 1)) / (Σw - Σw² / Σw)`, at least 0.
///
/// `None` with fewer than two units, or unless `target` lies strictly between 0 and 1, and so far
/// from 0 that `z` is a finite number.
///
/// Source: Spiegelhalter (2005), Statistics in Medicine 24:1185-1202; from memory. `is_notable`
/// compares `I phi` with the 95 % quantile of chi-squared with `I` degrees of freedom.
pub fn overdispersion(units: &[Tally], target: f64) -> Option<Overdispersion> {
    let is_usable = target > 0.0 && target < 1.0 && units.len() > 1;
    if !is_usable {
        return None;
    }
    let count = units.len() as f64;
    let mut sorted: Vec<f64> = units
        .iter()
        .map(|unit| (unit.share() - target) / variance(target, *unit).sqrt())
        .collect();
    sorted.sort_unstable_by(f64::total_cmp);
    let (least, most) = (
        sorted_quantile(&sorted, WINSORIZED)?,
        sorted_quantile(&sorted, 1.0 - WINSORIZED)?,
    );
    // Not `clamp`, which panics should rounding ever turn the two around.
    let drawn_in = sorted.iter().map(|z| z.max(least).min(most));
    let sum: f64 = drawn_in.map(|z| z * z).sum();
    let mut weights: Vec<f64> = units
        .iter()
        .map(|unit| 1.0 / variance(target, *unit))
        .collect();
    weights.sort_unstable_by(f64::total_cmp);
    let total: f64 = weights.iter().sum();
    // Σw - Σw² / Σw as the sum over pairs, 2 Σ w v / Σw: one huge unit would leave no digit of a
    // difference.
    let (mut lighter, mut denominator) = (0.0, 0.0);
    for weight in weights {
        denominator += 2.0 * lighter * (weight / total);
        lighter += weight;
    }
    let variance_between = ((sum - (count - 1.0)) / denominator).max(0.0);
    sum.is_finite().then(|| Overdispersion {
        phi: sum / count,
        variance_between,
        is_notable: sum > 2.0 * gamma_quantile(count / 2.0, Tail::Upper, 0.05),
    })
}

/// Variance of the share of a unit by counting alone.
fn variance(target: f64, unit: Tally) -> f64 {
    target * (1.0 - target) / unit.cases() as f64
}

/// Definition 7, as in [`crate::stats::quantile::quantile`]; `None` without values.
fn sorted_quantile(sorted: &[f64], q: f64) -> Option<f64> {
    let position = sorted.len().checked_sub(1)? as f64 * q;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the position lies within the slice"
    )]
    let below = position.floor() as usize;
    let value = *sorted.get(below)?;
    let next = sorted.get(below + 1).copied().unwrap_or(value);
    Some(value + (position - position.floor()) * (next - value))
}
