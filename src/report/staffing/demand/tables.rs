//! The tables of demand. Sites stand by name, behind all of them together.

use super::words::{clock_share, period};
use crate::domain::month::Month;
use crate::findings::finding::Unit;
use crate::findings::staffing::demand::{
    AfterHours, CallRate, Demand, Evenness, Prediction, RateMethod, SiteDemand, Week,
};
use crate::report::content::{Cell, Table};
use crate::report::format;

/// A rate per 30 days of one site, with one decimal.
pub(super) fn rate_number(rate: f64) -> String {
    format::with_unit(Unit::Per30SiteDays, 0, rate)
}

/// Two limits as one text.
pub(super) fn interval(number: impl Fn(f64) -> String, low: f64, high: f64) -> String {
    format!("{} to {}", number(low), number(high))
}

/// The name of a site, or that of all.
pub(super) fn site_name(site: &SiteDemand) -> &str {
    site.site.as_deref().unwrap_or("All calls")
}

fn places(demand: &Demand) -> impl Iterator<Item = &SiteDemand> {
    [&demand.all].into_iter().chain(&demand.sites)
}

/// `95% interval`.
fn interval_heading(demand: &Demand) -> String {
    format!("{} interval", format::level(demand.level))
}

/// What the intervals of these rates are, in words.
pub(super) fn methods<'a>(rates: impl Iterator<Item = &'a CallRate>) -> String {
    let (mut even, mut uneven) = (false, false);
    for rate in rates {
        match rate.method() {
            RateMethod::Garwood => even = true,
            RateMethod::EffectiveCount => uneven = true,
        }
    }
    let widened = "of the calls divided by the index of their variance where they vary by more than \
                   chance";
    match (even, uneven) {
        (_, false) => "exact Poisson intervals (Garwood)".to_owned(),
        (true, true) => format!("exact Poisson intervals (Garwood), {widened}"),
        (false, true) => {
            "exact Poisson intervals (Garwood) of the calls divided by the index of their \
                          variance, which is more than chance gives"
                .to_owned()
        }
    }
}

/// Calls and their rate.
pub(super) fn rates(demand: &Demand) -> Table {
    let interval_words = interval_heading(demand);
    let found = places(demand).filter_map(|site| site.rate.as_ref());
    let mut table = Table::new(
        format!(
            "Calls per 30 days of one site, {}; {}. Variance: that of months over what chance gives, \
             from 12 months on. Year on year: the ratio of the rates of two years in a row on one \
             straight line of logarithms",
            period(demand.first, demand.last),
            methods(found)
        ),
        &[
            "Site",
            "Calls",
            "Site-days observed",
            "Rate",
            &interval_words,
            "Variance",
            "Year on year",
        ],
    );
    for site in places(demand) {
        let Some(rate) = &site.rate else {
            table.push(vec![site_name(site).into()]);
            continue;
        };
        table.push(vec![
            site_name(site).into(),
            format::whole(rate.events).into(),
            format::days(rate.exposure_minutes).into(),
            rate_number(rate.rate).into(),
            interval(rate_number, rate.low, rate.high).into(),
            variance(&site.evenness),
            site.trend.map_or_else(
                || format::NOTHING.into(),
                |trend| Cell {
                    text: format::ratio(trend.ratio),
                    details: vec![interval(format::ratio, trend.low, trend.high)],
                },
            ),
        ]);
    }
    table
}

fn variance(evenness: &Evenness) -> Cell {
    match evenness {
        Evenness::TooFewMonths(_) => "too few months".into(),
        Evenness::TooFewCalls => "too few calls".into(),
        Evenness::Even(found) | Evenness::Uneven(found) => Cell {
            text: format::ratio(found.index),
            details: vec![format!("p {}", format::p_value(found.p))],
        },
    }
}

/// Calls after hours beside the clock; `None` when calls were not counted by shift.
pub(super) fn after_hours(demand: &Demand) -> Option<Table> {
    demand.all.by_shift?;
    let interval_words = interval_heading(demand);
    let mut table = Table::new(
        format!(
            "Calls after hours, {}. After hours is every hour that is not staffed, holidays included. \
             Rates are per 30 days of 24 hours, all of them in that shift. The last column has the \
             first of these rates over the second, with its exact conditional interval; it leaves out 1 \
             only where calls come more or less often after hours than chance allows",
            period(demand.first, demand.last)
        ),
        &[
            "Site",
            "Calls after hours",
            &interval_words,
            "Part of the clock",
            "Rate after hours",
            "Rate in staffed hours",
            "Ratio",
        ],
    );
    for site in places(demand) {
        let Some(shifts) = &site.by_shift else {
            table.push(vec![site_name(site).into()]);
            continue;
        };
        let rate = |rate: &Option<CallRate>| {
            rate.as_ref().map_or_else(
                || format::NOTHING.into(),
                |rate| Cell {
                    text: rate_number(rate.rate),
                    details: vec![interval(rate_number, rate.low, rate.high)],
                },
            )
        };
        let after = shifts.after.as_ref();
        table.push(vec![
            site_name(site).into(),
            after.map_or(format::NO_CASES.into(), |after| {
                format::part(after.events, after.calls).into()
            }),
            after.map_or(format::NOTHING.into(), share_interval),
            after.map_or(format::NOTHING.into(), |after| {
                clock_share(after.clock_share).into()
            }),
            rate(&shifts.after_hours),
            rate(&shifts.in_hours),
            after.map_or(format::NOTHING.into(), ratio),
        ]);
    }
    Some(table)
}

