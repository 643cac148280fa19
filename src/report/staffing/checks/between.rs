//! The days between checks that found a fault: what the chart says, and the chart.

use crate::findings::comparisons::over_time::{BetweenChart, BetweenLines};
use crate::findings::staffing::checks::CartChecks;
use crate::report::chart::{Chart, Plot, SequenceLines, SequencePoint};
use crate::report::content::{Block, Figure, Table};
use crate::report::format;
use crate::report::series::between;

/// An upper limit above so many times the highest point is not drawn.
const MOST_ABOVE: f64 = 2.0;

/// In days.
const AN_HOUR: f64 = 1.0 / 24.0;

/// Days between checks that found a fault.
pub(super) fn between(checks: &CartChecks) -> Vec<Block> {
    let chart = &checks.days_between;
    let mut blocks = vec![Block::Heading("Days between faults".to_owned())];
    let Some(days) = checks.days_since else {
        blocks.push(Block::Text("No done check found a fault.".to_owned()));
        return blocks;
    };
    blocks.push(Block::Text(format!(
        "{} found a fault, of {} that were done. From the last of them to the last check: {} days.",
        format::counted(checks.all.with_fault, "check", "checks"),
        format::whole(checks.all.done()),
        format::distance(days)
    )));
    match &chart.lines {
        Some(lines) => {
            blocks.push(Block::List(signal_words(chart)));
            if let Some(high) = lines.high.filter(|high| days > *high) {
                blocks.push(Block::Text(format!(
                    "The days since the last fault lie beyond the upper limit of {} already.",
                    format::distance(high)
                )));
            }
        }
        None => blocks.push(Block::Text(format!(
            "{} so far, and lines need {}; no lines are drawn.",
            format::counted(chart.points.len() as u64, "distance", "distances"),
            chart.needed
        ))),
    }
    if chart.points.len() > 1 {
        blocks.push(Block::Figure(Box::new(figure(chart))));
    }
    blocks
}

fn signal_words(chart: &BetweenChart) -> Vec<String> {
    between::signal_words("days between faults", chart, |signal| {
        let when = between::when(chart, signal, "fault", "faults");
        format!(
            "{}: {}; {}. A signal says that the distances are unlike those before, not why: look first \
             at whether checks are made or written down in another way.",
            format::capitalized(&when),
            between::rule_met(signal),
            between::meaning("faults", signal.side)
        )
    })
}

/// The upper limit where it does not press the points against the axis: else the chart is drawn by
/// its values.
fn high_drawn(points: &[SequencePoint], lines: BetweenLines) -> Option<f64> {
    let values = points.iter().map(|point| point.value);
    let highest = values.fold(lines.run_line, f64::max);
    lines.high.filter(|high| *high <= MOST_ABOVE * highest)
}

fn figure(chart: &BetweenChart) -> Figure {
    let (left_out, points) = between::points_drawn(chart);
    let mut table = Table::new(
        "Days between checks that found a fault",
        &["Fault of", "Days since the one before", "Rule met"],
    );
    for point in &points {
        table.push(vec![
            format::month_name(point.month).into(),
            format::days_in_column(point.value).into(),
            between::rule_cell(chart, point).into(),
        ]);
    }
    let high = chart.lines.and_then(|lines| high_drawn(&points, lines));
    let lines = match &chart.lines {
        None => String::new(),
        Some(lines) => {
            let beyond = lines.high.filter(|_| high.is_none());
            let beyond = beyond.map_or_else(String::new, |high| {
                format!(
                    " The upper limit of {} days lies above what is drawn.",
                    format::distance(high)
                )
            });
            format!(
                " Dashed: limits and center from the first {} distances (t chart, Nelson 1994); they \
                 stay as they are when checks are added.{beyond} Diamond: a rule is met.",
                lines.baseline
            )
        }
    };
    let short = chart.points.iter().filter(|point| point.value < AN_HOUR);
    let short = match short.count() as u64 {
        0 => String::new(),
        count => format!(
            " {} shorter than an hour, as where carts are checked in the same round.",
            match count {
                1 => "1 distance is".to_owned(),
                count => format!("{} distances are", format::whole(count)),
            }
        ),
    };
    let rest = match left_out {
        0 => String::new(),
        left_out => format!(" The first {left_out} distances are not drawn."),
    };
    Figure {
        stem: "cart_faults_days_between".to_owned(),
        chart: Chart {
            title: "Checks that found a fault: how many days between them?".to_owned(),
            axis_label: "days between faults".to_owned(),
            unit: None,
            plot: Plot::Sequence {
                points,
                lines: chart.lines.map(|lines| SequenceLines {
                    high,
                    ..between::lines_drawn(lines, left_out)
                }),
            },
        },
        caption: format!(
            "Point: days from the check with a fault before to this one, all carts together. Higher \
             means rarer faults.{short}{lines}{rest}"
        ),
        alternative: format!(
            "Days between checks that found a fault: {} distances, oldest first. The table below holds \
             those drawn.",
            chart.points.len()
        ),
        table,
    }
}
