//! How low and how high the hidden cells can be, given all cells that are known: whether the small
//! ones among them are protected.
//!
//! Hides nothing itself.

use super::sums::Sums;
use crate::stats::linear_region::{Equation, LinearRegion};
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Beyond this distance from a whole number, a bound is not that number.
const ROUNDING: f64 = 1e-6;

/// Looks at the small cells one neighborhood after the other.
pub(super) struct Bounds<'a> {
    pub(super) sums: &'a Sums,
    pub(super) threshold: u64,
    /// How many cells are looked at together. More find more possibilities and take more time.
    pub(super) most_cells: usize,
    /// The least and the greatest value that each cell was seen to have in any possibility. More hidden
    /// cells only make more possible, so what is protected stays so.
    pub(super) reached: Vec<(f64, f64)>,
}

impl Bounds<'_> {
    /// Which of the `small` cells are not protected, by the rule of [the module](super): those that
    /// cannot be `threshold` or more, or not anything in a range of `threshold` whole numbers. What
    /// cannot be proved is not protected. `small` is in order.
    pub(super) fn unprotected(&mut self, small: &[usize], is_known: &[bool]) -> Vec<usize> {
        for cell in small {
            for size in [self.most_cells / 8, self.most_cells / 2] {
                if self.is_protected(*cell) {
                    break;
                }
                let cells = self.neighborhood(*cell, size, |it| (!is_known[it]).then_some(1));
                let is_near = |it: &usize| small.binary_search(it).is_ok();
                let near: Vec<usize> = if size < self.most_cells / 2 {
                    cells.iter().copied().filter(is_near).collect()
                } else {
                    vec![*cell]
                };
                self.prove(&cells, &near);
                if cells.len() <= size {
                    break;
                }
            }
        }
        let small = small.iter().copied();
        small.filter(|cell| !self.is_protected(*cell)).collect()
    }

    /// Whether a cell was seen to have enough values.
    fn is_protected(&self, cell: usize) -> bool {
        is_wide(self.reached[cell], self.threshold)
    }

    /// The cells nearest to one of which `distance` says how far it is to step on them, until there
    /// are `size` or a few more; those that stand in one sum only are not counted.
    pub(super) fn neighborhood(
        &self,
        cell: usize,
        size: usize,
        distance: impl Fn(usize) -> Option<usize>,
    ) -> BTreeSet<usize> {
        let mut found = BTreeSet::new();
        let mut counted = 0;
        let mut edge = BTreeSet::from([(0, cell)]);
        while let Some((reached, cell)) = edge.pop_first() {
            if !found.insert(cell) {
                continue;
            }
            if self.sums.equations_of[cell].len() > 1 {
                counted += 1;
                if counted > size {
                    return found;
                }
            }
            for sum in &self.sums.equations_of[cell] {
                let sum = &self.sums.equations[*sum];
                if sum.is_implied {
                    continue;
                }
                for (other, _) in &sum.terms {
                    if let Some(step) = distance(*other).filter(|_| !found.contains(other)) {
                        // What stands in one sum only makes room and leads nowhere.
                        let is_slack = self.sums.equations_of[*other].len() == 1;
                        let step = if is_slack {
                            0
                        } else {
                            step + sum.terms.len() / 4
                        };
                        edge.insert((reached + step, *other));
                    }
                }
            }
        }
        found
    }

    /// What to hide so that a cell can be as high as it must, at the least cost in all; a cell costs by
    /// how far it has to move. `None` where the cells around it do not allow it whatever is hidden.
    pub(super) fn complements(
        &mut self,
        target: usize,
        size: usize,
        cost: impl Fn(usize) -> Option<u64>,
    ) -> Option<Vec<usize>> {
        let distance = |cell: usize| match cost(cell) {
            None => None,
            Some(0) => Some(1),
            Some(1) => Some(2),
            Some(_) => Some(4),
        };
        let cells = self.neighborhood(target, size, distance);
        let mut values: BTreeMap<usize, Moving> = BTreeMap::new();
        let mut start = Vec::new();
        let mut costs = Vec::new();
        for cell in &cells {
            let moving = match cost(*cell) {
                None => continue,
                Some(0) => {
                    start.push(self.sums.cells[*cell].count as f64);
                    Moving::Free(start.len() - 1)
                }
                Some(cost) => {
                    let (more, less) = (start.len(), start.len() + 1);
                    costs.extend([(more, cost as f64), (less, cost as f64)]);
                    start.extend([0.0, 0.0]);
                    Moving::Paid(more, less)
                }
            };
            values.insert(*cell, moving);
        }
        let mut equations = self.moving_sums(&values, &mut start);
        let Some(Moving::Free(place)) = values.get(&target) else {
            return None;
        };
        let needed = least_high(self.reached[target].0, self.threshold);
        let mut region = LinearRegion::around(start, equations.clone())?;
        let highest = region.highest(*place, needed)?;
        if highest < needed {
            return None;
        }
        // From there, what costs most is brought back.
        let mut start = region.point().to_vec();
        let (beyond, sum) = (start.len(), start.len() + 1);
        equations.push((vec![(*place, 1.0), (beyond, -1.0)], needed));
        let paid = costs.iter().map(|(unknown, cost)| start[*unknown] * cost);
        let paid = paid.sum();
        start.extend([start[*place] - needed, paid]);
        costs.push((sum, -1.0));
        equations.push((costs, 0.0));
        let mut region = LinearRegion::around(start, equations)?;
        region.lowest(sum)?;
        let point = region.point();
        let is_moved = |unknown: usize| point[unknown] > ROUNDING;
        let found = values.iter().filter(|(_, moving)| match moving {
            Moving::Free(_) => false,
            Moving::Paid(more, less) => is_moved(*more) || is_moved(*less),
        });
        let found: Vec<usize> = found.map(|(cell, _)| *cell).collect();
        let amounts = values.iter().map(|(cell, moving)| match moving {
            Moving::Free(unknown) => (*cell, point[*unknown]),
            Moving::Paid(more, less) => {
                let count = self.sums.cells[*cell].count as f64;
                (*cell, count + point[*more] - point[*less])
            }
        });
        let amounts: Vec<(usize, f64)> = amounts.collect();
        // A count that would have to fall below nothing is no possibility; then the next look at the
        // cell, with what was found hidden, tells more.
        if amounts.iter().all(|(_, amount)| *amount >= -ROUNDING) {
            for (cell, amount) in amounts {
                self.reached[cell] = joined(self.reached[cell], (amount, amount));
            }
        }
        Some(found)
    }

    /// All sums of the cells that may move; the others keep their counts. Adds to `start` what lies
    /// between cells that are far apart.
    fn moving_sums(&self, values: &BTreeMap<usize, Moving>, start: &mut Vec<f64>) -> Vec<Equation> {
        let mut equations: Vec<Equation> = Vec::new();
        let mut add = |terms: &mut dyn Iterator<Item = (usize, f64)>, slack: Option<usize>| {
            let mut moving = Vec::new();
            let mut known = 0.0;
            for (cell, factor) in terms {
                let count = self.sums.cells[cell].count as f64;
                match values.get(&cell) {
                    Some(Moving::Free(unknown)) => moving.push((*unknown, factor)),
                    Some(Moving::Paid(more, less)) => {
                        moving.extend([(*more, factor), (*less, -factor)]);
                        known += factor * count;
                    }
                    None => known += factor * count,
                }
            }
            if !moving.is_empty() {
                moving.extend(slack.map(|slack| (slack, -1.0)));
                equations.push((moving, -known));
            }
        };
        let sums = values
            .keys()
            .flat_map(|cell| &self.sums.equations_of[*cell]);
        for sum in sums.copied().collect::<BTreeSet<_>>() {
            let sum = &self.sums.equations[sum];
            if !sum.is_implied {
                add(
                    &mut sum
                        .terms
                        .iter()
                        .map(|(cell, factor)| (*cell, *factor as f64)),
                    None,
                );
            }
        }
        for (part, whole) in self.sums.far_apart(values.keys()) {
            add(
                &mut [(*whole, 1.0), (*part, -1.0)].into_iter(),
                Some(start.len()),
            );
            start.push(between(self.sums, *part, *whole));
        }
        equations
    }

    /// Looks for possibilities that protect the `small` ones among `cells` where all other cells keep
    /// their counts. This finds fewer possibilities than there are, and none that is not.
    fn prove(&mut self, cells: &BTreeSet<usize>, small: &[usize]) {
        let places = cells.iter().copied().zip(0..);
        let values = places.map(|(cell, place)| (cell, Moving::Free(place)));
        let values: BTreeMap<usize, Moving> = values.collect();
        // The true counts are one possibility, and every point on the way is another.
        let counts = cells.iter().map(|cell| self.sums.cells[*cell].count as f64);
        let mut start: Vec<f64> = counts.collect();
        let equations = self.moving_sums(&values, &mut start);
        let Some(mut region) = LinearRegion::around(start, equations) else {
            return;
        };
        for (place, cell) in cells.iter().enumerate() {
            if small.contains(cell) {
                self.widen(*cell, place, &mut region);
            }
        }
        for (cell, seen) in cells.iter().zip(region.seen()) {
            self.reached[*cell] = joined(self.reached[*cell], *seen);
        }
    }

    /// Lets the region go as far as it takes to protect a cell, if it can.
    fn widen(&self, cell: usize, place: usize, region: &mut LinearRegion) {
        let reached = |region: &LinearRegion| joined(self.reached[cell], region.seen()[place]);
        let (low, high) = reached(region);
        if is_wide((low, high), self.threshold) {
            return;
        }
        // A little more than enough, so that rounding down leaves enough. Where rounding spoils an
        // answer, nothing was seen.
        region.highest(place, least_high(low, self.threshold) + 0.5);
        if !is_wide(reached(region), self.threshold) {
            region.lowest(place);
        }
    }
}

/// The unknowns by which a cell may differ from its count.
enum Moving {
    /// Its value.
    Free(usize),
    /// How much more and how much less it would be.
    Paid(usize, usize),
}

/// How far apart a count and one that is never less are.
fn between(sums: &Sums, part: usize, whole: usize) -> f64 {
    (sums.cells[whole].count - sums.cells[part].count) as f64
}

/// The least range that holds both.
fn joined(one: (f64, f64), other: (f64, f64)) -> (f64, f64) {
    (one.0.min(other.0), one.1.max(other.1))
}

/// Whether a range reaches the threshold and holds that many whole numbers.
fn is_wide((low, high): (f64, f64), threshold: u64) -> bool {
    (high + ROUNDING).floor() >= least_high(low, threshold)
}

/// The least upper end of a range that starts at `low` and is wide enough.
fn least_high(low: f64, threshold: u64) -> f64 {
    let (low, threshold) = ((low - ROUNDING).ceil().max(0.0), threshold as f64);
    (low + threshold - 1.0).max(threshold)
}
