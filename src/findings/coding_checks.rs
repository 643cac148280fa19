//! Numbers so far from what is published that their coding deserves a look, as data in
//! `sql/coding_checks.csv`.
//!
//! The limits are a proposal of this project and no standard. A number within them may be coded
//! wrongly all the same, and one outside may be true: nothing is changed, and nothing is left out.

use super::finding::{Finding, Findings, Statistic};
use crate::domain::counts::{ALL, SITE};
use crate::domain::month::Month;

const TABLE: &str = include_str!("../../sql/coding_checks.csv");

/// What is asked of a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Limit {
    /// At least this much.
    AtLeast(f64),
    /// At most this much.
    AtMost(f64),
    /// Anything but exactly this.
    Not(f64),
}

impl Limit {
    fn is_kept_by(self, estimate: f64) -> bool {
        match self {
            Limit::AtLeast(least) => estimate >= least,
            Limit::AtMost(most) => estimate <= most,
            // A share of 0 or 1 is a whole number of cases divided by another, so it is exact.
            #[expect(clippy::float_cmp, reason = "the limits are 0 and 1")]
            Limit::Not(value) => estimate != value,
        }
    }
}

/// One row of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct CodingCheck {
    /// Identifier of the measure.
    pub measure: &'static str,
    /// Which number about it.
    pub statistic: Statistic,
    /// What is asked of it.
    pub limit: Limit,
    /// Fewest cases for which it is asked.
    pub least_cases: u64,
    /// What published series report.
    pub published: &'static str,
    /// What to look at.
    pub words: &'static str,
}

/// A number outside its limit.
#[derive(Clone, Debug, PartialEq)]
pub struct CodingDoubt<'a> {
    /// The number.
    pub finding: &'a Finding,
    /// The check that it fails.
    pub check: CodingCheck,
}

/// The built-in checks, in the order of the table.
pub fn coding_checks() -> Vec<CodingCheck> {
    parse(TABLE).expect("the built-in table, which a test reads")
}

fn parse(table: &'static str) -> Option<Vec<CodingCheck>> {
    table.lines().skip(1).map(row).collect()
}

/// A row has no quotes: no cell of the table holds a comma.
fn row(line: &'static str) -> Option<CodingCheck> {
    let cells = <[&str; 8]>::try_from(line.split(',').collect::<Vec<_>>()).ok()?;
    let [
        measure,
        statistic,
        below,
        above,
        exactly,
        least_cases,
        published,
        words,
    ] = cells;
    let limit = match (below, above, exactly) {
        (least, "", "") => Limit::AtLeast(least.parse().ok()?),
        ("", most, "") => Limit::AtMost(most.parse().ok()?),
        ("", "", value) => Limit::Not(value.parse().ok()?),
        _ => return None,
    };
    Some(CodingCheck {
        measure,
        statistic: Statistic::ALL
            .into_iter()
            .find(|known| known.code() == statistic)?,
        limit,
        least_cases: least_cases.parse().ok()?,
        published,
        words,
    })
}

/// The numbers outside their limits: of the whole period and of the month in view over all cases,
/// and of the whole period at each site. In the order of the table.
pub fn coding_doubts(findings: &Findings, month: Month) -> Vec<CodingDoubt<'_>> {
    let mut doubts = Vec::new();
    for check in coding_checks() {
        let overall = |month| findings.overall(check.measure, month, check.statistic);
        let sites = || findings.by_group(check.measure, SITE, check.statistic);
        // With one site its number is that of all.
        let has_sites = sites().nth(1).is_some();
        let looked_at = overall(None)
            .into_iter()
            .chain(overall(Some(month)))
            .chain(sites().filter(|_| has_sites));
        for finding in looked_at {
            let is_judged = !finding.suppressed && finding.cases >= check.least_cases;
            let is_kept = finding
                .estimate
                .is_none_or(|estimate| check.limit.is_kept_by(estimate));
            if is_judged && !is_kept {
                let check = check.clone();
                doubts.push(CodingDoubt { finding, check });
            }
        }
    }
    doubts
}

impl CodingDoubt<'_> {
    /// Whether the number is one over all cases, and not one of a site.
    pub fn is_overall(&self) -> bool {
        self.finding.by == ALL
    }
}

#[cfg(test)]
mod tests;
