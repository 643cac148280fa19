//! Kit coverage: which share of the cases that were finished a cart with a given list could have
//! finished at the bedside, what each item adds, and the smallest lists for a goal.
//!
//! **Covered.** A case is covered when every item that finished it is on the list. That another item
//! might have done as well is not known from records, so shares are cautious for short lists; that a
//! list never lets an operator try in vain is not known either. Cases that were not finished, or of
//! which the record does not say with what, are left out and counted. A case that rigid endoscopy
//! finished has left the cart: no list covers it.

use crate::domain::codes::CaseEnding;
use crate::domain::duty::cart_item::CartItem;
use crate::domain::duty::item_counts::{EndedCase, ItemCounts, KitTask};
use crate::domain::duty::plan::CartRules;
use crate::domain::month::Month;
use crate::domain::tally::Tally;
use crate::findings::estimate::Settings;
use crate::findings::staffing::cart_floor::cart_floor;
use crate::stats::kit::{
    CoveringList, ItemBits, Needs, best_lists, cases_for, held_out, smallest_list,
};
use crate::stats::proportion::wilson;
use crate::stats::{Interval, Level};
use std::collections::{BTreeMap, BTreeSet};

/// Goals of the smallest lists, in thousandths of the cases.
pub const GOALS: [u64; 2] = [950, 990];

/// Parts into which months are dealt in turn to judge a list by cases that did not choose it.
pub const PARTS: usize = 10;

/// Kit coverage of all sites and of each.
#[derive(Clone, Debug, PartialEq)]
pub struct Kit {
    /// What the cart carries today; `None` where the plan does not say.
    pub today: Option<BTreeSet<CartItem>>,
    /// Confidence level of the intervals.
    pub level: f64,
    /// Objects and then bleeds, of all sites first and then of each site by name; a site of one
    /// alone is not repeated.
    pub groups: Vec<KitOfCases>,
    /// Whether not one pass is recorded, so that no case of an object can be judged.
    pub lacks_passes: bool,
}

/// Kit coverage of one kind of case.
#[derive(Clone, Debug, PartialEq)]
pub struct KitOfCases {
    /// The site; `None` for all together.
    pub site: Option<String>,
    /// What the cart was called for.
    pub task: KitTask,
    /// Cases by how they ended.
    pub endings: BTreeMap<CaseEnding, u64>,
    /// Judged cases in which nobody recorded the use of an aid, which counts as not used.
    pub blank_aids: u64,
    /// Today's list; `None` where the plan does not say, or where no case is judged.
    pub today: Option<ListShare>,
    /// Every item that finished a case; `None` where no case is judged.
    pub every: Option<ListShare>,
    /// What each item adds, in the order of the list.
    pub gains: Vec<ItemGain>,
    /// The best list of each length, from none on; empty where no case is judged.
    pub best: Vec<ListShare>,
    /// The smallest list for each goal.
    pub smallest: Vec<SmallestList>,
}

/// What a list comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct ListShare {
    /// The items that finished some case.
    pub items: Vec<CartItem>,
    /// Cases covered, of all judged.
    pub tally: Tally,
    /// Wilson interval.
    pub interval: Interval,
}

/// What an item adds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ItemGain {
    /// The item.
    pub item: CartItem,
    /// Whether it is on today's list; `None` where the plan does not say.
    pub is_carried: Option<bool>,
    /// Cases that it finished, alone or with others.
    pub finished: u64,
    /// Cases that would be covered more if it came onto today's list or, for an item on it and where
    /// there is none, fewer if it were left out of all.
    pub gain: u64,
}

/// The smallest list for a goal.
#[derive(Clone, Debug, PartialEq)]
pub struct SmallestList {
    /// The goal in thousandths.
    pub goal: u64,
    /// The list; `None` where no list reaches the goal.
    pub list: Option<ListShare>,
    /// Classes of the floor for such cases of which the list holds no item: it is no list to carry.
    pub lacking: Vec<&'static str>,
    /// What lists chosen in the same way do for cases by which they were not chosen; `None` with
    /// cases of one month only.
    pub held_out: Option<HeldOutShare>,
}

