//! Arguments, one file a command, failures to exit codes.

use std::ffi::OsString;
use std::process::ExitCode;

/// Runs the program with these arguments and says how it went.
#[must_use]
pub fn run(_args: impl IntoIterator<Item = OsString>) -> ExitCode {
    ExitCode::SUCCESS
}
