//! Reading files from disk: bounded in size, in UTF-8, and, for what a file names, inside one folder.

use std::fs::File;
use std::io::{Read, Seek, Write};
use std::path::{Path, PathBuf};

use crate::diag::{Blocks, Files, Limits, Position, Source, SourceError, Sources};
use crate::tree::{Beyond, Shipped, glance_over};

use super::failure::Failure;

/// The files on disk that a tree may name: those under one folder, links followed first.
#[derive(Debug)]
pub(super) struct Folder {
    root: PathBuf,
}

/// The option of every command that reads trees or machines.
#[derive(Debug, Clone, Default, clap::Args)]
pub(super) struct Root {
    /// Files may name others inside this folder only [default: the parent of the file's folder]
    #[arg(long, value_name = "DIR")]
    root: Option<PathBuf>,
}

/// The form asked for; else that of the ending of the file's name: nobody who writes to `0318.html` wants anything else
/// in it.
pub(super) fn form_of<F: clap::ValueEnum>(asked: Option<F>, output: Option<&Path>, otherwise: F) -> F {
    let ending = output.and_then(Path::extension).and_then(|ending| ending.to_str());
    asked.or_else(|| F::from_str(ending?, true).ok()).unwrap_or(otherwise)
}

impl Root {
    /// Opens a tree, machine or shared file by path or shipped name.
    pub(super) fn open(&self, name: &str) -> Result<Opened, Failure> {
        open(Path::new(name), self.root.as_deref())
    }
}

/// The text of an answers file or the like; `-` is standard input.
pub(super) fn read_any(path: &Path) -> Result<Source, Failure> {
    let shown = path.display();
    let text = if path == Path::new("-") { text_of(&mut std::io::stdin().lock()) } else { read(path) };
    text.map(|text| Source::new(shown.to_string(), text))
        .map_err(|why| Failure::file(format!("{shown}: {why}")))
}

/// Writes a file in one step, so that what was there stays whole until the new one is.
pub(super) fn write_file(file: &Path, bytes: &[u8], force: bool) -> Result<(), Failure> {
    let shown = file.display();
    let folder = file.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let failed = |e: &std::io::Error| Failure::file(format!("{shown} could not be written: {e}"));
    // What takes its place would be a file, and the device or pipe gone.
    if std::fs::metadata(file).is_ok_and(|found| !found.is_file() && !found.is_dir()) {
        return Err(Failure::file(format!("{shown} is no ordinary file"))
            .hint("without `-o` it goes to standard output, and from there anywhere"));
    }
    let mut part = tempfile::NamedTempFile::new_in(folder).map_err(|e| failed(&e))?;
    part.write_all(bytes).and_then(|()| part.as_file().sync_all()).map_err(|e| failed(&e))?;
    if force {
        part.persist(file).map_err(|e| failed(&e.error))?;
        return Ok(());
    }
    part.persist_noclobber(file).map_err(|e| {
        if e.error.kind() == std::io::ErrorKind::AlreadyExists {
            Failure::file(format!("{shown} is there already"))
                .hint("`--force` overwrites it; `-o` takes another name")
        } else {
            failed(&e.error)
        }
    })?;
    Ok(())
}

/// A file to look at, and where the files that it names come from.
pub(super) struct Opened {
    /// The file itself.
    pub(super) source: Source,
    /// What it may name.
    pub(super) sources: Box<dyn Sources>,
}

/// Opens a file by its path, a shipped one by its name, or standard input as `-`.
///
/// `root` bounds where the file may name others; by default the parent of its folder.
pub(super) fn open(given: &Path, root: Option<&Path>) -> Result<Opened, Failure> {
    let name = given.to_string_lossy();
    if given == Path::new("-") {
        let text = text_of(&mut std::io::stdin().lock())
            .map_err(|why| Failure::file(format!("standard input: {why}")))?;
        return Ok(Opened { source: Source::new("-", text), sources: sources_of(given, root)? });
    }
    if !given.exists()
        && let Some(source) = Shipped::named(&name)
    {
        return Ok(Opened { source, sources: Box::new(Shipped) });
    }
    let mut file = readable(given).map_err(|why| unread(&name, &why))?;
    let sources = sources_of(given, root)?;
    // What is not on a disk can be read once only.
    if given.is_file() {
        glance_over(&name, &mut blocks_from(&mut file), sources.as_ref())
            .map_err(|beyond| beyond_limits(&name, &beyond))?;
        file.rewind().map_err(|error| unread(&name, &plainly(&error)))?;
    }
    let text = text_from_file(&mut file).map_err(|why| unread(&name, &why))?;
    Ok(Opened { source: Source::new(name, text), sources })
}

/// The limit in one line, with the place where it was passed, and what to do.
fn beyond_limits(name: &str, beyond: &Beyond) -> Failure {
    let Position { line, column } = beyond.position;
    Failure::file(format!("{name}:{line}:{column}: {}; write {}", beyond.wrong(), beyond.write()))
}

