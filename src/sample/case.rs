//! One invented case, put together from its parts.
//!
//! Holds coded values and moments, not the words of an export; knows nothing of planted faults.

use super::bleed::Bleed;
use super::calls::Call;
use super::care::Care;
use super::details::Details;
use super::draws::Draws;
use super::object::{self, Finding};
use super::passes::{self, Pass};
use super::patient::{self, Patient};
use super::site::Site;
use super::timeline::{self, Times, Work};
use super::truths::{
    AIRWAY_LOST, CANCELLED_SHARE, CART_LOST, OBSTRUCTION_LOST, OVERTUBE_SHARP_AFTER,
    OVERTUBE_SHARP_BEFORE, OVERTUBE_TAUGHT_FROM, SCOPE_OUT_LOST, TRANSFERRED_SHARE, has_begun,
    usual,
};
use crate::domain::codes::{
    AdverseEvent, Airway, Device, MissingItem, ObjectLocation, ObjectType, Obstruction, Outcome,
    PassResult, Presentation, Setting, Sex,
};
use crate::domain::month::Month;

/// One case. `None` is a value that does not apply or was not recorded.
#[derive(Debug)]
pub(super) struct Case {
    pub(super) site: Site,
    pub(super) presentation: Presentation,
    /// Month of the call on the wall clock.
    pub(super) month: Month,
    pub(super) times: Times,
    pub(super) age_years: i64,
    pub(super) sex: Sex,
    pub(super) setting: Setting,
    pub(super) object_type: Option<ObjectType>,
    pub(super) object_location: Option<ObjectLocation>,
    pub(super) obstruction: Option<Obstruction>,
    pub(super) sharp: Option<bool>,
    pub(super) airway: Option<Airway>,
    pub(super) overtube: Option<bool>,
    pub(super) hood: Option<bool>,
    pub(super) cap: Option<bool>,
    pub(super) outcome: Outcome,
    pub(super) one_piece: Option<bool>,
    pub(super) biopsies_taken: Option<bool>,
    pub(super) adverse_event: Option<AdverseEvent>,
    pub(super) cart_complete: Option<bool>,
    pub(super) missing_item: Option<MissingItem>,
    pub(super) malfunction: Option<bool>,
    pub(super) preclean_done: Option<bool>,
    pub(super) passes: Vec<Pass>,
    /// Drawn last.
    pub(super) details: Details,
    /// Of a bleed, once it is drawn.
    pub(super) bleed: Option<Bleed>,
    /// Drawn last and from a stream of its own.
    pub(super) care: Care,
    /// Whether the case was planted for a change of the clocks; faults leave it alone.
    pub(super) is_planted: bool,
}

/// The case that a call leads to.
pub(super) fn draw(draws: &mut Draws, call: &Call) -> Case {
    if let Some(change) = call.clock_change {
        return of_clock_change(call, timeline::of_clock_change(call, change));
    }
    let site = Site::draw(draws);
    let finding = object::draw(draws, call.presentation);
    let patient = patient::draw(draws, call.presentation, finding.map(|it| it.object_type));
    let ending = draws.uniform();
    let mut case = if ending < CANCELLED_SHARE {
        let times = timeline::draw_without_scope(draws, call, site);
        without_scope(call, site, &patient, finding, times, Outcome::Cancelled)
    } else if ending < CANCELLED_SHARE + TRANSFERRED_SHARE {
        let times = timeline::draw_without_scope(draws, call, site);
        without_scope(call, site, &patient, finding, times, Outcome::Transferred)
    } else {
        with_scope(draws, call, site, &patient, finding)
    };
    lose_values(draws, &mut case);
    case
}

