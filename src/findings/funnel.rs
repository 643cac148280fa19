//! Sites side by side: the share of each site over a year beside limits that a site of its size
//! seldom leaves by counting alone. From the count tables by site and month.
//!
//! Ranks nobody: sites stand by name. A site beyond the limits is a reason to look at recording and
//! case mix, and says no more.

use super::comparisons::Counted;
use super::estimate::tally;
use super::headline::MONTHS_BEFORE;
use crate::domain::codes::NOT_RECORDED;
use crate::domain::counts::{Additive, CountTables, SITE, ShareCount};
use crate::domain::measure::Definition;
use crate::domain::month::Month;
use crate::domain::tally::Tally;
use crate::stats::Level;
use crate::stats::chart::funnel::{even_limits, normal_limits, pooled_share};
use crate::stats::chart::overdispersion::overdispersion;
use std::collections::BTreeMap;
use std::num::NonZeroU64;

pub use crate::stats::chart::limits::{Bounds, Side};

#[cfg(test)]
mod tests;

/// Shares of the first page that have a funnel.
pub const MEASURES: [&str; 6] = [
    "scoped_within_window",
    "retrieval_success",
    "first_device_success",
    "overtube_used_sharp",
    "airway_secured",
    "adverse_event",
];

/// With fewer sites there is no funnel; each site has its own interval elsewhere.
pub const FEWEST_SITES: usize = 5;

/// A site with fewer judged cases is not drawn.
pub const FEWEST_CASES: u64 = 5;

/// Level of the inner limits: by counting alone one site in 20 lies beyond.
pub const INNER: f64 = 0.95;

/// Level of the outer limits: by counting alone one site in 500 lies beyond.
pub const OUTER: f64 = 0.998;

/// Where the lines of a funnel are worked out, at most.
const POINTS_OF_LINES: u64 = 80;

/// The funnel of one measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Funnel {
    /// Identifier of the measure.
    pub measure: String,
    /// First month of the counts.
    pub first: Month,
    /// Last month of the counts, the one in view.
    pub last: Month,
    /// The share of all sites together, those with few cases included.
    pub target: f64,
    /// All sites together.
    pub pooled: Counted,
    /// Sites with enough judged cases, by name.
    pub sites: Vec<SiteInFunnel>,
    /// Sites with a judged case and too few of them, by name.
    pub too_few: Vec<(String, Counted)>,
    /// How the limits were made.
    pub method: FunnelMethod,
    /// Mean squared distance of the sites from the target in standard deviations of counting: about
    /// 1 where counting explains it all. `None` where there is no such distance.
    pub phi: Option<f64>,
    /// The limits along the sizes of sites, smallest first.
    pub lines: Vec<LimitsAt>,
}

/// One site.
#[derive(Clone, Debug, PartialEq)]
pub struct SiteInFunnel {
    /// Its name.
    pub site: String,
    /// Cases that meet the definition, and judged cases.
    pub counted: Counted,
    /// Cases that could not be judged.
    pub excluded: u64,
    /// The share.
    pub share: f64,
    /// Limits at the level [`INNER`].
    pub inner: Bounds,
    /// Limits at the level [`OUTER`].
    pub outer: Bounds,
}

/// Where a site lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Position {
    /// Within the limits or exactly on them.
    Within,
    /// Beyond the inner limits only.
    BeyondInner(Side),
    /// Beyond the outer limits.
    BeyondOuter(Side),
}

/// Limits for sites of one size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LimitsAt {
    /// Judged cases.
    pub cases: u64,
    /// Limits at the level [`INNER`].
    pub inner: Bounds,
    /// Limits at the level [`OUTER`].
    pub outer: Bounds,
}

/// How limits are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FunnelMethod {
    /// Exact binomial, interpolated between counts, alike on both sides.
    Exact,
    /// Normal, widened by the variance between sites that counting does not explain.
    Widened,
}

impl FunnelMethod {
    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            FunnelMethod::Exact => "exact_binomial",
            FunnelMethod::Widened => "additive_overdispersion",
        }
    }
}

impl SiteInFunnel {
    /// Where the site lies.
    pub fn position(&self) -> Position {
        match (self.outer.beyond(self.share), self.inner.beyond(self.share)) {
            (Some(side), _) => Position::BeyondOuter(side),
            (None, Some(side)) => Position::BeyondInner(side),
            (None, None) => Position::Within,
        }
    }
}

impl Position {
    /// The word in tables.
    pub const fn code(self) -> &'static str {
        match self {
            Position::Within => "within",
            Position::BeyondInner(Side::Above) => "above_95",
            Position::BeyondInner(Side::Below) => "below_95",
            Position::BeyondOuter(Side::Above) => "above_99_8",
            Position::BeyondOuter(Side::Below) => "below_99_8",
        }
    }
}

