//! About how many different cells were seen, in bounded memory. Knows hashes, never a cell.
//!
//! Keeps the k smallest different hashes. With fewer than k the count is exact; else hashes that
//! are spread evenly say how many there are from how low the k-th lies (Bar-Yossef et al. 2002,
//! RANDOM, from memory). The standard error is about 1 / sqrt(k - 2). What is kept does not depend
//! on the order of the cells nor on how they were split over threads.

use std::collections::BTreeSet;

/// The k smallest hashes of what was seen.
#[derive(Clone)]
pub(super) struct Distinct {
    smallest: BTreeSet<u64>,
    most_kept: usize,
}

impl Distinct {
    /// Keeps up to `most_kept` hashes; at least 3.
    pub(super) fn new(most_kept: usize) -> Distinct {
        Distinct {
            smallest: BTreeSet::new(),
            most_kept: most_kept.max(3),
        }
    }

    /// HOT: notes one hash. Once the list is full, hardly any hash is low enough to be kept.
    #[inline]
    pub(super) fn note(&mut self, hash: u64) {
        if self.smallest.len() < self.most_kept {
            self.smallest.insert(hash);
        } else if self.smallest.last().is_some_and(|last| hash < *last)
            && self.smallest.insert(hash)
        {
            self.smallest.pop_last();
        }
    }

    pub(super) fn merge(&mut self, other: &Distinct) {
        for hash in &other.smallest {
            self.note(*hash);
        }
    }

    /// The number of different hashes: exact below k, an estimate from there on.
    pub(super) fn count(&self) -> f64 {
        let kept = self.smallest.len();
        match self.smallest.last() {
            Some(last) if kept == self.most_kept => {
                let share_below_last = (*last as f64 + 1.0) / 2.0_f64.powi(64);
                (kept - 1) as f64 / share_below_last
            }
            _ => kept as f64,
        }
    }
}
