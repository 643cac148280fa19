//! Risk scores of a bleed from the components of its record, beside the scores of the export.
//!
//! Only for bleeds, only for adults, for whom the scores were made, and only where the mapping
//! gives a component besides age and sex. Knows no points: `domain::scores` does.

use super::cell::Value;
use super::mapping::Mapping;
use super::records::Record;
use super::windows::ADULT_YEARS;
use crate::domain::codes::{
    BleedFinding, Comorbidity, OaklandBand, Presentation, Sex, Stigmata, YesNo,
};
use crate::domain::fields::{CaseField, Field};
use crate::domain::issue::{Issue, IssueCode, Position, Shape};
use crate::domain::scores::{Aims65, Bounds, GlasgowBlatchford, Oakland, Rockall};

/// The scores for which an export has components.
pub(super) struct Scores {
    upper: Vec<&'static Score>,
    lower: Vec<&'static Score>,
}

impl Scores {
    pub(super) fn new(mapping: &Mapping) -> Scores {
        let mapped: Vec<_> = mapping.mapped_case_fields().collect();
        let has_one = |score: &&Score| {
            let mut components = score.components.iter();
            components.any(|field| mapped.contains(field))
        };
        Scores {
            upper: UPPER.iter().filter(has_one).collect(),
            lower: LOWER.iter().filter(has_one).collect(),
        }
    }

    /// Adds the scores of a bleed, and notes those of the export that differ.
    pub(super) fn add(
        &self,
        record: &mut Record<'_, CaseField>,
        at: Position,
        issues: &mut Vec<Issue>,
    ) {
        if self.upper.is_empty() && self.lower.is_empty() {
            return;
        }
        let presentation = record.text(CaseField::Presentation);
        let scores = if presentation == Some(Presentation::UpperBleed.code()) {
            &self.upper
        } else if presentation == Some(Presentation::LowerBleed.code()) {
            &self.lower
        } else {
            return;
        };
        for score in scores {
            score.add(record, at, issues);
        }
    }
}

/// A score: from what it is made, where it goes, and where the export gives it.
struct Score {
    /// Without age and sex, which every export has.
    components: &'static [CaseField],
    /// Bounds, and the code of their band.
    of: fn(&Record<'_, CaseField>) -> (Bounds, &'static str),
    low: CaseField,
    high: CaseField,
    band: CaseField,
    exported: CaseField,
}

/// Scores of upper GI bleeding.
static UPPER: [Score; 3] = [
    Score {
        components: &[
            CaseField::Urea,
            CaseField::Hemoglobin,
            CaseField::Systolic,
            CaseField::Pulse,
            CaseField::Melena,
            CaseField::Syncope,
            CaseField::HepaticDisease,
            CaseField::CardiacFailure,
        ],
        of: |record| {
            let bounds = glasgow_blatchford(record).bounds();
            (bounds, GlasgowBlatchford::band(bounds).code())
        },
        low: CaseField::GlasgowBlatchfordLow,
        high: CaseField::GlasgowBlatchfordHigh,
        band: CaseField::GlasgowBlatchford,
        exported: CaseField::ExportedGlasgowBlatchford,
    },
    Score {
        components: &[
            CaseField::Systolic,
            CaseField::Pulse,
            CaseField::Comorbidity,
            CaseField::BleedFinding,
            CaseField::Stigmata,
        ],
        of: |record| {
            let bounds = rockall(record).bounds();
            (bounds, Rockall::band(bounds).code())
        },
        low: CaseField::RockallLow,
        high: CaseField::RockallHigh,
        band: CaseField::Rockall,
        exported: CaseField::ExportedRockall,
    },
    Score {
        components: &[
            CaseField::Albumin,
            CaseField::Inr,
            CaseField::AlteredMentalStatus,
            CaseField::Systolic,
        ],
        of: |record| {
            let bounds = aims65(record).bounds();
            (bounds, Aims65::band(bounds).code())
        },
        low: CaseField::Aims65Low,
        high: CaseField::Aims65High,
        band: CaseField::Aims65,
        exported: CaseField::ExportedAims65,
    },
];

