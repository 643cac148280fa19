//! Laboratory quantities: the units in which exports write them, the unit in which records keep
//! them, and the range outside which a value is a slip of the pen.
//!
//! Knows no field and no file.

/// A unit that an export may use. `stored = written * numerator / denominator`, and what lies
/// behind the last stored digit is cut off: every band of a score but one begins at its lower edge,
/// so cutting moves no value over an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LaboratoryUnit {
    /// The word in the mapping.
    pub code: &'static str,
    /// What may stand behind the number in a cell.
    pub sign: &'static str,
    /// Numerator of the factor.
    pub numerator: u32,
    /// Denominator of the factor.
    pub denominator: u32,
}

/// A quantity whose number means nothing without its unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Urea in serum, kept in micromoles per liter.
    Urea,
    /// Hemoglobin in blood, kept in milligrams per deciliter.
    Hemoglobin,
    /// Albumin in serum, kept in milligrams per deciliter.
    Albumin,
    /// International normalized ratio, kept in thousandths; it has no unit.
    Inr,
}

/// Urea nitrogen in mg/dL divided by 2.8 gives urea in mmol/L: the factor that makes 18.2, 22.4, 28
/// and 70 mg/dL the edges 6.5, 8, 10 and 25 mmol/L of the Glasgow-Blatchford score. Plain mg/dL is
/// left out, since it may mean urea itself, which is 2.1 times as much.
const UREA: &[LaboratoryUnit] = &[
    unit("mmol/L", "mmol/L", 1000, 1),
    unit("BUN mg/dL", "mg/dL", 2500, 7),
];

/// mmol/L is left out: the literature has two factors, by the whole molecule and by its quarter.
const GRAMS: &[LaboratoryUnit] = &[unit("g/dL", "g/dL", 1000, 1), unit("g/L", "g/L", 100, 1)];

const RATIO: &[LaboratoryUnit] = &[unit("", "", 1000, 1)];

const fn unit(
    code: &'static str,
    sign: &'static str,
    numerator: u32,
    denominator: u32,
) -> LaboratoryUnit {
    LaboratoryUnit {
        code,
        sign,
        numerator,
        denominator,
    }
}

impl Quantity {
    /// The units that can be declared; for a quantity without a unit the one that needs no word.
    pub const fn units(self) -> &'static [LaboratoryUnit] {
        match self {
            Quantity::Urea => UREA,
            Quantity::Hemoglobin | Quantity::Albumin => GRAMS,
            Quantity::Inr => RATIO,
        }
    }

    /// Whether a mapping has to declare a unit.
    pub const fn has_unit(self) -> bool {
        !matches!(self, Quantity::Inr)
    }

    /// Smallest and largest value accepted, in the stored unit: urea 0.5 to 80 mmol/L, hemoglobin 20
    /// to 220 g/L, albumin 8 to 60 g/L, INR 0.6 to 15. Proposals of this project without a source.
    pub const fn range(self) -> (i64, i64) {
        match self {
            Quantity::Urea => (500, 80_000),
            Quantity::Hemoglobin => (2_000, 22_000),
            Quantity::Albumin => (800, 6_000),
            Quantity::Inr => (600, 15_000),
        }
    }
}
