//! A measure and a grouping → the query that counts. Plain SQL that every engine runs: `case`,
//! `sum`, `group by`; no dates, no casts, no functions of one engine.

use super::groupings::Grouping;
use crate::domain::measure::MeasureKind;

/// A query with the columns that its result has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountQuery {
    /// The statement.
    pub sql: String,
    /// Dimension columns of the result, month last; an unrecorded value is null.
    pub dimensions: Vec<String>,
    /// Whole-number columns of the result, after the dimensions.
    pub counts: &'static [&'static str],
}

/// The query that counts the rows of `source` (a table, or a query in parentheses with an alias).
pub fn count_query(source: &str, grouping: &Grouping) -> CountQuery {
    let dimensions: Vec<String> = grouping.columns().map(String::from).collect();
    let hit = "case when eligible = 1 then hit else 0 end";
    let (sql, counts): (String, &[&str]) = match grouping.kind {
        MeasureKind::Share => (
            format!(
                "select {}sum(eligible) as eligible, sum({hit}) as hit, \
                 sum(1 - eligible) as excluded from {source}{}",
                list(&dimensions, &[]),
                group_by(&dimensions, &[]),
            ),
            &["eligible", "hit", "excluded"],
        ),
        MeasureKind::Count => (
            format!(
                "select {}sum(eligible) as events from {source}{}",
                list(&dimensions, &[]),
                group_by(&dimensions, &[]),
            ),
            &["events"],
        ),
        MeasureKind::Minutes => (
            format!(
                "select {}count(case_id) as cases from (select {}case_id, \
                 case when eligible = 1 then minutes end as minutes, \
                 case when eligible = 1 then reached end as reached from {source}) as judged{}",
                list(&dimensions, &["minutes", "reached"]),
                list(&dimensions, &[]),
                group_by(&dimensions, &["minutes", "reached"]),
            ),
            &["minutes", "reached", "cases"],
        ),
        MeasureKind::ClusteredShare => (
            format!(
                "select {}count(case_id) as cases from (select {}sum({hit}) as events, \
                 sum(eligible) as attempts from {source}{}) as per_case{}",
                list(&dimensions, &["events", "attempts"]),
                list(&dimensions, &["case_id"]),
                group_by(&dimensions, &["case_id"]),
                group_by(&dimensions, &["events", "attempts"]),
            ),
            &["events", "attempts", "cases"],
        ),
    };
    CountQuery {
        sql,
        dimensions,
        counts,
    }
}

/// `a, b, ` for the start of a select list.
fn list(dimensions: &[String], more: &[&str]) -> String {
    let columns = dimensions
        .iter()
        .map(String::as_str)
        .chain(more.iter().copied());
    columns.flat_map(|column| [column, ", "]).collect()
}

fn group_by(dimensions: &[String], more: &[&str]) -> String {
    let columns: Vec<_> = dimensions
        .iter()
        .map(String::as_str)
        .chain(more.iter().copied())
        .collect();
    if columns.is_empty() {
        String::new()
    } else {
        format!(" group by {}", columns.join(", "))
    }
}
