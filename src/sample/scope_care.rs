//! What the cart lacked, and what became of the scope after it was out: the end of the pre-clean and
//! the start of manual cleaning.
//!
//! Draws from a stream of its own, after everything else of a case, so that no other value of the
//! sample depends on it. Medians and shares are plausible; nothing here is a planted truth.

use super::calls::Call;
use super::case::Case;
use super::draws::Draws;
use crate::domain::codes::MissingItem;

/// Number of the stream.
pub(super) const STREAM: u64 = 6;

/// Share of incomplete carts of which nobody wrote down what was missing.
const ITEM_LOST: f64 = 0.10;
/// Share of scopes without a time of manual cleaning: somebody is there to write it, or nobody.
const MANUAL_CLEAN_LOST: (f64, f64) = (0.04, 0.18);

/// Adds the values to a case of which everything else is known.
pub(super) fn add(draws: &mut Draws, call: &Call, case: &mut Case) {
    let times = &mut case.times;
    if case.is_planted {
        times.preclean_end = times.preclean.map(|start| start + 6);
        times.manual_clean = times.handover.map(|handover| handover + 9);
        case.missing_item = Some(MissingItem::NothingMissing);
        return;
    }
    if let Some((start, handover)) = times.preclean.zip(times.handover) {
        let end = start + draws.minutes(6.0, 0.35);
        times.preclean_end = Some(end).filter(|end| *end <= handover);
    }
    if let Some(handover) = times.handover {
        let (until_cleaning, lost) = if call.staffed {
            (draws.minutes(9.0, 0.7), MANUAL_CLEAN_LOST.0)
        } else {
            (draws.minutes(22.0, 0.8), MANUAL_CLEAN_LOST.1)
        };
        times.manual_clean = (!draws.chance(lost)).then_some(handover + until_cleaning);
    }
    case.missing_item = match case.cart_complete {
        Some(true) => Some(MissingItem::NothingMissing),
        Some(false) if draws.chance(ITEM_LOST) => None,
        Some(false) => Some(draw_item(draws)),
        None => None,
    };
}

fn draw_item(draws: &mut Draws) -> MissingItem {
    draws.pick(&[
        (MissingItem::RetrievalDevice, 20.0),
        (MissingItem::OvertubeOrHood, 14.0),
        (MissingItem::PrecleanKit, 13.0),
        (MissingItem::MissingSuction, 11.0),
        (MissingItem::BiteBlock, 8.0),
        (MissingItem::SpecimenPot, 7.0),
        (MissingItem::HemostasisDevice, 6.0),
        (MissingItem::Power, 5.0),
        (MissingItem::Drug, 4.0),
        (MissingItem::ProtectiveEquipment, 3.0),
        (MissingItem::Form, 3.0),
        (MissingItem::AirwaySet, 2.0),
        (MissingItem::MissingScope, 1.0),
        (MissingItem::Monitor, 1.0),
        (MissingItem::ProcessorOrLight, 1.0),
        (MissingItem::OtherItem, 1.0),
    ])
}
