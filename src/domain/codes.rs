//! Closed lists of coded words. A word that stands in no list is an issue, never a new code.

/// Defines a closed enum whose every variant has a stable code (for machines) and a label (for people).
macro_rules! codes {
    ($(
        $(#[$doc:meta])*
        $name:ident { $($(#[$variant_doc:meta])* $variant:ident = $code:literal $label:literal,)+ }
    )+) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name { $(#[doc = $label] $(#[$variant_doc])* $variant,)+ }

        impl $name {
            /// Every variant, in the order in which reports list them.
            pub const ALL: &'static [$name] = &[$($name::$variant,)+];
            /// Code and label of every variant, in the same order.
            pub const LIST: CodeList = CodeList {
                name: stringify!($name),
                words: &[$(Word { code: $code, label: $label },)+],
            };

            /// The stable code that stands in records, tables and mappings.
            pub const fn code(self) -> &'static str {
                match self { $($name::$variant => $code,)+ }
            }

            /// The words that a reader sees.
            pub const fn label(self) -> &'static str {
                match self { $($name::$variant => $label,)+ }
            }
        }
    )+

        /// Every closed list of this file.
        #[cfg(test)]
        pub(super) const LISTS: &[CodeList] = &[$($name::LIST,)+];
    };
}

mod bleeding;

pub use bleeding::{
    Aims65Band, BleedFinding, Comorbidity, Forrest, GlasgowBlatchfordBand, Hemostasis, OaklandBand,
    Rescue, RockallBand, Stigmata,
};

/// One coded word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Word {
    /// Stable, lowercase, snake case.
    pub code: &'static str,
    /// What a reader sees.
    pub label: &'static str,
}

/// A closed list of coded words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CodeList {
    /// The Rust name of the enum, for developers' messages.
    pub name: &'static str,
    /// The words, in the order in which reports list them.
    pub words: &'static [Word],
}

impl CodeList {
    /// The position of `code` in the list; `None` when the list does not hold it.
    pub fn position(&self, code: &str) -> Option<usize> {
        self.words.iter().position(|word| word.code == code)
    }

    /// The label of `code`; `None` when the list does not hold it.
    pub fn label(&self, code: &str) -> Option<&'static str> {
        self.position(code).map(|index| self.words[index].label)
    }
}

/// The code that stands in a count table where a record has no value for a dimension.
pub const NOT_RECORDED: &str = "not_recorded";

