//! Each device against the other devices, within object types: uses as the first device, one row a
//! case. It removes differences between object types and nothing else; which device goes down first
//! follows difficulty, place and hour, so what is left is still a comparison of uses.

use super::cells::{Cell, Counted, cells, distinct, is_recorded};
use super::method::ComparisonMethod;
use super::{FIRST_DEVICE_SUCCESS, RIGID};
use crate::domain::counts::{CountTables, ShareCount};
use crate::domain::measure::{Definition, MeasureKind};
use crate::findings::estimate::Settings;
use crate::findings::headline::CASES_TO_COMPARE;
use crate::stats::adjust::holm;
use crate::stats::balance::category_distance;
use crate::stats::difference::Difference;
use crate::stats::proportion::newcombe_difference;
use crate::stats::strata::conditional::{conditional_odds_ratio, is_sparse};
use crate::stats::strata::{
    Stratum, breslow_day, cochran_mantel_haenszel, common_odds_ratio, common_risk_difference,
};
use crate::stats::{Interval, Level};

/// A p-value of the test of homogeneity below this keeps the strata apart.
pub const HOMOGENEITY_P: f64 = 0.05;

/// A standardized difference between the cases of two groups above this is worth a warning.
pub const LARGE_IMBALANCE: f64 = 0.2;

/// The comparison of every device that was used first.
#[derive(Clone, Debug, PartialEq)]
pub struct DeviceComparisons {
    /// Identifier of the measure.
    pub measure: String,
    /// One comparison per device, in list order; their number is what p-values are adjusted for.
    pub devices: Vec<DeviceComparison>,
    /// Level of the usual intervals.
    pub level: f64,
    /// Level of the wider intervals: all of them together hold at `level`.
    pub family_level: f64,
    /// Judged first uses for objects whose type is not recorded, which stand in no comparison.
    pub without_object_type: u64,
    /// Judged first uses of rigid endoscopy, which by definition are no success and stand in none.
    pub rigid: u64,
}

/// One device against all others.
#[derive(Clone, Debug, PartialEq)]
pub struct DeviceComparison {
    /// The device.
    pub device: String,
    /// Object types for which both the device and another one were used, in list order.
    pub strata: Vec<StratumComparison>,
    /// Cases of the device and of the others in these object types.
    pub compared: [Counted; 2],
    /// Of these, cases in object types with both successes and failures: all that the odds ratio
    /// and the test learn from.
    pub informative: [Counted; 2],
    /// Test of one odds ratio for all object types; `None` where it cannot be made.
    pub homogeneity: Option<HomogeneityTest>,
    /// The numbers over all object types, or why there are none.
    pub pooled: Result<PooledComparison, NotPooled>,
    /// How far the cases of the device and of the others lie apart, by dimension.
    pub balance: Vec<Balance>,
}

/// One object type.
#[derive(Clone, Debug, PartialEq)]
pub struct StratumComparison {
    /// The object type.
    pub object_type: String,
    /// Cases of the device.
    pub first: Counted,
    /// Cases of the others.
    pub second: Counted,
    /// Difference of the two shares; `None` when either side has fewer than ten cases.
    pub difference: Option<Difference>,
}

/// Breslow and Day's test with Tarone's correction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HomogeneityTest {
    /// The statistic.
    pub chi_square: f64,
    /// Its p-value.
    pub p: f64,
}

/// An estimate with its interval at the usual and at the wider level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranged {
    /// The estimate; an odds ratio may be infinite.
    pub estimate: f64,
    /// The interval at the usual level.
    pub interval: Option<Interval>,
    /// The interval at the level for all devices together.
    pub family_interval: Option<Interval>,
}

/// What holds over all object types.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PooledComparison {
    /// Share of the device minus share of the others.
    pub difference: Ranged,
    /// Odds of the device over odds of the others; `None` when no object type has both outcomes.
    pub odds_ratio: Option<Ranged>,
    /// How the odds ratio was computed.
    pub odds_ratio_method: ComparisonMethod,
    /// p-value of no difference in any object type; `None` when no object type has both outcomes.
    pub p: Option<f64>,
    /// The same by Holm for the number of devices.
    pub adjusted_p: Option<f64>,
}

/// Why there is no number over all object types.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotPooled {
    /// No object type for which another device was used too.
    NothingInCommon,
    /// Fewer cases on one side than a comparison needs.
    TooFewCases {
        /// Cases needed on either side.
        needed: u64,
    },
    /// The test of homogeneity says that the odds ratio differs between object types.
    NotHomogeneous,
    /// Of the object types with a difference, the interval of one lies wholly above zero and that of
    /// another wholly below.
    DirectionsDiffer,
}

