//! When calls come: the chart of weekdays by hours.

use super::calls::CALLS;
use crate::domain::codes::Weekday;
use crate::domain::counts::EventsCount;
use crate::findings::calls_by_hour::{BY, CALLS_PER_CELL, CallsByHour, sum};
use crate::findings::review::Review;
use crate::report::chart::{Chart, Grid, GridCell, GridColumn, GridRow, Plot, Shade};
use crate::report::content::{Block, Cell, Figure, Table};
use crate::report::{format, series};

/// The chart; `None` when calls were not counted by hour, none has one, or their numbers are withheld.
pub(super) fn block(review: &Review) -> Option<Block> {
    let is_withheld = review
        .findings
        .iter()
        .any(|finding| finding.measure == CALLS && finding.by == BY && finding.suppressed);
    if is_withheld {
        return None;
    }
    let calls = review.calls_by_hour.as_ref()?;
    let totals = calls.by_block();
    let grid = Grid {
        columns: calls
            .first_hours()
            .zip(&totals)
            .map(|(hour, total)| GridColumn {
                label: hour_label(hour, calls.block_hours),
                group: String::new(),
                total: format::short_whole(total.events),
            })
            .collect(),
        rows: Weekday::ALL
            .iter()
            .zip(&calls.days)
            .map(|(weekday, day)| row(review, calls, *weekday, day))
            .collect(),
        totals: Some("All".to_owned()),
        below: Some("All days".to_owned()),
        legend: legend(calls.highest()),
        frame: is_any_staffed(review).then(|| "staffed hours".to_owned()),
    };
    Some(Block::Figure(Box::new(Figure {
        stem: "calls_by_weekday_and_hour".to_owned(),
        chart: Chart {
            title: format!(
                "When do calls come? {}, {}",
                format::counted(calls.all().events, "call", "calls"),
                series::whole_period(review)
            ),
            axis_label: "Calls".to_owned(),
            unit: None,
            plot: Plot::Grid(grid),
        },
        caption: caption(review, calls),
        alternative: alternative(review, calls),
        table: table(review, calls),
    })))
}

fn hour_label(hour: u8, block_hours: u8) -> String {
    match block_hours {
        1 => hour.to_string(),
        _ => format!("{hour}–{}", hour + block_hours),
    }
}

fn row(review: &Review, calls: &CallsByHour, weekday: Weekday, day: &[EventsCount]) -> GridRow {
    let length = calls.block_hours;
    let cell = |(count, first): (&EventsCount, u8)| {
        let hours = first..first + length;
        let staffed = hours.filter(|hour| review.staffed_week.is_staffed(weekday, *hour));
        GridCell {
            shade: shade(count.events, calls.highest()),
            text: match count.events {
                0 => String::new(),
                events => format::short_whole(events),
            },
            is_framed: staffed.count() * 2 >= usize::from(length),
        }
    };
    GridRow {
        label: weekday.label().to_owned(),
        cells: day.iter().zip(calls.first_hours()).map(cell).collect(),
        total: format::short_whole(sum(day.iter()).events),
    }
}

/// The quarter of the highest count in which a count lies.
fn shade(calls: u64, highest: u64) -> Shade {
    let quarter = (calls * 4).div_ceil(highest.max(1));
    let quarter = usize::try_from(quarter).unwrap_or(usize::MAX);
    Shade::ALL[quarter.min(Shade::ALL.len() - 1)]
}

/// The counts of each shade that a count can have.
fn legend(highest: u64) -> Vec<(Shade, String)> {
    let mut legend = vec![(Shade::Blank, "none".to_owned())];
    for (quarter, shade) in (1..).zip(&Shade::ALL[1..]) {
        let (low, high) = (highest * (quarter - 1) / 4 + 1, highest * quarter / 4);
        let words = match high.checked_sub(low) {
            None => continue,
            Some(0) => format::whole(low),
            Some(_) => format!("{} to {}", format::whole(low), format::whole(high)),
        };
        legend.push((*shade, words));
    }
    legend
}

fn is_any_staffed(review: &Review) -> bool {
    Weekday::ALL
        .iter()
        .any(|day| (0..24).any(|hour| review.staffed_week.is_staffed(*day, hour)))
}

