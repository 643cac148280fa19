//! What the rules found, in words: which rule, where and since when, and never why.

use super::{format, groups};
use crate::domain::counts::ALL;
use crate::domain::measure::{Better, Definition};
use crate::domain::month::Month;
use crate::findings::comparisons::over_time::HarmOverTime;
use crate::findings::review::Review;
use crate::findings::signals::{ChartForm, MonthChart, MonthRule, MonthSignal, Side};

/// The form of a chart by name.
pub(super) const fn form_name(form: ChartForm) -> &'static str {
    match form {
        ChartForm::Run => "run chart",
        ChartForm::P => "p chart",
        ChartForm::ExactP => "p chart, exact limits",
        ChartForm::LaneyP => "p\u{2032} chart",
        ChartForm::U => "u chart",
        ChartForm::ExactU => "u chart, exact limits",
        ChartForm::LaneyU => "u\u{2032} chart",
        ChartForm::Xmr => "XmR chart",
    }
}

/// How the lines of a form are made, for the methods.
pub(super) const fn form_sentence(form: ChartForm) -> &'static str {
    match form {
        ChartForm::Run => {
            "Run chart: the median of the baseline, without limits. Met by more months in a row on \
             one side than round(log2(n) + 3), or by fewer crossings than the 5% quantile of n - 1 \
             tosses of a coin, for n months off the line (Anh\u{f8}j and Olesen 2014). No rule is \
             asked before ten months of the baseline lie off its median."
        }
        ChartForm::P => {
            "p chart: the pooled share of the baseline, limits 3 binomial standard deviations from \
             it, for each month by its own number of cases."
        }
        ChartForm::ExactP => {
            "p chart with exact limits, where fewer than 5 hits or 5 misses a month are expected: a \
             month lies beyond a limit when a count as far out has a chance below 0.135% by the \
             binomial distribution. Runs are not counted about so lopsided a line."
        }
        ChartForm::LaneyP => {
            "p\u{2032} chart: as the p chart, with limits widened by how much more neighboring months \
             of the baseline differ than counting explains (Laney 2002)."
        }
        ChartForm::U => {
            "u chart: the pooled rate of the baseline, limits 3 Poisson standard deviations from it, \
             for each month by its own observed time."
        }
        ChartForm::ExactU => {
            "u chart with exact limits, where fewer than 5 events a month are expected: a month lies \
             beyond a limit when a count as far out in its observed time has a chance below 0.135% by \
             the Poisson distribution. Runs are not counted about so lopsided a line."
        }
        ChartForm::LaneyU => {
            "u\u{2032} chart: as the u chart, with limits widened by how much more neighboring months \
             of the baseline differ than counting explains (Laney 2002)."
        }
        ChartForm::Xmr => {
            "XmR chart: the mean of the monthly medians of the baseline, limits 2.66 mean moving \
             ranges from it."
        }
    }
}

/// What the months are held against.
const fn line(form: ChartForm) -> &'static str {
    match form {
        ChartForm::Run => "median of the baseline",
        _ => "center line",
    }
}

/// A signal without its months: `beyond the upper limit`, `12 in a row above the center line`.
pub(super) fn rule(chart: &MonthChart, signal: &MonthSignal) -> String {
    let (limit, side) = match signal.side {
        Some(Side::Above) => ("beyond the upper limit", "above"),
        Some(Side::Below) => ("below the lower limit", "below"),
        None => ("beyond a limit", "off"),
    };
    match signal.rule {
        MonthRule::BeyondLimits => limit.to_owned(),
        MonthRule::EightOnOneSide | MonthRule::LongRun => {
            format!("{} in a row {side} the {}", signal.points, line(chart.form))
        }
        MonthRule::FewCrossings => format!("seldom crosses the {}", line(chart.form)),
    }
}

/// A signal with its months: `12 in a row above the center line, October 2025 to September 2026`.
pub(super) fn signal(chart: &MonthChart, signal: &MonthSignal) -> String {
    let (first, last) = (
        format::month_name(signal.first),
        format::month_name(signal.last),
    );
    let rule = rule(chart, signal);
    if signal.first == signal.last {
        format!("{rule} in {first}")
    } else {
        format!("{rule}, {first} to {last}")
    }
}

/// `at Birch`, or nothing for the whole service.
pub(super) fn place(chart: &MonthChart) -> String {
    if chart.by == ALL {
        String::new()
    } else {
        format!(" at {}", groups::group_label(&chart.by, &chart.group))
    }
}

