//! Pseudorandom numbers that are the same on every run and machine.
//!
//! SplitMix64: G. L. Steele, D. Lea and C. H. Flood, Fast splittable pseudorandom number generators, OOPSLA
//! 2014, with the constants of S. Vigna's public-domain `splitmix64.c`. The fit uses it, and so do this
//! crate's unit tests: they can't use the generator of the workspace's
//! simulator, which depends on this crate.

/// A stream of pseudorandom numbers.
#[derive(Debug, Clone)]
pub(crate) struct Draws(u64);

impl Draws {
    /// The stream of a seed.
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number below `n`, or 0 where `n` is 0.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        // The remainder is below n, so the casts are exact.
        (self.next() % n.max(1) as u64) as usize
    }
}

#[cfg(test)]
impl Draws {
    /// The stream of one of many seeds. The seed is mixed first,
    /// so that neighbouring seeds do not share a stream.
    pub(crate) fn of_many(seed: u64) -> Self {
        let mut seeded = Self::new(seed);
        seeded.next();
        let here = seeded.0;
        Self::new(here ^ seeded.uniform().to_bits())
    }

    /// Uniform in [0, 1).
    pub(crate) fn uniform(&mut self) -> f64 {
        // 53 bits, so the cast is exact.
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Uniform from `low` to `high`.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// Two independent standard normal numbers (G. E. P. Box and M. E. Muller, A note on the generation of
    /// random normal deviates, 1958).
    pub(crate) fn normals(&mut self) -> [f64; 2] {
        let r = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        let (s, c) = (self.uniform() * std::f64::consts::TAU).sin_cos();
        [r * c, r * s]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn follows_the_reference_program() {
        // First outputs of Vigna's splitmix64.c for the seed 1234567.
        let mut draws = Draws::new(1_234_567);
        let got: Vec<u64> = (0..3).map(|_| draws.next()).collect();
        assert_eq!(got, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
        assert_eq!(draws.below(0), 0);
    }

    #[test]
    fn normal_numbers_have_the_moments_of_the_normal() {
        let n = 50_000;
        let mut draws = Draws::new(1);
        let mut sums = [0.0; 4];
        for _ in 0..n {
            let [x, y] = draws.normals();
            let of = [x + y, x * x + y * y, x * y, x.powi(4) + y.powi(4)];
            sums.iter_mut().zip(of).for_each(|(sum, v)| *sum += v / f64::from(n));
        }
        // Five standard errors of each mean; the standard deviations are √2, √4, 1 and √192.
        let five = 5.0 / f64::from(n).sqrt();
        assert!(sums[0].abs() < five * 2f64.sqrt() && (sums[1] - 2.0).abs() < five * 2.0, "{sums:?}");
        assert!(sums[2].abs() < five && (sums[3] - 6.0).abs() < five * 192f64.sqrt(), "{sums:?}");
    }
}
