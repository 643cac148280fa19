//! How far apart two groups are before their results are compared: standardized differences, in
//! standard deviations, which do not grow with the number of cases as tests do. Knows counts;
//! above 0.1 to 0.2 a difference is usually worth a warning, which is for the caller to give.

use super::quadratic_form::quadratic_form;
use super::quantile::Distribution;
use crate::domain::tally::Tally;

/// Standardized difference of two shares, first minus second:
/// `(p - q) / √((p (1 - p) + q (1 - q)) / 2)`.
///
/// `None` when both shares are 0 or 1: there is no deviation to measure in.
///
/// Source: Austin (2009), Statistics in Medicine 28:3083-3107; from memory.
pub fn share_difference(first: Tally, second: Tally) -> Option<f64> {
    let variance = |tally: Tally| {
        let cases = tally.cases() as f64;
        (tally.events() as f64 / cases) * (tally.misses() as f64 / cases)
    };
    standardized(
        first.share() - second.share(),
        variance(first),
        variance(second),
    )
}

/// Standardized difference of two means, first minus second, over the root of the mean of the two
/// variances (divisor `n - 1`), however many cases each has.
///
/// `None` with fewer than two cases in a group, or when all values within each group are equal.
///
/// Source: Austin (2009), Statistics in Medicine 28:3083-3107; from memory.
pub fn mean_difference(first: &Distribution, second: &Distribution) -> Option<f64> {
    let (mean_1, variance_1) = mean_and_variance(first)?;
    let (mean_2, variance_2) = mean_and_variance(second)?;
    standardized(mean_1 - mean_2, variance_1, variance_2)
}

/// Standardized distance of two groups over the categories of one variable, 0 or more. Each item is
/// one category with its cases in the first and in the second group; their order does not matter.
///
/// It is the Mahalanobis distance of the shares of the categories, with the mean of the two
/// multinomial covariances; for two categories, the size of [`share_difference`]. A category
/// without cases adds nothing.
///
/// `None` without cases in a group, or when the groups differ in a way that neither varies in, as
/// when they have no category in common and one each.
///
/// Source: Yang & Dalton (2012), SAS Global Forum, paper 335; from memory.
pub fn category_distance(categories: &[(u64, u64)]) -> Option<f64> {
    let cases_1: f64 = categories.iter().map(|(first, _)| *first as f64).sum();
    let cases_2: f64 = categories.iter().map(|(_, second)| *second as f64).sum();
    if cases_1 <= 0.0 || cases_2 <= 0.0 {
        return None;
    }
    let shares: Vec<(f64, f64)> = categories
        .iter()
        .map(|&(first, second)| (first as f64 / cases_1, second as f64 / cases_2))
        .collect();
    let mut covariance = vec![vec![0.0; shares.len()]; shares.len()];
    for (i, (p, q)) in shares.iter().enumerate() {
        for (j, (other_p, other_q)) in shares.iter().enumerate().filter(|(j, _)| *j != i) {
            // Shares add up to 1, so the diagonal is the sum of the others.
            let product = f64::midpoint(p * other_p, q * other_q);
            covariance[i][j] = -product;
            covariance[i][i] += product;
        }
    }
    let differences = shares.iter().map(|(p, q)| p - q).collect();
    Some(quadratic_form(covariance, differences)?.value.sqrt())
}

fn standardized(difference: f64, variance_1: f64, variance_2: f64) -> Option<f64> {
    let deviation = f64::midpoint(variance_1, variance_2).sqrt();
    (deviation > 0.0).then(|| difference / deviation)
}

/// Mean and sample variance; `None` with fewer than two cases.
fn mean_and_variance(distribution: &Distribution) -> Option<(f64, f64)> {
    if distribution.cases() < 2 {
        return None;
    }
    let cases = distribution.cases() as f64;
    let sum_of = |term: &dyn Fn(f64) -> f64| -> f64 {
        let terms = distribution.counts();
        terms
            .map(|(value, count)| term(value as f64) * count as f64)
            .sum()
    };
    // Measured from a value that occurs, equal values have exactly no variance.
    let origin = distribution.at_rank(1)? as f64;
    let mean = sum_of(&|value| value - origin) / cases;
    let squares = sum_of(&|value| (value - origin - mean).powi(2));
    Some((origin + mean, squares / (cases - 1.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn tally(events: u64, cases: u64) -> Tally {
        let tally = Tally::new(events, cases).expect("events among cases");
        tally.expect("cases")
    }

    fn distribution(values: &[(i64, u64)]) -> Distribution {
        Distribution::new(values.iter().copied())
    }

    #[test]
    fn differences_by_hand() {
        // Half and none: 0.5 / sqrt(0.25 / 2) = sqrt(2).
        let shares = share_difference(tally(1, 2), tally(0, 3)).expect("a variance");
        assert!((shares - 2.0_f64.sqrt()).abs() < 1e-15, "{shares}");
        // Means 2 and 5, variances 2 and 8.
        let means = mean_difference(
            &distribution(&[(1, 1), (3, 1)]),
            &distribution(&[(3, 1), (7, 1)]),
        );
        let means = means.expect("a variance");
        assert!((means + 3.0 / 5.0_f64.sqrt()).abs() < 1e-15, "{means}");
    }

    #[test]
    fn without_a_deviation_there_is_no_unit() {
        for (first, second) in [(0, 0), (3, 3), (0, 3), (3, 0)] {
            assert_eq!(share_difference(tally(first, 3), tally(second, 3)), None);
        }
        let (one, many) = (distribution(&[(4, 1)]), distribution(&[(4, 1), (9, 2)]));
        let equal = distribution(&[(i64::MAX, u64::MAX)]);
        for (first, second) in [(&one, &many), (&many, &one), (&equal, &equal)] {
            assert_eq!(mean_difference(first, second), None);
        }
        for none in [&[][..], &[(0, 0)], &[(3, 0)], &[(5, 0), (0, 5)]] {
            assert_eq!(category_distance(none), None, "{none:?}");
        }
        assert_eq!(category_distance(&[(5, 9)]), Some(0.0));
    }

    #[test]
    fn the_largest_counts_stay_finite() {
        let most = u64::MAX;
        let ends = distribution(&[(i64::MIN, most / 2), (i64::MAX, most / 2)]);
        assert_eq!(mean_difference(&ends, &ends), Some(0.0));
        assert_eq!(share_difference(tally(1, most), tally(1, most)), Some(0.0));
        // Shares of a half, none, a half against none, a half, a half: by hand, 2.
        let distance = category_distance(&[(most, 1), (1, most), (most, most)]);
        assert!(distance.is_some_and(|distance| (distance - 2.0).abs() < 1e-9));
    }

    proptest! {
        #[test]
        fn two_categories_are_a_share_and_their_order_does_not_matter(
            counts in prop::collection::vec((1_u64..50, 1_u64..50), 2..6),
        ) {
            let [(a, c), (b, d)] = [counts[0], counts[1]];
            let share = share_difference(tally(a, a + b), tally(c, c + d)).expect("a variance");
            let distance = category_distance(&counts[..2]).expect("a variance");
            prop_assert!((share.abs() - distance).abs() < 1e-9, "{} {}", share, distance);

            let all = category_distance(&counts).expect("a variance");
            let mut turned: Vec<(u64, u64)> = counts.iter().map(|(a, b)| (*b, *a)).collect();
            turned.reverse();
            turned.push((0, 0));
            let turned = category_distance(&turned).expect("a variance");
            prop_assert!((all - turned).abs() < 1e-9, "{} {}", all, turned);
        }
    }
}