/// What lists do for cases by which they were not chosen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldOutShare {
    /// Cases covered, of all.
    pub tally: Tally,
    /// Wilson interval; the lists of the parts are nearly the same, so it is near but not exact.
    pub interval: Interval,
    /// Parts.
    pub parts: usize,
}

/// Whether a case with this ending is judged.
pub fn is_judged(ending: CaseEnding) -> bool {
    matches!(ending, CaseEnding::FinishedThere | CaseEnding::LeftCart)
}

impl KitOfCases {
    /// Cases that are judged.
    pub fn judged(&self) -> u64 {
        let judged = self
            .endings
            .iter()
            .filter(|(ending, _)| is_judged(**ending));
        judged.map(|(_, cases)| cases).sum()
    }

    /// Cases that are left out.
    pub fn left_out(&self) -> u64 {
        self.endings.values().sum::<u64>() - self.judged()
    }

    /// Cases with this ending.
    pub fn ended(&self, ending: CaseEnding) -> u64 {
        self.endings.get(&ending).copied().unwrap_or(0)
    }
}

/// Kit coverage of all sites and of each.
pub fn kit(counts: &ItemCounts, rules: &CartRules, settings: Settings) -> Kit {
    let carried = rules.items.iter().filter(|(_, item)| item.carried > 0);
    let today = (!rules.items.is_empty()).then(|| carried.map(|(item, _)| *item).collect());
    let sites: BTreeSet<&str> = counts.ended.keys().map(|case| case.site.as_str()).collect();
    let each = sites.iter().map(|site| Some(*site));
    let each = each.filter(|_| sites.len() > 1);
    let mut groups = Vec::new();
    for site in [None].into_iter().chain(each) {
        for task in KitTask::ALL {
            let cases = counts
                .ended
                .iter()
                .filter(|(case, _)| case.task == task && site.is_none_or(|site| case.site == site));
            let cases: Vec<_> = cases.map(|(case, count)| (case, *count)).collect();
            if !cases.is_empty() {
                groups.push(of_cases(site, task, &cases, today.as_ref(), settings.level));
            }
        }
    }
    Kit {
        today,
        level: settings.level.fraction(),
        groups,
        lacks_passes: counts.lacks_passes,
    }
}

/// Classes of the floor for `task` of which `list` holds no item.
fn lacking(task: KitTask, list: &ListShare) -> Vec<&'static str> {
    let floor = cart_floor().into_iter();
    let of_task = floor.filter(|row| row.task() == task);
    let is_held = |item: &CartItem| list.items.contains(item);
    of_task
        .filter(|row| !row.items.iter().any(is_held))
        .map(|row| row.class)
        .collect()
}

fn of_cases(
    site: Option<&str>,
    task: KitTask,
    cases: &[(&EndedCase, u64)],
    today: Option<&BTreeSet<CartItem>>,
    level: Level,
) -> KitOfCases {
    let mut endings = BTreeMap::new();
    let mut blank_aids = 0;
    for (case, count) in cases {
        *endings.entry(case.ending).or_insert(0) += count;
        blank_aids += if case.has_blank_aids { *count } else { 0 };
    }
    let items: BTreeSet<CartItem> = cases
        .iter()
        .flat_map(|(case, _)| case.items.iter().copied())
        .collect();
    let search = Search {
        items: items.into_iter().collect(),
        level,
    };
    let parts = search.parts(cases);
    let needs = Needs::sum(&parts);
    // No list of carts is too long for the search, so there is one of each length.
    let best = search.best(&needs);
    let today_list = today.map(|today| search.bits(today));
    let smallest = |goal: u64| {
        let list = smallest_list(&best, cases_for(goal, needs.cases()));
        let list = list.and_then(|list| search.share(list, &needs));
        SmallestList {
            goal,
            lacking: list
                .as_ref()
                .map_or_else(Vec::new, |list| lacking(task, list)),
            list,
            held_out: search.held_out(&parts, goal),
        }
    };
    let has_cases = needs.cases() > 0;
    KitOfCases {
        site: site.map(str::to_owned),
        task,
        endings,
        blank_aids,
        today: today_list.and_then(|list| search.share_of(list, &needs)),
        every: search.share_of(search.every(), &needs),
        gains: search.gains(today, &needs),
        smallest: GOALS
            .into_iter()
            .filter(|_| has_cases)
            .map(smallest)
            .collect(),
        best: best
            .iter()
            .filter_map(|list| search.share(*list, &needs))
            .collect(),
    }
}

