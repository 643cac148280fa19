use super::*;
use proptest::prelude::*;

fn tally(events: u64, misses: u64) -> Tally {
    let tally = Tally::new(events, events.saturating_add(misses)).expect("events among cases");
    tally.expect("cases")
}

fn fisher(a: u64, b: u64, c: u64, d: u64) -> ExactP {
    fisher_exact(tally(a, b), tally(c, d))
}

/// `expected` is less, greater, two-sided and mid-P.
#[track_caller]
fn check(table: [u64; 4], expected: [f64; 4], tolerance: f64) {
    let [a, b, c, d] = table;
    let found = fisher(a, b, c, d);
    let found = [found.less, found.greater, found.two_sided, found.mid_p];
    for (found, expected) in found.into_iter().zip(expected) {
        let error = (found / expected - 1.0).abs();
        assert!(error < tolerance, "{found:e} instead of {expected:e}");
    }
}

/// Each of these is wrong in statrs 0.19.1. Expected: sums of whole numbers in Python 3, divided
/// at the end (`math.comb` and `fractions.Fraction`).
#[test]
fn inputs_that_defeat_the_library_come_out_right() {
    check(
        [601, 634, 826, 752],
        [
            0.028_720_670_347_148_75,
            0.975_919_685_237_180_9,
            0.057_435_395_246_219_31,
            0.052_800_985_109_967_88,
        ],
        1e-12,
    );
    check(
        [600, 400, 500, 500],
        [
            0.999_997_233_428_521_4,
            4.226_859_837_242_821e-6,
            8.453_719_674_485_642e-6,
            6.993_431_315_797_893e-6,
        ],
        1e-12,
    );
    check(
        [510, 5, 5, 510],
        [
            1.0,
            3.065_664_783_682_358e-286,
            6.131_329_567_364_717e-286,
            3.065_958_283_476_103_5e-286,
        ],
        1e-12,
    );
    check(
        [27, 23, 50, 51],
        [
            0.755_663_246_149_309_3,
            0.364_507_540_607_109_45,
            0.609_434_042_208_297_6,
            0.608_844_294_457_800_1,
        ],
        1e-13,
    );
    check(
        [26, 134, 191, 35],
        [
            2.799_590_965_819_72e-43,
            1.0,
            4.079_617_923_956_986e-43,
            2.897_603_611_435_768e-43,
        ],
        1e-12,
    );
    // Its pmf of 500 is NaN there.
    check(
        [500, 500, 500, 500],
        [0.517_834_551_951_791, 0.517_834_551_951_791, 1.0, 1.0],
        1e-12,
    );
}

/// mpmath 1.3.0, 40 digits: products of the ratios of neighboring tables.
#[test]
fn ten_million_cases_are_no_trouble() {
    let check = |[a, b, c, d]: [u64; 4], expected: [f64; 3]| {
        let found = fisher(a, b, c, d);
        let found = [found.less, found.greater, found.two_sided];
        for (found, expected) in found.into_iter().zip(expected) {
            assert!((found / expected - 1.0).abs() < 1e-10, "{found:e}");
        }
    };
    check(
        [1_251_500, 1_248_500, 2_498_500, 2_501_500],
        [
            0.989_952_377_913_535_3,
            0.010_089_157_708_102_82,
            0.020_178_315_416_205_64,
        ],
    );
    check(
        [30, 4_999_970, 10, 4_999_990],
        [
            0.999_660_233_967_337_2,
            0.001_110_694_914_878_977,
            0.002_221_389_829_757_954,
        ],
    );
    check(
        [2_500_000, 2_500_000, 2_497_000, 2_503_000],
        [
            0.971_151_921_734_675_7,
            0.028_931_492_441_195_86,
            0.057_862_984_882_391_71,
        ],
    );
}

