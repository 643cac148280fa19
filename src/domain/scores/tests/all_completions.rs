//! Bounds held against every way to fill in what is missing.

use crate::domain::codes::{BleedFinding, Comorbidity, Sex, Stigmata};
use crate::domain::scores::{Aims65, Bounds, GlasgowBlatchford, Oakland, Rockall};
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;

/// One value on each side of every edge of the component.
fn near(edges: &[i64]) -> Vec<i64> {
    edges.iter().flat_map(|edge| [edge - 1, *edge]).collect()
}

fn number(edges: &[i64]) -> impl Strategy<Value = Option<i64>> {
    option::of(select(near(edges)))
}

/// Fills a component in, in every way, where it is missing.
macro_rules! fill_in {
    ($patients:ident, $field:ident, $values:expr) => {
        for patient in std::mem::take(&mut $patients) {
            if patient.$field.is_some() {
                $patients.push(patient);
                continue;
            }
            for value in $values {
                let mut filled = patient;
                filled.$field = Some(*value);
                $patients.push(filled);
            }
        }
    };
}

/// The bounds of complete records, one by one.
fn by_trial(scores: impl Iterator<Item = Bounds>) -> Bounds {
    Bounds::around(scores.map(|bounds| bounds.computed().expect("nothing is missing")))
}

const BOTH: [bool; 2] = [false, true];
const UREA_EDGES: [i64; 4] = [6_500, 8_000, 10_000, 25_000];
const HEMOGLOBIN_EDGES: [i64; 8] = [7_000, 9_000, 10_000, 11_000, 12_000, 13_000, 14_000, 16_000];
const SYSTOLIC_EDGES: [i64; 7] = [90, 91, 100, 110, 120, 130, 160];
const PULSE_EDGES: [i64; 4] = [70, 90, 100, 110];
const AGE_EDGES: [i64; 5] = [40, 60, 65, 70, 80];

fn any_blatchford() -> impl Strategy<Value = GlasgowBlatchford> {
    let numbers = (
        number(&UREA_EDGES),
        number(&HEMOGLOBIN_EDGES),
        number(&SYSTOLIC_EDGES),
        number(&PULSE_EDGES),
    );
    let flags = [(); 4].map(|()| any::<Option<bool>>());
    (numbers, option::of(select(Sex::ALL)), flags).prop_map(|(numbers, sex, flags)| {
        GlasgowBlatchford {
            urea_umol_l: numbers.0,
            hemoglobin_mg_dl: numbers.1,
            sex,
            systolic_mmhg: numbers.2,
            pulse_per_minute: numbers.3,
            melena: flags[0],
            syncope: flags[1],
            hepatic_disease: flags[2],
            cardiac_failure: flags[3],
        }
    })
}

fn any_rockall() -> impl Strategy<Value = Rockall> {
    (
        number(&AGE_EDGES),
        number(&SYSTOLIC_EDGES),
        number(&PULSE_EDGES),
        option::of(select(Comorbidity::ALL)),
        option::of(select(BleedFinding::ALL)),
        option::of(select(Stigmata::ALL)),
    )
        .prop_map(
            |(age_years, systolic_mmhg, pulse_per_minute, comorbidity, finding, stigmata)| {
                Rockall {
                    age_years,
                    systolic_mmhg,
                    pulse_per_minute,
                    comorbidity,
                    finding,
                    stigmata,
                }
            },
        )
}

