//! Pseudo-random numbers from a fixed seed: the same search on every machine.

/// A generator of the splitmix family.
#[derive(Clone, Debug)]
pub(super) struct Random(u64);

impl Random {
    pub(super) fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(super) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number below `bound` (0 if `bound` is 0).
    pub(super) fn below(&mut self, bound: usize) -> usize {
        if bound == 0 {
            return 0;
        }
        usize::try_from(self.next() % (bound as u64)).unwrap_or(0)
    }

    /// A number in [0, 1).
    pub(super) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number in [low, high).
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// True in `part` of `whole` cases.
    pub(super) fn chance(&mut self, part: usize, whole: usize) -> bool {
        self.below(whole) < part
    }

    pub(super) fn sign(&mut self) -> f64 {
        if self.chance(1, 2) { 1.0 } else { -1.0 }
    }

    /// One of the items.
    pub(super) fn pick<T: Copy>(&mut self, items: &[T]) -> Option<T> {
        items.get(self.below(items.len())).copied()
    }
}