fn unread(name: &str, why: &str) -> Failure {
    let failure = Failure::file(format!("{name}: {why}"));
    let shipped = Shipped::names();
    let in_folder = shipped.iter().find(|own| own.rsplit('/').next() == Some(name)).map(String::as_str);
    match in_folder.or_else(|| crate::diag::nearest(name, shipped.iter().map(String::as_str))) {
        Some(near) => failure.hint(format!("a shipped file is called `{near}`")),
        None => failure,
    }
}

/// What a file may name, for whoever reads it beside the screen.
pub(super) fn sources_of(
    given: &Path,
    root: Option<&Path>,
) -> Result<Box<dyn Sources + Send + Sync>, Failure> {
    let wanted = root.map_or_else(|| above(given), Path::to_path_buf);
    let root = wanted
        .canonicalize()
        .map_err(|error| Failure::file(format!("--root {}: {}", wanted.display(), plainly(&error))))?;
    Ok(Box::new(Folder { root }))
}

/// The parent of a file's folder; the folder itself at the top.
fn above(given: &Path) -> PathBuf {
    let folder = given.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let folder = folder.canonicalize().unwrap_or_else(|_| folder.to_path_buf());
    folder.parent().map_or(folder.clone(), Path::to_path_buf)
}

impl Sources for Folder {
    fn fetch(&self, from: &str, wanted: &str) -> Result<Source, SourceError> {
        let (name, mut file) = self.found(from, wanted)?;
        match text_from_file(&mut file) {
            Ok(text) => Ok(Source::new(name, text)),
            Err(reason) => Err(SourceError::Unreadable { name, reason }),
        }
    }

    fn skim(
        &self,
        from: &str,
        wanted: &str,
        reader: &mut dyn FnMut(&mut Blocks<'_>),
    ) -> Result<(), SourceError> {
        let (_, mut file) = self.found(from, wanted)?;
        reader(&mut blocks_from(&mut file));
        Ok(())
    }
}

impl Folder {
    /// The file that is meant, under its name as resolved.
    fn found(&self, from: &str, wanted: &str) -> Result<(String, File), SourceError> {
        let name = Files::resolve(from, wanted);
        let path = Path::new(&name);
        let outside =
            || SourceError::Outside { name: wanted.to_owned(), root: self.root.display().to_string() };
        let real = match path.canonicalize() {
            Ok(real) => real,
            // Nothing is said about what there is outside.
            Err(_) if !self.would_hold(path) => return Err(outside()),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                return Err(SourceError::Missing { name });
            }
            Err(error) => return Err(SourceError::Unreadable { name, reason: plainly(&error) }),
        };
        if !real.starts_with(&self.root) {
            return Err(outside());
        }
        if !real.is_file() {
            let reason = if real.is_dir() { "it is a folder" } else { "it is no ordinary file" };
            return Err(SourceError::Unreadable { name, reason: reason.to_owned() });
        }
        match readable(&real) {
            Ok(file) => Ok((name, file)),
            Err(reason) => Err(SourceError::Unreadable { name, reason }),
        }
    }

    /// Whether a path that is not there would lie inside, by the nearest folder above it that is there.
    fn would_hold(&self, path: &Path) -> bool {
        let there = path.ancestors().find_map(|above| {
            let above = if above.as_os_str().is_empty() { Path::new(".") } else { above };
            above.canonicalize().ok()
        });
        there.is_some_and(|there| there.starts_with(&self.root))
    }
}

fn read(path: &Path) -> Result<String, String> {
    text_from_file(&mut readable(path)?)
}

/// A file that can be opened, and is not larger than any may be.
fn readable(path: &Path) -> Result<File, String> {
    if path.is_dir() {
        return Err("it is a folder".to_owned());
    }
    let file = File::open(path).map_err(|error| plainly(&error))?;
    if file.metadata().is_ok_and(|found| found.len() > Limits::OF_A_FILE.bytes as u64) {
        return Err(too_large());
    }
    Ok(file)
}

fn text_from_file(file: &mut File) -> Result<String, String> {
    let long = file.metadata().map_or(0, |found| found.len());
    text_from(file, usize::try_from(long).unwrap_or(0))
}

/// A file block by block. One that cannot be read on ends there; whoever takes it in says why.
fn blocks_from(file: &mut File) -> impl FnMut(&mut [u8]) -> usize + '_ {
    |room| loop {
        match file.read(room) {
            Ok(read) => return read,
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
            Err(_) => return 0,
        }
    }
}

fn text_of(from: &mut dyn Read) -> Result<String, String> {
    text_from(from, 0)
}

fn too_large() -> String {
    format!("it is larger than {} MiB; several smaller files are taken", Limits::default().bytes >> 20)
}

/// The text of what is probably `long` bytes.
fn text_from(from: &mut dyn Read, long: usize) -> Result<String, String> {
    let most = Limits::default().bytes;
    let mut bytes = Vec::with_capacity(long + 1);
    from.take(most as u64 + 1).read_to_end(&mut bytes).map_err(|error| plainly(&error))?;
    if bytes.len() > most {
        return Err(too_large());
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        format!("it is not UTF-8 text (byte {} is no character)", at + 1)
    })
}

/// The system's reason in plain words.
fn plainly(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "it may not be read (no permission)".to_owned(),
        std::io::ErrorKind::IsADirectory => "it is a folder".to_owned(),
        _ => error.to_string(),
    }
}
