//! Practice line by line: one fact a line, and the last line is the question.

use std::io::{BufRead, Write};

use super::lies;
use crate::cli::walk::page_lines;
use crate::cli::{Ending, Failure, Outcome};
use crate::diag::visible;
use crate::job::Shelf;
use crate::practice::{Dialogue, PRACTICE_HELP, Sitting, WORKED_OUT, line_of, log_words};
use crate::safety::Words;
use crate::walk::{ItemState, PageKind};

const PRACTICE: Words = Words { en: "Practice", es: "Práctica" };
const IN_THE_YARD: Words = Words {
    en: "A machine stands in the yard with one fault in it. It is simulated; the gates are the real ones.",
    es: "En el patio hay una máquina con una falla. Es simulada; los controles son los de verdad.",
};
const LOG_IS_YOURS: Words = Words { en: "The log is yours", es: "El registro es suyo" };

/// Practises with a person, line by line.
pub(super) fn run(sitting: Sitting, shelf: &Shelf, out: &mut dyn Write) -> Outcome {
    let stdin = std::io::stdin();
    let mut talk = Talk { dialogue: Dialogue::new(sitting), lines: stdin.lock(), out };
    talk.greet()?;
    talk.talk()?;
    talk.line(talk.dialogue.word(WORKED_OUT))?;
    let (debrief, sat) = talk.dialogue.debrief()?;
    for line in debrief.lines() {
        talk.line(&line)?;
    }
    shelf.append(&line_of(&sat)).map_err(|error| Failure::file(log_words(&error)))?;
    let yours = talk.dialogue.word(LOG_IS_YOURS);
    writeln!(std::io::stderr(), "{yours}: {}", lies(talk.dialogue.sitting().place()))?;
    Ok(Ending::Fine)
}

struct Talk<'o, R> {
    dialogue: Dialogue,
    lines: R,
    out: &'o mut dyn Write,
}

impl<R: BufRead> Talk<'_, R> {
    fn greet(&mut self) -> Result<(), Failure> {
        let walk = self.dialogue.sitting().walk();
        let title = walk.course().tree().title.in_lang(&walk.lang()).to_owned();
        self.line(&format!("{}. {title}.", self.dialogue.word(PRACTICE)))?;
        self.line(self.dialogue.word(IN_THE_YARD))?;
        let known = self.dialogue.sitting().known();
        self.line(&known)?;
        PRACTICE_HELP.iter().try_for_each(|line| self.line(self.dialogue.word(*line)))
    }

    fn talk(&mut self) -> Result<(), Failure> {
        let mut moved = true;
        while !self.dialogue.sitting().is_over() {
            if moved {
                self.tell_page()?;
            } else {
                self.tell_question()?;
            }
            let Some(typed) = self.read()? else {
                self.dialogue.show();
                break;
            };
            let reply = self.dialogue.hear(&typed).map_err(|fault| Failure::file(log_words(&fault)))?;
            for line in &reply.lines {
                self.line(line)?;
            }
            moved = reply.moved;
        }
        self.line("")
    }

    fn tell_page(&mut self) -> Result<(), Failure> {
        let page = self.dialogue.sitting().walk().page();
        self.line("")?;
        let first = page.items.first().is_none_or(|item| item.state == ItemState::Live);
        if page.kind != PageKind::Gate || first {
            let lang = self.dialogue.sitting().walk().lang();
            for line in page_lines(&page, &lang) {
                self.line(&line)?;
            }
        }
        self.tell_question()
    }

    fn tell_question(&mut self) -> Result<(), Failure> {
        let page = self.dialogue.sitting().walk().page();
        for line in self.dialogue.question(&page) {
            self.line(&line)?;
        }
        Ok(())
    }

    fn line(&mut self, text: &str) -> Result<(), Failure> {
        writeln!(self.out, "{}", visible(text))?;
        Ok(self.out.flush()?)
    }

    /// One typed line; `None` at its end.
    fn read(&mut self) -> Result<Option<String>, Failure> {
        let mut bytes = Vec::new();
        let taken = std::io::Read::take(&mut self.lines, 1 << 20).read_until(b'\n', &mut bytes)?;
        Ok((taken > 0).then(|| String::from_utf8_lossy(&bytes).trim_end_matches(['\r', '\n']).to_owned()))
    }
}
