//! The columns of published tables whose values come from a closed list.
//!
//! Columns whose values depend on the column beside them, such as groups, have none here.

use crate::domain::measure::{Better, MeasureKind};
use crate::findings::case_mix::Groups;
use crate::findings::comparisons::method::ComparisonMethod;
use crate::findings::comparisons::rows::ComparisonStatistic;
use crate::findings::finding::{Method, Statistic, Unit};

/// The list that the values of a column come from; `None` where there is none.
pub(super) fn list(table: &str, column: &str) -> Option<Vec<&'static str>> {
    Some(match (table, column) {
        ("findings" | "measures", "kind") => MeasureKind::ALL.map(MeasureKind::code).to_vec(),
        ("findings", "statistic") => Statistic::ALL
            .into_iter()
            .chain([Statistic::TimeShare])
            .map(Statistic::code)
            .collect(),
        ("findings", "method") | ("devices", "raw_method") => {
            Method::ALL.map(Method::code).to_vec()
        }
        ("findings", "unit") => [Unit::Fraction, Unit::Minutes, Unit::Per30SiteDays]
            .map(Unit::code)
            .to_vec(),
        ("comparisons", "statistic") => COMPARISON_STATISTICS
            .map(ComparisonStatistic::code)
            .to_vec(),
        ("comparisons", "method") => ComparisonMethod::ALL.map(ComparisonMethod::code).to_vec(),
        ("curves", "method") => vec![Method::KaplanMeier.code()],
        ("ends", "method") => vec![Method::Wilson.code()],
        ("ends", "end") => vec!["scoped", "left", "waiting"],
        ("case_mix", "by") => [Groups::Site, Groups::Shift, Groups::Presentation]
            .map(Groups::code)
            .to_vec(),
        ("measures", "better") => Better::ALL.map(Better::code).to_vec(),
        ("devices", "measure") => vec!["first_device_success", "device_success"],
        ("months", "by") => vec!["all", "site", "shift"],
        ("case_mix", "kind") => {
            vec!["category", "missing", "minutes", "not_counted", "withheld"]
        }
        _ => return None,
    })
}

const COMPARISON_STATISTICS: [ComparisonStatistic; 7] = [
    ComparisonStatistic::DrawnShare,
    ComparisonStatistic::FirstUseShare,
    ComparisonStatistic::Difference,
    ComparisonStatistic::PooledDifference,
    ComparisonStatistic::OddsRatio,
    ComparisonStatistic::Homogeneity,
    ComparisonStatistic::StandardizedDifference,
];
