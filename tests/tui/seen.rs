//! Screens as text and style.

use crossterm::event::KeyCode;
use loomwalk::tui::{Letters, Palette, Surroundings};

use super::{Person, text_and_style};

const SIZES: [(u16, u16); 2] = [(80, 24), (120, 36)];

fn through_gates(person: &mut Person) {
    person.types("2");
    person.enters("KM");
    for _ in 0..80 {
        let text = person.text();
        if !text.contains(" > ") {
            return;
        }
        let live = text.lines().find_map(|line| line.trim_start().strip_prefix("> "));
        let digit = live.and_then(|l| l.chars().next()).expect("a live item");
        if text.contains("You read") {
            let is_point = text.lines().any(|l| l.contains("> ") && l.contains("going to work"));
            person.enters(if is_point { "0.0" } else { "12.6" });
        } else {
            person.types(&digit.to_string());
        }
    }
}

#[test]
fn question_gate_list_help_and_reading() {
    for (width, height) in SIZES {
        let mut person = Person::at_small_tree(Surroundings::default(), width, height);
        let name = |what: &str| format!("screen_{what}_{width}x{height}");
        insta::assert_snapshot!(name("question"), text_and_style(&person.look()));
        person.press(KeyCode::Tab);
        insta::assert_snapshot!(name("list"), text_and_style(&person.look()));
        person.press(KeyCode::Esc);
        person.look();
        person.types("2");
        person.enters("KM");
        person.types("12");
        insta::assert_snapshot!(name("gate"), text_and_style(&person.look()));
        person.press(KeyCode::Tab);
        person.types("8");
        insta::assert_snapshot!(name("help"), text_and_style(&person.look()));
    }
}

#[test]
fn a_reading_is_echoed_and_its_band_told() {
    let mut person = Person::at_small_tree(Surroundings::default(), 80, 24);
    through_gates(&mut person);
    person.types("300 mbar");
    insta::assert_snapshot!("screen_reading_80x24", text_and_style(&person.look()));
    person.press(KeyCode::Enter);
    let text = person.text();
    assert!(text.contains("0 of"), "{text}");
}

#[test]
fn without_colour_and_in_ascii_nothing_is_lost() {
    let around = Surroundings { palette: Palette::None, letters: Letters::Ascii, ..Surroundings::default() };
    let mut person = Person::at_small_tree(around, 80, 24);
    person.types("2");
    person.enters("KM");
    let seen = text_and_style(&person.look());
    assert!(seen.is_ascii(), "{seen}");
    insta::assert_snapshot!("screen_gate_ascii_no_colour_80x24", seen);
}

#[test]
fn the_light_palette_is_dark_on_light() {
    let around = Surroundings { palette: Palette::Light, ..Surroundings::default() };
    let mut person = Person::at_small_tree(around, 80, 24);
    insta::assert_snapshot!("screen_question_light_80x24", text_and_style(&person.look()));
}

#[test]
fn small_screens_keep_the_step_and_smaller_ones_say_so() {
    let mut person = Person::at_small_tree(Surroundings::default(), 40, 10);
    insta::assert_snapshot!("screen_question_40x10", text_and_style(&person.look()));
    person.types("2");
    person.enters("KM");
    let gate = text_and_style(&person.look());
    assert!(
        gate.contains("WARNING") && gate.contains("can roll over you"),
        "the caution comes first: {gate}"
    );
    insta::assert_snapshot!("screen_gate_40x10", gate);
    person.resized(39, 10);
    assert!(person.text().starts_with("Too small."));
    person.types("1");
    person.resized(80, 24);
    assert!(person.text().contains("0 of 7 confirmed"), "a key on a screen too small is not taken");
}
