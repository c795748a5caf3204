//! Rough treatment through a pseudo-terminal: a panic, a hang-up, a storm of sizes, a million letters pasted, a key held
//! down, a pipe that is closed.

use std::process::{Command, Stdio};
use std::time::Duration;

use loomwalk::tui::holding_terminal;

use super::seat::Seat;

/// Run by the test below, alone, in a pseudo-terminal of its own: the terminal is taken as the program takes it, and
/// then something goes wrong that nobody thought of.
#[test]
#[ignore = "it panics; another test runs it in a pseudo-terminal"]
fn something_nobody_thought_of() {
    let done = holding_terminal(|| {
        assert!(std::env::args().count() == 0, "nobody thought of this");
    });
    assert!(done.is_err());
}

#[test]
fn a_panic_gives_the_terminal_back_and_says_why() {
    let own = std::env::current_exe().expect("this program");
    let arguments = [
        "--exact",
        "tui::rough::something_nobody_thought_of",
        "--ignored",
        "--nocapture",
        "--test-threads=1",
    ];
    let mut seat = Seat::running(&own.to_string_lossy(), &arguments);
    let before = seat.modes();
    assert_ne!(seat.ends(), 0);
    seat.waits_for("nobody thought of this");
    let text = seat.text();
    assert!(text.contains("nobody thought of this"), "{text}");
    assert!(!seat.is_on_other_screen() && !seat.takes_mouse(), "the terminal is not as it was");
    assert_eq!(before, seat.modes(), "lines are not edited as before");
}

#[test]
fn a_hang_up_ends_it_with_the_journal_whole() {
    let mut seat = Seat::at_small_tree();
    seat.begins();
    seat.signals("-HUP");
    assert_eq!(seat.ends(), 0);
    seat.journal_is_whole();
}

#[test]
fn a_storm_of_sizes_down_to_one_cell() {
    let mut seat = Seat::at_small_tree();
    seat.begins();
    for nth in 0..150_u16 {
        seat.resizes(1 + nth * 7 % 60, 1 + nth * 13 % 190);
        seat.within(Duration::from_millis(1), |_| false);
    }
    seat.resizes(1, 1);
    seat.within(Duration::from_millis(50), |_| false);
    seat.resizes(24, 80);
    seat.waits_for("0 of 7 confirmed   KM");
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
    seat.journal_is_whole();
}

#[test]
fn a_terminal_of_one_cell_from_the_start_loses_nothing() {
    let mut seat = Seat::at_small_tree();
    seat.resizes(1, 1);
    // Typed where nothing can be seen: it is not taken.
    seat.keys("2");
    seat.within(Duration::from_millis(300), |_| false);
    seat.resizes(24, 80);
    seat.waits_for("did the lamp light?");
    seat.begins();
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
    seat.journal_is_whole();
}

#[test]
fn a_million_letters_pasted_into_a_note_are_refused_whole() {
    let mut seat = Seat::at_small_tree();
    seat.waits_for("did the lamp light?");
    seat.keys("\t");
    seat.waits_for("Note");
    seat.keys("2");
    seat.waits_for("NOTE");
    seat.keys("the loom is flat");
    seat.waits_for("the loom is flat");
    let text = "0123456789abcdef".repeat(65_536);
    seat.keys(&format!("\u{1b}[200~{text}\u{1b}[201~"));
    seat.waits_for("Too long for a note");
    seat.keys("\t");
    seat.waits_for("Recorded.");
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
    assert!(seat.journal().contains("\"the loom is flat\""));
    seat.journal_is_whole();
}

/// How many items the journal says were confirmed.
fn confirmed(seat: &Seat) -> usize {
    seat.journal().lines().filter(|line| line.contains("\"item\"")).count()
}

#[test]
fn a_key_held_down_confirms_one_item_and_no_more() {
    let mut seat = Seat::at_small_tree();
    seat.begins();
    // Longer than a person needs to look, so that the first press counts.
    seat.within(Duration::from_millis(400), |_| false);
    for _ in 0..100 {
        seat.keys(&"1".repeat(40));
    }
    seat.waits_for("1 of 7 confirmed");
    seat.waits_for("Too early");
    // The terminal's own buffer drops what it has no room for; so the leaving key is pressed until it is heard.
    assert_eq!(seat.leaves(), 0);
    assert_eq!(confirmed(&seat), 1, "{}", seat.journal());
}

#[test]
fn what_is_typed_ahead_confirms_nothing() {
    let mut seat = Seat::at_small_tree();
    seat.waits_for("did the lamp light?");
    // The answer, the initials and every item in one go, before any of it has been on the screen.
    seat.keys("2KM\r1234567");
    seat.waits_for("PARK THE MACHINE");
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
    assert_eq!(confirmed(&seat), 0, "{}", seat.journal());
}

#[test]
fn a_screen_at_rest_does_nothing() {
    let mut seat = Seat::at_small_tree();
    seat.begins();
    seat.within(Duration::from_millis(300), |_| false);
    let before = seat.wake_ups();
    seat.within(Duration::from_secs(1), |_| false);
    assert_eq!(seat.wake_ups(), before, "it woke up though nothing happened");
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
}

#[test]
fn a_closed_pipe_is_no_mistake() {
    let jobs = tempfile::tempdir().expect("a folder");
    let own = env!("CARGO_BIN_EXE_loomwalk");
    for arguments in [vec!["predict", "tern/machine"], vec!["schema", "tree"], vec!["--help"]] {
        let mut child = Command::new(own)
            .args(&arguments)
            .current_dir(jobs.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it starts");
        drop(child.stdout.take());
        let done = child.wait_with_output().expect("it ends");
        let said = String::from_utf8_lossy(&done.stderr);
        assert!(!said.contains("panicked"), "{arguments:?}: {said}");
    }
}
