//! The lines of a chart: which form fits what was counted in the baseline, and where its limits
//! lie in every other month. The form follows from the kind of measure and from the baseline
//! alone, by rules that are fixed here.

use super::ChartForm;
use super::series::Data;
use crate::domain::tally::Tally;
use crate::stats::chart::limits::Bounds;
use crate::stats::chart::limits::Limits;
use crate::stats::chart::limits::Possible;
use crate::stats::chart::rate;
use crate::stats::chart::rate::EventCount;
use crate::stats::chart::rate::RateBaseline;
use crate::stats::chart::rate::laney_u_baseline;
use crate::stats::chart::rate::u_baseline;
use crate::stats::chart::run_chart;
use crate::stats::chart::share::ShareBaseline;
use crate::stats::chart::share::laney_p_baseline;
use crate::stats::chart::share::p_baseline;
use crate::stats::chart::sparse::SparseBaseline;
use crate::stats::chart::sparse::SparseRateBaseline;
use crate::stats::chart::sparse::sparse_baseline;
use crate::stats::chart::sparse::sparse_rate_baseline;
use crate::stats::chart::xmr::XmrBaseline;
use crate::stats::chart::xmr::xmr_baseline;
use std::ops::Range;

/// Fewest points for limits; with fewer a chart is a run chart.
pub(super) const POINTS_FOR_LIMITS: usize = 12;

/// Fewest hits, and fewest misses, that a month of the baseline must have on average for limits
/// of a share from its standard deviation: the distribution is too lopsided below.
const EXPECTED_FOR_SHARES: f64 = 5.0;

/// Fewest events that a month of the baseline must have on average for limits of a rate from its
/// standard deviation: the distribution is too lopsided below.
const EXPECTED_FOR_RATES: f64 = 5.0;

/// Least share of the useful points of a baseline on either side of the line of a run chart. A
/// proposal of this project without a source: a median leaves half on either side unless values
/// equal it, and the rules take a fair coin for granted. At 4 to 6 a run of eight on the larger side
/// is still only four times as likely as at half and half; a coin of 3 to 7 has it fifteen times.
const LEAST_ON_A_SIDE: f64 = 0.4;

/// Cases a month above which counting never explains how much months differ. A proposal of this
/// project: with so many cases binomial limits at one half lie less than 5 percentage points off the
/// line, and differences of that size between months (who came, who worked) are never called
/// counting, also where the baseline happens to be quiet.
const CASES_ALWAYS_OVERDISPERSED: f64 = 1000.0;

/// The lines of one stretch of months.
pub(super) enum Lines {
    /// A median.
    Run(RunLine),
    /// Lines of shares.
    Shares(ChartForm, ShareBaseline),
    /// Lines of shares with few hits or misses.
    SparseShares(SparseBaseline),
    /// Lines of rates.
    Rates(ChartForm, RateBaseline),
    /// Lines of rates with few events.
    SparseRates(SparseRateBaseline),
    /// Lines of single values.
    Medians(XmrBaseline),
}

/// The line of a run chart, and how the useful points of its baseline lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct RunLine {
    pub(super) center: f64,
    pub(super) above: u64,
    pub(super) below: u64,
}

impl RunLine {
    /// The median of the values; `None` without one.
    fn new(values: &[Option<f64>]) -> Option<RunLine> {
        let center = run_chart::run_chart(values)?.center;
        let values = || values.iter().flatten();
        Some(RunLine {
            center,
            above: values().filter(|value| **value > center).count() as u64,
            below: values().filter(|value| **value < center).count() as u64,
        })
    }

    /// Whether the rules may be asked: the line has points enough, on both sides, as the rules take
    /// for granted. The median of a few months lies anywhere, and all that comes behind it on one
    /// side of it. A share of few cases is often 100 %, and then the median: a line with nothing
    /// above it, where any month with a miss would lengthen a "run".
    pub(super) fn can_be_judged(&self) -> bool {
        let useful = self.above + self.below;
        let fewer = self.above.min(self.below) as f64;
        useful >= run_chart::FEWEST_USEFUL && fewer >= LEAST_ON_A_SIDE * useful as f64
    }
}

impl Lines {
    /// The lines that the months `baseline` of `data` give; `None` without a value among them.
    pub(super) fn new(
        data: &Data,
        values: &[Option<f64>],
        baseline: Range<usize>,
    ) -> Option<Lines> {
        let points = values[baseline.clone()].iter().flatten().count();
        let with_limits = (points >= POINTS_FOR_LIMITS)
            .then(|| match data {
                Data::Shares(tallies) => share_lines(&tallies[baseline.clone()]),
                Data::Passes(tallies) => pass_lines(&tallies[baseline.clone()]),
                Data::Rates(counts) => rate_lines(&counts[baseline.clone()]),
                Data::Medians(medians) => {
                    let lines = xmr_baseline(&medians[baseline.clone()], Possible::NotNegative);
                    lines.map(Lines::Medians)
                }
            })
            .flatten();
        with_limits.or_else(|| RunLine::new(&values[baseline]).map(Lines::Run))
    }

