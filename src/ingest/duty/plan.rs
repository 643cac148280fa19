//! `duty.toml`: what a site assumes and asks of its staffing. Every key may be left out; then the
//! default of [`DutyPlan`] holds.

use super::entries::{Entries, Entry, Fault, Owner};
use super::scenario::scenarios;
use super::week::stretch;
use super::{listed, nearest, of_the_known};
use crate::domain::duty::cart_item::CartItem;
use crate::domain::duty::plan::{
    Arrivals, CarriedItem, CartRules, DutyPlan, DutyRules, SimulationRules,
};
use crate::ingest::blocks::line_ends;
use crate::ingest::error::{IngestError, MappingFault};
use crate::ingest::mapping::place;
use std::path::Path;
use toml::de::DeTable;

/// Minutes of a day.
const DAY: u16 = 24 * 60;

/// A longer night is a slip of the pen, such as 08:00-07:00.
const LONGEST_NIGHT: u16 = 16 * 60;

/// A duty plan that was read from a file.
#[derive(Clone, Debug, PartialEq)]
pub struct DutyPlanFile {
    /// What the file says, and the default of what it leaves out.
    pub plan: DutyPlan,
    /// The bytes of the file, for its hash.
    pub bytes: Vec<u8>,
}

/// Reads and checks a duty plan.
///
/// # Errors
/// When the file cannot be read, is not TOML, has an unknown key, or a value outside its range.
pub fn read_plan(path: &Path) -> Result<DutyPlanFile, IngestError> {
    let bytes = std::fs::read(path).map_err(|source| IngestError::unreadable(path, source))?;
    let plan = plan(&bytes).map_err(|(line_number, fault)| IngestError::Duty {
        path: path.to_path_buf(),
        line_number,
        fault,
    })?;
    Ok(DutyPlanFile { plan, bytes })
}

/// The plan, or what is wrong on which line.
fn plan(bytes: &[u8]) -> Result<DutyPlan, (Option<u64>, MappingFault)> {
    const AS_TOML: &str = "the file is TOML: `[calls]` on a line of its own, `merge_minutes = 60` below it; every key may be left out";
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let line_number = line_ends(&bytes[..error.valid_up_to()]) + 1;
        let fault = MappingFault::new("holds bytes that are not UTF-8 text", AS_TOML);
        (Some(line_number), fault)
    })?;
    let text = text.trim_start_matches('\u{feff}');
    let table = DeTable::parse(text)
        .map_err(|error| (None, MappingFault::new(place(text, &error), AS_TOML)))?;
    plan_of(table.get_ref()).map_err(|Fault { offset, fault }| {
        let before = text.as_bytes().get(..offset).unwrap_or_default();
        (Some(line_ends(before) + 1), fault)
    })
}

fn plan_of(table: &DeTable<'_>) -> Result<DutyPlan, Fault> {
    const KEYS: [&str; 4] = ["calls", "cart", "simulation", "scenario"];
    let file = Entries::of(Owner::File, table, 0, &KEYS)?;
    let mut plan = DutyPlan::default();
    if let Some(entry) = file.get("calls") {
        read_calls(&entry, &mut plan.rules)?;
    }
    if let Some(entry) = file.get("cart") {
        read_cart(&entry, &mut plan.cart)?;
    }
    if let Some(entry) = file.get("simulation") {
        read_simulation(&entry, &mut plan.simulation)?;
    }
    if let Some(entry) = file.get("scenario") {
        plan.scenarios = scenarios(&entry)?;
    }
    Ok(plan)
}

