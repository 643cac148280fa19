//! Which cases of a month a person should read, as data in `sql/review_rules.csv`, and such a case.
//!
//! A rule names a measure and one result of it, so that what is listed and what is counted are the
//! same cases. The rules are a proposal of this project and no standard.

use super::unknown_words::CellText;

const TABLE: &str = include_str!("../../sql/review_rules.csv");

/// The column of a measure that says why a case is not judged.
pub const WHY_NOT_JUDGED: &str = "why_not_judged";

/// One row of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReviewRule {
    /// Our name of the rule.
    pub id: &'static str,
    /// Identifier of the measure, a share of cases, whose definition the rule uses.
    pub measure: &'static str,
    /// Which result makes a case one to look at.
    pub listed: Listed,
    /// The rule in words.
    pub words: &'static str,
}

/// A result of a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Listed {
    /// Judged, and the definition is met.
    Hit,
    /// Judged, and the definition is not met.
    Missed,
    /// Not judged, for this reason.
    NotJudged(&'static str),
}

impl Listed {
    /// Whether a row of the measure has this result.
    pub fn holds(self, is_eligible: bool, is_hit: bool, why_not_judged: Option<&str>) -> bool {
        match self {
            Listed::Hit => is_eligible && is_hit,
            Listed::Missed => is_eligible && !is_hit,
            Listed::NotJudged(reason) => !is_eligible && why_not_judged == Some(reason),
        }
    }
}

/// The rules, in the order of the table.
pub fn review_rules() -> Vec<ReviewRule> {
    parse(TABLE).expect("the built-in table, which a test reads")
}

fn parse(table: &'static str) -> Option<Vec<ReviewRule>> {
    table.lines().skip(1).map(row).collect()
}

/// A row has no quotes: no cell of the table holds a comma.
fn row(line: &'static str) -> Option<ReviewRule> {
    let cells = <[&str; 4]>::try_from(line.split(',').collect::<Vec<_>>()).ok()?;
    let [id, measure, listed, words] = cells;
    let listed = match listed {
        "hit" => Listed::Hit,
        "missed" => Listed::Missed,
        other => Listed::NotJudged(other.strip_prefix("not_judged:")?),
    };
    Some(ReviewRule {
        id,
        measure,
        listed,
        words,
    })
}

/// A case that a rule lists, with what lets a reader judge. It names the case, so it goes to files
/// below `internal/` alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CaseToReview {
    /// The rule.
    pub rule: ReviewRule,
    /// The case number.
    pub case: CellText,
    /// The site; `None` when it is not recorded.
    pub site: Option<CellText>,
    /// Month of the call, `YYYY-MM`.
    pub month: String,
    /// The moments of the case.
    pub moments: Moments,
    /// Name of the guideline window; `None` when none is assigned.
    pub window: Option<String>,
    /// Longest time within the window in minutes; `None` when the guideline gives none.
    pub window_minutes: Option<i64>,
}

/// Moments as minutes of UTC since 1970-01-01 00:00, or since the call. `None` is not recorded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moments {
    /// The call.
    pub called: i64,
    /// The team is complete.
    pub team: Option<i64>,
    /// The cart stands at the bedside.
    pub cart: Option<i64>,
    /// The scope goes in.
    pub scope_in: Option<i64>,
    /// The object is out.
    pub removed: Option<i64>,
    /// The window starts.
    pub window_start: Option<i64>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::codes::WhyNotJudged;
    use std::collections::BTreeSet;

    #[test]
    fn every_rule_has_a_name_of_its_own_and_words_and_a_known_reason() {
        let rules = review_rules();
        let ids: BTreeSet<_> = rules.iter().map(|rule| rule.id).collect();
        assert_eq!((ids.len(), rules.len()), (7, 7));
        for rule in rules {
            assert!(!rule.words.is_empty(), "{}", rule.id);
            if let Listed::NotJudged(reason) = rule.listed {
                let reasons = WhyNotJudged::LIST.words;
                assert!(reasons.iter().any(|word| word.code == reason), "{reason}");
            }
        }
    }

    #[test]
    fn a_row_that_is_not_whole_is_refused() {
        for table in [
            "head\na,b,missed",
            "head\na,b,lost,words",
            "head\na,b,hit,w,x",
        ] {
            assert_eq!(parse(table), None, "{table}");
        }
    }

    #[test]
    fn a_case_that_is_not_judged_is_neither_hit_nor_missed() {
        let holds = |listed: Listed| {
            [
                listed.holds(true, true, None),
                listed.holds(true, false, None),
                listed.holds(false, true, Some("no_time")),
                listed.holds(false, false, Some("not_assignable")),
                listed.holds(true, false, Some("not_assignable")),
            ]
        };
        assert_eq!(holds(Listed::Hit), [true, false, false, false, false]);
        assert_eq!(holds(Listed::Missed), [false, true, false, false, true]);
        let not_judged = Listed::NotJudged("not_assignable");
        assert_eq!(holds(not_judged), [false, false, false, true, false]);
    }
}
