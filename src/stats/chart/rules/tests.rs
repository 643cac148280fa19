use super::super::limits::{Bounds, Limits};
use super::*;
use proptest::prelude::*;

/// A chart with center 0 and a standard deviation of 1.
fn chart(values: &[Option<f64>]) -> Vec<Option<ChartPoint>> {
    let around = |count: f64| Bounds {
        low: Some(-count),
        high: Some(count),
    };
    let limits = Limits {
        center: 0.0,
        run_line: 0.0,
        two_sigma: around(2.0),
        control: around(3.0),
    };
    let point = |value| ChartPoint { value, limits };
    values.iter().map(|value| value.map(point)).collect()
}

fn indexes(values: &[f64], rule: Rule) -> Vec<usize> {
    let values: Vec<Option<f64>> = values.iter().copied().map(Some).collect();
    indexes_with_gaps(&values, rule)
}

fn indexes_with_gaps(values: &[Option<f64>], rule: Rule) -> Vec<usize> {
    let found = signals(&chart(values), &[rule]);
    found.iter().map(|signal| signal.index).collect()
}

#[test]
fn a_point_on_a_limit_does_not_fire() {
    assert_eq!(indexes(&[3.0, -3.0, 3.0, 3.0], Rule::BeyondLimits), [0; 0]);
    assert_eq!(indexes(&[2.0, 2.0, -2.0, -2.0], Rule::TwoOfThree), [0; 0]);
    let above = 3.0_f64.next_up();
    assert_eq!(indexes(&[above, -above], Rule::BeyondLimits), [0, 1]);
}

#[test]
fn seven_on_one_side_are_quiet_and_eight_fire() {
    assert_eq!(indexes(&[1.0; 7], Rule::EightOnOneSide), [0; 0]);
    assert_eq!(indexes(&[1.0; 8], Rule::EightOnOneSide), [7]);
    assert_eq!(indexes(&[-1.0; 10], Rule::EightOnOneSide), [7, 8, 9]);
    let seven_and_seven = [[1.0; 7], [-1.0; 7]].concat();
    assert_eq!(indexes(&seven_and_seven, Rule::EightOnOneSide), [0; 0]);
}

#[test]
fn a_point_on_the_line_ends_a_run_and_a_gap_does_not() {
    let mut values = vec![Some(1.0); 9];
    values[4] = None;
    assert_eq!(indexes_with_gaps(&values, Rule::EightOnOneSide), [8]);
    values[4] = Some(0.0);
    assert_eq!(indexes_with_gaps(&values, Rule::EightOnOneSide), [0; 0]);
    assert_eq!(indexes(&[0.0; 20], Rule::EightOnOneSide), [0; 0]);
    let broken = [f64::NAN; 20];
    for rule in Rule::ALL {
        assert_eq!(indexes(&broken, rule), [0; 0]);
    }
}

#[test]
fn two_of_three_must_lie_on_the_same_side_within_three_points() {
    assert_eq!(indexes(&[2.5, 2.5], Rule::TwoOfThree), [1]);
    assert_eq!(indexes(&[2.5, 0.0, 2.5], Rule::TwoOfThree), [2]);
    assert_eq!(indexes(&[2.5, 0.0, 0.0, 2.5], Rule::TwoOfThree), [0; 0]);
    assert_eq!(indexes(&[2.5, -2.5, 0.0], Rule::TwoOfThree), [0; 0]);
    let with_gaps = [Some(2.5), None, Some(0.0), None, Some(2.5)];
    assert_eq!(indexes_with_gaps(&with_gaps, Rule::TwoOfThree), [4]);
}

#[test]
fn only_the_rules_asked_for_fire_and_each_once() {
    let values = [[Some(0.5); 6], [Some(3.5); 6]].concat();
    let points = chart(&values);
    assert_eq!(signals(&points, &[]), []);
    assert_eq!(signals(&[], &Rule::ALL), []);
    let twice = signals(&points, &[Rule::EightOnOneSide, Rule::EightOnOneSide]);
    assert_eq!(twice.len(), 5);
    let all = signals(&points, &Rule::ALL);
    // 6 points beyond, 5 that end a run of eight or more, 5 of two out of three.
    assert_eq!(all.len(), 16);
    assert!(all.is_sorted_by_key(|signal| (signal.index, signal.rule)));
    assert!(all.iter().all(|signal| signal.side == Side::Above));
}

proptest! {
    #[test]
    fn mirrored_points_fire_at_the_same_places_on_the_other_side(
        values in prop::collection::vec(prop::option::of(-4.0..4.0), 0..60),
    ) {
        let mirrored: Vec<Option<f64>> = values.iter().map(|value| value.map(|v: f64| -v)).collect();
        let turned: Vec<Signal> = signals(&chart(&mirrored), &Rule::ALL)
            .into_iter()
            .map(|signal| Signal {
                side: match signal.side {
                    Side::Above => Side::Below,
                    Side::Below => Side::Above,
                },
                ..signal
            })
            .collect();
        prop_assert_eq!(turned, signals(&chart(&values), &Rule::ALL));
    }

    #[test]
    fn gaps_change_places_but_no_signal(
        values in prop::collection::vec(prop::option::of(-4.0..4.0), 0..60),
    ) {
        let fired = |values: &[Option<f64>]| -> Vec<(Rule, Side)> {
            let found = signals(&chart(values), &Rule::ALL);
            found.iter().map(|signal| (signal.rule, signal.side)).collect()
        };
        let dense: Vec<Option<f64>> = values.iter().flatten().copied().map(Some).collect();
        prop_assert_eq!(fired(&values), fired(&dense));
    }
}