/// Scores of lower GI bleeding.
static LOWER: [Score; 1] = [Score {
    components: &[
        CaseField::PreviousLowerBleed,
        CaseField::BloodOnRectalExam,
        CaseField::Pulse,
        CaseField::Systolic,
        CaseField::Hemoglobin,
    ],
    of: |record| {
        let bounds = oakland(record).bounds();
        (bounds, Oakland::band(bounds).code())
    },
    low: CaseField::OaklandLow,
    high: CaseField::OaklandHigh,
    band: CaseField::Oakland,
    exported: CaseField::ExportedOakland,
}];

/// The band of a child, in every list of bands.
const NOT_COMPUTED: &str = OaklandBand::OaklandNotComputed.code();

impl Score {
    fn add(&self, record: &mut Record<'_, CaseField>, at: Position, issues: &mut Vec<Issue>) {
        let age = record.whole(CaseField::AgeYears);
        if age.is_some_and(|age| age < ADULT_YEARS) {
            record.set(self.band, Value::Code(NOT_COMPUTED));
            return;
        }
        let (bounds, band) = (self.of)(record);
        record.set(self.low, Value::Whole(i64::from(bounds.low)));
        record.set(self.high, Value::Whole(i64::from(bounds.high)));
        record.set(self.band, Value::Code(band));
        let exported = record.whole(self.exported);
        if exported.is_some_and(|exported| !bounds.allow(exported)) {
            let name = self.exported.name();
            let code = IssueCode::ScoreDiffers;
            issues.push(Issue::of_cell(at, code, name, Shape::Digits));
        }
    }
}

fn glasgow_blatchford(record: &Record<'_, CaseField>) -> GlasgowBlatchford {
    GlasgowBlatchford {
        urea_umol_l: record.whole(CaseField::Urea),
        hemoglobin_mg_dl: record.whole(CaseField::Hemoglobin),
        sex: code(record, CaseField::Sex, Sex::ALL, Sex::code),
        systolic_mmhg: record.whole(CaseField::Systolic),
        pulse_per_minute: record.whole(CaseField::Pulse),
        melena: is_yes(record, CaseField::Melena),
        syncope: is_yes(record, CaseField::Syncope),
        hepatic_disease: is_yes(record, CaseField::HepaticDisease),
        cardiac_failure: is_yes(record, CaseField::CardiacFailure),
    }
}

fn rockall(record: &Record<'_, CaseField>) -> Rockall {
    let field = CaseField::Comorbidity;
    Rockall {
        age_years: record.whole(CaseField::AgeYears),
        systolic_mmhg: record.whole(CaseField::Systolic),
        pulse_per_minute: record.whole(CaseField::Pulse),
        comorbidity: code(record, field, Comorbidity::ALL, Comorbidity::code),
        finding: code(
            record,
            CaseField::BleedFinding,
            BleedFinding::ALL,
            BleedFinding::code,
        ),
        stigmata: code(record, CaseField::Stigmata, Stigmata::ALL, Stigmata::code),
    }
}

fn aims65(record: &Record<'_, CaseField>) -> Aims65 {
    Aims65 {
        albumin_mg_dl: record.whole(CaseField::Albumin),
        inr_thousandths: record.whole(CaseField::Inr),
        altered_mental_status: is_yes(record, CaseField::AlteredMentalStatus),
        systolic_mmhg: record.whole(CaseField::Systolic),
        age_years: record.whole(CaseField::AgeYears),
    }
}

fn oakland(record: &Record<'_, CaseField>) -> Oakland {
    Oakland {
        age_years: record.whole(CaseField::AgeYears),
        sex: code(record, CaseField::Sex, Sex::ALL, Sex::code),
        previous_lower_bleed: is_yes(record, CaseField::PreviousLowerBleed),
        blood_on_rectal_exam: is_yes(record, CaseField::BloodOnRectalExam),
        pulse_per_minute: record.whole(CaseField::Pulse),
        systolic_mmhg: record.whole(CaseField::Systolic),
        hemoglobin_mg_dl: record.whole(CaseField::Hemoglobin),
    }
}

/// `None` when it was not recorded.
fn is_yes(record: &Record<'_, CaseField>, field: CaseField) -> Option<bool> {
    record.text(field).map(|code| code == YesNo::Yes.code())
}

fn code<T: Copy>(
    record: &Record<'_, CaseField>,
    field: CaseField,
    all: &[T],
    code_of: fn(T) -> &'static str,
) -> Option<T> {
    let code = record.text(field)?;
    all.iter().copied().find(|known| code_of(*known) == code)
}

#[cfg(test)]
mod tests;
