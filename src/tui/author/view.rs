//! How the author screen lies on the terminal.
//!
//! ```text
//!  no-lift.yaml, not saved              line 12      2 refused, 1 warning
//! ----------------------------------------------------|--------------------
//!   11   bar-volts:                                   | make-safe  answer…
//!   12!    read: vols                                 |> bar-volts    read
//!                                                     | below 1.5 V  door
//! ----------------------------------------------------|--------------------
//!  refused wrong-word    what is wrong, at the machine, what to write
//!  Every fault: 29 found alone …
//!  Esc  list of all    Ctrl-S  save …
//! ```

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use unicode_width::UnicodeWidthChar;

use super::open::{ListOf, Listed, Open};
use super::page::{beside, numbers, said_keys};
use super::{Author, FaultsState, author_keys_at};
use crate::author::{FaultsTold, Noticed};
use crate::diag::{Locator, Weight};
use crate::tui::sheet::Sheet;
use crate::tui::theme::{Letters, Role};

/// Columns of line number and mark.
const GUTTER: usize = 6;
/// Columns of the steps beside the text.
const BESIDE: u16 = 28;
/// Fewer columns or rows show nothing that could be read.
const LEAST: (u16, u16) = (30, 9);
/// Rows for one problem.
const PROBLEM: u16 = 5;
/// A terminal of fewer columns has no steps beside the text.
const NARROW: u16 = 70;

impl Author {
    pub(super) fn paint(&mut self, area: Rect, buffer: &mut Buffer) {
        buffer.set_style(area, self.palette.style(Role::Plain));
        if area.width < LEAST.0 || area.height < LEAST.1 {
            buffer.set_stringn(
                area.x,
                area.y,
                "too small",
                usize::from(area.width),
                self.palette.style(Role::Strong),
            );
            return;
        }
        let problem_rows = if area.height < 16 { 2 } else { PROBLEM };
        let rows = area.height.saturating_sub(5 + problem_rows);
        self.page_rows = usize::from(rows).max(1);
        self.paint_head(Rect { height: 1, ..area }, buffer);
        self.rule(Rect { y: area.y + 1, height: 1, ..area }, buffer);
        let middle = Rect { y: area.y + 2, height: rows, ..area };
        match &self.open {
            Open::Nothing => self.paint_text_and_steps(middle, buffer),
            Open::List(list) => self.paint_list(list, middle, buffer),
            Open::Numbers => {
                numbers(self.sheet(middle.width)).paint((middle, 0), buffer, self.palette).clear();
            }
            Open::Help(scroll) => {
                let sheet = said_keys(self.sheet(middle.width));
                let skip = (*scroll).min(sheet.len().saturating_sub(usize::from(rows)));
                sheet.paint((middle, skip), buffer, self.palette);
            }
            Open::Leaving => self.paint_question(
                "Something is not saved. Leave?",
                &["1  save, then leave", "2  leave without saving", "3  go on writing"],
                (middle, buffer),
            ),
            Open::Elsewhere(is_gone) => self.paint_elsewhere(*is_gone, (middle, buffer)),
        }
        let under = area.y + 2 + rows;
        self.rule(Rect { y: under, height: 1, ..area }, buffer);
        let told = Rect { y: under + 1, height: problem_rows, ..area };
        self.paint_problem(told, buffer);
        let foot = Rect { y: under + 1 + problem_rows, height: 1, ..area };
        self.line(foot, buffer, Role::Plain, &self.faults_line());
        self.paint_footer(Rect { y: foot.y + 1, ..foot }, buffer);
    }

    fn sheet(&self, width: u16) -> Sheet {
        Sheet::new(width, self.letters)
    }

    fn line(&self, area: Rect, buffer: &mut Buffer, role: Role, text: &str) {
        let mut sheet = self.sheet(area.width);
        sheet.pieces(&[(role, text)]);
        sheet.paint((area, 0), buffer, self.palette);
    }

