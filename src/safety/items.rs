//! What an item is, and the sources that items name.
//!
//! An item is a state one can look at, never an instruction.
//!
//! The wordings are the project's own. The rule cited most, 29 CFR 1910.147, does not cover field
//! machines as law ((a)(1)(ii)(A)); it is taken as a pattern. "(from memory)" marks a source that was
//! not at hand when this was written, "(title)" one of which the title only was; "common practice" is
//! the trade's own and has no source.

use super::words::Words;

/// How an item is confirmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Confirm {
    /// By its digit, once it was seen.
    Seen,
    /// By its digit, once it was said to the other people here; always shown in both languages.
    SaidToOthers,
    /// By a typed reading.
    Typed(Shown),
}

/// Which of the three readings live–dead–live is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Shown {
    /// The meter on a known source, before.
    SourceBefore,
    /// The point, dead.
    Dead,
    /// The meter on the same source again.
    SourceAfter,
}

/// One thing to confirm at a gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Item {
    /// The state to look at.
    pub words: Words,
    /// How it is confirmed.
    pub confirm: Confirm,
    /// Where it is from.
    pub source: &'static str,
}

pub(super) const fn seen(words: Words, source: &'static str) -> Item {
    Item { words, confirm: Confirm::Seen, source }
}

pub(super) const fn said(words: Words, source: &'static str) -> Item {
    Item { words, confirm: Confirm::SaidToOthers, source }
}

pub(super) const fn typed(shown: Shown, words: Words, source: &'static str) -> Item {
    Item { words, confirm: Confirm::Typed(shown), source }
}

pub(super) const PRACTICE: &str = "common practice";
pub(super) const NOTIFY: &str = "29 CFR 1910.147(c)(9) (from memory)";
pub(super) const SHUT_DOWN: &str = "29 CFR 1910.147(d)(2)";
pub(super) const ISOLATE: &str = "29 CFR 1910.147(d)(3)";
pub(super) const LOCK: &str = "29 CFR 1910.147(d)(4)";
pub(super) const STORED: &str = "29 CFR 1910.147(d)(5)";
pub(super) const VERIFY: &str = "29 CFR 1910.147(d)(6)";
pub(super) const INSPECT: &str = "29 CFR 1910.147(e)(1)";
pub(super) const PEOPLE_CLEAR: &str = "29 CFR 1910.147(e)(2)";
pub(super) const LOCK_OFF: &str = "29 CFR 1910.147(e)(3)";
pub(super) const TEST_RUN: &str = "29 CFR 1910.147(f)(1)";
pub(super) const GROUP: &str = "29 CFR 1910.147(f)(3)";
pub(super) const LOWERED: &str = "29 CFR 1926.600(a)(3)(i)";
pub(super) const BRAKES: &str = "29 CFR 1926.600(a)(3)(ii)";
pub(super) const BLOCKED: &str = "30 CFR 56/57.14105";
pub(super) const RAISED_PART: &str = "30 CFR 56/57.14211 (from memory)";
pub(super) const START_UP: &str = "ISO 14118:2017 (scope)";
pub(super) const CAB_SUPPORT: &str = "ISO 13333:1994 (title)";
pub(super) const ARM_SUPPORT: &str = "ISO 10533:1993 (title); SAE J38 (paraphrase)";
pub(super) const HYDRAULICS: &str = "MSHA safety alerts: hydraulics alone never hold a load";
