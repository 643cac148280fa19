//! Of which cases a field is asked, so that a blank can be told from "does not apply".
//!
//! Knows which field goes with which cases, and no record: ingest finds out what a case is.

use super::fields::CaseField;

/// The cases that a field is asked of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AskedOf {
    /// Every case.
    Every,
    /// Food impaction or a foreign body.
    Object,
    /// A bleed.
    Bleed,
    /// An upper GI bleed.
    UpperBleed,
    /// A lower GI bleed.
    LowerBleed,
    /// A bleeding ulcer.
    Ulcer,
    /// Not cancelled or transferred before the scope, as far as recorded.
    Scoped,
    /// The same, with an object.
    ScopedObject,
    /// The same, with impacted food.
    ScopedFood,
    /// The same, with a bleed.
    ScopedBleed,
    /// The same, and not recorded as without bedside pre-clean.
    Precleaned,
    /// The object was removed.
    Removed,
    /// Cancelled or transferred.
    CalledOff,
    /// With an overtube.
    WithOvertube,
    /// With an adverse event.
    WithHarm,
    /// The cart was recorded as not complete.
    CartNotComplete,
}

impl AskedOf {
    /// Every kind, in the order of their numbers.
    pub const ALL: [AskedOf; 16] = [
        AskedOf::Every,
        AskedOf::Object,
        AskedOf::Bleed,
        AskedOf::UpperBleed,
        AskedOf::LowerBleed,
        AskedOf::Ulcer,
        AskedOf::Scoped,
        AskedOf::ScopedObject,
        AskedOf::ScopedFood,
        AskedOf::ScopedBleed,
        AskedOf::Precleaned,
        AskedOf::Removed,
        AskedOf::CalledOff,
        AskedOf::WithOvertube,
        AskedOf::WithHarm,
        AskedOf::CartNotComplete,
    ];

    /// The cases in words, after "of".
    pub const fn words(self) -> &'static str {
        match self {
            AskedOf::Every => "all cases",
            AskedOf::Object => "cases with food or an object",
            AskedOf::Bleed => "bleeds",
            AskedOf::UpperBleed => "upper GI bleeds",
            AskedOf::LowerBleed => "lower GI bleeds",
            AskedOf::Ulcer => "bleeding ulcers",
            AskedOf::Scoped => "cases not called off before the scope",
            AskedOf::ScopedObject => "cases with food or an object not called off before the scope",
            AskedOf::ScopedFood => "food impactions not called off before the scope",
            AskedOf::ScopedBleed => "bleeds not called off before the scope",
            AskedOf::Precleaned => "cases with a scope and not without pre-clean",
            AskedOf::Removed => "cases whose object was removed",
            AskedOf::CalledOff => "cases cancelled or transferred",
            AskedOf::WithOvertube => "cases with an overtube",
            AskedOf::WithHarm => "cases with an adverse event",
            AskedOf::CartNotComplete => "cases whose cart was not complete",
        }
    }

    /// The cases that a field is asked of. `None` where a blank is an answer of its own (no
    /// rebleeding, no earlier version) or ingest fills the field.
    pub const fn of(field: CaseField) -> Option<AskedOf> {
        use CaseField as Is;
        Some(match field {
            Is::CaseId
            | Is::Site
            | Is::Presentation
            | Is::OnsetAt
            | Is::ArrivedAt
            | Is::CalledAt
            | Is::Month
            | Is::Weekday
            | Is::Hour
            | Is::AgeYears
            | Is::Sex
            | Is::Setting
            | Is::ReleasedAt
            | Is::Outcome => AskedOf::Every,
            Is::ObjectType
            | Is::ObjectLocation
            | Is::Obstruction
            | Is::Sharp
            | Is::Symptoms
            | Is::ObjectLength
            | Is::ObjectWidth => AskedOf::Object,
            Is::TransfusedUnits | Is::FollowedDays | Is::Hemoglobin | Is::Systolic | Is::Pulse => {
                AskedOf::Bleed
            }
            Is::VaricealSuspected
            | Is::Urea
            | Is::Albumin
            | Is::Inr
            | Is::Melena
            | Is::Syncope
            | Is::HepaticDisease
            | Is::CardiacFailure
            | Is::Comorbidity
            | Is::AlteredMentalStatus
            | Is::ExportedGlasgowBlatchford
            | Is::ExportedRockall
            | Is::ExportedAims65 => AskedOf::UpperBleed,
            Is::PreviousLowerBleed | Is::BloodOnRectalExam | Is::ExportedOakland => {
                AskedOf::LowerBleed
            }
            Is::Forrest => AskedOf::Ulcer,
            Is::TeamAt
            | Is::CartAt
            | Is::AirwayAt
            | Is::Airway
            | Is::ScopeInAt
            | Is::ScopeOutAt
            | Is::PrecleanDone
            | Is::HandoverAt
            | Is::ManualCleanAt
            | Is::AdverseEvent
            | Is::CartComplete
            | Is::Malfunction => AskedOf::Scoped,
            Is::Overtube | Is::Hood | Is::Cap => AskedOf::ScopedObject,
            Is::BiopsiesTaken => AskedOf::ScopedFood,
            Is::Treatment | Is::BleedFinding | Is::Stigmata | Is::Rescue => AskedOf::ScopedBleed,
            Is::PrecleanAt | Is::PrecleanEndAt => AskedOf::Precleaned,
            Is::RemovedAt | Is::OnePiece => AskedOf::Removed,
            Is::EndedAt => AskedOf::CalledOff,
            Is::OvertubeAt | Is::OvertubePass => AskedOf::WithOvertube,
            Is::AdverseScale | Is::AdverseGrade => AskedOf::WithHarm,
            Is::MissingItem => AskedOf::CartNotComplete,
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fields::{Field, Origin};

    #[test]
    fn each_field_of_an_export_is_asked_of_some_cases_or_its_blank_is_an_answer() {
        let blank_is_an_answer = [
            "record_version",
            "amended_at",
            "biopsy_not_indicated",
            "rebleed_days",
            "death_days",
        ];
        for field in CaseField::ALL {
            let is_asked = AskedOf::of(*field).is_some();
            let should =
                field.origin() != Origin::Derived && !blank_is_an_answer.contains(&field.name());
            assert_eq!(is_asked, should, "{}", field.name());
        }
    }

    #[test]
    fn numbers_are_places_in_the_list() {
        for (place, asked_of) in AskedOf::ALL.iter().enumerate() {
            assert_eq!(*asked_of as usize, place);
        }
    }
}
