//! What is chosen once: one small YAML file.

use std::io::Write as _;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::theme::Palette;

#[derive(Debug, Default, Serialize, Deserialize)]
struct Settings {
    #[serde(default)]
    light: bool,
}

/// Largest file of settings, bytes.
const MOST: u64 = 64 << 10;

/// The palette that was chosen; dark where nothing was, or the file is not as it should be.
#[must_use]
pub fn palette_kept(file: &Path) -> Palette {
    let is_small = std::fs::metadata(file).is_ok_and(|found| found.is_file() && found.len() <= MOST);
    let text = if is_small { std::fs::read_to_string(file).unwrap_or_default() } else { String::new() };
    let settings: Settings = serde_saphyr::from_str(&text).unwrap_or_default();
    if settings.light { Palette::Light } else { Palette::Dark }
}

/// Keeps the palette for next time.
pub(super) fn keep(file: &Path, palette: Palette) -> std::io::Result<()> {
    let folder = file.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder)?;
    let light = palette == Palette::Light;
    let mut part = tempfile::NamedTempFile::new_in(folder)?;
    writeln!(part, "light: {light}")?;
    part.persist(file).map(drop).map_err(|failed| failed.error)
}
