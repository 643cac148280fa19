//! How often each item of the cart is used, how many of it a cart must carry so that it seldom runs
//! out before it is filled up again, and what today's list comes to.
//!
//! A cart belongs to a site, so pars are by site; all sites together have rates alone. **A piece.**
//! What is stocked is counted in cases in which the item was used: several passes of one case may be
//! made with one piece, and a record of passes does not say when a new one was opened. So pars are
//! too low where every pass takes a new piece; the passes for each case stand beside them.
//!
//! **Not known.** Without a single pass of any case, which devices were used is not known, and nothing
//! is said of them but what the floor asks for. Of few days, nothing is said by use.

mod demand;
mod floor;

use super::cart_floor::{CartFloor, cart_floor};
use crate::domain::counts::{CountTables, Key};
use crate::domain::duty::cart_item::CartItem;
use crate::domain::duty::item_counts::{ItemCounts, ItemUse, UnknownItem};
use crate::domain::duty::plan::{CarriedItem, CartRules};
use crate::domain::exposure::Exposure;
use crate::domain::month::Month;
use crate::findings::estimate::{self, Settings};
use crate::findings::finding::Finding;
use crate::stats::par::{lost_sales_risk, predictive_shortage, predictive_unused};
use crate::stats::rate::garwood;
use demand::MonthlyUse;
use floor::raise_to_floor;
use std::collections::{BTreeMap, BTreeSet};

pub use crate::stats::rate::Rate;
pub use demand::{BURSTS_FROM, FEWEST_CASES, FEWEST_MONTHS, ParByUse, ParMethod};

/// Days of a site below which neither a par by use nor a risk is told: with fewer, the prior alone
/// would ask for pieces of what was never used. A limit of this project.
pub const FEWEST_DAYS: f64 = 180.0;

/// Days that rates are given per.
const RATE_DAYS: f64 = 30.0;

const MINUTES_IN_A_DAY: f64 = 24.0 * 60.0;

/// The measure of devices that failed.
const DEVICE_MALFUNCTION: &str = "device_malfunction";

/// What the records say of the stock of carts.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    /// How the cart is filled, and what it carries today.
    pub rules: CartRules,
    /// Confidence level of the intervals.
    pub level: f64,
    /// First and last month observed; `None` when nothing was.
    pub months: Option<(Month, Month)>,
    /// Every site by name.
    pub sites: Vec<SiteStock>,
    /// All sites together.
    pub all: Vec<ItemRate>,
    /// Days observed, of all sites together.
    pub days: f64,
    /// Uses of items that are not known.
    pub unknown: BTreeMap<UnknownItem, ItemUse>,
    /// Of each device how often it failed in a pass; empty where nobody records that.
    pub malfunctions: Vec<(CartItem, Finding)>,
    /// What a cart carries whatever its use.
    pub floor: Vec<CartFloor>,
    /// Whether not one pass is recorded, so that the use of devices is not known.
    pub lacks_passes: bool,
}

/// The cart of one site.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteStock {
    /// The site.
    pub site: String,
    /// Days observed.
    pub days: f64,
    /// Every item in the order of the list.
    pub items: Vec<ItemStock>,
}

/// How often an item was used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ItemRate {
    /// The item.
    pub item: CartItem,
    /// Cases and passes; `None` where they are not known, which is other news than no use.
    pub used: Option<ItemUse>,
    /// Cases in which it was used per 30 days of one site, with the exact Poisson interval; `None`
    /// where nothing was observed, or uses are not known.
    pub per_30_days: Option<Rate>,
}

impl ItemRate {
    /// Cases in which it was used, as far as is known.
    pub fn cases(&self) -> u64 {
        self.used.map_or(0, |used| used.cases)
    }
}

/// An item on the cart of a site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ItemStock {
    /// How often it was used.
    pub rate: ItemRate,
    /// How many to carry; `None` where no floor asks for it and nothing is said by use: its uses are
    /// not known, the days are few, or the number would be beyond any count.
    pub par: Option<Par>,
    /// What is carried today, where the plan says so.
    pub today: Option<Today>,
}

/// How many of an item to carry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Par {
    /// By use alone; `None` where nothing is said by use.
    pub by_use: Option<ParByUse>,
    /// The row of the floor that asks for it where use does not, or for more than use does, by its
    /// place in the table.
    pub floor: Option<usize>,
    /// How many to carry: by use, or for the floor where that is more.
    pub pieces: u64,
    /// What of these would expire; `None` where the plan gives no shelf life, or nothing is said by
    /// use.
    pub expiry: Option<Expiry>,
}