    fn rule(&self, area: Rect, buffer: &mut Buffer) {
        let mut sheet = self.sheet(area.width);
        sheet.rule("");
        sheet.paint((area, 0), buffer, self.palette);
    }

    fn paint_head(&self, area: Rect, buffer: &mut Buffer) {
        let name =
            self.file.path().file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        let state = match (self.is_unsaved(), self.file.is_new()) {
            (true, _) => ", NOT SAVED",
            (false, true) => ", new",
            (false, false) => "",
        };
        let (line, column) = self.text.cursor();
        let count = |weight: Weight| self.problems().iter().filter(|n| n.weight == weight).count();
        let parts = [(Weight::Refused, "refused"), (Weight::Error, "wrong"), (Weight::Warning, "to look at")];
        let said: Vec<String> = parts
            .iter()
            .map(|(weight, word)| (count(*weight), word))
            .filter(|(count, _)| *count > 0)
            .map(|(count, word)| format!("{count} {word}"))
            .collect();
        let said = match (said.is_empty(), self.is_looking()) {
            (_, true) => "looking ...".to_owned(),
            (true, false) => "nothing wrong".to_owned(),
            (false, false) => said.join(", "),
        };
        let mut sheet = self.sheet(area.width);
        sheet.both_ends(
            (Role::Strong, &format!("{name}{state}")),
            (Role::Plain, &format!("line {}, {}   {said}", line + 1, column + 1)),
        );
        sheet.paint((area, 0), buffer, self.palette);
    }

    fn paint_text_and_steps(&mut self, area: Rect, buffer: &mut Buffer) {
        let aside = if area.width < NARROW { 0 } else { BESIDE };
        let text = Rect { width: area.width - aside, ..area };
        self.text.show_cursor(usize::from(text.height), usize::from(text.width).saturating_sub(GUTTER + 1));
        self.paint_text(text, buffer);
        if aside > 0 {
            let steps = Rect { x: text.right(), width: aside, ..area };
            let bar = if self.letters == Letters::Ascii { "|" } else { "│" };
            for y in area.top()..area.bottom() {
                buffer.set_string(steps.x, y, bar, self.palette.style(Role::Rule));
            }
            let inner = Rect { x: steps.x + 1, width: aside - 1, ..steps };
            let around = self.seen.steps.as_deref().unwrap_or_default();
            let to = (self.sheet(inner.width), usize::from(inner.height));
            let sheet = beside(around, self.seen.start.as_deref(), self.text.cursor().0, to);
            sheet.paint((inner, 0), buffer, self.palette);
        }
    }

    fn paint_text(&self, area: Rect, buffer: &mut Buffer) {
        let (line_here, column_here) = self.text.cursor();
        let problems = self.problems();
        for (at, y) in (self.text.top..).zip(area.top()..area.bottom()) {
            let Some(line) = self.text.lines().get(at) else { break };
            let own: Vec<&&Noticed> = problems.iter().filter(|n| n.from.0 <= at && at <= n.to.0).collect();
            let begins = own.iter().filter(|n| n.from.0 == at).map(|n| n.weight).max();
            let mark = begins.map_or(" ", mark);
            let gutter = format!("{:4}{mark} ", at + 1);
            let role = if begins.is_some() { Role::Strong } else { Role::Plain };
            buffer.set_stringn(area.x, y, gutter, GUTTER, self.palette.style(role));
            let cursor = (at == line_here).then_some(column_here);
            self.paint_line((line, at, cursor), &own, Rect { y, height: 1, ..area }, buffer);
        }
    }

