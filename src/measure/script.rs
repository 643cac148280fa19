//! The whole counting as one script of SQL, for an engine that holds the records as tables: every
//! measure by every grouping, null groups, zero rows and observed time as the program counts them.
//!
//! Reads `cases`, `passes`, `observed` and `observed_hours`; gives one view for each count table. A
//! measure is read once: its rows are paired with its splits, so that a script has one query for each
//! measure and not hundreds. Runs nothing itself.

mod dialect;
mod observed;

pub use dialect::Dialect;

use super::engine::{EngineError, Records};
use super::groupings::{Grouping, groupings};
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::ALL;
use crate::domain::measure::{Definition, MeasureKind};
use observed::observed_groups;

/// The names of the views, in the order in which the script makes them.
pub const COUNT_VIEWS: [&str; 4] = [
    "count_shares",
    "count_minutes",
    "count_passes",
    "count_events",
];

const KEY: &str = "measure, version, split_by, split_group, split_month";

/// A measure with the groupings whose columns it selects.
struct Split<'a> {
    measure: &'a Definition,
    groupings: Vec<Grouping>,
}

/// The script: four statements, each ended by `;` at the end of a line, and comments between them.
///
/// # Errors
/// When a measure does not run on tables without a row.
pub fn counting_script(measures: &[Definition], dialect: Dialect) -> Result<String, EngineError> {
    let records = Records::new(&[], &[]);
    let known = groupings();
    let splits = measures
        .iter()
        .map(|measure| {
            let rows = records.rows_of(measure)?;
            let is_selected = |column: &str| rows.column(column).is_ok();
            let groupings = known.iter().filter(|grouping| {
                grouping.kind == measure.kind && grouping.columns().all(is_selected)
            });
            Ok(Split {
                measure,
                groupings: groupings.cloned().collect(),
            })
        })
        .collect::<Result<Vec<_>, EngineError>>()?;
    let of_kind = |kind| {
        let of_kind = splits
            .iter()
            .filter(move |split| split.measure.kind == kind);
        of_kind.filter(|split| !split.groupings.is_empty())
    };
    let shares = of_kind(MeasureKind::Share).map(|split| split.sums(dialect, SHARE_SUMS));
    let minutes = of_kind(MeasureKind::Minutes).map(|split| split.lengths(dialect));
    let passes = of_kind(MeasureKind::ClusteredShare).map(|split| split.attempts(dialect));
    let events: Vec<_> = of_kind(MeasureKind::Count).collect();
    let time = observed_time(&events, dialect);
    let events = events
        .iter()
        .map(|split| split.sums(dialect, EVENT_SUMS))
        .chain(time);
    let whole = |expression: &str, name: &str| format!("cast({expression} as bigint) as {name}");
    let sum = |name: &str| whole(&format!("sum({name})"), name);
    let statements = [
        statement(
            dialect,
            COUNT_VIEWS[0],
            &[sum("eligible"), sum("hit"), sum("excluded")],
            &[],
            shares.collect(),
            &["eligible", "hit", "excluded"],
        ),
        statement(
            dialect,
            COUNT_VIEWS[1],
            &[
                whole("minutes", "minutes"),
                whole("reached", "reached"),
                whole("count(*)", "cases"),
            ],
            &["minutes", "reached"],
            minutes.collect(),
            &["minutes", "reached"],
        ),
        statement(
            dialect,
            COUNT_VIEWS[2],
            &[
                whole("events", "events"),
                whole("attempts", "attempts"),
                whole("count(*)", "cases"),
            ],
            &["events", "attempts"],
            passes.collect(),
            &["events", "attempts"],
        ),
        statement(
            dialect,
            COUNT_VIEWS[3],
            &[
                sum("events"),
                format!(
                    "cast(sum(minutes) as {}) / 60 as exposure",
                    dialect.fraction()
                ),
            ],
            &[],
            events.collect(),
            &["events", "minutes"],
        ),
    ];
    Ok(format!(
        "{HEADER}{}",
        statements
            .map(|statement| format!("\n{statement}"))
            .concat()
    ))
}

const HEADER: &str = "\
-- The count tables of scopetally over the tables `cases`, `passes`, `observed` and
-- `observed_hours` that `scopetally counts --records` writes. One view for each count table.
-- Written as Parquet below counts/ without `count_` in the name, they are what
-- `scopetally review --counts` reads.
";

/// One view over the queries of its measures. Without a measure it has columns and no row.
fn statement(
    dialect: Dialect,
    view: &str,
    counted: &[String],
    counted_by: &[&str],
    mut queries: Vec<String>,
    columns: &[&str],
) -> String {
    if queries.is_empty() {
        let zeros: Vec<_> = columns
            .iter()
            .map(|name| format!(", 0 as {name}"))
            .collect();
        queries.push(format!(
            "select '' as measure, 0 as version, '' as split_by, '' as split_group, \
             '' as split_month{} from cases where 1 = 0",
            zeros.concat()
        ));
    }
    let by: Vec<_> = [KEY].iter().chain(counted_by).copied().collect();
    format!(
        "{} {view} as\nselect\n    measure,\n    cast(version as bigint) as version,\n    \
         split_by as {},\n    split_group as {},\n    split_month as {},\n    {}\nfrom (\n{}\n) as \
         counted\ngroup by {};\n",
        dialect.create_view(),
        dialect.quoted("by"),
        dialect.quoted("group"),
        dialect.quoted("month"),
        counted.join(",\n    "),
        queries.join("\nunion all\n"),
        by.join(", "),
    )
}

