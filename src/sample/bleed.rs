//! What was found, measured and done in a bleed, and what came after it.
//!
//! Drawn from a stream of its own, so that nothing else of a case moves with it. Knows no times.

use super::case::Case;
use super::draws::{Draws, whole};
use crate::domain::codes::{
    BleedFinding, Comorbidity, Forrest, Hemostasis, Outcome, Presentation, Rescue, Stigmata,
};
use crate::domain::scores::GlasgowBlatchford;

/// The stream of random numbers of this file.
pub(super) const STREAM: u64 = 2;

/// The fields of a bleed. `None` is a value that does not apply or was not recorded.
#[derive(Clone, Debug, Default)]
pub(super) struct Bleed {
    pub(super) treatment: Option<Hemostasis>,
    pub(super) finding: Option<BleedFinding>,
    pub(super) forrest: Option<Forrest>,
    pub(super) stigmata: Option<Stigmata>,
    pub(super) rescue: Option<Rescue>,
    pub(super) transfused_units: Option<i64>,
    pub(super) followed_days: Option<i64>,
    pub(super) rebleed_days: Option<i64>,
    pub(super) death_days: Option<i64>,
    /// Urea nitrogen, mg/dL.
    pub(super) urea_nitrogen: Option<i64>,
    /// Tenths of g/dL.
    pub(super) hemoglobin: Option<i64>,
    /// g/L.
    pub(super) albumin: Option<i64>,
    /// Tenths.
    pub(super) inr: Option<i64>,
    pub(super) systolic: Option<i64>,
    pub(super) pulse: Option<i64>,
    pub(super) melena: Option<bool>,
    pub(super) syncope: Option<bool>,
    pub(super) hepatic_disease: Option<bool>,
    pub(super) cardiac_failure: Option<bool>,
    pub(super) comorbidity: Option<Comorbidity>,
    pub(super) altered_mental_status: Option<bool>,
    pub(super) has_bled_before: Option<bool>,
    pub(super) blood_on_rectal_exam: Option<bool>,
    pub(super) exported_glasgow_blatchford: Option<i64>,
}

/// The bleed of a case; `None` for a case of food or an object.
pub(super) fn draw(draws: &mut Draws, case: &Case) -> Option<Bleed> {
    let is_upper = match case.presentation {
        Presentation::UpperBleed => true,
        Presentation::LowerBleed => false,
        Presentation::FoodImpaction | Presentation::ForeignBody => return None,
    };
    let severity = draws.normal();
    let mut bleed = measured(draws, is_upper, severity);
    let is_scoped = !matches!(case.outcome, Outcome::Cancelled | Outcome::Transferred);
    if is_scoped {
        look(draws, &mut bleed, is_upper, case.outcome);
        follow(draws, &mut bleed, severity, case.outcome);
    }
    if is_upper && draws.chance(0.7) {
        bleed.exported_glasgow_blatchford = glasgow_blatchford(&bleed, case);
    }
    lose_values(draws, &mut bleed);
    Some(bleed)
}

/// What is known before the scope goes in.
fn measured(draws: &mut Draws, is_upper: bool, severity: f64) -> Bleed {
    let mut number = |mean: f64, by_severity: f64, spread: f64, low, high| {
        let value = mean + by_severity * severity + spread * draws.normal();
        Some(whole(value).clamp(low, high))
    };
    let systolic = number(122.0, -16.0, 10.0, 62, 210);
    let pulse = number(88.0, 13.0, 9.0, 44, 170);
    let hemoglobin = number(104.0, -18.0, 14.0, 42, 172);
    let albumin = number(34.0, -3.0, 4.0, 12, 50);
    let inr = number(12.0, 1.5, 2.5, 9, 68);
    let median = if is_upper { 27.0 } else { 19.0 };
    let urea_nitrogen = median * libm::exp(0.3 * severity + 0.45 * draws.normal());
    let is_severe = severity > 1.0;
    let cardiac_failure = draws.chance(0.13);
    let comorbidity = draws.pick(&[
        (Comorbidity::NoneMajor, 40.0),
        (Comorbidity::Major, 44.0),
        (Comorbidity::Severe, 16.0),
    ]);
    Bleed {
        systolic,
        pulse,
        hemoglobin,
        albumin,
        inr,
        urea_nitrogen: Some(whole(urea_nitrogen).clamp(4, 180)),
        melena: Some(draws.chance(if is_upper { 0.62 } else { 0.1 })),
        syncope: Some(draws.chance(if is_severe { 0.3 } else { 0.1 })),
        hepatic_disease: Some(draws.chance(if is_upper { 0.2 } else { 0.08 })),
        cardiac_failure: Some(cardiac_failure),
        comorbidity: Some(match comorbidity {
            Comorbidity::NoneMajor if cardiac_failure => Comorbidity::Major,
            other => other,
        }),
        altered_mental_status: Some(draws.chance(if is_severe { 0.22 } else { 0.08 })),
        has_bled_before: (!is_upper).then(|| draws.chance(0.2)),
        blood_on_rectal_exam: (!is_upper).then(|| draws.chance(0.82)),
        ..Bleed::default()
    }
}

