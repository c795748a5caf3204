//! The screens: what the caller's surroundings are, and the word said when they are left.

use std::io::Write;
use std::path::PathBuf;

use super::job_place::{JobsFolder, data_folder};
use super::{Ending, Failure, Outcome};
use crate::tui::{App, Clock, Left, Letters, Palette, Surroundings, meter_kept, palette_kept, run};

/// What the environment says of the terminal and the person at it.
pub(super) fn surroundings(jobs: &JobsFolder, lang: &str, light: bool) -> Result<Surroundings, Failure> {
    let settings = settings_file();
    let kept = settings.as_deref().map_or(Palette::Dark, palette_kept);
    let palette = match (value("NO_COLOR"), light) {
        (Some(_), _) => Palette::None,
        (None, true) => Palette::Light,
        (None, false) => kept,
    };
    let host = value("HOSTNAME").or_else(|| value("COMPUTERNAME"));
    Ok(Surroundings {
        jobs: jobs.path()?,
        practice: data_folder().ok().map(|folder| folder.join("practice")),
        host,
        lang: lang.to_owned(),
        palette,
        letters: letters(),
        meter: settings.as_deref().and_then(meter_kept),
        settings,
    })
}

/// A value that is set and not empty.
fn value(name: &str) -> Option<String> {
    std::env::var(name).ok().filter(|value| !value.is_empty())
}

/// All letters where the locale says UTF-8 (POSIX: the first of these that is set counts), or on Windows.
fn letters() -> Letters {
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(value).unwrap_or_default();
    let utf8 = locale.to_uppercase().replace('-', "").contains("UTF8");
    if utf8 || cfg!(windows) { Letters::All } else { Letters::Ascii }
}

/// `loomwalk/settings.yaml` in the user's configuration folder (XDG Base Directory Specification 0.8).
pub(super) fn settings_file() -> Option<PathBuf> {
    let absolute = |name| value(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let folder = absolute("XDG_CONFIG_HOME")
        .or_else(|| absolute("LOCALAPPDATA"))
        .or_else(|| absolute("HOME").map(|home| home.join(".config")))?;
    Some(folder.join("loomwalk").join("settings.yaml"))
}

/// Runs the screens, then says where the job is.
pub(super) fn show(mut app: App, clock: Clock, out: &mut dyn Write) -> Outcome {
    let left = run(&mut app, clock)?;
    if left == Left::Asked
        && let Some(job) = app.open_job()
    {
        writeln!(out, "The job {job} is kept. `loomwalk` goes on with it.")?;
    }
    Ok(Ending::Fine)
}
