use super::*;
use crate::domain::codes::{
    Aims65Band, BleedFinding, GlasgowBlatchfordBand, OaklandBand, RockallBand, Sex, Stigmata,
};

mod all_completions;
mod patients;

const fn exactly(points: u8) -> Bounds {
    Bounds::exactly(points)
}

#[test]
fn three_patients_worked_by_hand() {
    for (patient, score) in patients::BLATCHFORD {
        assert_eq!(patient.bounds(), exactly(score));
    }
    for (patient, before, complete) in patients::ROCKALL {
        assert_eq!(patient.before_endoscopy(), exactly(before));
        assert_eq!(patient.bounds(), exactly(complete));
    }
    for (patient, score) in patients::AIMS65 {
        assert_eq!(patient.bounds(), exactly(score));
    }
}

#[test]
fn lower_bleeds_worked_by_hand() {
    let patient = |sex, flags: [bool; 2], numbers: [i64; 4]| Oakland {
        age_years: Some(numbers[0]),
        sex: Some(sex),
        previous_lower_bleed: Some(flags[0]),
        blood_on_rectal_exam: Some(flags[1]),
        pulse_per_minute: Some(numbers[1]),
        systolic_mmhg: Some(numbers[2]),
        hemoglobin_mg_dl: Some(numbers[3] * 100),
    };
    for (patient, score) in [
        (
            patient(Sex::Male, [false, true], [72, 96, 118, 104]),
            2 + 1 + 1 + 2 + 4 + 13,
        ),
        (
            patient(Sex::Female, [false, false], [38, 68, 134, 136]),
            2 + 4,
        ),
        (
            patient(Sex::Female, [true, true], [55, 110, 89, 68]),
            1 + 1 + 1 + 3 + 5 + 22,
        ),
        (patient(Sex::Female, [false, false], [30, 60, 165, 165]), 0),
        (patient(Sex::Male, [true, true], [75, 120, 80, 60]), 35),
    ] {
        assert_eq!(patient.bounds(), exactly(score), "{patient:?}");
    }
}

#[test]
fn bands_begin_at_their_edges() {
    let man = |urea, hemoglobin, systolic, pulse| GlasgowBlatchford {
        urea_umol_l: Some(urea),
        hemoglobin_mg_dl: Some(hemoglobin),
        sex: Some(Sex::Male),
        systolic_mmhg: Some(systolic),
        pulse_per_minute: Some(pulse),
        melena: Some(false),
        syncope: Some(false),
        hepatic_disease: Some(false),
        cardiac_failure: Some(false),
    };
    // 6.5 mmol/L, 130 g/L, 110 and 100; then one step below each.
    assert_eq!(man(6_500, 13_000, 110, 100).bounds(), exactly(3));
    assert_eq!(man(6_400, 12_900, 109, 99).bounds(), exactly(2));
    // 12.95 g/dL lies between 12 and 13.
    assert_eq!(man(6_499, 12_950, 110, 99).bounds(), exactly(1));
    let limits = Aims65 {
        albumin_mg_dl: Some(3_000),
        inr_thousandths: Some(1_500),
        altered_mental_status: Some(false),
        systolic_mmhg: Some(90),
        age_years: Some(65),
    };
    assert_eq!(limits.bounds(), exactly(2));
    let beyond = Aims65 {
        albumin_mg_dl: Some(2_999),
        inr_thousandths: Some(1_501),
        systolic_mmhg: Some(91),
        age_years: Some(64),
        ..limits
    };
    assert_eq!(beyond.bounds(), exactly(2));
}

/// The last value below each edge and the edge itself, in stored units, with their points.
#[test]
fn every_edge_of_the_glasgow_blatchford_table() {
    let urea = |value| GlasgowBlatchford {
        urea_umol_l: Some(value),
        ..patients::BLATCHFORD[1].0
    };
    for (value, points) in [
        (6_499, 0),
        (6_500, 2),
        (7_999, 2),
        (8_000, 3),
        (9_999, 3),
        (10_000, 4),
        (24_999, 4),
        (25_000, 6),
    ] {
        assert_eq!(urea(value).bounds(), exactly(points), "urea {value}");
    }
    for (sex, edges) in [
        (
            Sex::Male,
            &[
                (13_000, 0),
                (12_999, 1),
                (12_000, 1),
                (11_999, 3),
                (10_000, 3),
                (9_999, 6),
            ][..],
        ),
        (
            Sex::Female,
            &[(12_000, 0), (11_999, 1), (10_000, 1), (9_999, 6)],
        ),
    ] {
        for (value, points) in edges {
            let patient = GlasgowBlatchford {
                sex: Some(sex),
                hemoglobin_mg_dl: Some(*value),
                ..patients::BLATCHFORD[1].0
            };
            assert_eq!(patient.bounds(), exactly(*points), "{sex:?} {value}");
        }
    }
    for (value, points) in [(110, 0), (109, 1), (100, 1), (99, 2), (90, 2), (89, 3)] {
        let patient = GlasgowBlatchford {
            systolic_mmhg: Some(value),
            ..patients::BLATCHFORD[1].0
        };
        assert_eq!(patient.bounds(), exactly(points), "systolic {value}");
    }
}

