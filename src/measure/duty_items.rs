//! Uses of the items of carts, and what finished each case, by the queries in `sql/staffing`. What
//! leaves here is whole numbers by site and month.

use super::engine::{EngineError, Records};
use super::judged::{texts, whole_numbers};
use crate::domain::codes::{CaseEnding, Device, Hemostasis, NOT_RECORDED};
use crate::domain::duty::cart_item::CartItem;
use crate::domain::duty::item_counts::{
    EndedCase, ItemCounts, ItemInMonth, ItemUse, KitTask, UnknownInMonth, UnknownItem,
};
use crate::domain::month::Month;
use arrow::array::RecordBatch;
use polars::prelude::DataFrame;

const ITEM_USES: (&str, &str) = (
    "staffing/item_uses",
    include_str!("../../sql/staffing/item_uses.sql"),
);
const FINISHED_CASES: (&str, &str) = (
    "staffing/finished_cases",
    include_str!("../../sql/staffing/finished_cases.sql"),
);

/// Counts the uses of items, and the cases by what finished them.
///
/// # Errors
/// When the engine fails, or a record has no month.
pub fn item_counts(
    cases: &[RecordBatch],
    passes: &[RecordBatch],
) -> Result<ItemCounts, EngineError> {
    let records = Records::new(cases, passes);
    let mut counts = ItemCounts::default();
    let rows = |(id, sql): (&str, &str)| records.select(sql).map_err(|_| data_error(id));
    let uses = rows(ITEM_USES)?;
    add_uses(&mut counts, &uses).ok_or_else(|| data_error(ITEM_USES.0))?;
    let ended = rows(FINISHED_CASES)?;
    add_ended(&mut counts, &ended).ok_or_else(|| data_error(FINISHED_CASES.0))?;
    let mut tasks = counts.ended.keys().map(|case| case.task);
    let has_objects = tasks.any(|task| task == KitTask::Object);
    counts.lacks_passes = has_objects && passes.iter().all(|batch| batch.num_rows() == 0);
    Ok(counts)
}

fn data_error(id: &str) -> EngineError {
    EngineError::Data {
        measure: id.to_owned(),
    }
}

/// `None` when a column is not what the query says.
fn add_uses(counts: &mut ItemCounts, rows: &DataFrame) -> Option<()> {
    let (sites, months) = (texts(rows, "site")?, texts(rows, "month")?);
    let (kinds, items) = (texts(rows, "kind")?, texts(rows, "item")?);
    let (cases, passes) = (
        whole_numbers(rows, "cases")?,
        whole_numbers(rows, "passes")?,
    );
    for row in 0..rows.height() {
        let site = site(sites[row].as_deref());
        let month: Month = months[row].as_deref()?.parse().ok()?;
        let used = ItemUse {
            cases: whole(cases[row])?,
            passes: whole(passes[row])?,
        };
        match used_item(kinds[row].as_deref()?, items[row].as_deref()?)? {
            Used::Item(item) => {
                let key = ItemInMonth { item, site, month };
                counts.uses.entry(key).or_default().add(used);
            }
            Used::Unknown(what) => {
                let key = UnknownInMonth { what, site, month };
                counts.unknown.entry(key).or_default().add(used);
            }
            Used::Nothing => {}
        }
    }
    Some(())
}

/// What a use takes from the cart.
enum Used {
    Item(CartItem),
    Unknown(UnknownItem),
    /// Pushing, suction by the scope, rigid endoscopy.
    Nothing,
}

/// `None` for a word that no list holds.
fn used_item(kind: &str, word: &str) -> Option<Used> {
    let item = |item: Option<CartItem>, otherwise| item.map_or(otherwise, Used::Item);
    match kind {
        "device" if word == NOT_RECORDED => Some(Used::Unknown(UnknownItem::DeviceOfPass)),
        "device" => {
            let device = Device::ALL.iter().find(|device| device.code() == word)?;
            Some(item(CartItem::of_device(*device), Used::Nothing))
        }
        "aid" => CartItem::named(word).map(Used::Item),
        "treatment" => {
            let treatment = treatment(word)?;
            let unknown = match treatment {
                Hemostasis::Combined => UnknownItem::CombinedTreatment,
                _ => UnknownItem::OtherTreatment,
            };
            Some(item(
                CartItem::of_hemostasis(treatment),
                Used::Unknown(unknown),
            ))
        }
        _ => None,
    }
}

/// `None` when a column is not what the query says.
fn add_ended(counts: &mut ItemCounts, rows: &DataFrame) -> Option<()> {
    let (sites, months) = (texts(rows, "site")?, texts(rows, "month")?);
    let (kinds, endings) = (texts(rows, "kind")?, texts(rows, "ending")?);
    let treatments = texts(rows, "treatment")?;
    let (cases, blank_aids) = (
        whole_numbers(rows, "cases")?,
        whole_numbers(rows, "blank_aids")?,
    );
    let mut flags = Vec::new();
    for item in CartItem::all() {
        if !matches!(item, CartItem::Hemostasis(_)) {
            flags.push((item, whole_numbers(rows, item.code())?));
        }
    }
    for row in 0..rows.height() {
        let task = match kinds[row].as_deref()? {
            "object" => KitTask::Object,
            _ => KitTask::Bleed,
        };
        let code = endings[row].as_deref()?;
        let ending = *CaseEnding::ALL
            .iter()
            .find(|ending| ending.code() == code)?;
        let is_finished = ending == CaseEnding::FinishedThere;
        let items = match task {
            _ if !is_finished => Vec::new(),
            KitTask::Bleed => {
                let treatment = treatment(treatments[row].as_deref()?)?;
                vec![CartItem::of_hemostasis(treatment)?]
            }
            KitTask::Object => {
                let used = flags.iter().filter(|(_, flags)| flags[row] == Some(1));
                used.map(|(item, _)| *item).collect()
            }
        };
        let key = EndedCase {
            site: site(sites[row].as_deref()),
            month: months[row].as_deref()?.parse().ok()?,
            task,
            ending,
            items: items.into_iter().collect(),
            has_blank_aids: is_finished && task == KitTask::Object && blank_aids[row] == Some(1),
        };
        *counts.ended.entry(key).or_default() += whole(cases[row])?;
    }
    Some(())
}

fn treatment(code: &str) -> Option<Hemostasis> {
    let known = |treatment: &&Hemostasis| treatment.code() == code;
    Hemostasis::ALL.iter().find(known).copied()
}

fn site(site: Option<&str>) -> String {
    site.unwrap_or(NOT_RECORDED).to_owned()
}

fn whole(number: Option<i64>) -> Option<u64> {
    number?.try_into().ok()
}

#[cfg(test)]
mod tests;
