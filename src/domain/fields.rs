//! The columns of the typed records: every field of a case and of a pass, declared once.
//!
//! The mapping, the cell parsers, the Arrow schema, the second engine of the tests and the
//! labels in the report all read this list, so a new field is one line here.

use super::codes::{AdultOrChild, WhyNotJudged};
use super::codes::{
    AdverseEvent, AdverseGrade, AdverseScale, AgeGroup, Airway, CodeList, Device, FewPasses,
    MissingItem, NOT_RECORDED, ObjectLocation, ObjectType, Obstruction, Outcome, PassResult,
    PassesInCase, Presentation, Setting, Sex, Shift, Urgency, Weekday, YesNo,
};
use super::codes::{
    Aims65Band, BleedFinding, Comorbidity, Forrest, GlasgowBlatchfordBand, Hemostasis, OaklandBand,
    Rescue, RockallBand, Stigmata,
};
use super::quantities::Quantity;

/// What a field holds, and so how its cells are read and how its column is typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Opaque text that is kept as it stands (a key or a site).
    Text,
    /// A word of a closed list.
    Code(CodeList),
    /// A moment, kept as whole minutes: UTC since 1970-01-01 00:00 (clock form) or since the
    /// call (elapsed form).
    Minute,
    /// A whole number within bounds, both included.
    Whole {
        /// Smallest value accepted.
        min: i64,
        /// Largest value accepted.
        max: i64,
    },
    /// An age in years; from 90 on only "90 or more" is kept.
    Age {
        /// Largest age accepted.
        max: i64,
    },
    /// A calendar month, text `YYYY-MM`.
    Month,
    /// A laboratory quantity, kept as a whole number of the unit in which its column ends.
    Quantity(Quantity),
}

impl Kind {
    /// Whether a column of this kind holds text; otherwise it holds 64-bit whole numbers.
    pub const fn is_text(self) -> bool {
        matches!(self, Kind::Text | Kind::Code(_) | Kind::Month)
    }
}

/// Who gives a field its value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// A column of the export.
    Export,
    /// Ingest, from the call time (clock form), or a column of the export (elapsed form).
    CallTime,
    /// Ingest, from other fields; never a column of the export.
    Derived,
}

/// What the mapping and the reader need to know of a field, be it of a case or of a pass.
pub trait Field: Copy + Ord + Send + Sync + 'static {
    /// Every field, in column order.
    const ALL: &'static [Self];

    /// Place of the field in `ALL`.
    fn index(self) -> usize;

    /// The name in the mapping and in messages.
    fn name(self) -> &'static str;

    /// The column of the typed records. Times end in `_minute` there.
    fn column(self) -> &'static str;

    /// What the field holds.
    fn kind(self) -> Kind;

    /// The words that a reader sees.
    fn label(self) -> &'static str;

    /// Who gives the field its value.
    fn origin(self) -> Origin;

    /// The field of that name; `None` when there is none.
    fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|field| field.name() == name)
    }
}

macro_rules! fields {
    (
        $(#[$doc:meta])* $name:ident {
            $($variant:ident = $field:literal $column:literal, $kind:expr, $origin:ident, $label:literal;)+
        }
    ) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name { $(#[doc = $label] $variant,)+ }

        impl Field for $name {
            const ALL: &'static [$name] = &[$($name::$variant,)+];

            fn index(self) -> usize {
                self as usize
            }

            fn name(self) -> &'static str {
                match self { $($name::$variant => $field,)+ }
            }

            fn column(self) -> &'static str {
                match self { $($name::$variant => $column,)+ }
            }

            fn kind(self) -> Kind {
                match self { $($name::$variant => $kind,)+ }
            }

            fn label(self) -> &'static str {
                match self { $($name::$variant => $label,)+ }
            }

            fn origin(self) -> Origin {
                match self { $($name::$variant => Origin::$origin,)+ }
            }
        }
    };
}

/// Longest age that is kept as it is; above it every age reads 90, as de-identification asks.
pub const AGE_CAP: i64 = 90;

