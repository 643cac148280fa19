//! What the floor adds to the pars by use.

use super::{ItemStock, Par, expiry, shelf_life};
use crate::domain::duty::cart_item::CartItem;
use crate::domain::duty::plan::CartRules;
use crate::findings::staffing::cart_floor::CartFloor;

/// Raises pars to the floor, class by class. Where the pars by use of the items that are used or
/// carried come to less than the floor of their class, the rest falls to the item of the class that
/// is used most, or else carried today, or else the first one. An item of which nothing is said by use
/// counts as none.
pub(super) fn raise_to_floor(
    items: &mut [ItemStock],
    floor: &[CartFloor],
    days: f64,
    rules: &CartRules,
) {
    for (place, row) in floor.iter().enumerate() {
        let is_of_class = |stock: &ItemStock| row.items.contains(&stock.rate.item);
        let listed = items
            .iter()
            .filter(|stock| is_of_class(stock) && stock.is_listed());
        let by_use: u64 = listed
            .filter_map(|stock| Some(stock.par?.by_use?.pieces))
            .sum();
        let lacking = row.least.saturating_sub(by_use);
        if lacking == 0 {
            continue;
        }
        let rank = |item: CartItem| row.items.iter().position(|known| *known == item);
        let chosen = items.iter_mut().filter(|stock| is_of_class(stock));
        let chosen = chosen.max_by_key(|stock| {
            let is_carried = stock.today.is_some_and(|today| today.carried.carried > 0);
            let place = rank(stock.rate.item).unwrap_or(usize::MAX);
            (stock.rate.cases(), is_carried, usize::MAX - place)
        });
        if let Some(stock) = chosen {
            let known = if stock.is_listed() { by_use } else { 0 };
            let (cases, item) = (stock.rate.cases(), stock.rate.item);
            let of_item = stock.par.and_then(|par| par.by_use);
            let own = of_item.map_or(0, |found| found.pieces);
            let pieces = own.max(own.min(known) + lacking);
            stock.par = Some(Par {
                by_use: of_item,
                floor: Some(place),
                pieces,
                expiry: of_item.and_then(|_| expiry(cases, days, shelf_life(rules, item), pieces)),
            });
        }
    }
}
