//! The share of each device within each object type, drawn toward those of the other devices used
//! for objects of that type. Knows counts; the raw share beside it is an ordinary finding.

use super::cells::{Cell, Counted, cells, groups, is_recorded};
use super::method::ComparisonMethod;
use super::{DEVICE_SUCCESS, FEWEST_CASES, FIRST_DEVICE_SUCCESS, RIGID};
use crate::domain::counts::{CountTables, PassesCount};
use crate::domain::measure::{Definition, MeasureKind};
use crate::findings::estimate::Settings;
use crate::stats::clustered::clustered_share;
use crate::stats::proportion::wilson;
use crate::stats::shrinkage::{UnitShares, fit_no_less_alike, shrunk_share_of_size};
use crate::stats::{Interval, Level};
use std::collections::BTreeMap;

/// Devices are not taken to be less alike than a concentration of one case: where each had nothing but
/// successes or failures, the most likely one is next to none, as if a handful of cases told the share
/// of a device for certain. One case is what Jeffreys' prior of a single share counts for.
const LEAST_CONCENTRATION: f64 = 1.0;

/// The dimensions, as they stand in the count tables.
const BY: &str = "device+object_type";

/// The share of one device for one object type, drawn toward those of the other devices.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnShare {
    /// Identifier of the measure.
    pub measure: String,
    /// Names of the dimensions, as those of the finding that it stands beside.
    pub by: String,
    /// Device and object type joined with `|`, as in the finding.
    pub group: String,
    /// The raw counts: cases, or passes.
    pub raw: Counted,
    /// The share, between the raw one and that of all devices for the object type.
    pub estimate: f64,
    /// Its interval.
    pub interval: Option<Interval>,
    /// How both were computed.
    pub method: ComparisonMethod,
    /// Devices that were used for the object type.
    pub devices: usize,
}

/// One device for one object type.
struct Unit<'a> {
    device: &'a str,
    raw: Counted,
    /// Cases behind it, which decide whether it is shown.
    cases: u64,
    share: f64,
    /// Number of unrelated cases or passes that tell as much.
    size: f64,
}

/// What holds for all devices together, where they differ no more than chance would make them.
type Pooled = Option<(f64, Interval)>;

/// The drawn shares of both measures of devices, object types and devices in list order. Cells of
/// fewer than five cases take part but are left out of the result. Nothing is drawn for objects
/// whose type is not recorded, where only one device was used, or where all passes or none succeeded.
pub(super) fn drawn_shares(
    counts: &CountTables,
    definitions: &[Definition],
    settings: Settings,
) -> Vec<DrawnShare> {
    let find = |id: &str, kind| {
        definitions
            .iter()
            .find(|definition| definition.id == id && definition.kind == kind)
    };
    let mut drawn = Vec::new();
    if let Some(definition) = find(FIRST_DEVICE_SUCCESS, MeasureKind::Share) {
        let cells = cells(&counts.shares, definition, "device", "object_type");
        // By definition rigid endoscopy is never a success of the first device.
        let cells: Vec<_> = cells
            .into_iter()
            .filter(|cell| cell.first != RIGID)
            .collect();
        let method = ComparisonMethod::BetaBinomial;
        for (object_type, of_type) in by_second(&cells) {
            let units: Vec<_> = of_type
                .iter()
                .filter_map(|cell| unit_of_cases(cell))
                .collect();
            let pooled = pooled_cases(&units, settings.level);
            let of_type = drawn_of_type(&units, pooled, settings.level);
            drawn.extend(named(definition, object_type, method, of_type));
        }
    }
    if let Some(definition) = find(DEVICE_SUCCESS, MeasureKind::ClusteredShare) {
        let cells = cells(&counts.passes, definition, "device", "object_type");
        let method = ComparisonMethod::BetaBinomialEffective;
        for (object_type, of_type) in by_second(&cells) {
            let units: Vec<_> = of_type
                .iter()
                .filter_map(|cell| unit_of_passes(cell.first, cell.count, settings.level))
                .collect();
            // Passes of one case with two devices go together too, so the cells cannot be added.
            let pooled = groups(&counts.passes, definition, "object_type")
                .find(|(group, _)| *group == object_type)
                .and_then(|(_, count)| clustered_share(&count.cases, settings.level))
                .map(|share| (share.estimate, share.interval));
            let of_type = drawn_of_type(&units, pooled, settings.level);
            drawn.extend(named(definition, object_type, method, of_type));
        }
    }
    drawn
}

