//! A small seeded mutator: pieces cut out, doubled, moved, put in from another seed, and bytes altered.

/// Pieces that are likely to matter to one of the readers.
const PIECES: [&str; 28] = [
    "0",
    "-1",
    "1e400",
    "1e-400",
    "NaN",
    "99999999999999999999",
    "OL",
    "{",
    "}",
    "[",
    "]",
    ": ",
    "- ",
    "\"",
    "'",
    "\n",
    "\t",
    "&a ",
    "*a",
    "!!x ",
    "<<: ",
    "\u{1b}[31m",
    "\u{202e}",
    "\u{0}",
    "\u{feff}",
    "~",
    "V",
    "again",
];

/// Makes new bytes out of seeds; the same seed makes the same bytes.
pub(super) struct Mutator {
    state: u64,
    seeds: Vec<Vec<u8>>,
}

impl Mutator {
    pub(super) fn new(seed: u64, seeds: Vec<Vec<u8>>) -> Self {
        Self { state: seed, seeds }
    }

    /// A number below `limit`, by splitmix64 (Steele, Lea & Flood 2014).
    fn below(&mut self, limit: usize) -> usize {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((z ^ (z >> 31)) >> 33).expect("31 bits") % limit.max(1)
    }

    pub(super) fn next(&mut self) -> Vec<u8> {
        let chosen = self.below(self.seeds.len());
        let mut bytes = self.seeds[chosen].clone();
        for _ in 0..=self.below(4) {
            self.alter(&mut bytes);
        }
        bytes
    }

    fn range(&mut self, length: usize, most: usize) -> std::ops::Range<usize> {
        let start = self.below(length + 1);
        start..(start + self.below(most)).min(length)
    }

    fn alter(&mut self, bytes: &mut Vec<u8>) {
        let at = self.range(bytes.len(), 40);
        match self.below(6) {
            0 => drop(bytes.drain(at)),
            1 => {
                let piece = PIECES[self.below(PIECES.len())];
                bytes.splice(at, piece.bytes());
            }
            2 => {
                let doubled = bytes[at.clone()].to_vec();
                bytes.splice(at.start..at.start, doubled);
            }
            3 => {
                let other = self.below(self.seeds.len());
                let from = self.range(self.seeds[other].len(), 200);
                let piece = self.seeds[other][from].to_vec();
                bytes.splice(at, piece);
            }
            4 => {
                let value = u8::try_from(self.below(256)).expect("a byte");
                if let Some(byte) = bytes.get_mut(at.start) {
                    *byte = value;
                }
            }
            _ => self.swap_lines(bytes),
        }
    }

    fn swap_lines(&mut self, bytes: &mut Vec<u8>) {
        let mut lines: Vec<Vec<u8>> = bytes.split(|b| *b == b'\n').map(<[u8]>::to_vec).collect();
        let (a, b) = (self.below(lines.len()), self.below(lines.len()));
        lines.swap(a, b);
        *bytes = lines.join(&b'\n');
    }
}