/// No case has more passes.
const MOST_PASSES: i64 = 200;

const YES_NO: Kind = Kind::Code(YesNo::LIST);

/// Whole days from the first scope; a longer follow-up than ten years is a slip of the pen.
const DAYS: Kind = whole(0, 3650);

const fn whole(min: i64, max: i64) -> Kind {
    Kind::Whole { min, max }
}

fields! {
    /// Fields of a case.
    CaseField {
        CaseId = "case_id" "case_id", Kind::Text, Export, "case number";
        Site = "site" "site", Kind::Text, Export, "site";
        Presentation = "presentation" "presentation", Kind::Code(Presentation::LIST), Export, "presentation";
        OnsetAt = "onset_at" "onset_minute", Kind::Minute, Export, "onset of symptoms";
        ArrivedAt = "arrived_at" "arrived_minute", Kind::Minute, Export, "arrival";
        CalledAt = "called_at" "called_minute", Kind::Minute, Export, "call";
        TeamAt = "team_at" "team_minute", Kind::Minute, Export, "team complete";
        CartAt = "cart_at" "cart_minute", Kind::Minute, Export, "cart at the bedside";
        AirwayAt = "airway_at" "airway_minute", Kind::Minute, Export, "airway ready";
        ScopeInAt = "scope_in_at" "scope_in_minute", Kind::Minute, Export, "scope in";
        OvertubeAt = "overtube_at" "overtube_minute", Kind::Minute, Export, "overtube placed";
        RemovedAt = "removed_at" "removed_minute", Kind::Minute, Export, "object out";
        ScopeOutAt = "scope_out_at" "scope_out_minute", Kind::Minute, Export, "scope out";
        PrecleanAt = "preclean_at" "preclean_minute", Kind::Minute, Export, "bedside pre-clean started";
        PrecleanEndAt = "preclean_end_at" "preclean_end_minute", Kind::Minute, Export, "bedside pre-clean ended";
        HandoverAt = "handover_at" "handover_minute", Kind::Minute, Export, "scope handed to reprocessing";
        ManualCleanAt = "manual_clean_at" "manual_clean_minute", Kind::Minute, Export, "manual cleaning started";
        EndedAt = "ended_at" "ended_minute", Kind::Minute, Export, "case cancelled or transferred";
        ReleasedAt = "released_at" "released_minute", Kind::Minute, Export, "team free again";
        RecordVersion = "record_version" "record_version", Kind::Whole { min: 0, max: 1_000_000_000 }, Export, "version of the record";
        AmendedAt = "amended_at" "amended_minute", Kind::Minute, Export, "record amended";
        Month = "month" "month", Kind::Month, CallTime, "month of the call";
        Weekday = "weekday" "weekday", Kind::Code(Weekday::LIST), CallTime, "weekday of the call";
        Hour = "hour" "hour", Kind::Whole { min: 0, max: 23 }, CallTime, "hour of the call";
        Shift = "shift" "shift", Kind::Code(Shift::LIST), Derived, "shift";
        AgeYears = "age_years" "age_years", Kind::Age { max: 120 }, Export, "age in years";
        AgeGroup = "age_group" "age_group", Kind::Code(AgeGroup::LIST), Derived, "age group";
        Sex = "sex" "sex", Kind::Code(Sex::LIST), Export, "sex";
        Setting = "setting" "setting", Kind::Code(Setting::LIST), Export, "setting";
        ObjectType = "object_type" "object_type", Kind::Code(ObjectType::LIST), Export, "object type";
        ObjectLocation = "object_location" "object_location", Kind::Code(ObjectLocation::LIST), Export, "object location";
        Obstruction = "obstruction" "obstruction", Kind::Code(Obstruction::LIST), Export, "obstruction";
        Sharp = "sharp" "sharp", YES_NO, Export, "sharp object";
        Symptoms = "symptoms" "symptoms", YES_NO, Export, "symptoms";
        ObjectLength = "object_length_mm" "object_length_mm", Kind::Whole { min: 1, max: 1000 }, Export, "object length in mm";
        ObjectWidth = "object_width_mm" "object_width_mm", Kind::Whole { min: 1, max: 1000 }, Export, "object width in mm";
        VaricealSuspected = "variceal_suspected" "variceal_suspected", YES_NO, Export, "variceal bleeding suspected";
        Airway = "airway" "airway", Kind::Code(Airway::LIST), Export, "airway";
        Overtube = "overtube" "overtube", YES_NO, Export, "overtube";
        OvertubePass = "overtube_pass" "overtube_pass", Kind::Whole { min: 1, max: MOST_PASSES }, Export, "pass before which the overtube was placed";
        Hood = "hood" "hood", YES_NO, Export, "protector hood";
        Cap = "cap" "cap", YES_NO, Export, "transparent cap";
        Outcome = "outcome" "outcome", Kind::Code(Outcome::LIST), Export, "outcome";
        OnePiece = "one_piece" "one_piece", YES_NO, Export, "out in one piece";
        BiopsiesTaken = "biopsies_taken" "biopsies_taken", YES_NO, Export, "biopsies taken";
        BiopsyNotIndicated = "biopsy_not_indicated" "biopsy_not_indicated", YES_NO, Export, "biopsy not indicated";
        Treatment = "treatment" "treatment", Kind::Code(Hemostasis::LIST), Export, "treatment of the bleed";
        BleedFinding = "bleed_finding" "bleed_finding", Kind::Code(BleedFinding::LIST), Export, "source of the bleed";
        Forrest = "forrest" "forrest", Kind::Code(Forrest::LIST), Export, "Forrest class";
        Stigmata = "stigmata" "stigmata", Kind::Code(Stigmata::LIST), Export, "stigmata of recent bleeding";
        Rescue = "rescue" "rescue", Kind::Code(Rescue::LIST), Export, "rescue treatment";
        TransfusedUnits = "transfused_units" "transfused_units", whole(0, 200), Export, "units of red cells transfused";
        FollowedDays = "followed_days" "followed_days", DAYS, Export, "days followed";
        RebleedDays = "rebleed_days" "rebleed_days", DAYS, Export, "days to rebleeding";
        DeathDays = "death_days" "death_days", DAYS, Export, "days to death";
        Urea = "urea" "urea_umol_l", Kind::Quantity(Quantity::Urea), Export, "urea";
        Hemoglobin = "hemoglobin" "hemoglobin_mg_dl", Kind::Quantity(Quantity::Hemoglobin), Export, "hemoglobin";
        Albumin = "albumin" "albumin_mg_dl", Kind::Quantity(Quantity::Albumin), Export, "albumin";
        Inr = "inr" "inr_thousandths", Kind::Quantity(Quantity::Inr), Export, "INR";
        Systolic = "systolic" "systolic_mmhg", whole(40, 260), Export, "systolic blood pressure";
        Pulse = "pulse" "pulse_bpm", whole(20, 250), Export, "pulse";
        Melena = "melena" "melena", YES_NO, Export, "melena";
        Syncope = "syncope" "syncope", YES_NO, Export, "syncope";
        HepaticDisease = "hepatic_disease" "hepatic_disease", YES_NO, Export, "hepatic disease";
        CardiacFailure = "cardiac_failure" "cardiac_failure", YES_NO, Export, "cardiac failure";
        Comorbidity = "comorbidity" "comorbidity", Kind::Code(Comorbidity::LIST), Export, "comorbidity";
        AlteredMentalStatus = "altered_mental_status" "altered_mental_status", YES_NO, Export, "altered mental status";
        PreviousLowerBleed = "previous_lower_bleed" "previous_lower_bleed", YES_NO, Export, "previous lower GI bleed";
        BloodOnRectalExam = "blood_on_rectal_exam" "blood_on_rectal_exam", YES_NO, Export, "blood on rectal exam";
        ExportedGlasgowBlatchford = "exported_glasgow_blatchford" "exported_glasgow_blatchford", whole(0, 23), Export, "Glasgow-Blatchford score of the export";
        ExportedRockall = "exported_rockall" "exported_rockall", whole(0, 11), Export, "Rockall score of the export";
        ExportedAims65 = "exported_aims65" "exported_aims65", whole(0, 5), Export, "AIMS65 of the export";
        ExportedOakland = "exported_oakland" "exported_oakland", whole(0, 35), Export, "Oakland score of the export";
        AdverseEvent = "adverse_event" "adverse_event", Kind::Code(AdverseEvent::LIST), Export, "adverse event";
        AdverseScale = "adverse_scale" "adverse_scale", Kind::Code(AdverseScale::LIST), Export, "scale of adverse events";
        AdverseGrade = "adverse_grade" "adverse_grade", Kind::Code(AdverseGrade::LIST), Export, "grade of the adverse event";
        CartComplete = "cart_complete" "cart_complete", YES_NO, Export, "cart complete";
        MissingItem = "missing_item" "missing_item", Kind::Code(MissingItem::LIST), Export, "item missing from the cart";
        Malfunction = "malfunction" "malfunction", YES_NO, Export, "equipment malfunction";
        PrecleanDone = "preclean_done" "preclean_done", YES_NO, Export, "bedside pre-clean done";
        Urgency = "urgency" "urgency", Kind::Code(Urgency::LIST), Derived, "urgency";
        WindowId = "window_id" "window_id", Kind::Text, Derived, "guideline window";
        WindowMinutes = "window_minutes" "window_minutes", Kind::Whole { min: 0, max: 43_200 }, Derived, "longest time within the window in minutes";
        PreferredMinutes = "preferred_minutes" "preferred_minutes", Kind::Whole { min: 0, max: 43_200 }, Derived, "preferred time of the window in minutes";
        WindowStart = "window_start" "window_start_minute", Kind::Minute, Derived, "start of the window";
        GlasgowBlatchfordLow = "glasgow_blatchford_low" "glasgow_blatchford_low", whole(0, 23), Derived, "lowest possible Glasgow-Blatchford score";
        GlasgowBlatchfordHigh = "glasgow_blatchford_high" "glasgow_blatchford_high", whole(0, 23), Derived, "highest possible Glasgow-Blatchford score";
        GlasgowBlatchford = "glasgow_blatchford" "glasgow_blatchford", Kind::Code(GlasgowBlatchfordBand::LIST), Derived, "Glasgow-Blatchford score";
        RockallLow = "rockall_low" "rockall_low", whole(0, 11), Derived, "lowest possible Rockall score";
        RockallHigh = "rockall_high" "rockall_high", whole(0, 11), Derived, "highest possible Rockall score";
        Rockall = "rockall" "rockall", Kind::Code(RockallBand::LIST), Derived, "Rockall score";
        Aims65Low = "aims65_low" "aims65_low", whole(0, 5), Derived, "lowest possible AIMS65";
        Aims65High = "aims65_high" "aims65_high", whole(0, 5), Derived, "highest possible AIMS65";
        Aims65 = "aims65" "aims65", Kind::Code(Aims65Band::LIST), Derived, "AIMS65";
        OaklandLow = "oakland_low" "oakland_low", whole(0, 35), Derived, "lowest possible Oakland score";
        OaklandHigh = "oakland_high" "oakland_high", whole(0, 35), Derived, "highest possible Oakland score";
        Oakland = "oakland" "oakland", Kind::Code(OaklandBand::LIST), Derived, "Oakland score";
    }
}

