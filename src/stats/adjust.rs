//! p-values of several comparisons, adjusted for their number. Knows numbers only. Count every
//! comparison that was looked at, also those that are not printed.

/// Holm's adjustment: rejecting where the result is at most alpha keeps the chance of any false
/// rejection at alpha, whatever the comparisons have to do with each other. For a handful of
/// prepared questions.
///
/// The i-th smallest of m is multiplied by `m - i + 1`, and none is below the one before it; at
/// most 1. In the order of the input. `None` when a value is not in 0 to 1.
///
/// Source: Holm (1979), Scandinavian Journal of Statistics 6:65-70; from memory.
pub fn holm(p_values: &[f64]) -> Option<Vec<f64>> {
    let order = rising_order(p_values)?;
    let mut adjusted = vec![1.0; p_values.len()];
    let mut largest = 0.0_f64;
    for (smaller, index) in order.into_iter().enumerate() {
        let remaining = (p_values.len() - smaller) as f64;
        largest = largest.max((p_values[index] * remaining).min(1.0));
        adjusted[index] = largest;
    }
    Some(adjusted)
}

/// Benjamini and Hochberg's adjustment: rejecting where the result is at most alpha keeps the
/// expected share of false rejections among all at alpha, if the comparisons are independent or
/// go together. For screens of twenty and more.
///
/// The i-th smallest of m is multiplied by `m / i`, and none is above the one after it; at most 1.
/// In the order of the input. `None` when a value is not in 0 to 1.
///
/// Source: Benjamini & Hochberg (1995), Journal of the Royal Statistical Society B 57:289-300;
/// from memory, the example of its section 4 reproduced.
pub fn benjamini_hochberg(p_values: &[f64]) -> Option<Vec<f64>> {
    let order = rising_order(p_values)?;
    let mut adjusted = vec![1.0; p_values.len()];
    let mut smallest = 1.0_f64;
    for (smaller, index) in order.into_iter().enumerate().rev() {
        let factor = p_values.len() as f64 / (smaller + 1) as f64;
        smallest = smallest.min(p_values[index] * factor);
        adjusted[index] = smallest;
    }
    Some(adjusted)
}

/// Places of the values from the smallest to the largest; `None` unless all are in 0 to 1.
fn rising_order(p_values: &[f64]) -> Option<Vec<usize>> {
    if !p_values.iter().all(|p| (0.0..=1.0).contains(p)) {
        return None;
    }
    let mut order: Vec<usize> = (0..p_values.len()).collect();
    order.sort_by(|a, b| p_values[*a].total_cmp(&p_values[*b]));
    Some(order)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn small_examples_by_hand() {
        // 3 * 0.01, 2 * 0.03, 1 * 0.05 lifted to the one before.
        assert_eq!(holm(&[0.03, 0.01, 0.05]), Some(vec![0.06, 0.03, 0.06]));
        // 3/3 * 0.5, 3/2 * 0.25, 3/1 * 0.125, which the ones after it do not lower.
        let screen = benjamini_hochberg(&[0.25, 0.5, 0.125]);
        assert_eq!(screen, Some(vec![0.375, 0.5, 0.375]));
    }

    #[test]
    fn nothing_stays_nothing_and_what_is_no_probability_is_refused() {
        for adjust in [holm, benjamini_hochberg] {
            assert_eq!(adjust(&[]), Some(vec![]));
            assert_eq!(adjust(&[0.2]), Some(vec![0.2]));
            assert_eq!(adjust(&[1.0, 0.0]), Some(vec![1.0, 0.0]));
            for wrong in [f64::NAN, -0.1, 1.1, f64::INFINITY] {
                assert_eq!(adjust(&[0.5, wrong]), None, "{wrong}");
            }
        }
    }

    proptest! {
        #[test]
        fn adjusted_values_keep_the_order_and_never_help(
            p_values in prop::collection::vec(0.0..=1.0_f64, 1..40),
        ) {
            let family = holm(&p_values).expect("probabilities");
            let screen = benjamini_hochberg(&p_values).expect("probabilities");
            for (i, p) in p_values.iter().enumerate() {
                prop_assert!(*p <= screen[i] && screen[i] <= family[i] && family[i] <= 1.0);
                for (j, other) in p_values.iter().enumerate().filter(|(_, other)| p < other) {
                    prop_assert!(family[i] <= family[j] && screen[i] <= screen[j], "{}", other);
                }
            }
            let backwards: Vec<f64> = p_values.iter().rev().copied().collect();
            for (adjust, forwards) in [(holm as fn(&[f64]) -> _, family), (benjamini_hochberg, screen)] {
                let mut turned: Vec<f64> = adjust(&backwards).expect("probabilities");
                turned.reverse();
                prop_assert_eq!(turned, forwards);
            }
        }
    }
}
