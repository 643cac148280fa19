//! One published number with its denominator, interval and method, and the sorted list of all.

use crate::domain::counts::ALL;
use crate::domain::measure::MeasureKind;
use crate::domain::month::Month;
use std::cmp::Ordering;

/// Which number about a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Statistic {
    /// Events as a fraction of cases (or of passes).
    Share,
    /// Half of the cases took no longer.
    Median,
    /// A quarter of the cases took no longer.
    P25,
    /// Three quarters of the cases took no longer.
    P75,
    /// Nine of ten cases took no longer.
    P90,
    /// Events per unit of observed time.
    Rate,
    /// Minutes of one part of a way, as a fraction of those of all its parts over the same cases.
    TimeShare,
}

impl Statistic {
    /// Every statistic.
    pub const ALL: [Statistic; 6] = [
        Statistic::Share,
        Statistic::Median,
        Statistic::P25,
        Statistic::P75,
        Statistic::P90,
        Statistic::Rate,
    ];

    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            Statistic::Share => "share",
            Statistic::Median => "median",
            Statistic::P25 => "p25",
            Statistic::P75 => "p75",
            Statistic::P90 => "p90",
            Statistic::Rate => "rate",
            Statistic::TimeShare => "time_share",
        }
    }

    /// What its estimates are counted in.
    pub const fn unit(self) -> Unit {
        match self {
            Statistic::Share | Statistic::TimeShare => Unit::Fraction,
            Statistic::Rate => Unit::Per30SiteDays,
            Statistic::Median | Statistic::P25 | Statistic::P75 | Statistic::P90 => Unit::Minutes,
        }
    }
}

/// What an estimate is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unit {
    /// 0 to 1; pages show percent.
    Fraction,
    /// Minutes.
    Minutes,
    /// Events per 30 days of one site.
    Per30SiteDays,
}

impl Unit {
    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            Unit::Fraction => "fraction",
            Unit::Minutes => "minutes",
            Unit::Per30SiteDays => "per 30 site-days",
        }
    }
}

/// How an estimate and its interval were computed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Method {
    /// Wilson score interval.
    Wilson,
    /// Clopper-Pearson interval.
    ClopperPearson,
    /// Jeffreys interval.
    Jeffreys,
    /// Quantile of type 7, interval from order statistics.
    OrderStatistics,
    /// Kaplan-Meier estimate, log-log interval.
    KaplanMeier,
    /// Ratio estimator over cases, Wilson interval on the effective sample size.
    ClusteredRatio,
    /// Exact Poisson interval by Garwood.
    Garwood,
    /// Ratio of two sums of minutes, without an interval.
    RatioOfSums,
}

impl Method {
    /// Every method.
    pub const ALL: [Method; 8] = [
        Method::Wilson,
        Method::ClopperPearson,
        Method::Jeffreys,
        Method::OrderStatistics,
        Method::KaplanMeier,
        Method::ClusteredRatio,
        Method::Garwood,
        Method::RatioOfSums,
    ];

    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            Method::Wilson => "wilson",
            Method::ClopperPearson => "clopper_pearson",
            Method::Jeffreys => "jeffreys",
            Method::OrderStatistics => "order_statistics",
            Method::KaplanMeier => "kaplan_meier",
            Method::ClusteredRatio => "clustered_ratio",
            Method::Garwood => "garwood",
            Method::RatioOfSums => "ratio_of_sums",
        }
    }

    /// A sentence for the methods section of a report.
    pub const fn sentence(self) -> &'static str {
        match self {
            Method::Wilson => {
                "Share of cases with the Wilson score interval, without continuity correction \
                 (Newcombe 1998)."
            }
            Method::ClopperPearson => {
                "Share of cases with the Clopper-Pearson interval, exact and conservative \
                 (Clopper and Pearson 1934)."
            }
            Method::Jeffreys => {
                "Share of cases with the Jeffreys interval (Brown, Cai and DasGupta 2001)."
            }
            Method::OrderStatistics => {
                "Median and other quantiles of type 7, with distribution-free limits at two order \
                 statistics; a limit that the number of cases cannot give is left blank."
            }
            Method::KaplanMeier => {
                "Median and other quantiles by the Kaplan-Meier estimate, because some cases were \
                 cancelled or transferred before the end of the time was reached and count until \
                 then; limits from the log-log band. It assumes that they would have waited on like \
                 the others; where they left because the wait was long, the real times are longer. \
                 Not reached means that too few cases got that far."
            }
            Method::ClusteredRatio => {
                "Share of passes, with passes of one case taken as belonging together: ratio \
                 estimator (Cochran 1977) and the Wilson interval on the effective number of passes, \
                 with the bound of Student's t for the number of cases."
            }
            Method::Garwood => {
                "Events in observed time with the exact Poisson interval (Garwood 1936)."
            }
            Method::RatioOfSums => {
                "Share of time: the minutes of one part, added up over all cases, by those of all parts \
                 over the same cases, so long cases weigh more. No interval is given: it would need the \
                 parts of each single case side by side, and the count tables hold each part by itself."
            }
        }
    }
}

