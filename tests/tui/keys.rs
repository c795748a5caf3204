//! Every key of the table stands in the footer or in the help.

use crossterm::event::KeyCode;
use loomwalk::diag::Lang;
use loomwalk::tui::{EVERYWHERE, KEYS, KeyRow, Place, Surroundings, keys_at};

use super::Person;

#[test]
fn no_two_keys_of_a_place_are_the_same() {
    for (nth, one) in KEYS.iter().enumerate() {
        let shared = |other: &KeyRow| other.places.iter().any(|place| one.places.contains(place));
        let same = |other: &KeyRow| other.press == one.press && shared(other);
        assert!(!KEYS[nth + 1..].iter().any(same), "{one:?} twice");
    }
}

#[test]
fn every_key_is_named_and_says_what_it_does() {
    for lang in [Lang::new("en"), Lang::new("es")] {
        let rows = KEYS.iter().map(|row| (row.press, row.label));
        for (press, label) in rows.chain(EVERYWHERE.iter().map(|row| (row.press, row.label))) {
            assert!(!press.name(&lang).is_empty() && !label.in_lang(&lang).is_empty(), "{press:?} {label:?}");
        }
    }
}

#[test]
fn the_footer_and_the_help_show_every_key_of_a_place() {
    let mut person = Person::at_small_tree(Surroundings::default(), 120, 60);
    let lang = Lang::new("en");
    let mut seen = Vec::new();
    for keys in ["", "2", "KM\n"] {
        for c in keys.chars() {
            person.press(if c == '\n' { KeyCode::Enter } else { KeyCode::Char(c) });
            person.look();
        }
        let place = person.app.place();
        seen.push(place);
        let footer = person.text();
        person.press(KeyCode::Tab);
        person.look();
        person.press(KeyCode::Char('8'));
        let help = person.text();
        for row in keys_at(place) {
            let text = if row.foot { &footer } else { &help };
            assert!(text.contains(row.press.name(&lang)), "{row:?} is not in\n{text}");
            assert!(help.contains(row.press.name(&lang)), "{row:?} is not in\n{help}");
        }
        for row in &EVERYWHERE {
            assert!(help.contains(row.label.en), "{row:?} is not in\n{help}");
        }
        person.press(KeyCode::Esc);
        person.look();
        if place == Place::Gate {
            break;
        }
    }
    assert_eq!(seen, [Place::Choose, Place::GateText, Place::Gate]);
}

#[test]
fn the_help_shows_every_key_of_the_table() {
    let mut person = Person::at_start(Surroundings::default(), (120, 200));
    person.press(KeyCode::Tab);
    person.types("8");
    let at_start = person.text();
    let mut person = Person::at_lamp(Surroundings::default(), 120, 200);
    let mut helps = vec![at_start];
    for keys in ["", "1", "KM\n"] {
        for c in keys.chars() {
            person.press(if c == '\n' { KeyCode::Enter } else { KeyCode::Char(c) });
            person.look();
        }
        person.press(KeyCode::Tab);
        person.types("8");
        helps.push(person.text());
        person.press(KeyCode::Esc);
        person.look();
    }
    person.confirms_all();
    person.press(KeyCode::Tab);
    person.types("8");
    helps.push(person.text());
    person.press(KeyCode::Esc);
    person.press(KeyCode::Tab);
    person.types("7");
    person.enters("part");
    person.press(KeyCode::Tab);
    person.types("8");
    helps.push(person.text());
    let lang = Lang::new("en");
    for row in KEYS {
        let label = if row.label.en == "more" { "the numbered list" } else { row.label.en };
        let is_said = helps
            .iter()
            .flat_map(|help| help.lines())
            .any(|line| line.trim_start().starts_with(row.press.name(&lang)) && line.contains(label));
        assert!(is_said, "{row:?} is in no help");
    }
}

/// A meter is entered once: what was typed for one job stands in the next one's line, and counts there though nobody
/// types it again.
#[test]
fn a_meter_is_entered_once() {
    let folder = tempfile::tempdir().expect("a folder");
    let settings = folder.path().join("settings.yaml");
    let around = || Surroundings {
        meter: loomwalk::tui::meter_kept(&settings),
        settings: Some(settings.clone()),
        ..Surroundings::default()
    };
    let mut first = Person::asked_of("small.yaml", around(), (80, 24));
    for _ in 0..10 {
        first.press(KeyCode::Down);
    }
    first.enters("rubbish");
    let refused = first.text();
    assert!(refused.contains("0.5%+2, or good"), "{refused}");
    for _ in 0.."rubbish".len() {
        first.press(KeyCode::Backspace);
    }
    first.enters("1%+3");
    assert_eq!(loomwalk::tui::meter_kept(&settings).map(|meter| meter.to_string()).as_deref(), Some("1%+3"));
    // The palette, kept in the same file, leaves the meter alone.
    let mut second = Person::asked_of("small.yaml", around(), (80, 24));
    let asked = second.text();
    assert!(asked.contains("1%+3"), "{asked}");
    for _ in 0..10 {
        second.press(KeyCode::Down);
    }
    second.press(KeyCode::Enter);
    second.look();
    let meters: Vec<_> =
        second.journals().iter().map(|text| text.matches(r#""accuracy":"1%+3""#).count()).collect();
    assert_eq!(meters, [1]);
}
