//! The tables `overlap`, teams that calls find bound beside the model, `offered_load`, the model
//! itself, and `overlap_by_block`, by hour of the call.

use super::load::named;
use crate::domain::codes::Shift;
use crate::export::columns::{Column, batch, number, optional_text, optional_whole, text, whole};
use crate::export::table::{Table, TableError};
use crate::findings::staffing::overlap::{
    Agreement, BLOCK_HOURS, BlockOverlap, HoursOverlap, LEVELS, Model, Overlap, SiteOverlap,
};

/// Sites by name, and all of them last, each with its hours.
fn hours(overlap: &Overlap) -> Vec<(&str, &HoursOverlap)> {
    sites(overlap)
        .flat_map(|(site, of)| of.hours.iter().map(move |hours| (site, hours)))
        .collect()
}

fn sites(overlap: &Overlap) -> impl Iterator<Item = (&str, &SiteOverlap)> {
    named(&overlap.sites, &overlap.all, |of| of.site.as_deref())
}

fn address<'a>(rows: impl Iterator<Item = (&'a str, &'a HoursOverlap)> + Clone) -> [Column; 2] {
    [
        text(
            "site",
            "the site; all for all sites at which it can be told which calls met, added up. Where more than \
             half of the calls of a site have no known end, what rests on ends is empty",
            rows.clone().map(|(site, _)| site),
        ),
        text(
            "hours",
            "all, in_hours or after_hours, by the minute of the call",
            rows.map(|(_, of)| of.shift.map_or("all", Shift::code)),
        ),
    ]
}

/// One row per site, hours and number of bound teams.
///
/// # Errors
/// When a count does not fit INT64.
pub fn overlap_table(overlap: &Overlap) -> Result<Table, TableError> {
    let hours = hours(overlap);
    let rows: Vec<_> = hours
        .iter()
        .flat_map(|(site, of)| (0..LEVELS).map(move |level| (*site, *of, level)))
        .collect();
    let mut columns = Vec::from(address(rows.iter().map(|(site, of, _)| (*site, *of))));
    columns.extend([
        text(
            "teams_bound",
            "teams of the site that were bound: 0, 1, 2, or 3+ for three or more",
            rows.iter().map(|(.., level)| ["0", "1", "2", "3+"][*level]),
        ),
        optional_whole(
            "calls",
            "calls that found so many bound",
            "calls",
            rows.iter()
                .map(|(_, of, level)| of.is_told.then_some(of.found[*level])),
        )?,
        whole(
            "all_calls",
            "all calls of these hours",
            "calls",
            rows.iter().map(|(_, of, _)| of.calls()),
        )?,
        whole(
            "calls_of_unknown_length",
            "those of all calls that bind nobody because their end is unknown",
            "calls",
            rows.iter().map(|(_, of, _)| of.unknown),
        )?,
        optional_whole(
            "minutes",
            "minutes of the period with so many bound",
            "minutes",
            rows.iter()
                .map(|(_, of, level)| of.is_told.then_some(of.minutes[*level])),
        )?,
        whole(
            "all_minutes",
            "all minutes of these hours of the period, those of each site",
            "minutes",
            rows.iter().map(|(_, of, _)| of.all_minutes()),
        )?,
        number(
            "model_share",
            "share of calls, and of the time, by the model (M/G/infinity)",
            "fraction",
            rows.iter()
                .map(|(_, of, level)| of.model.map(|model| model.bound[*level])),
        ),
    ]);
    Ok(Table {
        name: "overlap",
        batch: batch(columns),
    })
}

