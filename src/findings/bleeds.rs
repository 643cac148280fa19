//! What bleeds need beside their shares: how far scores are known, whether those of the export can
//! be right, and what a share would be at least. Knows findings and tallies of issues, no page.

use super::finding::{Finding, Findings, Statistic};
use crate::domain::codes::{NOT_RECORDED, OaklandBand};
use crate::domain::fields::{CaseField, Field};
use crate::domain::issue::IssueCode;
use std::collections::BTreeMap;

/// In how many cases a score is known, and what its bounds tell in the others.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct KnownScores {
    /// Cases with a score.
    pub computed: u64,
    /// Not computed, and certainly in the lowest range.
    pub certainly_low: u64,
    /// Not computed, and certainly above it.
    pub certainly_high: u64,
    /// Not computed, and on either side.
    pub open: u64,
    /// Of patients for whom the score was not made.
    pub under_age: u64,
}

/// Codes that stand for no score, the same in every list of bands.
pub const CERTAINLY_LOW: &str = OaklandBand::CertainlyLow.code();
/// See [`CERTAINLY_LOW`].
pub const CERTAINLY_HIGH: &str = OaklandBand::CertainlyHigh.code();
/// See [`CERTAINLY_LOW`].
pub const OPEN: &str = OaklandBand::Open.code();
/// See [`CERTAINLY_LOW`].
pub const UNDER_AGE: &str = OaklandBand::OaklandNotComputed.code();

impl KnownScores {
    /// Of the whole period; `None` when a number is withheld, or no case has the score or bounds.
    pub fn of(findings: &Findings, measure: &str, score: CaseField) -> Option<KnownScores> {
        let mut known = KnownScores::default();
        for finding in findings.by_group(measure, score.column(), Statistic::Rate) {
            if finding.suppressed {
                return None;
            }
            *match finding.group.as_str() {
                NOT_RECORDED => continue,
                CERTAINLY_LOW => &mut known.certainly_low,
                CERTAINLY_HIGH => &mut known.certainly_high,
                OPEN => &mut known.open,
                UNDER_AGE => &mut known.under_age,
                _ => &mut known.computed,
            } += finding.events;
        }
        (known != KnownScores::default()).then_some(known)
    }

    /// Cases without a score.
    pub fn not_computed(self) -> u64 {
        self.certainly_low + self.certainly_high + self.open + self.under_age
    }
}

/// So many scores of an export must differ before their units are doubted.
const FEWEST_DIFFERENT: u64 = 10;

/// A score of the export that differs from its components too often to be a slip here and there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ScoreDoubt {
    /// Which score.
    pub score: CaseField,
    /// Scores that cannot be right if the components are.
    pub different: u64,
    /// Scores that the export gives.
    pub exported: u64,
}

/// The scores of which ten or more, and more than a tenth, differ. A limit of this project.
pub fn score_doubts(
    issues: &BTreeMap<(IssueCode, &'static str, &'static str), u64>,
    completeness: &[(&'static str, u64)],
) -> Vec<ScoreDoubt> {
    let scores = [
        CaseField::ExportedGlasgowBlatchford,
        CaseField::ExportedRockall,
        CaseField::ExportedAims65,
        CaseField::ExportedOakland,
    ];
    let doubt = |score: CaseField| {
        let name = score.name();
        let different = *issues.get(&(IssueCode::ScoreDiffers, name, ""))?;
        let filled = completeness.iter().find(|(field, _)| *field == name);
        // Issues are also counted in rows that turn out to be duplicates.
        let exported = filled.map_or(0, |(_, filled)| *filled).max(different);
        (different >= FEWEST_DIFFERENT && different * 10 > exported).then_some(ScoreDoubt {
            score,
            different,
            exported,
        })
    };
    scores.into_iter().filter_map(doubt).collect()
}

/// The share if nothing happened to any case that was not judged. Where an event alone makes a case
/// judged, the share of the judged is too high, and this one is the lowest that it can be. It has no
/// interval: it is a bound of the cases at hand. `None` when every case was judged, or no event can
/// be told.
pub fn lowest_share(finding: &Finding) -> Option<Finding> {
    if finding.excluded == 0 || finding.cases == 0 {
        return None;
    }
    let [lowest, _] = finding.bounds()?;
    Some(Finding {
        estimate: Some(lowest),
        low: None,
        high: None,
        cases: finding.cases + finding.excluded,
        excluded: 0,
        ..finding.clone()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const GLASGOW_BLATCHFORD: &str = "exported_glasgow_blatchford";

    fn doubts(different: u64, exported: u64) -> Vec<(u64, u64)> {
        let key = (IssueCode::ScoreDiffers, GLASGOW_BLATCHFORD, "");
        let issues = BTreeMap::from([(key, different)]);
        let found = score_doubts(&issues, &[(GLASGOW_BLATCHFORD, exported)]);
        let told = found.iter().map(|doubt| (doubt.different, doubt.exported));
        told.collect()
    }

    #[test]
    fn scores_are_doubted_when_ten_and_more_than_a_tenth_differ() {
        assert_eq!(doubts(141, 160), [(141, 160)]);
        assert_eq!(doubts(10, 99), [(10, 99)]);
        assert_eq!(doubts(10, 100), []);
        assert_eq!(doubts(9, 9), []);
        assert_eq!(doubts(12, 10), [(12, 12)], "duplicates differ too");
        assert_eq!(score_doubts(&BTreeMap::new(), &[]), []);
    }

    #[test]
    fn every_list_of_bands_has_the_codes_of_no_score() {
        for score in ["glasgow_blatchford", "rockall", "aims65", "oakland"] {
            let list = crate::domain::fields::code_list(score).unwrap();
            for code in [CERTAINLY_LOW, CERTAINLY_HIGH, OPEN, UNDER_AGE] {
                assert!(list.position(code).is_some(), "{score} {code}");
            }
        }
    }
}
