//! The trees, machines and shared files inside the program; they go by name (`tern/no-lift-no-tilt`).

use include_dir::{Dir, DirEntry, include_dir};

use crate::diag::{Files, Source, SourceError, Sources};

static TREES: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/trees");

/// Prefix of the names that shipped files have, so that a path on disk is never mistaken for one; a folder of its own, so
/// that names in the files are resolved inside it when a job is replayed from the texts it carries.
const PREFIX: &str = "shipped:/";

/// The texts inside the program.
#[derive(Debug, Clone, Copy, Default)]
pub struct Shipped;

impl Shipped {
    /// The shipped file that people mean by this name: `tern/no-lift-no-tilt`, with or without `.yaml` or a leading
    /// `trees/`.
    #[must_use]
    pub fn named(name: &str) -> Option<Source> {
        let bare = name.strip_prefix(PREFIX).unwrap_or(name);
        let bare = bare.strip_prefix("trees/").unwrap_or(bare);
        let bare = bare.strip_suffix(".yaml").unwrap_or(bare);
        let file = TREES.get_file(format!("{bare}.yaml"))?;
        Some(Source::new(format!("{PREFIX}{bare}.yaml"), file.contents_utf8()?))
    }

    /// Every shipped YAML file by the name people use, sorted.
    #[must_use]
    pub fn names() -> Vec<String> {
        let mut names = Vec::new();
        collect(&TREES, &mut names);
        names.sort();
        names
    }

    /// True if this source came from inside the program.
    #[must_use]
    pub fn is_shipped(source: &Source) -> bool {
        source.name.starts_with(PREFIX)
    }

    /// The guide for authors.
    #[must_use]
    pub fn guide() -> &'static str {
        TREES.get_file("README.md").and_then(|f| f.contents_utf8()).unwrap_or_default()
    }
}

impl Sources for Shipped {
    fn fetch(&self, from: &str, wanted: &str) -> Result<Source, SourceError> {
        let from = from.strip_prefix(PREFIX).unwrap_or(from);
        let name = Files::resolve(from, wanted);
        Self::named(&name).ok_or(SourceError::Missing { name })
    }
}

fn collect(dir: &Dir<'static>, names: &mut Vec<String>) {
    for entry in dir.entries() {
        match entry {
            DirEntry::Dir(inner) => collect(inner, names),
            DirEntry::File(file) => {
                let path = file.path().to_string_lossy().replace('\\', "/");
                names.extend(path.strip_suffix(".yaml").map(str::to_owned));
            }
        }
    }
}
