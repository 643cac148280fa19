//! Which cells to hide: the small ones, and others for their sake, the smallest that serve.
//!
//! Knows cells and sums, not what they count.

use super::ShareRules;
use super::bounds::Bounds;
use super::sums::{Sum, Sums};
use std::collections::BTreeSet;

/// Unknown cells that are looked at together.
pub(super) const MOST_CELLS: usize = 400;

/// Counts that lie within each other so many thresholds apart hardly bear on each other.
const FAR: u64 = 3;

/// From which distance on counts that lie within each other are looked at apart.
pub(super) fn far(rules: ShareRules) -> u64 {
    rules.threshold.saturating_mul(FAR)
}

/// Which cells are hidden, by what at most `most_cells` at a time can be; or, where that protects a
/// cell by no means, the cells around it.
pub(super) fn hide(
    sums: &Sums,
    rules: ShareRules,
    most_cells: usize,
) -> Result<Vec<bool>, BTreeSet<usize>> {
    let mut search = Search {
        sums,
        rules,
        is_hidden: vec![false; sums.cells.len()],
        is_lost: vec![false; sums.worth.len()],
    };
    for cell in 0..sums.cells.len() {
        if search.is_small(cell) {
            search.hide(cell);
        }
    }
    let small: Vec<usize> = (0..sums.cells.len())
        .filter(|it| search.is_small(*it))
        .collect();
    let mut bounds = Bounds {
        sums,
        threshold: rules.threshold,
        most_cells,
        reached: sums
            .cells
            .iter()
            .map(|cell| (cell.count as f64, cell.count as f64))
            .collect(),
    };
    loop {
        search.complete_sums();
        let is_known = search.known();
        let open = bounds.unprotected(&small, &is_known);
        if open.is_empty() {
            // All small ones are protected: to withhold what else follows would protect nothing.
            let is_known = search.with_what_follows(is_known, |_, _| true);
            return Ok(search.in_need(&is_known));
        }
        let mut is_known = is_known;
        let mut failed = Vec::new();
        for (place, cell) in open.into_iter().enumerate() {
            // What was hidden for another may serve.
            if place > 0 {
                is_known = search.known();
                if bounds.unprotected(&[cell], &is_known).is_empty() {
                    continue;
                }
            }
            let is_done = [most_cells / 4, most_cells].into_iter().any(|size| {
                let found = bounds.complements(cell, size, |it| search.cost(it));
                let Some(found) = found else {
                    return false;
                };
                for cell in &found {
                    search.hide(*cell);
                }
                true
            });
            if !is_done {
                failed.push(cell);
                if failed.len() == MOST_FAILED {
                    break;
                }
            }
        }
        if !failed.is_empty() {
            let near = failed.iter().flat_map(|cell| {
                bounds.neighborhood(*cell, FEW_CELLS, |it| (!is_known[it]).then_some(1))
            });
            return Err(near.collect());
        }
    }
}

/// After so many cells that nothing protects, it is not looked for more.
const MOST_FAILED: usize = 4;

/// Around a cell that nothing protects, tables are withheld that hold some of so many cells.
const FEW_CELLS: usize = 20;

/// How many sums away from a cell it is looked for what else must be hidden with it.
const DEPTH: u32 = 4;

struct Search<'a> {
    sums: &'a Sums,
    rules: ShareRules,
    is_hidden: Vec<bool>,
    /// Rows with a hidden count.
    is_lost: Vec<bool>,
}

