//! The methods of `published.csv`: worked examples as papers, books and manuals print them.
//!
//! A row passes when our value agrees with the printed one to half a unit of its last digit
//! (`digits`, or `tolerance_json` where the source rounds otherwise), and with the recomputed one
//! to 1e-10. `verified` says whether the printed value was seen in a source or is from memory.
//!
//! Rows on survival curves have no limits where the source prints another than the log-log kind.
//! Two examples of R's, for quantiles that meet the curve on a flat part, are not there: R gives
//! the middle of that part, we give its start.

use super::checks::{curve, grouped, level, tally};
use super::comparisons;
use super::{Row, cell, charts, differences, number, parse, planning};
use scopetally::domain::tally::Tally;
use scopetally::stats::chart::rules::Rule;
use scopetally::stats::clustered::clustered_share;
use scopetally::stats::proportion::{clopper_pearson, jeffreys, newcombe_difference, wilson};
use scopetally::stats::quantile::{
    Distribution, order_ranks, quantile, quantile_interval, rank_coverage,
};
use scopetally::stats::rate::garwood;
use scopetally::stats::{Interval, Level};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;

pub(super) fn faults(row: &Row) -> Result<Vec<String>, String> {
    let digits: i32 = parse(cell(row, "digits")?)?;
    let own_tolerance: Option<BTreeMap<String, f64>> = parse(cell(row, "tolerance_json")?)?;
    let own_tolerance = own_tolerance.unwrap_or_default();
    let actual = result_of(cell(row, "method")?, cell(row, "inputs_json")?)?;

    let printed: Value = parse(cell(row, "expected_json")?)?;
    let mut faults = differences(&printed, &actual, &|key, _| {
        let half_unit = 0.5 * 10.0_f64.powi(-digits);
        // A value half way between two printed ones may be off by rounding.
        own_tolerance.get(key).copied().unwrap_or(half_unit) + 1e-12
    });
    let recomputed: Value = parse(cell(row, "recomputed_json")?)?;
    faults.extend(differences(&recomputed, &actual, &|_, number| {
        1e-10 * number.abs() + 1e-15
    }));
    Ok(faults)
}

fn result_of(method: &str, inputs: &str) -> Result<Value, String> {
    match method {
        "prop.wilson" => share(inputs, wilson),
        "prop.clopper_pearson" => share(inputs, clopper_pearson),
        "prop.jeffreys" => share(inputs, jeffreys),
        "diff.newcombe10" => difference(inputs),
        "rate.garwood" => rate(inputs),
        "quantile.type7" => type7(inputs),
        "median.order_ranks" => ranks(inputs),
        "median.order_ci" => order_interval(inputs),
        "median.order_coverage" => coverage(inputs),
        "km.at" => height_of_curve(inputs),
        "km.median" | "km.quantile" => time_quantile(inputs),
        "cluster.ratio" => clustered(inputs),
        "fisher.less" => comparisons::published_fisher(inputs, |found| found.less),
        "fisher.greater" => comparisons::published_fisher(inputs, |found| found.greater),
        "fisher.two_sided" => comparisons::published_fisher(inputs, |found| found.two_sided),
        "fisher.midp" => comparisons::published_fisher(inputs, |found| found.mid_p),
        "fisher.all" => comparisons::published_fisher_all(inputs),
        "rank.mann_whitney" => comparisons::rank_sum(inputs),
        "rank.hodges_lehmann" => comparisons::shift(inputs),
        "rank.kruskal" => comparisons::kruskal(inputs),
        "logrank" => comparisons::published_log_rank(inputs),
        "trend.cochran_armitage" => comparisons::published_trend(inputs),
        "adjust.holm" => comparisons::family(inputs),
        "adjust.bh" => comparisons::screen(inputs),
        "smd.binary" => comparisons::balance_of_shares(inputs),
        "smd.continuous" => comparisons::published_balance_of_means(inputs),
        "smd.categorical" => comparisons::published_balance_of_categories(inputs),
        "ratio.exact" => comparisons::ratio(inputs),
        _ if method.starts_with("spc.") => chart(method, inputs),
        "mh.cmh" => planning::published_mantel_haenszel(inputs),
        "mh.breslow_day" => planning::published_breslow_day(inputs),
        "shrink.beta" => planning::published_shrinkage(inputs),
        "queue.erlang_b" => planning::published_blocked(inputs),
        "queue.erlang_c" => planning::published_waits(inputs),
        "queue.erlang_c_wait" => planning::published_wait(inputs),
        "predict.betabinomial" => planning::published_future_events(inputs),
        "predict.poisson" => planning::published_future_count(inputs),
        "funnel.exact" => charts::published_funnel(inputs, true),
        "funnel.normal" => charts::published_funnel(inputs, false),
        "funnel.overdispersion" => charts::published_overdispersion(inputs),
        _ => Err(format!("unknown method `{method}`")),
    }
}