    /// One line: what is wrong in it underlined, the cursor turned round, nothing that could move the terminal.
    fn paint_line(
        &self,
        (line, at, cursor): (&str, usize, Option<usize>),
        own: &[&&Noticed],
        area: Rect,
        buffer: &mut Buffer,
    ) {
        let is_wrong = |column: usize| own.iter().any(|n| n.from <= (at, column) && (at, column) < n.to);
        let style = |column: usize| -> Style {
            if cursor == Some(column) {
                self.palette.style(Role::Live)
            } else if is_wrong(column) {
                self.palette.style(Role::Field)
            } else if line.trim_start().starts_with('#') {
                self.palette.style(Role::Rule)
            } else {
                self.palette.style(Role::Plain)
            }
        };
        let mut x = area.x + u16::try_from(GUTTER).unwrap_or(0);
        let mut column = 0;
        for c in line.chars() {
            if column >= self.text.left {
                let shown = if c.width().unwrap_or(0) == 0
                    || crate::diag::visible(c.encode_utf8(&mut [0; 4])).len() != c.len_utf8()
                {
                    '?'
                } else {
                    c
                };
                let width = u16::try_from(shown.width().unwrap_or(1)).unwrap_or(1);
                if x + width > area.right() {
                    return;
                }
                buffer.set_string(x, area.y, shown.to_string(), style(column));
                x += width;
            }
            column += 1;
        }
        if cursor == Some(column) && x < area.right() {
            buffer.set_string(x, area.y, " ", self.palette.style(Role::Live));
        }
    }

    fn paint_list(&self, list: &Listed, area: Rect, buffer: &mut Buffer) {
        let mut sheet = self.sheet(area.width);
        let filter =
            if list.filter.is_empty() { String::new() } else { format!("   with \"{}\"", list.filter) };
        sheet.text(Role::Strong, 1, &format!("{}{filter}", list.of.title()));
        let shown = list.shown();
        let rows = usize::from(area.height).saturating_sub(1);
        let at = list.at.min(shown.len().saturating_sub(1));
        let skip = (at + 1).saturating_sub(rows.max(1));
        for (number, (text, _)) in shown.iter().enumerate().skip(skip).take(rows) {
            let (mark, role) = if number == at { (" > ", Role::Live) } else { ("   ", Role::Plain) };
            sheet.pieces(&[(Role::Plain, mark), (role, text.as_str())]);
        }
        if shown.is_empty() {
            sheet.text(Role::Plain, 3, self.why_empty(list));
        }
        sheet.paint((area, 0), buffer, self.palette);
    }