/// One row per site and hours: the measured load, the queue, and how observed calls compare.
///
/// # Errors
/// When a count does not fit INT64.
pub fn offered_load_table(overlap: &Overlap) -> Result<Table, TableError> {
    let rows = hours(overlap);
    let of_model = |name: &str, meaning: &str, unit: &str, value: fn(&Model) -> f64| {
        let values = rows.iter().map(|(_, of)| of.model.as_ref().map(value));
        number(name, meaning, unit, values)
    };
    let mut columns = Vec::from(address(rows.iter().copied()));
    columns.extend([
        optional_whole(
            "calls_while_bound",
            "calls that came while a team of the site was bound",
            "calls",
            rows.iter()
                .map(|(_, of)| of.is_told.then_some(of.while_one.counted.events)),
        )?,
        whole(
            "calls",
            "all calls",
            "calls",
            rows.iter().map(|(_, of)| of.calls()),
        )?,
        number(
            "low",
            "lower Wilson limit of the share of calls that came while a team was bound",
            "fraction",
            rows.iter()
                .map(|(_, of)| of.while_one.interval.map(|limits| limits.low)),
        ),
        number(
            "high",
            "upper Wilson limit",
            "fraction",
            rows.iter()
                .map(|(_, of)| of.while_one.interval.map(|limits| limits.high)),
        ),
        of_model("calls_per_hour", "calls per hour", "per hour", |model| {
            model.calls_per_hour
        }),
        of_model(
            "mean_minutes",
            "mean time that a call of known length binds a team",
            "minutes",
            |model| model.mean_minutes,
        ),
        of_model(
            "load",
            "calls per hour times mean hours bound",
            "teams",
            |model| model.load,
        ),
        of_model(
            "another_call",
            "chance that another call comes while a team is bound, 1 - exp(-load)",
            "fraction",
            |model| model.bound_from(1),
        ),
        of_model("erlang_b_1", "Erlang B, one team", "fraction", |model| {
            model.loss[0]
        }),
        of_model("erlang_b_2", "Erlang B, two teams", "fraction", |model| {
            model.loss[1]
        }),
        of_model("erlang_c_1", "Erlang C, one team", "fraction", |model| {
            model.waits[0]
        }),
        of_model("erlang_c_2", "Erlang C, two teams", "fraction", |model| {
            model.waits[1]
        }),
        number(
            "another_call_by_hour",
            "the same with a rate of its own for each block of hours; for all hours alone",
            "fraction",
            rows.iter()
                .map(|(_, of)| of.by_hour.map(|by_hour| by_hour.while_one)),
        ),
        optional_text(
            "observed",
            "within, more_than_model or fewer_than_model: the interval beside another_call; empty with \
             fewer than 20 calls",
            rows.iter().map(|(_, of)| of.agreement.map(Agreement::code)),
        ),
        optional_text(
            "observed_by_hour",
            "the same beside another_call_by_hour, which is nearer to how calls come",
            rows.iter()
                .map(|(_, of)| of.by_hour.map(|by_hour| by_hour.agreement.code())),
        ),
    ]);
    Ok(Table {
        name: "offered_load",
        batch: batch(columns),
    })
}

/// One row per site, days and block of hours.
///
/// # Errors
/// When a count does not fit INT64.
pub fn overlap_by_block_table(overlap: &Overlap) -> Result<Table, TableError> {
    let rows: Vec<(&str, &BlockOverlap)> = sites(overlap)
        .flat_map(|(site, of)| of.blocks.iter().map(move |block| (site, block)))
        .collect();
    let blocks = || rows.iter().map(|(_, block)| block);
    let columns = vec![
        text(
            "site",
            "the site; all for all sites added up",
            rows.iter().map(|(site, _)| site),
        ),
        text(
            "days",
            "weekday or weekend",
            blocks().map(|block| {
                if block.is_weekend {
                    "weekend"
                } else {
                    "weekday"
                }
            }),
        ),
        whole(
            "from_hour",
            "first hour of the block on the clock of the site",
            "hours",
            blocks().map(|block| block.first_hour),
        )?,
        whole(
            "until_hour",
            "the hour at which it ends",
            "hours",
            blocks().map(|block| block.first_hour + BLOCK_HOURS),
        )?,
        whole(
            "calls_while_bound",
            "calls that came while a team of the site was bound",
            "calls",
            blocks().map(|block| block.while_one.counted.events),
        )?,
        whole(
            "calls",
            "all calls of the block; 0 where more than half of the calls of the site have no known end",
            "calls",
            blocks().map(|block| block.while_one.counted.cases),
        )?,
        number(
            "share",
            "the first of the second",
            "fraction",
            blocks().map(|block| block.while_one.estimate()),
        ),
        number(
            "low",
            "lower Wilson limit",
            "fraction",
            blocks().map(|block| block.while_one.interval.map(|limits| limits.low)),
        ),
        number(
            "high",
            "upper Wilson limit",
            "fraction",
            blocks().map(|block| block.while_one.interval.map(|limits| limits.high)),
        ),
    ];
    Ok(Table {
        name: "overlap_by_block",
        batch: batch(columns),
    })
}

#[cfg(test)]
mod tests;
