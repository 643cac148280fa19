//! Age, sex and bedside of the invented patients.
//!
//! Knows the reason for the call and the object; knows nothing of times or outcomes.

use super::draws::{Draws, whole};
use crate::domain::codes::{ObjectType, Presentation, Setting, Sex};

/// Who was scoped, and where.
pub(super) struct Patient {
    pub(super) age_years: i64,
    pub(super) sex: Sex,
    pub(super) setting: Setting,
}

/// Draws a patient.
pub(super) fn draw(
    draws: &mut Draws,
    presentation: Presentation,
    object_type: Option<ObjectType>,
) -> Patient {
    Patient {
        age_years: draw_age(draws, presentation, object_type),
        sex: draw_sex(draws, presentation),
        setting: draw_setting(draws, presentation),
    }
}

fn draw_age(draws: &mut Draws, presentation: Presentation, object: Option<ObjectType>) -> i64 {
    let share_of_children = match object {
        Some(ObjectType::Coin | ObjectType::DiscBattery) => 0.75,
        Some(ObjectType::Magnet | ObjectType::Absorbent) => 0.6,
        Some(ObjectType::SmallBlunt) => 0.4,
        Some(ObjectType::FoodBolus) => 0.03,
        Some(_) => 0.05,
        None => 0.0,
    };
    if draws.chance(share_of_children) {
        return draws.minutes(4.0, 0.6).min(17);
    }
    let (mean, spread) = match presentation {
        Presentation::FoodImpaction => (57.0, 18.0),
        Presentation::ForeignBody => (41.0, 16.0),
        Presentation::UpperBleed => (65.0, 15.0),
        Presentation::LowerBleed => (70.0, 13.0),
    };
    whole(mean + spread * draws.normal()).clamp(18, 101)
}

fn draw_sex(draws: &mut Draws, presentation: Presentation) -> Sex {
    let male = match presentation {
        Presentation::FoodImpaction => 64.0,
        Presentation::ForeignBody => 57.0,
        Presentation::UpperBleed => 61.0,
        Presentation::LowerBleed => 52.0,
    };
    let other = 0.5;
    draws.pick(&[
        (Sex::Male, male),
        (Sex::Female, 100.0 - male - other),
        (Sex::Other, other),
    ])
}

fn draw_setting(draws: &mut Draws, presentation: Presentation) -> Setting {
    let [emergency, icu, operating, unit, ward] = match presentation {
        Presentation::FoodImpaction | Presentation::ForeignBody => [76.0, 2.0, 8.0, 11.0, 3.0],
        Presentation::UpperBleed => [38.0, 32.0, 3.0, 8.0, 19.0],
        Presentation::LowerBleed => [30.0, 22.0, 1.0, 15.0, 32.0],
    };
    draws.pick(&[
        (Setting::EmergencyDepartment, emergency),
        (Setting::Icu, icu),
        (Setting::OperatingRoom, operating),
        (Setting::EndoscopyUnit, unit),
        (Setting::Ward, ward),
    ])
}