#[test]
fn every_edge_of_the_rockall_table() {
    let rockall = patients::ROCKALL[1].0;
    for (age, systolic, pulse, points) in [
        (59, 100, 99, 0),
        (60, 100, 99, 1),
        (79, 100, 99, 1),
        (80, 100, 99, 2),
        (59, 100, 100, 1),
        (59, 99, 99, 2),
        (59, 99, 100, 2),
    ] {
        let patient = Rockall {
            age_years: Some(age),
            systolic_mmhg: Some(systolic),
            pulse_per_minute: Some(pulse),
            ..rockall
        };
        assert_eq!(
            patient.bounds(),
            exactly(points),
            "{age} {systolic} {pulse}"
        );
    }
}

#[test]
fn every_edge_of_the_oakland_table() {
    let none = Oakland {
        age_years: Some(39),
        sex: Some(Sex::Female),
        previous_lower_bleed: Some(false),
        blood_on_rectal_exam: Some(false),
        pulse_per_minute: Some(69),
        systolic_mmhg: Some(160),
        hemoglobin_mg_dl: Some(16_000),
    };
    assert_eq!(none.bounds(), exactly(0));
    for (age, points) in [(40, 1), (69, 1), (70, 2)] {
        let patient = Oakland {
            age_years: Some(age),
            ..none
        };
        assert_eq!(patient.bounds(), exactly(points), "age {age}");
    }
    for (pulse, points) in [(70, 1), (89, 1), (90, 2), (109, 2), (110, 3)] {
        let patient = Oakland {
            pulse_per_minute: Some(pulse),
            ..none
        };
        assert_eq!(patient.bounds(), exactly(points), "pulse {pulse}");
    }
    for (systolic, points) in [
        (89, 5),
        (90, 4),
        (119, 4),
        (120, 3),
        (129, 3),
        (130, 2),
        (159, 2),
    ] {
        let patient = Oakland {
            systolic_mmhg: Some(systolic),
            ..none
        };
        assert_eq!(patient.bounds(), exactly(points), "systolic {systolic}");
    }
    for (grams_per_liter, points) in [
        (69, 22),
        (70, 17),
        (89, 17),
        (90, 13),
        (109, 13),
        (110, 8),
        (129, 8),
        (130, 4),
        (159, 4),
    ] {
        let patient = Oakland {
            hemoglobin_mg_dl: Some(grams_per_liter * 100),
            ..none
        };
        assert_eq!(patient.bounds(), exactly(points), "{grams_per_liter} g/L");
    }
}

#[test]
fn no_lesion_has_points_where_blood_is_seen() {
    let patient = |finding, stigmata| Rockall {
        finding: Some(finding),
        stigmata,
        ..patients::ROCKALL[1].0
    };
    let of = |finding, stigmata| patient(finding, Some(stigmata)).bounds();
    assert_eq!(
        of(BleedFinding::NoLesion, Stigmata::NoneOrDarkSpot),
        exactly(0)
    );
    assert_eq!(of(BleedFinding::NoLesion, Stigmata::BloodSeen), exactly(3));
    assert_eq!(
        of(BleedFinding::MalloryWeiss, Stigmata::BloodSeen),
        exactly(2)
    );
    assert_eq!(
        of(BleedFinding::Varices, Stigmata::NoneOrDarkSpot),
        exactly(1)
    );
    assert_eq!(
        of(BleedFinding::PepticUlcer, Stigmata::ClotSeen),
        exactly(3)
    );
    let unseen = patient(BleedFinding::NoLesion, None).bounds();
    assert_eq!(unseen, Bounds { low: 0, high: 3 });
}

