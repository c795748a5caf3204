//! The author screen without a terminal: what it shows, what it does to the file, and how soon.

use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use loomwalk::diag::{Source, SourceError, Sources};
use loomwalk::tui::{AUTHOR_KEYS, Author, AuthorPlace, Letters, OnTerminal, Palette, author_keys_at};
use loomwalk::walk::Moment;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::{text_and_style, text_of};

const AT: Moment = Moment { wall_ms: 1_772_437_200_000, offset_min: 0, mono_ms: 5_000 };
const HORN: &str = include_str!("trees/horn.yaml");

/// The machine file of the format's example, whatever a tree names.
struct Example;

impl Sources for Example {
    fn fetch(&self, _from: &str, _wanted: &str) -> Result<Source, SourceError> {
        Ok(Source::new("machine.yaml", include_str!("../machines/example.yaml")))
    }
}

/// An author at a file in a folder of their own.
struct Desk {
    author: Author,
    file: PathBuf,
    folder: tempfile::TempDir,
}

impl Desk {
    fn with(text: Option<&str>) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("horn.yaml");
        if let Some(text) = text {
            std::fs::write(&file, text).expect("written");
        }
        let author = Author::new(&file, Arc::new(Example), (Palette::Dark, Letters::All)).expect("it opens");
        let mut desk = Self { author, file, folder };
        desk.settles();
        desk
    }

    /// Waits until both workers have said what they have to say.
    fn settles(&mut self) {
        let until = Instant::now() + Duration::from_mins(1);
        while self.author.is_looking() || self.author.is_checking_faults() {
            self.author.tick(AT);
            assert!(Instant::now() < until, "the workers do not come back");
            std::thread::yield_now();
        }
    }

    fn press(&mut self, code: KeyCode, modifiers: KeyModifiers) {
        self.author.key(&KeyEvent::new(code, modifiers), AT);
        self.settles();
    }

    fn key(&mut self, code: KeyCode) {
        self.press(code, KeyModifiers::NONE);
    }

    fn ctrl(&mut self, c: char) {
        self.press(KeyCode::Char(c), KeyModifiers::CONTROL);
    }

    fn types(&mut self, text: &str) {
        for c in text.chars() {
            let code = if c == '\n' { KeyCode::Enter } else { KeyCode::Char(c) };
            self.author.key(&KeyEvent::new(code, KeyModifiers::NONE), AT);
        }
        self.settles();
    }

    fn look(&mut self) -> Buffer {
        let area = Rect::new(0, 0, 80, 24);
        let mut buffer = Buffer::empty(area);
        self.author.draw(area, &mut buffer);
        buffer
    }

    fn text(&mut self) -> String {
        text_of(&self.look())
    }

    fn on_disk(&self) -> String {
        std::fs::read_to_string(&self.file).expect("a file")
    }
}

#[test]
fn problems_are_marked_where_they_stand_with_the_steps_around_beside_them() {
    let mut desk =
        Desk::with(Some(&HORN.replace("go: safe", "go: saef").replace("phone: true", "fone: true")));
    desk.ctrl('n');
    insta::assert_snapshot!(text_and_style(&desk.look()));
    desk.ctrl('n');
    insta::assert_snapshot!(text_of(&desk.look()));
}

#[test]
fn the_lists_help_and_questions_as_they_are_seen() {
    let mut desk = Desk::with(Some(&HORN.replace("go: safe", "go: saef")));
    let mut seen = Vec::new();
    for c in ['l', 't', 'k'] {
        desk.ctrl(c);
        seen.push(text_of(&desk.look()));
        desk.key(KeyCode::Esc);
    }
    desk.key(KeyCode::Esc);
    seen.push(text_of(&desk.look()));
    desk.key(KeyCode::Esc);
    desk.types("x");
    desk.ctrl('q');
    seen.push(text_of(&desk.look()));
    insta::assert_snapshot!(seen.join("\n\n"));
}

#[test]
fn a_jump_leads_to_a_step_and_back() {
    let mut desk = Desk::with(Some(HORN));
    desk.ctrl('t');
    desk.types("to-shop");
    desk.key(KeyCode::Enter);
    assert!(desk.text().contains("> to-shop"), "{}", desk.text());
    desk.ctrl('b');
    assert!(desk.text().contains("Before the first step"), "{}", desk.text());
    // From `go: loud`, to the step of that name.
    desk.ctrl('t');
    desk.types("sounds  ->");
    desk.key(KeyCode::Enter);
    for _ in 0..4 {
        desk.key(KeyCode::Down);
    }
    desk.key(KeyCode::End);
    desk.key(KeyCode::Left);
    desk.ctrl('f');
    assert!(desk.text().contains("> loud"), "{}", desk.text());
}

