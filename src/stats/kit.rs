//! Lists of items: how many cases each possible list would have been enough for, and the best list
//! of each length. Knows items as bits of a number and cases as counts; what an item is, and which
//! one a case needed, is for the caller to know.
//!
//! Every list is looked at, so what is called best is best, and what is called smallest is
//! smallest: with n items there are 2^n lists, and the cases covered by all of them together come
//! from n sums over halves of the table.
//!
//! **Ties.** Of lists of one length that cover the same number of cases, the one whose items come
//! first is taken: the first item in which two lists differ decides.

use std::collections::BTreeMap;

#[cfg(test)]
mod tests;

/// Items for which every list is looked at: 2^20 lists are 8 MB.
pub const MOST_ITEMS: u32 = 20;

/// Items as bits: item 0 is the lowest one.
pub type ItemBits = u32;

/// What cases needed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Needs {
    /// Cases by the items that they needed, all of them.
    pub by_items: BTreeMap<ItemBits, u64>,
    /// Cases that no list could have covered.
    pub never: u64,
}

impl Needs {
    /// All cases.
    pub fn cases(&self) -> u64 {
        self.by_items.values().sum::<u64>() + self.never
    }

    /// Cases that a list covers: those that needed nothing outside it.
    pub fn covered_by(&self, list: ItemBits) -> u64 {
        let needs = self.by_items.iter();
        let covered = needs.filter(|(items, _)| **items & !list == 0);
        covered.map(|(_, cases)| cases).sum()
    }

    /// The needs of several groups of cases together.
    pub fn sum<'a>(parts: impl IntoIterator<Item = &'a Needs>) -> Needs {
        let mut total = Needs::default();
        for part in parts {
            total.never += part.never;
            for (items, cases) in &part.by_items {
                *total.by_items.entry(*items).or_default() += cases;
            }
        }
        total
    }
}

/// A list and the cases that it covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CoveringList {
    /// The list.
    pub items: ItemBits,
    /// Cases covered.
    pub covered: u64,
}

/// The best list of each length, from none to all `items`: the one that covers most cases.
///
/// `None` with more than [`MOST_ITEMS`] items, or when a case needed an item beyond them.
pub fn best_lists(items: u32, needs: &Needs) -> Option<Vec<CoveringList>> {
    if items > MOST_ITEMS {
        return None;
    }
    let lists = 1_usize << items;
    let mut covered = vec![0_u64; lists];
    for (needed, cases) in &needs.by_items {
        *covered.get_mut(usize::try_from(*needed).ok()?)? += cases;
    }
    // Afterwards each list has the sum over its subsets: what it shares with them item by item.
    for item in 0..items {
        let bit = 1_usize << item;
        for list in 0..lists {
            if list & bit != 0 {
                covered[list] += covered[list ^ bit];
            }
        }
    }
    let mut best: Vec<Option<CoveringList>> = vec![None; items as usize + 1];
    for (list, covered) in (0_u32..).zip(covered) {
        let place = &mut best[list.count_ones() as usize];
        let is_better = place.is_none_or(|known| {
            let earlier = list.reverse_bits() > known.items.reverse_bits();
            covered > known.covered || (covered == known.covered && earlier)
        });
        if is_better {
            *place = Some(CoveringList {
                items: list,
                covered,
            });
        }
    }
    best.into_iter().collect()
}

/// Cases of `cases` that a goal in thousandths asks for, rounded up.
pub fn cases_for(goal_per_mille: u64, cases: u64) -> u64 {
    (cases * goal_per_mille).div_ceil(1000)
}

/// The shortest of the best lists that covers at least `needed` cases; `None` when none does.
pub fn smallest_list(best: &[CoveringList], needed: u64) -> Option<CoveringList> {
    best.iter().find(|list| list.covered >= needed).copied()
}

/// What lists chosen by a goal do for cases by which they were not chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeldOut {
    /// Cases covered, each by the list chosen from the other parts.
    pub covered: u64,
    /// All cases.
    pub cases: u64,
    /// Parts that had cases.
    pub parts: usize,
}

/// Judges each part of the cases by the smallest list for the goal that all other parts choose; a
/// list that reaches the goal on them is looked for, and where none does every item that they needed
/// is taken.
///
/// A list does better for the cases by which it was chosen than for others; this is what it does for
/// others. `None` with fewer than two parts that have cases, and as for [`best_lists`].
pub fn held_out(items: u32, parts: &[Needs], goal_per_mille: u64) -> Option<HeldOut> {
    let parts: Vec<&Needs> = parts.iter().filter(|part| part.cases() > 0).collect();
    if parts.len() < 2 {
        return None;
    }
    let mut result = HeldOut {
        covered: 0,
        cases: 0,
        parts: parts.len(),
    };
    for (place, part) in parts.iter().enumerate() {
        let others = parts.iter().enumerate();
        let others = others.filter(|(other, _)| *other != place);
        let others = Needs::sum(others.map(|(_, needs)| *needs));
        let best = best_lists(items, &others)?;
        let list = smallest_list(&best, cases_for(goal_per_mille, others.cases()));
        let every = || others.by_items.keys().fold(0, |all, needed| all | needed);
        result.covered += part.covered_by(list.map_or_else(every, |list| list.items));
        result.cases += part.cases();
    }
    Some(result)
}
