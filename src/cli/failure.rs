//! Why a command could not be done: one line, then what can be done about it.

use std::io::{self, Write};
use std::process::ExitCode;

use crate::diag::visible_line;

/// What sort of failure it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The arguments make no sense.
    Usage,
    /// A file could not be read or written, or is not what it should be.
    File,
    /// What was looked at is wrong in itself (exit 1).
    Looked,
    /// Whoever read the output has gone; nothing to say.
    Closed,
}

/// A command that could not be done.
#[derive(Debug)]
pub struct Failure {
    /// What sort it is; decides the exit code.
    pub kind: Kind,
    /// The cause, outermost first.
    pub cause: anyhow::Error,
    /// What to do about it.
    pub hints: Vec<String>,
}

impl Failure {
    /// The arguments make no sense.
    pub fn usage(said: impl std::fmt::Display) -> Self {
        Self::new(Kind::Usage, anyhow::anyhow!("{said}"))
    }

    /// A file could not be used.
    pub fn file(said: impl std::fmt::Display) -> Self {
        Self::new(Kind::File, anyhow::anyhow!("{said}"))
    }

    /// What was looked at is wrong in itself.
    pub fn looked(said: impl std::fmt::Display) -> Self {
        Self::new(Kind::Looked, anyhow::anyhow!("{said}"))
    }

    /// A failure of this kind with its cause.
    #[must_use]
    pub const fn new(kind: Kind, cause: anyhow::Error) -> Self {
        Self { kind, cause, hints: Vec::new() }
    }

    /// Adds what to do about it.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hints.push(hint.into());
        self
    }

    /// Says it on this writer and gives the exit code.
    #[must_use]
    pub fn told(&self, to: &mut dyn Write) -> ExitCode {
        if self.kind == Kind::Closed {
            return ExitCode::SUCCESS;
        }
        let _ = writeln!(to, "loomwalk: {}", visible_line(&format!("{:#}", self.cause)));
        for hint in &self.hints {
            let _ = writeln!(to, "  {}", visible_line(hint));
        }
        ExitCode::from(if self.kind == Kind::Looked { 1 } else { 2 })
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        let kind = if error.kind() == io::ErrorKind::BrokenPipe { Kind::Closed } else { Kind::File };
        Self::new(kind, error.into())
    }
}

impl From<anyhow::Error> for Failure {
    fn from(error: anyhow::Error) -> Self {
        Self::new(Kind::Usage, error)
    }
}