/// A step is longer than its first line: after a jump it is seen, not only where it begins.
#[test]
fn after_a_jump_what_follows_is_seen() {
    let rest = "# a remark\n".repeat(60);
    let mut desk = Desk::with(Some(&format!("{rest}{HORN}")));
    desk.ctrl('t');
    desk.key(KeyCode::Enter);
    let shown = desk.text();
    let first = HORN.lines().skip_while(|line| *line != "steps:").nth(1).expect("a first step").trim();
    let below: Vec<&str> = shown.lines().skip_while(|line| !line.contains(first)).collect();
    let numbered = below.iter().filter(|line| line.trim_start().starts_with(|c: char| c.is_ascii_digit()));
    assert!(numbered.count() > 4, "{shown}");
}

#[test]
fn what_was_taken_back_can_be_done_again() {
    let mut desk = Desk::with(Some(HORN));
    desk.types("ab");
    assert!(desk.author.is_unsaved());
    desk.ctrl('z');
    desk.ctrl('z');
    assert!(!desk.author.is_unsaved(), "{}", desk.text());
    desk.ctrl('y');
    desk.ctrl('y');
    desk.ctrl('s');
    assert_eq!(desk.on_disk(), format!("ab{HORN}"));
}

#[test]
fn a_file_changed_by_somebody_else_is_noticed_and_not_overwritten() {
    let mut desk = Desk::with(Some(HORN));
    desk.types("# mine\n");
    let theirs = format!("# theirs\n{HORN}");
    std::fs::write(&desk.file, &theirs).expect("written");
    desk.author.tick(AT);
    assert!(desk.text().contains("was changed by somebody else"), "{}", desk.text());
    desk.ctrl('s');
    insta::assert_snapshot!(text_of(&desk.look()));
    assert_eq!(desk.on_disk(), theirs);
    desk.types("1");
    assert_eq!(desk.on_disk(), theirs);
    let beside = desk.folder.path().join("horn.mine.yaml");
    assert_eq!(std::fs::read_to_string(beside).expect("beside it"), format!("# mine\n{HORN}"));
    // Then theirs is taken, and undo brings mine back.
    desk.ctrl('s');
    desk.types("2");
    assert!(!desk.author.is_unsaved());
    assert!(desk.text().contains("# theirs"), "{}", desk.text());
    for _ in 0..2 {
        desk.ctrl('z');
    }
    desk.press(KeyCode::Home, KeyModifiers::CONTROL);
    assert!(desk.text().contains("# mine"), "{}", desk.text());
}

#[test]
fn leaving_with_something_unsaved_asks_first() {
    let mut desk = Desk::with(Some(HORN));
    desk.types("#");
    desk.ctrl('q');
    assert!(!desk.author.is_left());
    desk.types("3");
    assert!(!desk.author.is_left(), "3 goes on writing");
    desk.ctrl('c');
    desk.types("1");
    assert!(desk.author.is_left());
    assert_eq!(desk.on_disk(), format!("#{HORN}"));
}

#[cfg(unix)]
#[test]
fn saving_keeps_rights_links_and_line_ends() {
    use std::os::unix::fs::PermissionsExt;
    let mut desk = Desk::with(Some(&HORN.replace('\n', "\r\n")));
    std::fs::set_permissions(&desk.file, std::fs::Permissions::from_mode(0o640)).expect("rights");
    desk.types("#");
    desk.ctrl('s');
    assert_eq!(desk.on_disk(), format!("#{HORN}").replace('\n', "\r\n"));
    assert_eq!(std::fs::metadata(&desk.file).expect("there").permissions().mode() & 0o777, 0o640);
    assert_eq!(
        std::fs::read_dir(desk.folder.path()).expect("a folder").count(),
        1,
        "nothing is left beside it"
    );
    let link = desk.folder.path().join("link.yaml");
    std::os::unix::fs::symlink(&desk.file, &link).expect("a link");
    let mut author = Author::new(&link, Arc::new(Example), (Palette::Dark, Letters::All)).expect("it opens");
    author.key(&KeyEvent::new(KeyCode::Char('#'), KeyModifiers::NONE), AT);
    author.key(&KeyEvent::new(KeyCode::Char('s'), KeyModifiers::CONTROL), AT);
    assert!(std::fs::symlink_metadata(&link).expect("there").is_symlink());
    assert!(desk.on_disk().starts_with("##"));
}

#[test]
fn a_folder_that_cannot_be_written_loses_nothing() {
    let mut desk = Desk::with(None);
    desk.types("loomwalk: 1\n");
    let folder = desk.folder.path().join("gone");
    std::fs::create_dir(&folder).expect("a folder");
    let mut author =
        Author::new(&folder.join("x.yaml"), Arc::new(Example), (Palette::None, Letters::Ascii)).expect("new");
    author.key(&KeyEvent::new(KeyCode::Char('a'), KeyModifiers::NONE), AT);
    std::fs::remove_dir(&folder).expect("removed");
    author.key(&KeyEvent::new(KeyCode::Char('s'), KeyModifiers::CONTROL), AT);
    let area = Rect::new(0, 0, 80, 24);
    let mut buffer = Buffer::empty(area);
    author.draw(area, &mut buffer);
    let seen = text_of(&buffer);
    assert!(seen.contains("Not saved:") && seen.contains("The text is still here."), "{seen}");
    assert!(author.is_unsaved());
}

