//! How quick the screen is beside a pager and a text editor that every Linux has, in one run, each in a pseudo-terminal:
//! start to first frame, key to screen, and the processor time of a screen at rest.
//!
//! `cargo bench --bench screen`; needs `less` and `nano` on the path, and leaves out what is not there. Medians of times
//! from the key's write until the text can be read off the terminal's cells. Everybody's files lie in memory where the
//! system has a place for that, so that a walk's start shows what the program does and not how fast a disk syncs: the
//! other two write nothing. What the syncs of a new job cost on the disk stands on a line of its own.

#![allow(clippy::print_stdout, reason = "a benchmark prints what it measured")]

use std::fmt::Write as _;
use std::io::{Read, Write};
use std::num::NonZero;
use std::path::Path;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

const STARTS: usize = 21;
const KEYS: usize = 60;
const REST: Duration = Duration::from_secs(5);
const PATIENCE: Duration = Duration::from_secs(20);

/// A program under the hand: how it is started, what its first frame shows, and how a key shows.
struct Candidate {
    name: &'static str,
    program: String,
    arguments: Vec<String>,
    first: &'static str,
    /// Keys that lead to where keys are measured, and what is seen there.
    ways: &'static [(&'static str, &'static str)],
    /// The nth measured key, and what it makes appear.
    key: fn(usize) -> (String, String),
    /// How many keys are measured.
    keys: usize,
}

struct Seat {
    _master: Box<dyn MasterPty + Send>,
    writer: Box<dyn Write + Send>,
    child: Box<dyn Child + Send + Sync>,
    bytes: Receiver<Vec<u8>>,
    screen: vt100::Parser,
}

impl Drop for Seat {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Seat {
    fn start(candidate: &Candidate, folder: &Path) -> Option<Self> {
        let size = PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 };
        let pty = native_pty_system().openpty(size).ok()?;
        let mut command = CommandBuilder::new(&candidate.program);
        command.args(&candidate.arguments);
        command.cwd(folder);
        for (name, value) in
            [("LANG", "C.UTF-8"), ("TERM", "xterm-256color"), ("HOME", &*folder.to_string_lossy())]
        {
            command.env(name, value);
        }
        let child = pty.slave.spawn_command(command).ok()?;
        drop(pty.slave);
        let mut reader = pty.master.try_clone_reader().ok()?;
        let writer = pty.master.take_writer().ok()?;
        let (send, bytes) = channel();
        std::thread::spawn(move || {
            let mut buffer = [0; 8192];
            while let Ok(n @ 1..) = reader.read(&mut buffer) {
                if send.send(buffer[..n].to_vec()).is_err() {
                    break;
                }
            }
        });
        let cells = |count: u16| NonZero::new(count).unwrap_or(NonZero::<u16>::MIN);
        let screen = vt100::Parser::new(cells(24), cells(80), 0);
        Some(Self { _master: pty.master, writer, child, bytes, screen })
    }

    fn press(&mut self, keys: &str) {
        let done = self.writer.write_all(keys.as_bytes()).and_then(|()| self.writer.flush());
        assert!(done.is_ok(), "keys go in");
    }

    /// Waits until a text stands on the screen.
    fn sees(&mut self, text: &str) {
        let until = Instant::now() + PATIENCE;
        while !self.screen.screen().contents().contains(text) {
            match self.bytes.recv_timeout(until.saturating_duration_since(Instant::now())) {
                Ok(bytes) => self.screen.process(&bytes),
                Err(error) => panic!("{error}: no `{text}` in\n{}", self.screen.screen().contents()),
            }
        }
    }

    /// Waits until whatever it does beside the screen is done.
    fn comes_to_rest(&self) {
        let mut last = self.ticks();
        for _ in 0..30 {
            std::thread::sleep(Duration::from_secs(1));
            let now = self.ticks();
            if now == last {
                return;
            }
            last = now;
        }
    }

