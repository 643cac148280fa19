//! The tables `staffing_load`, what calls ask of the teams after hours, and `bound_after_hours`, for
//! how long teams were bound, month by month. By site; no place on a roster is in them.

use crate::export::columns::{batch, number, optional_whole, text, whole};
use crate::export::table::{Table, TableError};
use crate::findings::staffing::Share;
use crate::findings::staffing::load::{BoundMonth, Load, SiteLoad};

/// What stands for all sites added up.
pub(super) const ALL: &str = "all";

/// One number of one site.
struct Row<'a> {
    site: &'a str,
    number: &'static str,
    events: u64,
    of: Option<u64>,
    estimate: Option<f64>,
    limits: Option<[f64; 2]>,
    unit: &'static str,
    method: &'static str,
}

/// The sites by name, and `all` at the end.
pub(super) fn named<'a, T>(
    sites: &'a [T],
    all: &'a T,
    name: fn(&T) -> Option<&str>,
) -> impl Iterator<Item = (&'a str, &'a T)> {
    let sites = sites.iter().chain([all]);
    sites.map(move |of| (name(of).unwrap_or(ALL), of))
}

/// One row per site and number, sites by name and all of them last.
///
/// # Errors
/// When a count does not fit INT64.
pub fn load_table(load: &Load) -> Result<Table, TableError> {
    let rows: Vec<_> = named(&load.sites, &load.all, |of| of.site.as_deref())
        .flat_map(|(site, of)| rows(site, of))
        .collect();
    let columns = vec![
        text(
            "site",
            "the site; all for all sites added up, whose calls never merge",
            rows.iter().map(|row| row.site),
        ),
        text(
            "number",
            &format!(
                "what is counted; the section on load says how. calls_to_a_team_still_at_work are calls \
                 after hours that found the team of the day still at work, or free for no longer than {} \
                 min. minutes_bound_after_hours is left out where more than half of the calls have no \
                 known end",
                load.rules.merge_minutes
            ),
            rows.iter().map(|row| row.number),
        ),
        whole("events", "how many", "", rows.iter().map(|row| row.events))?,
        optional_whole(
            "of",
            "of how many; empty for what is no part of a whole",
            "",
            rows.iter().map(|row| row.of),
        )?,
        number(
            "estimate",
            "share or rate; empty without a denominator",
            "as the column unit says",
            rows.iter().map(|row| row.estimate),
        ),
        number(
            "low",
            "lower limit of the estimate",
            "as the column unit says",
            rows.iter().map(|row| row.limits.map(|[low, _]| low)),
        ),
        number(
            "high",
            "upper limit of the estimate",
            "as the column unit says",
            rows.iter().map(|row| row.limits.map(|[_, high]| high)),
        ),
        number(
            "level",
            "confidence level of the limits",
            "fraction",
            rows.iter().map(|row| row.limits.map(|_| load.level)),
        ),
        text(
            "unit",
            "fraction, per 30 site-days, minutes per 30 site-days, or count",
            rows.iter().map(|row| row.unit),
        ),
        text(
            "method",
            "wilson, garwood, or none where there is no interval",
            rows.iter().map(|row| row.method),
        ),
    ];
    Ok(Table {
        name: "staffing_load",
        batch: batch(columns),
    })
}