/// One published number.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Identifier of the measure.
    pub measure: String,
    /// Kind of the measure.
    pub kind: MeasureKind,
    /// Dimension names joined with `+`, or `all`.
    pub by: String,
    /// Values of the dimensions joined with `|`, or `all`.
    pub group: String,
    /// The month, or `None` for the whole period.
    pub month: Option<Month>,
    /// Which number.
    pub statistic: Statistic,
    /// The estimate in `unit`; `None` when it cannot be estimated: no cases, or a quantile that
    /// the survival curve does not reach.
    pub estimate: Option<f64>,
    /// Lower limit; `None` when the sample cannot give one.
    pub low: Option<f64>,
    /// Upper limit; `None` when the sample cannot give one.
    pub high: Option<f64>,
    /// Confidence level of the limits, in 0 to 1.
    pub level: f64,
    /// How estimate and limits were computed.
    pub method: Method,
    /// Events: cases (or passes) that meet the definition, cases that reached the end, or events.
    pub events: u64,
    /// Eligible cases, or cases with eligible passes. For a rate, the events.
    pub cases: u64,
    /// Passes, for a share per pass; `None` otherwise.
    pub attempts: Option<u64>,
    /// Cases of the population that could not be judged.
    pub excluded: u64,
    /// Cases followed only until they were cancelled or transferred.
    pub censored: u64,
    /// Whether the numbers are withheld because the group is small.
    pub suppressed: bool,
    /// What the estimate is counted in.
    pub unit: Unit,
}

impl Finding {
    /// What the estimate is a part of: passes for a share per pass, cases (or events) otherwise.
    pub fn denominator(&self) -> u64 {
        self.attempts.unwrap_or(self.cases)
    }

    /// Lowest and highest share of cases that the records allow: if none, or all, of the cases that
    /// were not judged had met the definition. `None` for other numbers, and without a case.
    pub fn bounds(&self) -> Option<[f64; 2]> {
        let all = self.cases + self.excluded;
        let is_share = self.kind == MeasureKind::Share && self.statistic == Statistic::Share;
        (is_share && !self.suppressed && all > 0).then(|| {
            let part = |events: u64| events as f64 / all as f64;
            [part(self.events), part(self.events + self.excluded)]
        })
    }
}

/// Address of a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Address<'a> {
    /// Identifier of the measure.
    pub measure: &'a str,
    /// Dimension names joined with `+`, or `all`.
    pub by: &'a str,
    /// Values joined with `|`, or `all`.
    pub group: &'a str,
    /// The month, or `None` for the whole period.
    pub month: Option<Month>,
    /// Which number.
    pub statistic: Statistic,
}

/// All findings of a run, sorted by measure, dimensions, group, month and statistic.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Findings {
    sorted: Vec<Finding>,
    any_suppressed: bool,
}

