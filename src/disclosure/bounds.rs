//! How low and how high the hidden cells can be, given all cells that are known: whether the small
//! ones among them are protected.
//!
//! Hides nothing itself.

use super::sums::Sums;
use crate::stats::linear_region::LinearRegion;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Beyond this distance from a whole number, a bound is not that number.
const ROUNDING: f64 = 1e-6;

/// Unknown cells that hang together by sums with each other.
pub(super) struct Component {
    /// In order.
    pub(super) cells: Vec<usize>,
    sums: BTreeSet<usize>,
}

/// The unknown cells in parts that have no sum in common, those with the lowest cell first.
pub(super) fn components(sums: &Sums, is_known: &[bool]) -> Vec<Component> {
    let mut is_seen = is_known.to_vec();
    let mut found = Vec::new();
    for start in 0..sums.cells.len() {
        if is_seen[start] {
            continue;
        }
        is_seen[start] = true;
        let mut component = Component {
            cells: vec![start],
            sums: BTreeSet::new(),
        };
        let mut next = 0;
        while let Some(cell) = component.cells.get(next).copied() {
            next += 1;
            for sum in &sums.equations_of[cell] {
                if sums.equations[*sum].is_implied || !component.sums.insert(*sum) {
                    continue;
                }
                for (other, _) in &sums.equations[*sum].terms {
                    if !is_seen[*other] {
                        is_seen[*other] = true;
                        component.cells.push(*other);
                    }
                }
            }
        }
        component.cells.sort_unstable();
        found.push(component);
    }
    found
}

/// Which of the `small` cells of a component are not protected, by the rule of
/// [the module](super): those that cannot be `threshold` or more, or not anything in a range of
/// `threshold` whole numbers. What cannot be proved is not protected.
pub(super) fn unprotected(
    sums: &Sums,
    component: &Component,
    small: &[usize],
    threshold: u64,
) -> Vec<usize> {
    let place: BTreeMap<usize, usize> = component
        .cells
        .iter()
        .enumerate()
        .map(|(place, cell)| (*cell, place))
        .collect();
    let equations = component.sums.iter().map(|sum| {
        let mut terms = Vec::new();
        let mut known = 0.0;
        for (cell, factor) in &sums.equations[*sum].terms {
            match place.get(cell) {
                Some(place) => terms.push((*place, *factor as f64)),
                None => known += *factor as f64 * sums.cells[*cell].count as f64,
            }
        }
        (terms, -known)
    });
    let Some(mut region) = LinearRegion::new(component.cells.len(), equations.collect()) else {
        return small.to_vec();
    };
    // The true counts are one possibility, and every corner that is visited is another.
    let counts = component.cells.iter().map(|cell| {
        let count = sums.cells[*cell].count as f64;
        (count, count)
    });
    let mut reached: Vec<(f64, f64)> = counts.collect();
    let mut unprotected = Vec::new();
    for cell in small {
        let place = place[cell];
        see(&mut reached, &region);
        if is_wide(reached[place], threshold) {
            continue;
        }
        let lowest = region.lowest(place);
        see(&mut reached, &region);
        let low = lowest.map_or(reached[place].0, |low| low.min(reached[place].0));
        // A little more than enough, so that rounding down leaves enough.
        let enough = least_high(low.ceil(), threshold) + 0.5;
        let highest = region.highest(place, enough);
        see(&mut reached, &region);
        let high = highest.map_or(reached[place].1, |high| high.max(reached[place].1));
        if !is_wide((low, high), threshold) {
            unprotected.push(*cell);
        }
    }
    unprotected
}

/// Whether a range reaches the threshold and holds that many whole numbers.
fn is_wide((low, high): (f64, f64), threshold: u64) -> bool {
    let low = (low - ROUNDING).ceil().max(0.0);
    (high + ROUNDING).floor() >= least_high(low, threshold)
}

/// The least upper end of a range that starts at `low` and is wide enough.
fn least_high(low: f64, threshold: u64) -> f64 {
    let threshold = threshold as f64;
    (low + threshold - 1.0).max(threshold)
}

/// Takes note of what the cells are at the corner where the region stands.
fn see(reached: &mut [(f64, f64)], region: &LinearRegion) {
    for ((low, high), amount) in reached.iter_mut().zip(region.point()) {
        *low = low.min(amount);
        *high = high.max(amount);
    }
}
