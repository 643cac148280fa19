//! Three patients, worked by hand from the published tables: a man of 74, a woman of 45 and a
//! woman of 83.

use crate::domain::codes::{BleedFinding, Comorbidity, Sex, Stigmata};
use crate::domain::scores::{Aims65, GlasgowBlatchford, Rockall};

pub(super) const BLATCHFORD: [(GlasgowBlatchford, u8); 3] = [
    (
        GlasgowBlatchford {
            urea_umol_l: Some(9_200),
            hemoglobin_mg_dl: Some(11_200),
            sex: Some(Sex::Male),
            systolic_mmhg: Some(104),
            pulse_per_minute: Some(108),
            melena: Some(true),
            syncope: Some(false),
            hepatic_disease: Some(false),
            cardiac_failure: Some(false),
        },
        3 + 3 + 1 + 1 + 1,
    ),
    (
        GlasgowBlatchford {
            urea_umol_l: Some(5_800),
            hemoglobin_mg_dl: Some(12_400),
            sex: Some(Sex::Female),
            systolic_mmhg: Some(128),
            pulse_per_minute: Some(82),
            melena: Some(false),
            syncope: Some(false),
            hepatic_disease: Some(false),
            cardiac_failure: Some(false),
        },
        0,
    ),
    (
        GlasgowBlatchford {
            urea_umol_l: Some(15_000),
            hemoglobin_mg_dl: Some(9_600),
            sex: Some(Sex::Female),
            systolic_mmhg: Some(88),
            pulse_per_minute: Some(118),
            melena: Some(true),
            syncope: Some(true),
            hepatic_disease: Some(true),
            cardiac_failure: Some(false),
        },
        4 + 6 + 3 + 1 + 1 + 2 + 2,
    ),
];

/// With the part before endoscopy first.
pub(super) const ROCKALL: [(Rockall, u8, u8); 3] = [
    (
        Rockall {
            age_years: Some(74),
            systolic_mmhg: Some(104),
            pulse_per_minute: Some(108),
            comorbidity: Some(Comorbidity::Major),
            finding: Some(BleedFinding::PepticUlcer),
            stigmata: Some(Stigmata::VesselSeen),
        },
        1 + 1 + 2,
        4 + 1 + 2,
    ),
    (
        Rockall {
            age_years: Some(45),
            systolic_mmhg: Some(128),
            pulse_per_minute: Some(82),
            comorbidity: Some(Comorbidity::NoneMajor),
            finding: Some(BleedFinding::MalloryWeiss),
            stigmata: Some(Stigmata::NoneOrDarkSpot),
        },
        0,
        0,
    ),
    (
        Rockall {
            age_years: Some(83),
            systolic_mmhg: Some(88),
            pulse_per_minute: Some(118),
            comorbidity: Some(Comorbidity::Severe),
            finding: Some(BleedFinding::Malignancy),
            stigmata: Some(Stigmata::BloodSeen),
        },
        2 + 2 + 3,
        7 + 2 + 2,
    ),
];

pub(super) const AIMS65: [(Aims65, u8); 3] = [
    (
        Aims65 {
            albumin_mg_dl: Some(2_800),
            inr_thousandths: Some(1_300),
            altered_mental_status: Some(false),
            systolic_mmhg: Some(104),
            age_years: Some(74),
        },
        2,
    ),
    (
        Aims65 {
            albumin_mg_dl: Some(4_100),
            inr_thousandths: Some(1_000),
            altered_mental_status: Some(false),
            systolic_mmhg: Some(128),
            age_years: Some(45),
        },
        0,
    ),
    (
        Aims65 {
            albumin_mg_dl: Some(2_400),
            inr_thousandths: Some(1_900),
            altered_mental_status: Some(true),
            systolic_mmhg: Some(88),
            age_years: Some(83),
        },
        5,
    ),
];
