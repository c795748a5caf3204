//! Which power a setup has, as files write it.
//!
//! Isolated: the isolator open, the source still on its own side. Off, live, running: the key state
//! that the map allows, running at charging volts.

pub(super) use crate::safety::Power;

/// Every power with the word that files use.
pub(super) const POWERS: [(&str, Power); 4] =
    [("off", Power::Off), ("isolated", Power::Isolated), ("live", Power::Live), ("running", Power::Running)];

/// The power's word in files and in JSON.
#[must_use]
pub fn power_word(power: Power) -> &'static str {
    POWERS.iter().find(|(_, p)| *p == power).map_or("", |(word, _)| word)
}

/// The power of this word.
#[must_use]
pub fn power_named(word: &str) -> Option<Power> {
    POWERS.iter().find(|(w, _)| *w == word).map(|(_, power)| *power)
}

/// True if what needs one power works at another: what needs the key on works with the engine
/// running too.
#[must_use]
pub(super) fn serves(at: Power, needed: Power) -> bool {
    let rank = |power| match power {
        Power::Isolated => 0,
        Power::Off => 1,
        Power::Live => 2,
        Power::Running => 3,
    };
    rank(at) >= rank(needed)
}