    /// User and system time so far, in clock ticks (proc(5), fields 14 and 15).
    fn ticks(&self) -> Option<u64> {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.process_id()?)).ok()?;
        let after_name = stat.rsplit_once(") ")?.1;
        let field = |at: usize| after_name.split(' ').nth(at)?.parse::<u64>().ok();
        Some(field(11)? + field(12)?)
    }
}

fn median(times: &mut [Duration]) -> f64 {
    times.sort_unstable();
    times[times.len() / 2].as_secs_f64() * 1e3
}

struct Measured {
    name: &'static str,
    start_ms: f64,
    key_ms: f64,
    rest: Option<u64>,
}

fn measure(candidate: &Candidate, folder: &Path) -> Option<Measured> {
    let mut starts = Vec::new();
    for _ in 0..STARTS {
        let _ = std::fs::remove_dir_all(folder.join("jobs"));
        let began = Instant::now();
        let mut seat = Seat::start(candidate, folder)?;
        seat.sees(candidate.first);
        starts.push(began.elapsed());
    }
    let _ = std::fs::remove_dir_all(folder.join("jobs"));
    let mut seat = Seat::start(candidate, folder)?;
    seat.sees(candidate.first);
    for (keys, then) in candidate.ways {
        seat.press(keys);
        seat.sees(then);
    }
    let mut keys = Vec::new();
    for nth in 0..candidate.keys {
        let (key, shows) = (candidate.key)(nth);
        let began = Instant::now();
        seat.press(&key);
        seat.sees(&shows);
        keys.push(began.elapsed());
    }
    seat.comes_to_rest();
    let before = seat.ticks();
    std::thread::sleep(REST);
    let rest = seat.ticks().zip(before).map(|(after, before)| after - before);
    Some(Measured { name: candidate.name, start_ms: median(&mut starts), key_ms: median(&mut keys), rest })
}

/// A text that grows by a letter with each key: the last six of it.
fn letter(nth: usize) -> (String, String) {
    let all = |upto: usize| {
        (0..=upto).map(|n| char::from(b'a' + u8::try_from(n % 26).unwrap_or(0))).collect::<String>()
    };
    let (so_far, from) = (all(nth), nth.saturating_sub(5));
    (so_far[nth..].to_owned(), so_far[from..].to_owned())
}

/// What is measured in the author screen: from a key to the problem that it makes, marked and listed.
const AUTHOR: &str = "loomwalk, author";
/// Most of that, in milliseconds.
const MOST_AUTHOR: f64 = 50.0;
/// From a step's name to the end of its last line, a target. The first step that is listed with `s30` is the one before.
const TO_TARGET: &str = "\u{1b}[B\u{1b}[B\u{1b}[B\u{1b}[B\u{1b}[B\u{1b}[B\u{1b}[B\u{1b}[F";

/// A tree of sixty steps on a machine file.
fn of_sixty_steps() -> String {
    let mut text = "loomwalk: 1\ntree: sixty\ntitle: Sixty\nmachine: machine.yaml\nsymptom: {lift: fails}\n\
                    setup: {key: \"on\"}\nrevision: 1\nstart: s0\nsteps:\n"
        .to_owned();
    for at in 0..59 {
        let next = if at == 58 { "end".to_owned() } else { format!("s{}", at + 1) };
        let _ = write!(
            text,
            "  s{at}:\n    ask: Does it show number {at}?\n    phone: true\n    answers:\n      \
             b: {{text: It does not, go: end}}\n      a:\n        text: It does\n        go: {next}\n"
        );
    }
    text + "  end: {refer: Somebody else}\n"
}

/// A digit behind the name of a step, so that no step is called so; the name is told in backquotes.
fn digit_of_a_target(nth: usize) -> (String, String) {
    let so_far: String = (0..=nth).map(|n| (b'0' + u8::try_from(n % 10).unwrap_or(0)) as char).collect();
    (so_far[nth..].to_owned(), format!("`s30{so_far}`"))
}

/// A folder in memory, where there is one.
fn in_memory() -> tempfile::TempDir {
    tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir()).expect("a folder")
}

