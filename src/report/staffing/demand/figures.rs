//! The figures of demand: months with those to come, the week as a grid, weekdays beside weekends.

use super::tables::{self, block_label, calls_in_hours, interval};
use super::words::{next_period, period};
use crate::findings::staffing::demand::{
    CallRate, DAY_KIND_BLOCK_HOURS, Days, Demand, Week, WeekRow, first_hours,
};
use crate::report::chart::{
    Chart, Grid, GridCell, GridColumn, GridRow, Line, MonthPoint, Plot, Shade,
};
use crate::report::content::Figure;
use crate::report::format;

/// Months of the past that a chart has room for.
const MONTHS_SHOWN: usize = 24;

/// Calls month by month, and what the next three may bring.
pub(super) fn by_month(demand: &Demand) -> Figure {
    let months = &demand.all.months;
    let shown = &months[months.len().saturating_sub(MONTHS_SHOWN)..];
    let mut points: Vec<MonthPoint> = shown
        .iter()
        .map(|(month, rate)| {
            let (low, high) = rate.limits_of_count();
            MonthPoint {
                month: *month,
                n: format::short_whole(rate.events),
                value: Some(rate.events as f64),
                value_text: format::counted(rate.events, "call", "calls"),
                limits: (Some(low), Some(high)),
                quartiles: None,
                cases: Vec::new(),
            }
        })
        .collect();
    let ahead = demand.all.prediction.as_ref();
    points.extend(
        ahead
            .iter()
            .flat_map(|ahead| &ahead.months)
            .map(|next| MonthPoint {
                month: next.month,
                n: "–".to_owned(),
                value: None,
                value_text: String::new(),
                limits: (None, None),
                quartiles: Some((next.low as f64, next.high as f64)),
                cases: Vec::new(),
            }),
    );
    let (last, count) = shown
        .last()
        .map_or((demand.last, 0), |(month, rate)| (*month, rate.events));
    let level = format::level(demand.level);
    let prediction = ahead.map_or_else(String::new, |ahead| {
        format!(
            " Bars without a dot are {level} prediction intervals, if calls go on as they came; {} \
             together: {} to {} calls.",
            next_period(ahead),
            format::whole(ahead.low),
            format::whole(ahead.high)
        )
    });
    let from = shown.first().map_or(demand.first, |(month, _)| *month);
    Figure {
        stem: "demand_by_month".to_owned(),
        chart: Chart {
            title: format!(
                "How many calls come, and how many may come next? {}",
                period(from, last)
            ),
            axis_label: match ahead {
                Some(_) => "Calls in the month; bars at the right: predicted".to_owned(),
                None => "Calls in the month".to_owned(),
            },
            unit: None,
            plot: Plot::Months {
                points,
                in_view: last,
                reference: None,
            },
        },
        caption: format!(
            "Dots: calls of each month, all sites together, with {level} exact Poisson intervals \
             (Garwood) by counting alone; n is their number. Months differ in length: rates stand in \
             the table.{prediction}"
        ),
        alternative: format!(
            "Calls month by month, {}: {} in the last month.{prediction}",
            period(from, last),
            format::counted(count, "call", "calls")
        ),
        table: tables::by_month(demand),
    }
}

/// The rates of the week, with the calls in each cell.
pub(super) fn week(demand: &Demand, week: &Week) -> Figure {
    let highest = highest(&week.rows);
    let column_total = |place: usize| -> u64 {
        let cells = week.rows.iter().filter_map(|row| row.blocks.get(place));
        cells.flatten().map(|rate| rate.events).sum()
    };
    let grid = Grid {
        columns: week
            .first_hours()
            .enumerate()
            .map(|(place, first)| GridColumn {
                label: block_label(first, week.block_hours),
                group: String::new(),
                total: format::short_whole(column_total(place)),
            })
            .collect(),
        rows: week.rows.iter().map(|row| grid_row(row, highest)).collect(),
        totals: Some("All".to_owned()),
        below: Some("All days".to_owned()),
        legend: legend(highest),
        frame: None,
    };
    Figure {
        stem: "demand_by_hour_of_week".to_owned(),
        chart: Chart {
            title: format!(
                "At which hours of the week do calls come? {}, {}",
                format::counted(week.all.events, "call", "calls"),
                period(demand.first, demand.last)
            ),
            axis_label: "Calls per 100 hours".to_owned(),
            unit: None,
            plot: Plot::Grid(grid),
        },
        caption: format!(
            "Numbers are calls; shades are quarters of the highest rate, calls over the hours of one \
             site that were observed. Intervals stand in the table ({}). Look at rows, columns and \
             groups of cells rather than at one.",
            tables::methods(week.rows.iter().flat_map(|row| row.blocks.iter().flatten()))
        ),
        alternative: format!(
            "A grid of weekdays by hours with {}. By day: {}.",
            format::counted(week.all.events, "call", "calls"),
            week.rows
                .iter()
                .map(|row| format!("{} {}", row.days.label(), row_total(row)))
                .collect::<Vec<_>>()
                .join(", ")
        ),
        table: tables::week(demand, week),
    }
}

