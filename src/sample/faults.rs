//! The few faults of the sample, for the data-quality part of a report.
//!
//! Each kind is planted once, on the first suitable case after a sixth, two sixths, ... of all
//! cases. Where no suitable case follows (a sample of a few cases), the fault is left out. No
//! fault touches a value that a planted truth shows in.

use super::case::Case;
use super::truths::PARTS_BETWEEN_FAULTS;
use crate::domain::codes::{ObjectType, Presentation};

/// A kind of fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// The row of the case stands twice, word for word.
    RepeatedRow,
    /// The device of the first pass is a word that stands in no list.
    UnknownDevice,
    /// The arrival is written as the 31st of February.
    ImpossibleDate,
    /// The hour of the scope-out is typed one too low, so that it comes before the scope-in.
    ScopeOutTooEarly,
    /// A pass stands behind those of the case whose case number no case has.
    StrayPass,
}

impl Fault {
    /// Every kind, in the order in which they stand in the sample.
    pub const ALL: [Fault; 5] = [
        Fault::RepeatedRow,
        Fault::UnknownDevice,
        Fault::ImpossibleDate,
        Fault::ScopeOutTooEarly,
        Fault::StrayPass,
    ];

    /// Whether the fault can stand in `case` without touching a truth.
    fn suits(self, case: &Case) -> bool {
        if case.is_planted {
            return false;
        }
        match self {
            Fault::RepeatedRow | Fault::StrayPass => true,
            Fault::UnknownDevice => {
                !case.passes.is_empty() && case.object_type != Some(ObjectType::Coin)
            }
            Fault::ImpossibleDate => {
                case.month.number() == 2 && case.presentation == Presentation::FoodImpaction
            }
            Fault::ScopeOutTooEarly => match (case.times.scope_in, case.times.scope_out) {
                (Some(scope_in), Some(scope_out)) => scope_out - 60 < scope_in,
                _ => false,
            },
        }
    }
}

/// Hands each fault to the case that it is planted in.
pub(super) struct Faults {
    cases: u64,
    waiting: Vec<Fault>,
}

impl Faults {
    /// For a sample of so many cases.
    pub(super) fn new(cases: u64) -> Faults {
        Faults {
            cases,
            waiting: Fault::ALL.to_vec(),
        }
    }

    /// The fault that stands in the case number `index` (from 0), if one does.
    pub(super) fn next_for(&mut self, index: u64, case: &Case) -> Option<Fault> {
        let parts_behind = u128::from(index) * u128::from(PARTS_BETWEEN_FAULTS);
        let is_due = |fault: Fault| {
            let parts_before = fault as u128 + 1;
            parts_behind >= u128::from(self.cases) * parts_before
        };
        let found = self
            .waiting
            .iter()
            .position(|fault| is_due(*fault) && fault.suits(case))?;
        Some(self.waiting.remove(found))
    }

    /// The kinds that found no suitable case.
    pub(super) fn left_out(self) -> Vec<Fault> {
        self.waiting
    }
}
