//! Which cells to hide: the small ones, and others for their sake, the smallest that serve.
//!
//! Knows cells and sums, not what they count.

use super::ShareRules;
use super::bounds::{components, unprotected};
use super::sums::{Sum, Sums};
use std::collections::BTreeSet;

/// Unknown cells that are looked at together. The time for the bounds grows with the third power.
pub(super) const MOST_CELLS: usize = 400;

/// Which cells are hidden; or, where more than `most_cells` hang together, these cells.
pub(super) fn hide(
    sums: &Sums,
    rules: ShareRules,
    most_cells: usize,
) -> Result<Vec<bool>, BTreeSet<usize>> {
    let mut search = Search {
        sums,
        rules,
        is_hidden: sums
            .cells
            .iter()
            .map(|cell| cell.is_sensitive && rules.is_small(cell.count))
            .collect(),
        is_assumed: vec![false; sums.cells.len()],
        proved: BTreeSet::new(),
    };
    loop {
        search.complete_sums();
        let is_known = search.known();
        let mut is_done = true;
        for component in components(sums, &is_known) {
            let small: Vec<usize> = component
                .cells
                .iter()
                .copied()
                .filter(|cell| search.is_small(*cell))
                .collect();
            if small.is_empty() || search.proved.contains(&component.cells) {
                continue;
            }
            if component.cells.len() > most_cells {
                if search.assume(&component.cells) {
                    is_done = false;
                    break;
                }
                return Err(component.cells.into_iter().collect());
            }
            let open = unprotected(sums, &component, &small, rules.threshold);
            if open.is_empty() {
                search.proved.insert(component.cells);
                continue;
            }
            is_done = false;
            let hidden_before = search.is_hidden.clone();
            for cell in open {
                // One complement may serve several.
                let is_served = sums.equations_of[cell].iter().any(|sum| {
                    let mut terms = sums.equations[*sum].terms.iter();
                    terms.any(|(other, _)| search.is_hidden[*other] && !hidden_before[*other])
                });
                if !is_served && !search.hide_near(cell) && hidden_before == search.is_hidden {
                    // Nothing that is published bears on it, yet its range was not proved.
                    return Err(component.cells.into_iter().collect());
                }
            }
        }
        if is_done {
            return Ok(search.is_hidden);
        }
    }
}

struct Search<'a> {
    sums: &'a Sums,
    rules: ShareRules,
    is_hidden: Vec<bool>,
    /// Not published, but taken as known to everybody.
    is_assumed: Vec<bool>,
    /// Unknown cells that were found protected.
    proved: BTreeSet<Vec<usize>>,
}

impl Search<'_> {
    fn is_small(&self, cell: usize) -> bool {
        let cell = self.sums.cells[cell];
        cell.is_sensitive && self.rules.is_small(cell.count)
    }

    /// Takes the large counts among `cells` that nobody publishes, such as the cases of a group from
    /// which several measures start, as known to the attacker. This hides more and never less, and
    /// what hung together by them falls apart. Whether there was any.
    fn assume(&mut self, cells: &[usize]) -> bool {
        let mut has_any = false;
        for cell in cells {
            let it = self.sums.cells[*cell];
            if !it.is_published && it.count >= self.rules.threshold && !self.is_assumed[*cell] {
                self.is_assumed[*cell] = true;
                has_any = true;
            }
        }
        has_any
    }

    /// What is published or assumed, and what follows from it: cells that nobody publishes, and large
    /// ones that were hidden in vain.
    fn known(&self) -> Vec<bool> {
        let cells = self.sums.cells.iter().enumerate();
        let mut is_known: Vec<bool> = cells
            .map(|(cell, it)| self.is_assumed[cell] || (it.is_published && !self.is_hidden[cell]))
            .collect();
        loop {
            let mut is_done = true;
            for sum in &self.sums.equations {
                if let Some(cell) = only_unknown(sum, &is_known)
                    && (!self.sums.cells[cell].is_published
                        || (!self.is_small(cell) && self.cheapest(&[sum]).is_none()))
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
            for sum in &self.sums.equations {
                while let Some(cell) = self.exposed(sum, &is_known) {
                    let nearest = || self.nearest(cell).filter(|_| self.is_small(cell));
                    let Some(complement) = self.cheapest(&[sum]).or_else(nearest) else {
                        break;
                    };
                    self.is_hidden[complement] = true;
                    is_known[complement] = false;
                    is_done = false;
                    if !sum.terms.iter().any(|(other, _)| *other == complement) {
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
            return self.sums.cells[cell].is_published.then_some(cell);
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

    /// Hides the cell nearest to `cell`; `false` when none is left that may bear on it.
    fn hide_near(&mut self, cell: usize) -> bool {
        let Some(complement) = self.nearest(cell) else {
            return false;
        };
        self.is_hidden[complement] = true;
        true
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

    /// The smallest count of `sums` that is published and not zero.
    fn cheapest(&self, sums: &[&Sum]) -> Option<usize> {
        let terms = sums.iter().flat_map(|sum| &sum.terms);
        terms
            .map(|(cell, _)| *cell)
            .filter(|cell| {
                let it = self.sums.cells[*cell];
                it.is_published && it.count > 0 && !self.is_hidden[*cell]
            })
            .min_by_key(|cell| (self.sums.cells[*cell].count, *cell))
    }
}

/// The cell of a sum that is not known, where it is the only one.
fn only_unknown(sum: &Sum, is_known: &[bool]) -> Option<usize> {
    let mut unknown = sum.terms.iter().filter(|(cell, _)| !is_known[*cell]);
    let (first, _) = unknown.next()?;
    unknown.next().is_none().then_some(*first)
}
