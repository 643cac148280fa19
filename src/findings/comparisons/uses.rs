//! Which device went down first, and which one after a first device that failed. Counts of uses:
//! they say what was chosen, not what works.

use super::cells::{Counted, cells, distinct, groups};
use super::{DEVICE_SWITCH, FIRST_DEVICE_SUCCESS};
use crate::domain::counts::{ALL, CountTables};
use crate::domain::measure::{Definition, MeasureKind};
use crate::findings::estimate::{Settings, share_interval};
use crate::findings::finding::Method;
use crate::stats::Interval;

/// How often a device was the first for objects of one type, or at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct FirstUse {
    /// Identifier of the measure whose judged cases are counted.
    pub measure: String,
    /// What the cases have in common: `object_type` or `object_location`.
    pub dimension: &'static str,
    /// Its value.
    pub value: String,
    /// The device.
    pub device: String,
    /// Cases in which the device was the first, among all judged cases of the value.
    pub uses: Counted,
    /// How the interval is made.
    pub method: Method,
    /// Interval of the share of uses.
    pub interval: Option<Interval>,
}

/// First uses by object type, then by location; values and devices in list order.
pub(super) fn first_uses(
    counts: &CountTables,
    definitions: &[Definition],
    settings: Settings,
) -> Vec<FirstUse> {
    let Some(definition) = share(definitions, FIRST_DEVICE_SUCCESS) else {
        return Vec::new();
    };
    let (method, interval) = share_interval(&definition.id, settings);
    let mut uses = Vec::new();
    for dimension in ["object_type", "object_location"] {
        let cells = cells(&counts.shares, definition, "device", dimension);
        for value in distinct(cells.iter().map(|cell| cell.second)) {
            let judged = || {
                let of_value = cells.iter().filter(|cell| cell.second == value);
                of_value.filter(|cell| cell.count.eligible > 0)
            };
            let cases = judged().map(|cell| cell.count.eligible).sum();
            uses.extend(judged().map(|cell| {
                let uses = Counted {
                    events: cell.count.eligible,
                    cases,
                };
                FirstUse {
                    measure: definition.id.clone(),
                    dimension,
                    value: value.to_owned(),
                    device: cell.first.to_owned(),
                    uses,
                    method,
                    interval: uses.tally().map(|tally| interval(tally, settings.level)),
                }
            }));
        }
    }
    uses
}

/// The devices that came next after a first device that failed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Switches {
    /// Each pair that came up, the first device leading, both in list order.
    pub pairs: Vec<Switch>,
    /// Cases with more than one device in which the order or the end is not known.
    pub not_judged: u64,
}

/// One device after another.
#[derive(Clone, Debug, PartialEq)]
pub struct Switch {
    /// Identifier of the measure.
    pub measure: String,
    /// The device that failed.
    pub first: String,
    /// The device that came next.
    pub next: String,
    /// Cases in which the next device got the object out, among cases with this pair.
    pub out: Counted,
    /// How the interval is made.
    pub method: Method,
    /// Interval of that share.
    pub interval: Option<Interval>,
    /// Cases in which the first device failed and any next device is known.
    pub after_first: u64,
}

/// The switches; none when they were not counted.
pub(super) fn switches(
    counts: &CountTables,
    definitions: &[Definition],
    settings: Settings,
) -> Switches {
    let Some(definition) = share(definitions, DEVICE_SWITCH) else {
        return Switches::default();
    };
    let mut cells = cells(&counts.shares, definition, "device", "next_device");
    cells.retain(|cell| cell.count.eligible > 0);
    let place = |device| crate::findings::list_order::place("device", device);
    cells.sort_by_key(|cell| {
        (
            place(cell.first),
            cell.first,
            place(cell.second),
            cell.second,
        )
    });
    let after = |device: &str| {
        let of_device = cells.iter().filter(|cell| cell.first == device);
        of_device.map(|cell| cell.count.eligible).sum()
    };
    let (method, interval) = share_interval(&definition.id, settings);
    let pairs = cells
        .iter()
        .map(|cell| {
            let out = Counted::from(cell.count);
            Switch {
                measure: definition.id.clone(),
                first: cell.first.to_owned(),
                next: cell.second.to_owned(),
                out,
                method,
                interval: out.tally().map(|tally| interval(tally, settings.level)),
                after_first: after(cell.first),
            }
        })
        .collect();
    let all = groups(&counts.shares, definition, ALL);
    Switches {
        pairs,
        not_judged: all.map(|(_, count)| count.excluded).sum(),
    }
}

fn share<'a>(definitions: &'a [Definition], id: &str) -> Option<&'a Definition> {
    definitions
        .iter()
        .find(|definition| definition.id == id && definition.kind == MeasureKind::Share)
}
