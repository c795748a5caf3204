//! A person's seat at a pseudo-terminal: waits for text, never sleeps for it.

use std::io::{Read, Write};
use std::path::Path;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

use super::small_tree;

pub(super) const PATIENCE: Duration = Duration::from_secs(30);

pub(super) struct Seat {
    master: Option<Box<dyn MasterPty + Send>>,
    writer: Option<Box<dyn Write + Send>>,
    child: Box<dyn Child + Send + Sync>,
    bytes: Receiver<Vec<u8>>,
    screen: vt100::Parser,
    jobs: tempfile::TempDir,
}

pub(super) fn size(rows: u16, cols: u16) -> PtySize {
    PtySize { rows, cols, pixel_width: 0, pixel_height: 0 }
}

/// The walk of the small tree, its job in this folder.
pub(super) fn command(jobs: &Path) -> CommandBuilder {
    walk_of(&small_tree(), jobs)
}

/// The walk of a tree, its job in this folder.
pub(super) fn walk_of(tree: &Path, jobs: &Path) -> CommandBuilder {
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.args(["walk", &tree.to_string_lossy(), "--job", "0318"]);
    command.args(["--jobs", &jobs.to_string_lossy()]);
    command.env("LANG", "C.UTF-8");
    command.env_remove("NO_COLOR");
    command.env_remove("LC_ALL");
    command.env("XDG_CONFIG_HOME", jobs);
    command
}

pub(super) fn journal_is_whole(jobs: &Path) {
    let file = jobs.join("0318.job.jsonl");
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_loomwalk"))
        .args([Path::new("job"), Path::new("verify"), &file])
        .output()
        .expect("it runs");
    assert!(done.status.success(), "{done:?}");
}

pub(super) fn cells(count: u16) -> std::num::NonZero<u16> {
    std::num::NonZero::new(count).expect("at least one")
}

impl Seat {
    pub(super) fn at_small_tree() -> Self {
        let jobs = tempfile::tempdir().expect("a folder");
        let command = command(jobs.path());
        Self::at(command, jobs)
    }

    /// Another program, with these arguments.
    pub(super) fn running(program: &str, arguments: &[&str]) -> Self {
        let mut command = CommandBuilder::new(program);
        // A backtrace would push what is looked for off the screen.
        command.env("RUST_BACKTRACE", "0");
        command.args(arguments);
        Self::at(command, tempfile::tempdir().expect("a folder"))
    }

    pub(super) fn at(command: CommandBuilder, jobs: tempfile::TempDir) -> Self {
        let pty = native_pty_system().openpty(size(24, 80)).expect("a pseudo-terminal");
        let child = pty.slave.spawn_command(command).expect("the program starts");
        let mut reader = pty.master.try_clone_reader().expect("a reader");
        let writer = pty.master.take_writer().expect("a writer");
        let (send, bytes) = channel();
        std::thread::spawn(move || {
            let mut buffer = [0; 4096];
            while let Ok(n @ 1..) = reader.read(&mut buffer) {
                if send.send(buffer[..n].to_vec()).is_err() {
                    break;
                }
            }
        });
        let screen = vt100::Parser::new(cells(24), cells(80), 0);
        Self { master: Some(pty.master), writer: Some(writer), child, bytes, screen, jobs }
    }

    /// Gives the folder back.
    pub(super) fn into_folder(self) -> tempfile::TempDir {
        self.jobs
    }

    pub(super) fn text(&self) -> String {
        self.screen.screen().contents()
    }

    /// How the terminal edits lines and turns what comes in and goes out.
    pub(super) fn modes(&self) -> String {
        let modes = self.master.as_ref().and_then(|master| master.get_termios()).expect("modes");
        format!("{:?} {:?} {:?}", modes.local_flags, modes.input_flags, modes.output_flags)
    }

    pub(super) fn is_on_other_screen(&self) -> bool {
        self.screen.screen().alternate_screen()
    }

    pub(super) fn takes_mouse(&self) -> bool {
        self.screen.screen().mouse_protocol_mode() != vt100::MouseProtocolMode::None
    }

    pub(super) fn signals(&self, signal: &str) {
        let id = self.child.process_id().expect("a process").to_string();
        let told = std::process::Command::new("kill").args([signal, &id]).status().expect("kill runs");
        assert!(told.success());
    }

    pub(super) fn resizes(&mut self, rows: u16, cols: u16) {
        self.screen.screen_mut().set_size(cells(rows), cells(cols));
        self.master.as_ref().expect("a master").resize(size(rows, cols)).expect("resized");
    }

