//! A small pseudo-random generator with a fixed start, so that the same plan is always laid the same way.

/// Marsaglia's xorshift with 64 bits (Journal of Statistical Software 8 (14), 2003; shifts from memory).
#[derive(Clone, Debug)]
pub(super) struct Random(u64);

impl Random {
    pub(super) fn new(seed: u64) -> Self {
        // Any start but 0 will do; the multiplier spreads small seeds over all bits.
        Self((seed.wrapping_add(1)).wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }
    pub(super) fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }
    /// A whole number below `n`; 0 where `n` is 0.
    pub(super) fn below(&mut self, n: usize) -> usize {
        if n == 0 {
            return 0;
        }
        ((self.next() >> 32) as usize * n) >> 32
    }
    /// A number in [0, 1).
    pub(super) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }
}