fn highest(rows: &[WeekRow]) -> f64 {
    let rates = rows.iter().flat_map(|row| row.blocks.iter().flatten());
    rates.map(|rate| rate.rate).fold(0.0, f64::max)
}

fn row_total(row: &WeekRow) -> u64 {
    row.blocks.iter().flatten().map(|rate| rate.events).sum()
}

fn grid_row(row: &WeekRow, highest: f64) -> GridRow {
    let cell = |rate: &Option<CallRate>| GridCell {
        shade: rate
            .as_ref()
            .map_or(Shade::Blank, |rate| shade(rate.rate, highest)),
        text: match rate.as_ref().map_or(0, |rate| rate.events) {
            0 => String::new(),
            events => format::short_whole(events),
        },
        is_framed: false,
    };
    GridRow {
        label: row.days.label().to_owned(),
        cells: row.blocks.iter().map(cell).collect(),
        total: format::short_whole(row_total(row)),
    }
}

/// The quarter of the highest rate in which a rate lies.
pub(super) fn shade(rate: f64, highest: f64) -> Shade {
    if rate <= 0.0 {
        return Shade::Blank;
    }
    let quarter = [0.25, 0.5, 0.75]
        .into_iter()
        .filter(|part| rate > part * highest);
    Shade::ALL[1 + quarter.count()]
}

/// The rates of each shade.
fn legend(highest: f64) -> Vec<(Shade, String)> {
    let mut legend = vec![(Shade::Blank, "none".to_owned())];
    let parts = [0.25, 0.5, 0.75, 1.0].map(|part| format::ratio(part * highest));
    legend.extend(
        Shade::ALL[1..]
            .iter()
            .zip(parts)
            .map(|(shade, top)| (*shade, format!("up to {top}"))),
    );
    legend
}

/// Days, hours and rate of the blocks of weekdays and weekends.
pub(super) fn blocks_of_kinds(week: &Week) -> Vec<(Days, String, CallRate)> {
    let blocks = week.day_kinds.iter().flat_map(|row| {
        first_hours(DAY_KIND_BLOCK_HOURS)
            .zip(&row.blocks)
            .filter_map(|(first, rate)| {
                let label = block_label(first, DAY_KIND_BLOCK_HOURS);
                Some((row.days, label, (*rate)?))
            })
    });
    blocks.collect()
}

/// Weekdays beside weekends, with intervals.
pub(super) fn day_kinds(demand: &Demand, week: &Week) -> Figure {
    let blocks = blocks_of_kinds(week);
    let mut lines = Vec::new();
    let mut heading = None;
    for (days, label, rate) in &blocks {
        if heading != Some(days) {
            heading = Some(days);
            lines.push(Line::Heading(days.label().to_owned()));
        }
        lines.push(Line::Group {
            label: label.clone(),
            value: Some(rate.rate),
            limits: (Some(rate.low), Some(rate.high)),
            quartiles: None,
            p90: None,
            drawn: None,
            text: format!("{} ({})", format::ratio(rate.rate), calls_in_hours(rate)),
        });
    }
    let said: Vec<String> = blocks
        .iter()
        .map(|(days, label, rate)| {
            format!(
                "{}, {label}: {} ({})",
                days.label(),
                format::ratio(rate.rate),
                interval(format::ratio, rate.low, rate.high)
            )
        })
        .collect();
    Figure {
        stem: "demand_by_block".to_owned(),
        chart: Chart {
            title: format!(
                "Does the weekend differ from Monday to Friday? {}, {}",
                format::counted(week.all.events, "call", "calls"),
                period(demand.first, demand.last)
            ),
            axis_label: "Calls per 100 hours of one site".to_owned(),
            unit: None,
            plot: Plot::Rows(lines),
        },
        caption: format!(
            "Calls over observed hours by block of the day, in calls per 100 hours of one site, with {} \
             {}. Calls and hours at the right. Two intervals that overlap may still differ.",
            format::level(demand.level),
            tables::methods(blocks.iter().map(|(_, _, rate)| rate))
        ),
        alternative: format!("Calls per 100 hours. {}.", said.join("; ")),
        table: tables::day_kinds(demand, week),
    }
}
