//! Random draws that give the same values on every machine.
//!
//! `ChaCha8` gives the bits; the transformations below use only exact operations and `libm`, whose
//! logarithm, exponential and cosine are the same code everywhere, unlike those of the platform.
//! Knows nothing of cases.

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A sequence of draws, fixed by its seed and the number of its stream.
pub(super) struct Draws {
    bits: ChaCha8Rng,
}

impl Draws {
    /// The seed, least significant byte first, is the start of the key; the rest of the key is
    /// zero. Streams of one seed are independent of each other.
    pub(super) fn new(seed: u64, stream: u64) -> Draws {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        let mut bits = ChaCha8Rng::from_seed(key);
        bits.set_stream(stream);
        Draws { bits }
    }

    /// Uniform in 0 (included) to 1 (excluded): the upper 53 of 64 bits.
    pub(super) fn uniform(&mut self) -> f64 {
        const STEP: f64 = 1.0 / (1_u64 << 53) as f64;
        (self.bits.next_u64() >> 11) as f64 * STEP
    }

    /// The logarithm of a uniform draw from 0 (excluded) to 1 (included).
    pub(super) fn log_uniform(&mut self) -> f64 {
        libm::log(1.0 - self.uniform())
    }

    /// `true` with probability `share`.
    pub(super) fn chance(&mut self, share: f64) -> bool {
        self.uniform() < share
    }

    /// One of `choices`, each as likely as its weight says; weights need not add up to 1.
    pub(super) fn pick<T: Copy>(&mut self, choices: &[(T, f64)]) -> T {
        let total: f64 = choices.iter().map(|(_, weight)| weight).sum();
        let mut left = self.uniform() * total;
        for (choice, weight) in choices {
            if left < *weight {
                return *choice;
            }
            left -= weight;
        }
        // Rounding can leave a last bit of `left` over.
        choices.last().expect("every table has a row").0
    }

    /// Standard normal, the cosine half of Box and Muller (1958), Ann. Math. Stat. 29:610-611.
    /// The sine half is given up, so that the number of bits used never depends on the past.
    pub(super) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.log_uniform()).sqrt();
        radius * libm::cos(std::f64::consts::TAU * self.uniform())
    }

    /// Log-normal length of time in whole minutes, at least 1. `spread` is the standard deviation
    /// of the natural logarithm.
    pub(super) fn minutes(&mut self, median: f64, spread: f64) -> i64 {
        whole(median * libm::exp(spread * self.normal())).max(1)
    }
}

/// The nearest whole number; halves go away from zero.
#[expect(
    clippy::cast_possible_truncation,
    reason = "lengths of time and ages here are far below 2^53, and `as` stops at the ends"
)]
pub(super) fn whole(value: f64) -> i64 {
    value.round() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_follow_their_distributions() {
        let mut draws = Draws::new(7, 0);
        let count = 200_000;
        let normals: Vec<f64> = (0..count).map(|_| draws.normal()).collect();
        let mean = normals.iter().sum::<f64>() / f64::from(count);
        let variance = normals.iter().map(|z| z * z).sum::<f64>() / f64::from(count);
        assert!(mean.abs() < 0.01, "{mean}");
        assert!((variance - 1.0).abs() < 0.02, "{variance}");

        let short = (0..count)
            .filter(|_| draws.minutes(20.0, 0.5) <= 20)
            .count();
        assert!(
            (short as f64 / f64::from(count) - 0.5).abs() < 0.03,
            "{short}"
        );

        let picked = (0..count)
            .filter(|_| draws.pick(&[('a', 3.0), ('b', 1.0)]) == 'a')
            .count();
        assert!((picked as f64 / f64::from(count) - 0.75).abs() < 0.01);
    }

    #[test]
    fn streams_and_seeds_differ_and_repeat() {
        let first = |seed, stream| Draws::new(seed, stream).uniform();
        assert_eq!(first(1, 0).to_bits(), first(1, 0).to_bits());
        assert_ne!(first(1, 0).to_bits(), first(1, 1).to_bits());
        assert_ne!(first(1, 0).to_bits(), first(2, 0).to_bits());
    }
}
