//! By how much the values of one group lie above those of another: the median of all differences
//! and its interval. Knows grouped counts and never lists the differences.

use super::exact::Arrangements;
use crate::stats::quantile::Distribution;
use crate::stats::{Interval, Level};

/// By how many minutes one group lies above another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shift {
    /// The median of the differences of all pairs, one case of each group. It is not the
    /// difference of the medians.
    pub estimate: f64,
    /// Its interval, from one difference that occurs to another; `None` when the groups are too
    /// small for one at this level (4 against 4 is enough at 95 %).
    pub interval: Option<Interval>,
}

/// The Hodges-Lehmann shift of the first group against the second, in minutes, with Moses'
/// interval.
///
/// The limits are the differences at the ranks which the Mann-Whitney test would just not reject:
/// from its exact distribution up to 50 against 50, and whenever the square of the smaller group
/// times the larger is at most 50³; from the normal distribution above. They hold the level if the
/// groups differ by a shift alone. Ties only widen the coverage: at the 95 % level, simulated for 5
/// to 100 cases against 5 to 300 (1,500 to 4,000 data sets each) with skewed minutes of which half
/// lie above 60, it was 95.5 to 97 %, and 97 to 99.5 % with half above 8, where most values tie.
///
/// The differences are counted, not listed: for each of at most 66 guesses, one walk along the
/// distinct values of both groups.
///
/// `None` when a group is empty.
///
/// Sources: Hodges & Lehmann (1963), Annals of Mathematical Statistics 34:598-611; interval of
/// Moses: Hollander & Wolfe (1973), Nonparametric Statistical Methods, section 4.3; from memory,
/// their example reproduced.
pub fn hodges_lehmann(first: &Distribution, second: &Distribution, level: Level) -> Option<Shift> {
    let differences = Differences::new(first, second)?;
    // The two middle ones, the same for an odd number of pairs.
    let upper_middle = differences.pairs / 2 + 1;
    let lower_middle = differences.pairs - differences.pairs / 2;
    let middle = differences.at_rank(lower_middle) + differences.at_rank(upper_middle);
    let rank = lower_rank(first.cases(), second.cases(), level);
    Some(Shift {
        estimate: middle as f64 / 2.0,
        interval: (rank > 0).then(|| Interval {
            low: differences.at_rank(rank) as f64,
            high: differences.at_rank(differences.pairs - (rank - 1)) as f64,
        }),
    })
}

/// The rank of the lower limit, counted from 1; 0 when there is none.
fn lower_rank(first: u64, second: u64, level: Level) -> u128 {
    if let Some(arrangements) = Arrangements::new(first, second) {
        return arrangements.quantile(level.tail());
    }
    let (n, m) = (first as f64, second as f64);
    let deviation = ((n / 12.0) * m * (n + m + 1.0)).sqrt();
    let bound = n * m / 2.0 - level.normal_bound() * deviation;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the cast saturates, and below 0 there is no limit"
    )]
    let rank = (bound - 0.5).ceil() as u128;
    // A level of nearly 0 would cross the limits by rounding.
    rank.min((u128::from(first) * u128::from(second)).div_ceil(2))
}

/// The differences of all pairs of two groups, first minus second, as a sorted list that is never
/// written down.
#[derive(Debug)]
struct Differences {
    /// Values in rising order with the number of cases at each.
    first: Vec<(i64, u64)>,
    /// Values in rising order with the number of cases at or above each.
    second: Vec<(i64, u64)>,
    /// Number of differences, at least 1.
    pairs: u128,
}

impl Differences {
    fn new(first: &Distribution, second: &Distribution) -> Option<Differences> {
        let pairs = u128::from(first.cases()) * u128::from(second.cases());
        let mut below = 0;
        let at_or_above = |(value, count): (i64, u64)| {
            let from_here = second.cases() - below;
            below += count;
            (value, from_here)
        };
        (pairs > 0).then(|| Differences {
            first: first.counts().collect(),
            second: second.counts().map(at_or_above).collect(),
            pairs,
        })
    }

    /// The difference at `rank`, counted from 1 to the number of pairs.
    fn at_rank(&self, rank: u128) -> i128 {
        let smallest = |values: &[(i64, u64)]| values.first().map_or(0, |(value, _)| *value);
        let largest = |values: &[(i64, u64)]| values.last().map_or(0, |(value, _)| *value);
        let mut low = i128::from(smallest(&self.first)) - i128::from(largest(&self.second));
        let mut high = i128::from(largest(&self.first)) - i128::from(smallest(&self.second));
        // Differences are whole numbers, so halving their range finds the one sought.
        while low < high {
            let middle = low + (high - low) / 2;
            if self.at_most(middle) >= rank {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        low
    }

    /// Number of differences of at most `difference`.
    fn at_most(&self, difference: i128) -> u128 {
        let mut place = 0;
        let mut pairs = 0;
        for &(value, count) in &self.first {
            // A larger value needs a larger partner, so the walk never turns back.
            let partner = i128::from(value) - difference;
            if partner > i128::from(i64::MAX) {
                break;
            }
            // Below the smallest i64 every partner will do. The walk is fast in i64 only.
            let partner = i64::try_from(partner).unwrap_or(i64::MIN);
            while self
                .second
                .get(place)
                .is_some_and(|(candidate, _)| *candidate < partner)
            {
                place += 1;
            }
            let Some((_, at_or_above)) = self.second.get(place) else {
                break;
            };
            pairs += u128::from(count) * u128::from(*at_or_above);
        }
        pairs
    }
}
