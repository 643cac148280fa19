//! The Glasgow-Blatchford score of upper GI bleeding, 0 to 23.
//!
//! Blatchford O et al., Lancet 2000, from memory; the bands were verified in a table of BMC
//! Gastroenterology 2018. Copies that give syncope 1 point, or a maximum of 29, are wrong: their
//! points do not add up.

use super::{Bands, Bounds, if_present};
use crate::domain::codes::{GlasgowBlatchfordBand, Sex};

/// Its components; `None` where one was not recorded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct GlasgowBlatchford {
    /// Urea in micromoles per liter.
    pub urea_umol_l: Option<i64>,
    /// Hemoglobin in milligrams per deciliter.
    pub hemoglobin_mg_dl: Option<i64>,
    /// Sex; other than female or male is bounded by both, since hemoglobin has bands for two only.
    pub sex: Option<Sex>,
    /// Systolic blood pressure in mmHg.
    pub systolic_mmhg: Option<i64>,
    /// Pulse per minute.
    pub pulse_per_minute: Option<i64>,
    /// Melena.
    pub melena: Option<bool>,
    /// Syncope.
    pub syncope: Option<bool>,
    /// Hepatic disease.
    pub hepatic_disease: Option<bool>,
    /// Cardiac failure.
    pub cardiac_failure: Option<bool>,
}

/// From 6.5, 8, 10 and 25 mmol/L on.
const UREA: Bands = Bands {
    below: 0,
    from: &[(6_500, 2), (8_000, 3), (10_000, 4), (25_000, 6)],
};

/// From 10, 12 and 13 g/dL on.
const HEMOGLOBIN_OF_MEN: Bands = Bands {
    below: 6,
    from: &[(10_000, 3), (12_000, 1), (13_000, 0)],
};

/// From 10 and 12 g/dL on.
const HEMOGLOBIN_OF_WOMEN: Bands = Bands {
    below: 6,
    from: &[(10_000, 1), (12_000, 0)],
};

const SYSTOLIC: Bands = Bands {
    below: 3,
    from: &[(90, 2), (100, 1), (110, 0)],
};

const PULSE: Bands = Bands {
    below: 0,
    from: &[(100, 1)],
};

impl GlasgowBlatchford {
    /// The bounds of the score.
    pub fn bounds(&self) -> Bounds {
        UREA.bounds(self.urea_umol_l)
            + self.hemoglobin()
            + SYSTOLIC.bounds(self.systolic_mmhg)
            + PULSE.bounds(self.pulse_per_minute)
            + if_present(1, self.melena)
            + if_present(2, self.syncope)
            + if_present(2, self.hepatic_disease)
            + if_present(2, self.cardiac_failure)
    }

    fn hemoglobin(&self) -> Bounds {
        let men = HEMOGLOBIN_OF_MEN.bounds(self.hemoglobin_mg_dl);
        let women = HEMOGLOBIN_OF_WOMEN.bounds(self.hemoglobin_mg_dl);
        match self.sex {
            Some(Sex::Male) => men,
            Some(Sex::Female) => women,
            Some(Sex::Other) | None => Bounds {
                low: men.low.min(women.low),
                high: men.high.max(women.high),
            },
        }
    }

    /// The band of a score in tables.
    pub fn band(bounds: Bounds) -> GlasgowBlatchfordBand {
        match bounds.computed() {
            None if bounds.high <= 1 => GlasgowBlatchfordBand::CertainlyLow,
            None if bounds.low > 1 => GlasgowBlatchfordBand::CertainlyHigh,
            None => GlasgowBlatchfordBand::Open,
            Some(0..=1) => GlasgowBlatchfordBand::UpToOne,
            Some(2..=6) => GlasgowBlatchfordBand::TwoToSix,
            Some(7..=11) => GlasgowBlatchfordBand::SevenToEleven,
            Some(12..) => GlasgowBlatchfordBand::FromTwelve,
        }
    }
}
