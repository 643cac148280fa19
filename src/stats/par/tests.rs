use super::*;
use proptest::prelude::*;

fn pars(levels: &[f64], par: impl Fn(f64) -> Option<u64>) -> Vec<u64> {
    levels
        .iter()
        .map(|level| par(*level).expect("a service level"))
        .collect()
}

const LEVELS: [f64; 3] = [0.95, 0.99, 0.999];

#[test]
fn poisson_pars_match_scipy() {
    // scipy 1.17.1: stats.poisson.ppf([0.95, 0.99, 0.999], mean).
    for (mean, expected) in [
        (0.0, [0, 0, 0]),
        (0.2, [1, 2, 3]),
        (0.5, [2, 3, 4]),
        (1.0, [3, 4, 5]),
        (1.2, [3, 4, 6]),
        (2.0, [5, 6, 8]),
        (3.0, [6, 8, 10]),
        (5.0, [9, 11, 13]),
        (1e6, [1_001_645, 1_002_327, 1_003_092]),
    ] {
        let found = pars(&LEVELS, |level| poisson_par_level(mean, level));
        assert_eq!(found, expected, "{mean}");
    }
}

#[test]
fn negative_binomial_pars_match_scipy_and_end_in_poisson() {
    // scipy 1.17.1: stats.nbinom.ppf(level, m * m / (v - m), m / v).
    for (mean, variance, expected) in [
        (1.2, 2.4, [4, 7, 10]),
        (50.0, 400.0, [87, 107, 133]),
        (0.01, 0.5, [0, 0, 0]),
        (1e6, 1e9, [1_052_577, 1_075_032, 1_100_577]),
    ] {
        let found = pars(&LEVELS, |level| {
            negative_binomial_par_level(mean, variance, level)
        });
        assert_eq!(found, expected, "{mean} {variance}");
    }
    for variance in [0.0, 1.2, 1.2 + 1e-15] {
        let found = pars(&LEVELS, |level| {
            negative_binomial_par_level(1.2, variance, level)
        });
        assert_eq!(found, [3, 4, 6], "{variance}");
    }
}

#[test]
fn few_uses_raise_the_par_above_that_of_their_mean() {
    // scipy 1.17.1: stats.nbinom.ppf(level, 6.5, 5 / 6), and poisson.ppf(level, 1.2).
    let predictive = pars(&LEVELS, |level| predictive_par_level(6, 5.0, 1.0, level));
    assert_eq!(predictive, [4, 5, 7]);
    let plugged_in = pars(&LEVELS, |level| poisson_par_level(1.2, level));
    assert_eq!(plugged_in, [3, 4, 6]);
    // Many uses tell the mean.
    let many = pars(&LEVELS, |level| {
        predictive_par_level(1_200_000, 1e6, 1.0, level)
    });
    assert_eq!(many, plugged_in);
}

#[test]
fn a_stock_that_reaches_the_service_level_exactly_is_enough() {
    let nothing_needed = (-1.2_f64).exp();
    assert_eq!(poisson_par_level(1.2, nothing_needed), Some(0));
    assert_eq!(poisson_par_level(1.2, nothing_needed * 1.000_001), Some(1));
    let at_most_three = nothing_needed * (1.0 + 1.2 + 0.72 + 0.288);
    assert_eq!(poisson_par_level(1.2, at_most_three), Some(3));
    assert_eq!(poisson_par_level(1.2, at_most_three + 1e-8), Some(4));
}

#[test]
fn lost_sales_match_the_loss_formula() {
    // mpmath 1.4.1, Erlang's recursion with 40 digits.
    for (mean, stock, expected) in [
        (0.5, 2, 0.076_923_076_923_076_92),
        (0.5, 3, 0.012_658_227_848_101_266),
        (0.5, 4, 0.001_579_778_830_963_665),
        (1.2, 4, 0.026_226_323_457_989_312),
        (1.2, 5, 0.006_254_947_006_698_97),
    ] {
        let risk = lost_sales_risk(mean, stock).expect("a mean");
        assert!((risk - expected).abs() < 1e-15, "{mean} {stock}");
    }
    assert_eq!(lost_sales_risk(0.5, 0), Some(1.0));
    assert_eq!(lost_sales_risk(f64::NAN, 3), None);
}

