//! What differs between systems: syncing a folder, and where the holder of a lock leaves its name.
//!
//! On Unix a new name in a folder lasts through a power cut only after the folder is synced, and a
//! locked file can be read. Elsewhere folders cannot be synced, and Windows lets nobody read a
//! locked file: the name stands in a file beside it.

use std::io;
use std::path::{Path, PathBuf};

/// Makes the names in a folder last.
#[cfg(unix)]
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    std::fs::File::open(folder)?.sync_all()
}

/// Makes the names in a folder last.
#[cfg(not(unix))]
#[expect(clippy::unnecessary_wraps, reason = "on Unix it can fail")]
pub(super) fn sync_folder(_folder: &Path) -> io::Result<()> {
    Ok(())
}

/// The file in which the holder of a lock leaves its name.
pub(super) fn holder_file(lock: &Path) -> PathBuf {
    if cfg!(unix) { lock.to_owned() } else { lock.with_extension("holder") }
}