fn share_interval(after: &AfterHours) -> Cell {
    if after.calls < format::FEWEST_CASES_FOR_PERCENT {
        return format::NOTHING.into();
    }
    let share = |share: f64| format::with_unit(Unit::Fraction, after.calls, share);
    format!(
        "{} to {}",
        share(after.interval.low).trim_end_matches('%'),
        share(after.interval.high)
    )
    .into()
}

fn ratio(after: &AfterHours) -> Cell {
    let ratio = &after.ratio;
    ratio.estimate.map_or_else(
        || format::NOTHING.into(),
        |estimate| Cell {
            text: format::ratio(estimate),
            details: vec![interval(format::ratio, ratio.low, ratio.high)],
        },
    )
}

/// What the next three months may bring, by site; `None` when nothing can be predicted.
pub(super) fn next_months(demand: &Demand) -> Option<Table> {
    let months: Vec<Month> = places(demand)
        .find_map(|site| site.prediction.as_ref())?
        .months
        .iter()
        .map(|next| next.month)
        .collect();
    let mut table = Table::new(
        format!(
            "Calls that the next three months may bring: {} prediction intervals, from the months in \
             the second column",
            format::level(demand.level)
        ),
        &["Site", "From"],
    );
    table
        .columns
        .extend(months.iter().map(|month| format::month_name(*month)));
    table
        .columns
        .extend(["All three", "A year before"].map(str::to_owned));
    for site in places(demand) {
        table.push(match &site.prediction {
            Some(ahead) => prediction_row(site, ahead),
            None => vec![site_name(site).into(), "no longer in service".into()],
        });
    }
    Some(table)
}

fn prediction_row(site: &SiteDemand, ahead: &Prediction) -> Vec<Cell> {
    let limits = |low, high| format!("{} to {}", format::whole(low), format::whole(high));
    let mut row = vec![
        site_name(site).into(),
        Cell {
            text: format::counted(ahead.base.events, "call", "calls"),
            details: vec![period(ahead.base_first, ahead.base_last)],
        },
    ];
    row.extend(
        ahead
            .months
            .iter()
            .map(|next| Cell::from(limits(next.low, next.high))),
    );
    row.push(limits(ahead.low, ahead.high).into());
    row.push(
        ahead
            .year_before
            .map_or(format::NOTHING.into(), |calls| format::whole(calls).into()),
    );
    row
}

/// Every month, and those to come.
pub(super) fn by_month(demand: &Demand) -> Table {
    let interval_words = interval_heading(demand);
    let mut table = Table::new(
        "Calls by month, and what the next three may bring",
        &[
            "Month",
            "Calls",
            "Site-days observed",
            "Per 30 site-days",
            &interval_words,
        ],
    );
    for (month, rate) in &demand.all.months {
        table.push(vec![
            format::month_name(*month).into(),
            format::whole(rate.events).into(),
            format::days(rate.exposure_minutes).into(),
            rate_number(rate.rate).into(),
            interval(rate_number, rate.low, rate.high).into(),
        ]);
    }
    for next in demand.all.prediction.iter().flat_map(|ahead| &ahead.months) {
        table.push(vec![
            format!("{}, predicted", format::month_name(next.month)).into(),
            format!(
                "{} to {}",
                format::whole(next.low),
                format::whole(next.high)
            )
            .into(),
        ]);
    }
    table
}

/// `8–12` for a block of the day.
pub(super) fn block_label(first_hour: u8, block_hours: u8) -> String {
    match block_hours {
        1 => first_hour.to_string(),
        _ => format!("{first_hour}–{}", first_hour + block_hours),
    }
}

/// The week: a column for each row of the grid, since there are fewer of them.
pub(super) fn week(demand: &Demand, week: &Week) -> Table {
    let mut table = Table::new(
        format!(
            "Calls per 100 hours of one site by hour of the week, {}, each with its {} and the calls \
             in the hours observed",
            period(demand.first, demand.last),
            interval_heading(demand)
        ),
        &["Hours"],
    );
    table
        .columns
        .extend(week.rows.iter().map(|row| row.days.label().to_owned()));
    for (place, first) in week.first_hours().enumerate() {
        let mut row = vec![Cell::from(block_label(first, week.block_hours))];
        row.extend(week.rows.iter().map(|days| {
            let rate = days.blocks.get(place).and_then(Option::as_ref);
            rate.map_or(format::NOTHING.into(), rate_cell)
        }));
        table.push(row);
    }
    table
}

fn rate_cell(rate: &CallRate) -> Cell {
    Cell {
        text: format::ratio(rate.rate),
        details: vec![
            interval(format::ratio, rate.low, rate.high),
            calls_in_hours(rate),
        ],
    }
}

/// `12 in 480 h`.
pub(super) fn calls_in_hours(rate: &CallRate) -> String {
    format!(
        "{} in {} h",
        format::whole(rate.events),
        format::whole(rate.exposure_minutes / 60)
    )
}

/// The blocks of weekdays and weekends.
pub(super) fn day_kinds(demand: &Demand, week: &Week) -> Table {
    let interval_words = interval_heading(demand);
    let mut table = Table::new(
        format!(
            "Calls per 100 hours of one site, Monday to Friday and at the weekend, {}",
            period(demand.first, demand.last)
        ),
        &[
            "Days and hours",
            "Calls",
            "Hours observed",
            "Rate",
            &interval_words,
        ],
    );
    for (days, first, rate) in super::figures::blocks_of_kinds(week) {
        table.push(vec![
            format!("{}, {}", days.label(), first).into(),
            format::whole(rate.events).into(),
            format::whole(rate.exposure_minutes / 60).into(),
            format::ratio(rate.rate).into(),
            interval(format::ratio, rate.low, rate.high).into(),
        ]);
    }
    table
}
