use super::*;
use proptest::prelude::*;

fn observed(values: &[f64]) -> Vec<Option<f64>> {
    values.iter().copied().map(Some).collect()
}

/// By hand: mean 2, deviations -1, 0, 1; products 0 and 0. Then -1, -1, 1, 1 about 0: products
/// 1, -1, 1 over 4.
#[test]
fn short_series_by_hand() {
    let rising = autocorrelation(&observed(&[1.0, 2.0, 3.0])).expect("neighbors");
    assert!(rising.lag_one.abs() < 1e-15);
    let step = autocorrelation(&observed(&[-1.0, -1.0, 1.0, 1.0])).expect("neighbors");
    assert!((step.lag_one - 0.25).abs() < 1e-15);
    let gap = [Some(-1.0), Some(-1.0), None, Some(1.0), Some(1.0)];
    let gap = autocorrelation(&gap).expect("neighbors");
    assert!(
        (gap.lag_one - 0.5).abs() < 1e-15,
        "no product across the gap"
    );
}

#[test]
fn a_slow_wave_and_a_saw_are_notable_and_few_points_never() {
    let wave: Vec<f64> = (0..24).map(|month| f64::from(month / 6 % 2)).collect();
    let saw: Vec<f64> = (0..24).map(|month| f64::from(month % 2)).collect();
    let of = |values: &[f64]| autocorrelation(&observed(values)).expect("neighbors");
    assert!(of(&wave).is_notable && of(&wave).lag_one > 0.5);
    assert!(of(&saw).is_notable && of(&saw).lag_one < -0.9);
    assert!(!of(&[0.0, 1.0]).is_notable);
}

#[test]
fn nothing_to_correlate() {
    for values in [
        vec![],
        vec![Some(1.0)],
        vec![Some(0.1); 20],
        vec![Some(1.0), None, Some(2.0)],
        vec![Some(1.0), Some(f64::NAN)],
        vec![Some(1.0), Some(f64::NEG_INFINITY)],
    ] {
        assert_eq!(autocorrelation(&values), None, "{values:?}");
    }
}

proptest! {
    #[test]
    fn stays_in_range_and_ignores_shift_scale_and_direction(
        values in prop::collection::vec(prop::option::weighted(0.9, -1000_i32..1000), 2..40),
    ) {
        let series = |scale: f64, shift: f64| -> Vec<Option<f64>> {
            values.iter().map(|value| value.map(|v| f64::from(v) * scale + shift)).collect()
        };
        let Some(found) = autocorrelation(&series(1.0, 0.0)) else { return Ok(()) };
        prop_assert!(found.lag_one.abs() <= 1.0);
        for changed in [series(-3.0, 40.0), series(1e300, 0.0), series(1e-300, 0.0)] {
            let changed = autocorrelation(&changed).expect("neighbors");
            prop_assert!((changed.lag_one - found.lag_one).abs() < 1e-9);
        }
        let mut reversed = series(1.0, 0.0);
        reversed.reverse();
        let reversed = autocorrelation(&reversed).expect("neighbors");
        prop_assert!((reversed.lag_one - found.lag_one).abs() < 1e-12);
    }
}
