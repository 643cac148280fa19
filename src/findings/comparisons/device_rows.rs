//! What is known of each device for each object type, side by side: the share as it is, the share
//! drawn toward those of the other devices, and the difference to the other devices.
//!
//! Puts together what others computed, and computes nothing itself.

use super::devices::{DeviceComparison, HomogeneityTest, NotPooled, PooledComparison};
use super::drawn::DrawnShare;
use super::{Counted, DEVICE_SUCCESS, Difference, FIRST_DEVICE_SUCCESS};
use crate::domain::counts::ALL;
use crate::findings::finding::{Finding, Statistic};
use crate::findings::list_order::place;
use crate::findings::review::Review;

/// One device for one object type, or for all object types together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DeviceRow<'a> {
    /// The device.
    pub device: &'a str,
    /// The object type, or `all`.
    pub object_type: &'a str,
    /// The share as it is.
    pub raw: &'a Finding,
    /// The share drawn toward those of the other devices; `None` over all object types.
    pub drawn: Option<&'a DrawnShare>,
    /// The device beside the others; `None` where they were not compared.
    pub beside: Option<Beside>,
}

/// A device beside all others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Beside {
    /// Among objects of one type.
    OfOneType {
        /// Cases of the device and of the others.
        compared: [Counted; 2],
        /// First share minus second; `None` where a side has too few cases.
        difference: Option<Difference>,
    },
    /// Over all object types, so that differences between these are taken out.
    OverTypes {
        /// Cases of the device and of the others in object types that both met.
        compared: [Counted; 2],
        /// Test of one odds ratio for all object types.
        homogeneity: Option<HomogeneityTest>,
        /// The numbers, or why there are none.
        pooled: Result<PooledComparison, NotPooled>,
    },
}

/// The rows of the measures of devices, without anything beside a share that is withheld, each with its measure: devices in the order of their list,
/// each over all object types first and then within each in the order of that list.
pub fn device_rows(review: &Review) -> Vec<(&'static str, DeviceRow<'_>)> {
    [FIRST_DEVICE_SUCCESS, DEVICE_SUCCESS]
        .into_iter()
        .flat_map(|measure| of_measure(review, measure).map(move |row| (measure, row)))
        .collect()
}

fn of_measure<'a>(
    review: &'a Review,
    measure: &'static str,
) -> impl Iterator<Item = DeviceRow<'a>> + use<'a> {
    let findings = &review.findings;
    let over_types = findings.by_group(measure, "device", Statistic::Share);
    let mut rows: Vec<_> = over_types
        .map(|raw| (raw.group.as_str(), ALL, raw))
        .collect();
    let of_one_type = findings.by_group(measure, "device+object_type", Statistic::Share);
    rows.extend(of_one_type.filter_map(|raw| {
        let (device, object_type) = raw.group.split_once('|')?;
        Some((device, object_type, raw))
    }));
    rows.sort_by_cached_key(|(device, object_type, _)| {
        let in_list = |dimension, value: &str| (place(dimension, value), value.to_owned());
        (
            in_list("device", device),
            *object_type != ALL,
            in_list("object_type", object_type),
        )
    });
    rows.into_iter().map(move |(device, object_type, raw)| {
        let comparisons = &review.comparisons;
        let compared = comparisons.devices.as_ref();
        let compared = compared.filter(|devices| devices.measure == measure);
        let of_device = compared.and_then(|devices| {
            let mut devices = devices.devices.iter();
            devices.find(|found| found.device == device)
        });
        DeviceRow {
            device,
            object_type,
            raw,
            drawn: comparisons
                .drawn_share(measure, &raw.by, &raw.group)
                .filter(|_| !raw.suppressed),
            // Its counts are those of the share.
            beside: of_device
                .filter(|_| !raw.suppressed)
                .and_then(|found| beside(found, object_type)),
        }
    })
}

fn beside(device: &DeviceComparison, object_type: &str) -> Option<Beside> {
    if object_type == ALL {
        return Some(Beside::OverTypes {
            compared: device.compared,
            homogeneity: device.homogeneity,
            pooled: device.pooled,
        });
    }
    let mut strata = device.strata.iter();
    let stratum = strata.find(|stratum| stratum.object_type == object_type)?;
    Some(Beside::OfOneType {
        compared: [stratum.first, stratum.second],
        difference: stratum.difference,
    })
}

impl Beside {
    /// Cases of the device and of the others that the difference rests on.
    pub const fn compared(self) -> [Counted; 2] {
        match self {
            Beside::OfOneType { compared, .. } | Beside::OverTypes { compared, .. } => compared,
        }
    }

    /// First share minus second, with its limits as far as there are any.
    pub fn difference(self) -> Option<(f64, Option<super::Interval>)> {
        match self {
            Beside::OfOneType { difference, .. } => difference.map(|found| {
                let (low, high) = (found.low, found.high);
                (found.estimate, Some(super::Interval { low, high }))
            }),
            Beside::OverTypes { pooled, .. } => {
                let found = pooled.ok()?.difference;
                Some((found.estimate, found.interval))
            }
        }
    }
}
