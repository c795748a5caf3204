//! The pictures in README: screens of the real program, drawn as SVG cell by cell and compared with what `demo/` keeps.

use std::fmt::Write as _;
use std::path::Path;

use crossterm::event::KeyCode;
use loomwalk::tui::{Palette, Surroundings};
use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};

use crate::tui::Person;

/// The size of one cell in the picture.
const WIDE: u16 = 9;
const HIGH: u16 = 19;

/// The sixteen colours as a terminal commonly shows them.
fn colour(of: Color, otherwise: &'static str) -> &'static str {
    match of {
        Color::Black => "#101010",
        Color::White => "#f4f4f4",
        Color::Gray => "#c8c8c8",
        Color::DarkGray => "#606060",
        Color::Red | Color::LightRed => "#e05050",
        Color::Green | Color::LightGreen => "#58c070",
        Color::Yellow | Color::LightYellow => "#f0c040",
        Color::Blue | Color::LightBlue => "#5090f0",
        Color::Magenta | Color::LightMagenta => "#d070d0",
        Color::Cyan | Color::LightCyan => "#50c8d8",
        _ => otherwise,
    }
}

/// Foreground and background of a cell as drawn, reversed where it is.
fn paints(cell: &Cell) -> (&'static str, &'static str) {
    let (fg, bg) = (colour(cell.fg, "#f4f4f4"), colour(cell.bg, "#101010"));
    if cell.modifier.contains(Modifier::REVERSED) { (bg, fg) } else { (fg, bg) }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// A screen as SVG: a rectangle under every run of cells of one look, and its text at fixed steps.
fn svg(buffer: &Buffer, title: &str) -> String {
    let area = buffer.area;
    let (width, height) = (area.width * WIDE, area.height * HIGH);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" \
         role=\"img\">\n<title>{}</title>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#101010\"/>\n\
         <g font-family=\"monospace\" font-size=\"15\" xml:space=\"preserve\">\n",
        escaped(title)
    );
    for y in 0..area.height {
        let mut x = 0;
        while x < area.width {
            let look = |x: u16| (paints(&buffer[(x, y)]), buffer[(x, y)].modifier.contains(Modifier::BOLD));
            let from = x;
            while x < area.width && look(x) == look(from) {
                x += 1;
            }
            let text: String = (from..x).map(|x| buffer[(x, y)].symbol()).collect();
            run(&mut out, (from, y, x - from), &text, look(from));
        }
    }
    out.push_str("</g>\n</svg>\n");
    out
}

type Look = ((&'static str, &'static str), bool);

fn run(out: &mut String, (x, y, cells): (u16, u16, u16), text: &str, ((fg, bg), bold): Look) {
    let (left, top, wide) = (x * WIDE, y * HIGH, cells * WIDE);
    if bg != "#101010" {
        let _ = writeln!(
            out,
            "<rect x=\"{left}\" y=\"{top}\" width=\"{wide}\" height=\"{HIGH}\" fill=\"{bg}\"/>"
        );
    }
    let written = text.trim_end();
    if written.trim().is_empty() {
        return;
    }
    // The width is given, so that it stands in its columns whatever font is there.
    let long = u16::try_from(written.chars().count()).expect("a row") * WIDE;
    let weight = if bold { " font-weight=\"bold\"" } else { "" };
    let _ = writeln!(
        out,
        "<text x=\"{left}\" y=\"{}\" textLength=\"{long}\" fill=\"{fg}\"{weight}>{}</text>",
        top + HIGH - 5,
        escaped(written)
    );
}

/// Compares with what is kept, or keeps it anew if asked to.
fn kept(name: &str, drawn: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/pictures").join(name);
    if std::env::var_os("LOOMWALK_DEMO").is_some_and(|word| word == "write") {
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("room");
        std::fs::write(&path, drawn).expect("room");
    }
    let found = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        found == drawn,
        "{} is not what the program shows; LOOMWALK_DEMO=write makes it anew",
        path.display()
    );
}

/// Goes on from the telephone to the reading at the door's pin, on a machine whose wire is through to the frame.
/// Comes back with the screens on the way: a gate half confirmed, the reading, and its circuit.
fn at_door_reading() -> [Buffer; 3] {
    let around = Surroundings { palette: Palette::Dark, ..Surroundings::default() };
    let mut person = Person::at_shipped("tern/no-lift-no-tilt", around, (80, 24));
    for answer in ["2", "1"] {
        person.types(answer);
    }
    // Nobody knows whether the code is there, so both inputs are read at the controller.
    person.press(KeyCode::Tab);
    person.types("3");
    person.enters("nobody at the machine");
    person.enters("KM");
    let mut gate = None;
    for _ in 0..150 {
        let text = person.text();
        if text.contains("RAISE THE CAB") && text.contains("2 of") {
            gate = Some(person.look());
        }
        if text.contains("Red lead     A1:8") {
            person.app.think_through();
            let reading = person.look();
            person.press(KeyCode::Tab);
            person.types("5");
            return [gate.expect("the cab is raised on the way"), reading, person.look()];
        } else if text.contains("Red lead     A1:7") {
            person.enters("0.02");
        } else if text.contains("READ ") {
            person.enters("12.5");
        } else if !person.confirms_one() {
            person.types("1");
        }
    }
    panic!("the door's pin is not read:\n{}", person.text());
}

#[test]
fn demo_pictures_are_what_the_program_shows() {
    let [gate, reading, circuit] = at_door_reading();
    kept("gate.svg", &svg(&gate, "A gate: the cab is raised, item by item"));
    kept("reading.svg", &svg(&reading, "A reading, with what is still suspect along the wire"));
    kept("circuit.svg", &svg(&circuit, "The circuit of the reading, as a line"));
}
