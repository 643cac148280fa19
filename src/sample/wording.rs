//! The words of the invented site: headings and codes as its export writes them.
//!
//! One list serves the writer of the rows and the writer of the mapping, so they cannot differ.
//! No heading and no word needs quoting in a CSV file.

pub(super) mod bleeding;

use crate::domain::codes::{
    AdverseEvent, AdverseGrade, AdverseScale, Airway, Device, MissingItem, ObjectLocation,
    ObjectType, Obstruction, Outcome, PassResult, Presentation, Setting, Sex, YesNo,
};
use crate::domain::fields::{CaseField, PassField};

/// What stands between two cells.
pub(super) const SEPARATOR: u8 = b';';
/// What the site writes when an obstruction was not recorded; other cells stay blank.
pub(super) const NOT_RECORDED: &str = "n/a";
/// A device that stands in no list: a planted fault.
pub(super) const UNKNOWN_DEVICE: &str = "new grasper on trial";

/// The heading of a column of the cases export; `None` for a field that ingest works out.
pub(super) fn case_heading(field: CaseField) -> Option<&'static str> {
    Some(match field {
        CaseField::CaseId => "Case no.",
        CaseField::Site => "Site",
        CaseField::Presentation => "Reason for call",
        CaseField::OnsetAt => "Began",
        CaseField::ArrivedAt => "Arrived",
        CaseField::CalledAt => "Paged",
        CaseField::TeamAt => "Team complete",
        CaseField::CartAt => "Cart at bedside",
        CaseField::AirwayAt => "Airway ready",
        CaseField::ScopeInAt => "Scope in",
        CaseField::OvertubeAt => "Overtube in",
        CaseField::RemovedAt => "Object out",
        CaseField::ScopeOutAt => "Scope out",
        CaseField::PrecleanAt => "Pre-clean start",
        CaseField::PrecleanEndAt => "Pre-clean end",
        CaseField::HandoverAt => "Handed to reprocessing",
        CaseField::ManualCleanAt => "Manual clean start",
        CaseField::EndedAt => "Called off or moved",
        CaseField::ReleasedAt => "Team free",
        CaseField::AgeYears => "Age",
        CaseField::Sex => "Sex",
        CaseField::Setting => "Bedside",
        CaseField::ObjectType => "Object",
        CaseField::ObjectLocation => "Seen in",
        CaseField::Obstruction => "Can swallow",
        CaseField::Sharp => "Sharp",
        CaseField::Symptoms => "Symptoms",
        CaseField::ObjectLength => "Length mm",
        CaseField::ObjectWidth => "Width mm",
        CaseField::VaricealSuspected => "Varices suspected",
        CaseField::Airway => "Airway",
        CaseField::Overtube => "Overtube",
        CaseField::OvertubePass => "Overtube before pass",
        CaseField::Hood => "Hood",
        CaseField::Cap => "Cap",
        CaseField::Outcome => "How it ended",
        CaseField::OnePiece => "In one piece",
        CaseField::BiopsiesTaken => "Biopsies",
        CaseField::AdverseEvent => "Complication",
        CaseField::BiopsyNotIndicated => "Biopsy not indicated",
        CaseField::AdverseScale => "Complication scale",
        CaseField::AdverseGrade => "Complication grade",
        CaseField::CartComplete => "Cart complete",
        CaseField::MissingItem => "Missing from cart",
        CaseField::Malfunction => "Equipment fault",
        CaseField::PrecleanDone => "Pre-clean done",
        CaseField::Treatment
        | CaseField::BleedFinding
        | CaseField::Forrest
        | CaseField::Stigmata
        | CaseField::Rescue
        | CaseField::TransfusedUnits
        | CaseField::FollowedDays
        | CaseField::RebleedDays
        | CaseField::DeathDays
        | CaseField::Urea
        | CaseField::Hemoglobin
        | CaseField::Albumin
        | CaseField::Inr
        | CaseField::Systolic
        | CaseField::Pulse
        | CaseField::Melena
        | CaseField::Syncope
        | CaseField::HepaticDisease
        | CaseField::CardiacFailure
        | CaseField::Comorbidity
        | CaseField::AlteredMentalStatus
        | CaseField::PreviousLowerBleed
        | CaseField::BloodOnRectalExam
        | CaseField::ExportedGlasgowBlatchford
        | CaseField::ExportedRockall
        | CaseField::ExportedAims65
        | CaseField::ExportedOakland => return bleeding::heading(field),
        CaseField::RecordVersion
        | CaseField::AmendedAt
        | CaseField::Month
        | CaseField::Weekday
        | CaseField::Hour
        | CaseField::Shift
        | CaseField::AgeGroup
        | CaseField::Urgency
        | CaseField::WindowId
        | CaseField::WindowMinutes
        | CaseField::PreferredMinutes
        | CaseField::WindowStart
        | CaseField::GlasgowBlatchfordLow
        | CaseField::GlasgowBlatchfordHigh
        | CaseField::GlasgowBlatchford
        | CaseField::RockallLow
        | CaseField::RockallHigh
        | CaseField::Rockall
        | CaseField::Aims65Low
        | CaseField::Aims65High
        | CaseField::Aims65
        | CaseField::OaklandLow
        | CaseField::OaklandHigh
        | CaseField::Oakland => return None,
    })
}