impl Findings {
    /// Sorts and keeps `findings`.
    pub fn new(mut findings: Vec<Finding>) -> Findings {
        findings.sort_by(|a, b| sort_key(a).cmp(&sort_key(b)));
        Findings {
            any_suppressed: findings.iter().any(|finding| finding.suppressed),
            sorted: findings,
        }
    }

    /// All of them, in order.
    pub fn iter(&self) -> impl Iterator<Item = &Finding> + Clone {
        self.sorted.iter()
    }

    /// The finding at `address`; `None` when nothing was counted there.
    pub fn at(&self, address: Address<'_>) -> Option<&Finding> {
        self.sorted
            .binary_search_by(|finding| {
                sort_key(finding).cmp(&(
                    address.measure,
                    address.by,
                    address.group,
                    address.month,
                    address.statistic,
                ))
            })
            .ok()
            .map(|index| &self.sorted[index])
    }

    /// The monthly series of one group, oldest first.
    pub fn by_month<'a>(
        &'a self,
        measure: &str,
        by: &str,
        group: &str,
        statistic: Statistic,
    ) -> impl Iterator<Item = (Month, &'a Finding)> {
        between(self.of(measure, by), |finding| {
            finding.group.as_str().cmp(group)
        })
        .iter()
        .filter(move |finding| finding.statistic == statistic)
        .filter_map(|finding| finding.month.map(|month| (month, finding)))
    }

    /// One finding per group over the whole period, in the order of the group names.
    pub fn by_group<'a>(
        &'a self,
        measure: &str,
        by: &str,
        statistic: Statistic,
    ) -> impl Iterator<Item = &'a Finding> {
        self.groups(measure, by)
            .flat_map(|of_group| {
                of_group
                    .iter()
                    .take_while(|finding| finding.month.is_none())
            })
            .filter(move |finding| finding.statistic == statistic)
    }

    /// The names of the groups of a measure, in order.
    pub fn group_names<'a>(&'a self, measure: &str, by: &str) -> impl Iterator<Item = &'a str> {
        self.groups(measure, by)
            .filter_map(|of_group| of_group.first())
            .map(|finding| finding.group.as_str())
    }

    /// Whether any number is withheld.
    pub fn any_suppressed(&self) -> bool {
        self.any_suppressed
    }

    /// The findings of a measure, group after group; in each the whole period comes first.
    fn groups<'a>(&'a self, measure: &str, by: &str) -> impl Iterator<Item = &'a [Finding]> {
        let mut rest = self.of(measure, by);
        std::iter::from_fn(move || {
            let first = rest.first()?;
            let (of_group, others) =
                rest.split_at(rest.partition_point(|finding| finding.group == first.group));
            rest = others;
            Some(of_group)
        })
    }

    /// The findings of a measure split by the given dimensions.
    fn of(&self, measure: &str, by: &str) -> &[Finding] {
        between(&self.sorted, |finding| {
            (finding.measure.as_str(), finding.by.as_str()).cmp(&(measure, by))
        })
    }

    /// The finding over all cases in one month, or over the whole period.
    pub fn overall(
        &self,
        measure: &str,
        month: Option<Month>,
        statistic: Statistic,
    ) -> Option<&Finding> {
        self.at(Address {
            measure,
            by: ALL,
            group: ALL,
            month,
            statistic,
        })
    }
}

/// The stretch of sorted findings that `order` calls equal.
fn between(sorted: &[Finding], order: impl Fn(&Finding) -> Ordering) -> &[Finding] {
    let from = sorted.partition_point(|finding| order(finding).is_lt());
    let rest = &sorted[from..];
    &rest[..rest.partition_point(|finding| order(finding).is_eq())]
}

fn sort_key(finding: &Finding) -> (&str, &str, &str, Option<Month>, Statistic) {
    (
        &finding.measure,
        &finding.by,
        &finding.group,
        finding.month,
        finding.statistic,
    )
}
