//! The charts of `checks.csv` and `published.csv`. Where a limit would lie beyond what the measure
//! can take, the files print the end of that range, and where the spread is 0 the center line;
//! `stats` says that there is no limit.

use super::checks::{level, tally};
use super::{number, parse};
use scopetally::domain::tally::Tally;
use scopetally::stats::chart::between::{g_baseline, t_baseline};
use scopetally::stats::chart::funnel::{exact_limits, normal_limits, pooled_share};
use scopetally::stats::chart::limits::{Bounds, ChartPoint, Limits, Possible};
use scopetally::stats::chart::overdispersion::overdispersion;
use scopetally::stats::chart::rate::{EventCount, u_baseline};
use scopetally::stats::chart::rules::{Rule, signals};
use scopetally::stats::chart::run_chart::{run_chart, run_limits};
use scopetally::stats::chart::share::{ShareBaseline, laney_p_baseline, p_baseline};
use scopetally::stats::chart::xmr::xmr_baseline;
use serde::Deserialize;
use serde_json::{Value, json};
use std::num::NonZeroU64;

fn observed<T>(values: impl IntoIterator<Item = T>) -> Vec<Option<T>> {
    values.into_iter().map(Some).collect()
}

fn bounds(points: &[Option<ChartPoint>]) -> impl Iterator<Item = Bounds> {
    points.iter().flatten().map(|point| point.limits.control)
}

fn lows(points: &[Option<ChartPoint>], least: f64) -> Vec<f64> {
    let lows = bounds(points).map(|bounds| bounds.low.unwrap_or(least));
    lows.collect()
}