    /// The form of the chart.
    pub(super) fn form(&self) -> ChartForm {
        match self {
            Lines::Run(_) => ChartForm::Run,
            Lines::Shares(form, _) | Lines::Rates(form, _) => *form,
            Lines::SparseShares(_) => ChartForm::ExactP,
            Lines::SparseRates(_) => ChartForm::ExactU,
            Lines::Medians(_) => ChartForm::Xmr,
        }
    }

    /// The line about which runs are counted.
    pub(super) fn center(&self) -> f64 {
        match self {
            Lines::Run(line) => line.center,
            Lines::Shares(_, lines) => lines.center(),
            Lines::SparseShares(lines) => lines.center(),
            Lines::Rates(_, lines) => lines.center(),
            Lines::SparseRates(lines) => lines.center(),
            Lines::Medians(lines) => lines.center(),
        }
    }

    /// The lines at the month with this place in `data`. Limits that depend on how much was
    /// counted in a month are missing at a gap.
    pub(super) fn at(&self, data: &Data, index: usize) -> Limits {
        let only = index..=index;
        let charted = match (self, data) {
            (Lines::Shares(_, lines), Data::Shares(tallies) | Data::Passes(tallies)) => {
                lines.chart(&tallies[only])
            }
            (Lines::SparseShares(lines), Data::Shares(tallies)) => lines.chart(&tallies[only]),
            (Lines::Rates(_, lines), Data::Rates(counts)) => lines.chart(&counts[only]),
            (Lines::SparseRates(lines), Data::Rates(counts)) => lines.chart(&counts[only]),
            (Lines::Medians(lines), _) => return lines.limits(),
            _ => Vec::new(),
        };
        charted.first().copied().flatten().map_or(
            Limits {
                center: self.center(),
                run_line: self.center(),
                two_sigma: Bounds::NONE,
                control: Bounds::NONE,
            },
            |point| point.limits,
        )
    }
}

/// p chart or p' chart, with exact limits where hits or misses are too few for others.
fn share_lines(tallies: &[Option<Tally>]) -> Option<Lines> {
    if !is_often_enough(tallies) {
        return sparse_baseline(tallies).map(Lines::SparseShares);
    }
    let plain = p_baseline(tallies)?;
    let laney = laney_p_baseline(tallies).filter(|laney| {
        cases_a_month(tallies) > CASES_ALWAYS_OVERDISPERSED
            || is_overdispersed(laney.sigma_z(), tallies)
    });
    Some(match laney {
        Some(laney) => Lines::Shares(ChartForm::LaneyP, laney.never_narrower()),
        None => Lines::Shares(ChartForm::P, plain),
    })
}

/// p' chart of passes, since passes of one case go together: never narrower than if they did not.
fn pass_lines(tallies: &[Option<Tally>]) -> Option<Lines> {
    let laney = laney_p_baseline(tallies).filter(|_| is_often_enough(tallies))?;
    Some(Lines::Shares(ChartForm::LaneyP, laney.never_narrower()))
}

/// u chart or u' chart, with exact limits where events are too few for others.
fn rate_lines(counts: &[Option<EventCount>]) -> Option<Lines> {
    let (events, _) = rate::total(counts);
    if (events as f64) < EXPECTED_FOR_RATES * observed(counts) {
        return sparse_rate_baseline(counts).map(Lines::SparseRates);
    }
    let plain = u_baseline(counts)?;
    let laney = laney_u_baseline(counts).filter(|laney| is_overdispersed(laney.sigma_z(), counts));
    Some(match laney {
        Some(laney) => Lines::Rates(ChartForm::LaneyU, laney.never_narrower()),
        None => Lines::Rates(ChartForm::U, plain),
    })
}

fn is_often_enough(tallies: &[Option<Tally>]) -> bool {
    Tally::total(tallies.iter().copied().flatten()).is_some_and(|total| {
        let fewer = total.events().min(total.misses()) as f64;
        fewer >= EXPECTED_FOR_SHARES * observed(tallies)
    })
}

fn cases_a_month(tallies: &[Option<Tally>]) -> f64 {
    let total = Tally::total(tallies.iter().copied().flatten());
    total.map_or(0.0, |total| total.cases() as f64 / observed(tallies))
}

/// Months that are no gap.
fn observed<T>(points: &[Option<T>]) -> f64 {
    points.iter().flatten().count() as f64
}

/// Whether `sigma_z` is larger than months explain that differ by counting alone: above 1 by more
/// than two of its standard errors, which are those of a mean moving range.
fn is_overdispersed<T>(sigma_z: f64, points: &[Option<T>]) -> bool {
    let is_observed: Vec<bool> = points.iter().map(Option::is_some).collect();
    crate::stats::chart::sigma_error(&is_observed).is_some_and(|error| sigma_z > 1.0 + 2.0 * error)
}
