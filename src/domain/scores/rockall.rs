//! The Rockall score of upper GI bleeding: complete 0 to 11, and 0 to 7 before endoscopy.
//!
//! Rockall TA et al., Gut 1996, from memory; the table was verified in three copies. These print
//! "> 100" and leave open what 100 itself scores: that a pulse of 100 counts and a pressure of 100
//! does not is a convention from memory.

use super::{Bands, Bounds};
use crate::domain::codes::{BleedFinding, Comorbidity, RockallBand, Stigmata};

/// Its components; `None` where one was not recorded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rockall {
    /// Age in years.
    pub age_years: Option<i64>,
    /// Systolic blood pressure in mmHg.
    pub systolic_mmhg: Option<i64>,
    /// Pulse per minute.
    pub pulse_per_minute: Option<i64>,
    /// Other diseases.
    pub comorbidity: Option<Comorbidity>,
    /// What endoscopy found.
    pub finding: Option<BleedFinding>,
    /// Stigmata of recent bleeding.
    pub stigmata: Option<Stigmata>,
}

const AGE: Bands = Bands {
    below: 0,
    from: &[(60, 1), (80, 2)],
};

/// From here on the pulse is that of shock; below it, the systolic pressure is.
const SHOCK: i64 = 100;

impl Rockall {
    /// The bounds of the complete score.
    pub fn bounds(&self) -> Bounds {
        self.before_endoscopy() + self.at_endoscopy()
    }

    /// The bounds of the part that is known before endoscopy.
    pub fn before_endoscopy(&self) -> Bounds {
        AGE.bounds(self.age_years) + self.shock() + self.comorbidity()
    }

    fn shock(&self) -> Bounds {
        let is_low_pressure = self.systolic_mmhg.map(|systolic| systolic < SHOCK);
        let is_fast_pulse = self.pulse_per_minute.map(|pulse| pulse >= SHOCK);
        Bounds::around(each(is_low_pressure).flat_map(|is_low_pressure| {
            each(is_fast_pulse).map(
                move |is_fast_pulse| match (is_low_pressure, is_fast_pulse) {
                    (true, _) => 2,
                    (false, true) => 1,
                    (false, false) => 0,
                },
            )
        }))
    }

    fn comorbidity(&self) -> Bounds {
        let points = |comorbidity| match comorbidity {
            Comorbidity::NoneMajor => 0,
            Comorbidity::Major => 2,
            Comorbidity::Severe => 3,
        };
        Bounds::around(one_or_all(self.comorbidity, Comorbidity::ALL).map(points))
    }

    /// Diagnosis and stigmata together: no lesion has no points only where there are no stigmata.
    fn at_endoscopy(&self) -> Bounds {
        Bounds::around(
            one_or_all(self.finding, BleedFinding::ALL).flat_map(|finding| {
                one_or_all(self.stigmata, Stigmata::ALL).map(move |stigmata| {
                    let of_stigmata = match stigmata {
                        Stigmata::NoneOrDarkSpot => 0,
                        Stigmata::BloodSeen | Stigmata::ClotSeen | Stigmata::VesselSeen => 2,
                    };
                    let of_finding = match finding {
                        BleedFinding::MalloryWeiss => 0,
                        BleedFinding::NoLesion if of_stigmata == 0 => 0,
                        BleedFinding::Malignancy => 2,
                        _ => 1,
                    };
                    of_finding + of_stigmata
                })
            }),
        )
    }

    /// The band of a complete score in tables.
    pub fn band(bounds: Bounds) -> RockallBand {
        match bounds.computed() {
            None if bounds.high <= 2 => RockallBand::CertainlyLow,
            None if bounds.low > 2 => RockallBand::CertainlyHigh,
            None => RockallBand::Open,
            Some(0..=2) => RockallBand::UpToTwo,
            Some(3..=4) => RockallBand::ThreeToFour,
            Some(5..=7) => RockallBand::FiveToSeven,
            Some(8..) => RockallBand::FromEight,
        }
    }
}

/// The value, or both where it is missing.
fn each(value: Option<bool>) -> impl Iterator<Item = bool> + Clone {
    one_or_all(value, &[false, true])
}

fn one_or_all<T: Copy>(value: Option<T>, all: &'static [T]) -> impl Iterator<Item = T> + Clone {
    let missing = if value.is_none() { all } else { &[] };
    value.into_iter().chain(missing.iter().copied())
}
