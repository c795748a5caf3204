//! The file that is written: read once, saved in one step, never over what somebody else wrote meanwhile.

use std::ffi::OsString;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::diag::Limits;

/// What the disk holds under the file's name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum OnDisk {
    /// As it was read or saved last.
    AsKnown,
    /// Something else.
    Changed,
    /// Nothing.
    Gone,
}

/// The file, and the bytes that it held last.
#[derive(Debug)]
pub(super) struct TreeFile {
    path: PathBuf,
    /// None for a file that is not there yet.
    known: Option<Vec<u8>>,
    /// Lines end with CR and LF there.
    crlf: bool,
    stamp: Option<(std::time::SystemTime, u64)>,
}

impl TreeFile {
    /// Opens a file, or a name that is not taken yet; and gives its text.
    pub(super) fn open(path: &Path) -> io::Result<(Self, String)> {
        // A link is followed once, so that saving leaves it a link.
        let path = path.canonicalize().unwrap_or_else(|_| path.to_path_buf());
        let readable =
            |found: &fs::Metadata| found.is_file() && found.len() <= Limits::default().bytes as u64;
        if fs::metadata(&path).is_ok_and(|found| !found.is_dir() && !readable(&found)) {
            let why = "it is no ordinary file, or one larger than a tree may be";
            return Err(io::Error::new(io::ErrorKind::InvalidInput, why));
        }
        let known = match fs::read(&path) {
            Ok(bytes) => Some(bytes),
            Err(why) if why.kind() == io::ErrorKind::NotFound => None,
            Err(why) => return Err(why),
        };
        let text = String::from_utf8(known.clone().unwrap_or_default())
            .map_err(|_| io::Error::new(io::ErrorKind::InvalidData, "it is not UTF-8 text"))?;
        let crlf = text.contains("\r\n");
        let mut file = Self { path, known, crlf, stamp: None };
        file.stamp = file.stamp_now();
        Ok((file, text.replace("\r\n", "\n")))
    }

    /// The path.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// True if it is not there yet.
    pub(super) const fn is_new(&self) -> bool {
        self.known.is_none()
    }

    fn stamp_now(&self) -> Option<(std::time::SystemTime, u64)> {
        let seen = fs::metadata(&self.path).ok()?;
        Some((seen.modified().ok()?, seen.len()))
    }

    /// A quick look: true if it may have changed since the last look.
    pub(super) fn may_have_changed(&mut self) -> bool {
        let now = self.stamp_now();
        if now == self.stamp {
            return false;
        }
        self.stamp = now;
        true
    }

    /// What the disk holds now.
    pub(super) fn on_disk(&self) -> OnDisk {
        match (fs::read(&self.path).ok(), &self.known) {
            (None, None) => OnDisk::AsKnown,
            (Some(now), Some(known)) if now == *known => OnDisk::AsKnown,
            (None, Some(_)) => OnDisk::Gone,
            _ => OnDisk::Changed,
        }
    }

    /// Saves the text in one step. The caller has seen that the disk holds what is known.
    pub(super) fn save(&mut self, text: &str) -> io::Result<()> {
        let bytes = self.bytes(text);
        write_whole(&self.path, &bytes, !self.is_new())?;
        self.known = Some(bytes);
        self.stamp = self.stamp_now();
        Ok(())
    }

    /// Saves the text beside the file, under a name that is not taken; the name.
    pub(super) fn save_beside(&self, text: &str) -> io::Result<PathBuf> {
        let stem = self.path.file_stem().map_or_else(OsString::new, OsString::from);
        for count in 1..1_000 {
            let mut name = stem.clone();
            name.push(if count == 1 { ".mine.yaml".to_owned() } else { format!(".mine-{count}.yaml") });
            let path = self.path.with_file_name(name);
            match write_whole(&path, &self.bytes(text), false) {
                Err(why) if why.kind() == io::ErrorKind::AlreadyExists => {}
                Err(why) => return Err(why),
                Ok(()) => return Ok(path),
            }
        }
        Err(io::Error::new(io::ErrorKind::AlreadyExists, "every name beside it is taken"))
    }

    /// Takes what the disk holds for known, and gives its text.
    pub(super) fn take_from_disk(&mut self) -> io::Result<String> {
        let (file, text) = Self::open(&self.path)?;
        *self = file;
        Ok(text)
    }

    fn bytes(&self, text: &str) -> Vec<u8> {
        if self.crlf { text.replace('\n', "\r\n").into_bytes() } else { text.as_bytes().to_vec() }
    }
}

/// Writes a file in one step: whole under another name, on the disk, then renamed. What was there keeps its rights.
fn write_whole(path: &Path, bytes: &[u8], replaces: bool) -> io::Result<()> {
    let name = path.file_name().map_or_else(OsString::new, OsString::from);
    let mut part_name = OsString::from(".");
    part_name.push(&name);
    part_name.push(format!(".part-{}", std::process::id()));
    let part = path.with_file_name(part_name);
    let written = (|| {
        let mut file = fs::OpenOptions::new().write(true).create_new(true).open(&part)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        if replaces && let Ok(old) = fs::metadata(path) {
            fs::set_permissions(&part, old.permissions())?;
        }
        if replaces {
            return fs::rename(&part, path);
        }
        // A link is made only where nothing stands yet; a rename would go over it.
        fs::hard_link(&part, path)?;
        fs::remove_file(&part)
    })();
    if written.is_err() {
        let _ = fs::remove_file(&part);
    }
    written
}