/// The items that finished some case, as bits.
struct Search {
    items: Vec<CartItem>,
    level: Level,
}

impl Search {
    fn count(&self) -> u32 {
        u32::try_from(self.items.len()).unwrap_or(u32::MAX)
    }

    /// Those of the items that are in `list`.
    fn bits(&self, list: &BTreeSet<CartItem>) -> ItemBits {
        let items = (0..).zip(&self.items);
        let listed = items.filter(|(_, item)| list.contains(item));
        listed.map(|(place, _)| Search::bit(place)).sum()
    }

    fn every(&self) -> ItemBits {
        (0..self.count()).map(Search::bit).sum()
    }

    /// Bit of the item at a place; none beyond the bits, and there is no such item.
    fn bit(place: u32) -> ItemBits {
        1_u32.checked_shl(place).unwrap_or(0)
    }

    /// What the judged cases needed, their months dealt into parts in turn.
    fn parts(&self, cases: &[(&EndedCase, u64)]) -> Vec<Needs> {
        let judged = cases.iter().filter(|(case, _)| is_judged(case.ending));
        let months: BTreeSet<Month> = judged.clone().map(|(case, _)| case.month).collect();
        let part_of: BTreeMap<Month, usize> = months.into_iter().zip((0..PARTS).cycle()).collect();
        let mut parts = vec![Needs::default(); PARTS];
        for (case, count) in judged {
            let Some(part) = part_of.get(&case.month) else {
                continue;
            };
            let needs = &mut parts[*part];
            if case.ending == CaseEnding::LeftCart {
                needs.never += count;
            } else {
                *needs.by_items.entry(self.bits(&case.items)).or_default() += count;
            }
        }
        parts
    }

    fn best(&self, needs: &Needs) -> Vec<CoveringList> {
        best_lists(self.count(), needs).unwrap_or_default()
    }

    fn share_of(&self, list: ItemBits, needs: &Needs) -> Option<ListShare> {
        let covered = needs.covered_by(list);
        self.share(
            CoveringList {
                items: list,
                covered,
            },
            needs,
        )
    }

    /// `None` where no case is judged.
    fn share(&self, list: CoveringList, needs: &Needs) -> Option<ListShare> {
        let tally = Tally::new(list.covered, needs.cases()).ok().flatten()?;
        let items = (0..).zip(&self.items);
        let listed = items.filter(|(place, _)| list.items & Search::bit(*place) != 0);
        Some(ListShare {
            items: listed.map(|(_, item)| *item).collect(),
            tally,
            interval: wilson(tally, self.level),
        })
    }

    fn held_out(&self, parts: &[Needs], goal: u64) -> Option<HeldOutShare> {
        let found = held_out(self.count(), parts, goal)?;
        let tally = Tally::new(found.covered, found.cases).ok().flatten()?;
        Some(HeldOutShare {
            tally,
            interval: wilson(tally, self.level),
            parts: found.parts,
        })
    }

    fn gains(&self, today: Option<&BTreeSet<CartItem>>, needs: &Needs) -> Vec<ItemGain> {
        let list = today.map_or_else(|| self.every(), |today| self.bits(today));
        let items = (0..).zip(&self.items);
        let gain = items.map(|(place, item)| {
            let bit = Search::bit(place);
            let finished = needs
                .by_items
                .iter()
                .filter(|(items, _)| **items & bit != 0);
            ItemGain {
                item: *item,
                is_carried: today.map(|today| today.contains(item)),
                finished: finished.map(|(_, cases)| cases).sum(),
                gain: needs.covered_by(list | bit) - needs.covered_by(list & !bit),
            }
        });
        gain.collect()
    }
}

#[cfg(test)]
mod tests;