fields! {
    /// Fields of a pass: one device going down once.
    PassField {
        CaseId = "case_id" "case_id", Kind::Text, Export, "case number";
        PassNumber = "pass_number" "pass_number", Kind::Whole { min: 1, max: MOST_PASSES }, Export, "number of the pass";
        Device = "device" "device", Kind::Code(Device::LIST), Export, "device";
        Result = "result" "result", Kind::Code(PassResult::LIST), Export, "result of the pass";
        Malfunction = "malfunction" "malfunction", YES_NO, Export, "device malfunction";
    }
}

/// The heading that a reader sees for a dimension of the count tables.
pub fn dimension_label(dimension: &str) -> &str {
    kind_and_label(dimension).map_or(dimension, |(_, label)| label)
}

/// The words for a value of a dimension; a value without words (a site, a month) is its own label.
pub fn value_label<'a>(dimension: &str, value: &'a str) -> &'a str {
    if value == NOT_RECORDED {
        return "not recorded";
    }
    code_list(dimension)
        .and_then(|list| list.label(value))
        .unwrap_or(value)
}

/// The closed list of a coded column of either kind of record, or of a dimension that a measure
/// works out; `None` for any other column.
pub fn code_list(column: &str) -> Option<CodeList> {
    match kind_and_label(column)? {
        (Kind::Code(list), _) => Some(list),
        _ => None,
    }
}

