//! A gate's items: by their own digits, one after another, and only what was pressed after the item was shown.

use crossterm::event::KeyCode;
use loomwalk::tui::Surroundings;

use super::{Person, text_and_style};

fn at_gate() -> Person {
    let mut person = Person::at_small_tree(Surroundings::default(), 80, 24);
    person.types("2");
    person.enters("KM");
    person
}

#[test]
fn each_item_takes_its_own_digit_only() {
    let mut person = at_gate();
    assert!(person.text().contains("0 of 7 confirmed   KM"), "{}", person.text());
    person.types("2");
    assert!(person.text().contains("0 of 7 confirmed"));
    person.types("1");
    assert!(person.text().contains("1 of 7 confirmed"));
    person.types("1");
    assert!(person.text().contains("1 of 7 confirmed"));
}

#[test]
fn keys_typed_before_an_item_appeared_confirm_nothing() {
    let mut person = at_gate();
    // Item 2 has not been drawn when its digit comes.
    person.press(KeyCode::Char('1'));
    person.press(KeyCode::Char('2'));
    person.press(KeyCode::Char('3'));
    assert!(person.text().contains("1 of 7 confirmed"), "{}", person.text());
}

#[test]
fn a_key_faster_than_an_eye_confirms_nothing() {
    let mut person = at_gate();
    person.press(KeyCode::Char('1'));
    person.look();
    // Back to within 100 ms of the drawing.
    person.at.mono_ms -= 1_400;
    person.press(KeyCode::Char('2'));
    assert!(person.text().contains("1 of 7 confirmed"), "{}", person.text());
}

#[test]
fn a_held_key_confirms_nothing_further() {
    let mut person = Person::at_small_tree(Surroundings::default(), 80, 24);
    person.types("1");
    person.enters("KM");
    // The digit that answered is held down, then repeated at a keyboard's pace.
    for _ in 0..40 {
        person.press(KeyCode::Char('1'));
        person.at.mono_ms += 30;
    }
    // The first of them is a press of its own; its item may be confirmed, no other.
    assert!(person.text().contains("1 of 7 confirmed"), "{}", person.text());
}

/// Both sizes, and in the other language: caution first, then who confirms, and the first item still to come.
#[test]
fn a_gate_that_asks_for_initials_looks_so() {
    for (lang, size) in [("en", (80, 24)), ("es", (80, 24)), ("en", (40, 16))] {
        let around = Surroundings { lang: lang.to_owned(), ..Surroundings::default() };
        let mut person = Person::at_small_tree(around, size.0, size.1);
        person.types("2");
        person.types("k");
        let name = format!("gate_initials_{lang}_{}x{}", size.0, size.1);
        insta::assert_snapshot!(name, text_and_style(&person.look()));
    }
}

#[test]
fn initials_are_asked_once_and_are_no_digits() {
    let mut person = Person::at_small_tree(Surroundings::default(), 80, 24);
    person.types("2");
    person.types("1");
    assert!(person.text().contains("Your initials first"));
    assert!(person.text().contains("0 of 7 confirmed"));
    person.enters("KM");
    person.types("1234567");
    assert!(person.text().contains("LOWER THE ARMS"), "{}", person.text());
    assert!(!person.text().contains("Who confirms"));
}

#[test]
fn half_an_hour_is_asked_about_and_a_text_is_not_lost() {
    let mut person = at_gate();
    person.press(KeyCode::Tab);
    person.types("2photo 3");
    person.at = person.at.later(31 * 60_000);
    person.press(KeyCode::Char('!'));
    assert!(person.text().contains("More than 30 minutes"), "{}", person.text());
    person.types("1");
    assert!(person.text().contains("photo 3"), "{}", person.text());
}

#[test]
fn waiting_stops_the_clock() {
    let mut person = Person::at_small_tree(Surroundings::default(), 80, 24);
    person.press(KeyCode::Tab);
    person.types("7");
    person.enters("part");
    assert!(person.text().contains("Waiting"), "{}", person.text());
    person.at = person.at.later(90 * 60_000);
    person.app.tick(person.at);
    assert!(person.app.minutes() < 2);
    person.types("1");
    assert!(person.app.minutes() < 2, "{}", person.text());
}
