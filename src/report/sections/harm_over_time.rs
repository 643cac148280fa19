//! What lies between one adverse event and the next, in cases and in days.

use super::harm::ADVERSE_EVENT;
use crate::domain::measure::Definition;
use crate::findings::comparisons::over_time::{BetweenChart, HarmOverTime};
use crate::findings::review::Review;
use crate::report::chart::{Chart, Plot};
use crate::report::content::{Block, Figure, Section, Table};
use crate::report::format;
use crate::report::series::between;

/// How the charts are made.
pub(super) const METHODS: [&str; 2] = [
    "Cases between events (g chart): mean of the first 20 distances, upper limit 3 standard \
     deviations of a geometric count above it; runs are counted about 0.693 of the mean, near the \
     median (Benneyan 2001). There is no lower limit.",
    "Days between events (t chart): the first 20 distances raised to the power of 1/3.6, charted as \
     individual values and turned back (Nelson 1994).",
];

/// The section; `None` when harm was not counted.
pub(super) fn section(review: &Review) -> Option<Section> {
    review.definition(ADVERSE_EVENT)?;
    let mut blocks = Vec::new();
    match &review.comparisons.over_time {
        None if review.is_from_counts => blocks.push(Block::Text(
            "Nothing is said about the cases and days between events: this report was made from counts, \
             which hold no order."
                .to_owned(),
        )),
        None => blocks.push(Block::Text(
            "Nothing is said about the cases and days between events: where times are minutes since \
             the call, the cases of a month have no order."
                .to_owned(),
        )),
        Some(measures) => {
            for harm in measures {
                if let Some(definition) = review.definition(&harm.measure) {
                    blocks.extend(of_measure(definition, harm));
                }
            }
            if !blocks.is_empty() {
                blocks.insert(0, Block::Text(ABOUT.to_owned()));
            }
        }
    }
    (!blocks.is_empty()).then(|| Section {
        id: "harm-over-time",
        heading: "Harm over time".to_owned(),
        blocks,
    })
}

/// Whether any chart has lines.
pub(super) fn has_lines(review: &Review) -> bool {
    let measures = review.comparisons.over_time.iter().flatten();
    measures
        .flat_map(|harm| [&harm.cases_between, &harm.days_between])
        .any(|chart| chart.lines.is_some())
}

const ABOUT: &str = "Months with no event or one say little; what lies between one event and the \
    next says more, and grows when events become rarer. Judged cases stand in the order of their \
    calls, up to the end of the month in view. A signal says that the distances are unlike those \
    that the lines come from, not why: look first at whether recording has changed.";

fn of_measure(definition: &Definition, harm: &HarmOverTime) -> Vec<Block> {
    let mut blocks = vec![
        Block::Heading(definition.title.clone()),
        Block::Text(so_far(harm)),
    ];
    let charts = [
        ("cases", "cases between events", &harm.cases_between),
        ("days", "days between events", &harm.days_between),
    ];
    for (unit, axis_label, chart) in charts {
        if let Some(lines) = &chart.lines {
            blocks.push(Block::List(signal_words(unit, chart)));
            let since = if unit == "cases" {
                Some(harm.cases_since as f64)
            } else {
                harm.days_since
            };
            if let Some(high) = lines
                .high
                .filter(|high| since.is_some_and(|since| since > *high))
            {
                blocks.push(Block::Text(format!(
                    "The {unit} since the last event lie beyond the upper limit of {} already.",
                    format::distance(high)
                )));
            }
        } else {
            blocks.push(Block::Text(format!(
                "{}: {} so far, and lines need {}; no lines are drawn.",
                format::capitalized(axis_label),
                format::counted(chart.points.len() as u64, "distance", "distances"),
                chart.needed
            )));
        }
        if chart.points.len() > 1 {
            let figure = figure(definition, unit, axis_label, chart);
            blocks.push(Block::Figure(Box::new(figure)));
        }
    }
    blocks
}

/// How many events there were, and how long ago the last one was.
fn so_far(harm: &HarmOverTime) -> String {
    let counts = format!(
        "{} in {}",
        format::counted(harm.events as u64, "event", "events"),
        format::counted(harm.cases, "judged case", "judged cases")
    );
    match harm.days_since {
        None => format!("{counts}."),
        Some(days) => format!(
            "{counts}. Since the last one: {} without one, in {} days.",
            format::counted(harm.cases_since, "judged case", "judged cases"),
            format::distance(days.floor())
        ),
    }
}

/// Which rules were met and where, or that none was.
fn signal_words(unit: &str, chart: &BetweenChart) -> Vec<String> {
    let about = format!("{unit} between events");
    between::signal_words(&about, chart, |signal| {
        format!(
            "{}, {}: {}; {}.",
            format::capitalized(&about),
            between::when(chart, signal, "event", "events"),
            between::rule_met(signal),
            between::meaning("events", signal.side)
        )
    })
}

fn figure(definition: &Definition, unit: &str, axis_label: &str, chart: &BetweenChart) -> Figure {
    let (left_out, points) = between::points_drawn(chart);
    let mut table = Table::new(
        format!("{}: {axis_label}", definition.title),
        &["Event of", &format::capitalized(axis_label), "Rule met"],
    );
    for point in &points {
        table.push(vec![
            format::month_name(point.month).into(),
            format::distance(point.value).into(),
            between::rule_cell(chart, point).into(),
        ]);
    }
    let last = chart.points.last().map_or_else(String::new, |point| {
        format!(
            " The last event came after {} {unit}, in {}.",
            format::distance(point.value),
            format::month_name(point.month)
        )
    });
    Figure {
        stem: format!("{}_{unit}_between", definition.id),
        chart: Chart {
            title: format!("{}: how many {axis_label}?", definition.title),
            axis_label: axis_label.to_owned(),
            unit: None,
            plot: Plot::Sequence {
                points,
                lines: chart
                    .lines
                    .map(|lines| between::lines_drawn(lines, left_out)),
            },
        },
        caption: caption(unit, chart, left_out),
        alternative: format!(
            "{}, {axis_label}: {} distances, oldest first.{last} The table below holds those drawn.",
            definition.title,
            chart.points.len()
        ),
        table,
    }
}

fn caption(unit: &str, chart: &BetweenChart, left_out: usize) -> String {
    let point = if unit == "cases" {
        "Point: judged cases without an event before this one. Higher means rarer events."
    } else {
        "Point: days from the call of the event before to the call of this one. Higher means rarer events."
    };
    let lines = match &chart.lines {
        None => String::new(),
        Some(lines) => {
            let (middle, method) = if unit == "cases" {
                ("0.693 of the mean", "g chart")
            } else {
                ("the center", "t chart")
            };
            let provisional = if lines.is_provisional {
                " Fewer than 20 distances: the lines are provisional."
            } else {
                ""
            };
            format!(
                " Dashed: upper limit and middle ({middle}), from the first {} distances ({method}); \
                 they stay as they are when events are added.{provisional} Diamond: a rule is met.",
                lines.baseline
            )
        }
    };
    let rest = if left_out > 0 {
        format!(" The first {left_out} distances are not drawn.")
    } else {
        String::new()
    };
    format!("{point}{lines}{rest}")
}
