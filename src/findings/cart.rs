//! What was missing from carts, in judged carts: a rate over time would follow how densely calls come,
//! not how carts are stocked. Knows the count tables of two measures, and no others.

use super::estimate::{Settings, share};
use super::finding::{Finding, Findings};
use crate::domain::counts::{ALL, CountTables, Key, ShareCount};

/// The share of judged carts that were complete.
const CART_COMPLETE: &str = "cart_complete";
/// The classes that were missing, one a case.
const STOCK_OUTS: &str = "stock_outs";
/// Splits of carts that were not complete.
const SPLITS: [&str; 2] = [ALL, "shift"];
/// The split by class.
const CLASSES: &str = "missing_item";

/// Shares of judged carts over the whole period, under the name of the stock-outs: those that were
/// not complete, over all and by shift, and those from which each class was missing. A class counts
/// one case each, and a case with a class is one with a judged cart.
pub fn missing_from_carts(counts: &CountTables, settings: Settings) -> Findings {
    let judged = |key: &Key| key.measure == CART_COMPLETE && key.month.is_none();
    let carts = || counts.shares.iter().filter(move |(key, _)| judged(key));
    let mut found: Vec<Finding> = carts()
        .filter(|(key, _)| SPLITS.contains(&key.by.as_str()))
        .map(|(key, count)| {
            let missing = ShareCount {
                hit: count.eligible.saturating_sub(count.hit),
                ..*count
            };
            let key = Key {
                measure: STOCK_OUTS.to_owned(),
                ..key.clone()
            };
            share(&key, missing, settings)
        })
        .collect();
    // Without judged carts the classes are counts alone.
    let all = carts().find(|(key, _)| key.by == ALL);
    let all = all.map_or_else(ShareCount::default, |(_, count)| *count);
    let classes = counts
        .events
        .iter()
        .filter(|(key, _)| key.measure == STOCK_OUTS && key.by == CLASSES && key.month.is_none());
    found.extend(classes.map(|(key, events)| {
        let missing = ShareCount {
            hit: events.events,
            ..all
        };
        share(key, missing, settings)
    }));
    Findings::new(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::counts::EventsCount;
    use crate::findings::finding::{Address, Statistic};
    use crate::findings::tests::group_key as key;

    #[test]
    fn stock_outs_and_classes_are_counted_in_judged_carts() {
        let mut counts = CountTables::default();
        for (by, group, eligible, hit) in [
            (ALL, ALL, 50, 42),
            ("shift", "in_hours", 20, 19),
            ("site", "North", 50, 42),
        ] {
            let count = ShareCount {
                eligible,
                hit,
                excluded: 3,
            };
            counts.shares.insert(key(CART_COMPLETE, by, group), count);
        }
        for (by, group, events) in [
            (ALL, ALL, 8),
            (CLASSES, "overtube", 5),
            ("shift", "in_hours", 1),
        ] {
            let count = EventsCount {
                events,
                exposure_minutes: 1_000,
            };
            counts.events.insert(key(STOCK_OUTS, by, group), count);
        }
        let found = missing_from_carts(&counts, Settings::default());
        let seen: Vec<_> = found
            .iter()
            .map(|finding| {
                let numbers = (finding.events, finding.cases, finding.excluded);
                (finding.by.as_str(), finding.group.as_str(), numbers)
            })
            .collect();
        assert_eq!(
            seen,
            [
                (ALL, ALL, (8, 50, 3)),
                (CLASSES, "overtube", (5, 50, 3)),
                ("shift", "in_hours", (1, 20, 3)),
            ]
        );
        let all = found.overall(STOCK_OUTS, None, Statistic::Share);
        assert_eq!(all.and_then(|finding| finding.estimate), Some(0.16));
        let site = Address {
            measure: STOCK_OUTS,
            by: "site",
            group: "North",
            month: None,
            statistic: Statistic::Share,
        };
        assert_eq!(found.at(site), None);
    }
}