/// The heading of a column of the passes export.
pub(super) fn pass_heading(field: PassField) -> &'static str {
    match field {
        PassField::CaseId => "Case no.",
        PassField::PassNumber => "Pass",
        PassField::Device => "Device",
        PassField::Result => "Result",
        PassField::Malfunction => "Device fault",
    }
}

pub(super) fn presentation(code: Presentation) -> &'static str {
    match code {
        Presentation::FoodImpaction => "Food stuck",
        Presentation::ForeignBody => "Object swallowed",
        Presentation::UpperBleed => "Bleeding - upper",
        Presentation::LowerBleed => "Bleeding - lower",
    }
}

pub(super) fn yes_no(code: YesNo) -> &'static str {
    match code {
        YesNo::Yes => "Y",
        YesNo::No => "N",
    }
}

pub(super) fn sex(code: Sex) -> &'static str {
    match code {
        Sex::Female => "F",
        Sex::Male => "M",
        Sex::Other => "X",
    }
}

pub(super) fn setting(code: Setting) -> &'static str {
    match code {
        Setting::EmergencyDepartment => "ED bay",
        Setting::Icu => "ICU bed",
        Setting::OperatingRoom => "OR",
        Setting::EndoscopyUnit => "Endoscopy room",
        Setting::Ward => "Ward bed",
    }
}

pub(super) fn object_type(code: ObjectType) -> &'static str {
    match code {
        ObjectType::FoodBolus => "meat / food",
        ObjectType::Bone => "bone",
        ObjectType::FishBone => "fish bone",
        ObjectType::Coin => "coin",
        ObjectType::DiscBattery => "button battery",
        ObjectType::CylindricalBattery => "AA/AAA battery",
        ObjectType::Magnet => "magnet",
        ObjectType::SharpObject => "needle, pin, glass",
        ObjectType::SmallBlunt => "small smooth thing",
        ObjectType::Long => "long thing (pen, spoon)",
        ObjectType::Wide => "ball or big toy part",
        ObjectType::Dental => "denture / crown",
        ObjectType::BlisterPack => "pill in blister",
        ObjectType::DrugPacket => "packet (do not pull)",
        ObjectType::Bezoar => "bezoar",
        ObjectType::Absorbent => "water bead",
        ObjectType::Medical => "tube, clip or capsule",
        ObjectType::OtherObject => "something else",
    }
}

pub(super) fn object_location(code: ObjectLocation) -> &'static str {
    match code {
        ObjectLocation::UpperEsophagus => "eso upper",
        ObjectLocation::MiddleEsophagus => "eso mid",
        ObjectLocation::LowerEsophagus => "eso lower",
        ObjectLocation::Esophagus => "eso",
        ObjectLocation::Stomach => "stomach",
        ObjectLocation::Duodenum => "duodenum",
        ObjectLocation::Beyond => "further down",
    }
}

pub(super) fn obstruction(code: Obstruction) -> &'static str {
    match code {
        Obstruction::Complete => "not even saliva",
        Obstruction::Partial => "liquids only",
        Obstruction::Unobstructed => "yes",
    }
}

pub(super) fn airway(code: Airway) -> &'static str {
    match code {
        Airway::Intubated => "tube",
        Airway::Sedated => "sedation",
        Airway::Awake => "awake",
    }
}