fn without_scope(
    call: &Call,
    site: Site,
    patient: &Patient,
    finding: Option<Finding>,
    times: Times,
    outcome: Outcome,
) -> Case {
    Case {
        site,
        presentation: call.presentation,
        month: call.month,
        times,
        age_years: patient.age_years,
        sex: patient.sex,
        setting: patient.setting,
        object_type: finding.map(|it| it.object_type),
        object_location: None,
        obstruction: finding.map(|it| it.obstruction),
        sharp: finding.map(|it| it.sharp),
        airway: None,
        overtube: None,
        hood: None,
        cap: None,
        outcome,
        one_piece: None,
        biopsies_taken: None,
        adverse_event: None,
        cart_complete: None,
        missing_item: None,
        malfunction: None,
        preclean_done: None,
        passes: Vec::new(),
        details: Details::default(),
        bleed: None,
        care: Care::default(),
        is_planted: false,
    }
}

fn with_scope(
    draws: &mut Draws,
    call: &Call,
    site: Site,
    patient: &Patient,
    finding: Option<Finding>,
) -> Case {
    let airway = draw_airway(draws, call.presentation);
    let (outcome, passes) = draw_outcome(draws, call.presentation, finding);
    let is_retrieval = !passes.is_empty();
    let work = match finding {
        Some(_) if is_retrieval => Work::Retrieval {
            passes: passes.len(),
            success: outcome != Outcome::Failed,
        },
        Some(_) => Work::Look,
        None => Work::Hemostasis,
    };
    let sharp = finding.is_some_and(|it| it.sharp);
    let overtube = is_retrieval && draws.chance(overtube_share(sharp, call.month, passes.len()));
    let hood = is_retrieval && !overtube && draws.chance(if sharp { 0.15 } else { 0.02 });
    let has_cap_suction = passes.iter().any(|it| it.device == Device::CapSuction);
    let has_piece = passes
        .iter()
        .any(|it| it.result == PassResult::PieceRemoved);
    let has_device_fault = passes.iter().any(|it| it.device_fault);
    let adverse_share = if sharp {
        usual::ADVERSE_SHARE_SHARP
    } else {
        usual::ADVERSE_SHARE
    };
    let preclean_done = draws.chance(0.96);
    let mut times = timeline::draw_with_scope(draws, call, site, airway, work);
    if !preclean_done {
        times.preclean = None;
    }
    Case {
        object_location: finding.filter(|_| is_retrieval).map(|it| it.location),
        airway: Some(airway),
        overtube: Some(overtube),
        hood: Some(hood),
        cap: Some(has_cap_suction || draws.chance(0.08)),
        one_piece: (outcome == Outcome::Removed).then_some(!has_piece),
        biopsies_taken: Some(draws.chance(biopsy_share(call.presentation))),
        adverse_event: Some(draw_adverse_event(draws, adverse_share)),
        cart_complete: Some(draws.chance(0.94)),
        malfunction: Some(has_device_fault || draws.chance(0.02)),
        preclean_done: Some(preclean_done),
        passes,
        ..without_scope(call, site, patient, finding, times, outcome)
    }
}

/// A quiet case of stuck food, without any chance, so that only its times stand out.
fn of_clock_change(call: &Call, times: Times) -> Case {
    let patient = Patient {
        age_years: 61,
        sex: Sex::Male,
        setting: Setting::EmergencyDepartment,
    };
    let finding = Finding {
        object_type: ObjectType::FoodBolus,
        sharp: false,
        location: ObjectLocation::LowerEsophagus,
        obstruction: Obstruction::Complete,
    };
    Case {
        object_location: Some(finding.location),
        airway: Some(Airway::Intubated),
        overtube: Some(false),
        hood: Some(false),
        cap: Some(false),
        one_piece: Some(true),
        biopsies_taken: Some(true),
        adverse_event: Some(AdverseEvent::NoEvent),
        cart_complete: Some(true),
        malfunction: Some(false),
        preclean_done: Some(true),
        passes: vec![Pass {
            device: Device::Net,
            result: PassResult::ObjectRemoved,
            device_fault: false,
        }],
        is_planted: true,
        ..without_scope(
            call,
            Site::Alder,
            &patient,
            Some(finding),
            times,
            Outcome::Removed,
        )
    }
}

