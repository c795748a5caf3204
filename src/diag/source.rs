//! The texts a tree is made of, each under a small number, and the door through which more are asked for.
//!
//! Loaders never open a file: they ask a [`Sources`] for a name as another file writes it.

use std::sync::Arc;

use super::glance::{Blocks, blocks_of};

/// Number of a file within one [`Files`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub struct FileId(pub u16);

/// One text with the name it is known by (a path as the author wrote it, or a shipped tree's name).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Name for people; also what relative names are resolved against.
    pub name: String,
    /// The whole text. Shared as it was read: another copy of a large one takes as long as reading it.
    pub text: Arc<String>,
}

impl Source {
    /// Makes a source from a name and its text.
    #[must_use]
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self { name: name.into(), text: Arc::new(text.into()) }
    }
}

/// Why a file that another file names could not be had.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SourceError {
    /// Nothing is there under that name.
    #[error("there is no file `{name}`")]
    Missing {
        /// The name as resolved.
        name: String,
    },
    /// The name leads out of the folder that bounds this tree.
    #[error("`{name}` lies outside the folder `{root}`")]
    Outside {
        /// The name as written.
        name: String,
        /// The bounding folder.
        root: String,
    },
    /// It is there and cannot be read as text.
    #[error("`{name}` cannot be read: {reason}")]
    Unreadable {
        /// The name as resolved.
        name: String,
        /// The system's reason, or "it is not UTF-8 text", "it is a folder", "it is larger than 64 MiB".
        reason: String,
    },
}

/// Where loaders get the files that a file names.
pub trait Sources {
    /// The text of `wanted` as written inside the file called `from`.
    ///
    /// # Errors
    /// When it is missing, out of bounds or not text.
    fn fetch(&self, from: &str, wanted: &str) -> Result<Source, SourceError>;

    /// Has somebody go over the same text block by block; where it lies on a disk, it need not be taken in for that.
    ///
    /// # Errors
    /// As when it is fetched.
    fn skim(
        &self,
        from: &str,
        wanted: &str,
        reader: &mut dyn FnMut(&mut Blocks<'_>),
    ) -> Result<(), SourceError> {
        let source = self.fetch(from, wanted)?;
        reader(&mut blocks_of(&source.text));
        Ok(())
    }
}

/// No other files: for a tree that must stand alone.
impl Sources for () {
    fn fetch(&self, _from: &str, wanted: &str) -> Result<Source, SourceError> {
        Err(SourceError::Missing { name: wanted.to_owned() })
    }
}

/// A fixed set of texts by name, for tests and for jobs that carry their texts inside.
/// Relative names are resolved against the folder of the file that names them.
impl Sources for Vec<Source> {
    fn fetch(&self, from: &str, wanted: &str) -> Result<Source, SourceError> {
        let name = resolve(from, wanted);
        self.iter().find(|s| s.name == name).cloned().ok_or(SourceError::Missing { name })
    }
}

/// The name `wanted` means inside the file `from`: `..` and `.` folded, separators as `/`.
#[must_use]
pub(super) fn resolve(from: &str, wanted: &str) -> String {
    let folder = from.rsplit_once('/').map_or("", |(folder, _)| folder);
    let mut parts: Vec<&str> = if wanted.starts_with('/') { Vec::new() } else { folder.split('/').collect() };
    if parts == [""] && !folder.starts_with('/') {
        parts.clear();
    }
    for part in wanted.split('/') {
        match part {
            "" | "." => {}
            ".." if parts.last().is_some_and(|p| !p.is_empty() && *p != "..") => {
                parts.pop();
            }
            other => parts.push(other),
        }
    }
    let joined = parts.join("/");
    if wanted.starts_with('/') { format!("/{joined}") } else { joined }
}

/// The texts read so far, in the order in which they were read.
#[derive(Debug, Clone, Default)]
pub struct Files {
    list: Vec<Source>,
}

impl Files {
    /// Adds a text and says its number.
    pub fn add(&mut self, source: Source) -> FileId {
        let id = FileId(u16::try_from(self.list.len()).unwrap_or(u16::MAX));
        self.list.push(source);
        id
    }

    /// The text under this number.
    #[must_use]
    pub fn get(&self, id: FileId) -> Option<&Source> {
        self.list.get(usize::from(id.0))
    }

    /// The number of the text with this name.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<FileId> {
        let at = self.list.iter().position(|s| s.name == name)?;
        u16::try_from(at).ok().map(FileId)
    }

    /// All texts with their numbers.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &Source)> {
        self.list.iter().enumerate().filter_map(|(at, s)| Some((FileId(u16::try_from(at).ok()?), s)))
    }

    /// The name of the file that `wanted` means inside `from`.
    #[must_use]
    pub fn resolve(from: &str, wanted: &str) -> String {
        resolve(from, wanted)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_relative_to_the_file_that_names_them() {
        assert_eq!(resolve("trees/tern/no-lift.yaml", "machine.yaml"), "trees/tern/machine.yaml");
        assert_eq!(resolve("trees/tern/no-lift.yaml", "../common/safe.yaml"), "trees/common/safe.yaml");
        assert_eq!(resolve("no-lift.yaml", "../x.yaml"), "../x.yaml");
        assert_eq!(resolve("/a/b.yaml", "c.yaml"), "/a/c.yaml");
        assert_eq!(resolve("a/b.yaml", "/c.yaml"), "/c.yaml");
    }
}