pub(super) fn outcome(code: Outcome) -> &'static str {
    match code {
        Outcome::Removed => "taken out",
        Outcome::Pushed => "pushed to stomach",
        Outcome::NotPresent => "gone on arrival of scope",
        Outcome::Failed => "could not get it",
        Outcome::Cancelled => "called off",
        Outcome::Transferred => "moved to other hospital",
        Outcome::Controlled => "bleeding stopped",
        Outcome::NotControlled => "still bleeding",
        Outcome::NoTreatmentNeeded => "nothing to treat",
    }
}

pub(super) fn adverse_event(code: AdverseEvent) -> &'static str {
    match code {
        AdverseEvent::NoEvent => "no",
        AdverseEvent::MucosalTear => "tear",
        AdverseEvent::Ulcer => "ulcer / erosion",
        AdverseEvent::Bleeding => "bled",
        AdverseEvent::Perforation => "perforation",
        AdverseEvent::Aspiration => "aspirated",
        AdverseEvent::Hypoxia => "low oxygen",
        AdverseEvent::Cardiac => "heart",
        AdverseEvent::Infection => "infection",
        AdverseEvent::DeviceFragment => "part of device left",
        AdverseEvent::Death => "died",
        AdverseEvent::OtherEvent => "something else",
    }
}

pub(super) fn missing_item(code: MissingItem) -> &'static str {
    match code {
        MissingItem::NothingMissing => "nothing",
        MissingItem::MissingScope => "scope",
        MissingItem::ProcessorOrLight => "processor / light",
        MissingItem::MissingSuction => "suction / water",
        MissingItem::Power => "battery flat",
        MissingItem::RetrievalDevice => "net or forceps",
        MissingItem::OvertubeOrHood => "overtube / hood",
        MissingItem::HemostasisDevice => "clips / needle",
        MissingItem::AirwaySet => "airway set",
        MissingItem::Monitor => "monitor",
        MissingItem::Drug => "drug",
        MissingItem::PrecleanKit => "pre-clean kit",
        MissingItem::ProtectiveEquipment => "gowns / gloves",
        MissingItem::SpecimenPot => "specimen pot",
        MissingItem::BiteBlock => "bite block",
        MissingItem::Form => "form",
        MissingItem::OtherItem => "something else",
    }
}

pub(super) fn adverse_scale(code: AdverseScale) -> &'static str {
    match code {
        AdverseScale::AsgeLexicon => "lexicon",
        AdverseScale::Agree => "AGREE",
    }
}

pub(super) fn adverse_grade(code: AdverseGrade) -> &'static str {
    match code {
        AdverseGrade::Incident => "incident",
        AdverseGrade::Mild => "mild",
        AdverseGrade::Moderate => "moderate",
        AdverseGrade::Severe => "severe",
        AdverseGrade::Fatal => "fatal",
        AdverseGrade::GradeOne => "I",
        AdverseGrade::GradeTwo => "II",
        AdverseGrade::GradeThreeA => "IIIa",
        AdverseGrade::GradeThreeB => "IIIb",
        AdverseGrade::GradeFourA => "IVa",
        AdverseGrade::GradeFourB => "IVb",
        AdverseGrade::GradeFive => "V",
    }
}

pub(super) fn device(code: Device) -> &'static str {
    match code {
        Device::ForcepsRat => "rat tooth",
        Device::ForcepsAlligator => "alligator",
        Device::ForcepsCombo => "rat/alligator",
        Device::ForcepsBiopsy => "biopsy forceps",
        Device::ForcepsOther => "rubber tip forceps",
        Device::Prong => "three-prong",
        Device::Snare => "snare",
        Device::Net => "net",
        Device::Basket => "basket",
        Device::Balloon => "balloon",
        Device::CapSuction => "cap + suction",
        Device::MagnetProbe => "magnet on wire",
        Device::PushTechnique => "push",
        Device::Suction => "suction only",
        Device::RigidScope => "rigid scope",
    }
}

pub(super) fn pass_result(code: PassResult) -> &'static str {
    match code {
        PassResult::ObjectRemoved => "out",
        PassResult::PieceRemoved => "piece out",
        PassResult::PushedOn => "into stomach",
        PassResult::PassFailed => "nothing",
    }
}
