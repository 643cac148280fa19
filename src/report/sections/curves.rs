//! How many had been scoped by when, by urgency, and how many calls had ended without a scope.

use crate::domain::fields::{CaseField, Field, value_label};
use crate::domain::tally::Tally;
use crate::findings::curves::{Curve, EndShare, FEWEST_AT_RISK, MEASURES};
use crate::findings::finding::{Statistic, Unit};
use crate::findings::review::Review;
use crate::report::chart::{Chart, CurvePanel, CurveStep, Plot};
use crate::report::comparison_words::percents;
use crate::report::content::{Block, Cell, Figure, Section, Table};
use crate::report::{format, series};
use time_axis::{TimeAxis, axes, minutes_words};

mod limits;
mod time_axis;

/// How the ends are estimated, for the methods of the report.
pub(in crate::report) const METHOD: &str = "Ends by a minute: cumulative incidence (Aalen and Johansen 1978) of \
    scoped and of left before the scope. No case is lost from sight before one of the two, so that it \
    is the plain share of all judged calls, with Wilson limits.";

/// The section; `None` without a curve.
pub(super) fn section(review: &Review) -> Option<Section> {
    let figures: Vec<_> = MEASURES.map(|measure| figure(review, measure)).into();
    if figures.iter().all(Option::is_none) {
        return None;
    }
    let mut blocks = vec![Block::Text(format!(
        "A curve shows how many had been scoped by when; it rises with each case. A case that was \
         cancelled or transferred before is followed until then, and Kaplan-Meier takes for granted \
         that it would have waited on like the others. The curves describe {}; they compare nothing \
         and test nothing.",
        series::whole_period(review)
    ))];
    let mut figures = figures.into_iter().flatten();
    blocks.extend(figures.next().map(|figure| Block::Figure(Box::new(figure))));
    blocks.extend(ends(review).into_iter().flatten());
    blocks.extend(figures.map(|figure| Block::Figure(Box::new(figure))));
    Some(Section {
        id: "curves",
        heading: "From call to scope, by urgency".to_owned(),
        blocks,
    })
}

fn figure(review: &Review, measure: &str) -> Option<Figure> {
    let definition = review.definition(measure)?;
    let (shown, short): (Vec<_>, Vec<_>) = review
        .curves
        .of(measure)
        .filter(|curve| !curve.is_withheld(&review.findings))
        .partition(|curve| curve.shown_until().is_some());
    let limits: Vec<_> = shown
        .iter()
        .map(|curve| limits::of_group(review, measure, &curve.group))
        .collect();
    let axes = axes(&shown, &limits);
    if shown.is_empty() {
        return None;
    }
    let panels: Vec<_> = shown
        .iter()
        .zip(&axes.each)
        .zip(&limits)
        .map(|((curve, axis), limits)| panel(curve, axis, limits))
        .collect();
    let since = match limits::clock(measure) {
        Some(CaseField::CalledAt) => "the call",
        Some(field) => field.label(),
        None => "the start",
    };
    let drawn = panels.iter().any(|panel| !panel.limits.is_empty());
    let mut caption = vec![
        format!(
            "Line: share scoped by then (Kaplan-Meier). Gray band: its {} interval at each time by \
             itself (log-log, so that it stays within 0% and 100%). Upright ticks on the line: cases cancelled or transferred. At risk: \
             cases neither scoped nor gone before that time. A line ends where fewer than \
             {FEWEST_AT_RISK} cases are at risk; an axis ends soon after 95% were scoped.",
            format::level(review.level)
        ),
        if axes.is_shared {
            "All panels have the same axis of time.".to_owned()
        } else {
            "Each panel has an axis of time of its own.".to_owned()
        },
    ];
    if drawn {
        caption.push(format!(
            "Upright line: the latest time that the guideline allows, counted from {}; where there \
             are two, they are for different patients.",
            review.window_start
        ));
    } else if !review.windows.is_empty() && limits::are_counted_elsewhere(review, measure) {
        caption.push(format!(
            "Windows are counted from {}, so that none can stand here.",
            review.window_start
        ));
    }
    if !short.is_empty() {
        let groups = short.iter().map(|curve| {
            let cases = format::counted(curve.cases, "case", "cases");
            format!("{} ({cases})", label(curve))
        });
        let groups = groups.collect::<Vec<_>>().join(", ");
        caption.push(format!("Too few for a curve: {groups}."));
    }
    let told = shown.iter().map(|curve| {
        let words = words(curve);
        format!("{}: {words}", label(curve))
    });
    Some(Figure {
        stem: format!("{measure}_curves_by_urgency"),
        chart: Chart {
            title: format!(
                "{}: how many were scoped by when, by urgency?",
                definition.title
            ),
            axis_label: format!("percent scoped, by the time since {since}"),
            unit: Some(Unit::Fraction),
            plot: Plot::Curves(panels),
        },
        caption: caption.join(" "),
        alternative: format!(
            "Curves of {}. {}.",
            definition.title.to_lowercase(),
            told.collect::<Vec<_>>().join(". ")
        ),
        table: table(review, &definition.title, &shown, &axes.each),
    })
}

