use super::*;
use crate::stats::survival::KaplanMeier;
use proptest::prelude::*;

/// Cases as (minutes, end), with end 0 for those followed no longer.
fn grouped(cases: impl IntoIterator<Item = (i64, u8)>) -> BTreeMap<(i64, Option<u8>), u64> {
    let mut counts = BTreeMap::new();
    for (minutes, end) in cases {
        *counts
            .entry((minutes, (end > 0).then_some(end)))
            .or_default() += 1;
    }
    counts
}

const ENDS: [u8; 15] = [1, 2, 1, 1, 0, 2, 1, 1, 2, 0, 1, 1, 0, 2, 1];

#[track_caller]
fn check(curve: &CumulativeIncidence, expected: &[(i64, f64, f64)]) {
    for (minutes, share, standard_error) in expected {
        let step = curve.steps().iter().find(|step| step.minutes == *minutes);
        let step = step.expect("a step at this minute");
        assert!((step.share - share).abs() < 1e-14, "{step:?}");
        assert!(
            (step.standard_error - standard_error).abs() < 1e-14,
            "{step:?}"
        );
    }
}

#[test]
fn shares_and_errors_without_ties_match_lifelines() {
    let minutes = [5, 8, 9, 12, 13, 14, 15, 20, 21, 25, 30, 31, 41, 42, 60];
    let cases = grouped(minutes.into_iter().zip(ENDS));
    // lifelines 0.30.3: AalenJohansenFitter(calculate_variance=True, jitter_level=0)
    // .fit(minutes, ends, event_of_interest=1): cumulative_density_ and the root of variance_.
    check(
        &CumulativeIncidence::new(&cases, &1),
        &[
            (9, 0.133_333_333_333_333_33, 0.087_770_745_147_251_1),
            (20, 0.346_666_666_666_666_6, 0.126_021_750_033_402_88),
            (31, 0.522_666_666_666_666_6, 0.139_233_031_415_095_7),
            (42, 0.522_666_666_666_666_6, 0.139_233_031_415_095_52),
        ],
    );
    // The same with event_of_interest=2.
    check(
        &CumulativeIncidence::new(&cases, &2),
        &[
            (9, 0.066_666_666_666_666_65, 0.064_406_118_871_953_05),
            (20, 0.14, 0.092_014_491_612_281_74),
            (31, 0.213_333_333_333_333_32, 0.109_409_187_778_588_19),
            (42, 0.345_333_333_333_333_3, 0.143_118_495_323_643_26),
        ],
    );
}

#[test]
fn shares_and_errors_with_ties_match_statsmodels() {
    let minutes = [5, 8, 8, 12, 12, 12, 15, 20, 20, 25, 30, 30, 41, 41, 60];
    let cases = grouped(minutes.into_iter().zip(ENDS));
    // statsmodels 0.15.0: CumIncidenceRight(minutes, ends), cinc and cinc_se. Its last error is
    // not a number; ours there is the published double sum in Python, its 0/0 taken as 0.
    check(
        &CumulativeIncidence::new(&cases, &1),
        &[
            (12, 0.2, 0.103_279_555_898_864_45),
            (20, 0.348_148_148_148_148_15, 0.126_423_611_052_244_12),
            (30, 0.525_925_925_925_925_9, 0.139_413_276_182_647_93),
            (60, 0.703_703_703_703_703_7, 0.125_959_811_466_027_67),
        ],
    );
    check(
        &CumulativeIncidence::new(&cases, &2),
        &[
            (8, 0.066_666_666_666_666_67, 0.064_406_118_871_953_06),
            (12, 0.133_333_333_333_333_33, 0.087_770_745_147_251_11),
            (20, 0.207_407_407_407_407_43, 0.106_990_819_759_823_95),
            (41, 0.296_296_296_296_296_34, 0.125_959_811_466_027_64),
        ],
    );
}

#[test]
fn nothing_is_said_about_what_was_not_seen() {
    let curve = CumulativeIncidence::new(&grouped([(3, 1), (5, 2), (9, 0)]), &1);
    let before = curve.reached_by(2, Level::P95).expect("followed");
    assert!(before.share.to_bits() == 0 && before.interval.is_none());
    assert!(curve.reached_by(9, Level::P95).is_some());
    assert_eq!(curve.reached_by(10, Level::P95), None);
    // Once everybody came to some end, the shares stay.
    let done = CumulativeIncidence::new(&grouped([(3, 1), (5, 2)]), &1);
    let late = done.reached_by(100, Level::P95).expect("nobody is left");
    assert!((late.share - 0.5).abs() < 1e-15 && late.interval.is_some());
    // An end that nobody came to.
    let none = CumulativeIncidence::new(&grouped([(3, 1), (5, 2)]), &7);
    let none = none.reached_by(5, Level::P95).expect("followed");
    assert!(none.share.to_bits() == 0 && none.interval.is_none());

    let empty = CumulativeIncidence::new(&BTreeMap::from([((4, Some(1)), 0)]), &1);
    assert!(empty.steps().is_empty() && empty.reached_by(4, Level::P95).is_none());
}

