use super::*;
use proptest::prelude::*;

fn assert_near(found: Option<f64>, expected: f64) {
    let found = found.unwrap();
    assert!((found - expected).abs() < 1e-6, "{found} for {expected}");
}

/// The cells of a table of `rows` by `columns`, row by row, with the sums of rows and columns.
fn table(cells: &[Vec<u32>]) -> Vec<Equation> {
    let columns = cells[0].len();
    let mut equations = Vec::new();
    for (row, values) in cells.iter().enumerate() {
        let terms = (0..columns).map(|column| (row * columns + column, 1.0));
        let sum = values.iter().sum::<u32>();
        equations.push((terms.collect(), f64::from(sum)));
    }
    for column in 0..columns {
        let terms = (0..cells.len()).map(|row| (row * columns + column, 1.0));
        let sum = cells.iter().map(|row| row[column]).sum::<u32>();
        equations.push((terms.collect(), f64::from(sum)));
    }
    equations
}

#[test]
fn two_amounts_with_a_known_sum_reach_from_nothing_to_all() {
    let mut region = LinearRegion::new(2, vec![(vec![(0, 1.0), (1, 1.0)], 7.0)]).unwrap();
    assert_near(region.highest(0, f64::INFINITY), 7.0);
    assert_near(region.lowest(0), 0.0);
    assert_near(region.highest(1, f64::INFINITY), 7.0);
}

#[test]
fn an_amount_of_its_own_is_known() {
    let mut region = LinearRegion::new(1, vec![(vec![(0, 1.0)], 3.0)]).unwrap();
    assert_near(region.highest(0, f64::INFINITY), 3.0);
    assert_near(region.lowest(0), 3.0);
}

#[test]
fn a_total_that_is_hidden_has_no_upper_limit() {
    let equation = (vec![(0, 1.0), (1, -1.0)], 4.0);
    let mut region = LinearRegion::new(2, vec![equation]).unwrap();
    assert_eq!(region.highest(0, f64::INFINITY), Some(f64::INFINITY));
    assert_near(region.lowest(0), 4.0);
}

#[test]
fn equations_that_contradict_each_other_leave_no_region() {
    let equations = vec![(vec![(0, 1.0)], 3.0), (vec![(0, 1.0)], 4.0)];
    assert!(LinearRegion::new(1, equations).is_none());
    assert!(LinearRegion::new(1, vec![(vec![(0, 1.0)], -1.0)]).is_none());
}

#[test]
fn without_an_equation_everything_is_possible() {
    let mut region = LinearRegion::new(1, Vec::new()).unwrap();
    assert_eq!(region.highest(0, f64::INFINITY), Some(f64::INFINITY));
    assert_near(region.lowest(0), 0.0);
}

#[test]
fn a_region_stands_at_the_point_that_is_known() {
    let sum = vec![(vec![(0, 1.0), (1, 1.0)], 7.0)];
    let mut region = LinearRegion::around(vec![3.0, 4.0], sum.clone()).unwrap();
    assert_eq!(region.point(), [3.0, 4.0]);
    assert_eq!(region.seen(), [(3.0, 3.0), (4.0, 4.0)]);
    assert_near(region.lowest(1), 0.0);
    assert_eq!(region.point(), [7.0, 0.0]);
    assert_eq!(region.seen(), [(3.0, 7.0), (0.0, 4.0)]);
    for wrong in [[3.0, 3.0], [8.0, -1.0]] {
        assert!(LinearRegion::around(wrong.into(), sum.clone()).is_none());
    }
}

#[test]
fn what_has_no_upper_limit_goes_as_high_as_is_asked() {
    // The second of two is four less than the first, and half of the third.
    let equations = vec![
        (vec![(0, 1.0), (1, -1.0)], 4.0),
        (vec![(1, 2.0), (2, -1.0)], 0.0),
    ];
    let mut region = LinearRegion::around(vec![5.0, 1.0, 2.0], equations).unwrap();
    assert_near(region.highest(2, 20.0), 20.0);
    assert_eq!(region.point(), [14.0, 10.0, 20.0]);
    assert_near(region.lowest(0), 4.0);
    assert_eq!(region.point(), [4.0, 0.0, 0.0]);
}

#[test]
fn what_stands_twice_in_an_equation_counts_twice() {
    let mut region = LinearRegion::new(2, vec![(vec![(1, 1.0), (0, 1.0), (1, 1.0)], 6.0)]).unwrap();
    assert_near(region.highest(1, f64::INFINITY), 3.0);
    assert_near(region.highest(0, f64::INFINITY), 6.0);
}

proptest! {
    /// In a table of which only the sums are known, a cell reaches from what its row and column have
    /// in excess of all others up to the smaller of the two (the bounds of Fréchet, which are
    /// reached).
    #[test]
    fn cells_of_a_table_reach_the_bounds_of_its_sums(
        cells in (2_usize..6, 2_usize..6).prop_flat_map(|(rows, columns)| {
            prop::collection::vec(prop::collection::vec(0_u32..30, columns), rows)
        })
    ) {
        let columns = cells[0].len();
        let mut region = LinearRegion::new(cells.len() * columns, table(&cells)).unwrap();
        let all: u32 = cells.iter().flatten().sum();
        for (row, values) in cells.iter().enumerate() {
            for column in 0..columns {
                let of_row: u32 = values.iter().sum();
                let of_column: u32 = cells.iter().map(|row| row[column]).sum();
                let place = row * columns + column;
                assert_near(region.highest(place, f64::INFINITY), f64::from(of_row.min(of_column)));
                let low = (of_row + of_column).saturating_sub(all);
                assert_near(region.lowest(place), f64::from(low));
            }
        }
    }

    /// Every amount that a point of the region has lies between the two answers for it.
    #[test]
    fn no_point_of_the_region_lies_outside_its_bounds(
        point in prop::collection::vec(0_u32..20, 2..9),
        factors in prop::collection::vec(prop::collection::vec(-1_i32..2, 9), 1..6),
    ) {
        let equations: Vec<Equation> = factors.iter().map(|factors| {
            let terms: Vec<(usize, f64)> = (0..point.len())
                .map(|place| (place, f64::from(factors[place])))
                .collect();
            let sum = terms.iter().map(|(place, factor)| factor * f64::from(point[*place])).sum();
            (terms, sum)
        }).collect();
        let known = point.iter().map(|amount| f64::from(*amount)).collect();
        let mut around = LinearRegion::around(known, equations.clone()).unwrap();
        let mut region = LinearRegion::new(point.len(), equations).unwrap();
        for (place, amount) in point.iter().enumerate() {
            let low = region.lowest(place).unwrap();
            let high = region.highest(place, f64::INFINITY).unwrap();
            prop_assert!(low <= f64::from(*amount) + 1e-6 && f64::from(*amount) <= high + 1e-6);
            // The answer is the same from wherever it is looked for, and what is seen lies within it.
            assert_near(around.lowest(place), low);
            let from_point = around.highest(place, f64::INFINITY).unwrap();
            prop_assert!(from_point.is_infinite() == high.is_infinite());
            prop_assert!(high.is_infinite() || (from_point - high).abs() < 1e-6);
            let seen = around.seen()[place];
            prop_assert!(low - 1e-6 <= seen.0 && seen.1 <= high + 1e-6);
        }
    }
}
