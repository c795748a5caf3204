//! Screens as text and style.

use crossterm::event::KeyCode;
use loomwalk::tui::{Letters, Palette, Surroundings};

use super::{Person, text_and_style};

const SIZES: [(u16, u16); 2] = [(80, 24), (120, 36)];

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

/// The screens of a tree on a machine, each once it has come to be.
fn walk_of_screens(around: &Surroundings, size: (u16, u16), see: impl FnMut(&str, &mut Person)) {
    screens_of(Person::asked_of("yard-lamp.yaml", around.clone(), size), see);
}

/// The same for somebody at the job screen of a tree that goes as the lamp's does.
pub(crate) fn screens_of(mut person: Person, mut see: impl FnMut(&str, &mut Person)) {
    person.enters("0318");
    person.enters("4417");
    person.types("1210");
    see("job", &mut person);
    person.press(KeyCode::Tab);
    person.look();
    person.goes_through_gates("1");
    person.types("0.03");
    see("reading", &mut person);
    person.press(KeyCode::Tab);
    person.types("2photo 3 on my phone");
    person.press(KeyCode::Enter);
    person.types("油圧 plug is wet");
    see("note", &mut person);
    person.press(KeyCode::Tab);
    person.look();
    person.press(KeyCode::Tab);
    person.types("4");
    person.enters("GND1");
    person.enters("frame");
    person.types("0.1 V");
    see("own", &mut person);
    person.press(KeyCode::Enter);
    person.press(KeyCode::Tab);
    person.types("5");
    see("circuit", &mut person);
    person.press(KeyCode::Esc);
    person.press(KeyCode::Tab);
    person.types("62");
    person.enters("14AWG");
    person.enters("39ft");
    person.types("20");
    see("sum", &mut person);
    person.press(KeyCode::Esc);
    for _ in 0..4 {
        person.press(KeyCode::Backspace);
    }
    person.enters("30");
    see("range", &mut person);
    person.types("3");
    person.press(KeyCode::Backspace);
    person.press(KeyCode::Backspace);
    person.enters("9.0");
    see("too_close", &mut person);
    person.types("2");
    person.enters("the probe was steady");
    see("after", &mut person);
    person.press(KeyCode::Tab);
    person.types("r");
    see("report", &mut person);
}

#[test]
fn every_screen_of_a_walk_on_a_machine() {
    for (width, height) in SIZES {
        walk_of_screens(&Surroundings::default(), (width, height), |what, person| {
            let seen = text_and_style(&person.look());
            insta::assert_snapshot!(format!("screen_machine_{what}_{width}x{height}"), seen);
        });
    }
}

#[test]
fn without_colour_and_in_ascii_a_walk_on_a_machine_says_the_same() {
    let around = Surroundings { palette: Palette::None, letters: Letters::Ascii, ..Surroundings::default() };
    walk_of_screens(&around, (80, 24), |what, person| {
        let seen = text_and_style(&person.look());
        // What the person typed is theirs, and is shown as far as the console can.
        assert!(seen.is_ascii(), "{what}: {seen}");
        if ["reading", "circuit"].contains(&what) {
            insta::assert_snapshot!(format!("screen_machine_{what}_ascii_no_colour_80x24"), seen);
        }
    });
}

#[test]
fn every_screen_in_spanish_has_no_english_left() {
    let around = Surroundings { lang: "es".to_owned(), ..Surroundings::default() };
    walk_of_screens(&around, (80, 24), |what, person| {
        let text = person.text();
        if ["reading", "note", "sum", "too_close"].contains(&what) {
            insta::assert_snapshot!(format!("screen_machine_{what}_es_80x24"), text.clone());
        }
        let words = [" the ", " you ", " with ", " record", " more", "close ", " next ", " step "];
        let english = words.iter().find(|word| text.contains(*word));
        assert!(english.is_none(), "{english:?} in\n{text}");
    });
}

#[test]
fn the_start_screen_shows_what_the_filter_lets_through() {
    for (width, height) in SIZES {
        let mut person = Person::at_start(Surroundings::default(), (width, height));
        person.types("tern tilt");
        insta::assert_snapshot!(format!("screen_start_{width}x{height}"), text_and_style(&person.look()));
        person.types("zzz");
        assert!(person.text().contains("Backspace takes back a letter"), "{}", person.text());
    }
}

#[test]
fn a_reading_is_echoed_and_its_band_told() {
    let mut person = Person::at_small_tree(Surroundings::default(), 80, 24);
    person.goes_through_gates("2");
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

/// The marked row of the circuit: its sign and name.
fn marked(person: &mut Person) -> String {
    let text = person.text();
    let row = text.lines().find_map(|line| line.strip_prefix(" >")).expect("a marked row").to_owned();
    row.split_whitespace().take(2).collect::<Vec<_>>().join(" ")
}

// Which lines the lift of this machine hangs on, and what stands in them, was read off the machine file.
#[test]
fn the_circuit_is_gone_along_and_over_into_what_feeds_it() {
    let mut person = Person::at_shipped("tern/no-lift-no-tilt", Surroundings::default(), (80, 24));
    person.press(KeyCode::Tab);
    person.types("5");
    assert_eq!(marked(&mut person), "= GND0");
    for line in ["battery-feed", "main-feed", "key-feed", "controller-feed"] {
        person.press(KeyCode::Tab);
        assert!(person.text().contains(line), "{line}");
    }
    assert_eq!(marked(&mut person), "o SP2");
    assert!(person.text().contains("Goes on in key-feed   Enter goes there"), "{}", person.text());
    assert!(person.text().contains("Here too, not on this way: fuel, lights"), "{}", person.text());
    person.press(KeyCode::Enter);
    assert_eq!(marked(&mut person), "o SP2");
    person.press(KeyCode::Up);
    assert_eq!(marked(&mut person), "/ S1");
    for _ in 0..9 {
        person.press(KeyCode::PageDown);
    }
    assert_eq!(marked(&mut person), "= GND3");
    person.press(KeyCode::Tab);
    assert_eq!(marked(&mut person), "= GND0", "round to the first line");
    person.press(KeyCode::Esc);
    assert!(person.text().contains("When you last tried"), "{}", person.text());
}

#[test]
fn the_circuit_opens_at_the_point_in_question_down_to_forty_columns() {
    for size in [(80, 24), (40, 10)] {
        let mut person = Person::at_lamp(Surroundings::default(), size.0, size.1);
        person.goes_through_gates("1");
        person.press(KeyCode::Tab);
        person.types("5");
        assert_eq!(marked(&mut person), "<> X1:1");
        person.press(KeyCode::Down);
        assert_eq!(marked(&mut person), "() H1");
    }
}