impl Search<'_> {
    fn is_small(&self, cell: usize) -> bool {
        let cell = self.sums.cells[cell];
        cell.is_sensitive && self.rules.is_small(cell.count)
    }

    fn hide(&mut self, cell: usize) {
        self.is_hidden[cell] = true;
        for row in &self.sums.rows_of[cell] {
            self.is_lost[*row] = true;
        }
    }

    /// The hidden cells without those that follow from what is published all the same.
    fn in_need(self, is_known: &[bool]) -> Vec<bool> {
        let cells = self.is_hidden.into_iter().zip(is_known);
        cells
            .map(|(is_hidden, is_known)| is_hidden && !is_known)
            .collect()
    }

    /// What is published, and what follows from it: cells that nobody publishes, and large
    /// ones that were hidden in vain.
    fn known(&self) -> Vec<bool> {
        let cells = self.sums.cells.iter().enumerate();
        let is_known = cells
            .map(|(cell, it)| it.is_published && !self.is_hidden[cell])
            .collect();
        self.with_what_follows(is_known, |sum, cell| {
            !self.sums.cells[cell].is_published || self.cheapest(&[sum]).is_none()
        })
    }

    /// What is known, with all cells that follow from it by one sum after another and are taken. No
    /// small one is among them.
    fn with_what_follows(
        &self,
        mut is_known: Vec<bool>,
        is_taken: impl Fn(&Sum, usize) -> bool,
    ) -> Vec<bool> {
        loop {
            let mut is_done = true;
            for sum in &self.sums.equations {
                if let Some(cell) = only_unknown(sum, &is_known)
                    && !self.is_small(cell)
                    && is_taken(sum, cell)
                {
                    is_known[cell] = true;
                    is_done = false;
                }
            }
            if is_done {
                return is_known;
            }
        }
    }

    /// Hides complements until no hidden cell is the difference of known ones where that can be
    /// helped, and no few small ones add up to a known small count.
    fn complete_sums(&mut self) {
        loop {
            let mut is_known = self.known();
            let mut is_done = true;
            for (number, sum) in self.sums.equations.iter().enumerate() {
                while let Some(cell) = self.exposed(sum, &is_known) {
                    let nearest = || {
                        let nearest = self.nearest(cell).filter(|_| self.is_small(cell));
                        nearest.map(|cell| vec![cell])
                    };
                    let Some(complements) = self.complements(number, &is_known).or_else(nearest)
                    else {
                        break;
                    };
                    is_done = false;
                    let mut is_of_sum = false;
                    for cell in complements {
                        self.hide(cell);
                        is_known[cell] = false;
                        is_of_sum |= sum.terms.iter().any(|(other, _)| *other == cell);
                    }
                    if !is_of_sum {
                        break;
                    }
                }
            }
            if is_done {
                return;
            }
        }
    }

    /// A hidden cell that one sum alone gives away, or gives away as small.
    fn exposed(&self, sum: &Sum, is_known: &[bool]) -> Option<usize> {
        if let Some(cell) = only_unknown(sum, is_known) {
            let is_protected = self.sums.cells[cell].is_published || self.is_small(cell);
            return is_protected.then_some(cell);
        }
        let unknown = || sum.terms.iter().filter(|(cell, _)| !is_known[*cell]);
        let small = unknown().map(|(cell, _)| *cell);
        let small = small.filter(|cell| self.is_small(*cell)).min()?;
        let signs: BTreeSet<i64> = unknown().map(|(_, factor)| factor.signum()).collect();
        let all: u64 = unknown()
            .map(|(cell, factor)| self.sums.cells[*cell].count * factor.unsigned_abs())
            .sum();
        (signs.len() == 1 && all < self.rules.threshold).then_some(small)
    }

    /// The cheapest cell that may be hidden in the sums of `cell`, or else in sums one step further,
    /// and so on.
    fn nearest(&self, cell: usize) -> Option<usize> {
        let mut is_seen = vec![false; self.sums.equations.len()];
        let mut edge = BTreeSet::from([cell]);
        while !edge.is_empty() {
            let mut reached = Vec::new();
            for sum in edge.iter().flat_map(|cell| &self.sums.equations_of[*cell]) {
                if !std::mem::replace(&mut is_seen[*sum], true) {
                    reached.push(&self.sums.equations[*sum]);
                }
            }
            let found = self.cheapest(&reached);
            if found.is_some() {
                return found;
            }
            let terms = reached.iter().flat_map(|sum| &sum.terms);
            edge = terms.map(|(cell, _)| *cell).collect();
        }
        None
    }

    /// What to hide so that one more cell of a sum is unknown, and stays so by the other sums in
    /// which it stands.
    fn complements(&self, sum: usize, is_known: &[bool]) -> Option<Vec<usize>> {
        let mut plan = Plan {
            search: self,
            is_known,
            unknown: Vec::new(),
            steps: 0,
        };
        let (_, cells) = plan.cheapest(sum, DEPTH, u64::MAX)?;
        (!cells.is_empty()).then_some(cells)
    }

    /// What it costs to let a cell be unknown; `None` where it cannot be.
    fn cost(&self, cell: usize) -> Option<u64> {
        let it = self.sums.cells[cell];
        if !it.is_published || self.is_hidden[cell] {
            Some(0)
        } else if it.count == 0 {
            None
        } else {
            Some(self.worth(cell) * 100 + 1)
        }
    }

    /// What is lost with a cell.
    fn worth(&self, cell: usize) -> u64 {
        let rows = self.sums.rows_of[cell].iter();
        let kept = rows.filter(|row| !self.is_lost[**row]);
        kept.map(|row| self.sums.worth[*row]).sum()
    }

    /// The smallest count of `sums` that is published and not zero.
    fn cheapest(&self, sums: &[&Sum]) -> Option<usize> {
        let terms = sums.iter().flat_map(|sum| &sum.terms);
        terms
            .map(|(cell, _)| *cell)
            .filter(|cell| {
                let it = self.sums.cells[*cell];
                it.is_published && it.count > 0 && !self.is_hidden[*cell]
            })
            .min_by_key(|cell| (self.worth(*cell), self.sums.cells[*cell].count, *cell))
    }
}