/// What is carried today comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Today {
    /// The item on the list.
    pub carried: CarriedItem,
    /// Probability that more cases need it within the days until it is filled up than are carried,
    /// the rate being known only as well as the records tell; `None` where nothing is said by use.
    pub shortage: Option<f64>,
    /// Probability that a case finds none, when each piece is ordered as it is used and the rate is
    /// that of the records (Erlang's loss formula); `None` also without a use, since a rate of 0 would
    /// make the risk 0 as well.
    pub found_none: Option<f64>,
    /// What of it would expire; `None` where the plan gives no shelf life, or nothing is said by use.
    pub expiry: Option<Expiry>,
}

/// What of a stock would expire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expiry {
    /// Days from delivery until it expires.
    pub shelf_life_days: u32,
    /// Cases that use it in that time, on average.
    pub expected_uses: f64,
    /// Pieces that expire in that time, on average, used oldest first.
    pub unused: f64,
}

impl ItemStock {
    /// Whether there is something to say of it: it was used, is carried today, or a floor asks for
    /// it. Of few days of records, a par by use alone would ask for one of every item there is.
    pub fn is_listed(&self) -> bool {
        let is_carried = self.today.is_some_and(|today| today.carried.carried > 0);
        let has_floor = self.par.is_some_and(|par| par.floor.is_some());
        self.rate.cases() > 0 || is_carried || has_floor
    }

    /// Whether fewer are carried today than should be; `false` where either is not known.
    pub fn is_short(&self) -> bool {
        let numbers = self.par.zip(self.today);
        numbers.is_some_and(|(par, today)| u64::from(today.carried.carried) < par.pieces)
    }
}

impl SiteStock {
    /// Whether too few days were observed to say anything by use.
    pub fn has_few_days(&self) -> bool {
        self.days < FEWEST_DAYS
    }

    /// The items of which there is something to say.
    pub fn listed(&self) -> impl Iterator<Item = &ItemStock> {
        self.items.iter().filter(|stock| stock.is_listed())
    }

    /// Those of them of which fewer are carried today than should be, the one that is likeliest to run
    /// out first.
    pub fn short(&self) -> Vec<&ItemStock> {
        let shortage = |stock: &ItemStock| stock.today.and_then(|today| today.shortage);
        let mut short: Vec<_> = self.listed().filter(|stock| stock.is_short()).collect();
        short.sort_by(|first, second| {
            let (first, second) = (shortage(first), shortage(second));
            second.unwrap_or(0.0).total_cmp(&first.unwrap_or(0.0))
        });
        short
    }

    /// How many different items to carry.
    pub fn kinds(&self) -> u64 {
        let to_carry = |stock: &&ItemStock| stock.par.is_some_and(|par| par.pieces > 0);
        self.listed().filter(to_carry).count() as u64
    }

    /// Pieces of all of them to carry.
    pub fn pieces(&self) -> u64 {
        self.listed()
            .filter_map(|stock| Some(stock.par?.pieces))
            .sum()
    }
}

/// Uses of items beside the days observed, the pars of each site, and what is carried today.
pub fn stock(
    items: &ItemCounts,
    exposure: &Exposure,
    counts: &CountTables,
    rules: &CartRules,
    settings: Settings,
) -> Stock {
    let floor = cart_floor();
    let used: BTreeSet<CartItem> = items.uses.keys().map(|key| key.item).collect();
    // The cap is a field of a case as well.
    let is_known = |item: CartItem| {
        let is_of_passes = matches!(item, CartItem::Device(_)) && !used.contains(&item);
        !(items.lacks_passes && is_of_passes)
    };
    let watched = watched_minutes(exposure);
    let months = watched.values().flat_map(BTreeMap::keys);
    let months = months.clone().min().copied().zip(months.max().copied());
    let mut sites = Vec::new();
    let mut all: BTreeMap<CartItem, ItemUse> = BTreeMap::new();
    let mut all_minutes = 0;
    for (site, minutes_of_months) in &watched {
        let minutes: u64 = minutes_of_months.values().sum();
        let days = in_days(minutes);
        let of_months = minutes_of_months.iter();
        let days_of_months = of_months
            .map(|(month, minutes)| (*month, in_days(*minutes)))
            .collect();
        let mut of_site = Vec::new();
        for item in CartItem::all() {
            let monthly = MonthlyUse::of(items, item, site, &days_of_months);
            all.entry(item).or_default().add(monthly.used);
            let monthly = Some(monthly).filter(|_| is_known(item));
            of_site.push(item_stock(item, monthly.as_ref(), days, rules, settings));
        }
        raise_to_floor(&mut of_site, &floor, days, rules);
        all_minutes += minutes;
        sites.push(SiteStock {
            site: (*site).to_owned(),
            days,
            items: of_site,
        });
    }
    let mut unknown = BTreeMap::<_, ItemUse>::new();
    for (key, used) in &items.unknown {
        unknown.entry(key.what).or_default().add(*used);
    }
    let all = all.into_iter();
    let all_days = in_days(all_minutes);
    Stock {
        rules: rules.clone(),
        level: settings.level.fraction(),
        months,
        sites,
        all: all
            .map(|(item, used)| {
                let used = Some(used).filter(|_| is_known(item));
                item_rate(item, used, all_days, settings)
            })
            .collect(),
        days: all_days,
        unknown,
        malfunctions: malfunctions(counts, settings),
        floor,
        lacks_passes: items.lacks_passes,
    }
}