fn highs(points: &[Option<ChartPoint>], most: f64) -> Vec<f64> {
    let highs = bounds(points).map(|bounds| bounds.high.unwrap_or(most));
    highs.collect()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Values {
    values: Vec<f64>,
}

pub(super) fn xmr_chart(inputs: &str) -> Result<Value, String> {
    let values = observed(parse::<Values>(inputs)?.values);
    let found = xmr_baseline(&values, Possible::AnyNumber).ok_or("no baseline")?;
    let control = found.limits().control;
    Ok(json!({
        "centre": number(found.center()),
        "mean_moving_range": number(found.mean_moving_range()),
        "low": number(control.low.unwrap_or(found.center())),
        "high": number(control.high.unwrap_or(found.center())),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShareInputs {
    #[serde(alias = "k")]
    events: Vec<u64>,
    #[serde(alias = "n")]
    cases: Vec<u64>,
}

fn tallies(events: Vec<u64>, cases: Vec<u64>) -> Result<Vec<Tally>, String> {
    if events.len() != cases.len() {
        return Err("events and cases differ in number".to_string());
    }
    let pairs = events.into_iter().zip(cases);
    pairs.map(|(events, cases)| tally(events, cases)).collect()
}

/// What stands for a share's missing limits in the files.
fn ends(center: f64) -> (f64, f64) {
    if center > 0.0 && center < 1.0 {
        (0.0, 1.0)
    } else {
        (center, center)
    }
}

type ShareChart = fn(&[Option<Tally>]) -> Option<ShareBaseline>;

pub(super) fn share_chart(inputs: &str, baseline: ShareChart) -> Result<Value, String> {
    let inputs: ShareInputs = parse(inputs)?;
    let points = observed(tallies(inputs.events, inputs.cases)?);
    let found = baseline(&points).ok_or("no baseline")?;
    let chart = found.chart(&points);
    let (least, most) = ends(found.center());
    Ok(json!({
        "centre": number(found.center()),
        "sigma_z": number(found.sigma_z()),
        "low": lows(&chart, least),
        "high": highs(&chart, most),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RateInputs {
    #[serde(alias = "c")]
    events: Vec<u64>,
    #[serde(alias = "n")]
    exposure: Vec<f64>,
    /// The exposure at which limits are asked for, where it is none of the points'.
    limits_at: Option<f64>,
}

fn event_count(events: u64, exposure: f64) -> Result<EventCount, String> {
    EventCount::new(events, exposure).ok_or_else(|| format!("no exposure: {exposure}"))
}

fn event_counts(events: Vec<u64>, exposure: Vec<f64>) -> Result<Vec<Option<EventCount>>, String> {
    if events.len() != exposure.len() {
        return Err("events and exposures differ in number".to_string());
    }
    let pairs = events.into_iter().zip(exposure);
    pairs
        .map(|(events, exposure)| Ok(Some(event_count(events, exposure)?)))
        .collect()
}

pub(super) fn u_chart(inputs: &str) -> Result<Value, String> {
    let inputs: RateInputs = parse(inputs)?;
    let points = event_counts(inputs.events, inputs.exposure)?;
    let found = u_baseline(&points).ok_or("no baseline")?;
    let chart = found.chart(&points);
    Ok(json!({
        "centre": number(found.center()),
        "low": lows(&chart, 0.0),
        "high": highs(&chart, found.center()),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BetweenInputs {
    #[serde(alias = "g", alias = "t")]
    cases_between: Vec<u64>,
}

pub(super) fn g_chart(inputs: &str) -> Result<Value, String> {
    let inputs: BetweenInputs = parse(inputs)?;
    let found = g_baseline(&inputs.cases_between).ok_or("no baseline")?;
    let limits = found.limits();
    Ok(json!({
        "centre": number(limits.center),
        "high": number(limits.control.high.unwrap_or(limits.center)),
        "mean": number(limits.center),
        "ucl": number(limits.control.high),
        "lcl": number(limits.control.low.unwrap_or(0.0)),
        "median_line": number(limits.run_line),
    }))
}

pub(super) fn run(inputs: &str) -> Result<Value, String> {
    let values = observed(parse::<Values>(inputs)?.values);
    let found = run_chart(&values).ok_or("no points")?;
    Ok(json!({
        "median": number(found.center),
        "useful": found.useful,
        "longest_run": found.longest_run,
        "crossings": found.crossings,
        "longest_run_limit": found.limits.map(|limits| limits.longest_run),
        "crossings_limit": found.limits.map(|limits| limits.crossings),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SampleSize {
    n: u64,
}

/// The factors for ranges of two values, read off a chart whose mean moving range is 1.
pub(super) fn published_constants(inputs: &str) -> Result<Value, String> {
    let SampleSize { n: 2 } = parse(inputs)? else {
        return Err("only ranges of two values are used".to_string());
    };
    let points = observed([0.0, 1.0]);
    let found = xmr_baseline(&points, Possible::AnyNumber).ok_or("no baseline")?;
    let high = found.limits().control.high.ok_or("no limit")?;
    let ranges = found.range_chart(&points);
    Ok(json!({
        "d2": number(3.0 / (high - found.center())),
        "D3": lows(&ranges, 0.0).first(),
        "D4": highs(&ranges, f64::INFINITY).first(),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PublishedXmr {
    x: Vec<f64>,
    /// How the source writes the factors; ours are 3/1.128 and 3.267.
    #[serde(rename = "factor")]
    _factor: String,
}

pub(super) fn published_xmr(inputs: &str) -> Result<Value, String> {
    let points = observed(parse::<PublishedXmr>(inputs)?.x);
    let found = xmr_baseline(&points, Possible::AnyNumber).ok_or("no baseline")?;
    let control = found.limits().control;
    Ok(json!({
        "mean": number(found.center()),
        "mr": number(found.mean_moving_range()),
        "ucl": number(control.high),
        "lcl": number(control.low),
        "ucl_mr": highs(&found.range_chart(&points), f64::INFINITY).first(),
    }))
}

fn published_share(inputs: &str, baseline: ShareChart) -> Result<Value, String> {
    let inputs: ShareInputs = parse(inputs)?;
    let points = observed(tallies(inputs.events, inputs.cases)?);
    let found = baseline(&points).ok_or("no baseline")?;
    let chart = found.chart(&points);
    let (low, high) = (lows(&chart, 0.0), highs(&chart, 1.0));
    Ok(json!({
        "p": number(found.center()),
        "sigma_z": number(found.sigma_z()),
        "lcl_1": low.first(),
        "ucl_1": high.first(),
        "lcl": low,
        "ucl": high,
    }))
}

pub(super) fn published_p(inputs: &str) -> Result<Value, String> {
    published_share(inputs, p_baseline)
}

pub(super) fn published_laney_p(inputs: &str) -> Result<Value, String> {
    published_share(inputs, laney_p_baseline)
}

pub(super) fn published_u(inputs: &str) -> Result<Value, String> {
    let inputs: RateInputs = parse(inputs)?;
    let points = event_counts(inputs.events, inputs.exposure)?;
    let found = u_baseline(&points).ok_or("no baseline")?;
    let chart = found.chart(&points);
    let asked = match inputs.limits_at {
        Some(exposure) => found.chart(&[Some(event_count(0, exposure)?)]),
        None => Vec::new(),
    };
    Ok(json!({
        "u": number(found.center()),
        "lcl_first3": lows(&chart, 0.0).get(..3),
        "ucl_first3": highs(&chart, f64::INFINITY).get(..3),
        "lcl": lows(&asked, 0.0).first(),
        "ucl": highs(&asked, f64::INFINITY).first(),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CountInputs {
    c: Vec<u64>,
}

/// A c chart is a u chart with exposures of 1.
pub(super) fn published_c(inputs: &str) -> Result<Value, String> {
    c_chart(parse::<CountInputs>(inputs)?.c)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CountCenter {
    center: u64,
}

pub(super) fn published_c_given(inputs: &str) -> Result<Value, String> {
    c_chart(vec![parse::<CountCenter>(inputs)?.center])
}

fn c_chart(counts: Vec<u64>) -> Result<Value, String> {
    let exposures = vec![1.0; counts.len()];
    let points = event_counts(counts, exposures)?;
    let found = u_baseline(&points).ok_or("no baseline")?;
    let chart = found.chart(&points);
    Ok(json!({
        "c": number(found.center()),
        "lcl": lows(&chart, 0.0).first(),
        "ucl": highs(&chart, f64::INFINITY).first(),
    }))
}

pub(super) fn published_t(inputs: &str) -> Result<Value, String> {
    let inputs: BetweenInputs = parse(inputs)?;
    let limits = t_baseline(&inputs.cases_between)
        .ok_or("no baseline")?
        .limits();
    Ok(json!({
        "mean_y": number(limits.center.powf(1.0 / 3.6)),
        "back_center": number(limits.center),
        "back_lcl": number(limits.control.low.unwrap_or(0.0)),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RuleInputs {
    x: Vec<f64>,
    center: f64,
    sigma: f64,
}

pub(super) fn published_rule(inputs: &str, rule: Rule) -> Result<Value, String> {
    let RuleInputs { x, center, sigma } = parse(inputs)?;
    let around = |count: f64| Bounds {
        low: Some(center - count * sigma),
        high: Some(center + count * sigma),
    };
    let limits = Limits {
        center,
        run_line: center,
        two_sigma: around(2.0),
        control: around(3.0),
    };
    let points = observed(x.into_iter().map(|value| ChartPoint { value, limits }));
    let found = signals(&points, &[rule]);
    let numbers: Vec<usize> = found.iter().map(|signal| signal.index + 1).collect();
    Ok(json!({ "flag": numbers }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RunLimitInputs {
    n_useful: u64,
}

pub(super) fn published_run_limits(inputs: &str) -> Result<Value, String> {
    let found = run_limits(parse::<RunLimitInputs>(inputs)?.n_useful);
    Ok(json!({
        "longest_run_max": found.map(|limits| limits.longest_run),
        "crossings_min": found.map(|limits| limits.crossings),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FunnelInputs {
    theta: f64,
    n: NonZeroU64,
    tail: f64,
}

pub(super) fn published_funnel(inputs: &str, is_exact: bool) -> Result<Value, String> {
    let FunnelInputs { theta, n, tail } = parse(inputs)?;
    let level = level(1.0 - 2.0 * tail)?;
    let found = if is_exact {
        exact_limits(theta, n, level)
    } else {
        normal_limits(theta, n, 0.0, level)
    };
    Ok(json!({ "lo": number(found.low), "hi": number(found.high) }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OverdispersionInputs {
    k: Vec<u64>,
    n: Vec<u64>,
    winsor: f64,
}

pub(super) fn published_overdispersion(inputs: &str) -> Result<Value, String> {
    let inputs: OverdispersionInputs = parse(inputs)?;
    if (inputs.winsor - 0.1).abs() > 0.0 {
        return Err("only a tenth is drawn in".to_string());
    }
    let units = tallies(inputs.k, inputs.n)?;
    let target = pooled_share(&units).ok_or("no units")?;
    let found = overdispersion(&units, target).ok_or("no spread")?;
    Ok(json!({
        "theta": number(target),
        "phi": number(found.phi),
        "tau2": number(found.variance_between),
    }))
}