/// The funnels of the twelve months up to `month`, in the order of the first page: of each measure
/// with enough sites that have enough judged cases.
pub fn funnels(
    counts: &CountTables,
    definitions: &[Definition],
    first_month: Month,
    month: Month,
) -> Vec<Funnel> {
    let first = month.plus(1 - MONTHS_BEFORE).max(first_month.min(month));
    let defined = |id: &&str| definitions.iter().find(|definition| definition.id == *id);
    let measures = MEASURES.iter().filter_map(defined);
    measures
        .filter_map(|definition| funnel(counts, definition, first, month))
        .collect()
}

fn funnel(
    counts: &CountTables,
    definition: &Definition,
    first: Month,
    last: Month,
) -> Option<Funnel> {
    let mut by_site: BTreeMap<&str, ShareCount> = BTreeMap::new();
    for (key, count) in &counts.shares {
        let is_wanted = key.measure == definition.id
            && key.version == definition.version
            && key.by == SITE
            && key.group != NOT_RECORDED
            && key
                .month
                .is_some_and(|month| (first..=last).contains(&month));
        if is_wanted {
            by_site.entry(&key.group).or_default().add(count);
        }
    }
    let judged: Vec<(&str, ShareCount, Tally)> = by_site
        .into_iter()
        .filter_map(|(site, count)| Some((site, count, tally(count)?)))
        .collect();
    let is_drawn = |tally: Tally| tally.cases() >= FEWEST_CASES;
    let drawn: Vec<Tally> = judged
        .iter()
        .map(|row| row.2)
        .filter(|t| is_drawn(*t))
        .collect();
    if drawn.len() < FEWEST_SITES {
        return None;
    }
    let all: Vec<Tally> = judged.iter().map(|row| row.2).collect();
    let target = pooled_share(&all)?;
    let spread = overdispersion(&drawn, target);
    let widened = spread.filter(|spread| spread.is_notable);
    let limits = Limits {
        target,
        variance_between: widened.map(|spread| spread.variance_between),
    };
    let sites = judged.iter().filter(|row| is_drawn(row.2));
    let largest = drawn.iter().map(|tally| tally.cases()).max()?;
    let total = ShareCount::sum(judged.iter().map(|row| &row.1));
    Some(Funnel {
        measure: definition.id.clone(),
        first,
        last,
        target,
        pooled: Counted::from(&total),
        sites: sites
            .map(|(site, count, tally)| {
                let at = limits.at(tally.cases());
                SiteInFunnel {
                    site: (*site).to_owned(),
                    counted: Counted::from(count),
                    excluded: count.excluded,
                    share: tally.share(),
                    inner: at.inner,
                    outer: at.outer,
                }
            })
            .collect(),
        too_few: judged
            .iter()
            .filter(|row| !is_drawn(row.2))
            .map(|(site, count, _)| ((*site).to_owned(), Counted::from(count)))
            .collect(),
        method: match widened {
            Some(_) => FunnelMethod::Widened,
            None => FunnelMethod::Exact,
        },
        phi: spread.map(|spread| spread.phi),
        lines: sizes(largest).map(|cases| limits.at(cases)).collect(),
    })
}

/// What all limits of a funnel have in common.
struct Limits {
    target: f64,
    /// `Some` where the limits are widened by it.
    variance_between: Option<f64>,
}

impl Limits {
    fn at(&self, cases: u64) -> LimitsAt {
        let of = |level: f64| {
            let level = Level::new(level).expect("a level between 0 and 1");
            let Some(cases) = NonZeroU64::new(cases) else {
                return Bounds::NONE;
            };
            match self.variance_between {
                None => even_limits(self.target, cases, level),
                Some(between) => normal_limits(self.target, cases, between, level),
            }
        };
        LimitsAt {
            cases,
            inner: of(INNER),
            outer: of(OUTER),
        }
    }
}

/// Sizes from the smallest site that is drawn to `largest`, closer to each other where they are
/// small, since limits bend there.
fn sizes(largest: u64) -> impl Iterator<Item = u64> {
    let growth = (largest as f64 / FEWEST_CASES as f64).max(1.0);
    let mut before = 0;
    (0..=POINTS_OF_LINES).filter_map(move |step| {
        let part = step as f64 / POINTS_OF_LINES as f64;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between the fewest cases and the largest number of cases, which is a u64"
        )]
        let size = (FEWEST_CASES as f64 * growth.powf(part)).round() as u64;
        let is_new = size > before;
        before = size;
        is_new.then_some(size)
    })
}
