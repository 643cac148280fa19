//! Which device goes down how often until the object is out or the team gives up.
//!
//! Knows the object; knows nothing of times or of the rest of the case.

use super::draws::Draws;
use super::truths::{COIN_NET_SUCCESS, COIN_RAT_TOOTH_SUCCESS, usual};
use crate::domain::codes::{Device, ObjectType, PassResult};

/// One device going down once.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pass {
    pub(super) device: Device,
    pub(super) result: PassResult,
    /// Only a pass that fails can be the fault of a device, so faults change no success rate.
    pub(super) device_fault: bool,
}

/// Chance that a device fault is recorded.
const DEVICE_FAULT_SHARE: f64 = 0.06;
/// After a pass that failed: chance to try the same device again.
const SAME_DEVICE_AGAIN: f64 = 0.5;
/// No team goes on beyond this.
const MOST_PASSES: usize = 12;

/// The passes of one case, at least one. The case succeeds when the last one does.
pub(super) fn draw(draws: &mut Draws, object_type: ObjectType) -> Vec<Pass> {
    let choices = devices(object_type);
    let mut passes: Vec<Pass> = Vec::with_capacity(4);
    let mut device = draws.pick(choices);
    loop {
        let result = draw_result(draws, object_type, device);
        let failed = result == PassResult::PassFailed;
        passes.push(Pass {
            device,
            result,
            device_fault: failed && draws.chance(DEVICE_FAULT_SHARE),
        });
        let gives_up =
            failed && (passes.len() >= MOST_PASSES || draws.chance(usual::GIVE_UP_SHARE));
        if gives_up || is_success(result) {
            return passes;
        }
        if failed && !draws.chance(SAME_DEVICE_AGAIN) {
            device = draws.pick(choices);
        }
    }
}

/// Whether a pass with this result ends the retrieval well.
pub(super) fn is_success(result: PassResult) -> bool {
    matches!(result, PassResult::ObjectRemoved | PassResult::PushedOn)
}

/// The devices that a team takes for an object, by how readily.
fn devices(object_type: ObjectType) -> &'static [(Device, f64)] {
    match object_type {
        ObjectType::FoodBolus | ObjectType::Bezoar => &[
            (Device::PushTechnique, 30.0),
            (Device::Net, 20.0),
            (Device::CapSuction, 20.0),
            (Device::Snare, 12.0),
            (Device::ForcepsRat, 7.0),
            (Device::Basket, 6.0),
            (Device::ForcepsAlligator, 5.0),
        ],
        ObjectType::Coin => &[(Device::Net, 50.0), (Device::ForcepsRat, 50.0)],
        ObjectType::DiscBattery | ObjectType::CylindricalBattery => &[
            (Device::Net, 70.0),
            (Device::Basket, 15.0),
            (Device::ForcepsRat, 15.0),
        ],
        ObjectType::Magnet => &[
            (Device::Net, 40.0),
            (Device::MagnetProbe, 25.0),
            (Device::Basket, 20.0),
            (Device::ForcepsRat, 15.0),
        ],
        ObjectType::SharpObject => &[
            (Device::ForcepsRat, 38.0),
            (Device::Snare, 34.0),
            (Device::ForcepsAlligator, 23.0),
            (Device::ForcepsCombo, 5.0),
        ],
        ObjectType::FishBone | ObjectType::Bone => &[
            (Device::ForcepsRat, 45.0),
            (Device::ForcepsAlligator, 30.0),
            (Device::ForcepsBiopsy, 15.0),
            (Device::Snare, 10.0),
        ],
        ObjectType::Long => &[
            (Device::Snare, 60.0),
            (Device::Basket, 20.0),
            (Device::ForcepsAlligator, 20.0),
        ],
        ObjectType::Dental | ObjectType::BlisterPack => &[
            (Device::ForcepsRat, 36.0),
            (Device::Snare, 32.0),
            (Device::Net, 22.0),
            (Device::ForcepsOther, 10.0),
        ],
        _ => &[
            (Device::Net, 45.0),
            (Device::Snare, 25.0),
            (Device::Basket, 20.0),
            (Device::Prong, 10.0),
        ],
    }
}

fn draw_result(draws: &mut Draws, object_type: ObjectType, device: Device) -> PassResult {
    let is_soft = matches!(object_type, ObjectType::FoodBolus | ObjectType::Bezoar);
    let [removed, piece, pushed] = match (object_type, device) {
        (_, Device::PushTechnique) => [0.0, 0.0, 0.80],
        (_, Device::CapSuction) => [0.45, 0.33, 0.0],
        _ if is_soft => [0.28, 0.46, 0.0],
        (ObjectType::Coin, Device::Net) => [COIN_NET_SUCCESS, 0.0, 0.0],
        (ObjectType::Coin, Device::ForcepsRat) => [COIN_RAT_TOOTH_SUCCESS, 0.0, 0.0],
        (ObjectType::DiscBattery, Device::Net) => [0.85, 0.0, 0.0],
        (ObjectType::DiscBattery, _) => [0.55, 0.0, 0.0],
        (ObjectType::Long | ObjectType::Dental, _) => [0.65, 0.0, 0.0],
        _ => [0.72, 0.0, 0.0],
    };
    draws.pick(&[
        (PassResult::ObjectRemoved, removed),
        (PassResult::PieceRemoved, piece),
        (PassResult::PushedOn, pushed),
        (PassResult::PassFailed, 1.0 - removed - piece - pushed),
    ])
}

/// The pass whose case is in no export: a planted fault.
pub(super) const STRAY: Pass = Pass {
    device: Device::Snare,
    result: PassResult::PassFailed,
    device_fault: false,
};