/// The files that the programs open.
fn write_files(folder: &Path) {
    let lines: Vec<String> = (0..2_000).map(|n| format!("line {n:04} of a text")).collect();
    let machine = include_str!("../../trees/tern/machine.yaml");
    for (name, text) in
        [("text.txt", &*lines.join("\n")), ("sixty.yaml", &of_sixty_steps()), ("machine.yaml", machine)]
    {
        std::fs::write(folder.join(name), text).expect("a file");
    }
}

fn main() {
    let folder = in_memory();
    write_files(folder.path());
    let walk = |tree: &str| {
        let words = ["walk", tree, "--job", "bench", "--jobs", "jobs"];
        words.map(str::to_owned).to_vec()
    };
    let own = env!("CARGO_BIN_EXE_loomwalk");
    let candidates = [
        Candidate {
            name: "loomwalk, a note",
            program: own.to_owned(),
            arguments: walk("tern/no-lift-no-tilt"),
            first: "When you last tried",
            ways: &[("\t", "Note"), ("2", "NOTE")],
            key: letter,
            keys: KEYS,
        },
        Candidate {
            name: "loomwalk, the list",
            program: own.to_owned(),
            arguments: walk("tern/no-lift-no-tilt"),
            first: "When you last tried",
            ways: &[],
            key: |nth| {
                if nth % 2 == 0 {
                    ("\t".to_owned(), "More at this step".to_owned())
                } else {
                    ("\t".to_owned(), "When you last tried".to_owned())
                }
            },
            keys: KEYS,
        },
        Candidate {
            name: "loomwalk, all trees",
            program: own.to_owned(),
            arguments: Vec::new(),
            first: "Trees",
            ways: &[],
            key: letter,
            keys: KEYS,
        },
        Candidate {
            name: AUTHOR,
            program: own.to_owned(),
            arguments: vec!["author".to_owned(), "sixty.yaml".to_owned()],
            first: "Every fault: 0 of",
            ways: &[
                ("\u{14}", "Steps"),
                ("s30", "with \"s30\""),
                ("\r", "> s29"),
                (TO_TARGET, "line 249, 16"),
            ],
            key: digit_of_a_target,
            keys: 40,
        },
        Candidate {
            name: "less, a line down",
            program: "less".to_owned(),
            arguments: vec!["text.txt".to_owned()],
            first: "line 0020",
            ways: &[],
            key: |nth| ("j".to_owned(), format!("line {:04}", 23 + nth)),
            keys: KEYS,
        },
        Candidate {
            name: "nano, a letter",
            program: "nano".to_owned(),
            arguments: vec!["--ignorercfiles".to_owned(), "text.txt".to_owned()],
            first: "line 0010",
            ways: &[],
            key: letter,
            keys: KEYS,
        },
    ];
    let measured: Vec<Measured> =
        candidates.iter().filter_map(|candidate| measure(candidate, folder.path())).collect();
    let on_disk = tempfile::tempdir().ok().and_then(|disk| measure(&candidates[0], disk.path()));
    println!("{:<22} {:>16} {:>16} {:>20}", "", "start, ms", "key, ms", "at rest, ticks/5 s");
    for one in &measured {
        let rest = one.rest.map_or("?".to_owned(), |ticks| ticks.to_string());
        println!("{:<22} {:>16.2} {:>16.3} {rest:>20}", one.name, one.start_ms, one.key_ms);
    }
    if let Some(one) = on_disk {
        println!("{:<22} {:>16.2}", "a new job, on the disk", one.start_ms);
    }
    let author = measured.iter().find(|one| one.name == AUTHOR).map_or(f64::INFINITY, |one| one.key_ms);
    let (ours, others): (Vec<&Measured>, Vec<&Measured>) =
        measured.iter().partition(|one| one.name.starts_with("loomwalk"));
    for other in others {
        for own in &ours {
            println!(
                "{} to {}: start {:.2}, key {:.2}",
                own.name,
                other.name,
                own.start_ms / other.start_ms,
                own.key_ms / other.key_ms
            );
        }
    }
    assert!(author <= MOST_AUTHOR, "from a key to the problem that it makes: {author:.1} ms");
}