fn chart(method: &str, inputs: &str) -> Result<Value, String> {
    match method {
        "spc.constants" => charts::published_constants(inputs),
        "spc.xmr" => charts::published_xmr(inputs),
        "spc.p_chart" => charts::published_p(inputs),
        "spc.laney_p" => charts::published_laney_p(inputs),
        "spc.c_chart" => charts::published_c(inputs),
        "spc.c_chart_given" => charts::published_c_given(inputs),
        "spc.u_chart" => charts::published_u(inputs),
        "spc.g_chart" => charts::g_chart(inputs),
        "spc.t_chart_y" => charts::published_t(inputs),
        "spc.rule.1_beyond_3s" => charts::published_rule(inputs, Rule::BeyondLimits),
        "spc.rule.2of3_beyond_2s" => charts::published_rule(inputs, Rule::TwoOfThree),
        "spc.rule.8_same_side" => charts::published_rule(inputs, Rule::EightOnOneSide),
        "spc.anhoej" => charts::published_run_limits(inputs),
        _ => Err(format!("unknown method `{method}`")),
    }
}

fn limits(low: impl Into<Option<f64>>, high: impl Into<Option<f64>>) -> Value {
    json!({ "lo": number(low), "hi": number(high) })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ShareInputs {
    k: u64,
    n: u64,
    conf: f64,
}

fn share(inputs: &str, interval: fn(Tally, Level) -> Interval) -> Result<Value, String> {
    let inputs: ShareInputs = parse(inputs)?;
    let found = interval(tally(inputs.k, inputs.n)?, level(inputs.conf)?);
    Ok(limits(found.low, found.high))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DifferenceInputs {
    k1: u64,
    n1: u64,
    k2: u64,
    n2: u64,
    conf: f64,
}

fn difference(inputs: &str) -> Result<Value, String> {
    let inputs: DifferenceInputs = parse(inputs)?;
    let found = newcombe_difference(
        tally(inputs.k1, inputs.n1)?,
        tally(inputs.k2, inputs.n2)?,
        level(inputs.conf)?,
    );
    Ok(limits(found.low, found.high))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RateInputs {
    count: u64,
    exposure: f64,
    conf: f64,
}

fn rate(inputs: &str) -> Result<Value, String> {
    let inputs: RateInputs = parse(inputs)?;
    let found = garwood(inputs.count, inputs.exposure, level(inputs.conf)?);
    Ok(limits(
        found.map(|found| found.low),
        found.map(|found| found.high),
    ))
}

/// Values with at most one decimal, as whole tenths.
fn tenths(values: &[f64]) -> Result<Distribution, String> {
    let counts: Result<Vec<(i64, u64)>, String> = values
        .iter()
        .map(|value| Ok((parse(&format!("{:.0}", value * 10.0))?, 1)))
        .collect();
    Ok(Distribution::new(counts?))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Type7Inputs {
    x: Vec<f64>,
    p: f64,
}

fn type7(inputs: &str) -> Result<Value, String> {
    let inputs: Type7Inputs = parse(inputs)?;
    let found = quantile(&tenths(&inputs.x)?, inputs.p);
    Ok(json!({ "q": number(found.map(|tenths| tenths / 10.0)) }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RanksInputs {
    n: u64,
    p: f64,
    conf: f64,
}

fn ranks(inputs: &str) -> Result<Value, String> {
    let inputs: RanksInputs = parse(inputs)?;
    let found = order_ranks(inputs.n, inputs.p, level(inputs.conf)?).ok_or("no ranks")?;
    Ok(json!({ "l": found.low, "u": found.high, "coverage": number(found.coverage) }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct OrderIntervalInputs {
    x: Vec<f64>,
    p: f64,
    conf: f64,
}

fn order_interval(inputs: &str) -> Result<Value, String> {
    let inputs: OrderIntervalInputs = parse(inputs)?;
    let found = quantile_interval(&tenths(&inputs.x)?, inputs.p, level(inputs.conf)?)
        .ok_or("no interval")?;
    Ok(json!({
        "lo": number(found.low.map(|tenths| tenths / 10.0)),
        "hi": number(found.high.map(|tenths| tenths / 10.0)),
        "coverage": number(found.coverage),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CoverageInputs {
    n: u64,
    l: u64,
    u: u64,
    p: f64,
}

fn coverage(inputs: &str) -> Result<Value, String> {
    let inputs: CoverageInputs = parse(inputs)?;
    let found = rank_coverage(inputs.n, inputs.p, Some(inputs.l), Some(inputs.u));
    Ok(json!({ "coverage": number(found) }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CurveInputs {
    time: Vec<i64>,
    event: Vec<u8>,
    /// The minute at which the curve is read.
    t: Option<i64>,
    /// The quantile as an exact fraction, the median if absent.
    p: Option<String>,
    conf: f64,
    /// The kind of limits, where the row has some.
    r#type: Option<String>,
}

fn curve_inputs(inputs: &str) -> Result<CurveInputs, String> {
    let inputs: CurveInputs = parse(inputs)?;
    match inputs.r#type.as_deref() {
        None | Some("log-log") => Ok(inputs),
        Some(other) => Err(format!("limits of type `{other}`")),
    }
}

fn height_of_curve(inputs: &str) -> Result<Value, String> {
    let inputs = curve_inputs(inputs)?;
    let minutes = inputs.t.ok_or("no `t`")?;
    let curve = curve(
        &inputs.time,
        inputs.event.iter().map(|event| *event == 1).collect(),
    )?;
    let found = curve
        .reached_by(minutes, level(inputs.conf)?)
        .ok_or("not followed")?;
    let passed = curve
        .steps()
        .iter()
        .take_while(|step| step.minutes <= minutes);
    let standard_error = passed.last().and_then(|step| step.standard_error);
    Ok(json!({ "S": number(1.0 - found.share), "se": number(standard_error) }))
}

fn time_quantile(inputs: &str) -> Result<Value, String> {
    let inputs = curve_inputs(inputs)?;
    let curve = curve(
        &inputs.time,
        inputs.event.iter().map(|event| *event == 1).collect(),
    )?;
    let fraction = inputs.p.as_deref().unwrap_or("1/2");
    let (numerator, denominator) = fraction.split_once('/').ok_or("`p` is no fraction")?;
    let q = parse::<f64>(numerator)? / parse::<f64>(denominator)?;
    let found = curve
        .quantile(q, level(inputs.conf)?)
        .ok_or("no quantile")?;
    Ok(json!({
        "q": number(found.estimate),
        "lo": number(found.low),
        "hi": number(found.high),
    }))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ClusteredInputs {
    /// Events of each case.
    y: Vec<u64>,
    /// Attempts of each case.
    n: Vec<u64>,
}

fn clustered(inputs: &str) -> Result<Value, String> {
    let inputs: ClusteredInputs = parse(inputs)?;
    let found = clustered_share(&grouped(inputs.y.into_iter().zip(inputs.n)), Level::P95)
        .ok_or("no attempts")?;
    Ok(json!({
        "p": number(found.estimate),
        "se": number(found.standard_error),
        "deff": number(found.design_effect),
        "neff": number(found.effective_attempts),
    }))
}
