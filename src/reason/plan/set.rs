//! A set of suspect groups as a fixed row of bits, so that splitting a set is a handful of ANDs.
//!
//! `W` words hold up to 64·W groups; the planner picks the narrowest width that fits.

/// A set of up to `64 * W` suspect groups.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct Set<const W: usize>([u64; W]);

impl<const W: usize> Set<W> {
    pub(super) const EMPTY: Self = Self([0; W]);

    /// The groups `0..count`.
    pub(super) fn first(count: usize) -> Self {
        let mut set = Self::EMPTY;
        (0..count).for_each(|group| set.insert(group));
        set
    }

    pub(super) fn insert(&mut self, group: usize) {
        self.0[group / 64] |= 1 << (group % 64);
    }

    pub(super) fn and(self, other: Self) -> Self {
        let mut words = self.0;
        for (word, mask) in words.iter_mut().zip(other.0) {
            *word &= mask;
        }
        Self(words)
    }

    pub(super) fn or(self, other: Self) -> Self {
        let mut words = self.0;
        for (word, more) in words.iter_mut().zip(other.0) {
            *word |= more;
        }
        Self(words)
    }

    pub(super) fn is_empty(self) -> bool {
        self.0.iter().all(|word| *word == 0)
    }

    pub(super) fn within(self, other: Self) -> bool {
        self.and(other) == self
    }

    pub(super) fn is_single(self) -> bool {
        self.len() == 1
    }

    pub(super) fn len(self) -> u32 {
        self.0.iter().map(|word| word.count_ones()).sum()
    }

    /// The lowest group in the set, if there is one.
    pub(super) fn lowest(self) -> Option<usize> {
        let at = self.0.iter().position(|word| *word != 0)?;
        Some(at * 64 + self.0[at].trailing_zeros() as usize)
    }

    pub(super) fn groups(self) -> impl Iterator<Item = usize> {
        self.0.into_iter().enumerate().flat_map(|(at, word)| {
            let mut left = word;
            std::iter::from_fn(move || {
                let bit = (left != 0).then(|| left.trailing_zeros() as usize)?;
                left &= left - 1;
                Some(at * 64 + bit)
            })
        })
    }

    /// The words, lowest first.
    pub(super) fn words(self) -> impl Iterator<Item = u64> {
        self.0.into_iter()
    }

    /// The first word as a table index; the whole set when `W` is 1.
    pub(super) fn index(self) -> usize {
        usize::try_from(self.0[0]).unwrap_or(usize::MAX)
    }
}

#[cfg(test)]
mod tests {
    use super::Set;

    #[test]
    fn groups_come_back_in_order_across_words() {
        let mut set = Set::<2>::EMPTY;
        for group in [127, 3, 64, 0] {
            set.insert(group);
        }
        assert_eq!(set.groups().collect::<Vec<_>>(), [0, 3, 64, 127]);
        assert_eq!((set.len(), set.lowest()), (4, Some(0)));
        assert!(set.within(Set::first(128)) && !set.is_empty());
        assert_eq!(Set::<2>::EMPTY.lowest(), None);
    }
}