codes! {
    /// Why the service was called.
    Presentation {
        FoodImpaction = "food_impaction" "food impaction",
        ForeignBody = "foreign_body" "foreign body",
        UpperBleed = "upper_bleed" "upper GI bleeding",
        LowerBleed = "lower_bleed" "lower GI bleeding",
    }

    /// A recorded yes or no. A blank is neither: the value is missing.
    YesNo {
        Yes = "yes" "yes",
        No = "no" "no",
    }

    /// Sex as recorded in the export.
    Sex {
        Female = "female" "female",
        Male = "male" "male",
        Other = "other" "other",
    }

    /// Where the endoscopy took place.
    Setting {
        EmergencyDepartment = "emergency_department" "emergency department",
        Icu = "icu" "intensive care unit",
        OperatingRoom = "operating_room" "operating room",
        EndoscopyUnit = "endoscopy_unit" "endoscopy unit",
        Ward = "ward" "ward",
    }

    /// Class of the object. One class per case; `sharp` is a flag of its own.
    ObjectType {
        FoodBolus = "food_bolus" "food without bone",
        Bone = "bone" "bone",
        FishBone = "fish_bone" "fish bone",
        Coin = "coin" "coin",
        DiscBattery = "disc_battery" "disc battery",
        CylindricalBattery = "cyl_battery" "cylindrical battery",
        Magnet = "magnet" "magnet",
        SharpObject = "sharp" "sharp or pointed object",
        SmallBlunt = "blunt_small" "small blunt object",
        Long = "long" "long object",
        Wide = "wide" "wide object",
        Dental = "dental" "denture or crown",
        BlisterPack = "blister_pack" "blister pack",
        DrugPacket = "drug_packet" "drug packet",
        Bezoar = "bezoar" "bezoar",
        Absorbent = "absorbent" "superabsorbent object",
        Medical = "medical" "medical device part",
        OtherObject = "other" "other object",
    }

    /// Where the object was seen.
    ObjectLocation {
        UpperEsophagus = "upper_esophagus" "upper esophagus",
        MiddleEsophagus = "middle_esophagus" "middle esophagus",
        LowerEsophagus = "lower_esophagus" "lower esophagus",
        Esophagus = "esophagus" "esophagus, level not stated",
        Stomach = "stomach" "stomach",
        Duodenum = "duodenum" "duodenum",
        Beyond = "beyond" "beyond the duodenum",
    }

    /// Whether the esophagus was blocked. Complete means that saliva cannot be swallowed.
    Obstruction {
        Complete = "complete" "complete obstruction",
        Partial = "partial" "partial obstruction",
        Unobstructed = "none" "no obstruction",
    }

    /// How the airway was managed.
    Airway {
        Intubated = "intubated" "intubated",
        Sedated = "sedated" "sedated, not intubated",
        Awake = "awake" "awake",
    }

    /// How the case ended. The last three are for bleeds.
    Outcome {
        Removed = "removed" "removed",
        Pushed = "pushed" "pushed into the stomach",
        NotPresent = "not_present" "already gone",
        Failed = "failed" "not retrieved",
        Cancelled = "cancelled" "cancelled",
        Transferred = "transferred" "transferred",
        Controlled = "controlled" "bleeding controlled",
        NotControlled = "not_controlled" "bleeding not controlled",
        NoTreatmentNeeded = "no_treatment_needed" "no treatment needed",
    }

    /// Kind of adverse event; `none` is recorded absence, not a blank.
    AdverseEvent {
        NoEvent = "none" "no adverse event",
        MucosalTear = "mucosal_tear" "mucosal tear",
        Ulcer = "ulcer" "ulcer or erosion",
        Bleeding = "bleeding" "bleeding",
        Perforation = "perforation" "perforation",
        Aspiration = "aspiration" "aspiration",
        Hypoxia = "hypoxia" "hypoxia or sedation event",
        Cardiac = "cardiac" "cardiac event",
        Infection = "infection" "infection",
        DeviceFragment = "device_fragment" "device fragment left",
        Death = "death" "death",
        OtherEvent = "other" "other adverse event",
    }

    /// What a check of a cart can find.
    CartFault {
        ItemMissing = "missing_item" "item missing",
        BelowPar = "below_par" "below par",
        Expired = "expired" "expired",
        FoundOpen = "found_open" "found open",
        DeviceFailure = "device_failure" "device failure",
        NotCharged = "not_charged" "not charged",
        WrongScope = "wrong_scope" "wrong scope",
        OtherFault = "other_fault" "other fault",
    }

    /// How a case ended, seen from the cart that was brought to it.
    CaseEnding {
        FinishedThere = "finished" "finished, and the items are recorded",
        LeftCart = "left_cart" "finished by rigid endoscopy, away from the cart",
        ItemsUnknown = "items_unknown" "finished, and what finished it is not recorded",
        SeveralKinds = "several_kinds" "treated in several ways at once, which is not recorded",
        OtherKind = "other_kind" "treated in another way, which is not recorded",
        NothingToDo = "nothing_to_do" "already gone, or nothing to treat",
        NotFinished = "not_finished" "not retrieved, or bleeding not controlled",
        CalledOff = "called_off" "cancelled or transferred",
        OutcomeUnknown = "outcome_unknown" "outcome not recorded",
    }

    /// What the cart lacked, as a class of things; `none` is recorded absence of a gap, not a blank.
    MissingItem {
        NothingMissing = "none" "nothing missing",
        MissingScope = "scope" "scope",
        ProcessorOrLight = "processor_or_light" "processor or light source",
        MissingSuction = "suction" "suction, water or gas",
        Power = "power" "power or battery",
        RetrievalDevice = "retrieval_device" "retrieval device",
        OvertubeOrHood = "overtube_or_hood" "overtube or hood",
        HemostasisDevice = "hemostasis_device" "hemostasis device",
        AirwaySet = "airway_set" "airway set or oxygen",
        Monitor = "monitor" "monitor",
        Drug = "drug" "drug",
        PrecleanKit = "preclean_kit" "pre-clean kit",
        ProtectiveEquipment = "protective_equipment" "protective equipment",
        SpecimenPot = "specimen_pot" "specimen pot",
        BiteBlock = "bite_block" "bite block",
        Form = "form" "form",
        OtherItem = "other" "other item",
    }

    /// The scale on which an adverse event was graded. No grade is ever converted.
    AdverseScale {
        AsgeLexicon = "asge_lexicon" "ASGE lexicon",
        Agree = "agree" "AGREE",
    }

    /// Grade of an adverse event. The first five are of the ASGE lexicon, the others of AGREE; see
    /// [`super::harm`].
    AdverseGrade {
        Incident = "incident" "incident",
        Mild = "mild" "mild",
        Moderate = "moderate" "moderate",
        Severe = "severe" "severe",
        Fatal = "fatal" "fatal",
        GradeOne = "grade_1" "grade 1",
        GradeTwo = "grade_2" "grade 2",
        GradeThreeA = "grade_3a" "grade 3a",
        GradeThreeB = "grade_3b" "grade 3b",
        GradeFourA = "grade_4a" "grade 4a",
        GradeFourB = "grade_4b" "grade 4b",
        GradeFive = "grade_5" "grade 5",
    }

    /// What went down the scope, or what did the work at its tip.
    /// Overtube, hood and cap as aids are fields of the case, not devices.
    Device {
        ForcepsRat = "forceps_rat" "rat-tooth forceps",
        ForcepsAlligator = "forceps_alligator" "alligator forceps",
        ForcepsCombo = "forceps_combo" "rat-tooth and alligator forceps",
        ForcepsBiopsy = "forceps_biopsy" "biopsy forceps",
        ForcepsOther = "forceps_other" "other forceps",
        Prong = "prong" "pronged grasper",
        Snare = "snare" "snare",
        Net = "net" "retrieval net",
        Basket = "basket" "wire basket",
        Balloon = "balloon" "retrieval balloon",
        CapSuction = "cap" "cap with suction",
        MagnetProbe = "magnet_probe" "magnet probe",
        PushTechnique = "push" "push technique",
        Suction = "suction" "scope suction alone",
        RigidScope = "rigid" "rigid endoscopy",
    }

    /// How one pass of a device ended.
    PassResult {
        ObjectRemoved = "removed" "object removed",
        PieceRemoved = "piece" "piece removed",
        PushedOn = "pushed" "pushed into the stomach",
        PassFailed = "failed" "failed",
    }

    /// Why a case is not held against the window of a guideline.
    WhyNotJudged {
        Judged = "judged" "judged",
        NotAssignable = "not_assignable" "no window assignable",
        NoTime = "no_time" "the guideline gives no time",
        NoStart = "no_start" "start of the window not recorded",
        NoScopeIn = "no_scope_in" "scope in not recorded",
        OutOfRange = "out_of_range" "scope in before the start or more than 30 days after it",
    }

    /// Children are patients under 18 years.
    AdultOrChild {
        Adult = "adult" "adults",
        Child = "child" "children",
    }

    /// How many passes a case took.
    PassesInCase {
        OnePass = "1" "1",
        TwoPasses = "2" "2",
        ThreePasses = "3" "3",
        FourOrMore = "4_up" "4 or more",
    }

    /// How many passes lay on one side of a moment of the case.
    FewPasses {
        NoPass = "0" "none",
        OneSuch = "1" "1",
        TwoSuch = "2" "2",
        ThreeOrMore = "3_up" "3 or more",
    }

    /// Day of the week of the call.
    Weekday {
        Monday = "mon" "Monday",
        Tuesday = "tue" "Tuesday",
        Wednesday = "wed" "Wednesday",
        Thursday = "thu" "Thursday",
        Friday = "fri" "Friday",
        Saturday = "sat" "Saturday",
        Sunday = "sun" "Sunday",
    }

    /// Whether the call came in the hours that the mapping calls staffed.
    Shift {
        InHours = "in_hours" "in hours",
        AfterHours = "after_hours" "after hours",
    }

    /// Age bands of the tables; `pediatric` is under 18 years.
    AgeGroup {
        Pediatric = "pediatric" "under 18 years",
        YoungAdult = "18_39" "18 to 39 years",
        MiddleAdult = "40_64" "40 to 64 years",
        OlderAdult = "65_79" "65 to 79 years",
        OldestAdult = "80_up" "80 years and over",
    }

    /// Urgency class of the guideline window that fits the case.
    Urgency {
        Emergent = "emergent" "emergent",
        Urgent = "urgent" "urgent",
        NonUrgent = "non_urgent" "non-urgent",
        /// A guideline speaks of the case and gives no time.
        NoWindow = "no_window" "no window by the guideline",
        NotAssignable = "not_assignable" "window not assignable",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn codes_are_snake_case_and_unique_within_their_list() {
        for list in LISTS.iter().chain(bleeding::LISTS) {
            let mut seen = BTreeMap::new();
            for (index, word) in list.words.iter().enumerate() {
                assert!(
                    word.code
                        .chars()
                        .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_'),
                    "{} in {}",
                    word.code,
                    list.name
                );
                assert_eq!(seen.insert(word.code, index), None, "{}", word.code);
                assert_eq!(list.position(word.code), Some(index));
            }
        }
    }
}