/// Dimensions that a measure works out in its query, so that no record has such a column: name,
/// values, and the words that a reader sees.
pub const COMPUTED_DIMENSIONS: &[(&str, CodeList, &str)] = &[
    ("next_device", Device::LIST, "next device"),
    ("protective_aid", YesNo::LIST, "protective aid"),
    ("why_not_judged", WhyNotJudged::LIST, "why not judged"),
    ("adult_or_child", AdultOrChild::LIST, "adults or children"),
    ("passes_in_case", PassesInCase::LIST, "passes of the case"),
    (
        "passes_before_overtube",
        FewPasses::LIST,
        "passes before the overtube",
    ),
    (
        "passes_after_overtube",
        FewPasses::LIST,
        "passes through the overtube",
    ),
];

fn kind_and_label(column: &str) -> Option<(Kind, &'static str)> {
    let of_case = CaseField::ALL.iter().find(|field| field.column() == column);
    let of_pass = PassField::ALL.iter().find(|field| field.column() == column);
    of_case
        .map(|field| (field.kind(), field.label()))
        .or(of_pass.map(|field| (field.kind(), field.label())))
        .or_else(|| {
            COMPUTED_DIMENSIONS
                .iter()
                .find(|(name, ..)| *name == column)
                .map(|(_, list, label)| (Kind::Code(*list), *label))
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn names_and_columns_are_unique_and_times_say_their_unit() {
        let names: BTreeSet<_> = CaseField::ALL.iter().map(|field| field.name()).collect();
        let columns: BTreeSet<_> = CaseField::ALL.iter().map(|field| field.column()).collect();
        assert_eq!(names.len(), CaseField::ALL.len());
        assert_eq!(columns.len(), CaseField::ALL.len());
        for field in CaseField::ALL {
            let is_time = matches!(field.kind(), Kind::Minute);
            assert_eq!(
                field.column().ends_with("_minute"),
                is_time,
                "{}",
                field.name()
            );
            assert_eq!(CaseField::named(field.name()), Some(*field));
        }
        let of_passes: Vec<_> = PassField::ALL.iter().map(|field| field.column()).collect();
        for (name, ..) in COMPUTED_DIMENSIONS {
            assert!(
                !columns.contains(name) && !of_passes.contains(name),
                "{name}"
            );
        }
    }

    #[test]
    fn values_read_as_words() {
        assert_eq!(value_label("device", "net"), "retrieval net");
        assert_eq!(value_label("object_type", "other"), "other object");
        assert_eq!(value_label("sex", "other"), "other");
        assert_eq!(value_label("site", "Alder"), "Alder");
        assert_eq!(value_label("device", "not_recorded"), "not recorded");
        assert_eq!(dimension_label("object_type"), "object type");
        assert_eq!(value_label("passes_in_case", "4_up"), "4 or more");
        assert_eq!(dimension_label("next_device"), "next device");
    }
}
