//! How often the items of carts were used, and which of them finished the cases: whole numbers by
//! site and month. No case stands here.

use super::cart_item::CartItem;
use crate::domain::codes::CaseEnding;
use crate::domain::month::Month;
use std::collections::{BTreeMap, BTreeSet};

/// What records say of the items of carts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ItemCounts {
    /// Uses of each item. An item without a use has no entry.
    pub uses: BTreeMap<ItemInMonth, ItemUse>,
    /// Uses of which the record does not say which item it was.
    pub unknown: BTreeMap<UnknownInMonth, ItemUse>,
    /// Cases by how they ended and what finished them.
    pub ended: BTreeMap<EndedCase, u64>,
    /// Whether there are cases of objects and not one pass of any case: then which devices were used
    /// is not known, which is other news than that none was.
    pub lacks_passes: bool,
}

/// An item at a site in a month.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ItemInMonth {
    /// The item.
    pub item: CartItem,
    /// The site; `not_recorded` where the record names none.
    pub site: String,
    /// The month of the call.
    pub month: Month,
}

/// Uses of something that is not known, at a site in a month.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct UnknownInMonth {
    /// What is not known.
    pub what: UnknownItem,
    /// The site; `not_recorded` where the record names none.
    pub site: String,
    /// The month of the call.
    pub month: Month,
}

/// Why the item of a use is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum UnknownItem {
    /// A pass without a recorded device.
    DeviceOfPass,
    /// A bleed that was treated in several ways at once.
    CombinedTreatment,
    /// A bleed whose treatment is in none of the classes.
    OtherTreatment,
}

/// How often something was used.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ItemUse {
    /// Cases in which it was used.
    pub cases: u64,
    /// Passes made with it; one for a case in which it was used without a pass.
    pub passes: u64,
}

impl ItemUse {
    /// Passes for each case in which it was used; `None` without one.
    pub fn passes_per_case(self) -> Option<f64> {
        (self.cases > 0).then(|| self.passes as f64 / self.cases as f64)
    }

    /// Adds the uses of `other`.
    pub fn add(&mut self, other: ItemUse) {
        self.cases = self.cases.saturating_add(other.cases);
        self.passes = self.passes.saturating_add(other.passes);
    }
}

/// What a cart was called for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum KitTask {
    /// To get an object or food out of the way.
    Object,
    /// To stop a bleed.
    Bleed,
}

impl KitTask {
    /// Both, in the order of the report.
    pub const ALL: [KitTask; 2] = [KitTask::Object, KitTask::Bleed];

    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            KitTask::Object => "object",
            KitTask::Bleed => "bleed",
        }
    }
}

/// Cases that are alike for a cart.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct EndedCase {
    /// The site; `not_recorded` where the record names none.
    pub site: String,
    /// The month of the call.
    pub month: Month,
    /// What the cart was called for.
    pub task: KitTask,
    /// How the case ended.
    pub ending: CaseEnding,
    /// The items that finished it; none unless `ending` is [`CaseEnding::FinishedThere`].
    pub items: BTreeSet<CartItem>,
    /// Whether the use of an overtube, a hood or a cap is not recorded, and so not among `items`.
    pub has_blank_aids: bool,
}
