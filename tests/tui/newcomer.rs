//! A newcomer's first tree, through a pseudo-terminal: written in the author screen, three mistakes made and mended from
//! what the screen says alone, saved, and walked.

use std::path::Path;

use portable_pty::CommandBuilder;

use super::seat::Seat;

/// What is typed; the screen indents a line under the one before, so only what goes back out is taken back.
const LINES: [&str; 20] = [
    "loomwalk: 1",
    "tree: no-horn",
    "title: Horn is silent",
    "start: sounds",
    "steps:",
    "  sounds:",
    "    ask: Does the horn sound?",
    "    phone: true",
    "    anwers:",
    "      it-does: {text: It sounds, go: loud}",
    "      silent: {text: It is silent, go: saef}",
    "  loud:",
    "    ask: Is it loud enough?",
    "    phone: true",
    "    answers:",
    "      enough: {text: It is, go: works}",
    "      faint: {text: It is faint, go: safe}",
    "  works: {close: not-reproduced}",
    "  safe: {gates: [park, lower-arms, lower-cab], go: to-shop}",
    "  to-shop: {refer: To the shop with it.}",
];

fn command(file: &Path, folder: &Path) -> CommandBuilder {
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.args(["author", &file.to_string_lossy()]);
    command.env("LANG", "C.UTF-8");
    command.env_remove("NO_COLOR");
    command.env_remove("LC_ALL");
    command.env("XDG_CONFIG_HOME", folder);
    command
}

/// The blanks that a new line begins with on the screen, by the line before it.
fn begun_with(before: &str) -> usize {
    let blanks = before.len() - before.trim_start().len();
    if before.ends_with(':') { blanks + 2 } else { blanks }
}

/// The first name in backquotes after a label.
fn named_after(seen: &str, label: &str) -> String {
    let rest = seen.split_once(label).map_or("", |(_, rest)| rest);
    rest.split('`').nth(1).unwrap_or_default().to_owned()
}

/// The last name in backquotes on the rows from `Wrong:` to the next label.
fn wrong_name(seen: &str) -> String {
    let rest = seen.split_once("Wrong:").map_or("", |(_, rest)| rest);
    let row = rest.split("At the machine:").next().unwrap_or_default();
    row.split('`').rev().nth(1).unwrap_or_default().to_owned()
}

impl Seat {
    /// To the next problem; the word that is wrong there is written over by what the screen says to write.
    fn mends_a_word(&mut self) {
        self.keys("\u{e}");
        self.is_looked_over();
        let seen = self.text();
        let (wrong, right) = (wrong_name(&seen), named_after(&seen, "Write:"));
        assert!(!wrong.is_empty() && !right.is_empty(), "nothing to write is named in\n{seen}");
        self.keys(&"\u{1b}[3~".repeat(wrong.len()));
        self.keys(&right);
        self.is_looked_over();
    }

    /// What is typed is on the screen, and so is what is wrong with it.
    fn is_looked_over(&mut self) {
        let patience = std::time::Duration::from_secs(30);
        // The head says so for a moment, after each key.
        self.within(std::time::Duration::from_millis(100), |seen| seen.contains("looking ..."));
        assert!(self.within(patience, |seen| !seen.contains("looking ...")), "{}", self.text());
    }
}

#[test]
fn a_newcomer_writes_mends_saves_and_walks_a_tree() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("no-horn.yaml");
    let mut seat = Seat::at(command(&file, folder.path()), folder);
    seat.waits_for("is new: it is written when you save");
    for (at, line) in LINES.iter().enumerate() {
        if at > 0 {
            let begun = begun_with(LINES[at - 1]);
            let blanks = line.len() - line.trim_start().len();
            seat.keys(&format!("\r{}", "\u{7f}".repeat(begun.saturating_sub(blanks))));
        }
        seat.keys(line.trim_start());
    }
    seat.waits_for("To the shop with it.");
    seat.is_looked_over();

    // A key and a name that do not exist: what to write stands on the screen, and nothing else is known here.
    seat.mends_a_word();
    seat.mends_a_word();
    seat.waits_for("without `leave`");
    let gate = named_after(&seat.text(), "Write:");
    assert_eq!(gate, "leave");
    // Where that gate belongs: the list of gates that leads to the step, found by its name.
    seat.keys("\u{14}");
    seat.waits_for("Steps");
    seat.keys("gates");
    seat.waits_for("with \"gates\"");
    seat.keys("\r");
    seat.waits_for("> safe");
    seat.keys("\u{1b}[F");
    let tail = "], go: to-shop}".len();
    seat.keys(&"\u{1b}[D".repeat(tail));
    seat.keys(&format!(", {gate}"));
    seat.waits_for("nothing wrong");

    seat.keys("\u{13}");
    seat.waits_for("Saved.");
    seat.keys("\u{11}");
    assert_eq!(seat.ends(), 0);
    let folder = seat.into_folder();
    let text = std::fs::read_to_string(folder.path().join("no-horn.yaml")).expect("saved");
    assert_eq!(text, include_str!("trees/horn.yaml"));
    walk(&folder);
}

/// The tree is walked to its end.
fn walk(folder: &tempfile::TempDir) {
    let answers = folder.path().join("answers.yaml");
    let steps = ["park", "lower-arms", "lower-cab", "leave"]
        .map(|gate| format!("- {{step: safe/{gate}, confirm: all, initials: KM}}\n"))
        .concat();
    std::fs::write(&answers, format!("- {{step: sounds, answer: silent}}\n{steps}")).expect("written");
    let done = std::process::Command::new(env!("CARGO_BIN_EXE_loomwalk"))
        .current_dir(folder.path())
        .args(["walk", "no-horn.yaml", "--job", "first", "--jobs", "jobs", "--answers", "answers.yaml"])
        .output()
        .expect("it runs");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    let report = std::process::Command::new(env!("CARGO_BIN_EXE_loomwalk"))
        .current_dir(folder.path())
        .args(["report", "first", "--jobs", "jobs"])
        .output()
        .expect("it runs");
    let text = String::from_utf8_lossy(&report.stdout);
    assert!(text.contains("To the shop with it."), "{text}");
}
