//! The Oakland score of lower GI bleeding, 0 to 35.
//!
//! Oakland K et al., Lancet Gastroenterol Hepatol 2017;2:635-43; the table was verified in three
//! copies that agree. Some print the lowest bands as "50-89" and "3.6-6.9": those are the ranges of
//! their data, and the bands here are open.

use super::{Bands, Bounds, if_present};
use crate::domain::codes::{OaklandBand, Sex};

/// Its components; `None` where one was not recorded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Oakland {
    /// Age in years.
    pub age_years: Option<i64>,
    /// Sex; other than female or male is bounded by both.
    pub sex: Option<Sex>,
    /// An earlier admission for lower GI bleeding.
    pub previous_lower_bleed: Option<bool>,
    /// Blood found on rectal exam.
    pub blood_on_rectal_exam: Option<bool>,
    /// Pulse per minute.
    pub pulse_per_minute: Option<i64>,
    /// Systolic blood pressure in mmHg.
    pub systolic_mmhg: Option<i64>,
    /// Hemoglobin in milligrams per deciliter.
    pub hemoglobin_mg_dl: Option<i64>,
}

const AGE: Bands = Bands {
    below: 0,
    from: &[(40, 1), (70, 2)],
};

const PULSE: Bands = Bands {
    below: 0,
    from: &[(70, 1), (90, 2), (110, 3)],
};

const SYSTOLIC: Bands = Bands {
    below: 5,
    from: &[(90, 4), (120, 3), (130, 2), (160, 0)],
};

/// From 70, 90, 110, 130 and 160 g/L on.
const HEMOGLOBIN: Bands = Bands {
    below: 22,
    from: &[
        (7_000, 17),
        (9_000, 13),
        (11_000, 8),
        (13_000, 4),
        (16_000, 0),
    ],
};

impl Oakland {
    /// The bounds of the score.
    pub fn bounds(&self) -> Bounds {
        let is_male = match self.sex {
            Some(Sex::Male) => Some(true),
            Some(Sex::Female) => Some(false),
            Some(Sex::Other) | None => None,
        };
        AGE.bounds(self.age_years)
            + if_present(1, is_male)
            + if_present(1, self.previous_lower_bleed)
            + if_present(1, self.blood_on_rectal_exam)
            + PULSE.bounds(self.pulse_per_minute)
            + SYSTOLIC.bounds(self.systolic_mmhg)
            + HEMOGLOBIN.bounds(self.hemoglobin_mg_dl)
    }

    /// The band of a score in tables.
    pub fn band(bounds: Bounds) -> OaklandBand {
        match bounds.computed() {
            None if bounds.high <= 8 => OaklandBand::CertainlyLow,
            None if bounds.low > 8 => OaklandBand::CertainlyHigh,
            None => OaklandBand::Open,
            Some(0..=8) => OaklandBand::UpToEight,
            Some(9..=14) => OaklandBand::NineToFourteen,
            Some(15..=24) => OaklandBand::FifteenToTwentyFour,
            Some(25..) => OaklandBand::FromTwentyFive,
        }
    }
}
