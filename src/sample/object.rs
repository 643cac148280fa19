//! What is stuck, where, and how tightly: objects of an invented service by plausible frequency.
//!
//! Knows nothing of times, devices or outcomes.

use super::draws::Draws;
use crate::domain::codes::{ObjectLocation, ObjectType, Obstruction, Presentation};

/// What is stuck.
#[derive(Clone, Copy)]
pub(super) struct Finding {
    pub(super) object_type: ObjectType,
    pub(super) sharp: bool,
    pub(super) location: ObjectLocation,
    pub(super) obstruction: Obstruction,
}

const FOOD: [(ObjectType, f64); 4] = [
    (ObjectType::FoodBolus, 82.0),
    (ObjectType::FishBone, 9.0),
    (ObjectType::Bone, 7.0),
    (ObjectType::Bezoar, 2.0),
];

const OBJECTS: [(ObjectType, f64); 13] = [
    (ObjectType::SharpObject, 29.0),
    (ObjectType::Coin, 24.0),
    (ObjectType::SmallBlunt, 9.0),
    (ObjectType::Dental, 8.0),
    (ObjectType::DiscBattery, 6.0),
    (ObjectType::Long, 6.0),
    (ObjectType::BlisterPack, 5.0),
    (ObjectType::Magnet, 3.0),
    (ObjectType::Wide, 3.0),
    (ObjectType::Medical, 3.0),
    (ObjectType::CylindricalBattery, 2.0),
    (ObjectType::OtherObject, 1.5),
    (ObjectType::Absorbent, 0.5),
];

/// The finding of a case of food or an object; `None` for a bleed.
pub(super) fn draw(draws: &mut Draws, presentation: Presentation) -> Option<Finding> {
    let object_type = match presentation {
        Presentation::FoodImpaction => draws.pick(&FOOD),
        Presentation::ForeignBody => draws.pick(&OBJECTS),
        Presentation::UpperBleed | Presentation::LowerBleed => return None,
    };
    let sharp = draws.chance(share_sharp(object_type));
    let location = draw_location(draws, object_type);
    Some(Finding {
        object_type,
        sharp,
        location,
        obstruction: draw_obstruction(draws, object_type, location),
    })
}

fn share_sharp(object_type: ObjectType) -> f64 {
    match object_type {
        ObjectType::SharpObject | ObjectType::FishBone => 1.0,
        ObjectType::BlisterPack => 0.6,
        ObjectType::Bone => 0.5,
        ObjectType::Dental => 0.4,
        ObjectType::Long => 0.15,
        _ => 0.0,
    }
}

fn draw_location(draws: &mut Draws, object_type: ObjectType) -> ObjectLocation {
    let weights = match object_type {
        ObjectType::FoodBolus | ObjectType::Bezoar => [18.0, 24.0, 55.0, 3.0, 0.0, 0.0],
        ObjectType::FishBone | ObjectType::Bone => [62.0, 18.0, 15.0, 5.0, 0.0, 0.0],
        ObjectType::Coin => [55.0, 14.0, 10.0, 2.0, 19.0, 0.0],
        ObjectType::DiscBattery => [48.0, 12.0, 8.0, 2.0, 30.0, 0.0],
        ObjectType::SharpObject => [34.0, 12.0, 10.0, 2.0, 34.0, 8.0],
        ObjectType::Long => [10.0, 8.0, 12.0, 2.0, 58.0, 10.0],
        _ => [30.0, 15.0, 15.0, 3.0, 33.0, 4.0],
    };
    let [upper, middle, lower, level_not_stated, stomach, duodenum] = weights;
    draws.pick(&[
        (ObjectLocation::UpperEsophagus, upper),
        (ObjectLocation::MiddleEsophagus, middle),
        (ObjectLocation::LowerEsophagus, lower),
        (ObjectLocation::Esophagus, level_not_stated),
        (ObjectLocation::Stomach, stomach),
        (ObjectLocation::Duodenum, duodenum),
    ])
}

/// Only an object in the esophagus can block it.
fn draw_obstruction(
    draws: &mut Draws,
    object_type: ObjectType,
    location: ObjectLocation,
) -> Obstruction {
    let in_esophagus = !matches!(location, ObjectLocation::Stomach | ObjectLocation::Duodenum);
    let [complete, partial, unobstructed] = match object_type {
        _ if !in_esophagus => [0.0, 0.0, 1.0],
        ObjectType::FoodBolus | ObjectType::Bezoar => [50.0, 45.0, 5.0],
        _ => [8.0, 42.0, 50.0],
    };
    draws.pick(&[
        (Obstruction::Complete, complete),
        (Obstruction::Partial, partial),
        (Obstruction::Unobstructed, unobstructed),
    ])
}
