//! The methods of `checks.csv`: from the names of that file to calls of `stats`.

use super::comparisons;
use super::{Row, cell, charts, differences, number, parse, planning};
use scopetally::domain::tally::Tally;
use scopetally::stats::chart::share::{laney_p_baseline, p_baseline};
use scopetally::stats::clustered::clustered_share;
use scopetally::stats::proportion::{clopper_pearson, jeffreys, newcombe_difference, wilson};
use scopetally::stats::quantile::{Distribution, quantile_interval};
use scopetally::stats::rate::garwood;
use scopetally::stats::survival::{KaplanMeier, Step};
use scopetally::stats::{Interval, Level};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

pub(super) fn faults(row: &Row) -> Result<Vec<String>, String> {
    let rtol: f64 = parse(cell(row, "rtol")?)?;
    let expected: Value = parse(cell(row, "expected")?)?;
    let actual = result_of(cell(row, "method")?, cell(row, "inputs")?)?;
    // The constant is rounding of numbers of order 1, for an expected 0 or nearly so.
    Ok(differences(&expected, &actual, &|_, number| {
        rtol * number.abs() + 1e-15
    }))
}

fn result_of(method: &str, inputs: &str) -> Result<Value, String> {
    match method {
        "wilson" => share(inputs, wilson),
        "clopper_pearson" => share(inputs, clopper_pearson),
        "jeffreys" => share(inputs, jeffreys),
        "newcombe_difference" => difference(inputs),
        "garwood" => rate(inputs),
        "quantile_interval" => quantiles(inputs),
        "kaplan_meier" => survival(inputs),
        "clustered_share" => clustered(inputs),
        "fisher_exact" => comparisons::fisher(inputs),
        "mann_whitney" => comparisons::rank_sum(inputs),
        "hodges_lehmann" => comparisons::shift(inputs),
        "kruskal_wallis" => comparisons::kruskal(inputs),
        "log_rank" => comparisons::log_rank_of_two(inputs),
        "cochran_armitage" => comparisons::trend_over_months(inputs),
        "holm" => comparisons::family(inputs),
        "benjamini_hochberg" => comparisons::screen(inputs),
        "smd_share" => comparisons::balance_of_shares(inputs),
        "rate_ratio" => comparisons::ratio(inputs),
        "xmr_chart" => charts::xmr_chart(inputs),
        "p_chart" => charts::share_chart(inputs, p_baseline),
        "laney_p_chart" => charts::share_chart(inputs, laney_p_baseline),
        "u_chart" => charts::u_chart(inputs),
        "g_chart" => charts::g_chart(inputs),
        "run_chart" => charts::run(inputs),
        "mantel_haenszel" => planning::mantel_haenszel(inputs),
        "erlang_b" => planning::blocked(inputs),
        "erlang_c" => planning::waits(inputs),
        "par_level" => planning::par_level(inputs),
        _ => Err(format!("unknown method `{method}`")),
    }
}

pub(super) fn level(fraction: f64) -> Result<Level, String> {
    Level::new(fraction).ok_or_else(|| format!("no level: {fraction}"))
}

pub(super) fn tally(events: u64, cases: u64) -> Result<Tally, String> {
    Tally::new(events, cases)
        .map_err(|error| error.to_string())?
        .ok_or_else(|| "no cases".to_string())
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShareInputs {
    events: u64,
    cases: u64,
    level: f64,
}

fn share(inputs: &str, interval: fn(Tally, Level) -> Interval) -> Result<Value, String> {
    let inputs: ShareInputs = parse(inputs)?;
    let Interval { low, high } =
        interval(tally(inputs.events, inputs.cases)?, level(inputs.level)?);
    Ok(json!({ "low": number(low), "high": number(high) }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DifferenceInputs {
    events_1: u64,
    cases_1: u64,
    events_2: u64,
    cases_2: u64,
    level: f64,
}

fn difference(inputs: &str) -> Result<Value, String> {
    let inputs: DifferenceInputs = parse(inputs)?;
    let found = newcombe_difference(
        tally(inputs.events_1, inputs.cases_1)?,
        tally(inputs.events_2, inputs.cases_2)?,
        level(inputs.level)?,
    );
    Ok(json!({
        "estimate": number(found.estimate),
        "low": number(found.low),
        "high": number(found.high),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RateInputs {
    events: u64,
    exposure: f64,
    level: f64,
}

fn rate(inputs: &str) -> Result<Value, String> {
    let inputs: RateInputs = parse(inputs)?;
    let found = garwood(inputs.events, inputs.exposure, level(inputs.level)?);
    Ok(json!({
        "rate": number(found.map(|found| found.rate)),
        "low": number(found.map(|found| found.low)),
        "high": number(found.map(|found| found.high)),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct QuantileInputs {
    values: Vec<i64>,
    quantile: f64,
    level: f64,
}

fn quantiles(inputs: &str) -> Result<Value, String> {
    let inputs: QuantileInputs = parse(inputs)?;
    let distribution = Distribution::new(inputs.values.into_iter().map(|value| (value, 1)));
    let found = quantile_interval(&distribution, inputs.quantile, level(inputs.level)?);
    Ok(json!({
        "estimate": number(found.map(|found| found.estimate)),
        "low": number(found.and_then(|found| found.low)),
        "high": number(found.and_then(|found| found.high)),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SurvivalInputs {
    minutes: Vec<i64>,
    observed: Vec<bool>,
}

fn survival(inputs: &str) -> Result<Value, String> {
    let inputs: SurvivalInputs = parse(inputs)?;
    let curve = curve(&inputs.minutes, inputs.observed)?;
    let median = curve
        .quantile(0.5, Level::P95)
        .and_then(|found| found.estimate);
    let column = |value: fn(&Step) -> Value| curve.steps().iter().map(value).collect::<Value>();
    Ok(json!({
        "event_minutes": column(|step| step.minutes.into()),
        "at_risk": column(|step| step.at_risk.into()),
        "events": column(|step| step.events.into()),
        "not_yet": column(|step| number(step.not_yet)),
        "standard_error": column(|step| number(step.standard_error)),
        "median": number(median),
    }))
}

pub(super) fn curve(minutes: &[i64], reached: Vec<bool>) -> Result<KaplanMeier, String> {
    if minutes.len() != reached.len() {
        return Err("times and ends differ in number".to_string());
    }
    let mut cases = BTreeMap::new();
    for case in minutes.iter().copied().zip(reached) {
        *cases.entry(case).or_insert(0) += 1;
    }
    Ok(KaplanMeier::new(&cases))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ClusteredInputs {
    /// Events and attempts of each case.
    clusters: Vec<(u64, u64)>,
}

fn clustered(inputs: &str) -> Result<Value, String> {
    let inputs: ClusteredInputs = parse(inputs)?;
    let found = clustered_share(&grouped(inputs.clusters), Level::P95);
    Ok(json!({
        "estimate": number(found.map(|found| found.estimate)),
        "standard_error": number(found.and_then(|found| found.standard_error)),
    }))
}

pub(super) fn grouped(clusters: impl IntoIterator<Item = (u64, u64)>) -> BTreeMap<(u64, u64), u64> {
    let mut cases = BTreeMap::new();
    for cluster in clusters {
        *cases.entry(cluster).or_insert(0) += 1;
    }
    cases
}
