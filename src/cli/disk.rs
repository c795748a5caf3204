//! Trees and machine files on disk: read within bounds, or by name from inside the program.
//!
//! A file that another file names must lie, links followed, inside the root: by default the parent of the folder that
//! the tree lies in. A path wins over a shipped name.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use clap::Args;

use super::failure::Failure;
use crate::diag::{Files, Limits, Source, SourceError, Sources};
use crate::tree::Shipped;

/// The option of every command that reads trees or machines.
#[derive(Debug, Clone, Default, Args)]
pub(super) struct Root {
    /// The folder that bounds where files may name other files [default: the parent of the file's folder]
    #[arg(long, value_name = "DIR")]
    root: Option<PathBuf>,
}

/// A file to begin with, and where it gets the files it names.
pub(super) struct Opened {
    pub(super) source: Source,
    pub(super) sources: Box<dyn Sources>,
}

impl Root {
    /// Opens a tree, machine or shared file by path or shipped name; `-` is standard input, which names no other files.
    pub(super) fn open(&self, name: &str) -> Result<Opened, Failure> {
        if name == "-" {
            let text = read_text(&mut std::io::stdin().lock(), "standard input")?;
            return Ok(Opened { source: Source::new("-", text), sources: Box::new(()) });
        }
        let path = Path::new(name);
        if !path.exists() {
            return match Shipped::named(name) {
                Some(source) => Ok(Opened { source, sources: Box::new(Shipped) }),
                None => Err(Failure::file(format!("there is no file and no shipped tree `{name}`"))
                    .hint("give a path, or the name of a shipped tree such as tern/no-lift-no-tilt")),
            };
        }
        let text = read_file(path).map_err(Failure::file)?;
        let sources = Box::new(DiskSources { root: self.bound(path)? });
        Ok(Opened { source: Source::new(name, text), sources })
    }

    fn bound(&self, path: &Path) -> Result<PathBuf, Failure> {
        let folder = if let Some(root) = &self.root {
            root.clone()
        } else {
            let file = path.canonicalize().map_err(|e| Failure::file(format!("{}: {e}", path.display())))?;
            let folder = file.parent().unwrap_or(Path::new("/"));
            folder.parent().unwrap_or(folder).to_owned()
        };
        folder.canonicalize().map_err(|e| Failure::file(format!("{}: {e}", folder.display())))
    }
}

/// The disk, as far as the root.
struct DiskSources {
    root: PathBuf,
}

impl Sources for DiskSources {
    fn fetch(&self, from: &str, wanted: &str) -> Result<Source, SourceError> {
        let name = Files::resolve(from, wanted);
        let missing = |_| SourceError::Missing { name: name.clone() };
        let real = Path::new(&name).canonicalize().map_err(missing)?;
        if !real.starts_with(&self.root) {
            let root = self.root.display().to_string();
            return Err(SourceError::Outside { name: wanted.to_owned(), root });
        }
        match read_file(&real) {
            Ok(text) => Ok(Source::new(name, text)),
            Err(reason) => Err(SourceError::Unreadable { name, reason }),
        }
    }
}

/// The text of a file, or one line that says why not.
fn read_file(path: &Path) -> Result<String, String> {
    let shown = path.display();
    let about = std::fs::metadata(path).map_err(|e| format!("{shown}: {e}"))?;
    if about.is_dir() {
        return Err(format!("{shown} is a folder, not a file"));
    }
    if !about.is_file() {
        return Err(format!("{shown} is not a plain file"));
    }
    let limit = Limits::default().bytes;
    if about.len() > limit as u64 {
        return Err(format!("{shown} has {} bytes; at most {limit} are read", about.len()));
    }
    let mut file = File::open(path).map_err(|e| format!("{shown}: {e}"))?;
    read_text(&mut file, &shown.to_string()).map_err(|f| format!("{:#}", f.cause))
}

fn read_text(from: &mut dyn Read, shown: &str) -> Result<String, Failure> {
    let limit = Limits::default().bytes;
    let mut bytes = Vec::new();
    from.take(limit as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| Failure::file(format!("{shown}: {e}")))?;
    if bytes.len() > limit {
        return Err(Failure::file(format!("{shown} has more than {limit} bytes")));
    }
    String::from_utf8(bytes).map_err(|e| {
        Failure::file(format!("{shown} is not UTF-8 text (byte {})", e.utf8_error().valid_up_to()))
    })
}

/// The text of an answers file or the like; `-` is standard input.
pub(super) fn read_any(path: &Path) -> Result<Source, Failure> {
    if path == Path::new("-") {
        return Ok(Source::new("-", read_text(&mut std::io::stdin().lock(), "standard input")?));
    }
    let text = read_file(path).map_err(Failure::file)?;
    Ok(Source::new(path.display().to_string(), text))
}