#[test]
fn one_case_and_the_largest_counts_neither_panic_nor_leave_0_to_1() {
    let one = CumulativeIncidence::new(&grouped([(3, 1)]), &1);
    let reached = one.reached_by(3, Level::P95).expect("followed");
    assert!(reached.share.to_bits() == 1.0_f64.to_bits() && reached.interval.is_none());
    for end in [1, 2] {
        let curve = CumulativeIncidence::new(
            &BTreeMap::from([
                ((i64::MIN, Some(1)), u64::MAX),
                ((i64::MIN, Some(2)), u64::MAX),
                ((i64::MIN, Some(3)), u64::MAX),
                ((0, None), u64::MAX),
                ((i64::MAX, Some(1)), u64::MAX),
            ]),
            &end,
        );
        for step in curve.steps() {
            assert!((0.0..=1.0).contains(&step.share) && (0.0..=1.0).contains(&step.not_yet));
            assert!(step.standard_error >= 0.0);
        }
        assert!(curve.reached_by(i64::MAX, Level::P95).is_some());
    }
}

proptest! {
    #[test]
    fn with_one_end_it_is_one_minus_kaplan_meier(
        cases in prop::collection::vec((0_i64..40, 0_u8..2), 1..80),
    ) {
        let incidence = CumulativeIncidence::new(&grouped(cases.iter().copied()), &1);
        let mut counts = BTreeMap::new();
        for (minutes, end) in &cases {
            *counts.entry((*minutes, *end == 1)).or_default() += 1;
        }
        let curve = KaplanMeier::new(&counts);
        prop_assert_eq!(incidence.steps().len(), curve.steps().len());
        for (ours, theirs) in incidence.steps().iter().zip(curve.steps()) {
            prop_assert_eq!(ours.at_risk, theirs.at_risk);
            prop_assert!((ours.share - (1.0 - theirs.not_yet)).abs() < 1e-13);
            let greenwood = theirs.standard_error.unwrap_or(0.0);
            prop_assert!((ours.standard_error - greenwood).abs() < 1e-7);
            let at = |minutes| (
                incidence.reached_by(minutes, Level::P95).and_then(|found| found.interval),
                curve.reached_by(minutes, Level::P95).and_then(|found| found.interval),
            );
            if let (Some(ours), Some(theirs)) = at(ours.minutes) {
                prop_assert!((ours.low - theirs.low).abs() < 1e-7);
                prop_assert!((ours.high - theirs.high).abs() < 1e-7);
            }
        }
    }

    #[test]
    fn the_shares_of_all_ends_and_of_no_end_add_up_to_1(
        cases in prop::collection::vec((0_i64..40, 0_u8..4), 1..80),
    ) {
        let cases = grouped(cases);
        let curves = [1, 2, 3].map(|end| CumulativeIncidence::new(&cases, &end));
        for index in 0..curves[0].steps().len() {
            let steps = [0, 1, 2].map(|end| curves[end].steps()[index]);
            let sum: f64 = steps.iter().map(|step| step.share).sum::<f64>() + steps[0].not_yet;
            prop_assert!((sum - 1.0).abs() < 1e-12);
            for (step, curve) in steps.iter().zip(&curves) {
                let found = curve.reached_by(step.minutes, Level::P95).expect("followed");
                if let Some(interval) = found.interval {
                    prop_assert!(0.0 <= interval.low && interval.low <= found.share + 1e-12);
                    prop_assert!(found.share <= interval.high + 1e-12 && interval.high <= 1.0);
                }
            }
        }
    }

    #[test]
    fn without_censoring_share_and_error_are_binomial(
        cases in prop::collection::vec((0_i64..40, 1_u8..4), 1..80),
    ) {
        let n = cases.len() as f64;
        for step in CumulativeIncidence::new(&grouped(cases.iter().copied()), &1).steps() {
            let reached = cases
                .iter()
                .filter(|(minutes, end)| *minutes <= step.minutes && *end == 1)
                .count() as f64;
            prop_assert!((step.share - reached / n).abs() < 1e-13);
            let binomial = (reached / n * (1.0 - reached / n) / n).sqrt();
            prop_assert!((step.standard_error - binomial).abs() < 1e-7);
        }
    }
}