fn label(curve: &Curve) -> &str {
    value_label(curve.by, &curve.group)
}

/// `272 cases; half by 53 min, nine of ten by 70 min`.
fn words(curve: &Curve) -> String {
    let reached = [("half", 0.5), ("nine of ten", 0.9)].map(|(words, share)| {
        let minutes = curve.reaches(share);
        minutes.map(|minutes| format!("{words} by {}", minutes_words(minutes)))
    });
    let cases = format::counted(curve.cases, "case", "cases");
    match reached.into_iter().flatten().collect::<Vec<_>>() {
        told if told.is_empty() => format!("{cases}; half not reached"),
        told => format!("{cases}; {}", told.join(", ")),
    }
}

fn panel(curve: &Curve, axis: &TimeAxis, limits: &[(i64, String)]) -> CurvePanel {
    let end = axis.end();
    let until = curve.shown_until().unwrap_or(0).min(end);
    let shown = || curve.shown().iter().filter(|point| point.minutes <= until);
    CurvePanel {
        label: format::capitalized(label(curve)),
        words: words(curve),
        steps: shown()
            .filter(|point| point.events > 0)
            .map(|point| CurveStep {
                minutes: point.minutes,
                share: point.reached,
                band: point
                    .interval
                    .map_or((point.reached, point.reached), |at| (at.low, at.high)),
            })
            .collect(),
        censored: shown()
            .filter(|point| point.censored > 0)
            .map(|point| point.minutes)
            .collect(),
        until,
        ticks: axis
            .ticks()
            .map(|(minutes, words)| (minutes, words, format::whole(curve.at_risk(minutes))))
            .collect(),
        limits: limits
            .iter()
            .filter(|(minutes, _)| *minutes <= end)
            .cloned()
            .collect(),
    }
}

/// The numbers at the marks of the axes.
fn table(review: &Review, title: &str, curves: &[&Curve], axes: &[TimeAxis]) -> Table {
    let interval = format!("{} interval", format::level(review.level));
    let mut table = Table::new(
        format!(
            "{title}, share scoped by then (Kaplan-Meier, log-log limits), {}",
            series::whole_period(review)
        ),
        &["Urgency", "By", "At risk", "Scoped", &interval],
    );
    for (curve, axis) in curves.iter().zip(axes) {
        for (minutes, _) in axis.ticks().skip(1) {
            let mut row: Vec<Cell> = vec![
                label(curve).into(),
                axis.words(minutes).into(),
                format::whole(curve.at_risk(minutes)).into(),
            ];
            match curve.by(minutes) {
                None => row.push(format!("fewer than {FEWEST_AT_RISK} at risk").into()),
                Some((share, interval)) => {
                    row.push(format::with_unit(Unit::Fraction, curve.cases, share).into());
                    row.extend(interval.map(|at| percents(curve.cases, at).into()));
                }
            }
            table.push(row);
        }
    }
    table
}

/// What had become of all judged calls by then, and how that differs from a curve.
fn ends(review: &Review) -> Option<[Block; 2]> {
    let first = review.curves.ends.first()?;
    let all = review
        .findings
        .overall(MEASURES[0], None, Statistic::Median)?;
    if all.suppressed {
        return None;
    }
    let mut table = Table::new(
        format!(
            "What had become of {} by then, {} ({} interval, Wilson)",
            format::counted(first.scoped.counted.cases, "judged call", "judged calls"),
            series::whole_period(review),
            format::level(review.level)
        ),
        &[
            "Time since the call",
            "Scoped",
            "Left before the scope",
            "Still waiting",
        ],
    );
    for row in &review.curves.ends {
        let ends = [row.scoped, row.left, row.waiting].map(end_cell);
        let by = Cell::from(format::window_length(row.minutes));
        table.push([by].into_iter().chain(ends).collect());
    }
    let not_judged = match review.curves.ends_excluded {
        0 => "No call was left out as not judged".to_owned(),
        1 => "1 more call could not be judged and is not among them".to_owned(),
        calls => format!(
            "{} more calls could not be judged and are not among them",
            format::whole(calls)
        ),
    };
    let note = format!(
        "Left: cancelled or transferred before the scope went in. The three shares are of all judged \
         calls and add up to 100%; no case is taken to have waited on. {not_judged}. The shares are the \
         cumulative incidences of the two ends, and the table stops once nobody waits."
    );
    Some([Block::Table(table), Block::Text(note)])
}

fn end_cell(end: EndShare) -> Cell {
    let counted = end.counted;
    let counts = format!(
        "{} of {}",
        format::whole(counted.events),
        format::whole(counted.cases)
    );
    if counted.cases < format::FEWEST_CASES_FOR_PERCENT {
        return counts.into();
    }
    let share = counted.tally().map_or(0.0, Tally::share);
    Cell {
        text: format::with_unit(Unit::Fraction, counted.cases, share),
        details: vec![counts, percents(counted.cases, end.interval)],
    }
}
