//! The tables `kit_cases`, `kit_lists` and `kit_items`: how cases ended for the cart, what lists of
//! items cover, and what each item adds.
//!
//! Knows the columns. Computes no number.

use crate::domain::codes::CaseEnding;
use crate::domain::counts::ALL;
use crate::domain::duty::cart_item::CartItem;
use crate::domain::tally::Tally;
use crate::export::columns::{
    Column, batch, flag, number, optional_text, optional_whole, text, whole,
};
use crate::export::table::{Table, TableError};
use crate::findings::comparisons::Interval;
use crate::findings::staffing::kit::{
    ItemGain, Kit, KitOfCases, ListShare, SmallestList, is_judged,
};

/// One row per group of cases and ending.
///
/// # Errors
/// When a count does not fit INT64.
pub fn kit_cases_table(kit: &Kit) -> Result<Table, TableError> {
    let rows: Vec<(_, (CaseEnding, u64))> = rows(kit, |group: &KitOfCases| {
        let endings = group.endings.iter();
        endings.map(|(ending, cases)| (*ending, *cases)).collect()
    });
    let mut columns = Vec::from(group_columns(&rows));
    columns.extend([
        text(
            "ending",
            "how the cases ended for the cart",
            rows.iter().map(|(_, (ending, _))| ending.code()),
        ),
        flag(
            "judged",
            "whether they are judged by what lists cover",
            rows.iter().map(|(_, (ending, _))| is_judged(*ending)),
        ),
        whole(
            "cases",
            "cases",
            "cases",
            rows.iter().map(|(_, (_, cases))| *cases),
        )?,
    ]);
    Ok(Table {
        name: "kit_cases",
        batch: batch(columns),
    })
}

/// What a list is the list of.
enum Listed<'a> {
    Today(&'a ListShare),
    Every(&'a ListShare),
    Best(&'a ListShare),
    Smallest(&'a SmallestList),
}

impl Listed<'_> {
    fn code(&self) -> &'static str {
        match self {
            Listed::Today(_) => "today",
            Listed::Every(_) => "every_item",
            Listed::Best(_) => "best_of_its_length",
            Listed::Smallest(_) => "smallest_for_goal",
        }
    }

    fn share(&self) -> Option<&ListShare> {
        match self {
            Listed::Today(list) | Listed::Every(list) | Listed::Best(list) => Some(list),
            Listed::Smallest(found) => found.list.as_ref(),
        }
    }

    fn goal(&self) -> Option<f64> {
        match self {
            Listed::Smallest(found) => Some(found.goal as f64 / 1000.0),
            _ => None,
        }
    }

    fn held_out(&self) -> Option<(Tally, Interval)> {
        match self {
            Listed::Smallest(found) => found.held_out.map(|found| (found.tally, found.interval)),
            _ => None,
        }
    }
}

/// One row per group of cases and list: that of today, every item, the best of each length, and the
/// smallest for each goal, which has no items where no list reaches it.
///
/// # Errors
/// When a count does not fit INT64.
pub fn kit_lists_table(kit: &Kit) -> Result<Table, TableError> {
    let rows = rows(kit, |group: &KitOfCases| {
        let today = group.today.iter().map(Listed::Today);
        let every = group.every.iter().map(Listed::Every);
        let best = group.best.iter().map(Listed::Best);
        let smallest = group.smallest.iter().map(Listed::Smallest);
        today.chain(every).chain(best).chain(smallest).collect()
    });
    let lists = || rows.iter().map(|(_, list)| list);
    let mut columns = Vec::from(group_columns(&rows));
    columns.extend([
        text(
            "list",
            "today, every_item, best_of_its_length or smallest_for_goal",
            lists().map(Listed::code),
        ),
        number("goal", "the goal", "fraction", lists().map(Listed::goal)),
        optional_text(
            "items",
            "codes of the items that finished a case, joined with +; empty without one, and where no \
             list reaches the goal",
            lists().map(|list| Some(joined(&list.share()?.items))),
        ),
        optional_whole(
            "length",
            "number of these items",
            "items",
            lists().map(|list| Some(list.share()?.items.len() as u64)),
        )?,
        optional_whole(
            "covered",
            "judged cases covered",
            "cases",
            lists().map(|list| Some(list.share()?.tally.events())),
        )?,
        optional_whole(
            "cases",
            "judged cases",
            "cases",
            lists().map(|list| Some(list.share()?.tally.cases())),
        )?,
    ]);
    let in_sample = || lists().map(|list| list.share().map(|list| (list.tally, list.interval)));
    columns.extend(shares("", "the first of the second", in_sample()));
    let held_out = || lists().map(Listed::held_out);
    columns.extend(shares(
        "held_out_",
        "covered by lists chosen in the same way, of the cases that did not choose them",
        held_out(),
    ));
    Ok(Table {
        name: "kit_lists",
        batch: batch(columns),
    })
}

/// One row per group of cases and item that finished one.
///
/// # Errors
/// When a count does not fit INT64.
pub fn kit_items_table(kit: &Kit) -> Result<Table, TableError> {
    let rows = rows(kit, |group: &KitOfCases| group.gains.clone());
    let gains = || rows.iter().map(|(_, gain): &(_, ItemGain)| gain);
    let mut columns = Vec::from(group_columns(&rows));
    columns.extend([
        text("item", "code of the item", gains().map(|gain| gain.item.code())),
        optional_text(
            "carried",
            "whether it is on the list of today; empty without a list",
            gains().map(|gain| gain.is_carried.map(|is| if is { "yes" } else { "no" })),
        ),
        whole(
            "finished",
            "judged cases that it finished, alone or with others",
            "cases",
            gains().map(|gain| gain.finished),
        )?,
        whole(
            "gain",
            "cases covered more with it than without it, beside the list of today, or without a list \
             beside all other items",
            "cases",
            gains().map(|gain| gain.gain),
        )?,
    ]);
    Ok(Table {
        name: "kit_items",
        batch: batch(columns),
    })
}

/// What `of` gives of each group, beside the group.
fn rows<'a, R>(kit: &'a Kit, of: impl Fn(&'a KitOfCases) -> Vec<R>) -> Vec<(&'a KitOfCases, R)> {
    let groups = kit.groups.iter();
    groups
        .flat_map(|group| of(group).into_iter().map(move |row| (group, row)))
        .collect()
}

fn group_columns<R>(rows: &[(&KitOfCases, R)]) -> [Column; 2] {
    [
        text(
            "site",
            "the site; all for all together",
            rows.iter()
                .map(|(group, _)| group.site.as_deref().unwrap_or(ALL)),
        ),
        text(
            "task",
            "object, for food and objects, or bleed",
            rows.iter().map(|(group, _)| group.task.code()),
        ),
    ]
}

fn shares(
    prefix: &str,
    meaning: &str,
    found: impl Iterator<Item = Option<(Tally, Interval)>> + Clone,
) -> [Column; 3] {
    [
        number(
            &format!("{prefix}share"),
            meaning,
            "fraction",
            found.clone().map(|found| Some(found?.0.share())),
        ),
        number(
            &format!("{prefix}low"),
            "lower limit of it (Wilson)",
            "fraction",
            found.clone().map(|found| Some(found?.1.low)),
        ),
        number(
            &format!("{prefix}high"),
            "upper limit of it (Wilson)",
            "fraction",
            found.map(|found| Some(found?.1.high)),
        ),
    ]
}

fn joined(items: &[CartItem]) -> String {
    let codes: Vec<_> = items.iter().map(|item| item.code()).collect();
    codes.join("+")
}

#[cfg(test)]
mod tests;