    /// Why nothing stands in a list.
    fn why_empty(&self, list: &Listed) -> &'static str {
        match list.of {
            _ if !list.rows.is_empty() => "Nothing has that in it. Backspace takes a letter back.",
            _ if self.is_looking() => "The text is being looked over; what there is stands here in a moment.",
            ListOf::Steps => "No steps yet: they stand under `steps:`.",
            ListOf::Problems if self.is_checking_faults() => {
                "Nothing so far; every fault is still being walked."
            }
            ListOf::Problems => "Nothing is wrong.",
        }
    }

    fn paint_question(&self, question: &str, answers: &[&str], (area, buffer): (Rect, &mut Buffer)) {
        let mut sheet = self.sheet(area.width);
        sheet.blank();
        sheet.text(Role::Strong, 3, question);
        sheet.blank();
        for answer in answers {
            sheet.text(Role::Plain, 3, answer);
        }
        sheet.paint((area, 0), buffer, self.palette);
    }

    fn paint_elsewhere(&self, is_gone: bool, to: (Rect, &mut Buffer)) {
        let question = if is_gone {
            "The file is not on the disk any more. Nothing was saved."
        } else {
            "Somebody else changed the file on the disk. Nothing was saved over it."
        };
        let second =
            if is_gone { "2  save it again" } else { "2  take what is on the disk (undo brings yours back)" };
        self.paint_question(
            question,
            &["1  save yours beside it, under another name", second, "3  go on writing"],
            to,
        );
    }

    /// The problem under the cursor, or the nearest after it.
    fn paint_problem(&self, area: Rect, buffer: &mut Buffer) {
        let mut sheet = self.sheet(area.width);
        let here = self.text.cursor();
        let problems = self.problems();
        let in_line = problems.iter().rposition(|n| n.from.0 <= here.0 && here.0 <= n.to.0);
        let next = problems.iter().position(|n| n.from >= here);
        if let Some(note) = &self.note {
            sheet.text(Role::Strong, 1, note);
        }
        if let Some(at) = in_line.or(next).or((!problems.is_empty()).then_some(0)) {
            let noticed = problems[at];
            let head = format!(
                "{} of {}: line {}, {} {}",
                at + 1,
                problems.len(),
                noticed.from.0 + 1,
                noticed.weight.word(),
                noticed.rule
            );
            let told = |with_machine: bool, with_head: bool| {
                let mut sheet = sheet.clone();
                if with_head {
                    sheet.text(Role::Strong, 1, &head);
                }
                sheet.hanging((Role::Plain, " Wrong:"), 17, (Role::Strong, &noticed.wrong));
                if with_machine {
                    sheet.hanging((Role::Plain, " At the machine:"), 17, (Role::Plain, &noticed.at_machine));
                }
                sheet.hanging((Role::Plain, " Write:"), 17, (Role::Plain, &noticed.write));
                sheet
            };
            let room = usize::from(area.height);
            let fullest =
                [(true, true), (true, false), (false, true), (false, false)].map(|(m, h)| told(m, h));
            sheet = fullest.iter().find(|s| s.len() <= room).unwrap_or(&fullest[3]).clone();
        } else if self.note.is_none() && !self.is_looking() {
            sheet.text(Role::Plain, 1, "Nothing is wrong.");
        }
        sheet.paint((area, 0), buffer, self.palette);
    }

    fn faults_line(&self) -> String {
        match &self.faults {
            FaultsState::NotNow => {
                " Every fault: once nothing is refused, and a machine file is named".to_owned()
            }
            FaultsState::Working => " Every fault: being walked ...".to_owned(),
            FaultsState::Told(figures) => format!(" Every fault: {figures}"),
        }
    }

    fn paint_footer(&self, area: Rect, buffer: &mut Buffer) {
        let labels: Vec<String> = author_keys_at(self.place())
            .filter(|row| row.foot)
            .map(|row| format!("{} {}", row.press.name(), row.label))
            .collect();
        self.line(area, buffer, Role::Plain, &format!(" {}", labels.join("  ")));
    }
}

/// The mark of a line in which something of this weight begins.
const fn mark(weight: Weight) -> &'static str {
    match weight {
        Weight::Refused => "!",
        Weight::Error => "*",
        Weight::Warning => "?",
    }
}

/// The figures of the fault check in one line. Its minutes are those to the finding; `plan` and `check --faults` count to
/// the last test, where an order ends.
pub(super) fn figures(told: &FaultsTold) -> String {
    let figures = &told.check.figures;
    let grouped: usize = figures.found_in_group.values().sum();
    let minutes =
        told.check.as_written.map_or(String::new(), |m| format!(", {:.0} min to the finding", m.value()));
    let lost = [
        (figures.wrong, "wrong"),
        (figures.no_branch, "without a branch"),
        (figures.unnamed, "in no find"),
        (figures.depends, "by open answers"),
    ];
    let lost: Vec<String> =
        lost.iter().filter(|(count, _)| *count > 0).map(|(count, word)| format!("{count} {word}")).collect();
    let lost = if lost.is_empty() { "none lost".to_owned() } else { lost.join(", ") };
    format!("{} of {} found, {lost}{minutes}", figures.found + grouped, figures.count)
}

/// What the fault check finds wrong, by its place in the file.
pub(super) fn noticed_of(told: &FaultsTold) -> Vec<Noticed> {
    let mut locator = Locator::new(&told.files);
    told.problems
        .iter()
        .map(|problem| {
            let span = locator.span(&problem.place);
            let file = problem.place.file_id();
            let at = |p: crate::diag::Position| (p.line.saturating_sub(1), p.column.saturating_sub(1));
            Noticed {
                from: at(locator.position(file, span.start)),
                to: at(locator.position(file, span.end)),
                weight: problem.weight,
                rule: problem.rule,
                wrong: problem.wrong.clone(),
                at_machine: problem.at_machine.clone(),
                write: problem.write.clone(),
            }
        })
        .collect()
}
