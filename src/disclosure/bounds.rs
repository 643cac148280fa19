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
    /// How many cells are looked at together. The time grows with the third power.
    pub(super) most_cells: usize,
    /// Cells that are protected. More hidden cells only make more possible, so they stay so.
    pub(super) proved: BTreeSet<usize>,
    /// The least and the greatest value that each cell was seen to have in any possibility.
    pub(super) reached: Vec<(f64, f64)>,
}

impl Bounds<'_> {
    /// Which of the `small` cells are not protected, by the rule of [the module](super): those that
    /// cannot be `threshold` or more, or not anything in a range of `threshold` whole numbers. What
    /// cannot be proved is not protected.
    pub(super) fn unprotected(&mut self, small: &[usize], is_known: &[bool]) -> Vec<usize> {
        for cell in small {
            for size in [self.most_cells / 8, self.most_cells / 2] {
                if self.proved.contains(cell) || is_wide(self.reached[*cell], self.threshold) {
                    self.proved.insert(*cell);
                    break;
                }
                let cells = self.neighborhood(*cell, size, |it| (!is_known[it]).then_some(1));
                let is_wanted =
                    |it: &&usize| *it == cell || (size < self.most_cells / 2 && cells.contains(it));
                let near: Vec<usize> = small.iter().filter(is_wanted).copied().collect();
                self.prove(&cells, &near);
                if cells.len() <= size {
                    break;
                }
            }
        }
        let small = small.iter().copied();
        small.filter(|cell| !self.proved.contains(cell)).collect()
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
        let mut unknowns = 0;
        let mut costs = Vec::new();
        for cell in &cells {
            let moving = match cost(*cell) {
                None => continue,
                Some(0) => Moving::Free(unknowns),
                Some(cost) => {
                    costs.push((unknowns, cost as f64));
                    costs.push((unknowns + 1, cost as f64));
                    Moving::Paid(unknowns, unknowns + 1)
                }
            };
            unknowns += if matches!(moving, Moving::Free(_)) {
                1
            } else {
                2
            };
            values.insert(*cell, moving);
        }
        let mut equations = self.moving_sums(&values, &mut unknowns);
        let Some(Moving::Free(place)) = values.get(&target) else {
            return None;
        };
        let low = (self.reached[target].0 - ROUNDING).ceil().max(0.0);
        equations.push((vec![(*place, 1.0)], least_high(low, self.threshold)));
        costs.push((unknowns, -1.0));
        equations.push((costs, 0.0));
        let mut region = LinearRegion::new(unknowns + 1, equations)?;
        region.lowest(unknowns)?;
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
                let (low, high) = &mut self.reached[cell];
                *low = low.min(amount);
                *high = high.max(amount);
            }
            self.proved.insert(target);
        }
        Some(found)
    }

    /// All sums of the cells that may move; the others keep their counts.
    fn moving_sums(&self, values: &BTreeMap<usize, Moving>, unknowns: &mut usize) -> Vec<Equation> {
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
        for (part, whole) in &self.sums.far_apart {
            if values.contains_key(part) || values.contains_key(whole) {
                add(
                    &mut [(*whole, 1.0), (*part, -1.0)].into_iter(),
                    Some(*unknowns),
                );
                *unknowns += 1;
            }
        }
        equations
    }

    /// Notes which of the `small` ones among `cells` are protected where all other cells keep their
    /// counts. This finds fewer possibilities than there are, and none that is not.
    fn prove(&mut self, cells: &BTreeSet<usize>, small: &[usize]) {
        let cells: Vec<usize> = cells.iter().copied().collect();
        let places = cells.iter().enumerate();
        let place: BTreeMap<usize, usize> = places.map(|(place, cell)| (*cell, place)).collect();
        let sums = cells.iter().flat_map(|cell| &self.sums.equations_of[*cell]);
        let sums: BTreeSet<usize> = sums.copied().collect();
        let mut equations: Vec<Equation> = Vec::new();
        for sum in sums {
            let sum = &self.sums.equations[sum];
            if sum.is_implied {
                continue;
            }
            let mut terms = Vec::new();
            let mut known = 0.0;
            for (cell, factor) in &sum.terms {
                match place.get(cell) {
                    Some(place) => terms.push((*place, *factor as f64)),
                    None => known += *factor as f64 * self.sums.cells[*cell].count as f64,
                }
            }
            equations.push((terms, -known));
        }
        let unknowns = add_far_apart(self.sums, &place, &mut equations);
        let Some(mut region) = LinearRegion::new(unknowns, equations) else {
            return;
        };
        // The true counts are one possibility, and every corner that is visited is another.
        let mut reached: Vec<(f64, f64)> = cells.iter().map(|cell| self.reached[*cell]).collect();
        for cell in small {
            if self.is_protected(place[cell], &mut region, &mut reached) {
                self.proved.insert(*cell);
            }
        }
        for (cell, reached) in cells.iter().zip(reached) {
            self.reached[*cell] = reached;
        }
    }

    fn is_protected(
        &self,
        place: usize,
        region: &mut LinearRegion,
        reached: &mut [(f64, f64)],
    ) -> bool {
        see(reached, region);
        if is_wide(reached[place], self.threshold) {
            return true;
        }
        let lowest = region.lowest(place);
        see(reached, region);
        let low = lowest.map_or(reached[place].0, |low| low.min(reached[place].0));
        // A little more than enough, so that rounding down leaves enough.
        let enough = least_high(low.ceil(), self.threshold) + 0.5;
        let highest = region.highest(place, enough);
        see(reached, region);
        let high = highest.map_or(reached[place].1, |high| high.max(reached[place].1));
        is_wide((low, high), self.threshold)
    }
}

/// The unknowns by which a cell may differ from its count.
enum Moving {
    /// Its value.
    Free(usize),
    /// How much more and how much less it would be.
    Paid(usize, usize),
}

/// Counts that lie within others, from which they are far apart. Where only one of the two is looked
/// at, the other keeps its count. Returns how many unknowns there are with what lies between.
fn add_far_apart(
    sums: &Sums,
    place: &BTreeMap<usize, usize>,
    equations: &mut Vec<Equation>,
) -> usize {
    let mut unknowns = place.len();
    let mut most: BTreeMap<usize, u64> = BTreeMap::new();
    let mut least: BTreeMap<usize, u64> = BTreeMap::new();
    for (part, whole) in &sums.far_apart {
        match (place.get(part), place.get(whole)) {
            (Some(part), Some(whole)) => {
                equations.push((vec![(*whole, 1.0), (*part, -1.0), (unknowns, -1.0)], 0.0));
                unknowns += 1;
            }
            (Some(part), None) => {
                let count = sums.cells[*whole].count;
                let most = most.entry(*part).or_insert(count);
                *most = count.min(*most);
            }
            (None, Some(whole)) => {
                let count = sums.cells[*part].count;
                let least = least.entry(*whole).or_default();
                *least = count.max(*least);
            }
            (None, None) => {}
        }
    }
    least.retain(|_, count| *count > 0);
    for (bounds, factor) in [(most, 1.0), (least, -1.0)] {
        for (cell, count) in bounds {
            equations.push((vec![(cell, 1.0), (unknowns, factor)], count as f64));
            unknowns += 1;
        }
    }
    unknowns
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
