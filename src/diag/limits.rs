//! How large a file may be, and what is said of one that is larger.

use super::glance::Rows;
use super::place::Place;
use super::problem::Problems;

/// How large a file may be.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Most bytes.
    pub bytes: usize,
    /// Deepest nesting of lists and maps.
    pub depth: usize,
    /// Most nodes (keys and values).
    pub nodes: usize,
    /// Entries of which there may be only so many.
    pub rows: Option<Rows>,
}

impl Limits {
    /// What any file may have, and a tree together with the files that it uses.
    pub const OF_A_FILE: Self = Self { bytes: 64 << 20, depth: 64, nodes: 5_000_000, rows: None };
}

impl Default for Limits {
    fn default() -> Self {
        Self::OF_A_FILE
    }
}

/// A limit that was passed: as much as there may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// Bytes, or keys and values, of a file with those that it uses.
    Together,
    /// Lists and maps in one another.
    Depth(usize),
    /// Keys and values.
    Nodes(usize),
    /// Entries as [`Limits::rows`] names them.
    Entries {
        /// So many may be there.
        most: usize,
        /// What they are called.
        under: &'static str,
    },
    /// The same, once they are written out.
    WrittenOut {
        /// So many may be there.
        most: usize,
        /// What they are called.
        under: &'static str,
        /// What is written out.
        groups: &'static str,
    },
}

impl Limit {
    /// What is wrong where it is passed.
    #[must_use]
    pub fn wrong(&self) -> String {
        match self {
            Self::Together => {
                let Limits { bytes, nodes, .. } = Limits::OF_A_FILE;
                format!("with the files before it this is more than {} MiB or {nodes} values", bytes >> 20)
            }
            Self::Depth(most) => format!("lists and maps lie more than {most} deep here"),
            Self::Nodes(most) => format!("the file has more than {most} values; here is the first beyond"),
            Self::Entries { most, under } => {
                format!("there are more than {most} {under}; here is the first beyond")
            }
            Self::WrittenOut { most, under, groups } => {
                format!("there are more than {most} {under}, {groups} written out")
            }
        }
    }

    /// What to write instead.
    #[must_use]
    pub const fn write(&self) -> &'static str {
        match self {
            Self::Depth(_) => "a flatter form",
            _ => "several smaller files",
        }
    }

    /// Tells that it was passed, where.
    pub fn refuse(&self, place: Place, problems: &mut Problems) {
        self.refuse_as(self.wrong(), place, problems);
    }

    /// The same in other words.
    pub fn refuse_as(&self, wrong: String, place: Place, problems: &mut Problems) {
        match self {
            Self::Depth(_) => problems.refuse("too-deep", place).says(
                wrong,
                "No step needs this; reading on would only cost time.",
                self.write(),
            ),
            _ => problems.refuse("too-large", place).says(
                wrong,
                "A file of this size is no tree; reading it would hold the laptop up.",
                self.write(),
            ),
        }
    }
}
