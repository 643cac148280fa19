//! Observed time → the counts of events, also for groups and months without an event.

use super::grouped::key;
use super::groupings::Grouping;
use crate::domain::codes::Shift;
use crate::domain::counts::{Additive, CountTables, EventsCount, Key};
use crate::domain::exposure::Exposure;
use crate::domain::fields::code_list;
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use std::collections::BTreeMap;

/// Adds the observed time of every group of a measure of kind `count`.
///
/// A split by site or shift shares the time out, and one by weekday and hour that of the calendar.
/// Groups of any other split, such as by presentation, were each observed all the time; a coded one
/// gets all its groups, "not recorded" among them, so that tables of two sites add up also where one of
/// them had no such event.
pub(super) fn add_exposure(
    tables: &mut CountTables,
    measure: &Definition,
    grouping: &Grouping,
    exposure: &Exposure,
) {
    if grouping.dimensions == HOUR_OF_WEEK {
        add_hours_of_week(tables, measure, grouping, exposure);
        return;
    }
    let mut observed = BTreeMap::<Key, EventsCount>::new();
    for (cell, minutes) in watched(exposure, &grouping.dimensions) {
        let time = EventsCount {
            events: 0,
            exposure_minutes: minutes,
        };
        for mut values in groups_of(&cell, &grouping.dimensions) {
            values.push(Some(cell.month.to_string()));
            if let Some(key) = key(measure, grouping, &values) {
                observed.entry(key).or_default().add(&time);
            }
        }
    }
    for (key, time) in observed {
        tables.events.entry(key).or_default().add(&time);
    }
}

/// The split that has observed time of its own.
pub(super) const HOUR_OF_WEEK: [&str; 2] = ["weekday", "hour"];

/// Adds the observed time of every hour of the week, over all sites.
fn add_hours_of_week(
    tables: &mut CountTables,
    measure: &Definition,
    grouping: &Grouping,
    exposure: &Exposure,
) {
    let sites = exposure.sites_by_month();
    for (cell, minutes) in &exposure.by_hour {
        let values = [
            Some(cell.weekday.code().to_string()),
            Some(cell.hour.to_string()),
            Some(cell.month.to_string()),
        ];
        if let Some(key) = key(measure, grouping, &values) {
            let time = EventsCount {
                events: 0,
                exposure_minutes: minutes * sites.get(&cell.month).copied().unwrap_or(0),
            };
            tables.events.entry(key).or_default().add(&time);
        }
    }
}

/// Observed time of one month, at one site and in one shift where the split tells them apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Watched<'a> {
    month: Month,
    site: Option<&'a str>,
    shift: Option<Shift>,
}

/// The observed time, added up over what the split does not tell apart.
fn watched<'a>(exposure: &'a Exposure, dimensions: &[String]) -> BTreeMap<Watched<'a>, u64> {
    let tells = |dimension: &str| dimensions.iter().any(|name| name == dimension);
    let (by_site, by_shift) = (tells("site"), tells("shift"));
    let mut watched = BTreeMap::new();
    for (cell, minutes) in &exposure.by_shift {
        let place = Watched {
            month: cell.month,
            site: by_site.then_some(cell.site.as_str()),
            shift: by_shift.then_some(cell.shift),
        };
        let sum: &mut u64 = watched.entry(place).or_default();
        *sum = sum.saturating_add(*minutes);
    }
    watched
}

/// The groups that were observed during a stretch of time, each as its values.
fn groups_of(cell: &Watched<'_>, dimensions: &[String]) -> Vec<Vec<Option<String>>> {
    let mut groups = vec![Vec::new()];
    for dimension in dimensions {
        let values = values_of(cell, dimension);
        groups = groups
            .into_iter()
            .flat_map(|group: Vec<Option<String>>| {
                values.iter().map(move |value| {
                    let mut longer = group.clone();
                    longer.push(value.clone());
                    longer
                })
            })
            .collect();
    }
    groups
}

/// The values of one dimension that were observed: that of the cell for time and place, every code
/// and "not recorded" for anything else.
fn values_of(cell: &Watched<'_>, dimension: &str) -> Vec<Option<String>> {
    match dimension {
        "site" => vec![cell.site.map(str::to_owned)],
        "shift" => vec![cell.shift.map(|shift| shift.code().to_string())],
        _ => code_list(dimension).map_or_else(Vec::new, |list| {
            let codes = list.words.iter().map(|word| Some(word.code.to_string()));
            codes.chain([None]).collect()
        }),
    }
}