/// How far two groups of cases lie apart in one dimension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// The dimension.
    pub dimension: &'static str,
    /// In standard deviations, 0 or more; `None` when the groups have nothing in common.
    pub distance: Option<f64>,
}

type Cells<'a> = [Cell<'a, ShareCount>];

/// The comparisons; `None` when first uses were not counted by device and object type, or fewer than
/// two devices were used first.
pub(super) fn device_comparisons(
    counts: &CountTables,
    definitions: &[Definition],
    settings: Settings,
) -> Option<DeviceComparisons> {
    let definition = definitions.iter().find(|definition| {
        definition.id == FIRST_DEVICE_SUCCESS && definition.kind == MeasureKind::Share
    })?;
    let judged = |second| -> Vec<Cell<'_, ShareCount>> {
        let cells = cells(&counts.shares, definition, "device", second);
        let is_judged =
            |cell: &Cell<'_, ShareCount>| cell.count.eligible > 0 && is_recorded(cell.first);
        cells.into_iter().filter(is_judged).collect()
    };
    let by_type = judged("object_type");
    let sum_of = |is_meant: &dyn Fn(&Cell<'_, ShareCount>) -> bool| -> u64 {
        let meant = by_type.iter().filter(|cell| is_meant(cell));
        meant.map(|cell| cell.count.eligible).sum()
    };
    let rigid = sum_of(&|cell| cell.first == RIGID);
    let without_object_type = sum_of(&|cell| cell.first != RIGID && !is_recorded(cell.second));
    let by_type = flexible(&by_type);
    let by_location = flexible(&judged("object_location"));

    let mut used = distinct(by_type.iter().map(|cell| cell.first));
    used.sort_by_key(|device| {
        (
            crate::findings::list_order::place("device", device),
            *device,
        )
    });
    if used.len() < 2 {
        return None;
    }
    let family_level = Level::new(1.0 - (1.0 - settings.level.fraction()) / used.len() as f64)?;
    let mut devices: Vec<_> = used
        .iter()
        .map(|device| {
            compared(
                device,
                &by_type,
                &by_location,
                [settings.level, family_level],
            )
        })
        .collect();
    adjust(&mut devices);
    Some(DeviceComparisons {
        measure: definition.id.clone(),
        devices,
        level: settings.level.fraction(),
        family_level: family_level.fraction(),
        without_object_type,
        rigid,
    })
}

/// The cells of devices that go through a flexible scope.
fn flexible<'a>(cells: &Cells<'a>) -> Vec<Cell<'a, ShareCount>> {
    let flexible = cells.iter().filter(|cell| cell.first != RIGID);
    flexible.copied().collect()
}

/// Holm over all devices. One without a p-value was looked at too: it counts with a p-value of 1.
fn adjust(devices: &mut [DeviceComparison]) {
    let p_of = |device: &DeviceComparison| device.pooled.ok().and_then(|pooled| pooled.p);
    let p_values: Vec<f64> = devices
        .iter()
        .map(|device| p_of(device).unwrap_or(1.0))
        .collect();
    let Some(adjusted) = holm(&p_values) else {
        return;
    };
    for (device, adjusted) in devices.iter_mut().zip(adjusted) {
        if let Ok(pooled) = &mut device.pooled {
            pooled.adjusted_p = pooled.p.map(|_| adjusted);
        }
    }
}