/// What the scope showed, and what was done.
fn look(draws: &mut Draws, bleed: &mut Bleed, is_upper: bool, outcome: Outcome) {
    let is_treated = outcome != Outcome::NoTreatmentNeeded;
    let finding = draws.pick(if is_upper { &UPPER } else { &LOWER });
    // A treated bleed had a source.
    let finding = match finding {
        BleedFinding::NoLesion if is_treated => BleedFinding::OtherSource,
        other => other,
    };
    let forrest = (is_upper && finding == BleedFinding::PepticUlcer)
        .then(|| draws.pick(if is_treated { &HIGH_RISK } else { &LOW_RISK }));
    let sees_blood = draws.chance(if is_treated { 0.8 } else { 0.25 });
    let stigmata = match forrest {
        Some(Forrest::Spurting | Forrest::VisibleVessel) => Stigmata::VesselSeen,
        Some(Forrest::AdherentClot) => Stigmata::ClotSeen,
        Some(Forrest::Oozing) => Stigmata::BloodSeen,
        None if sees_blood => Stigmata::BloodSeen,
        Some(Forrest::FlatSpot | Forrest::CleanBase) | None => Stigmata::NoneOrDarkSpot,
    };
    bleed.treatment = Some(match finding {
        _ if !is_treated => Hemostasis::NoHemostasis,
        BleedFinding::Varices => draws.pick(&OF_VARICES),
        BleedFinding::Angiodysplasia => draws.pick(&OF_FLAT_VESSELS),
        _ => draws.pick(&OF_OTHERS),
    });
    bleed.finding = Some(finding);
    bleed.forrest = forrest;
    bleed.stigmata = is_upper.then_some(stigmata);
}

const UPPER: [(BleedFinding, f64); 9] = [
    (BleedFinding::PepticUlcer, 42.0),
    (BleedFinding::Varices, 17.0),
    (BleedFinding::Erosions, 14.0),
    (BleedFinding::MalloryWeiss, 6.0),
    (BleedFinding::Angiodysplasia, 6.0),
    (BleedFinding::Malignancy, 5.0),
    (BleedFinding::NoLesion, 5.0),
    (BleedFinding::Dieulafoy, 3.0),
    (BleedFinding::OtherSource, 2.0),
];

const LOWER: [(BleedFinding, f64); 8] = [
    (BleedFinding::Diverticulum, 38.0),
    (BleedFinding::AfterProcedure, 12.0),
    (BleedFinding::Hemorrhoids, 10.0),
    (BleedFinding::Angiodysplasia, 10.0),
    (BleedFinding::Erosions, 10.0),
    (BleedFinding::NoLesion, 9.0),
    (BleedFinding::Malignancy, 8.0),
    (BleedFinding::OtherSource, 3.0),
];

const HIGH_RISK: [(Forrest, f64); 4] = [
    (Forrest::VisibleVessel, 42.0),
    (Forrest::AdherentClot, 26.0),
    (Forrest::Oozing, 23.0),
    (Forrest::Spurting, 9.0),
];

const LOW_RISK: [(Forrest, f64); 2] = [(Forrest::CleanBase, 66.0), (Forrest::FlatSpot, 34.0)];

const OF_VARICES: [(Hemostasis, f64); 3] = [
    (Hemostasis::BandLigation, 86.0),
    (Hemostasis::Glue, 12.0),
    (Hemostasis::Tamponade, 2.0),
];

const OF_FLAT_VESSELS: [(Hemostasis, f64); 2] = [
    (Hemostasis::PlasmaCoagulation, 80.0),
    (Hemostasis::Clip, 20.0),
];

const OF_OTHERS: [(Hemostasis, f64); 6] = [
    (Hemostasis::Combined, 44.0),
    (Hemostasis::Clip, 29.0),
    (Hemostasis::ContactCoagulation, 16.0),
    (Hemostasis::Powder, 5.0),
    (Hemostasis::Injection, 4.0),
    (Hemostasis::ClipOverScope, 2.0),
];

