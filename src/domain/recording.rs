//! What was recorded, month by month: how complete each field is, and in which digit times end.

use super::fields::CaseField;
use super::month::Month;
use std::collections::BTreeMap;

/// Moments in the usual order of events; clock changes are settled along it.
pub const COURSE: [CaseField; 15] = [
    CaseField::ArrivedAt,
    CaseField::CalledAt,
    CaseField::TeamAt,
    CaseField::CartAt,
    CaseField::AirwayAt,
    CaseField::ScopeInAt,
    CaseField::OvertubeAt,
    CaseField::RemovedAt,
    CaseField::ScopeOutAt,
    CaseField::PrecleanAt,
    CaseField::PrecleanEndAt,
    CaseField::HandoverAt,
    CaseField::ManualCleanAt,
    CaseField::EndedAt,
    CaseField::ReleasedAt,
];

/// The moments that an export may give, in the order of the fields: when it began, the course of the
/// case, and when the record was amended.
pub const TIMES: [CaseField; COURSE.len() + 2] = {
    let mut times = [CaseField::OnsetAt; COURSE.len() + 2];
    let mut place = 0;
    while place < COURSE.len() {
        times[place + 1] = COURSE[place];
        place += 1;
    }
    times[COURSE.len() + 1] = CaseField::AmendedAt;
    times
};

/// Cases with a value, of those that a field is asked of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Filled {
    /// Cases with a value.
    pub filled: u64,
    /// Cases that the field is asked of.
    pub cases: u64,
}

impl Filled {
    /// Cases without a value.
    pub fn blank(self) -> u64 {
        self.cases.saturating_sub(self.filled)
    }

    /// Adds other cases.
    pub fn add(&mut self, other: Filled) {
        self.filled += other.filled;
        self.cases += other.cases;
    }
}

/// What was recorded of accepted cases by month of the call. Adds up over files and sites.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Recording {
    /// For each field that the mapping names and that some cases are asked for, and each month with
    /// an accepted case.
    pub completeness: BTreeMap<(CaseField, Month), Filled>,
    /// For each moment that the mapping names: how many of its minutes end in 0, in 1, and so on. Of
    /// times on a clock it is the minute that the clock shows; of minutes since the call, their last
    /// digit. Absent where a month has none.
    pub last_digits: BTreeMap<(CaseField, Month), [u64; 10]>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fields::{Field, Kind, Origin};

    #[test]
    fn every_moment_of_an_export_is_listed() {
        let mut listed = TIMES.to_vec();
        listed.sort_unstable();
        let moments: Vec<_> = CaseField::ALL
            .iter()
            .copied()
            .filter(|field| field.kind() == Kind::Minute && field.origin() == Origin::Export)
            .collect();
        assert_eq!(listed, moments);
    }

    #[test]
    fn parts_add_up() {
        let mut filled = Filled {
            filled: 3,
            cases: 5,
        };
        filled.add(Filled {
            filled: 1,
            cases: 1,
        });
        assert_eq!((filled.filled, filled.cases, filled.blank()), (4, 6, 2));
    }
}
