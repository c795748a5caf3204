//! The name of a job, which is also the name of its file.
//!
//! Invariant: a name is one plain component of a path on every system: it starts with a letter or a
//! digit, holds letters, digits, `-`, `_` and `.` only, and is none of the device names that Windows
//! keeps for itself. So no name can leave the jobs folder.

use std::fmt;
use std::str::FromStr;

/// Longest name in bytes; with its endings it stays under the 255 bytes that file systems allow.
const LONGEST: usize = 100;

/// Names that Windows gives to devices, with or without an ending (Microsoft, "Naming Files, Paths,
/// and Namespaces").
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];

/// The name of a job: safe as the name of a file.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct JobName(String);

/// Why a text cannot be the name of a job.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NameError {
    /// Nothing was given.
    #[error("a job needs a name, such as 0318")]
    Empty,
    /// The name is longer than a file's name may be.
    #[error("the job name is {bytes} bytes long; at most {LONGEST} are possible")]
    TooLong {
        /// How long it is.
        bytes: usize,
    },
    /// The first character is neither a letter nor a digit.
    #[error("the job name {name:?} must begin with a letter or a digit")]
    Start {
        /// What was given.
        name: String,
    },
    /// A character that could lead out of the folder, or that a file system refuses.
    #[error("the job name {name:?} holds {found:?}; letters, digits, - _ and . are possible")]
    Character {
        /// What was given.
        name: String,
        /// The first character that cannot stand in it.
        found: char,
    },
    /// The name ends in a full stop, which Windows drops.
    #[error("the job name {name:?} must not end in a full stop")]
    End {
        /// What was given.
        name: String,
    },
    /// The name belongs to a device of Windows.
    #[error("{name:?} is the name of a device on Windows; choose another job name")]
    Device {
        /// What was given.
        name: String,
    },
}

impl JobName {
    /// Takes a text as the name of a job.
    ///
    /// # Errors
    /// Says what is wrong with it; see [`NameError`].
    pub fn new(name: &str) -> Result<Self, NameError> {
        let owned = || name.to_owned();
        let first = name.chars().next().ok_or(NameError::Empty)?;
        if name.len() > LONGEST {
            return Err(NameError::TooLong { bytes: name.len() });
        }
        if let Some(found) = name.chars().find(|c| !c.is_alphanumeric() && !"-_.".contains(*c)) {
            return Err(NameError::Character { name: owned(), found });
        }
        if !first.is_alphanumeric() {
            return Err(NameError::Start { name: owned() });
        }
        if name.ends_with('.') {
            return Err(NameError::End { name: owned() });
        }
        if is_device(name) {
            return Err(NameError::Device { name: owned() });
        }
        Ok(Self(owned()))
    }

    /// The name of the `count`th job of a day, when the mechanic gave none: `2026-03-02-1`.
    #[must_use]
    pub fn of_day(day: jiff::civil::Date, count: u32) -> Self {
        let (year, month, date) = (day.year().unsigned_abs(), day.month(), day.day());
        Self(format!("{year:04}-{month:02}-{date:02}-{count}"))
    }

    /// The name as text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or(name).to_ascii_lowercase();
    let bare = stem.trim_end_matches(|c: char| c.is_ascii_digit());
    let numbered = matches!(bare, "com" | "lpt") && stem.len() == bare.len() + 1;
    DEVICES.contains(&stem.as_str()) && !matches!(bare, "com" | "lpt") || numbered
}

impl FromStr for JobName {
    type Err = NameError;

    fn from_str(name: &str) -> Result<Self, NameError> {
        Self::new(name)
    }
}

impl fmt::Display for JobName {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_people_give_are_taken() {
        for name in ["0318", "4417-lift", "2026-03-02-1", "Müller_7", "a.b", "comet", "com10", "console"] {
            assert_eq!(JobName::new(name).expect("a plain name").as_str(), name);
        }
    }

    #[test]
    fn no_name_leaves_its_folder() {
        for name in
            ["..", ".", ".hidden", "../0318", "a/b", "a\\b", "C:x", "/etc/x", "-rf", "a\0b", "a\nb", "a b"]
        {
            assert!(JobName::new(name).is_err(), "{name:?}");
        }
    }

    #[test]
    fn what_windows_keeps_for_itself_is_refused() {
        for name in ["con", "NUL", "nul.x", "com1", "LPT9.job", "aux", "a."] {
            assert!(JobName::new(name).is_err(), "{name:?}");
        }
    }

    #[test]
    fn the_error_shows_the_character() {
        let error = JobName::new("../0318").expect_err("leads out").to_string();
        assert!(error.contains("'/'") && error.contains("../0318"), "{error}");
        let error = JobName::new(&"x".repeat(101)).expect_err("too long").to_string();
        assert!(error.contains("101") && error.contains("100"), "{error}");
    }

    #[test]
    fn a_day_gives_names_that_are_names() {
        for count in [1, 12] {
            let name = JobName::of_day(jiff::civil::date(2026, 3, 2), count);
            assert_eq!(JobName::new(name.as_str()), Ok(name));
        }
    }
}