/// The columns that are added up: how each is worked out from a row, and its name.
type Sums = &'static [(&'static str, &'static str)];

const HIT: &str = "case when eligible = 1 then hit else 0 end";
const SHARE_SUMS: Sums = &[
    ("eligible", "eligible"),
    (HIT, "hit"),
    ("1 - eligible", "excluded"),
];
const EVENT_SUMS: Sums = &[("eligible", "events"), ("0", "minutes")];

impl Split<'_> {
    /// Rows to add up. Sums of no row at all are zeros and not nothing, so one row of zeros is added.
    fn sums(&self, dialect: Dialect, sums: Sums) -> String {
        let columns: Vec<_> = sums
            .iter()
            .map(|(value, name)| format!("{value} as {name}"))
            .collect();
        let rows = self.rows(dialect, &columns.join(", "));
        let is_all = |grouping: &Grouping| grouping.dimensions.is_empty() && !grouping.is_monthly;
        if !self.groupings.iter().any(is_all) {
            return rows;
        }
        format!(
            "{rows}\nunion all\nselect '{}', {}, '{ALL}', '{ALL}', '{ALL}'{}",
            self.measure.id,
            self.measure.version,
            ", 0".repeat(sums.len())
        )
    }

    /// One row for each case and split, with its length of time.
    fn lengths(&self, dialect: Dialect) -> String {
        let when_judged = |column: &str| {
            format!("case when eligible = 1 and minutes is not null then {column} end as {column}")
        };
        let columns = [when_judged("minutes"), when_judged("reached")];
        self.rows(dialect, &columns.join(", "))
    }

    /// One row for each case and split, with its passes.
    fn attempts(&self, dialect: Dialect) -> String {
        let columns = format!("case_id, {HIT} as hit, eligible");
        format!(
            "select {KEY}, sum(hit) as events, sum(eligible) as attempts\nfrom (\n{}\n) as \
             judged\ngroup by {KEY}, case_id",
            self.rows(dialect, &columns)
        )
    }

    /// Every row of the measure with every split of it.
    fn rows(&self, dialect: Dialect, columns: &str) -> String {
        let is_monthly = self.groupings.iter().any(|grouping| grouping.is_monthly);
        let (month, only) = if is_monthly {
            (
                format!("case when each_month = 1 then month else '{ALL}' end"),
                "\nwhere each_month = 0 or month is not null",
            )
        } else {
            (format!("'{ALL}'"), "")
        };
        let splits: Vec<_> = self
            .groupings
            .iter()
            .map(|grouping| format!("    select {}", split_row(grouping)))
            .collect();
        format!(
            "select\n    '{}' as measure, {} as version, split_by,\n    case split_by{}\n    end as \
             split_group,\n    {month} as split_month,\n    {columns}\nfrom (\n{}\n) as \
             measure_rows\ncross join (\n{}\n) as splits{only}",
            self.measure.id,
            self.measure.version,
            self.groups(dialect),
            self.measure.sql.trim(),
            splits.join("\n    union all\n"),
        )
    }

    /// The value of each split.
    fn groups(&self, dialect: Dialect) -> String {
        let mut named: Vec<(String, String)> = Vec::new();
        for grouping in &self.groupings {
            let by = grouping.by();
            if named.iter().any(|(known, _)| *known == by) {
                continue;
            }
            let values: Vec<_> = grouping
                .dimensions
                .iter()
                .map(|dimension| {
                    let text = dialect.text();
                    format!("coalesce(cast({dimension} as {text}), '{NOT_RECORDED}')")
                })
                .collect();
            let group = if values.is_empty() {
                format!("'{ALL}'")
            } else {
                joined(&values)
            };
            named.push((by, group));
        }
        let lines: Vec<_> = named
            .iter()
            .map(|(by, group)| format!("\n        when '{by}' then {group}"))
            .collect();
        lines.concat()
    }
}

/// The observed time of every group of every measure of events; `None` when there is none.
fn observed_time(events: &[&Split<'_>], dialect: Dialect) -> Option<String> {
    let (mut wanted, mut times) = (Vec::new(), Vec::new());
    let mut known: Vec<&Grouping> = Vec::new();
    for split in events {
        for grouping in &split.groupings {
            wanted.push(format!(
                "    select '{}' as measure, {} as version, {}",
                split.measure.id,
                split.measure.version,
                split_row(grouping)
            ));
            if !known.contains(&grouping) {
                known.push(grouping);
                times.extend(observed_groups(grouping, dialect.text()));
            }
        }
    }
    if times.is_empty() {
        return None;
    }
    Some(format!(
        "select\n    wanted.measure, wanted.version, wanted.split_by, times.split_group, \
         times.split_month,\n    0 as events, times.minutes\nfrom (\n{}\n) as wanted\njoin (\n    \
         {}\n) as times\n    on wanted.split_by = times.split_by and wanted.each_month = \
         times.each_month",
        wanted.join("\n    union all\n"),
        times.join("\n    union all\n    "),
    ))
}

/// How a split is named in the script.
fn split_row(grouping: &Grouping) -> String {
    format!(
        "'{}' as split_by, {} as each_month",
        grouping.by(),
        u8::from(grouping.is_monthly)
    )
}

/// Values of several dimensions as one group.
fn joined(values: &[String]) -> String {
    values.join(" || '|' || ")
}
