//! Observed time → the counts of events, also for groups and months without an event.

use super::engine::key;
use super::groupings::Grouping;
use crate::domain::counts::{Additive, CountTables, EventsCount};
use crate::domain::exposure::{Exposure, ExposureCell};
use crate::domain::measure::Definition;

/// Adds the observed time of every group of a measure of kind `count`.
///
/// A split by site or shift shares the time out. Groups of any other split, such as by
/// presentation, were each observed all the time.
pub(super) fn add_exposure(
    tables: &mut CountTables,
    measure: &Definition,
    grouping: &Grouping,
    exposure: &Exposure,
) {
    for (cell, minutes) in exposure {
        let time = EventsCount {
            events: 0,
            exposure_minutes: *minutes,
        };
        let values: Option<Vec<_>> = grouping
            .dimensions
            .iter()
            .map(|dimension| value_of(cell, dimension))
            .collect();
        if let Some(values) = values {
            let month = Some(cell.month.to_string());
            let values: Vec<_> = values.into_iter().map(Some).chain([month]).collect();
            if let Some(key) = key(measure, grouping, &values) {
                tables.events.entry(key).or_default().add(&time);
            }
        } else {
            for (key, count) in &mut tables.events {
                let is_of_grouping = key.measure == measure.id
                    && key.by == grouping.by()
                    && key.month.is_some() == grouping.is_monthly;
                if is_of_grouping && key.month.is_none_or(|month| month == cell.month) {
                    count.add(&time);
                }
            }
        }
    }
}

/// `None` for a dimension that is none of time or place.
fn value_of(cell: &ExposureCell, dimension: &str) -> Option<String> {
    match dimension {
        "site" => Some(cell.site.clone()),
        "shift" => Some(cell.shift.code().to_string()),
        _ => None,
    }
}
