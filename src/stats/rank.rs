//! Are values in whole minutes larger in one group than in others, judged by their order alone?
//! Knows grouped counts; cases that were only followed for a while belong in `log_rank`.

mod exact;
mod shift;
#[cfg(test)]
mod tests;

pub use exact::{ExactRankSum, mann_whitney_exact};
pub use shift::{Shift, hodges_lehmann};

use super::p_value::{chi_square_above, normal_beyond};
use super::quantile::Distribution;
use std::collections::BTreeMap;

/// The outcome of a Mann-Whitney test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MannWhitney {
    /// Pairs of one case of each group in which the first has the larger value; equal values count
    /// half. From 0 to the number of pairs, of which half is what equal groups give.
    pub u: f64,
    /// Two-sided, from the normal distribution, corrected for ties and for continuity.
    pub p: f64,
}

/// The Mann-Whitney test (Wilcoxon's rank-sum test) of two groups.
///
/// The variance of `u` is corrected for ties, and its distance from half the pairs is lessened by
/// 1/2. In small groups without ties, [`mann_whitney_exact`] needs no approximation. It says
/// whether, not how much: [`hodges_lehmann`] does.
///
/// `None` when a group is empty, or when all values are equal: there is no order to judge by.
///
/// Source: Mann & Whitney (1947), Annals of Mathematical Statistics 18:50-60; ties: Lehmann (1975),
/// Nonparametrics, section 1.4; from memory, printed examples reproduced.
pub fn mann_whitney(first: &Distribution, second: &Distribution) -> Option<MannWhitney> {
    let (n, m) = (first.cases() as f64, second.cases() as f64);
    if n <= 0.0 || m <= 0.0 {
        return None;
    }
    let scores = Scores::of(&[first, second]);
    if scores.squares <= 0.0 {
        return None;
    }
    let above_half = scores.sums[0];
    let variance = (n / (n + m)) * (m / (n + m - 1.0)) * scores.squares;
    let beyond = (above_half.abs() - 0.5).max(0.0);
    Some(MannWhitney {
        u: n * m / 2.0 + above_half,
        p: normal_beyond(beyond / variance.sqrt()),
    })
}

/// The outcome of a Kruskal-Wallis test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KruskalWallis {
    /// Corrected for ties; 0 when all groups have the same mean rank.
    pub h: f64,
    /// Groups with cases, less one.
    pub degrees_of_freedom: usize,
    /// From the chi-square distribution, which is rough below five cases a group.
    pub p: f64,
}

/// The Kruskal-Wallis test of two or more groups. Groups without cases add nothing.
///
/// `None` when fewer than two groups have cases, or when all values are equal.
///
/// Source: Kruskal & Wallis (1952), Journal of the American Statistical Association 47:583-621;
/// from memory, printed examples reproduced.
pub fn kruskal_wallis(groups: &[Distribution]) -> Option<KruskalWallis> {
    let groups: Vec<&Distribution> = groups.iter().filter(|group| group.cases() > 0).collect();
    let cases: f64 = groups.iter().map(|group| group.cases() as f64).sum();
    let scores = Scores::of(&groups);
    if groups.len() < 2 || scores.squares <= 0.0 {
        return None;
    }
    let between: f64 = groups
        .iter()
        .zip(&scores.sums)
        .map(|(group, sum)| sum * (sum / group.cases() as f64))
        .sum();
    let h = (cases - 1.0) * (between / scores.squares);
    let degrees_of_freedom = groups.len() - 1;
    Some(KruskalWallis {
        h,
        degrees_of_freedom,
        p: chi_square_above(h, degrees_of_freedom)?,
    })
}

/// Mid-ranks of the cases of several groups together, measured from the mean rank. Sums of these
/// lose no digits where sums of ranks would, nor does the variance when nearly all values tie.
#[derive(Clone, Debug, PartialEq)]
struct Scores {
    /// Sum of the scores of each group.
    sums: Vec<f64>,
    /// Sum of the squared scores of all cases; 0 when all values are equal.
    squares: f64,
}

impl Scores {
    fn of(groups: &[&Distribution]) -> Scores {
        let mut pooled: BTreeMap<i64, f64> = BTreeMap::new();
        for (value, count) in groups.iter().flat_map(|group| group.counts()) {
            *pooled.entry(value).or_default() += count as f64;
        }
        let cases: f64 = pooled.values().sum();
        let mut below = 0.0;
        let mut squares = 0.0;
        for slot in pooled.values_mut() {
            let count = *slot;
            let above = cases - below - count;
            let score = (below - above) / 2.0;
            squares += score * score * count;
            below += count;
            *slot = score;
        }
        let sum = |group: &&Distribution| {
            let scores = group.counts();
            scores
                .map(|(value, count)| pooled[&value] * count as f64)
                .sum()
        };
        Scores {
            sums: groups.iter().map(sum).collect(),
            squares,
        }
    }
}
