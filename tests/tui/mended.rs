//! The repair of a wire on the screen: the sheet as the machine file fills it in, put right line by line, and kept.

use crossterm::event::KeyCode;
use loomwalk::tui::Surroundings;

#[cfg(unix)]
use super::seat::{Seat, walk_of};
use super::{Person, text_and_style};

/// At the repair, every gate before it confirmed.
fn at_repair(size: (u16, u16)) -> Person {
    let mut person = Person::at_wire(Surroundings::default(), size);
    person.enters("KM");
    person.confirms_all();
    person.types("1");
    assert!(person.text().contains("W3"), "{}", person.text());
    person.types("1");
    person.confirms_all();
    person
}

#[test]
fn the_repair_screens_as_text_and_style() {
    for (width, height) in [(80, 24), (120, 36)] {
        let name = |what: &str| format!("screen_repair_{what}_{width}x{height}");
        let mut person = at_repair((width, height));
        insta::assert_snapshot!(name("sheet"), text_and_style(&person.look()));
        person.types("2");
        insta::assert_snapshot!(name("lines"), text_and_style(&person.look()));
        person.types("perhaps");
        person.press(KeyCode::Tab);
        insta::assert_snapshot!(name("wrong"), text_and_style(&person.look()));
    }
}

/// What stays blank is as the machine file says; what is put right changes the sheet, and stays put right.
#[test]
fn a_line_put_right_changes_the_sheet_and_is_kept() {
    let mut person = at_repair((80, 60));
    let before = person.text();
    assert!(before.contains("1 mm², yellow"), "filled in from the machine file\n{before}");
    assert!(before.contains("2  Put a line of the sheet right"), "{before}");
    person.types("2");
    person.enters("still");
    person.press(KeyCode::Enter);
    person.types("25");
    person.press(KeyCode::Tab);
    let wrong = person.text();
    assert!(wrong.contains("Missing between ends: `25` has no unit"), "{wrong}");
    assert!(wrong.contains("25 mm."), "a length of millimetres is not suggested in metres\n{wrong}");
    // Once it is said that the lines would be lost, and they are still there.
    person.press(KeyCode::Esc);
    assert!(person.text().contains("Esc again throws away"), "{}", person.text());
    person.types(" mm");
    person.press(KeyCode::Tab);
    let after = person.text();
    assert!(after.contains("Repair what was found") && after != before, "{after}");
    assert!(after.contains("Piece to let in"), "{after}");
    person.types("2");
    assert!(person.text().contains("25 mm"), "what was put right stands in its line\n{}", person.text());
    person.press(KeyCode::Esc);
    person.types("1");
    person.press(KeyCode::Tab);
    person.types("r");
    let report = person.text();
    assert!(report.contains("Correction"), "{report}");
}

#[cfg(unix)]
#[test]
fn a_repair_by_keys_on_a_terminal() {
    let jobs = tempfile::tempdir().expect("a folder");
    let command = walk_of(&super::trees().join("yard-wire.yaml"), jobs.path());
    let mut seat = Seat::at(command, jobs);
    seat.waits_for("Who confirms?");
    seat.presses_until("KM\r", |seen| seen.contains("confirmed   KM"));
    seat.walks_through_gates("Look at the wire at the bracket");
    seat.presses_until("1", |seen| seen.contains("On to the repair"));
    seat.presses_until("1", |seen| seen.contains("PREPARE FOR HEAT"));
    seat.walks_through_gates("Repair what was found");
    seat.presses_until("2", |seen| seen.contains("THE REPAIR SHEET"));
    seat.keys("still\r\r25 mm\t");
    seat.waits_for("2  Put a line of the sheet right");
    // The keys of one moment are one press; a person looks first.
    seat.presses_until("1", |seen| seen.contains("PUT EVERYTHING BACK"));
    seat.keys("\u{3}");
    assert_eq!(seat.ends(), 0);
    let journal = seat.journal();
    assert!(journal.contains(r#"["flex","still"]"#) || journal.contains(r#""flex":"still""#), "{journal}");
    seat.journal_is_whole();
}