/// Whatever a file holds, nothing of it reaches the terminal but cells with visible characters.
#[test]
fn hostile_text_is_shown_and_harmless() {
    let mut desk = Desk::with(Some("a: \"\u{1b}[2J\u{202e}\u{0}\u{7}\u{200d}油圧\"\n\u{feff}b: c\n"));
    for (width, height) in [(80, 24), (30, 9), (20, 6), (1, 1), (300, 90)] {
        let area = Rect::new(0, 0, width, height);
        let mut buffer = Buffer::empty(area);
        desk.author.draw(area, &mut buffer);
        let bad = |c: char| c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
        assert!(!text_of(&buffer).chars().any(|c| bad(c) && c != '\n'), "{width} by {height}");
    }
}

#[test]
fn every_key_is_in_the_help_and_every_number_is_one_key() {
    let mut desk = Desk::with(None);
    desk.ctrl('k');
    let mut seen = text_of(&desk.look());
    for _ in 0..6 {
        desk.key(KeyCode::PageDown);
        seen += &text_of(&desk.look());
    }
    for place in [AuthorPlace::Text, AuthorPlace::List, AuthorPlace::Numbers] {
        for row in author_keys_at(place) {
            assert!(
                seen.contains(&row.press.name()) && seen.contains(row.label),
                "{} {}",
                row.press.name(),
                row.label
            );
        }
    }
    let mut numbers: Vec<char> = AUTHOR_KEYS.iter().filter_map(|row| row.number).collect();
    let all = numbers.len();
    numbers.sort_unstable();
    numbers.dedup();
    assert_eq!(numbers.len(), all);
}

/// A tree of sixty steps has its problems listed within 50 ms of a key, where the program is optimised.
#[test]
fn problems_are_listed_within_fifty_milliseconds_of_a_key() {
    let mut steps = String::new();
    for at in 0..60 {
        let next = if at == 59 { "end".to_owned() } else { format!("s{}", at + 1) };
        let _ = write!(
            steps,
            "  s{at}:\n    ask: Does it show number {at}?\n    phone: true\n    answers:\n      a: {{text: It does, go: {next}}}\n      b: {{text: It does not, go: end}}\n"
        );
    }
    let text = format!(
        "loomwalk: 1\ntree: sixty\ntitle: Sixty\nmachine: machine.yaml\nsymptom: {{lift: fails}}\nstart: s0\nsteps:\n{steps}  end: {{refer: Somebody}}\n"
    );
    let mut desk = Desk::with(Some(&text));
    let mut times: Vec<Duration> = Vec::new();
    for _ in 0..20 {
        let began = Instant::now();
        desk.author.key(&KeyEvent::new(KeyCode::Char('x'), KeyModifiers::NONE), AT);
        let key_took = began.elapsed();
        while desk.author.is_looking() {
            desk.author.tick(AT);
            std::thread::yield_now();
        }
        times.push(began.elapsed());
        assert!(key_took < Duration::from_millis(100), "a key took {key_took:?}");
    }
    times.sort_unstable();
    assert!(desk.text().contains("refused"), "{}", desk.text());
    let most = Duration::from_millis(if cfg!(debug_assertions) { 2_000 } else { 50 });
    assert!(times[10] < most, "the median of {times:?}");
}

/// Lists that are opened before the text was looked over for the first time say so, and fill as soon as it was.
#[test]
fn a_list_opened_at_once_says_that_it_is_not_known_yet() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("horn.yaml");
    std::fs::write(&file, HORN).expect("written");
    let author = Author::new(&file, Arc::new(Example), (Palette::Dark, Letters::All)).expect("it opens");
    let mut desk = Desk { author, file, folder };
    for (key, title) in [('t', "Steps"), ('l', "What is wrong")] {
        desk.author.key(&KeyEvent::new(KeyCode::Char(key), KeyModifiers::CONTROL), AT);
        let text = desk.text();
        assert!(text.contains(title) && text.contains("is being looked over"), "{text}");
        desk.author.key(&KeyEvent::new(KeyCode::Esc, KeyModifiers::NONE), AT);
    }
    desk.author.key(&KeyEvent::new(KeyCode::Char('n'), KeyModifiers::CONTROL), AT);
    assert!(desk.text().contains("still being looked over"), "{}", desk.text());
    desk.author.key(&KeyEvent::new(KeyCode::Char('t'), KeyModifiers::CONTROL), AT);
    desk.settles();
    let text = desk.text();
    assert!(!text.contains("looked over") && text.contains(" -> "), "{text}");
    desk.key(KeyCode::Char('~'));
    assert!(desk.text().contains("Nothing has that in it"), "{}", desk.text());
    let mut new = Desk::with(None);
    new.ctrl('t');
    assert!(new.text().contains("No steps yet"), "{}", new.text());
    new.key(KeyCode::Esc);
}