/// Cells with a recorded device, by recorded object type, in the order given.
fn by_second<'a, 'b, C>(cells: &'b [Cell<'a, C>]) -> Vec<(&'a str, Vec<&'b Cell<'a, C>>)> {
    let object_types = super::cells::distinct(cells.iter().map(|cell| cell.second));
    let of_type = |object_type: &str| {
        cells
            .iter()
            .filter(|cell| cell.second == object_type && is_recorded(cell.first))
            .collect()
    };
    object_types
        .into_iter()
        .filter(|object_type| is_recorded(object_type))
        .map(|object_type| (object_type, of_type(object_type)))
        .collect()
}

fn unit_of_cases<'a>(cell: &Cell<'a, crate::domain::counts::ShareCount>) -> Option<Unit<'a>> {
    let raw = Counted::from(cell.count);
    let tally = raw.tally()?;
    Some(Unit {
        device: cell.first,
        raw,
        cases: tally.cases(),
        share: tally.share(),
        size: tally.cases() as f64,
    })
}

fn unit_of_passes<'a>(device: &'a str, count: &PassesCount, level: Level) -> Option<Unit<'a>> {
    let share = clustered_share(&count.cases, level)?;
    let (events, attempts) = count.passes();
    Some(Unit {
        device,
        raw: Counted {
            events,
            cases: attempts,
        },
        cases: count.cases.values().sum(),
        share: share.estimate,
        size: share.effective_attempts,
    })
}

fn pooled_cases(units: &[Unit<'_>], level: Level) -> Pooled {
    let mut all = Counted::default();
    for unit in units {
        all.add(unit.raw);
    }
    let tally = all.tally()?;
    Some((tally.share(), wilson(tally, level)))
}

/// The devices of one object type, each with its drawn share, and how many devices there were.
fn drawn_of_type<'a>(
    units: &[Unit<'a>],
    pooled: Pooled,
    level: Level,
) -> Vec<(&'a str, Counted, f64, Option<Interval>, usize)> {
    if units.len() < 2 {
        return Vec::new();
    }
    let mut sizes: BTreeMap<(u64, u64), u64> = BTreeMap::new();
    for unit in units {
        *sizes.entry(whole_size(unit)).or_default() += 1;
    }
    let Some(spread) = fit_no_less_alike(&sizes, LEAST_CONCENTRATION) else {
        return Vec::new();
    };
    let shown = units.iter().filter(|unit| unit.cases >= FEWEST_CASES);
    shown
        .filter_map(|unit| {
            let (estimate, interval) = drawn(unit, spread, pooled, level)?;
            Some((unit.device, unit.raw, estimate, interval, units.len()))
        })
        .collect()
}

fn drawn(
    unit: &Unit<'_>,
    spread: UnitShares,
    pooled: Pooled,
    level: Level,
) -> Option<(f64, Option<Interval>)> {
    let drawn = shrunk_share_of_size(unit.share, unit.size, spread, level)?;
    match (drawn.interval, pooled) {
        // All devices have one share as far as can be told: it is that of all of them together.
        (None, Some((estimate, interval))) => Some((estimate, Some(interval))),
        (interval, _) => Some((drawn.estimate, interval)),
    }
}

/// Events among cases in whole numbers, which is what the spread between units is estimated from.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of 0 to 1, and a size no larger than a count of 64 bits"
)]
fn whole_size(unit: &Unit<'_>) -> (u64, u64) {
    let cases = unit.size.round().max(1.0);
    let events = (unit.share * unit.size).round().min(cases);
    (events as u64, cases as u64)
}

fn named(
    definition: &Definition,
    object_type: &str,
    method: ComparisonMethod,
    drawn: Vec<(&str, Counted, f64, Option<Interval>, usize)>,
) -> Vec<DrawnShare> {
    drawn
        .into_iter()
        .map(|(device, raw, estimate, interval, devices)| DrawnShare {
            measure: definition.id.clone(),
            by: BY.to_owned(),
            group: format!("{device}|{object_type}"),
            raw,
            estimate,
            interval,
            method,
            devices,
        })
        .collect()
}
