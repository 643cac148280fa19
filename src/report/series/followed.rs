//! A measure month by month against lines that stay as they are: the whole service, then each site.

use super::captions;
use crate::domain::counts::SITE;
use crate::domain::measure::{Definition, MeasureKind};
use crate::domain::month::Month;
use crate::findings::finding::Unit;
use crate::findings::review::Review;
use crate::findings::signals::{ChartForm, MonthChart, MonthRule, MonthValue};
use crate::report::chart::{Chart, LinedPoint, MonthNote, Panel, Plot, Reference, Stretch};
use crate::report::content::{Cell, Figure, Table};
use crate::report::{format, groups, signal_words};

/// Sites that a figure has room for. With more, those stand in it at which a rule is met now.
const MOST_SITES: usize = 6;

/// The figure of a followed measure; `None` when it has no value in the months shown.
pub(in crate::report) fn followed(review: &Review, definition: &Definition) -> Option<Figure> {
    let months: Vec<Month> = groups::months_shown(review).collect();
    let of_measure = || {
        let charts = review.signals.charts.iter();
        charts.filter(|chart| chart.measure == definition.id)
    };
    let at_sites: Vec<&MonthChart> = of_measure().filter(|chart| chart.by == SITE).collect();
    let (shown, left_out) = shown_sites(&at_sites);
    let charts: Vec<&MonthChart> = of_measure()
        .filter(|chart| chart.by != SITE)
        .chain(shown)
        .collect();
    let panels: Vec<Panel> = charts.iter().map(|chart| panel(chart, &months)).collect();
    let has_value = |panel: &Panel| panel.points.iter().any(|point| point.value.is_some());
    if !panels.iter().any(has_value) {
        return None;
    }
    let first = charts.first()?;
    let unit = first.statistic.unit();
    let notes = notes(review, &charts, &months);
    let target = review.targets.get(&definition.id).map(|&value| Reference {
        value,
        label: format!("target {}", format::as_chosen(unit, value)),
    });
    Some(Figure {
        stem: format!("{}_followed", definition.id),
        chart: Chart {
            title: format!(
                "{}: which months are unlike the baseline?",
                definition.title
            ),
            axis_label: captions::axis_label(definition),
            unit: Some(unit),
            plot: Plot::Followed {
                panels,
                notes,
                target,
            },
        },
        caption: caption(definition, &charts, &left_out),
        alternative: alternative(review, definition, &charts),
        table: table(review, definition, &charts, &months),
    })
}

/// Charts of sites that are not drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct LeftOut {
    /// With a rule that is met in the month in view.
    met: usize,
    /// Without one.
    quiet: usize,
}

/// The charts of sites that are drawn: all where there is room, else those on which a rule is met now,
/// in the order of the names of the sites.
fn shown_sites<'a>(at_sites: &[&'a MonthChart]) -> (Vec<&'a MonthChart>, LeftOut) {
    let is_met = |chart: &&MonthChart| chart.standing().next().is_some();
    let has_room = at_sites.len() <= MOST_SITES;
    let shown: Vec<&MonthChart> = at_sites
        .iter()
        .copied()
        .filter(|chart| has_room || is_met(chart))
        .take(MOST_SITES)
        .collect();
    let met = at_sites.iter().copied().filter(is_met).count();
    let met_shown = shown.iter().copied().filter(is_met).count();
    let left_out = LeftOut {
        met: met - met_shown,
        quiet: at_sites.len() - met - (shown.len() - met_shown),
    };
    (shown, left_out)
}

