//! What guideline windows ask for beside the object and its place: onset, symptoms, sizes of the
//! object and suspected varices. Drawn after the case and from a stream of their own, so that they
//! move nothing else.

use super::case::Case;
use super::draws::Draws;
use crate::domain::codes::{ObjectType, Presentation, Setting};

/// Number of the stream of draws.
pub(super) const STREAM: u64 = 11;

/// `None` is a value that does not apply or was not recorded.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Details {
    /// Minutes since 1970 UTC.
    pub(super) onset: Option<i64>,
    pub(super) symptoms: Option<bool>,
    pub(super) length_mm: Option<u64>,
    pub(super) width_mm: Option<u64>,
    pub(super) variceal_suspected: Option<bool>,
}

/// How often each is written down.
const ONSET_RECORDED: f64 = 0.7;
const SYMPTOMS_RECORDED: f64 = 0.93;
const SIZE_RECORDED: f64 = 0.6;
const VARICES_RECORDED: f64 = 0.95;

/// No onset lies further back: two weeks.
const LONGEST_SINCE_ONSET_MINUTES: i64 = 20_160;

/// The details of a case; none of one that was planted for a change of the clocks.
pub(super) fn draw(draws: &mut Draws, case: &Case) -> Details {
    if case.is_planted {
        return Details::default();
    }
    let onset = draw_onset(draws, case);
    let (length_mm, width_mm) = draw_size(draws, case);
    Details {
        onset: draws.chance(ONSET_RECORDED).then_some(onset),
        symptoms: draw_symptoms(draws, case),
        length_mm,
        width_mm,
        variceal_suspected: (case.presentation == Presentation::UpperBleed
            && draws.chance(VARICES_RECORDED))
        .then(|| draws.chance(0.18)),
    }
}

/// Before the arrival; of a patient on a ward before the call, for they came for another reason.
fn draw_onset(draws: &mut Draws, case: &Case) -> i64 {
    let (median, spread) = match case.presentation {
        Presentation::FoodImpaction => (240.0, 1.0),
        Presentation::ForeignBody => (180.0, 1.2),
        Presentation::UpperBleed | Presentation::LowerBleed => (600.0, 1.1),
    };
    let before = draws
        .minutes(median, spread)
        .min(LONGEST_SINCE_ONSET_MINUTES);
    match case.times.arrived {
        Some(arrived) if case.setting != Setting::Ward => arrived - before,
        _ => case.times.called - before.min(240),
    }
}

fn draw_symptoms(draws: &mut Draws, case: &Case) -> Option<bool> {
    let share = match case.presentation {
        Presentation::FoodImpaction => 0.97,
        Presentation::ForeignBody => 0.55,
        Presentation::UpperBleed | Presentation::LowerBleed => return None,
    };
    let has_symptoms = draws.chance(share);
    draws.chance(SYMPTOMS_RECORDED).then_some(has_symptoms)
}

/// Length and width in millimeters of an object that was swallowed.
fn draw_size(draws: &mut Draws, case: &Case) -> (Option<u64>, Option<u64>) {
    let (length, width) = match case.object_type {
        _ if case.presentation != Presentation::ForeignBody => return (None, None),
        Some(ObjectType::Coin) => (22.0, 22.0),
        Some(ObjectType::DiscBattery) => (18.0, 18.0),
        Some(ObjectType::CylindricalBattery) => (46.0, 13.0),
        Some(ObjectType::SharpObject) => (32.0, 6.0),
        Some(ObjectType::Long) => (110.0, 12.0),
        Some(ObjectType::Wide) => (34.0, 31.0),
        Some(ObjectType::Dental) => (30.0, 18.0),
        Some(_) => (16.0, 11.0),
        None => return (None, None),
    };
    let length = draws.minutes(length, 0.15).unsigned_abs();
    let width = draws.minutes(width, 0.15).unsigned_abs().min(length);
    if draws.chance(SIZE_RECORDED) {
        (Some(length), Some(width))
    } else {
        (None, None)
    }
}