#[test]
fn the_ends_of_the_types_give_a_stock_or_nothing() {
    for wrong in [0.0, 1.0, -0.5, 2.0, f64::NAN, f64::INFINITY] {
        assert_eq!(poisson_par_level(1.0, wrong), None, "{wrong}");
        assert_eq!(negative_binomial_par_level(1.0, 2.0, wrong), None);
        assert_eq!(predictive_par_level(1, 1.0, 1.0, wrong), None);
    }
    for wrong in [-1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(poisson_par_level(wrong, 0.9), None);
        assert_eq!(negative_binomial_par_level(wrong, 2.0, 0.9), None);
        assert_eq!(negative_binomial_par_level(2.0, wrong, 0.9), None);
        assert_eq!(predictive_par_level(1, wrong, 1.0, 0.9), None);
        assert_eq!(predictive_par_level(1, 1.0, wrong, 0.9), None);
    }
    // More than a count can hold.
    assert_eq!(poisson_par_level(1e30, 0.9), None);
    assert_eq!(predictive_par_level(u64::MAX, 1.0, 1e9, 0.9), None);

    let sizes = [5e-324, 1e-200, 0.3, 1e7, 1e12, 1e18, f64::MAX];
    for service_level in [5e-324, 0.5, 1.0 - f64::EPSILON / 2.0] {
        for mean in sizes {
            let poisson = poisson_par_level(mean, service_level);
            assert!(poisson.is_some() || mean > 1e18, "{mean} {service_level}");
            for other in sizes {
                // Whether there is an answer depends on the sizes; that it ends does not.
                let uneven = negative_binomial_par_level(mean, other, service_level);
                assert!(uneven.is_some() || mean.max(other) > 1e18, "{mean} {other}");
                for uses in [0, u64::MAX] {
                    let most = predictive_par_level(uses, mean, other, 0.999);
                    let least = predictive_par_level(uses, mean, other, 0.001);
                    assert!(least.is_none() && most.is_none() || least <= most || most.is_none());
                }
            }
        }
    }
}

#[test]
fn large_means_have_pars_where_the_normal_distribution_puts_them() {
    for mean in [9e7, 1.1e8, 1e12, 1e16_f64] {
        let par = poisson_par_level(mean, 0.975).expect("a mean") as f64;
        let score = (par - mean) / mean.sqrt();
        assert!((score - 1.96).abs() < 0.001, "{mean}: {score}");
    }
}

proptest! {
    #[test]
    fn a_higher_service_level_never_needs_less(
        mean in 0.01..60.0,
        extra in 0.01..200.0,
        uses in 0_u64..80,
        low in 0.01..0.99,
        step in 0.0001..0.5,
    ) {
        let high = low + (0.9999 - low) * step;
        prop_assert!(poisson_par_level(mean, low) <= poisson_par_level(mean, high));
        let uneven = |level| negative_binomial_par_level(mean, mean + extra, level);
        prop_assert!(uneven(low) <= uneven(high));
        let predictive = |level| predictive_par_level(uses, 10.0, 1.0, level);
        prop_assert!(predictive(low) <= predictive(high));
    }

    #[test]
    fn the_par_reaches_the_level_and_one_less_does_not(mean in 0.01..60.0, level in 0.01..0.9999) {
        let par = poisson_par_level(mean, level).expect("a level");
        let mut term = (-mean).exp();
        let mut below = 0.0;
        for count in 0..par {
            below += term;
            term *= mean / (count + 1) as f64;
        }
        prop_assert!(below < level + 1e-9 && below + term >= level - 1e-9);
    }
}

/// Sums of `gamma(k + r) / gamma(r) / k! p^r (1 - p)^k`, r = uses + 1/2 and p = T / (T + t), by
/// `CPython`'s `math.lgamma`.
#[test]
fn shortage_and_what_is_left_are_sums_over_the_predictive_distribution() {
    #[track_caller]
    fn check(found: Option<f64>, expected: f64) {
        let found = found.expect("two periods");
        assert!((found / expected - 1.0).abs() < 1e-9, "{found}");
    }
    check(predictive_shortage(6, 5.0, 1.0, 3), 0.058_340_629_044_005);
    check(predictive_shortage(6, 5.0, 1.0, 4), 0.019_648_483_879_567);
    check(predictive_shortage(6, 5.0, 1.0, 7), 0.000_492_737_242_891);
    check(predictive_shortage(0, 365.0, 7.0, 0), 0.009_453_284_443_926);
    check(
        predictive_shortage(24, 365.0, 7.0, 2),
        0.013_213_224_347_585,
    );
    check(predictive_unused(6, 5.0, 1.0, 4), 2.728_202_598_370_486);
    check(predictive_unused(0, 365.0, 730.0, 2), 1.347_150_628_109_127);
    check(
        predictive_unused(24, 365.0, 365.0, 10),
        0.010_548_316_649_878,
    );
    assert_eq!(predictive_unused(24, 365.0, 365.0, 0), Some(0.0));
    for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(predictive_shortage(1, wrong, 1.0, 1), None);
        assert_eq!(predictive_shortage(1, 1.0, wrong, 1), None);
        assert_eq!(predictive_unused(1, wrong, 1.0, 1), None);
    }
}

#[test]
fn the_predictive_par_is_the_smallest_stock_whose_shortage_is_within_the_level() {
    for uses in [0, 1, 6, 40] {
        for level in LEVELS {
            let par = predictive_par_level(uses, 90.0, 7.0, level).expect("a level");
            let shortage = |stock| predictive_shortage(uses, 90.0, 7.0, stock).expect("periods");
            assert!(shortage(par) <= 1.0 - level + 1e-9);
            assert!(par == 0 || shortage(par - 1) > 1.0 - level - 1e-9);
        }
    }
}
