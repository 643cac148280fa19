//! The words of the invented site for bleeds, and the units in which its laboratory writes.

use crate::domain::codes::{BleedFinding, Comorbidity, Forrest, Hemostasis, Rescue, Stigmata};
use crate::domain::fields::CaseField;

/// The heading of a column about bleeds; `None` for another field, and for scores that the site
/// does not export.
pub(in crate::sample) fn heading(field: CaseField) -> Option<&'static str> {
    Some(match field {
        CaseField::Treatment => "Hemostasis method",
        CaseField::BleedFinding => "Source of bleeding",
        CaseField::Forrest => "Forrest",
        CaseField::Stigmata => "Stigmata",
        CaseField::Rescue => "Rescue",
        CaseField::TransfusedUnits => "Red cell units",
        CaseField::FollowedDays => "Days followed",
        CaseField::RebleedDays => "Days to rebleeding",
        CaseField::DeathDays => "Days to death",
        CaseField::Urea => "BUN mg/dL",
        CaseField::Hemoglobin => "Hb g/dL",
        CaseField::Albumin => "Albumin g/L",
        CaseField::Inr => "INR",
        CaseField::Systolic => "Systolic BP",
        CaseField::Pulse => "Pulse",
        CaseField::Melena => "Melena",
        CaseField::Syncope => "Syncope",
        CaseField::HepaticDisease => "Liver disease",
        CaseField::CardiacFailure => "Heart failure",
        CaseField::Comorbidity => "Comorbidity",
        CaseField::AlteredMentalStatus => "Altered mental status",
        CaseField::PreviousLowerBleed => "Previous lower bleed",
        CaseField::BloodOnRectalExam => "Blood on rectal exam",
        CaseField::ExportedGlasgowBlatchford => "GBS",
        _ => return None,
    })
}

/// The units of the columns above.
pub(in crate::sample) const UNITS: [(CaseField, &str); 3] = [
    (CaseField::Urea, "BUN mg/dL"),
    (CaseField::Hemoglobin, "g/dL"),
    (CaseField::Albumin, "g/L"),
];

pub(in crate::sample) fn treatment(code: Hemostasis) -> &'static str {
    match code {
        Hemostasis::Injection => "injection",
        Hemostasis::Clip => "clips",
        Hemostasis::ContactCoagulation => "heater probe / bipolar",
        Hemostasis::PlasmaCoagulation => "APC",
        Hemostasis::BandLigation => "bands",
        Hemostasis::Glue => "glue",
        Hemostasis::Powder => "powder",
        Hemostasis::ClipOverScope => "over-the-scope clip",
        Hemostasis::Tamponade => "balloon tamponade",
        Hemostasis::Combined => "two or more",
        Hemostasis::OtherHemostasis => "something else",
        Hemostasis::NoHemostasis => "nothing",
    }
}

pub(in crate::sample) fn finding(code: BleedFinding) -> &'static str {
    match code {
        BleedFinding::PepticUlcer => "ulcer",
        BleedFinding::Varices => "varices",
        BleedFinding::Erosions => "erosions / inflamed",
        BleedFinding::MalloryWeiss => "Mallory-Weiss",
        BleedFinding::Angiodysplasia => "angiodysplasia",
        BleedFinding::Dieulafoy => "Dieulafoy",
        BleedFinding::Malignancy => "tumor",
        BleedFinding::Diverticulum => "diverticulum",
        BleedFinding::Hemorrhoids => "hemorrhoids",
        BleedFinding::AfterProcedure => "after a procedure",
        BleedFinding::NoLesion => "nothing found",
        BleedFinding::OtherSource => "something else",
    }
}

pub(in crate::sample) fn forrest(code: Forrest) -> &'static str {
    match code {
        Forrest::Spurting => "1a",
        Forrest::Oozing => "1b",
        Forrest::VisibleVessel => "2a",
        Forrest::AdherentClot => "2b",
        Forrest::FlatSpot => "2c",
        Forrest::CleanBase => "3",
    }
}

pub(in crate::sample) fn stigmata(code: Stigmata) -> &'static str {
    match code {
        Stigmata::NoneOrDarkSpot => "none or spot",
        Stigmata::BloodSeen => "blood",
        Stigmata::ClotSeen => "clot",
        Stigmata::VesselSeen => "vessel",
    }
}

pub(in crate::sample) fn rescue(code: Rescue) -> &'static str {
    match code {
        Rescue::NoRescue => "no",
        Rescue::Embolization => "embolized",
        Rescue::Surgery => "operated",
        Rescue::EmbolizationAndSurgery => "embolized and operated",
        Rescue::Shunt => "shunt",
        Rescue::OtherRescue => "something else",
    }
}

pub(in crate::sample) fn comorbidity(code: Comorbidity) -> &'static str {
    match code {
        Comorbidity::NoneMajor => "none major",
        Comorbidity::Major => "heart or other major",
        Comorbidity::Severe => "kidney or liver failure / spread cancer",
    }
}
