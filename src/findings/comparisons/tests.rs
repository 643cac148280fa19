//! Comparisons of counts that are small enough to follow by hand, or whose numbers another program
//! gave.

mod devices;
mod drawn;
mod over_time;

use super::protection::Among;
use super::*;
use crate::domain::counts::ShareCount;
use crate::domain::measure::MeasureKind;
use crate::findings::estimate::ShareMethod;
use crate::findings::finding::Method;
use crate::findings::tests::definition;
use crate::findings::tests::group_key as key;
use rows::ComparisonStatistic;

/// Counts of a share, as (dimensions, values, hit, eligible).
fn share_counts(measure: &str, counts: &[(&str, &str, u64, u64)]) -> CountTables {
    let shares = counts.iter().map(|(by, group, hit, eligible)| {
        let count = ShareCount {
            eligible: *eligible,
            hit: *hit,
            excluded: 2,
        };
        (key(measure, by, group), count)
    });
    CountTables {
        shares: shares.collect(),
        ..CountTables::default()
    }
}

fn of_share(measure: &str, counts: &[(&str, &str, u64, u64)]) -> Comparisons {
    Comparisons::new(
        &share_counts(measure, counts),
        &[definition(measure, MeasureKind::Share)],
        &CaseOrder::default(),
        Settings::default(),
    )
}

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-9 * expected.abs().max(1.0),
        "{found} and {expected}"
    );
}

#[test]
fn counts_that_were_not_made_compare_nothing() {
    for definitions in [
        &[][..],
        &[
            definition(FIRST_DEVICE_SUCCESS, MeasureKind::Share),
            definition(DEVICE_SUCCESS, MeasureKind::ClusteredShare),
            definition(DEVICE_SWITCH, MeasureKind::Share),
            definition("adverse_event", MeasureKind::Share),
        ],
        // A site's own measure of that name and another kind.
        &[definition(DEVICE_SWITCH, MeasureKind::Count)],
    ] {
        let found = Comparisons::new(
            &CountTables::default(),
            definitions,
            &CaseOrder::default(),
            Settings::default(),
        );
        let nothing = Comparisons {
            over_time: Some(Vec::new()),
            ..Comparisons::default()
        };
        assert_eq!(found, nothing);
        assert_eq!(found.rows(0.95), []);
        assert_eq!(found.methods(), []);
    }
}

#[test]
fn first_uses_are_parts_of_their_object_type_and_include_rigid_endoscopy() {
    let found = of_share(
        FIRST_DEVICE_SUCCESS,
        &[
            ("device", "net", 9, 99),
            ("device+object_type", "net|not_recorded", 1, 2),
            ("device+object_type", "rigid|coin", 0, 1),
            ("device+object_type", "net|coin", 3, 12),
            ("device+object_type", "not_recorded|coin", 0, 0),
            ("device+object_type", "forceps_rat|coin", 2, 7),
            ("device+object_type", "push|food_bolus", 5, 5),
            ("device+object_location", "net|stomach", 2, 4),
        ],
    );
    let uses: Vec<_> = found
        .first_uses
        .iter()
        .map(|found| {
            (
                found.value.as_str(),
                found.device.as_str(),
                found.uses.events,
                found.uses.cases,
            )
        })
        .collect();
    assert_eq!(
        uses,
        [
            ("food_bolus", "push", 5, 5),
            ("coin", "forceps_rat", 7, 20),
            ("coin", "net", 12, 20),
            ("coin", "rigid", 1, 20),
            ("not_recorded", "net", 2, 2),
            ("stomach", "net", 4, 4),
        ]
    );
    assert_eq!(found.first_uses[5].dimension, "object_location");
    // Wilson for 12 of 20, statsmodels 0.14 proportion_confint(12, 20, method="wilson").
    let interval = found.first_uses[2].interval.expect("cases");
    near(interval.low, 0.386_581_500_762_253_1);
    near(interval.high, 0.781_193_467_627_183);
}

