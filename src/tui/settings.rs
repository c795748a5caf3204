//! What is chosen once: one small YAML file.

use std::io::Write as _;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::theme::Palette;
use crate::units::Meter;

#[derive(Debug, Default, Serialize, Deserialize)]
struct Settings {
    #[serde(default)]
    light: bool,
    /// The accuracy of the mechanic's own meter.
    #[serde(default)]
    meter: Option<String>,
}

/// Largest file of settings, bytes.
const MOST: u64 = 64 << 10;

/// The palette that was chosen; dark where nothing was, or the file is not as it should be.
#[must_use]
pub fn palette_kept(file: &Path) -> Palette {
    if read(file).light { Palette::Light } else { Palette::Dark }
}

/// The meter that was entered for an earlier job, if one was.
#[must_use]
pub fn meter_kept(file: &Path) -> Option<Meter> {
    Meter::parse(&read(file).meter?).ok()
}

/// Keeps the meter for the jobs that follow.
///
/// # Errors
/// When the file cannot be written.
pub fn keep_meter(file: &Path, meter: Meter) -> std::io::Result<()> {
    write(file, &Settings { meter: Some(meter.to_string()), ..read(file) })
}

/// Keeps the palette for next time.
pub(super) fn keep(file: &Path, palette: Palette) -> std::io::Result<()> {
    write(file, &Settings { light: palette == Palette::Light, ..read(file) })
}

fn read(file: &Path) -> Settings {
    let is_small = std::fs::metadata(file).is_ok_and(|found| found.is_file() && found.len() <= MOST);
    let text = if is_small { std::fs::read_to_string(file).unwrap_or_default() } else { String::new() };
    serde_saphyr::from_str(&text).unwrap_or_default()
}

fn write(file: &Path, settings: &Settings) -> std::io::Result<()> {
    let folder = file.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder)?;
    let mut part = tempfile::NamedTempFile::new_in(folder)?;
    writeln!(part, "light: {}", settings.light)?;
    if let Some(meter) = &settings.meter {
        writeln!(part, "meter: \"{meter}\"")?;
    }
    part.persist(file).map(drop).map_err(|failed| failed.error)
}