fn panel(chart: &MonthChart, months: &[Month]) -> Panel {
    let unit = chart.statistic.unit();
    let points: Vec<LinedPoint> = months
        .iter()
        .map(|&month| {
            let value = chart.points.iter().find(|point| point.month == month);
            LinedPoint {
                month,
                n: value.map_or_else(String::new, |value| format::short_whole(value.n)),
                value: value.and_then(|value| value.value),
                is_few: value.is_some_and(|value| is_few(unit, value.n)),
                line: value.and_then(|value| value.line),
                limits: value.map_or((None, None), |value| (value.low, value.high)),
            }
        })
        .collect();
    let stretches = chart
        .signals
        .iter()
        .filter_map(|signal| {
            let first = months.iter().position(|&month| month >= signal.first)?;
            let last = months.iter().rposition(|&month| month <= signal.last)?;
            Some(Stretch {
                first,
                last,
                words: signal_words::rule(chart, signal),
                is_of_points: signal.rule == MonthRule::BeyondLimits,
            })
        })
        .collect();
    let last = chart.points.iter().rev().find(|point| point.line.is_some());
    let name = match chart.form {
        ChartForm::Run => "median",
        _ => "center",
    };
    let label = |value: Option<f64>, n: u64, name: &str| {
        value
            .filter(|value| value.is_finite())
            .map(|value| Reference {
                value,
                label: format!("{name} {}", format::with_unit(unit, n, value)),
            })
    };
    let line_labels = last.map_or_else(Vec::new, |point| {
        [
            label(point.high, point.n, "limit"),
            label(point.line, point.n, name),
            label(point.low, point.n, "limit"),
        ]
        .into_iter()
        .flatten()
        .collect()
    });
    Panel {
        label: format!("{} ({})", who(chart), signal_words::form_name(chart.form)),
        points,
        stretches,
        line_labels,
    }
}

/// Whether a share comes from fewer cases than a percentage is shown for elsewhere.
fn is_few(unit: Unit, n: u64) -> bool {
    unit == Unit::Fraction && n < format::FEWEST_CASES_FOR_PERCENT
}

/// The whole service, or the site by name.
fn who(chart: &MonthChart) -> String {
    if chart.by == SITE {
        groups::group_label(&chart.by, &chart.group)
    } else {
        "All cases".to_owned()
    }
}

/// The dated changes that concern one of the charts and fall into the months shown.
fn notes(review: &Review, charts: &[&MonthChart], months: &[Month]) -> Vec<MonthNote> {
    let shown =
        |month: Month| months.first().is_some_and(|&first| first <= month) && month <= review.month;
    review
        .phases
        .iter()
        .filter(|phase| shown(phase.from))
        .filter(|phase| {
            charts.iter().any(|chart| {
                let site = (chart.by == SITE).then_some(chart.group.as_str());
                phase.concerns(&chart.measure, site)
            })
        })
        .map(|phase| MonthNote {
            from: phase.from,
            text: if phase.sites.is_empty() {
                phase.note.clone()
            } else {
                format!("{}: {}", phase.sites.join(", "), phase.note)
            },
        })
        .collect()
}