fn read_calls(entry: &Entry<'_>, rules: &mut DutyRules) -> Result<(), Fault> {
    const KEYS: [&str; 4] = [
        "merge_minutes",
        "wrap_up_minutes",
        "night",
        "min_rest_hours",
    ];
    let calls = entry.section("calls", &KEYS)?;
    if let Some(minutes) = calls.get("merge_minutes") {
        rules.merge_minutes = minutes.whole(
            0..=720,
            "a call up to so many minutes after the team was free again belongs to the same call-back; 60 without this key",
        )?;
    }
    if let Some(minutes) = calls.get("wrap_up_minutes") {
        rules.wrap_up_minutes = minutes.whole(
            0..=720,
            "for so many minutes a team is bound after the scope is out; 30 without this key",
        )?;
    }
    if let Some(night) = calls.get("night") {
        let hint = "write the night on the local clock, at most 16 hours, for example night = \"22:00-07:00\"";
        let is_night = |(from, until): &(u16, u16)| {
            from != until && (until + DAY - from) % DAY <= LONGEST_NIGHT
        };
        let (from, until) = stretch(night.text(hint)?)
            .filter(is_night)
            .ok_or_else(|| night.fault("is not a stretch from one time of day to another", hint))?;
        (rules.night_from, rules.night_until) = (from, until);
    }
    if let Some(hours) = calls.get("min_rest_hours") {
        let hint = "how many hours lie between a call-back and the next shift where rest is not short? 8 without this key";
        rules.min_rest_minutes = hours.whole(0..=24, hint)? * 60;
    }
    Ok(())
}

fn read_cart(entry: &Entry<'_>, cart: &mut CartRules) -> Result<(), Fault> {
    let keys = entry.section("cart", &["lead_days", "service_level", "items"])?;
    if let Some(days) = keys.get("lead_days") {
        let hint = "how many days pass from the use of an item until it is on the cart again? 7 without this key";
        cart.lead_days = u32::try_from(days.whole(1..=365, hint)?).expect("at most 365");
    }
    if let Some(level) = keys.get("service_level") {
        cart.service_level = level.number(
            0.5..=0.9999,
            "the probability that the stock lasts until it is filled again; for 99 percent write 0.99",
        )?;
    }
    if let Some(items) = keys.get("items") {
        for (code, entry) in items.open_section("cart.items")?.iter() {
            let item = CartItem::named(code).ok_or_else(|| unknown_item(code, &entry))?;
            cart.items.insert(item, carried(item, &entry)?);
        }
    }
    Ok(())
}

fn unknown_item(code: &str, entry: &Entry<'_>) -> Fault {
    let codes = || CartItem::all().map(CartItem::code);
    let there_are = format!("the items are: {}", listed(codes()));
    let hint = of_the_known(nearest(code, codes()), &there_are);
    entry.fault("is no item of a cart", hint)
}

fn carried(item: CartItem, entry: &Entry<'_>) -> Result<CarriedItem, Fault> {
    let code = item.code();
    let hint = format!(
        "write how many pieces the cart carries today, for example {code} = {{ carried = 3, shelf_life_days = 1095 }}"
    );
    let table = entry
        .table()
        .ok_or_else(|| entry.fault("is not a table in braces", hint.as_str()))?;
    let owner = Owner::Table(format!("cart.items.{code}"));
    let keys = Entries::of(
        owner,
        table,
        entry.offset(),
        &["carried", "shelf_life_days"],
    )?;
    let pieces = keys
        .get("carried")
        .ok_or_else(|| keys.fault("has no `carried`", hint.as_str()))?
        .whole(0..=999, &hint)?;
    let days = keys.get("shelf_life_days").map(|days| {
        let hint = "how many days pass from delivery until a piece expires? Take the key out where it does not";
        Ok(u32::try_from(days.whole(1..=7300, hint)?).expect("at most 7300"))
    });
    Ok(CarriedItem {
        carried: u16::try_from(pieces).expect("at most 999"),
        shelf_life_days: days.transpose()?,
    })
}

fn read_simulation(entry: &Entry<'_>, rules: &mut SimulationRules) -> Result<(), Fault> {
    let keys = entry.section("simulation", &["years", "seed", "arrivals"])?;
    if let Some(years) = keys.get("years") {
        let hint = "more years make the numbers of a scenario surer; 1000 without this key";
        rules.years = u32::try_from(years.whole(1..=100_000, hint)?).expect("at most 100,000");
    }
    if let Some(seed) = keys.get("seed") {
        let hint = "any such number will do; the same seed gives the same numbers";
        rules.seed = seed.whole(0..=i64::MAX, hint)?.unsigned_abs();
    }
    if let Some(arrivals) = keys.get("arrivals") {
        rules.arrivals =
            arrivals.word(&[("fitted", Arrivals::Fitted), ("weeks", Arrivals::Weeks)])?;
    }
    Ok(())
}

#[cfg(test)]
mod tests;