fn draw_airway(draws: &mut Draws, presentation: Presentation) -> Airway {
    let [intubated, sedated, awake] = match presentation {
        Presentation::FoodImpaction | Presentation::ForeignBody => [46.0, 49.0, 5.0],
        Presentation::UpperBleed => [44.0, 53.0, 3.0],
        Presentation::LowerBleed => [10.0, 84.0, 6.0],
    };
    draws.pick(&[
        (Airway::Intubated, intubated),
        (Airway::Sedated, sedated),
        (Airway::Awake, awake),
    ])
}

fn draw_outcome(
    draws: &mut Draws,
    presentation: Presentation,
    finding: Option<Finding>,
) -> (Outcome, Vec<Pass>) {
    let Some(finding) = finding else {
        let [controlled, not_controlled, untreated] = match presentation {
            Presentation::LowerBleed => [34.0, 6.0, 60.0],
            _ => [56.0, 4.0, 40.0],
        };
        let outcome = draws.pick(&[
            (Outcome::Controlled, controlled),
            (Outcome::NotControlled, not_controlled),
            (Outcome::NoTreatmentNeeded, untreated),
        ]);
        return (outcome, Vec::new());
    };
    let share_gone = match presentation {
        Presentation::FoodImpaction => usual::FOOD_GONE_SHARE,
        _ => usual::OBJECT_GONE_SHARE,
    };
    if draws.chance(share_gone) {
        return (Outcome::NotPresent, Vec::new());
    }
    let passes = passes::draw(draws, finding.object_type);
    let outcome = match passes.last().map(|it| it.result) {
        Some(PassResult::PushedOn) => Outcome::Pushed,
        Some(result) if passes::is_success(result) => Outcome::Removed,
        _ => Outcome::Failed,
    };
    (outcome, passes)
}

fn overtube_share(sharp: bool, month: Month, passes: usize) -> f64 {
    match (sharp, passes) {
        (true, _) if has_begun(OVERTUBE_TAUGHT_FROM, month) => OVERTUBE_SHARP_AFTER,
        (true, _) => OVERTUBE_SHARP_BEFORE,
        (false, 3..) => 0.18,
        (false, _) => 0.06,
    }
}

fn biopsy_share(presentation: Presentation) -> f64 {
    match presentation {
        Presentation::FoodImpaction => usual::FOOD_BIOPSY_SHARE,
        Presentation::ForeignBody => 0.06,
        Presentation::UpperBleed => 0.18,
        Presentation::LowerBleed => 0.10,
    }
}

fn draw_adverse_event(draws: &mut Draws, share: f64) -> AdverseEvent {
    if !draws.chance(share) {
        return AdverseEvent::NoEvent;
    }
    draws.pick(&[
        (AdverseEvent::MucosalTear, 42.0),
        (AdverseEvent::Hypoxia, 20.0),
        (AdverseEvent::Bleeding, 12.0),
        (AdverseEvent::Aspiration, 10.0),
        (AdverseEvent::Ulcer, 7.0),
        (AdverseEvent::Perforation, 5.0),
        (AdverseEvent::Cardiac, 2.0),
        (AdverseEvent::Infection, 1.0),
        (AdverseEvent::OtherEvent, 1.0),
    ])
}

/// Takes out what nobody wrote down, independent of what it was.
fn lose_values(draws: &mut Draws, case: &mut Case) {
    if draws.chance(SCOPE_OUT_LOST) {
        case.times.scope_out = None;
    }
    if draws.chance(CART_LOST) {
        case.times.cart = None;
    }
    if draws.chance(AIRWAY_LOST) {
        case.airway = None;
    }
    if draws.chance(OBSTRUCTION_LOST) {
        case.obstruction = None;
    }
}
