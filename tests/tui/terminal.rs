//! Through a pseudo-terminal: a whole walk, and what can happen to a terminal meanwhile.

use std::io::{Read, Write};
use std::time::{Duration, Instant};

use portable_pty::native_pty_system;

use super::seat::{PATIENCE, Seat, cells, command, journal_is_whole, size};

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
    seat.resizes(10, 40);
    seat.waits_for("say it now: Everybody");
    seat.resizes(5, 30);
    seat.waits_for("Too small.");
    seat.resizes(24, 80);
    seat.waits_for("0 of 7 confirmed   KM");
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
    assert!(seat.text().contains("0318 is kept"), "{}", seat.text());
}

#[test]
fn told_to_end_it_gives_the_terminal_back() {
    let mut seat = Seat::at_small_tree();
    seat.begins();
    seat.signals("-TERM");
    assert_eq!(seat.ends(), 0);
    assert!(!seat.is_on_other_screen());
    seat.journal_is_whole();
}

#[test]
fn a_terminal_that_vanishes_ends_it() {
    vanishes(&[]);
}

/// The keys are still being taken when it hangs up: what reads them then reads its end, over and over.
#[test]
fn a_terminal_that_vanishes_while_keys_come_ends_it() {
    for keys in 1..9 {
        vanishes(&vec![b'?'; 64 * keys]);
    }
}

fn vanishes(keys: &[u8]) {
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
    if !keys.is_empty() {
        let mut writer = pty.master.take_writer().expect("a writer");
        writer.write_all(keys).expect("keys are typed");
        writer.flush().expect("keys are typed");
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
    seat.signals("-TSTP");
    assert!(seat.within(PATIENCE, |seen| !seen.contains("confirmed   KM")), "{}", seat.text());
    // It may be told to go on before it has come to a stop, and is then told again.
    let goes_on = (0..20).any(|_| {
        seat.signals("-CONT");
        seat.within(Duration::from_millis(500), |seen| seen.contains("confirmed   KM"))
    });
    assert!(goes_on, "{}", seat.text());
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
}
