//! Charts over time and between units: limits that a steady process seldom leaves, and rules that
//! name the points where it did. Knows numbers in order; which months these are, whether they are
//! enough (12 points for limits, 20 better) and when a baseline ends is for the caller to know.
//!
//! Limits come from a *baseline*, computed once from the points given to it and then applied to
//! any others: nothing here computes limits anew behind the caller's back. To chart points against
//! themselves, give the same slice twice.
//!
//! | data | baseline |
//! |---|---|
//! | one value a month, minutes of single cases | `xmr` |
//! | share a month | `share`: p, and Laney's p' where shares vary more than counting explains |
//! | share a month, few hits or misses | `sparse`: exact binomial limits |
//! | events per exposure | `rate`: u and Laney's u'; a c chart is a u chart with exposures of 1 |
//! | cases between rare events | `between::GBaseline` |
//! | time between rare events | `between::TBaseline` |
//! | few points of any kind | `run_chart` |
//! | how often a quiet chart signals | `false_alarm` |
//! | units side by side | `funnel`, with `overdispersion` |
//!
//! **Gaps.** A point that is `None` was not observed; it is never a 0. What compares neighbors
//! needs both: no moving range, no change of z and no product of a lag-1 correlation reaches across
//! a gap, so 12 months with one gap inside have 10 moving ranges. What counts points in a row
//! counts those that exist: a run goes on behind a gap, since nothing was seen that ended it.
//!
//! **No limit is not a limit.** A limit is `None` where it would lie at or beyond the end of what
//! the measure can take (a share below 0), and on both sides where the spread is 0: points that
//! never differ show too coarse a resolution or too few events, not a process that cannot vary. A
//! point exactly on a limit is within it.

pub mod autocorrelation;
pub mod between;
pub mod false_alarm;
pub mod funnel;
pub mod limits;
mod moving;
pub mod overdispersion;
pub mod rate;
pub mod rules;
pub mod run_chart;
pub mod share;
pub mod sparse;
pub mod xmr;

pub use moving::sigma_error;

/// The mean, never outside its values, so that equal values have exactly their own value as mean.
/// `None` without values, or when a value or the sum is not a finite number.
fn mean(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    let (mut count, mut sum) = (0.0, 0.0);
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for value in values {
        count += 1.0;
        sum += value;
        least = least.min(value);
        most = most.max(value);
    }
    (count > 0.0 && f64::is_finite(sum)).then(|| (sum / count).clamp(least, most))
}
