//! A suggestion told at a gate, through a pseudo-terminal: it is taken there, the gates that it needs are gone through, and
//! the walk comes to the test that was suggested.

use super::seat::{Seat, journal_is_whole, walk_of};

#[test]
fn a_suggestion_is_told_at_a_gate_and_taken_there() {
    let folder = tempfile::tempdir().expect("a folder");
    let machine = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/machines/example.yaml");
    std::fs::copy(machine, folder.path().join("example.yaml")).expect("copied");
    let tree = folder.path().join("tree.yaml");
    let text = crate::suggestion::TREE.replace("MACHINE", "machine: example.yaml");
    std::fs::write(&tree, text).expect("written");
    let mut seat = Seat::at(walk_of(&tree, folder.path()), tempfile::tempdir().expect("a folder"));
    seat.waits_for("burnt smell");
    seat.presses_until("2", |seen| seen.contains("PARK"));
    // The worker has its say once the gate stands there and nothing of it is confirmed.
    seat.waits_for("Quicker now: volts at A1:7");
    seat.presses_until("\t", |seen| seen.contains("0  Take the suggestion"));
    seat.presses_until("0", |seen| seen.contains("PARK") && !seen.contains("Take the suggestion"));
    seat.waits_for("Who confirms?");
    seat.presses_until("KM\r", |seen| seen.contains("confirmed   KM"));
    seat.walks_through_gates("READ VOLTS");
    seat.waits_for("A1:7");
    seat.leaves();
    journal_is_whole(folder.path());
    let journal = std::fs::read_to_string(folder.path().join("0318.job.jsonl")).expect("a journal");
    assert_eq!(journal.matches("\"jump\":{\"step\":\"bar-volts\"}").count(), 1, "{journal}");
    assert!(!journal.contains("\"step\":\"slow\""), "what the tree says next was not come to");
}
