//! AIMS65 of upper GI bleeding, 0 to 5.
//!
//! Saltzman JR et al., Gastrointest Endosc 2011;74:1215-24. Copies with an age above 65, or a
//! pressure below 90, deviate from it.

use super::{Bands, Bounds, if_present};
use crate::domain::codes::Aims65Band;

/// Its components; `None` where one was not recorded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Aims65 {
    /// Albumin in milligrams per deciliter.
    pub albumin_mg_dl: Option<i64>,
    /// INR in thousandths.
    pub inr_thousandths: Option<i64>,
    /// Glasgow coma scale below 14, or disoriented, lethargic, stuporous or comatose.
    pub altered_mental_status: Option<bool>,
    /// Systolic blood pressure in mmHg.
    pub systolic_mmhg: Option<i64>,
    /// Age in years.
    pub age_years: Option<i64>,
}

/// Below 3.0 g/dL.
const ALBUMIN: Bands = Bands {
    below: 1,
    from: &[(3_000, 0)],
};

/// Above 1.5.
const INR: Bands = Bands {
    below: 0,
    from: &[(1_501, 1)],
};

/// 90 mmHg and less.
const SYSTOLIC: Bands = Bands {
    below: 1,
    from: &[(91, 0)],
};

const AGE: Bands = Bands {
    below: 0,
    from: &[(65, 1)],
};

impl Aims65 {
    /// The bounds of the score.
    pub fn bounds(&self) -> Bounds {
        ALBUMIN.bounds(self.albumin_mg_dl)
            + INR.bounds(self.inr_thousandths)
            + if_present(1, self.altered_mental_status)
            + SYSTOLIC.bounds(self.systolic_mmhg)
            + AGE.bounds(self.age_years)
    }

    /// The band of a score in tables.
    pub fn band(bounds: Bounds) -> Aims65Band {
        match bounds.computed() {
            None if bounds.high <= 1 => Aims65Band::CertainlyLow,
            None if bounds.low > 1 => Aims65Band::CertainlyHigh,
            None => Aims65Band::Open,
            Some(0) => Aims65Band::Zero,
            Some(1) => Aims65Band::One,
            Some(2) => Aims65Band::Two,
            Some(3..) => Aims65Band::FromThree,
        }
    }
}
