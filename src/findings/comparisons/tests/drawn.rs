//! Shares drawn toward those of the other devices.

use super::*;
use crate::domain::counts::PassesCount;
use crate::findings::comparisons::method::ComparisonMethod;

/// scipy 1.17: minimum of the sum of `betaln(k + a, n - k + b) - betaln(a, b)` over the four
/// devices by Nelder-Mead (a = 3.02884, b = 1.81764), then `(k + a) / (n + a + b)` and
/// `beta.ppf([0.025, 0.975], k + a, n - k + b)`. Seven digits.
#[test]
fn cases_of_one_object_type_match_scipy() {
    let counts = [
        ("device+object_type", "snare|coin", 18, 20),
        ("device+object_type", "net|coin", 9, 30),
        ("device+object_type", "basket|coin", 25, 40),
        ("device+object_type", "prong|coin", 3, 4),
        // What is done for other objects, with a rigid scope or nobody knows what for, has no part.
        ("device+object_type", "net|food_bolus", 50, 50),
        ("device+object_type", "rigid|coin", 0, 90),
        ("device+object_type", "net|not_recorded", 5, 50),
        ("device+object_type", "snare|not_recorded", 45, 50),
    ];
    let found = of_share(FIRST_DEVICE_SUCCESS, &counts).drawn;
    let groups: Vec<_> = found.iter().map(|drawn| drawn.group.as_str()).collect();
    // The four cases with the prong take part and are not shown.
    assert_eq!(groups, ["snare|coin", "net|coin", "basket|coin"]);
    for (drawn, expected) in found.iter().zip([
        [0.846_350_8, 0.684_103_9, 0.956_412_4],
        [0.345_195_2, 0.199_128_8, 0.508_092_6],
        [0.624_995_3, 0.480_336_4, 0.759_090_2],
    ]) {
        let interval = drawn.interval.expect("a spread");
        for (found, expected) in [drawn.estimate, interval.low, interval.high]
            .iter()
            .zip(expected)
        {
            assert!((found - expected).abs() < 1e-6, "{drawn:?}");
        }
        assert_eq!(
            (drawn.devices, drawn.method),
            (4, ComparisonMethod::BetaBinomial)
        );
    }
}

/// 10 of 20 and 11 of 20 differ less than chance would make them: both get the share of all, 21 of
/// 40, with its Wilson interval; statsmodels
/// `proportion_confint(21, 40, method="wilson")`.
#[test]
fn devices_that_differ_by_chance_alone_share_one_interval() {
    let counts = [
        ("device+object_type", "snare|coin", 10, 20),
        ("device+object_type", "net|coin", 11, 20),
    ];
    for drawn in of_share(FIRST_DEVICE_SUCCESS, &counts).drawn {
        near(drawn.estimate, 0.525);
        let interval = drawn.interval.expect("that of all");
        near(interval.low, 0.374_973_621_066_924_67);
        near(interval.high, 0.670_645_298_873_211_1);
    }
}

/// One device with nothing but successes and one with nothing but a failure: the most likely spread
/// would tell that every device has 0 or 1 for its share. With a concentration of one case the most
/// likely mean is 0.7207266539947381 (scipy 1.17: root of `sum(1 / (m + i) for i in range(11)) - 1 / (1 - m)`),
/// and the limits are `beta.ppf([0.025, 0.975], 11 + m, 1 - m)`.
#[test]
fn a_handful_of_successes_alone_is_not_told_for_certain() {
    let counts = [
        ("device+object_type", "snare|coin", 11, 11),
        ("device+object_type", "net|coin", 0, 1),
    ];
    let [drawn] = &of_share(FIRST_DEVICE_SUCCESS, &counts).drawn[..] else {
        panic!("the snare alone has cases enough");
    };
    let interval = drawn.interval.expect("a spread");
    for (found, expected) in [
        (drawn.estimate, 0.976_727_221_166_228_2),
        (interval.low, 0.851_593_392_838_216_6),
        (interval.high, 0.999_999_888_938_753_7),
    ] {
        assert!((found - expected).abs() < 1e-6, "{drawn:?}");
    }
}

#[test]
fn nothing_is_drawn_where_nothing_can_be_said() {
    for counts in [
        // One device alone; successes alone.
        &[("device+object_type", "net|coin", 9, 30)][..],
        &[
            ("device+object_type", "net|coin", 30, 30),
            ("device+object_type", "snare|coin", 20, 20),
        ],
    ] {
        assert_eq!(of_share(FIRST_DEVICE_SUCCESS, counts).drawn, []);
    }
}

/// Cases by (events, attempts).
type Cases<'a> = &'a [((u64, u64), u64)];

/// Two cases of two passes each, both failed twice or succeeded twice, tell as much as two passes.
#[test]
fn passes_of_one_case_count_by_their_effective_number() {
    let passes = |groups: &[(&str, &str, Cases<'_>)]| CountTables {
        passes: groups
            .iter()
            .map(|(by, group, cases)| {
                let count = PassesCount {
                    cases: cases.iter().copied().collect(),
                    excluded: 0,
                };
                (key(DEVICE_SUCCESS, by, group), count)
            })
            .collect(),
        ..CountTables::default()
    };
    let definitions = [definition(DEVICE_SUCCESS, MeasureKind::ClusteredShare)];
    let drawn = |counts: &CountTables| {
        let order = CaseOrder::default();
        Comparisons::new(counts, &definitions, &order, Settings::default()).drawn
    };
    let by = "device+object_type";
    // Single passes: 18 of 20, 9 of 30 and 25 of 40 are drawn as cases are, but for the prong.
    let single = drawn(&passes(&[
        (by, "snare|coin", &[((1, 1), 18), ((0, 1), 2)]),
        (by, "net|coin", &[((1, 1), 9), ((0, 1), 21)]),
        (by, "basket|coin", &[((1, 1), 25), ((0, 1), 15)]),
    ]));
    let cases = of_share(
        FIRST_DEVICE_SUCCESS,
        &[
            (by, "snare|coin", 18, 20),
            (by, "net|coin", 9, 30),
            (by, "basket|coin", 25, 40),
        ],
    )
    .drawn;
    for (single, case) in single.iter().zip(&cases) {
        assert_eq!((single.raw, &single.group), (case.raw, &case.group));
        // Between cases the variance has m - 1 below it, so that the sizes differ a little.
        assert!(
            (single.estimate - case.estimate).abs() < 0.01,
            "{single:?} {case:?}"
        );
    }
    // The same passes two by two: half the evidence, so each is drawn further.
    let pairs = drawn(&passes(&[
        (by, "snare|coin", &[((2, 2), 9), ((0, 2), 1)]),
        (by, "net|coin", &[((2, 2), 4), ((1, 2), 1), ((0, 2), 10)]),
        (by, "basket|coin", &[((2, 2), 12), ((1, 2), 1), ((0, 2), 7)]),
    ]));
    for (pair, single) in pairs.iter().zip(&single) {
        assert_eq!(pair.raw, single.raw);
        assert_eq!(pair.method, ComparisonMethod::BetaBinomialEffective);
    }
    let reach = |drawn: &[DrawnShare]| drawn[0].estimate - drawn[1].estimate;
    assert!(reach(&pairs) < reach(&single) && reach(&pairs) > 0.0);
}
