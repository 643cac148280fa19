//! Which device went down first, and each device against the others within object types.

use crate::domain::fields::{dimension_label, value_label};
use crate::findings::comparisons::Counted;
use crate::findings::comparisons::devices::{
    Balance, DeviceComparison, DeviceComparisons, HOMOGENEITY_P, LARGE_IMBALANCE, NotPooled, Ranged,
};
use crate::findings::comparisons::uses::FirstUse;
use crate::findings::headline::CASES_TO_COMPARE;
use crate::findings::review::Review;
use crate::report::content::{Block, Cell, Section, Table};
use crate::report::{comparison_words, format, series};

/// How p-values and intervals allow for the number of devices.
pub(in crate::report) const HOLM: &str = "Devices: every device that was used first is one comparison, also one \
    without a number. p-values are adjusted for all of them by Holm (1979); the wider intervals, \
    widened for their number (Bonferroni), hold all together at the usual level.";

/// The dimension within which devices are compared, so that its differences are taken out.
const STRATA: &str = "object_type";

/// The section; `None` when first uses were not counted by device.
pub(super) fn section(review: &Review) -> Option<Section> {
    let comparisons = &review.comparisons;
    let of = |dimension: &str| -> Vec<&FirstUse> {
        let uses = comparisons.first_uses.iter();
        uses.filter(|first_use| first_use.dimension == dimension)
            .collect()
    };
    let mut blocks: Vec<Block> = ["object_type", "object_location"]
        .into_iter()
        .filter_map(|dimension| first_uses(review, dimension, &of(dimension)))
        .collect();
    if blocks.is_empty() {
        return None;
    }
    if let Some(devices) = &comparisons.devices {
        blocks.extend(compared(review, devices));
    }
    Some(Section {
        id: "devices",
        heading: "First devices, and devices compared".to_owned(),
        blocks,
    })
}

fn first_uses(review: &Review, dimension: &str, uses: &[&FirstUse]) -> Option<Block> {
    let label = dimension_label(dimension);
    let methods = comparison_words::method_names(uses.iter().map(|first_use| first_use.method));
    let mut table = Table::new(
        format!(
            "Which device went down first, by {label}, {}",
            series::whole_period(review)
        ),
        &[
            &format::capitalized(label),
            "First device",
            "Cases",
            "Share of first uses",
            &format!("{} interval ({methods})", format::level(review.level)),
        ],
    );
    for first_use in uses {
        let [counts, share, interval] =
            comparison_words::share_cells(first_use.uses, first_use.interval);
        table.push(vec![
            value_label(dimension, &first_use.value).into(),
            value_label("device", &first_use.device).into(),
            counts,
            share,
            interval,
        ]);
    }
    (!table.rows.is_empty()).then_some(Block::Table(table))
}

fn compared(review: &Review, devices: &DeviceComparisons) -> Vec<Block> {
    vec![
        Block::Heading("Each device against the others, within object types".to_owned()),
        Block::Caution(
            "This compares uses, not devices. Only the object type is taken out; which device goes \
             down first also follows how hard the case is, its place, the hour and the hands. \
             The order is that of a list and no ranking."
                .to_owned(),
        ),
        Block::Text(how(devices)),
        Block::Table(pooled_table(review, devices)),
        Block::Table(strata_table(review, devices)),
    ]
}

fn how(devices: &DeviceComparisons) -> String {
    let count = devices.devices.len() as u64;
    let mut text = format!(
        "One row a case: success with the first device. {} went down first, so {} were looked at; \
         p-values are adjusted for all {} (Holm), and the {} intervals hold all together at {}. \
         Object types are not put together when the test of one odds ratio for all of them \
         (Breslow-Day with Tarone's correction) gives a p below {HOMOGENEITY_P}, or when, of the object types \
         with at least {} cases on either side, the interval of one difference lies wholly above \
         zero and that of another wholly below.",
        format::counted(count, "device", "devices"),
        format::counted(count, "comparison", "comparisons"),
        format::whole(count),
        format::level(devices.family_level),
        format::level(devices.level),
        format::whole(CASES_TO_COMPARE),
    );
    let left_out = [
        (
            devices.without_object_type,
            "an object whose type nobody recorded",
        ),
        (
            devices.rigid,
            "rigid endoscopy first, which by definition is no success",
        ),
    ];
    for (cases, what) in left_out.into_iter().filter(|(cases, _)| *cases > 0) {
        let cases = format::counted(cases, "case", "cases");
        text.extend([" Left out: ", &cases, " with ", what, "."]);
    }
    text
}

fn pooled_table(review: &Review, devices: &DeviceComparisons) -> Table {
    let mut table = Table::new(
        format!(
            "Each first device against all others together, over object types, {}",
            series::whole_period(review)
        ),
        &[
            "Device",
            "Cases in object types that both met",
            "Difference",
            "Odds ratio",
            "p, and adjusted",
            "Same in all object types",
            "Cases apart in",
            "Method",
        ],
    );
    for device in &devices.devices {
        table.push(pooled_row(devices, device));
    }
    table
}

