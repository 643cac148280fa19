use super::*;
use proptest::prelude::*;

const DAYS: [f64; 12] = [
    31.0, 28.0, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0,
];

fn monthly(counts: [u64; 12]) -> Vec<(f64, Exposed)> {
    (0..12)
        .zip(counts.into_iter().zip(DAYS))
        .map(|(month, (events, exposure))| (f64::from(month) / 12.0, Exposed { events, exposure }))
        .collect()
}

fn close(actual: f64, expected: f64) {
    assert!(
        (actual / expected - 1.0).abs() < 1e-9,
        "{actual} {expected}"
    );
}

/// mpmath 1.3, 40 digits: the root of the score by halving, its information, Pearson's chi-square
/// and the quantile of Student's distribution with 10 degrees of freedom, 2.228.
#[test]
fn a_trend_has_the_ratio_and_interval_of_poisson_regression() {
    let rising = [8, 12, 9, 14, 11, 15, 13, 18, 16, 14, 19, 21];
    let trend = rate_trend(&monthly(rising), Level::P95).expect("a trend");
    close(trend.ratio, 2.190_529_246_898_67);
    close(trend.low, 1.196_703_201_025_48);
    close(trend.high, 4.009_697_958_028_85);
    close(trend.index, 0.384_602_260_708_239);
    close(trend.p_of_index, 0.954_025_917_958);
    assert_eq!(trend.degrees_of_freedom, 10);
    // Eleven times as uneven as chance: the interval is 3.3 times as wide on the scale of logarithms.
    let uneven = [2, 12, 3, 24, 11, 35, 3, 8, 36, 4, 39, 21];
    let trend = rate_trend(&monthly(uneven), Level::P95).expect("a trend");
    close(trend.ratio, 3.399_838_217_038_79);
    close(trend.low, 0.505_985_798_314_842);
    close(trend.high, 22.844_316_857_377_8);
    close(trend.index, 11.067_111_312_412_3);
}

#[test]
fn counts_on_a_line_give_that_line() {
    // 10, 20, 40, 80 in equal exposures: twice as many at each step.
    let counts: Vec<_> = [10, 20, 40, 80]
        .into_iter()
        .zip(0..)
        .map(|(events, step)| {
            let count = Exposed {
                events,
                exposure: 7.0,
            };
            (f64::from(step), count)
        })
        .collect();
    let trend = rate_trend(&counts, Level::P95).expect("a trend");
    close(trend.ratio, 2.0);
    assert!(trend.index < 1e-12);
}

#[test]
fn without_a_best_line_there_is_no_trend() {
    let count = |score: f64, events, exposure| (score, Exposed { events, exposure });
    for none in [
        vec![],
        vec![count(0.0, 1, 1.0), count(1.0, 2, 1.0)],
        vec![count(0.0, 0, 1.0), count(1.0, 0, 1.0), count(2.0, 0, 1.0)],
        vec![count(0.0, 0, 1.0), count(1.0, 0, 1.0), count(2.0, 9, 1.0)],
        vec![count(0.0, 9, 1.0), count(1.0, 0, 1.0), count(2.0, 0, 1.0)],
        vec![count(1.0, 3, 1.0), count(1.0, 4, 1.0), count(1.0, 9, 1.0)],
        vec![
            count(0.0, 3, 1.0),
            count(f64::NAN, 4, 1.0),
            count(1.0, 9, 1.0),
        ],
        vec![count(0.0, 3, 0.0), count(1.0, 4, 1.0), count(2.0, 9, 1.0)],
    ] {
        assert_eq!(rate_trend(&none, Level::P95), None, "{none:?}");
    }
}

proptest! {
    #[test]
    fn the_unit_of_exposure_does_not_matter_and_the_scale_turns_the_ratio(
        counts in prop::collection::vec((0_u64..40, 1.0_f64..40.0), 3..20),
    ) {
        let with = |scale: f64, unit: f64| {
            let counts: Vec<_> = (0_u32..)
                .zip(&counts)
                .map(|(place, &(events, exposure))| {
                    let exposure = exposure * unit;
                    (f64::from(place) * scale, Exposed { events, exposure })
                })
                .collect();
            rate_trend(&counts, Level::P95)
        };
        let plain = with(1.0, 1.0);
        let turned = with(-1.0, 1440.0);
        prop_assert_eq!(plain.is_some(), turned.is_some());
        if let (Some(plain), Some(turned)) = (plain, turned) {
            prop_assert!((plain.ratio * turned.ratio - 1.0).abs() < 1e-8);
            prop_assert!((plain.low * turned.high - 1.0).abs() < 1e-8);
            prop_assert!(plain.low <= plain.ratio && plain.ratio <= plain.high);
        }
    }
}
