//! Risk scores of a bleed from the components of its record, beside the scores of the export.
//!
//! Only for bleeds, only for adults, for whom the scores were made, and only where the mapping
//! gives a component besides age and sex. Knows no points: `domain::scores` does.

use super::cell::Value;
use super::mapping::Mapping;
use super::records::Record;
use super::windows::ADULT_YEARS;
use crate::domain::codes::{
    Aims65Band, BleedFinding, Comorbidity, GlasgowBlatchfordBand, OaklandBand, Presentation,
    RockallBand, Sex, Stigmata, YesNo,
};
use crate::domain::fields::{CaseField, Field};
use crate::domain::issue::{Issue, IssueCode, Position, Shape};
use crate::domain::scores::{Aims65, Bounds, GlasgowBlatchford, Oakland, Rockall};

/// Which scores an export has components for.
pub(super) struct Scores {
    has_glasgow_blatchford: bool,
    has_rockall: bool,
    has_aims65: bool,
    has_oakland: bool,
}

impl Scores {
    pub(super) fn new(mapping: &Mapping) -> Scores {
        let mapped: Vec<_> = mapping.mapped_case_fields().collect();
        let has_one = |fields: &[CaseField]| fields.iter().any(|field| mapped.contains(field));
        Scores {
            has_glasgow_blatchford: has_one(&[
                CaseField::Urea,
                CaseField::Hemoglobin,
                CaseField::Systolic,
                CaseField::Pulse,
                CaseField::Melena,
                CaseField::Syncope,
                CaseField::HepaticDisease,
                CaseField::CardiacFailure,
            ]),
            has_rockall: has_one(&[
                CaseField::Systolic,
                CaseField::Pulse,
                CaseField::Comorbidity,
                CaseField::BleedFinding,
                CaseField::Stigmata,
            ]),
            has_aims65: has_one(&[
                CaseField::Albumin,
                CaseField::Inr,
                CaseField::AlteredMentalStatus,
                CaseField::Systolic,
            ]),
            has_oakland: has_one(&[
                CaseField::PreviousLowerBleed,
                CaseField::BloodOnRectalExam,
                CaseField::Pulse,
                CaseField::Systolic,
                CaseField::Hemoglobin,
            ]),
        }
    }

    /// Adds the scores of a bleed, and notes those of the export that differ.
    pub(super) fn add(
        &self,
        record: &mut Record<'_, CaseField>,
        at: Position,
        issues: &mut Vec<Issue>,
    ) {
        let presentation = record.text(CaseField::Presentation);
        if presentation == Some(Presentation::UpperBleed.code()) {
            if self.has_glasgow_blatchford {
                let bounds = of_adult(record, glasgow_blatchford(record).bounds());
                let band = bounds.map(GlasgowBlatchford::band);
                let band = band.unwrap_or(GlasgowBlatchfordBand::GlasgowBlatchfordNotComputed);
                GLASGOW_BLATCHFORD.add(record, bounds, band.code(), at, issues);
            }
            if self.has_rockall {
                let bounds = of_adult(record, rockall(record).bounds());
                let band = bounds.map(Rockall::band);
                let band = band.unwrap_or(RockallBand::RockallNotComputed);
                ROCKALL.add(record, bounds, band.code(), at, issues);
            }
            if self.has_aims65 {
                let bounds = of_adult(record, aims65(record).bounds());
                let band = bounds.map(Aims65::band);
                let band = band.unwrap_or(Aims65Band::Aims65NotComputed);
                AIMS65.add(record, bounds, band.code(), at, issues);
            }
        } else if self.has_oakland && presentation == Some(Presentation::LowerBleed.code()) {
            let bounds = of_adult(record, oakland(record).bounds());
            let band = bounds.map(Oakland::band);
            let band = band.unwrap_or(OaklandBand::OaklandNotComputed);
            OAKLAND.add(record, bounds, band.code(), at, issues);
        }
    }
}

/// Where a score goes, and where the export gives it.
struct ScoreFields {
    low: CaseField,
    high: CaseField,
    band: CaseField,
    exported: CaseField,
}

const GLASGOW_BLATCHFORD: ScoreFields = ScoreFields {
    low: CaseField::GlasgowBlatchfordLow,
    high: CaseField::GlasgowBlatchfordHigh,
    band: CaseField::GlasgowBlatchford,
    exported: CaseField::ExportedGlasgowBlatchford,
};

const ROCKALL: ScoreFields = ScoreFields {
    low: CaseField::RockallLow,
    high: CaseField::RockallHigh,
    band: CaseField::Rockall,
    exported: CaseField::ExportedRockall,
};

const AIMS65: ScoreFields = ScoreFields {
    low: CaseField::Aims65Low,
    high: CaseField::Aims65High,
    band: CaseField::Aims65,
    exported: CaseField::ExportedAims65,
};

const OAKLAND: ScoreFields = ScoreFields {
    low: CaseField::OaklandLow,
    high: CaseField::OaklandHigh,
    band: CaseField::Oakland,
    exported: CaseField::ExportedOakland,
};

impl ScoreFields {
    /// `bounds` is `None` for a child.
    fn add(
        &self,
        record: &mut Record<'_, CaseField>,
        bounds: Option<Bounds>,
        band: &'static str,
        at: Position,
        issues: &mut Vec<Issue>,
    ) {
        record.set(self.band, Value::Code(band));
        let Some(bounds) = bounds else {
            return;
        };
        record.set(self.low, Value::Whole(i64::from(bounds.low)));
        record.set(self.high, Value::Whole(i64::from(bounds.high)));
        let exported = record.whole(self.exported);
        if exported.is_some_and(|exported| !bounds.allow(exported)) {
            let name = self.exported.name();
            let code = IssueCode::ScoreDiffers;
            issues.push(Issue::of_cell(at, code, name, Shape::Digits));
        }
    }
}

/// The bounds, unless the patient is known to be a child.
fn of_adult(record: &Record<'_, CaseField>, bounds: Bounds) -> Option<Bounds> {
    let age = record.whole(CaseField::AgeYears);
    age.is_none_or(|age| age >= ADULT_YEARS).then_some(bounds)
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