fn caption(definition: &Definition, charts: &[&MonthChart], left_out: &LeftOut) -> String {
    let mut parts = vec![
        "Dashed: the line that months in a row are counted about; gray lines: limits, where there are \
         any. Diamond: a month beyond a limit; bracket: months that meet a rule together."
            .to_owned(),
    ];
    let mut baselines = Vec::new();
    for baseline in charts.iter().flat_map(|chart| &chart.baselines) {
        let months = format!(
            "{} to {}",
            format::month_name(baseline.first),
            format::month_name(baseline.last)
        );
        if !baselines.contains(&months) {
            baselines.push(months);
        }
    }
    if baselines.is_empty() {
        parts.push("No lines yet: they need more months.".to_owned());
    } else {
        parts.push(format!(
            "Lines come from the baseline ({}) and stay as they are.",
            baselines.join("; ")
        ));
    }
    if charts.iter().any(|chart| chart.form == ChartForm::Run) {
        parts.push(
            "A run chart has no limits, so that a single month cannot meet a rule on it."
                .to_owned(),
        );
    }
    parts.push(
        match definition.kind {
            MeasureKind::Count => "n: events; each month is held against its own observed time.",
            MeasureKind::ClusteredShare => "n: passes; a gap: none in the month.",
            MeasureKind::Share => "n: judged cases; a gap: none in the month.",
            MeasureKind::Minutes => "n: cases; a gap: too few of them for a median.",
        }
        .to_owned(),
    );
    let is_share = matches!(
        definition.kind,
        MeasureKind::Share | MeasureKind::ClusteredShare
    );
    if is_share {
        parts.push(format!(
            "Small open dot: fewer than {}.",
            format::FEWEST_CASES_FOR_PERCENT
        ));
    }
    let alike: Vec<_> = charts
        .iter()
        .filter_map(|chart| Some(format!("{} {:.2}", who(chart), chart.autocorrelation?)))
        .collect();
    if !alike.is_empty() {
        parts.push(format!(
            "Neighboring months of the baseline resemble each other more than chance explains \
             (correlation of each month with the one before: {}): limits are then too close, and \
             rules are met too easily.",
            alike.join(", ")
        ));
    }
    let sites = |count: usize, rest: &str| {
        (count > 0).then(|| {
            format!(
                "{} {rest}",
                format::capitalized(&format::counted(count as u64, "more site", "more sites"))
            )
        })
    };
    parts.extend(sites(
        left_out.met,
        "with a rule met in the month in view: not drawn, in tables/signals.csv.",
    ));
    parts.extend(sites(
        left_out.quiet,
        "without a rule met in the month in view: not drawn, in tables/signals.csv.",
    ));
    parts.join(" ")
}

fn alternative(review: &Review, definition: &Definition, charts: &[&MonthChart]) -> String {
    let signals: Vec<_> = charts
        .iter()
        .map(|chart| format!("{}: {}", who(chart), signal_words::standing(Some(chart))))
        .collect();
    format!(
        "{}, month by month against the lines of the baseline. Rules met in {}: {}. The table below \
         holds every month drawn.",
        definition.title,
        format::month_name(review.month),
        signals.join("; ")
    )
}

/// Every month, with a column for each panel.
fn table(
    review: &Review,
    definition: &Definition,
    charts: &[&MonthChart],
    months: &[Month],
) -> Table {
    let names: Vec<String> = charts.iter().map(|chart| who(chart)).collect();
    let columns: Vec<&str> = std::iter::once("Month")
        .chain(names.iter().map(String::as_str))
        .collect();
    let caption = format!("{}: value, n, and limits of each month", definition.title);
    let mut table = Table::new(caption, &columns);
    for &month in months {
        let mut row = vec![Cell::from(if month == review.month {
            format!("{} (in view)", format::month_name(month))
        } else {
            format::month_name(month)
        })];
        row.extend(charts.iter().map(|chart| {
            let point = chart.points.iter().find(|point| point.month == month);
            point.map_or_else(|| format::NO_CASES.into(), |point| cell(chart, point))
        }));
        table.push(row);
    }
    table
}

fn cell(chart: &MonthChart, point: &MonthValue) -> Cell {
    let unit = chart.statistic.unit();
    let number = |value: f64| format::with_unit(unit, point.n, value);
    let limits = match (point.low, point.high) {
        (Some(low), Some(high)) => format!("; limits {} to {}", number(low), number(high)),
        (None, Some(high)) => format!("; upper limit {}", number(high)),
        (Some(low), None) => format!("; lower limit {}", number(low)),
        (None, None) => String::new(),
    };
    let met = chart
        .signals
        .iter()
        .filter(|signal| (signal.first..=signal.last).contains(&point.month))
        .map(|signal| signal_words::rule(chart, signal));
    Cell {
        text: match point.value {
            None => format::NOTHING.to_owned(),
            Some(value) if is_few(unit, point.n) => {
                let events = format::signed_whole(value * point.n as f64);
                format!("{events} of {}", format::whole(point.n))
            }
            Some(value) => number(value),
        },
        details: std::iter::once(format!("n {}{limits}", format::whole(point.n)))
            .chain(met)
            .collect(),
    }
}
