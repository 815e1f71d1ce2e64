//! Chance from a seed: the same seed gives the same order, so that what was poured can be reckoned again.

/// Whole numbers that look like chance, from a seed: SplitMix64 (Steele, Lea and Flood, Fast splittable pseudorandom number
/// generators, 2014; its constants from memory). Good for shuffling glasses, no good for secrets.
pub struct Chance(u64);

impl Chance {
    /// Begins at a seed.
    pub fn of(seed: u64) -> Chance {
        Chance(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// A whole number below `end`, each as likely as any other; 0 for an `end` of 0.
    pub fn below(&mut self, end: usize) -> usize {
        let Some(end) = u64::try_from(end).ok().filter(|end| *end > 0) else {
            return 0;
        };
        // What does not fill a whole round is drawn again.
        let whole = u64::MAX - u64::MAX % end;
        loop {
            let drawn = self.next();
            if drawn < whole {
                return usize::try_from(drawn % end).unwrap_or(0);
            }
        }
    }

    /// Puts things into an order of chance.
    pub fn shuffle<T>(&mut self, things: &mut [T]) {
        for last in (1..things.len()).rev() {
            things.swap(last, self.below(last + 1));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first numbers from this seed, as they are published with the generator (from memory; what the constants give).
    #[test]
    fn it_is_the_generator_that_it_says() {
        let mut chance = Chance::of(1_234_567);
        let drawn: Vec<u64> = (0..5).map(|_| chance.next()).collect();
        assert_eq!(
            drawn,
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
    fn below_nothing_there_is_nothing() {
        assert_eq!(Chance::of(1).below(0), 0);
        assert_eq!(Chance::of(1).below(1), 0);
    }
}