/// Which direction is wanted, in brackets; nothing where neither is.
pub(super) const fn wanted(definition: &Definition) -> &'static str {
    match definition.better {
        Better::Higher => " (more is wanted)",
        Better::Lower => " (less is wanted)",
        Better::Neither => "",
    }
}

/// What holds at the month in view on one chart, in the words of its rules: `none`, or why nothing
/// can be said.
pub(super) fn standing(chart: Option<&MonthChart>) -> String {
    let Some(chart) = chart else {
        return "not followed".to_owned();
    };
    let signals: Vec<_> = chart.standing().map(|it| since(chart, it)).collect();
    match (signals.is_empty(), chart.chance) {
        (false, _) => signals.join("; "),
        (true, Some(_)) => "none".to_owned(),
        (true, None) => "too few months or cases for a rule".to_owned(),
    }
}

/// The value of the month in view beside its line, and the rules that hold:
/// `70 min against a center line of 51 min (13 in a row above it, since September 2025)`.
pub(super) fn now_and_why(chart: &MonthChart) -> String {
    let rules = standing(Some(chart));
    let unit = chart.statistic.unit();
    let number = |n: u64, value: f64| format::with_unit(unit, n, value);
    let now = chart.points.last().and_then(|point| {
        Some(format!(
            "{} against a {} of {}",
            number(point.n, point.value?),
            line(chart.form),
            number(point.n, point.line?)
        ))
    });
    now.map_or_else(|| rules.clone(), |now| format!("{now} ({rules})"))
}

/// A signal that holds at the month in view. Months in a row began before their rule was met:
/// `13 in a row above the center line since September 2025, enough for the rule from April 2026 on`.
pub(super) fn since(chart: &MonthChart, signal: &MonthSignal) -> String {
    let rule = rule(chart, signal);
    if signal.first == signal.last {
        return rule;
    }
    let since = format!("{rule} since {}", format::month_name(signal.first));
    match signal.rule {
        MonthRule::BeyondLimits | MonthRule::FewCrossings => since,
        MonthRule::EightOnOneSide | MonthRule::LongRun if signal.met == signal.last => {
            format!("{since}, enough for the rule only now")
        }
        MonthRule::EightOnOneSide | MonthRule::LongRun => format!(
            "{since}, enough for the rule from {} on",
            format::month_name(signal.met)
        ),
    }
}

/// The rule that was met last within so many months before the month in view, when it holds no longer:
/// `until August 2026: beyond the upper limit`.
pub(super) fn ended_lately(chart: &MonthChart, months: i32) -> Option<String> {
    let now = chart.points.last()?.month;
    let last = chart
        .signals
        .iter()
        .filter(|signal| signal.last < now && now.since(signal.last) <= months)
        .max_by_key(|signal| (signal.last, signal.points))?;
    chart.standing().next().is_none().then(|| {
        format!(
            "until {}: {}",
            format::month_name(last.last),
            rule(chart, last)
        )
    })
}

/// How many charts there are and how often they would mislead; `None` without a chart.
pub(super) fn chance_note(review: &Review) -> Option<String> {
    let harm = review.comparisons.over_time.as_deref().unwrap_or_default();
    let looked_at = review.signals.multiplicity(harm, review.month);
    if looked_at.charts == 0 {
        return None;
    }
    let by_month = review.signals.charts.iter();
    let by_month = by_month.filter(|chart| chart.standing().next().is_some());
    let met = by_month.count() + harm_signals(harm, review.month);
    Some(format!(
        "{} kept, by month and by event; {} of them can meet a rule in {}. If nothing had changed, about \
         {:.1} of these would meet one all the same; {met} {}.",
        format::capitalized(&format::counted(
            looked_at.charts as u64,
            "chart is",
            "charts are"
        )),
        looked_at.able,
        format::month_name(review.month),
        looked_at.expected,
        if met == 1 { "does" } else { "do" },
    ))
}

/// Charts of harm that meet a rule at an event of the month in view.
fn harm_signals(harm: &[HarmOverTime], month: Month) -> usize {
    let charts = harm
        .iter()
        .flat_map(|harm| [&harm.cases_between, &harm.days_between]);
    charts
        .filter(|chart| chart.met_in(month).next().is_some())
        .count()
}