fn pooled_row(devices: &DeviceComparisons, device: &DeviceComparison) -> Vec<Cell> {
    let [own, others] = device.compared;
    let informative = device
        .informative
        .map(|counted| format::whole(counted.cases));
    let cases = Cell {
        text: format!(
            "{} against {}",
            format::whole(own.cases),
            format::whole(others.cases)
        ),
        details: vec![format!(
            "{} against {} informative",
            informative[0], informative[1]
        )],
    };
    let homogeneity: Cell = device.homogeneity.map_or_else(
        || format::NOTHING.into(),
        |test| format!("p {}", format::p_value(test.p)).into(),
    );
    let mut apart = device.balance.iter().map(apart_words);
    let apart = Cell {
        text: apart.next().unwrap_or_else(|| format::NOTHING.to_owned()),
        details: apart.collect(),
    };
    let name = Cell {
        text: value_label("device", &device.device).to_owned(),
        details: imbalance(device).into_iter().collect(),
    };
    match &device.pooled {
        Err(reason) => vec![
            name,
            cases,
            why_not_pooled(*reason).into(),
            format::NOTHING.into(),
            format::NOTHING.into(),
            homogeneity,
            apart,
        ],
        Ok(pooled) => {
            let odds_ratio = pooled.odds_ratio.map_or_else(
                || "one outcome only".into(),
                |ratio| ranged_cell(devices, ratio, |numbers| numbers.map(format::ratio), ""),
            );
            let p = pooled.p.zip(pooled.adjusted_p).map_or_else(
                || format::NOTHING.into(),
                |(p, adjusted)| Cell {
                    text: format::p_value(p),
                    details: vec![format!("adjusted {}", format::p_value(adjusted))],
                },
            );
            let points = |numbers| comparison_words::points(own.cases.min(others.cases), numbers);
            vec![
                name,
                cases,
                ranged_cell(devices, pooled.difference, points, " points"),
                odds_ratio,
                p,
                homogeneity,
                apart,
                Cell {
                    text: "Mantel-Haenszel, Sato".to_owned(),
                    details: vec![pooled.odds_ratio_method.name().to_owned()],
                },
            ]
        }
    }
}

/// An estimate with its interval at both levels below.
fn ranged_cell(
    devices: &DeviceComparisons,
    ranged: Ranged,
    words: impl Fn([f64; 3]) -> [String; 3],
    unit: &str,
) -> Cell {
    let levels = [
        (devices.level, ranged.interval),
        (devices.family_level, ranged.family_interval),
    ];
    let details = levels.iter().map(|(level, interval)| {
        let level = format::level(*level);
        interval.map_or_else(
            || format!("{level}: no interval"),
            |interval| {
                let [_, low, high] = words([ranged.estimate, interval.low, interval.high]);
                format!("{level}: {low} to {high}")
            },
        )
    });
    let details = details.collect();
    let [estimate, ..] = words([ranged.estimate; 3]);
    Cell {
        text: format!("{estimate}{unit}"),
        details,
    }
}

fn why_not_pooled(reason: NotPooled) -> String {
    match reason {
        NotPooled::NothingInCommon => "no object type in common".to_owned(),
        NotPooled::TooFewCases { needed } => format!("fewer than {needed} cases on one side"),
        NotPooled::NotHomogeneous => "not put together: object types disagree".to_owned(),
        NotPooled::DirectionsDiffer => {
            "not put together: clearly up for one object type, clearly down for another".to_owned()
        }
    }
}

fn apart_words(balance: &Balance) -> String {
    let label = dimension_label(balance.dimension);
    balance.distance.map_or_else(
        || format!("{label}: nothing in common"),
        |distance| format!("{label}: {} SD", format::ratio(distance)),
    )
}

/// What is not taken out and yet differs between the cases of a device and those of the others,
/// when it is much; for devices with numbers over all object types. It stands in the row of the
/// device, so that no number is read without it.
fn imbalance(device: &DeviceComparison) -> Option<String> {
    device.pooled.ok()?;
    let is_large = |balance: &&Balance| {
        let distance = balance.distance;
        balance.dimension != STRATA && distance.is_none_or(|distance| distance > LARGE_IMBALANCE)
    };
    let large = device.balance.iter().filter(is_large).map(apart_words);
    let large: Vec<_> = large.collect();
    (!large.is_empty()).then(|| {
        format!(
            "Its cases lie more than {} standard deviations (SD) apart from those of the others \
             ({}): what differs may be the cases.",
            format::ratio(LARGE_IMBALANCE),
            large.join("; ")
        )
    })
}

fn strata_table(review: &Review, devices: &DeviceComparisons) -> Table {
    let mut table = Table::new(
        format!(
            "The same within each object type, {}",
            series::whole_period(review)
        ),
        &[
            "Device",
            "Object type",
            "With it first",
            "With others first",
            &format!(
                "Difference ({} interval of the difference, Newcombe)",
                format::level(devices.level)
            ),
        ],
    );
    for device in &devices.devices {
        for stratum in &device.strata {
            let side = |counted: Counted| comparison_words::share_text(counted);
            table.push(vec![
                value_label("device", &device.device).into(),
                value_label("object_type", &stratum.object_type).into(),
                side(stratum.first).into(),
                side(stratum.second).into(),
                comparison_words::difference_cell(
                    stratum.difference,
                    stratum.first,
                    stratum.second,
                ),
            ]);
        }
    }
    table
}