/// All tables of up to 9 cases in a cell against counts of ways in whole numbers.
#[test]
fn small_tables_agree_with_counting() {
    let choose = |n: u64, k: u64| (1..=k).fold(1_u64, |ways, i| ways * (n - k + i) / i);
    for cells in 0..10_000_u64 {
        let (a, b, c, d) = (cells / 1000, cells / 100 % 10, cells / 10 % 10, cells % 10);
        if a + b == 0 || c + d == 0 {
            continue;
        }
        let events = a + c;
        let range = events.saturating_sub(c + d)..=events.min(a + b);
        let ways = |k: u64| choose(a + b, k) * choose(c + d, events - k);
        let all: u64 = range.clone().map(ways).sum();
        let share = |of: &dyn Fn(u64) -> bool| {
            range.clone().filter(|k| of(*k)).map(ways).sum::<u64>() as f64 / all as f64
        };
        let found = fisher(a, b, c, d);
        let close = |found: f64, expected: f64| {
            assert!((found - expected).abs() < 1e-13, "{a} {b} {c} {d}: {found}");
        };
        close(found.less, share(&|k| k <= a));
        close(found.greater, share(&|k| k >= a));
        close(found.two_sided, share(&|k| ways(k) <= ways(a)));
        let half = share(&|k| k == a) / 2.0;
        let smaller = (found.less - half).min(found.greater - half);
        close(found.mid_p, (2.0 * smaller).min(1.0));
    }
}

#[test]
fn the_largest_counts_come_to_an_end() {
    let most = u64::MAX;
    let half = most / 2;
    assert!((fisher(half, half, half, half).two_sided - 1.0).abs() < 1e-9);
    let apart = fisher(half, 1, 1, half);
    assert_eq!(
        (apart.less, apart.greater, apart.two_sided),
        (1.0, 0.0, 0.0)
    );
    let rare = fisher(1, most - 1, 0, most);
    assert!((rare.greater - 0.5).abs() < 1e-12 && rare.two_sided >= 1.0);
    let lopsided = fisher(0, 1, half, half);
    assert!((lopsided.less - 0.5).abs() < 1e-12 && lopsided.greater >= 1.0);
    assert!(fisher(most, 0, most, 0).two_sided >= 1.0);
}

/// Just below the variance at which the normal distribution takes over: a table with even margins
/// and one with a tenth in the first group and a tenth with the event.
#[test]
fn sums_and_normal_distribution_meet() {
    let deviation = 31_600;
    for (cells, tolerance) in [
        ([3_990_000_000; 4], 1e-7),
        (
            [
                1_200_000_000,
                10_800_000_000,
                10_800_000_000,
                97_200_000_000,
            ],
            1e-4,
        ),
    ] {
        for away in [0, deviation, 2 * deviation, -2 * deviation, 3 * deviation] {
            let [a, b, c, d]: [u64; 4] = cells;
            let table = [(a, away), (b, -away), (c, -away), (d, away)]
                .map(|(cell, more)| cell.checked_add_signed(more).expect("large cells"));
            let [a, b, c, d] = table;
            let [row, column, total] = [a + b, a + c, a + b + c + d].map(|sum| sum as f64);
            let variance = row * (total - row) / total * column * (total - column) / total / total;
            assert!(variance < LARGE_VARIANCE && variance > 0.95 * LARGE_VARIANCE);
            let (sum, normal) = (fisher(a, b, c, d), normal_p(away as f64, variance));
            for (sum, normal) in [
                (sum.less, normal.less),
                (sum.greater, normal.greater),
                (sum.two_sided, normal.two_sided),
                (sum.mid_p, normal.mid_p),
            ] {
                assert!(
                    (sum / normal - 1.0).abs() < tolerance,
                    "{away}: {sum:e} {normal:e}"
                );
            }
        }
    }
}

proptest! {
    #[test]
    fn the_names_of_groups_and_outcomes_do_not_matter(
        a in 0_u64..3000, b in 1_u64..3000, c in 0_u64..3000, d in 1_u64..3000,
    ) {
        let plain = fisher(a, b, c, d);
        prop_assert!((0.0..=1.0).contains(&plain.two_sided));
        prop_assert!(plain.less + plain.greater >= 1.0 - 1e-12);
        prop_assert!(plain.mid_p <= 2.0 * plain.less.min(plain.greater));
        let groups = fisher(c, d, a, b);
        let outcomes = fisher(b, a, d, c);
        for other in [groups, outcomes] {
            prop_assert!((other.two_sided - plain.two_sided).abs() <= 1e-9 * plain.two_sided);
            prop_assert!((other.mid_p - plain.mid_p).abs() <= 1e-9 * plain.mid_p);
            prop_assert!((other.less - plain.greater).abs() <= 1e-9 * plain.greater);
        }
    }
}
