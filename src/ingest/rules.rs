//! Rules across two moments of one case, as data in `sql/interval_limits.csv`: what is unusual and
//! what cannot be. Nothing is corrected here; the measures leave an impossible interval out.

use crate::domain::fields::{CaseField, Field};
use crate::domain::issue::IssueCode;

const TABLE: &str = include_str!("../../sql/interval_limits.csv");

/// Limits of the minutes from one moment to another, both ends allowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct IntervalLimits {
    pub(super) from: CaseField,
    pub(super) to: CaseField,
    pub(super) usual: (i64, i64),
    pub(super) possible: (i64, i64),
}

/// Two clocks at one bedside differ by up to so many minutes.
pub(super) const CLOCK_SKEW_MINUTES: i64 = 5;

impl IntervalLimits {
    /// Whether an interval can be of so many minutes.
    pub(super) fn is_possible(&self, minutes: i64) -> bool {
        (self.possible.0..=self.possible.1).contains(&minutes)
    }

    /// What is wrong with an interval of so many minutes; `None` when nothing is.
    pub(super) fn judge(&self, minutes: i64) -> Option<IssueCode> {
        if !self.is_possible(minutes) {
            if (-CLOCK_SKEW_MINUTES..0).contains(&minutes) {
                Some(IssueCode::ClockSkew)
            } else {
                Some(IssueCode::WrongOrder)
            }
        } else if (self.usual.0..=self.usual.1).contains(&minutes) {
            None
        } else {
            Some(IssueCode::UnusualLength)
        }
    }
}

/// The built-in limits.
pub(super) fn built_in() -> Vec<IntervalLimits> {
    parse(TABLE).expect("the built-in table, which a test reads")
}

fn parse(table: &str) -> Result<Vec<IntervalLimits>, String> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    reader
        .records()
        .map(|row| {
            let row = row.map_err(|error| error.to_string())?;
            let field = |place: usize| {
                CaseField::named(&row[place]).ok_or_else(|| format!("no field `{}`", &row[place]))
            };
            let number =
                |place: usize| row[place].parse::<i64>().map_err(|error| error.to_string());
            Ok(IntervalLimits {
                from: field(0)?,
                to: field(1)?,
                usual: (number(2)?, number(3)?),
                possible: (number(4)?, number(5)?),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fields::Kind;

    #[test]
    fn limits_lie_inside_one_another_and_join_times() {
        for limits in built_in() {
            assert!(limits.possible.0 <= limits.usual.0 && limits.usual.1 <= limits.possible.1);
            assert!(limits.from.kind() == Kind::Minute && limits.to.kind() == Kind::Minute);
        }
    }

    #[test]
    fn the_limits_themselves_are_allowed() {
        let limits = built_in()
            .into_iter()
            .find(|l| l.from == CaseField::ScopeInAt && l.to == CaseField::ScopeOutAt)
            .expect("scope in to scope out");
        let judged: Vec<_> = [-6, -5, -1, 0, 1, 2, 180, 181, 720, 721]
            .map(|m| limits.judge(m))
            .to_vec();
        let (wrong, unusual) = (Some(IssueCode::WrongOrder), Some(IssueCode::UnusualLength));
        let skew = Some(IssueCode::ClockSkew);
        let expected = [
            wrong, skew, skew, wrong, unusual, None, None, unusual, unusual, wrong,
        ];
        assert_eq!(judged, expected);
    }

    #[test]
    fn a_team_is_free_after_the_scope_is_out_and_within_a_day() {
        let judge = |from, minutes| {
            let mut rows = built_in().into_iter();
            let row = rows.find(|row| row.from == from && row.to == CaseField::ReleasedAt);
            row.expect("a row of the table").judge(minutes)
        };
        let (wrong, unusual) = (Some(IssueCode::WrongOrder), Some(IssueCode::UnusualLength));
        for from in [CaseField::ScopeOutAt, CaseField::TeamAt] {
            let judged = [-6, 0, 360, 361, 1440, 1441].map(|minutes| judge(from, minutes));
            assert_eq!(judged, [wrong, None, None, unusual, unusual, wrong]);
        }
        // A call in the evening may be answered on the next day but one.
        let judged = [-6, 0, 1440, 1441, 20_160, 20_161];
        let judged = judged.map(|minutes| judge(CaseField::CalledAt, minutes));
        assert_eq!(judged, [wrong, None, None, unusual, unusual, wrong]);
    }
}