fn rows<'a>(site: &'a str, of: &SiteLoad) -> Vec<Row<'a>> {
    let count = |number, events| Row {
        site,
        number,
        events,
        of: None,
        estimate: None,
        limits: None,
        unit: "count",
        method: "none",
    };
    let share = |number, share: Share| Row {
        of: Some(share.counted.cases),
        estimate: share.estimate(),
        limits: share.interval.map(|limits| [limits.low, limits.high]),
        unit: "fraction",
        method: "wilson",
        ..count(number, share.counted.events)
    };
    let found = &of.call_backs;
    let call_backs = Row {
        estimate: found.per_30_days.map(|rate| rate.rate),
        limits: found.per_30_days.map(|rate| [rate.low, rate.high]),
        unit: "per 30 site-days",
        method: "garwood",
        ..count("call_backs", found.count())
    };
    let bound = Row {
        of: Some(of.after_hours_minutes),
        estimate: of.bound_hours_per_30_days().map(|hours| hours * 60.0),
        unit: "minutes per 30 site-days",
        ..count("minutes_bound_after_hours", of.bound_minutes())
    };
    let [one, two, more] = found.by_calls;
    let mut rows = vec![
        count("calls", of.calls),
        count("release_recorded", of.lengths.recorded),
        count("release_from_end_of_case", of.lengths.from_end),
        count("length_unknown", of.lengths.unknown),
        count("site_days", found.site_days),
        count("calls_after_hours", found.after_hours_calls),
        count("calls_to_a_team_still_at_work", found.stayed_on),
        call_backs,
        count("call_backs_with_one_call", one),
        count("call_backs_with_two_calls", two),
        count("call_backs_with_three_or_more", more),
    ];
    rows.extend(Some(bound).filter(|_| of.are_ends_known()));
    rows.extend([
        share("nights_with_a_call", of.nights.with_one),
        share("nights_with_two_or_more", of.nights.with_two),
        count("longest_run_of_nights_without", of.nights.longest_quiet),
        share("weekends_with_a_call", of.weekends.with_one),
        share("weekends_with_two_or_more", of.weekends.with_two),
        share("ended_shortly_before_staffed_hours", of.rest.by_hours.short),
        count("call_backs_with_end_unknown", of.rest.by_hours.end_unknown),
    ]);
    if let Some(rest) = of.rest.by_roster {
        rows.extend([
            count("on_call_duties", rest.duties),
            count("on_call_duties_met", rest.met),
            share("short_rest", rest.short),
            count("met_with_end_unknown", rest.end_unknown),
            count("met_without_a_shift_afterwards", rest.no_shift_after),
            count("call_backs_without_a_duty", rest.without_duty),
            count("call_backs_off_the_dates_of_the_roster", rest.off_roster),
        ]);
    }
    let morning = of.past_morning;
    rows.extend([
        share("window_past_start_of_day", morning.reached),
        count("after_hours_without_window", morning.without_window),
        count("after_hours_scoped_in_hours", morning.scoped_in_hours),
        count("after_hours_not_scoped", morning.not_scoped),
        count("after_hours_without_next_staffed_hours", morning.not_known),
    ]);
    rows
}

/// One row per site and month of the records, sites by name and all of them last.
///
/// # Errors
/// When a count does not fit INT64.
pub fn bound_after_hours_table(load: &Load) -> Result<Table, TableError> {
    let rows: Vec<(&str, bool, &BoundMonth)> =
        named(&load.sites, &load.all, |of| of.site.as_deref())
            .flat_map(|(site, of)| {
                let is_told = of.are_ends_known();
                of.months.iter().map(move |month| (site, is_told, month))
            })
            .collect();
    let months = || rows.iter().map(|(.., month)| month);
    let columns = vec![
        text(
            "site",
            "the site; all for all sites added up",
            rows.iter().map(|(site, ..)| site),
        ),
        text(
            "month",
            "month of the calls, YYYY-MM; a case that runs on counts where it began",
            months().map(|of| of.month.to_string()),
        ),
        optional_whole(
            "minutes",
            "time after hours in which a team of the site was bound, each minute once; empty where more \
             than half of the calls of the site have no known end",
            "minutes",
            rows.iter()
                .map(|(_, is_told, of)| is_told.then_some(of.minutes)),
        )?,
        whole(
            "known",
            "calls of known length at any hour",
            "calls",
            months().map(|of| of.known),
        )?,
        whole(
            "unknown",
            "calls of unknown length, which add nothing",
            "calls",
            months().map(|of| of.unknown),
        )?,
    ];
    Ok(Table {
        name: "bound_after_hours",
        batch: batch(columns),
    })
}

#[cfg(test)]
mod tests;
