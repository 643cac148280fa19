//! What is compared with what: devices within object types, cases with and without an aid, and one
//! event with the next. Everything comes from count tables, but for the order of the events.
//!
//! Nothing here ranks: devices, object types and aids stand in the order of their lists.

mod cells;
pub mod device_rows;
pub mod devices;
pub mod drawn;
pub mod method;
pub mod over_time;
pub mod protection;
pub mod rows;
pub mod uses;

#[cfg(test)]
mod tests;

pub use crate::stats::Interval;
pub use crate::stats::difference::Difference;
pub use cells::Counted;

use crate::domain::counts::CountTables;
use crate::domain::measure::Definition;
use crate::domain::sequence::EventSequence;
use crate::findings::estimate::Settings;
use devices::{DeviceComparisons, device_comparisons};
use drawn::{DrawnShare, drawn_shares};
use over_time::{HarmOverTime, harm_over_time};
use protection::{ProtectionHarm, protection_harm};
use std::collections::BTreeMap;
use uses::{FirstUse, Switches, first_uses, switches};

const FIRST_DEVICE_SUCCESS: &str = "first_device_success";
const DEVICE_SUCCESS: &str = "device_success";
const DEVICE_SWITCH: &str = "device_switch";

/// Measures of harm that are compared and followed over time.
pub const HARM: [&str; 2] = ["adverse_event", "perforation"];

/// A device that is never a success of the first device, by definition.
const RIGID: &str = "rigid";

/// Fewest cases for a share and its interval; with fewer, only the counts are shown.
pub const FEWEST_CASES: u64 = 5;

/// Whether the order of the cases is known.
#[derive(Clone, Debug, PartialEq)]
pub enum CaseOrder {
    /// The events of measures of harm, by identifier.
    Known(BTreeMap<String, EventSequence>),
    /// Times count from each call, so that the cases of a month have no order.
    Elapsed,
    /// Counts alone were taken, which hold no order.
    NotKept,
}

impl Default for CaseOrder {
    fn default() -> CaseOrder {
        CaseOrder::Known(BTreeMap::new())
    }
}

/// Every comparison of a run.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Comparisons {
    /// Shares of devices drawn toward those of the other devices.
    pub drawn: Vec<DrawnShare>,
    /// Each device against the others; `None` when that was not counted.
    pub devices: Option<DeviceComparisons>,
    /// Which device went down first.
    pub first_uses: Vec<FirstUse>,
    /// Which device came after one that failed.
    pub switches: Switches,
    /// Harm with and without an aid.
    pub protection: Vec<ProtectionHarm>,
    /// Harm over time; `None` when the cases have no order.
    pub over_time: Option<Vec<HarmOverTime>>,
}

impl Comparisons {
    /// Every comparison of these counts.
    pub fn new(
        counts: &CountTables,
        definitions: &[Definition],
        order: &CaseOrder,
        settings: Settings,
    ) -> Comparisons {
        Comparisons {
            drawn: drawn_shares(counts, definitions, settings),
            devices: device_comparisons(counts, definitions, settings),
            first_uses: first_uses(counts, definitions, settings),
            switches: switches(counts, definitions, settings),
            protection: protection_harm(counts, definitions, settings),
            over_time: match order {
                CaseOrder::Elapsed | CaseOrder::NotKept => None,
                CaseOrder::Known(sequences) => Some(
                    HARM.iter()
                        .filter_map(|id| Some(harm_over_time(id, sequences.get(*id)?)))
                        .collect(),
                ),
            },
        }
    }

    /// The drawn share beside a finding; `None` when there is none.
    pub fn drawn_share(&self, measure: &str, by: &str, group: &str) -> Option<&DrawnShare> {
        self.drawn
            .iter()
            .find(|drawn| drawn.measure == measure && drawn.by == by && drawn.group == group)
    }
}
