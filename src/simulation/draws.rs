//! Random draws that give the same values on every machine: the bits of `ChaCha8`, exact operations
//! and the logarithm of `libm`, which is the same code everywhere.

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A sequence of draws, fixed by its seed and the number of its stream.
pub struct Draws {
    bits: ChaCha8Rng,
}

impl Draws {
    /// The seed, least significant byte first, is the start of the key; the rest of the key is
    /// zero. Streams of one seed are independent of each other.
    pub fn new(seed: u64, stream: u64) -> Draws {
        let mut key = [0; 32];
        key[..8].copy_from_slice(&seed.to_le_bytes());
        let mut bits = ChaCha8Rng::from_seed(key);
        bits.set_stream(stream);
        Draws { bits }
    }

    /// Uniform in 0 (included) to 1 (excluded): the upper 53 of 64 bits.
    pub fn uniform(&mut self) -> f64 {
        const STEP: f64 = 1.0 / (1_u64 << 53) as f64;
        (self.bits.next_u64() >> 11) as f64 * STEP
    }

    /// Exponential with mean 1, by the inverse of its distribution.
    pub fn exponential(&mut self) -> f64 {
        -libm::log(1.0 - self.uniform())
    }

    /// A place in a list of so many items, each as likely but for less than one in 2⁶⁴ divided by
    /// their number; 0 for an empty list.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the upper half of the product is below `items`, a usize"
    )]
    pub fn place(&mut self, items: usize) -> usize {
        ((u128::from(self.bits.next_u64()) * items as u128) >> 64) as usize
    }

    /// Standard normal, the cosine half of Box and Muller (1958).
    fn normal(&mut self) -> f64 {
        let radius = (2.0 * self.exponential()).sqrt();
        radius * libm::cos(std::f64::consts::TAU * self.uniform())
    }

    /// Gamma with scale 1 and a shape above 0, by the squeeze-free form of Marsaglia and Tsang
    /// (2000), and for shapes below 1 by their power of a uniform draw; from memory.
    pub fn gamma(&mut self, shape: f64) -> f64 {
        if shape < 1.0 {
            let power = libm::exp(-self.exponential() / shape);
            return self.gamma(shape + 1.0) * power;
        }
        let d = shape - 1.0 / 3.0;
        let c = 1.0 / (9.0 * d).sqrt();
        loop {
            let z = self.normal();
            let root = 1.0 + c * z;
            if root <= 0.0 {
                continue;
            }
            let v = root * root * root;
            let log_uniform = -self.exponential();
            if log_uniform < 0.5 * z * z + d - d * v + d * libm::log(v) {
                return d * v;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const COUNT: u32 = 40_000;

    /// Mean and variance lie within five standard errors of what they should be.
    #[track_caller]
    fn check(mut draw: impl FnMut() -> f64, mean: f64, variance: f64, fourth_moment: f64) {
        let count = f64::from(COUNT);
        let drawn: Vec<f64> = (0..COUNT).map(|_| draw()).collect();
        let found = drawn.iter().sum::<f64>() / count;
        let spread = drawn.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / count;
        assert!((found - mean).abs() < 5.0 * (variance / count).sqrt());
        let error = ((fourth_moment - variance * variance) / count).sqrt();
        assert!((spread - variance).abs() < 5.0 * error, "{spread}");
    }

    #[test]
    fn draws_follow_their_distributions() {
        let mut draws = Draws::new(7, 0);
        // Fourth central moments: exponential 9; gamma 3 k (k + 2).
        check(|| draws.exponential(), 1.0, 1.0, 9.0);
        for shape in [0.5, 1.0, 12.5] {
            check(
                || draws.gamma(shape),
                shape,
                shape,
                3.0 * shape * (shape + 2.0),
            );
        }
    }

    #[test]
    fn every_place_is_as_likely() {
        let mut draws = Draws::new(3, 1);
        let mut counts = [0_i32; 7];
        for _ in 0..70_000 {
            counts[draws.place(7)] += 1;
        }
        // Binomial with standard deviation 92.6.
        assert!(
            counts.iter().all(|count| (count - 10_000).abs() < 465),
            "{counts:?}"
        );
        assert_eq!(draws.place(0), 0);
    }

    #[test]
    fn streams_and_seeds_differ_and_repeat() {
        let first = |seed, stream| Draws::new(seed, stream).uniform().to_bits();
        assert_eq!(first(1, 0), first(1, 0));
        assert_ne!(first(1, 0), first(1, 1));
        assert_ne!(first(1, 0), first(2, 0));
    }
}
