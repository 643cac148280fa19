//! The chance that a chart signals at the month in view although nothing has changed: what the
//! lines come from, put before the integrals of [`crate::stats::chart::false_alarm`].

use super::ChartForm;
use super::chart::Stretch;
use super::lines::Lines;
use super::lines::RunLine;
use super::series::Data;
use crate::domain::tally::Tally;
use crate::stats::chart::false_alarm::NormalLines;
use crate::stats::chart::false_alarm::Recent;
use crate::stats::chart::false_alarm::normal_alarm;
use crate::stats::chart::false_alarm::rate_alarm;
use crate::stats::chart::false_alarm::run_alarm;
use crate::stats::chart::false_alarm::share_alarm;
use crate::stats::chart::limits::ChartPoint;
use crate::stats::chart::limits::Limits;
use crate::stats::chart::rate;
use crate::stats::chart::rate::laney_u_baseline;
use crate::stats::chart::rules::LONG_RUN;
use crate::stats::chart::rules::side_of_line;
use crate::stats::chart::share::laney_p_baseline;
use crate::stats::chart::sigma_error;
use std::ops::Range;

/// Standard deviations from the center line to a limit.
const LIMIT_DISTANCE: f64 = 3.0;

/// The chance at the last month of the last stretch; `charted` are the points of that stretch.
/// `None` when the month has no value, or no rule can be met in it.
pub(super) fn chance(
    data: &Data,
    values: &[Option<f64>],
    stretch: &Stretch,
    charted: &[Option<ChartPoint>],
) -> Option<f64> {
    let last = charted.last().copied().flatten()?;
    let start = stretch.span.start;
    // The last points with a value, with their places among all months.
    let mut recent: Vec<(usize, Limits)> = charted
        .iter()
        .enumerate()
        .rev()
        .filter_map(|(place, point)| Some((start + place, (*point)?.limits)))
        .take(LONG_RUN)
        .collect();
    recent.reverse();
    let control = last.limits.control;
    let has_limit = control.low.is_some() || control.high.is_some();
    let baseline = stretch.baseline.clone();
    let is_observed: Vec<bool> = values[baseline.clone()]
        .iter()
        .map(Option::is_some)
        .collect();
    let near_normal = |distance: f64, center_variances: &[f64]| {
        Some(normal_alarm(&NormalLines {
            sigma_error: sigma_error(&is_observed)?,
            center_variances,
            low: control.low.map(|_| distance),
            high: control.high.map(|_| distance),
        }))
    };
    // Where no run is counted the points before the last do not matter.
    let only_last = &recent[recent.len() - 1..];
    match (&stretch.lines, data) {
        (Lines::Run(line), _) => run_chart_chance(values, stretch, *line, last.value),
        (Lines::SparseShares(_), Data::Shares(tallies)) if has_limit => {
            let before = Tally::total(tallies[baseline.clone()].iter().copied().flatten())?;
            let size = |place: usize| Some(tallies[place]?.cases() as f64);
            Some(share_alarm(before, &sized(only_last, &baseline, size)))
        }
        (Lines::SparseRates(_), Data::Rates(counts)) if has_limit => {
            let (events, exposure) = rate::total(&counts[baseline.clone()]);
            let size = |place: usize| Some(counts[place]?.exposure());
            let last = sized(only_last, &baseline, size);
            Some(rate_alarm(events, exposure, &last))
        }
        // No limit to lie beyond, and too few months for a run.
        _ if !has_limit && recent.len() < LONG_RUN => None,
        (Lines::Shares(form, _), Data::Shares(tallies) | Data::Passes(tallies)) => {
            let before = Tally::total(tallies[baseline.clone()].iter().copied().flatten())?;
            let size = |place: usize| Some(tallies[place]?.cases() as f64);
            let recent = sized(&recent, &baseline, size);
            if *form == ChartForm::P {
                return Some(share_alarm(before, &recent));
            }
            let variances = center_variances(&recent, before.cases() as f64);
            let sigma_z = laney_p_baseline(&tallies[baseline]).map(|laney| laney.sigma_z());
            near_normal(distance(sigma_z), &variances)
        }
        (Lines::Rates(form, _), Data::Rates(counts)) => {
            let (events, exposure) = rate::total(&counts[baseline.clone()]);
            let recent = sized(&recent, &baseline, |place| Some(counts[place]?.exposure()));
            if *form == ChartForm::U {
                return Some(rate_alarm(events, exposure, &recent));
            }
            let variances = center_variances(&recent, exposure);
            let sigma_z = laney_u_baseline(&counts[baseline.clone()]);
            near_normal(distance(sigma_z.map(|laney| laney.sigma_z())), &variances)
        }
        (Lines::Medians(_), _) => {
            let points = is_observed.iter().filter(|seen| **seen).count() as f64;
            let recent = sized(&recent, &baseline, |_| Some(1.0));
            near_normal(LIMIT_DISTANCE, &center_variances(&recent, points))
        }
        _ => None,
    }
}

/// The points with what they are made of, which `size` gives by their places.
fn sized(
    recent: &[(usize, Limits)],
    baseline: &Range<usize>,
    size: impl Fn(usize) -> Option<f64>,
) -> Vec<Recent> {
    recent
        .iter()
        .filter_map(|(place, limits)| {
            Some(Recent {
                size: size(*place)?,
                limits: *limits,
                is_of_baseline: baseline.contains(place),
            })
        })
        .collect()
}

/// Variance of the center line, which `of_baseline` gave, over that of each point.
fn center_variances(recent: &[Recent], of_baseline: f64) -> Vec<f64> {
    let variance = |point: &Recent| {
        if point.is_of_baseline {
            0.0
        } else {
            point.size / of_baseline
        }
    };
    recent.iter().map(variance).collect()
}

/// How far the limits of a p' or u' chart lie from the center, in standard deviations as they were
/// estimated: farther than 3 where the chart was kept from being narrower than p or u.
fn distance(sigma_z: Option<f64>) -> f64 {
    sigma_z.map_or(LIMIT_DISTANCE, |sigma_z| {
        LIMIT_DISTANCE * (1.0 / sigma_z).max(1.0)
    })
}

/// The chance of a run chart about `line` whose last value is `last`.
fn run_chart_chance(
    values: &[Option<f64>],
    stretch: &Stretch,
    line: RunLine,
    last: f64,
) -> Option<f64> {
    let is_useful = |value: f64| side_of_line(value, line.center).is_some();
    if !line.can_be_judged() || !is_useful(last) {
        return None;
    }
    let RunLine { above, below, .. } = line;
    let later = values[stretch.baseline.end..stretch.span.end]
        .iter()
        .flatten()
        .filter(|value| is_useful(**value))
        .count() as u64;
    run_alarm(above, below, later)
}
