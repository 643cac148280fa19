//! The exact distribution of the Mann-Whitney statistic without ties, for small groups. Knows two
//! group sizes.

use super::mann_whitney;
use crate::stats::quantile::Distribution;

/// Most work for one exact distribution: that of 50 cases against 50. Within it, the number of
/// ways to arrange the cases fits `u128`.
const MOST_WORK: u64 = 50 * 50 * 50;

/// Probabilities of the observed Mann-Whitney statistic and of others when both groups are alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExactRankSum {
    /// Of `u` as large as observed, or smaller.
    pub less: f64,
    /// Of `u` as large as observed, or larger.
    pub greater: f64,
    /// Twice the smaller of the two, at most 1.
    pub two_sided: f64,
}

/// The exact Mann-Whitney test of two groups, from all arrangements of their cases.
///
/// `None` when a group is empty, when a value occurs twice (the arrangements are then not equally
/// likely), or when the groups are too large: the square of the smaller times the larger may be at
/// most 50³, which 50 against 50 is, and 11 against 1000.
///
/// Source: Mann & Whitney (1947), Annals of Mathematical Statistics 18:50-60; from memory, printed
/// examples reproduced.
pub fn mann_whitney_exact(first: &Distribution, second: &Distribution) -> Option<ExactRankSum> {
    let arrangements = Arrangements::new(first.cases(), second.cases())?;
    let both = first.counts().chain(second.counts());
    let pooled = Distribution::new(both);
    if pooled.counts().any(|(_, count)| count > 1) {
        return None;
    }
    let u = mann_whitney(first, second)?.u;
    let mirrored = (first.cases() * second.cases()) as f64 - u;
    let less = arrangements.at_most(u);
    let greater = arrangements.at_most(mirrored);
    Some(ExactRankSum {
        less,
        greater,
        two_sided: (2.0 * less.min(greater)).min(1.0),
    })
}

/// Numbers of arrangements of two groups without ties, added up over the statistic.
#[derive(Clone, Debug)]
pub(super) struct Arrangements {
    /// How many have a statistic of at most 0, 1, 2… to the number of pairs.
    at_most: Vec<u128>,
}

impl Arrangements {
    /// `None` when a group is empty, or when both are too large.
    pub(super) fn new(first: u64, second: u64) -> Option<Arrangements> {
        let (few, many) = (first.min(second), first.max(second));
        let work = few.checked_mul(few)?.checked_mul(many)?;
        if few == 0 || work > MOST_WORK {
            return None;
        }
        let [few, many] = [few, many].map(|cases| usize::try_from(cases).ok());
        let (few, many) = (few?, many?);

        // The generating function is the product over i of (1 - q^(many + i)) / (1 - q^i).
        // Between the two steps numbers may wrap around; after each i they are counts again.
        let mut ways = vec![0_u128; few * many + 1];
        ways[0] = 1;
        for i in 1..=few {
            for u in (many + i..ways.len()).rev() {
                ways[u] = ways[u].wrapping_sub(ways[u - many - i]);
            }
            for u in i..ways.len() {
                ways[u] = ways[u].wrapping_add(ways[u - i]);
            }
        }
        for u in 1..ways.len() {
            ways[u] = ways[u].wrapping_add(ways[u - 1]);
        }
        Some(Arrangements { at_most: ways })
    }

    fn all(&self) -> f64 {
        self.at_most.last().map_or(0.0, |all| *all as f64)
    }

    /// Probability of a statistic of at most `u`, a whole number of pairs.
    fn at_most(&self, u: f64) -> f64 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a number of pairs, and the cast saturates"
        )]
        let index = (u as usize).min(self.at_most.len() - 1);
        self.at_most[index] as f64 / self.all()
    }

    /// The smallest statistic with a probability of at least `tail` of itself or less.
    pub(super) fn quantile(&self, tail: f64) -> u128 {
        let target = tail * self.all();
        // Rounding of the level must not move a probability that is hit exactly.
        let reached = |ways: &u128| *ways as f64 >= target * (1.0 - 1e-12);
        self.at_most.partition_point(|ways| !reached(ways)) as u128
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distributions_match_printed_ones() {
        // Mann & Whitney (1947), table I, from memory: 3 against 4, in thirty-fifths.
        let of = |first, second| {
            Arrangements::new(first, second)
                .expect("small groups")
                .at_most
        };
        assert_eq!(of(3, 4), [1, 2, 4, 7, 11, 15, 20, 24, 28, 31, 33, 34, 35]);
        assert_eq!(of(1, 3), [1, 2, 3, 4]);
        assert_eq!(of(4, 3), of(3, 4));
        // 100 over 50, the number of ways to choose the first group.
        let largest = of(50, 50);
        assert_eq!(
            largest.last(),
            Some(&100_891_344_545_564_193_334_812_497_256)
        );
        assert_eq!(
            largest[1250] + largest[1249],
            *largest.last().expect("counts")
        );
    }

    /// Every pair of sizes that is let in has counts that rise and mirror themselves, so none has
    /// outgrown `u128`.
    #[test]
    fn no_size_that_is_let_in_outgrows_the_counts() {
        for few in 1..=50_u64 {
            let most = MOST_WORK / (few * few);
            for many in [few, u64::midpoint(few, most), most] {
                let at_most = Arrangements::new(few, many).expect("small groups").at_most;
                let all = *at_most.last().expect("counts");
                let ways = (1..=few).fold(1.0, |ways, i| ways * (many + i) as f64 / i as f64);
                assert!((all as f64 / ways - 1.0).abs() < 1e-12, "{few} {many}");
                assert!(at_most.is_sorted());
            }
            assert!(Arrangements::new(most + 1, few).is_none());
        }
    }

    #[test]
    fn sizes_out_of_reach_give_nothing() {
        for (first, second) in [
            (0, 5),
            (5, 0),
            (0, 0),
            (51, 50),
            (u64::MAX, 1),
            (u64::MAX, u64::MAX),
        ] {
            assert!(
                Arrangements::new(first, second).is_none(),
                "{first} {second}"
            );
        }
    }

    /// One of the inputs that statrs 0.19.1 gets wrong.
    #[test]
    fn the_smaller_group_may_come_first() {
        let of = |values: &[i64]| Distribution::new(values.iter().map(|value| (*value, 1)));
        let exact = mann_whitney_exact(&of(&[1, 2, 3]), &of(&[4, 5, 6, 7])).expect("no ties");
        assert!((exact.two_sided - 2.0 / 35.0).abs() < 1e-15);
        assert!((exact.less - 1.0 / 35.0).abs() < 1e-15 && exact.greater >= 1.0);
        assert_eq!(mann_whitney_exact(&of(&[1, 2, 3]), &of(&[3, 5])), None);
    }
}
