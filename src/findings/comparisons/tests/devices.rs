//! Devices against the other devices. Expected numbers by statsmodels 0.14 on the strata written
//! beside them, Sato's variance by numpy, exact ones by mpmath.

use super::*;
use crate::findings::comparisons::devices::{DeviceComparison, NotPooled};
use crate::findings::comparisons::method::ComparisonMethod;
use crate::stats::Interval;

/// First uses of four devices for two object types, as (device and type, successes, cases).
const USES: [(&str, u64, u64); 8] = [
    ("net|coin", 30, 40),
    ("net|food_bolus", 12, 20),
    ("snare|coin", 9, 18),
    ("snare|food_bolus", 22, 45),
    ("forceps_rat|coin", 11, 20),
    ("forceps_rat|food_bolus", 8, 15),
    ("basket|coin", 2, 3),
    ("basket|food_bolus", 1, 4),
];

fn compare(uses: &[(&str, u64, u64)], more: &[(&str, &str, u64, u64)]) -> DeviceComparisons {
    let by_type = uses
        .iter()
        .map(|(group, hit, cases)| ("device+object_type", *group, *hit, *cases));
    let counts: Vec<_> = by_type.chain(more.iter().copied()).collect();
    of_share(FIRST_DEVICE_SUCCESS, &counts)
        .devices
        .expect("two devices")
}

fn of<'a>(all: &'a DeviceComparisons, device: &str) -> &'a DeviceComparison {
    let found = all.devices.iter().find(|found| found.device == device);
    found.expect("a device that was used")
}

#[track_caller]
fn check_interval(found: Option<Interval>, low: f64, high: f64) {
    let found = found.expect("an interval");
    near(found.low, low);
    near(found.high, high);
}

/// `StratifiedTable([[[12, 8], [31, 33]], [[30, 10], [22, 19]]])`: food, then coins.
#[test]
fn the_pooled_numbers_match_statsmodels() {
    let all = compare(&USES, &[]);
    let names: Vec<_> = all
        .devices
        .iter()
        .map(|device| device.device.as_str())
        .collect();
    assert_eq!(
        names,
        ["forceps_rat", "snare", "net", "basket"],
        "the order of the list"
    );
    near(all.family_level, 0.9875);

    let net = of(&all, "net");
    let pooled = net.pooled.expect("homogeneous");
    // Sato (1989), numpy.
    near(pooled.difference.estimate, 0.171_421_471_172_962_22);
    check_interval(
        pooled.difference.interval,
        0.013_985_002_278_648_85,
        0.328_857_940_067_275_6,
    );
    check_interval(
        pooled.difference.family_interval,
        -0.029_209_730_895_661_23,
        0.372_052_673_241_585_64,
    );
    // oddsratio_pooled, oddsratio_pooled_confint(0.05) and (0.0125)
    let odds_ratio = pooled.odds_ratio.expect("both outcomes");
    assert_eq!(
        pooled.odds_ratio_method,
        ComparisonMethod::MantelHaenszelOddsRatio
    );
    near(odds_ratio.estimate, 2.073_117_610_454_262_6);
    check_interval(
        odds_ratio.interval,
        1.039_391_209_089_299_6,
        4.134_936_479_346_674,
    );
    check_interval(
        odds_ratio.family_interval,
        0.860_028_234_572_934_8,
        4.997_297_128_169_011,
    );
    // test_null_odds(correction=False), test_equal_odds(adjust=True)
    near(pooled.p.expect("informative"), 0.037_665_104_932_316_01);
    let homogeneity = net.homogeneity.expect("two strata");
    near(homogeneity.chi_square, 0.467_268_224_102_926_9);
    near(homogeneity.p, 0.494_246_604_885_174_6);
    // confint_proportions_2indep(30, 40, 22, 41, compare="diff", method="newcomb")
    let coins = &net.strata[1];
    assert_eq!(coins.object_type, "coin");
    let difference = coins.difference.expect("forty cases each");
    near(difference.low, 0.004_866_259_959_294_406);
    near(difference.high, 0.397_612_379_888_308_2);
    assert_eq!(net.informative.map(|counted| counted.cases), [60, 105]);
}

/// The basket has seven cases. It was looked at, so it counts:
/// multipletests([0.5552…, 0.2191…, 0.0377…, 1], method="holm").
#[test]
fn devices_without_a_pooled_number_count_in_the_adjustment() {
    let all = compare(&USES, &[]);
    let too_few = Err(NotPooled::TooFewCases { needed: 10 });
    assert_eq!(of(&all, "basket").pooled, too_few);
    let adjusted = |device| {
        let pooled = of(&all, device).pooled.expect("pooled");
        pooled.adjusted_p.expect("informative")
    };
    near(adjusted("net"), 4.0 * 0.037_665_104_932_316_01);
    near(adjusted("snare"), 3.0 * 0.219_138_220_560_000_98);
}

