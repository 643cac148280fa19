//! What a cart carries whatever its use, because a guideline's window or the protection of a patient
//! may ask for it in any night; as data in `sql/cart_floor.csv`.
//!
//! The rows are a proposal of this project and no standard: local policy decides.

use crate::domain::duty::cart_item::CartItem;
use crate::domain::duty::item_counts::KitTask;

const TABLE: &str = include_str!("../../../sql/cart_floor.csv");

/// A class of items of which the cart carries some in any case.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CartFloor {
    /// What the class is called.
    pub class: &'static str,
    /// The items, any of which will do; the first stands for them where none is used or carried.
    pub items: Vec<CartItem>,
    /// Pieces, of all these items together.
    pub least: u64,
    /// What may need it.
    pub needed_for: &'static str,
    /// Where that is said; empty for common practice.
    pub source: &'static str,
    /// `verified` in the source, `from memory`, or `common practice`.
    pub status: &'static str,
}

impl CartFloor {
    /// Whether objects or bleeds need the class.
    pub fn task(&self) -> KitTask {
        let is_for_bleeds = |item: &CartItem| matches!(item, CartItem::Hemostasis(_));
        if self.items.iter().any(is_for_bleeds) {
            KitTask::Bleed
        } else {
            KitTask::Object
        }
    }
}

/// The built-in floor, in the order of the table.
pub fn cart_floor() -> Vec<CartFloor> {
    let rows = TABLE.lines().skip(1).map(row);
    rows.collect::<Option<_>>()
        .expect("the built-in table, which a test reads")
}

/// No cell of the table holds a comma.
fn row(line: &'static str) -> Option<CartFloor> {
    let cells = <[&str; 6]>::try_from(line.split(',').collect::<Vec<_>>()).ok()?;
    let [class, items, least, needed_for, source, status] = cells;
    let items = items.split(' ').map(CartItem::named);
    Some(CartFloor {
        class,
        items: items.collect::<Option<_>>()?,
        least: least.parse().ok()?,
        needed_for,
        source,
        status,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_row_names_items_once_and_where_it_comes_from() {
        let floor = cart_floor();
        let mut seen = BTreeSet::new();
        for row in &floor {
            assert!(row.least >= 1 && !row.items.is_empty(), "{}", row.class);
            assert!(row.items.iter().all(|item| seen.insert(*item)));
            assert!(["verified", "from memory", "common practice"].contains(&row.status));
            let is_sourced = !row.source.is_empty();
            assert_eq!(is_sourced, row.status != "common practice", "{}", row.class);
        }
        let of = |task| floor.iter().filter(move |row| row.task() == task).count();
        assert_eq!((of(KitTask::Object), of(KitTask::Bleed)), (5, 6));
        // Both protections against a sharp edge, and something to stop a bleed.
        assert!(seen.contains(&CartItem::Overtube) && seen.contains(&CartItem::Hood));
        let is_for_bleeds = |item: &&CartItem| matches!(item, CartItem::Hemostasis(_));
        assert!(seen.iter().filter(is_for_bleeds).count() >= 6);
    }
}