fn caption(review: &Review, calls: &CallsByHour) -> String {
    let (mean, [low, high]) = calls.even_cell();
    let blocks = match calls.block_hours {
        1 => "Each hour begins at the number above it".to_owned(),
        hours if mean >= CALLS_PER_CELL as f64 => format!(
            "Blocks of {hours} hours, the shortest that leave {CALLS_PER_CELL} calls or more to a cell \
             on average"
        ),
        hours => format!("Blocks of {hours} hours, since calls are few"),
    };
    let frame = if is_any_staffed(review) {
        " The frame holds the staffed hours (blocks of which at least half is), holidays aside; all \
         else is after hours."
    } else {
        ""
    };
    let missing = match calls.not_known {
        0 => String::new(),
        missing => format!(
            " {} more without a recorded weekday or hour.",
            format::counted(missing, "call", "calls")
        ),
    };
    format!(
        "{}, {}. {blocks}, on the clock of the site; darker means more. A cell holds {mean:.1} calls \
         on average. If calls came evenly, chance alone would put about 19 of 20 cells between {low} \
         and {high}: look at rows, columns and groups of cells rather than at one.{frame}{missing}",
        format::counted(calls.all().events, "call", "calls"),
        series::whole_period(review),
    )
}

fn alternative(review: &Review, calls: &CallsByHour) -> String {
    let by_day: Vec<_> = Weekday::ALL
        .iter()
        .zip(&calls.days)
        .map(|(day, blocks)| format!("{} {}", day.label(), sum(blocks.iter()).events))
        .collect();
    let by_block: Vec<_> = calls
        .first_hours()
        .zip(calls.by_block())
        .map(|(hour, count)| {
            let label = hour_label(hour, calls.block_hours);
            format!("{label} o’clock {}", count.events)
        })
        .collect();
    format!(
        "A grid of weekdays by hours with {}, {}. By day: {}. By hour: {}.",
        format::counted(calls.all().events, "call", "calls"),
        series::whole_period(review),
        by_day.join(", "),
        by_block.join(", ")
    )
}

fn table(review: &Review, calls: &CallsByHour) -> Table {
    let mut table = Table::new(
        format!(
            "Calls by weekday and hour, {}, and the hours observed, clock changes included",
            series::whole_period(review)
        ),
        &["Weekday"],
    );
    let hours = calls.first_hours();
    table
        .columns
        .extend(hours.map(|hour| hour_label(hour, calls.block_hours)));
    table
        .columns
        .extend(["All", "Hours observed"].map(str::to_owned));
    let all = calls.by_block();
    let days = Weekday::ALL.iter().map(|day| day.label()).zip(&calls.days);
    for (label, blocks) in days.chain([("All days", &all)]) {
        let total = sum(blocks.iter());
        let counts = blocks.iter().map(|count| format::whole(count.events));
        let mut row = vec![Cell::from(label)];
        row.extend(counts.map(Cell::from));
        row.push(format::whole(total.events).into());
        row.push(format::whole(total.exposure_minutes / 60).into());
        table.push(row);
    }
    let observed = all
        .iter()
        .map(|count| Cell::from(format::whole(count.exposure_minutes / 60)));
    table.push(
        [Cell::from("Hours observed")]
            .into_iter()
            .chain(observed)
            .collect(),
    );
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shades_are_quarters_of_the_highest_count_and_the_legend_says_which() {
        let shades = [0, 1, 5, 6, 10, 11, 15, 16, 20].map(|calls| shade(calls, 20) as usize);
        assert_eq!(shades, [0, 1, 1, 2, 2, 3, 3, 4, 4]);
        let words = |highest| {
            let legend = legend(highest).into_iter();
            legend
                .map(|(_, words)| words)
                .collect::<Vec<_>>()
                .join(", ")
        };
        assert_eq!(words(20), "none, 1 to 5, 6 to 10, 11 to 15, 16 to 20");
        // Fewer counts than shades: those that no count has are left out.
        assert_eq!(words(2), "none, 1, 2");
        assert_eq!((shade(1, 2), shade(2, 2)), (Shade::Light, Shade::Dark));
        assert_eq!(legend(2)[1].0, Shade::Light);
    }
}
