//! What kind of case a record is, as far as it matters for which fields are asked of it, and in
//! which digit its times end.
//!
//! HOT: each runs once for every row.

use super::cell::Value;
use super::mapping::TimeForm;
use super::records::{FilledFields, Record};
use crate::domain::asked_of::AskedOf;
use crate::domain::codes::{AdverseEvent, BleedFinding, Outcome, Presentation, YesNo};
use crate::domain::fields::{CaseField, Field};
use crate::domain::recording::TIMES;

/// The kinds of case that a record is, one bit each in the order of [`AskedOf::ALL`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct AskedKinds(u16);

// A kind more than bits would be lost without a word.
const _: () = assert!(AskedOf::ALL.len() <= 16);

/// For each kind the fields that are asked of it.
const FIELDS: [FilledFields; AskedOf::ALL.len()] = fields_of_kinds();

const fn fields_of_kinds() -> [FilledFields; AskedOf::ALL.len()] {
    let mut fields = [FilledFields::NONE; AskedOf::ALL.len()];
    let mut place = 0;
    while place < CaseField::ALL.len() {
        if let Some(kind) = AskedOf::of(CaseField::ALL[place]) {
            fields[kind as usize] = fields[kind as usize].with(place);
        }
        place += 1;
    }
    fields
}

impl AskedKinds {
    /// The kinds of a record.
    pub(super) fn of(record: &Record<'_, CaseField>) -> AskedKinds {
        let is = |field: CaseField, code: &'static str| record.value(field) == Value::Code(code);
        let presentation = |known: Presentation| is(CaseField::Presentation, known.code());
        let outcome = |known: Outcome| is(CaseField::Outcome, known.code());
        let is_food = presentation(Presentation::FoodImpaction);
        let is_object = is_food || presentation(Presentation::ForeignBody);
        let is_upper = presentation(Presentation::UpperBleed);
        let is_lower = presentation(Presentation::LowerBleed);
        let is_bleed = is_upper || is_lower;
        let is_called_off = outcome(Outcome::Cancelled) || outcome(Outcome::Transferred);
        let is_scoped = !is_called_off || record.has(CaseField::ScopeInAt);
        let has_harm = record.has(CaseField::AdverseEvent)
            && !is(CaseField::AdverseEvent, AdverseEvent::NoEvent.code());
        let yes = YesNo::Yes.code();
        let no = YesNo::No.code();
        let mut kinds = AskedKinds::default();
        for (kind, holds) in [
            (AskedOf::Every, true),
            (AskedOf::Object, is_object),
            (AskedOf::Bleed, is_bleed),
            (AskedOf::UpperBleed, is_upper),
            (AskedOf::LowerBleed, is_lower),
            (
                AskedOf::Ulcer,
                is_bleed && is(CaseField::BleedFinding, BleedFinding::PepticUlcer.code()),
            ),
            (AskedOf::Scoped, is_scoped),
            (AskedOf::ScopedObject, is_scoped && is_object),
            (AskedOf::ScopedFood, is_scoped && is_food),
            (AskedOf::ScopedBleed, is_scoped && is_bleed),
            (
                AskedOf::Precleaned,
                is_scoped && !is(CaseField::PrecleanDone, no),
            ),
            (AskedOf::Removed, outcome(Outcome::Removed)),
            (AskedOf::CalledOff, is_called_off),
            (AskedOf::WithOvertube, is(CaseField::Overtube, yes)),
            (AskedOf::WithHarm, has_harm),
            (AskedOf::CartNotComplete, is(CaseField::CartComplete, no)),
        ] {
            kinds.0 |= u16::from(holds) << kind as u16;
        }
        kinds
    }

    /// Their numbers, rising.
    pub(super) fn numbers(self) -> impl Iterator<Item = usize> {
        let mut rest = self.0;
        std::iter::from_fn(move || {
            let number = rest.trailing_zeros() as usize;
            (rest != 0).then(|| {
                rest &= rest - 1;
                number
            })
        })
    }

    /// Of these fields the ones that are not asked of such a case.
    pub(super) fn not_asked(self, filled: FilledFields) -> FilledFields {
        self.numbers()
            .fold(filled, |rest, kind| rest.without(FIELDS[kind]))
    }
}

/// The last digits of the minutes of a case, four bits for each of [`TIMES`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct LastDigits([u8; TIMES.len().div_ceil(2)]);

/// In place of a digit where there is no time.
pub(super) const NO_TIME: u8 = 15;

impl LastDigits {
    /// No time at all.
    pub(super) const NONE: LastDigits = LastDigits([u8::MAX; TIMES.len().div_ceil(2)]);

    /// Those of a record.
    pub(super) fn of(record: &Record<'_, CaseField>, form: &TimeForm) -> LastDigits {
        let offset = match form {
            // What clocks are off from UTC changes by tens of minutes only, so that one look serves
            // all times of a case.
            TimeForm::Clock { table, .. } => record
                .whole(CaseField::CalledAt)
                .map_or(0, |call| table.local(call) - call),
            TimeForm::Elapsed => 0,
        };
        let mut digits = [0; TIMES.len().div_ceil(2)];
        for (place, field) in TIMES.iter().enumerate() {
            let digit = match (form, record.whole(*field)) {
                (_, None) => NO_TIME,
                (TimeForm::Clock { .. }, Some(minute)) => last_digit(minute + offset),
                // Nobody wrote the minute 0 of the call.
                (TimeForm::Elapsed, _) if *field == CaseField::CalledAt => NO_TIME,
                (TimeForm::Elapsed, Some(minutes)) => last_digit(minutes.saturating_abs()),
            };
            digits[place / 2] |= digit << (4 * (place % 2));
        }
        LastDigits(digits)
    }

    /// One for each of [`TIMES`].
    pub(super) fn each(self) -> [u8; TIMES.len()] {
        std::array::from_fn(|place| self.0[place / 2] >> (4 * (place % 2)) & 15)
    }
}

fn last_digit(minutes: i64) -> u8 {
    // A digit is the lowest byte and nothing above it.
    minutes.rem_euclid(10).to_le_bytes()[0]
}

#[cfg(test)]
mod tests;