/// Minutes observed by site and month.
fn watched_minutes(exposure: &Exposure) -> BTreeMap<&str, BTreeMap<Month, u64>> {
    let mut watched = BTreeMap::<&str, BTreeMap<Month, u64>>::new();
    for (cell, minutes) in &exposure.by_shift {
        let months = watched.entry(&cell.site).or_default();
        *months.entry(cell.month).or_default() += *minutes;
    }
    watched
}

fn in_days(minutes: u64) -> f64 {
    minutes as f64 / MINUTES_IN_A_DAY
}

fn item_rate(item: CartItem, used: Option<ItemUse>, days: f64, settings: Settings) -> ItemRate {
    ItemRate {
        item,
        used,
        per_30_days: used.and_then(|used| garwood(used.cases, days / RATE_DAYS, settings.level)),
    }
}

/// `monthly` is none where the uses of the item are not known.
fn item_stock(
    item: CartItem,
    monthly: Option<&MonthlyUse>,
    days: f64,
    rules: &CartRules,
    settings: Settings,
) -> ItemStock {
    let lead = f64::from(rules.lead_days);
    let judged = monthly.filter(|_| days >= FEWEST_DAYS);
    let cases = judged.map(|monthly| monthly.used.cases);
    let by_use = judged.and_then(|monthly| monthly.par(days, lead, rules.service_level));
    let par = by_use.zip(cases).map(|(found, cases)| Par {
        by_use: Some(found),
        floor: None,
        pieces: found.pieces,
        expiry: expiry(cases, days, shelf_life(rules, item), found.pieces),
    });
    let today = carried_today(rules, item).map(|carried| {
        let pieces = u64::from(carried.carried);
        let used = cases.filter(|cases| *cases > 0);
        Today {
            carried,
            shortage: cases.and_then(|cases| predictive_shortage(cases, days, lead, pieces)),
            found_none: used
                .and_then(|cases| lost_sales_risk(cases as f64 / days * lead, carried.carried)),
            expiry: cases.and_then(|cases| expiry(cases, days, carried.shelf_life_days, pieces)),
        }
    });
    ItemStock {
        rate: item_rate(item, monthly.map(|monthly| monthly.used), days, settings),
        par,
        today,
    }
}

/// What is on today's list; an item that a list does not name is not carried. `None` without a list.
fn carried_today(rules: &CartRules, item: CartItem) -> Option<CarriedItem> {
    const NOT_CARRIED: CarriedItem = CarriedItem {
        carried: 0,
        shelf_life_days: None,
    };
    let listed = rules.items.get(&item).copied();
    listed.or_else(|| (!rules.items.is_empty()).then_some(NOT_CARRIED))
}

fn shelf_life(rules: &CartRules, item: CartItem) -> Option<u32> {
    rules.items.get(&item)?.shelf_life_days
}

/// `None` without a shelf life or observed days, or for a stock beyond any cart.
fn expiry(cases: u64, days: f64, shelf_life_days: Option<u32>, pieces: u64) -> Option<Expiry> {
    let shelf_life_days = shelf_life_days?;
    let shelf_life = f64::from(shelf_life_days);
    let pieces = u16::try_from(pieces).ok()?;
    Some(Expiry {
        shelf_life_days,
        expected_uses: cases as f64 / days * shelf_life,
        unused: predictive_unused(cases, days, shelf_life, pieces)?,
    })
}

/// How often each device failed in a pass, passes of one case taken as belonging together.
fn malfunctions(counts: &CountTables, settings: Settings) -> Vec<(CartItem, Finding)> {
    let of_devices =
        |key: &Key| key.measure == DEVICE_MALFUNCTION && key.by == "device" && key.month.is_none();
    let counted = counts.passes.iter().filter(|(key, _)| of_devices(key));
    let mut found: Vec<_> = counted
        .filter(|(_, count)| !count.cases.is_empty())
        .filter_map(|(key, count)| {
            let item = CartItem::named(&key.group)?;
            Some((item, estimate::passes(key, count, settings)))
        })
        .collect();
    found.sort_by_key(|(item, _)| *item);
    found
}

#[cfg(test)]
mod tests;