    /// How often the process has gone to sleep by itself (proc(5), `voluntary_ctxt_switches`).
    pub(super) fn wake_ups(&self) -> u64 {
        let id = self.child.process_id().expect("a process");
        let status = std::fs::read_to_string(format!("/proc/{id}/status")).expect("a status");
        let line = status.lines().find_map(|line| line.strip_prefix("voluntary_ctxt_switches:"));
        line.and_then(|count| count.trim().parse().ok()).expect("a count")
    }

    /// Takes in what comes within this time; true once the screen is as wanted.
    pub(super) fn within(&mut self, time: Duration, is: impl Fn(&str) -> bool) -> bool {
        let until = Instant::now() + time;
        loop {
            if is(&self.text()) {
                return true;
            }
            match self.bytes.recv_timeout(until.saturating_duration_since(Instant::now())) {
                Ok(bytes) => self.screen.process(&bytes),
                Err(_) => return is(&self.text()),
            }
        }
    }

    pub(super) fn waits_for(&mut self, text: &str) {
        assert!(self.within(PATIENCE, |seen| seen.contains(text)), "no `{text}` in\n{}", self.text());
    }

    pub(super) fn keys(&mut self, keys: &str) {
        let writer = self.writer.as_mut().expect("a writer");
        writer.write_all(keys.as_bytes()).and_then(|()| writer.flush()).expect("keys go in");
    }

    /// Presses a key until the screen shows that it was taken: too early a key is dropped.
    pub(super) fn presses_until(&mut self, keys: &str, is: impl Fn(&str) -> bool) {
        for _ in 0..10 {
            // As long as a person looks; a key before that does not count.
            self.within(Duration::from_millis(300), |_| false);
            self.keys(keys);
            if self.within(Duration::from_millis(1_200), &is) {
                return;
            }
        }
        panic!("`{keys}` was not taken at\n{}", self.text());
    }

    /// Presses Ctrl-C until it is heard.
    pub(super) fn leaves(&mut self) -> u32 {
        for _ in 0..20 {
            self.keys("\u{3}");
            self.within(Duration::from_millis(250), |_| false);
            if let Some(status) = self.child.try_wait().expect("a child") {
                return status.exit_code();
            }
        }
        self.ends()
    }

    pub(super) fn ends(&mut self) -> u32 {
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            if let Some(status) = self.child.try_wait().expect("a child") {
                // What it said last may still be on its way.
                self.within(Duration::from_millis(200), |_| false);
                return status.exit_code();
            }
            let _ = self.bytes.recv_timeout(Duration::from_millis(20)).map(|b| self.screen.process(&b));
        }
        let _ = self.child.kill();
        panic!("it did not end");
    }

    pub(super) fn journal(&self) -> String {
        std::fs::read_to_string(self.jobs.path().join("0318.job.jsonl")).expect("a journal")
    }

    pub(super) fn journal_is_whole(&self) {
        journal_is_whole(self.jobs.path());
    }

    /// Confirms the item that is live, whatever it asks for.
    pub(super) fn confirms(&mut self) {
        let Some(line) = live_line(&self.text()) else {
            // It may be in the middle of drawing.
            self.within(Duration::from_millis(100), |_| false);
            return;
        };
        let digit: String = line.chars().take_while(char::is_ascii_digit).collect();
        let is_point = line.contains("going to work");
        let changed = |seen: &str| live_line(seen).as_deref() != Some(line.as_str());
        if self.text().contains("You read") {
            let wipe = "\u{7f}".repeat(4);
            let reading = if is_point { "0.0" } else { "12.6" };
            self.presses_until(&format!("{wipe}{reading}\r"), changed);
        } else {
            self.presses_until(&digit, changed);
        }
    }

    pub(super) fn walks_through_gates(&mut self, until: &str) {
        for _ in 0..60 {
            if self.text().contains(until) {
                return;
            }
            self.confirms();
        }
        panic!("never came to `{until}`:\n{}", self.text());
    }

    pub(super) fn begins(&mut self) {
        self.waits_for("did the lamp light?");
        self.keys("2");
        self.waits_for("Who confirms?");
        self.presses_until("KM\r", |seen| seen.contains("confirmed   KM"));
    }
}

/// The line of the live item, from its number on.
fn live_line(seen: &str) -> Option<String> {
    seen.lines().find_map(|line| line.trim_start().strip_prefix("> ").map(str::to_owned))
}