/// The forceps have 8 of 15 against 35 of 69 for food, 11 of 20 against 41 of 61 for coins: up and
/// down by no more than chance. p of Cochran, Mantel and Haenszel by hand in Python.
#[test]
fn directions_that_may_be_chance_are_pooled() {
    let all = compare(&USES, &[]);
    let forceps = of(&all, "forceps_rat");
    let estimates: Vec<_> = forceps
        .strata
        .iter()
        .map(|stratum| stratum.difference.expect("enough cases").estimate)
        .collect();
    assert!(estimates[0] > 0.0 && estimates[1] < 0.0, "{estimates:?}");
    let pooled = forceps.pooled.expect("no clear direction");
    near(pooled.p.expect("informative"), 0.555_202_993_871_395);
    near(pooled.adjusted_p.expect("informative"), 1.0);
}

/// Nets: 9 of 10 against 2 of 20 for coins, 2 of 20 against 9 of 10 for food.
#[test]
fn object_types_that_disagree_are_not_pooled() {
    let all = compare(
        &[
            ("net|coin", 9, 10),
            ("snare|coin", 2, 20),
            ("net|food_bolus", 2, 20),
            ("snare|food_bolus", 9, 10),
        ],
        &[],
    );
    let net = of(&all, "net");
    assert!(net.homogeneity.expect("two strata").p < 0.001);
    assert_eq!(net.pooled, Err(NotPooled::NotHomogeneous));
    let rows = Comparisons {
        devices: Some(all),
        ..Comparisons::default()
    }
    .rows(0.95);
    assert!(!rows.iter().any(|row| {
        matches!(
            row.statistic,
            ComparisonStatistic::PooledDifference | ComparisonStatistic::OddsRatio
        )
    }));
    let of_strata = rows
        .iter()
        .filter(|row| row.statistic == ComparisonStatistic::Difference);
    assert_eq!(of_strata.count(), 4);
}

/// Ten nets against many snares. All nets but one succeed: of 10 * 93 / 100 = 9.3 expected, at most
/// 10 are possible, so 0.7 above; the exact numbers take over. mpmath, as in
/// `stats::strata::conditional`; p is Fisher's of the one table.
#[test]
fn few_cases_are_compared_exactly() {
    let all = compare(&[("net|coin", 9, 10), ("snare|coin", 84, 90)], &[]);
    let pooled = of(&all, "net").pooled.expect("ten cases on either side");
    assert_eq!(
        pooled.odds_ratio_method,
        ComparisonMethod::ConditionalOddsRatio
    );
    let odds_ratio = pooled.odds_ratio.expect("both outcomes");
    near(odds_ratio.estimate, 0.646_167_425_858_5);
    check_interval(
        odds_ratio.interval,
        0.065_463_976_617_872_11,
        32.816_077_459_940_31,
    );
    check_interval(
        odds_ratio.family_interval,
        0.051_941_968_854_728_17,
        66.150_200_642_234_67,
    );
    near(pooled.p.expect("informative"), 0.533_259_585_682_785_6);
}

#[test]
fn rigid_endoscopy_and_unknown_objects_stand_in_no_stratum() {
    let mut uses = USES.to_vec();
    uses.extend([
        ("rigid|coin", 0, 50),
        ("net|not_recorded", 1, 6),
        ("snare|not_recorded", 1, 5),
        ("not_recorded|coin", 0, 0),
        // Only nets were used for magnets, and nobody got a battery wrong.
        ("net|magnet", 3, 4),
        ("net|disc_battery", 11, 11),
        ("snare|disc_battery", 10, 10),
    ]);
    let all = compare(&uses, &[]);
    assert_eq!((all.rigid, all.without_object_type), (50, 11));
    assert!(all.devices.iter().all(|device| device.device != "rigid"));
    let net = of(&all, "net");
    let types: Vec<_> = net
        .strata
        .iter()
        .map(|stratum| stratum.object_type.as_str())
        .collect();
    assert_eq!(types, ["food_bolus", "coin", "disc_battery"]);
    assert_eq!(net.compared.map(|side| side.cases), [71, 115]);
    assert_eq!(
        net.informative.map(|counted| counted.cases),
        [60, 105],
        "batteries say nothing"
    );
    assert_eq!(
        net.strata[1].second,
        Counted {
            events: 22,
            cases: 41
        },
        "no rigid ones"
    );
}

/// numpy: `sqrt(d' S^-1 d)` of the shares of all categories but one.
#[test]
fn the_balance_says_how_far_the_cases_lie_apart() {
    let all = compare(
        &USES,
        &[
            ("device+object_location", "net|stomach", 1, 3),
            ("device+object_location", "snare|upper_esophagus", 1, 8),
        ],
    );
    let balance = &of(&all, "net").balance;
    assert_eq!(balance[0].dimension, "object_type");
    near(balance[0].distance.expect("both"), 0.575_755_061_134_296_9);
    // No place in common.
    assert_eq!(
        (balance[1].dimension, balance[1].distance),
        ("object_location", None)
    );
    assert_eq!(of(&compare(&USES, &[]), "net").balance.len(), 1);
}

#[test]
fn one_device_is_compared_with_none() {
    let alone = of_share(
        FIRST_DEVICE_SUCCESS,
        &[
            ("device+object_type", "net|coin", 5, 40),
            ("device+object_type", "rigid|coin", 0, 40),
        ],
    );
    assert_eq!(alone.devices, None);
    // Devices that never meet over one kind of object cannot be compared either.
    let apart = compare(&[("net|coin", 5, 40), ("push|food_bolus", 30, 40)], &[]);
    assert_eq!(of(&apart, "net").pooled, Err(NotPooled::NothingInCommon));
}
