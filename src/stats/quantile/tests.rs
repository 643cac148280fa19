use super::*;
use proptest::prelude::*;

#[test]
fn grouped_counts_give_what_the_single_values_give() {
    let values = [5, 19, 29, 25, 15, 29, 6, 11, 1, 16, 6, 9, 9];
    let distribution = Distribution::new(values.map(|value| (value, 1)));
    let mut sorted = values;
    sorted.sort_unstable();
    assert_eq!(distribution.cases(), 13);
    for (index, value) in sorted.iter().enumerate() {
        assert_eq!(distribution.at_rank(index as u64 + 1), Some(*value));
    }
    assert_eq!(distribution.at_rank(0), None);
    assert_eq!(distribution.at_rank(14), None);
    // Position (13 - 1) * 0.3 = 3.6, between the 4th and the 5th value, 6 and 9.
    let third = quantile(&distribution, 0.3).expect("13 cases");
    assert!((third - 7.8).abs() < 1e-12);
    assert_eq!(quantile(&distribution, 0.0), Some(1.0));
    assert_eq!(quantile(&distribution, 1.0), Some(29.0));
}

#[test]
fn a_limit_appears_with_the_sample_size_that_allows_it() {
    let both = |cases, q| {
        let ranks = order_ranks(cases, q, Level::P95).expect("cases");
        ranks.low.is_some() && ranks.high.is_some()
    };
    for (q, smallest) in [(0.5, 6), (0.25, 13), (0.75, 13), (0.9, 36)] {
        assert!(!both(smallest - 1, q) && both(smallest, q), "{q}");
    }
}

#[test]
fn the_real_coverage_is_never_below_the_level() {
    for level in [0.5, 0.9, 0.95, 0.99].map(|level| Level::new(level).expect("a level")) {
        for cases in 1..=200 {
            for q in [0.1, 0.25, 0.5, 0.75, 0.9] {
                let ranks = order_ranks(cases, q, level).expect("cases");
                assert!(
                    ranks.coverage >= level.fraction() - 1e-10,
                    "{cases} {q} {ranks:?}"
                );
                assert!(ranks.low.unwrap_or(0) < ranks.high.unwrap_or(cases + 1));
            }
        }
    }
}

#[test]
fn nothing_comes_from_nothing_and_the_ends_hold() {
    let nothing = Distribution::new([(5, 0)]);
    assert_eq!(quantile(&nothing, 0.5), None);
    assert_eq!(quantile_interval(&nothing, 0.5, Level::P95), None);
    let extreme = Distribution::new([(i64::MIN, u64::MAX), (i64::MAX, u64::MAX)]);
    assert_eq!(extreme.cases(), u64::MAX);
    for q in [f64::NAN, -0.1, 1.1, f64::INFINITY] {
        assert_eq!(quantile(&extreme, q), None);
        assert_eq!(order_ranks(10, q, Level::P95), None);
        assert_eq!(rank_coverage(10, q, Some(1), Some(2)), None);
    }
    let middle = quantile_interval(&extreme, 0.5, Level::P95).expect("cases");
    assert!(middle.estimate.is_finite() && middle.low.is_some());
    assert_eq!(rank_coverage(9, 0.5, Some(0), None), Some(1.0));
    assert_eq!(rank_coverage(9, 0.5, None, Some(0)), Some(0.0));
}

proptest! {
    #[test]
    fn order_and_grouping_of_the_input_do_not_matter(
        values in prop::collection::vec(-50_i64..50, 1..60),
        q in 0.05..0.95,
    ) {
        let single = Distribution::new(values.iter().map(|value| (*value, 1)));
        let mut reversed: Vec<(i64, u64)> = Vec::new();
        for value in values.iter().rev() {
            match reversed.iter_mut().find(|(other, _)| other == value) {
                Some((_, count)) => *count += 1,
                None => reversed.push((*value, 1)),
            }
        }
        let grouped = Distribution::new(reversed);
        prop_assert_eq!(&single, &grouped);
        let found = quantile_interval(&grouped, q, Level::P95).expect("at least one value");
        prop_assert!(found.low.is_none_or(|low| low <= found.estimate));
        prop_assert!(found.high.is_none_or(|high| found.estimate <= high));
    }
}
