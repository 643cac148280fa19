//! Shares and means over independent blocks, with the error that is left by simulating no longer.

/// A number from a simulation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The number.
    pub value: f64,
    /// Its standard error, for having simulated no longer; `None` with fewer than two blocks. It says
    /// nothing of how well the records are known.
    pub standard_error: Option<f64>,
}

impl Estimate {
    /// About 19 of 20 times the number of an endless simulation lies between these; `None` with fewer
    /// than two blocks.
    pub fn limits(&self) -> Option<[f64; 2]> {
        // 97.5 % of a standard normal lie below it. Blocks are many, or the error is large anyway.
        const BOUND: f64 = 1.96;
        let error = BOUND * self.standard_error?;
        Some([self.value - error, self.value + error])
    }
}

/// The sum of the first over the sum of the second of each block, as a ratio estimator: the blocks
/// differ in both. `None` where the second sum is 0.
///
/// Source: Cochran, Sampling techniques (1977), chapter 6; from memory.
pub(super) fn ratio(blocks: impl Iterator<Item = (f64, f64)> + Clone) -> Option<Estimate> {
    let (mut above, mut below, mut count) = (0.0, 0.0, 0_u32);
    for (one, other) in blocks.clone() {
        above += one;
        below += other;
        count += 1;
    }
    if below <= 0.0 {
        return None;
    }
    let value = above / below;
    let residuals: f64 = blocks
        .map(|(one, other)| (one - value * other).powi(2))
        .sum();
    let count = f64::from(count);
    Some(Estimate {
        value,
        standard_error: (count >= 2.0).then(|| (count / (count - 1.0) * residuals).sqrt() / below),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_of_one_size_give_the_error_of_a_mean() {
        let blocks = [(1.0, 10.0), (2.0, 10.0), (3.0, 10.0)];
        let found = ratio(blocks.into_iter()).expect("calls");
        // Mean of 0.1, 0.2, 0.3 with standard deviation 0.1, over the root of 3.
        assert!((found.value - 0.2).abs() < 1e-12);
        let error = found.standard_error.expect("three blocks");
        assert!((error - 0.1 / 3.0_f64.sqrt()).abs() < 1e-12);
        let [low, high] = found.limits().expect("three blocks");
        assert!((high - low - 2.0 * 1.96 * error).abs() < 1e-12);
    }

    #[test]
    fn one_block_has_no_error_and_no_call_no_share() {
        let one = ratio([(1.0, 4.0)].into_iter()).expect("calls");
        assert_eq!((one.standard_error, one.limits()), (None, None));
        assert_eq!(ratio([(0.0, 0.0)].into_iter()), None);
        assert_eq!(ratio([].into_iter()), None);
    }
}