proptest! {
    #[test]
    fn blatchford_bounds_are_those_of_all_completions(known in any_blatchford()) {
        // The bands know two sexes; another one takes part by both.
        let sex = known.sex.filter(|sex| *sex != Sex::Other);
        let mut completions = vec![GlasgowBlatchford { sex, ..known }];
        fill_in!(completions, sex, &[Sex::Female, Sex::Male]);
        fill_in!(completions, urea_umol_l, &near(&UREA_EDGES));
        fill_in!(completions, hemoglobin_mg_dl, &[9_999, 10_000, 12_000, 13_000]);
        fill_in!(completions, systolic_mmhg, &[89, 90, 100, 110]);
        fill_in!(completions, pulse_per_minute, &[99, 100]);
        fill_in!(completions, melena, &BOTH);
        fill_in!(completions, syncope, &BOTH);
        fill_in!(completions, hepatic_disease, &BOTH);
        fill_in!(completions, cardiac_failure, &BOTH);
        let tried = by_trial(completions.iter().map(GlasgowBlatchford::bounds));
        prop_assert_eq!(known.bounds(), tried);
    }

    #[test]
    fn rockall_bounds_are_those_of_all_completions(known in any_rockall()) {
        let mut completions = vec![known];
        fill_in!(completions, age_years, &near(&AGE_EDGES));
        fill_in!(completions, systolic_mmhg, &near(&[100]));
        fill_in!(completions, pulse_per_minute, &near(&[100]));
        fill_in!(completions, comorbidity, Comorbidity::ALL);
        fill_in!(completions, finding, BleedFinding::ALL);
        fill_in!(completions, stigmata, Stigmata::ALL);
        prop_assert_eq!(known.bounds(), by_trial(completions.iter().map(Rockall::bounds)));
        let before = by_trial(completions.iter().map(Rockall::before_endoscopy));
        prop_assert_eq!(known.before_endoscopy(), before);
    }

    #[test]
    fn aims65_bounds_are_those_of_all_completions(
        albumin_mg_dl in number(&[3_000]),
        inr_thousandths in number(&[1_500, 1_501]),
        altered_mental_status in any::<Option<bool>>(),
        systolic_mmhg in number(&SYSTOLIC_EDGES),
        age_years in number(&AGE_EDGES),
    ) {
        let known = Aims65 {
            albumin_mg_dl, inr_thousandths, altered_mental_status, systolic_mmhg, age_years,
        };
        let mut completions = vec![known];
        fill_in!(completions, albumin_mg_dl, &near(&[3_000]));
        fill_in!(completions, inr_thousandths, &[1_500, 1_501]);
        fill_in!(completions, altered_mental_status, &BOTH);
        fill_in!(completions, systolic_mmhg, &[90, 91]);
        fill_in!(completions, age_years, &near(&[65]));
        prop_assert_eq!(known.bounds(), by_trial(completions.iter().map(Aims65::bounds)));
    }

    #[test]
    fn oakland_bounds_are_those_of_all_completions(
        age_years in number(&AGE_EDGES),
        pulse_per_minute in number(&PULSE_EDGES),
        systolic_mmhg in number(&SYSTOLIC_EDGES),
        hemoglobin_mg_dl in number(&HEMOGLOBIN_EDGES),
        sex in option::of(select(Sex::ALL)),
        flags in any::<[Option<bool>; 2]>(),
    ) {
        let [previous_lower_bleed, blood_on_rectal_exam] = flags;
        let known = Oakland {
            age_years, sex, previous_lower_bleed, blood_on_rectal_exam, pulse_per_minute,
            systolic_mmhg, hemoglobin_mg_dl,
        };
        let sex = sex.filter(|sex| *sex != Sex::Other);
        let mut completions = vec![Oakland { sex, ..known }];
        fill_in!(completions, sex, &[Sex::Female, Sex::Male]);
        fill_in!(completions, age_years, &near(&AGE_EDGES));
        fill_in!(completions, previous_lower_bleed, &BOTH);
        fill_in!(completions, blood_on_rectal_exam, &BOTH);
        fill_in!(completions, pulse_per_minute, &[69, 70, 90, 110]);
        fill_in!(completions, systolic_mmhg, &[89, 119, 129, 159, 160]);
        fill_in!(completions, hemoglobin_mg_dl, &near(&HEMOGLOBIN_EDGES));
        prop_assert_eq!(known.bounds(), by_trial(completions.iter().map(Oakland::bounds)));
    }

    #[test]
    fn worse_values_never_lower_a_score(
        patient in any_blatchford(), rockall in any_rockall(), drop in 0_i64..5_000, rise in 0_i64..60,
    ) {
        let worse = GlasgowBlatchford {
            urea_umol_l: patient.urea_umol_l.map(|urea| urea + drop),
            hemoglobin_mg_dl: patient.hemoglobin_mg_dl.map(|hemoglobin| hemoglobin - drop),
            systolic_mmhg: patient.systolic_mmhg.map(|systolic| systolic - rise),
            pulse_per_minute: patient.pulse_per_minute.map(|pulse| pulse + rise),
            ..patient
        };
        prop_assert!(worse.bounds().low >= patient.bounds().low);
        prop_assert!(worse.bounds().high >= patient.bounds().high);
        let older = Rockall {
            age_years: rockall.age_years.map(|age| age + rise),
            systolic_mmhg: rockall.systolic_mmhg.map(|systolic| systolic - rise),
            pulse_per_minute: rockall.pulse_per_minute.map(|pulse| pulse + rise),
            ..rockall
        };
        prop_assert!(older.bounds().low >= rockall.bounds().low);
        prop_assert!(older.bounds().high >= rockall.bounds().high);
    }

    #[test]
    fn what_is_learned_narrows_the_bounds(patient in any_blatchford(), rockall in any_rockall()) {
        let less = GlasgowBlatchford { urea_umol_l: None, melena: None, ..patient };
        prop_assert!(less.bounds().low <= patient.bounds().low);
        prop_assert!(less.bounds().high >= patient.bounds().high);
        let less = Rockall { stigmata: None, pulse_per_minute: None, ..rockall };
        prop_assert!(less.bounds().low <= rockall.bounds().low);
        prop_assert!(less.bounds().high >= rockall.bounds().high);
    }
}