/// A search for the cheapest cells to hide.
struct Plan<'a> {
    search: &'a Search<'a>,
    is_known: &'a [bool],
    /// Cells that would be unknown too.
    unknown: Vec<usize>,
    steps: u32,
}

impl Plan<'_> {
    fn is_known(&self, cell: usize) -> bool {
        self.is_known[cell] && !self.unknown.contains(&cell)
    }

    /// The cheapest way below `limit` to have one more unknown cell in a sum.
    fn cheapest(&mut self, sum: usize, depth: u32, limit: u64) -> Option<(u64, Vec<usize>)> {
        let cells = &self.search.sums.cells;
        let terms = self.search.sums.equations[sum].terms.iter();
        let mut candidates: Vec<(u64, u64, usize)> = terms
            .map(|(cell, _)| *cell)
            .filter(|cell| self.is_known(*cell))
            .filter_map(|cell| Some((self.search.cost(cell)?, cells[cell].count, cell)))
            .collect();
        candidates.sort_unstable();
        let mut best: Option<(u64, Vec<usize>)> = None;
        for (cost, _, cell) in candidates {
            let limit = best.as_ref().map_or(limit, |(cost, _)| *cost);
            best = self.price((cell, cost), sum, depth, limit).or(best);
        }
        best
    }

    /// What it costs, below `limit`, to have a cell of some cost unknown though all of its sums are known.
    fn price(
        &mut self,
        (cell, own): (usize, u64),
        via: usize,
        depth: u32,
        limit: u64,
    ) -> Option<(u64, Vec<usize>)> {
        let is_published = self.search.sums.cells[cell].is_published;
        let mut cost = own;
        if cost >= limit || self.steps > MOST_STEPS {
            return None;
        }
        self.steps += 1;
        let mut hidden = if is_published { vec![cell] } else { Vec::new() };
        let before = self.unknown.len();
        self.unknown.push(cell);
        for sum in &self.search.sums.equations_of[cell] {
            if *sum == via {
                continue;
            }
            let mut terms = self.search.sums.equations[*sum].terms.iter();
            if terms.any(|(other, _)| *other != cell && !self.is_known(*other)) {
                continue;
            }
            let found = if depth == 0 {
                None
            } else {
                self.cheapest(*sum, depth - 1, limit - cost)
            };
            let Some((more, cells)) = found else {
                self.unknown.truncate(before);
                return None;
            };
            cost += more;
            self.unknown.extend(&cells);
            hidden.extend(cells);
            if cost >= limit {
                self.unknown.truncate(before);
                return None;
            }
        }
        self.unknown.truncate(before);
        Some((cost, hidden))
    }
}

/// The most cells that a plan looks at.
const MOST_STEPS: u32 = 300;

/// The cell of a sum that is not known, where it is the only one.
fn only_unknown(sum: &Sum, is_known: &[bool]) -> Option<usize> {
    let mut unknown = sum.terms.iter().filter(|(cell, _)| !is_known[*cell]);
    let (first, _) = unknown.next()?;
    unknown.next().is_none().then_some(*first)
}