/// Transfusion, rebleeding, rescue and death.
fn follow(draws: &mut Draws, bleed: &mut Bleed, severity: f64, outcome: Outcome) {
    let hemoglobin = bleed.hemoglobin.unwrap_or_default();
    bleed.transfused_units = Some(match hemoglobin {
        ..80 => draws.pick(&[(2, 50.0), (3, 25.0), (4, 15.0), (6, 10.0)]),
        80..100 => draws.pick(&[(0, 60.0), (1, 15.0), (2, 25.0)]),
        _ => draws.pick(&[(0, 95.0), (1, 5.0)]),
    });
    let mut followed = draws.pick(&[(30, 82.0), (12, 6.0), (7, 6.0), (3, 4.0), (1, 2.0)]);
    let is_frail = bleed.comorbidity == Some(Comorbidity::Severe);
    let death = 0.02 + if severity > 1.0 { 0.05 } else { 0.0 } + if is_frail { 0.06 } else { 0.0 };
    let death_day = draws.pick(&[(1, 18.0), (4, 24.0), (9, 24.0), (17, 18.0), (28, 16.0)]);
    if draws.chance(death) && death_day <= followed {
        followed = death_day;
        bleed.death_days = Some(death_day);
    }
    bleed.followed_days = Some(followed);
    let rebleed = match outcome {
        Outcome::Controlled => 0.12,
        Outcome::NoTreatmentNeeded => 0.02,
        _ => 0.0,
    };
    let rebleed_day = draws.pick(&[
        (0, 10.0),
        (1, 30.0),
        (2, 20.0),
        (3, 14.0),
        (6, 16.0),
        (19, 10.0),
    ]);
    let has_rebled = draws.chance(rebleed) && rebleed_day <= followed;
    bleed.rebleed_days = has_rebled.then_some(rebleed_day);
    let is_variceal = bleed.finding == Some(BleedFinding::Varices);
    let share_rescued = match outcome {
        Outcome::NotControlled => 0.75,
        _ if has_rebled => 0.25,
        _ => 0.0,
    };
    bleed.rescue = Some(if !draws.chance(share_rescued) {
        Rescue::NoRescue
    } else if is_variceal {
        Rescue::Shunt
    } else {
        draws.pick(&[(Rescue::Embolization, 76.0), (Rescue::Surgery, 24.0)])
    });
}

/// The score as the site computes it, from all components.
fn glasgow_blatchford(bleed: &Bleed, case: &Case) -> Option<i64> {
    let score = GlasgowBlatchford {
        // 2.8 mg/dL of urea nitrogen are 1 mmol/L of urea.
        urea_umol_l: bleed.urea_nitrogen.map(|urea| urea * 2500 / 7),
        hemoglobin_mg_dl: bleed.hemoglobin.map(|tenths| tenths * 100),
        sex: Some(case.sex),
        systolic_mmhg: bleed.systolic,
        pulse_per_minute: bleed.pulse,
        melena: bleed.melena,
        syncope: bleed.syncope,
        hepatic_disease: bleed.hepatic_disease,
        cardiac_failure: bleed.cardiac_failure,
    };
    score.bounds().computed().map(i64::from)
}

/// Takes out what nobody wrote down, independent of what it was.
fn lose_values(draws: &mut Draws, bleed: &mut Bleed) {
    fn lose<T>(draws: &mut Draws, share: f64, value: &mut Option<T>) {
        if draws.chance(share) {
            *value = None;
        }
    }
    lose(draws, 0.05, &mut bleed.urea_nitrogen);
    lose(draws, 0.02, &mut bleed.hemoglobin);
    lose(draws, 0.20, &mut bleed.albumin);
    lose(draws, 0.08, &mut bleed.inr);
    lose(draws, 0.02, &mut bleed.systolic);
    lose(draws, 0.02, &mut bleed.pulse);
    lose(draws, 0.04, &mut bleed.syncope);
    lose(draws, 0.06, &mut bleed.altered_mental_status);
    lose(draws, 0.05, &mut bleed.comorbidity);
    lose(draws, 0.08, &mut bleed.stigmata);
    lose(draws, 0.05, &mut bleed.forrest);
    lose(draws, 0.03, &mut bleed.treatment);
    lose(draws, 0.04, &mut bleed.transfused_units);
    lose(draws, 0.03, &mut bleed.rescue);
}