#[test]
fn switches_lead_from_the_device_that_failed_to_the_next() {
    let found = of_share(
        DEVICE_SWITCH,
        &[
            ("all", "all", 9, 14),
            ("device+next_device", "net|snare", 4, 6),
            ("device+next_device", "net|forceps_rat", 2, 4),
            ("device+next_device", "forceps_rat|net", 3, 4),
            ("device+next_device", "forceps_rat|push", 0, 0),
        ],
    );
    let pairs: Vec<_> = found
        .switches
        .pairs
        .iter()
        .map(|pair| {
            let names = (pair.first.as_str(), pair.next.as_str());
            (names, pair.out.events, pair.out.cases, pair.after_first)
        })
        .collect();
    assert_eq!(
        pairs,
        [
            (("forceps_rat", "net"), 3, 4, 4),
            (("net", "forceps_rat"), 2, 4, 10),
            (("net", "snare"), 4, 6, 10),
        ]
    );
    assert_eq!(found.switches.not_judged, 2);
}

#[test]
fn harm_is_compared_with_and_without_an_aid_from_ten_cases_on_either_side() {
    let found = of_share(
        "adverse_event",
        &[
            ("overtube", "yes", 56, 70),
            ("overtube", "no", 48, 80),
            ("overtube", "not_recorded", 7, 500),
            ("overtube+sharp", "yes|yes", 3, 10),
            ("overtube+sharp", "no|yes", 1, 9),
            ("overtube+sharp", "yes|not_recorded", 50, 60),
            ("overtube+sharp", "no|not_recorded", 0, 1),
            ("protective_aid", "not_recorded", 4, 9),
        ],
    );
    assert_eq!(found.protection.len(), 2);
    let [all, sharp] = [&found.protection[0], &found.protection[1]];
    assert_eq!(
        (all.aid, all.among, all.by.as_str()),
        ("overtube", Among::All, "overtube")
    );
    // Newcombe (1998), Statistics in Medicine 17:873-890, Table II, method 10, example (a).
    let difference = all.difference.expect("enough cases");
    for (found, printed) in [
        (difference.estimate, 0.2),
        (difference.low, 0.0524),
        (difference.high, 0.3339),
    ] {
        assert!((found - printed).abs() < 0.000_05, "{difference:?}");
    }
    assert_eq!(
        (sharp.among, sharp.by.as_str()),
        (Among::Sharp, "overtube+sharp")
    );
    assert_eq!((sharp.with.0.cases, sharp.without.0.cases), (10, 9));
    assert_eq!(sharp.difference, None, "nine cases are too few");

    let rows = found.rows(0.95);
    assert_eq!(rows.len(), 2);
    assert_eq!(rows[0].statistic, ComparisonStatistic::Difference);
    assert_eq!((rows[1].stratum.as_str(), rows[1].estimate), ("yes", None));
    assert_eq!(rows[1].second.map(|side| side.cases), Some(9));
}

/// Nobody of 12 with an overtube was harmed: exact, so up to 1 - 0.025^(1 / 12), as in the section on
/// harm. Five of five first uses, where exact intervals are asked for: from 0.025^(1 / 5).
#[test]
fn a_share_has_the_interval_of_its_measure_and_of_the_settings() {
    let found = of_share(
        "adverse_event",
        &[("overtube", "yes", 0, 12), ("overtube", "no", 1, 30)],
    );
    let harm = &found.protection[0];
    assert_eq!(harm.method, Method::ClopperPearson);
    let interval = harm.with.1.expect("cases");
    near(interval.high, 1.0 - 0.025_f64.powf(1.0 / 12.0));

    let exact = Settings {
        share_method: ShareMethod::ClopperPearson,
        ..Settings::default()
    };
    for (measure, by, group) in [
        (FIRST_DEVICE_SUCCESS, "device+object_type", "net|coin"),
        (DEVICE_SWITCH, "device+next_device", "net|snare"),
    ] {
        let found = Comparisons::new(
            &share_counts(measure, &[(by, group, 5, 5)]),
            &[definition(measure, MeasureKind::Share)],
            &CaseOrder::default(),
            exact,
        );
        let uses = found.first_uses.iter().map(|of| (of.method, of.interval));
        let pairs = found.switches.pairs.iter();
        let all: Vec<_> = uses
            .chain(pairs.map(|of| (of.method, of.interval)))
            .collect();
        let [(method, interval)] = all[..] else {
            panic!("one share, not {all:?}");
        };
        assert_eq!(method, Method::ClopperPearson);
        near(interval.expect("cases").low, 0.025_f64.powf(1.0 / 5.0));
    }
}
