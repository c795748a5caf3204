//! A seeded source of chance: the same seed, the same machine, the same readings.
//!
//! `SplitMix64` (Steele, Lea, Flood 2014, "Fast splittable pseudorandom number generators"; constants from memory).

/// A seeded source of chance.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dice(u64);

impl Dice {
    /// From a seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Another source, that has nothing to do with what this one gives from here on.
    #[must_use]
    pub fn apart(&mut self) -> Self {
        Self(self.next())
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly from 0 up to, but without, 1.
    #[allow(clippy::cast_precision_loss)] // 53 bits are just what a double holds
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly between two numbers.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// True with this probability.
    pub fn happens(&mut self, probability: f64) -> bool {
        self.share() < probability
    }

    /// One of so many, from 0; 0 of none.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)] // small counts
    pub fn one_of(&mut self, count: usize) -> usize {
        ((self.share() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// One of the weights, each as likely as it is heavy; `None` if nothing weighs anything.
    pub fn weighed(&mut self, weights: impl Iterator<Item = f64> + Clone) -> Option<usize> {
        let total: f64 = weights.clone().sum();
        let mut left = self.share() * total;
        let mut last = None;
        for (at, weight) in weights.enumerate().filter(|(_, weight)| *weight > 0.0) {
            last = Some(at);
            if left < weight {
                return last;
            }
            left -= weight;
        }
        last
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // First outputs for seed 1234567, as printed by the reference code of Vigna (from memory).
    #[test]
    fn the_generator_is_splitmix64() {
        let mut dice = Dice::new(1_234_567);
        assert_eq!(
            [dice.next(), dice.next(), dice.next()],
            [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]
        );
    }

    #[test]
    fn what_weighs_nothing_is_never_taken() {
        let mut dice = Dice::new(1);
        let mut counts = [0_u32; 3];
        for _ in 0..4000 {
            counts[dice.weighed([1.0, 0.0, 3.0].into_iter()).expect("something weighs")] += 1;
        }
        assert_eq!(counts[1], 0);
        // Binomial(4000, 1/4): mean 1000, standard deviation 27.
        assert!((890..1110).contains(&counts[0]), "{counts:?}");
        assert_eq!(dice.weighed([0.0, 0.0].into_iter()), None);
    }
}