fn compared(
    device: &str,
    by_type: &Cells<'_>,
    by_location: &Cells<'_>,
    levels: [Level; 2],
) -> DeviceComparison {
    let strata: Vec<StratumComparison> = sides(device, by_type)
        .into_iter()
        .filter(|(object_type, _)| is_recorded(object_type))
        .filter_map(|(object_type, [first, second])| {
            let (first_tally, second_tally) = first.tally().zip(second.tally())?;
            let is_enough = first.cases.min(second.cases) >= CASES_TO_COMPARE;
            Some(StratumComparison {
                object_type: object_type.to_owned(),
                first,
                second,
                difference: is_enough
                    .then(|| newcombe_difference(first_tally, second_tally, levels[0])),
            })
        })
        .collect();
    let mut sums = [Counted::default(); 2];
    let mut informative = [Counted::default(); 2];
    for stratum in &strata {
        sums[0].add(stratum.first);
        sums[1].add(stratum.second);
        let has_events = stratum.first.events + stratum.second.events > 0;
        let has_misses = stratum.first.misses() + stratum.second.misses() > 0;
        if has_events && has_misses {
            informative[0].add(stratum.first);
            informative[1].add(stratum.second);
        }
    }
    let tables: Vec<Stratum> = strata.iter().map(table).collect();
    let homogeneity = breslow_day(&tables).map(|test| HomogeneityTest {
        chi_square: test.tarone.chi_square,
        p: test.tarone.p,
    });
    let pooled = match why_not_pooled(&strata, sums, homogeneity) {
        Some(reason) => Err(reason),
        None => pooled(&tables, levels).ok_or(NotPooled::NothingInCommon),
    };
    let balance = [("object_type", by_type), ("object_location", by_location)]
        .into_iter()
        .filter(|(_, cells)| !cells.is_empty())
        .map(|(dimension, cells)| {
            let categories = sides(device, cells);
            let cases = categories.iter().map(|(_, [a, b])| (a.cases, b.cases));
            Balance {
                dimension,
                distance: category_distance(&cases.collect::<Vec<_>>()),
            }
        })
        .collect();
    DeviceComparison {
        device: device.to_owned(),
        strata,
        compared: sums,
        informative,
        homogeneity,
        pooled,
        balance,
    }
}

/// For each value of the second dimension, the cases of the device and of the others.
fn sides<'a>(device: &str, cells: &Cells<'a>) -> Vec<(&'a str, [Counted; 2])> {
    distinct(cells.iter().map(|cell| cell.second))
        .into_iter()
        .map(|value| {
            let mut sides = [Counted::default(); 2];
            for cell in cells.iter().filter(|cell| cell.second == value) {
                sides[usize::from(cell.first != device)].add(cell.count.into());
            }
            (value, sides)
        })
        .collect()
}

fn table(stratum: &StratumComparison) -> Stratum {
    Stratum {
        first_events: stratum.first.events,
        first_misses: stratum.first.misses(),
        second_events: stratum.second.events,
        second_misses: stratum.second.misses(),
    }
}

fn why_not_pooled(
    strata: &[StratumComparison],
    [first, second]: [Counted; 2],
    homogeneity: Option<HomogeneityTest>,
) -> Option<NotPooled> {
    // Estimates turn either way by chance: only an interval wholly on one side of zero has a direction.
    let differences = || strata.iter().filter_map(|stratum| stratum.difference);
    let is_clearly_up = differences().any(|difference| difference.low > 0.0);
    let is_clearly_down = differences().any(|difference| difference.high < 0.0);
    if strata.is_empty() {
        Some(NotPooled::NothingInCommon)
    } else if first.cases.min(second.cases) < CASES_TO_COMPARE {
        Some(NotPooled::TooFewCases {
            needed: CASES_TO_COMPARE,
        })
    } else if homogeneity.is_some_and(|test| test.p < HOMOGENEITY_P) {
        Some(NotPooled::NotHomogeneous)
    } else if is_clearly_up && is_clearly_down {
        Some(NotPooled::DirectionsDiffer)
    } else {
        None
    }
}

/// `None` when no stratum has both groups.
fn pooled(tables: &[Stratum], [level, family]: [Level; 2]) -> Option<PooledComparison> {
    let difference = common_risk_difference(tables, level)?;
    let difference = Ranged {
        estimate: difference.estimate,
        interval: difference.interval,
        family_interval: common_risk_difference(tables, family)?.interval,
    };
    let exact = is_sparse(tables)
        .then(|| conditional_odds_ratio(tables, level).zip(conditional_odds_ratio(tables, family)))
        .flatten();
    if let Some((exact, exact_family)) = exact {
        return Some(PooledComparison {
            difference,
            odds_ratio: Some(Ranged {
                estimate: exact.estimate,
                interval: Some(exact.interval),
                family_interval: Some(exact_family.interval),
            }),
            odds_ratio_method: ComparisonMethod::ConditionalOddsRatio,
            p: Some(exact.p),
            adjusted_p: None,
        });
    }
    let odds_ratio = common_odds_ratio(tables, level).map(|ratio| Ranged {
        estimate: ratio.estimate,
        interval: ratio.interval,
        family_interval: common_odds_ratio(tables, family).and_then(|ratio| ratio.interval),
    });
    Some(PooledComparison {
        difference,
        odds_ratio,
        odds_ratio_method: ComparisonMethod::MantelHaenszelOddsRatio,
        p: cochran_mantel_haenszel(tables).map(|test| test.p),
        adjusted_p: None,
    })
}
