//! A small deterministic random generator: the same numbers on every run and machine.
//!
//! SplitMix64: G. L. Steele, D. Lea and C. H. Flood, Fast splittable
//! pseudorandom number generators, OOPSLA 2014, with the constants of S. Vigna's
//! public-domain `splitmix64.c`. It is far too weak for secrets, and good enough for
//! a survey's errors.

/// The golden ratio's fraction in 64 bits, the step of the counter.
const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;

/// A stream of pseudorandom numbers.
///
/// # Examples
/// ```
/// use ovalpeg_tests::random::Random;
/// let (mut one, mut two) = (Random::new(7), Random::new(7));
/// assert_eq!(one.normal().to_bits(), two.normal().to_bits());
/// ```
#[derive(Debug, Clone)]
pub struct Random {
    state: u64,
    /// The second normal number of a pair, kept for the next call.
    spare: Option<f64>,
}

impl Random {
    /// The stream of a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self { state: seed, spare: None }
    }

    /// A separate stream for each name under one seed, so that adding a stream does not change the numbers of
    /// the others.
    ///
    /// The name is folded in by FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo).
    #[must_use]
    pub fn named(seed: u64, name: &str) -> Self {
        let folded = name
            .bytes()
            .fold(0xcbf2_9ce4_8422_2325u64, |h, b| (h ^ u64::from(b)).wrapping_mul(0x0000_0100_0000_01b3));
        // One step of the generator mixes the bits.
        let mut mixed = Self::new(seed ^ folded);
        Self::new(mixed.next_u64())
    }

    /// The next 64 bits.
    pub fn next_u64(&mut self) -> u64 {
        self.state = self.state.wrapping_add(GOLDEN);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Uniform in [0, 1), on the 2⁵³ multiples of 2⁻⁵³.
    pub fn uniform(&mut self) -> f64 {
        // 53 bits, so the cast is exact.
        (self.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Uniform from `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// A whole number below `n`, all equally likely; 0 where `n` is 0.
    pub fn below(&mut self, n: usize) -> usize {
        // For `n` up to some thousands, 2⁵³ steps make the probabilities equal to a part in 10⁹.
        ((self.uniform() * n as f64) as usize).min(n.saturating_sub(1))
    }

    /// Standard normal.
    ///
    /// The polar method (G. Marsaglia and T. A. Bray, A convenient method for
    /// generating normal variables, SIAM Review 6, 1964). Whether a pair is rejected
    /// depends on exact additions and multiplications, so every machine uses the same
    /// number of draws; only the last bits of the logarithm may differ.
    pub fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let (u, v) = (2.0 * self.uniform() - 1.0, 2.0 * self.uniform() - 1.0);
            let s = u * u + v * v;
            if s > 0.0 && s < 1.0 {
                let k = (-2.0 * s.ln() / s).sqrt();
                self.spare = Some(v * k);
                return u * k;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn follows_the_reference_program() {
        // First outputs of Vigna's splitmix64.c for the seed 1234567.
        let mut r = Random::new(1_234_567);
        let got: Vec<u64> = (0..5).map(|_| r.next_u64()).collect();
        assert_eq!(
            got,
            [
                6_457_827_717_110_365_317,
                3_203_168_211_198_807_973,
                9_817_491_932_198_370_423,
                4_593_380_528_125_082_431,
                16_408_922_859_458_223_821,
            ]
        );
    }

    #[test]
    fn normal_deviates_have_the_moments_of_the_normal() {
        let n = 200_000;
        let mut r = Random::new(1);
        let (mut m1, mut m2, mut m4, mut tail) = (0.0, 0.0, 0.0, 0u32);
        for _ in 0..n {
            let x = r.normal();
            m1 += x;
            m2 += x * x;
            m4 += x.powi(4);
            tail += u32::from(x.abs() > 1.959_964);
        }
        let n = f64::from(n);
        // Five standard errors each: 1/√n, √(2/n), √(96/n), √(0.05·0.95/n).
        assert!((m1 / n).abs() < 5.0 * n.powf(-0.5));
        assert!((m2 / n - 1.0).abs() < 5.0 * (2.0 / n).sqrt());
        assert!((m4 / n - 3.0).abs() < 5.0 * (96.0 / n).sqrt());
        assert!((f64::from(tail) / n - 0.05).abs() < 5.0 * (0.0475 / n).sqrt());
    }

    #[test]
    fn uniform_deviates_fill_the_unit_interval_evenly() {
        let mut r = Random::new(2);
        let mut bins = [0u32; 10];
        for _ in 0..100_000 {
            bins[(r.uniform() * 10.0) as usize] += 1;
        }
        // Chi-square with 9 degrees of freedom: 27.9 is one chance in a thousand.
        let chi: f64 = bins.iter().map(|&b| (f64::from(b) - 1e4).powi(2) / 1e4).sum();
        assert!(chi < 27.9, "{chi}");
    }

    #[test]
    fn whole_numbers_below_a_limit_are_all_drawn_as_often() {
        let mut r = Random::new(3);
        let mut seen = [0u32; 7];
        for _ in 0..70_000 {
            seen[r.below(7)] += 1;
        }
        // Chi-square with 6 degrees of freedom: 22.5 is one chance in a thousand.
        let chi: f64 = seen.iter().map(|&b| (f64::from(b) - 1e4).powi(2) / 1e4).sum();
        assert!(chi < 22.5, "{chi}");
        assert_eq!((r.below(1), r.below(0)), (0, 0));
        assert!((0..1000).all(|_| (-2.0..3.5).contains(&r.between(-2.0, 3.5))));
    }

    #[test]
    fn names_open_different_streams() {
        let first = |name: &str| Random::named(5, name).next_u64();
        assert_ne!(first("line"), first("posts"));
        assert_eq!(first("line"), first("line"));
    }
}
