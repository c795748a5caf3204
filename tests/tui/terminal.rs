//! Through a pseudo-terminal: waits for text, never sleeps for it.

use std::io::{Read, Write};
use std::path::Path;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

use super::small_tree;

const PATIENCE: Duration = Duration::from_secs(30);

struct Seat {
    master: Option<Box<dyn MasterPty + Send>>,
    writer: Option<Box<dyn Write + Send>>,
    child: Box<dyn Child + Send + Sync>,
    bytes: Receiver<Vec<u8>>,
    screen: vt100::Parser,
    jobs: tempfile::TempDir,
}

fn size(rows: u16, cols: u16) -> PtySize {
    PtySize { rows, cols, pixel_width: 0, pixel_height: 0 }
}

/// The walk of the small tree, its job in this folder.
fn command(jobs: &Path) -> CommandBuilder {
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.args(["walk", &small_tree().to_string_lossy(), "--job", "0318"]);
    command.args(["--jobs", &jobs.to_string_lossy()]);
    command.env("LANG", "C.UTF-8");
    command.env_remove("NO_COLOR");
    command.env_remove("LC_ALL");
    command.env("XDG_CONFIG_HOME", jobs);
    command
}

fn journal_is_whole(jobs: &Path) {
    let file = jobs.join("0318.job.jsonl");
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_loomwalk"))
        .args([Path::new("job"), Path::new("verify"), &file])
        .output()
        .expect("it runs");
    assert!(done.status.success(), "{done:?}");
}

fn cells(count: u16) -> std::num::NonZero<u16> {
    std::num::NonZero::new(count).expect("at least one")
}

impl Seat {
    fn at_small_tree() -> Self {
        let jobs = tempfile::tempdir().expect("a folder");
        let pty = native_pty_system().openpty(size(24, 80)).expect("a pseudo-terminal");
        let child = pty.slave.spawn_command(command(jobs.path())).expect("the program starts");
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

    fn text(&self) -> String {
        self.screen.screen().contents()
    }

    /// Takes in what comes within this time; true once the screen is as wanted.
    fn within(&mut self, time: Duration, is: impl Fn(&str) -> bool) -> bool {
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

    fn waits_for(&mut self, text: &str) {
        assert!(self.within(PATIENCE, |seen| seen.contains(text)), "no `{text}` in\n{}", self.text());
    }

    fn keys(&mut self, keys: &str) {
        let writer = self.writer.as_mut().expect("a writer");
        writer.write_all(keys.as_bytes()).and_then(|()| writer.flush()).expect("keys go in");
    }

    /// Presses a key until the screen shows that it was taken: too early a key is dropped.
    fn presses_until(&mut self, keys: &str, is: impl Fn(&str) -> bool) {
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

    fn ends(&mut self) -> u32 {
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            if let Some(status) = self.child.try_wait().expect("a child") {
                return status.exit_code();
            }
            let _ = self.bytes.recv_timeout(Duration::from_millis(20)).map(|b| self.screen.process(&b));
        }
        let _ = self.child.kill();
        panic!("it did not end");
    }

    fn journal(&self) -> String {
        std::fs::read_to_string(self.jobs.path().join("0318.job.jsonl")).expect("a journal")
    }

    fn journal_is_whole(&self) {
        journal_is_whole(self.jobs.path());
    }

    /// Confirms the item that is live, whatever it asks for.
    fn confirms(&mut self) {
        let Some(line) = live_line(&self.text()) else { return };
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

    fn walks_through_gates(&mut self, until: &str) {
        for _ in 0..60 {
            if self.text().contains(until) {
                return;
            }
            self.confirms();
        }
        panic!("never came to `{until}`:\n{}", self.text());
    }

    fn begins(&mut self) {
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

#[test]
fn a_whole_tree_by_keys() {
    let mut seat = Seat::at_small_tree();
    seat.begins();
    seat.walks_through_gates("READ PRESSURE");
    seat.keys("30 psi");
    seat.waits_for("30 psi = 2.07 bar");
    seat.keys("\r");
    seat.waits_for("1 bar and above");
    seat.walks_through_gates("Hand over to the workshop");
    seat.presses_until("1", |seen| seen.contains("Start screen"));
    seat.presses_until("1", |seen| seen.contains("THE REPORT"));
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
    assert!(seat.journal().contains("\"ended\""));
    seat.journal_is_whole();
}

#[test]
fn smaller_and_back() {
    let mut seat = Seat::at_small_tree();
    seat.begins();
    let resize = |seat: &mut Seat, rows: u16, cols: u16| {
        seat.screen.screen_mut().set_size(cells(rows), cells(cols));
        seat.master.as_ref().expect("a master").resize(size(rows, cols)).expect("resized");
    };
    resize(&mut seat, 10, 40);
    seat.waits_for("look now: Everybody");
    resize(&mut seat, 5, 30);
    seat.waits_for("Too small.");
    resize(&mut seat, 24, 80);
    seat.waits_for("0 of 7 confirmed   KM");
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
    assert!(seat.text().contains("0318 is kept"), "{}", seat.text());
}

#[test]
fn told_to_end_it_gives_the_terminal_back() {
    let mut seat = Seat::at_small_tree();
    seat.begins();
    let id = seat.child.process_id().expect("a process").to_string();
    let told = std::process::Command::new("kill").args(["-TERM", &id]).status().expect("kill runs");
    assert!(told.success());
    assert_eq!(seat.ends(), 0);
    assert!(!seat.screen.screen().alternate_screen());
    seat.journal_is_whole();
}

#[test]
fn a_terminal_that_vanishes_ends_it() {
    let jobs = tempfile::tempdir().expect("a folder");
    let pty = native_pty_system().openpty(size(24, 80)).expect("a pseudo-terminal");
    let mut child = pty.slave.spawn_command(command(jobs.path())).expect("the program starts");
    drop(pty.slave);
    // Read here and not in a thread, which would keep the terminal open.
    let mut reader = pty.master.try_clone_reader().expect("a reader");
    let mut screen = vt100::Parser::new(cells(24), cells(80), 0);
    let mut buffer = [0; 4096];
    while !screen.screen().contents().contains("did the lamp light?") {
        let n = reader.read(&mut buffer).expect("the program shows its first step");
        screen.process(&buffer[..n]);
    }
    drop(reader);
    drop(pty.master);
    let until = Instant::now() + PATIENCE;
    while child.try_wait().expect("a child").is_none() {
        if Instant::now() > until {
            let _ = child.kill();
            panic!("it goes on without a terminal");
        }
        std::thread::yield_now();
    }
    journal_is_whole(jobs.path());
}

#[test]
fn stopped_and_continued_it_draws_again() {
    let mut seat = Seat::at_small_tree();
    seat.begins();
    let id = seat.child.process_id().expect("a process").to_string();
    let send = |signal: &str| {
        let told = std::process::Command::new("kill").args([signal, &id]).status().expect("kill runs");
        assert!(told.success());
    };
    send("-TSTP");
    assert!(seat.within(PATIENCE, |seen| !seen.contains("confirmed   KM")), "{}", seat.text());
    // It may be told to go on before it has come to a stop, and is then told again.
    let goes_on = (0..20).any(|_| {
        send("-CONT");
        seat.within(Duration::from_millis(500), |seen| seen.contains("confirmed   KM"))
    });
    assert!(goes_on, "{}", seat.text());
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
}