#[test]
fn nothing_known_leaves_the_whole_range() {
    let of = |high| Bounds { low: 0, high };
    assert_eq!(GlasgowBlatchford::default().bounds(), of(23));
    assert_eq!(Rockall::default().before_endoscopy(), of(7));
    assert_eq!(Rockall::default().bounds(), of(11));
    assert_eq!(Aims65::default().bounds(), of(5));
    assert_eq!(Oakland::default().bounds(), of(35));
}

#[test]
fn a_low_pressure_alone_settles_shock_and_a_fast_pulse_does_not() {
    let shock = |systolic_mmhg, pulse_per_minute| {
        Rockall {
            systolic_mmhg,
            pulse_per_minute,
            ..patients::ROCKALL[1].0
        }
        .before_endoscopy()
    };
    assert_eq!(shock(Some(99), None), exactly(2));
    assert_eq!(shock(Some(100), None), Bounds { low: 0, high: 1 });
    assert_eq!(shock(None, Some(100)), Bounds { low: 1, high: 2 });
    assert_eq!(shock(None, Some(99)), Bounds { low: 0, high: 2 });
}

#[test]
fn bands_of_tables_cover_every_score() {
    let codes = |most: u8, band: fn(Bounds) -> &'static str| {
        let mut codes: Vec<_> = (0..=most).map(|score| band(exactly(score))).collect();
        codes.dedup();
        for (low, high) in [(0, 1), (most - 1, most), (0, most)] {
            codes.push(band(Bounds { low, high }));
        }
        codes.push("not_computed");
        codes
    };
    let of_list = |words: &[crate::domain::codes::Word]| -> Vec<_> {
        words.iter().map(|word| word.code).collect()
    };
    assert_eq!(
        codes(23, |bounds| GlasgowBlatchford::band(bounds).code()),
        of_list(GlasgowBlatchfordBand::LIST.words)
    );
    assert_eq!(
        codes(11, |bounds| Rockall::band(bounds).code()),
        of_list(RockallBand::LIST.words)
    );
    assert_eq!(
        codes(5, |bounds| Aims65::band(bounds).code()),
        of_list(Aims65Band::LIST.words)
    );
    assert_eq!(
        codes(35, |bounds| Oakland::band(bounds).code()),
        of_list(OaklandBand::LIST.words)
    );
    // Both ends of each band, as its code says.
    for (score, code) in [
        (1, "0_1"),
        (2, "2_6"),
        (6, "2_6"),
        (7, "7_11"),
        (12, "12_23"),
    ] {
        assert_eq!(GlasgowBlatchford::band(exactly(score)).code(), code);
    }
    for (score, code) in [(2, "0_2"), (3, "3_4"), (5, "5_7"), (7, "5_7"), (8, "8_11")] {
        assert_eq!(Rockall::band(exactly(score)).code(), code);
    }
    for (score, code) in [
        (8, "0_8"),
        (9, "9_14"),
        (15, "15_24"),
        (24, "15_24"),
        (25, "25_35"),
    ] {
        assert_eq!(Oakland::band(exactly(score)).code(), code);
    }
}

#[test]
fn bounds_say_which_scores_may_be_right() {
    let bounds = Bounds { low: 2, high: 4 };
    assert_eq!(bounds.computed(), None);
    assert_eq!(exactly(3).computed(), Some(3));
    assert!(bounds.allow(2) && bounds.allow(4));
    assert!(!bounds.allow(1) && !bounds.allow(5) && !bounds.allow(-1));
}

#[test]
fn a_score_that_is_not_computed_is_certain_where_both_bounds_lie_on_one_side() {
    let bands = |low, high| {
        let bounds = Bounds { low, high };
        [
            GlasgowBlatchford::band(bounds).code(),
            Rockall::band(bounds).code(),
            Aims65::band(bounds).code(),
            Oakland::band(bounds).code(),
        ]
    };
    let [low, high, open] = ["not_computed_low", "not_computed_high", "not_computed_open"];
    assert_eq!(bands(0, 1), [low, low, low, low]);
    assert_eq!(bands(0, 2), [open, low, open, low]);
    assert_eq!(bands(0, 3), [open, open, open, low]);
    assert_eq!(bands(2, 3), [high, open, high, low]);
    assert_eq!(bands(3, 5), [high, high, high, low]);
    assert_eq!(bands(0, 8)[3], low);
    assert_eq!(bands(8, 9)[3], open);
    assert_eq!(bands(9, 35)[3], high);
}
