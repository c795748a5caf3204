//! What an apprentice types, line by line, and what is told in return: plain mode and the screen drive the same.
//!
//! An empty line lets the machine answer; a number confirms the item, or says what was done; words and measurements are
//! typed as they are. Where one more line is needed (initials, a decision), the dialogue asks for it and waits.

use crate::diag::visible_line;
use crate::job::RecordFault;
use crate::safety::{Confirm, Words};
use crate::walk::{Input, ItemState, Page, PageKind};

use super::debrief::Debrief;
use super::history::Sat;
use super::sitting::{Heard, Sitting, YOU_READ, last_band};

const fn say(en: &'static str, es: &'static str) -> Words {
    Words { en, es }
}

const INITIALS: Words =
    say("Your initials, once for this practice:", "Sus iniciales, una vez para esta práctica:");
const DECIDE: Words = say(
    "Decide: number of the band and the reason, or an empty line to measure again.",
    "Decida: número de la franja y el motivo, o una línea vacía para medir otra vez.",
);
const GATE_ITEM: Words = say("Gate, item", "Control, punto");
const OF: Words = say("of", "de");
const READ: Words = say("Enter to read the meter.", "Enter para leer el medidor.");
const WHEN_SAID: Words = say("when you have said it. Said?", "cuando lo haya dicho. ¿Dicho?");
const WHEN_SEEN: Words = say("when you have seen it. Seen?", "cuando lo haya visto. ¿Visto?");

const NOT_TAKEN: Words = say("Not taken", "No se tomó");
const SAY_HELP: Words = say("Say help.", "Diga ayuda.");
const NO_STEP: Words = say("there is no step", "no hay ningún paso");
const NOT_SAID: Words = say("not said", "no se dijo");
const BAND: Words = say("Band", "Franja");
const SO_FAR: Words = say("so far", "hasta ahora");
const TOO_CLOSE: Words = say("Too close to an edge to call.", "Demasiado cerca de un borde para decidir.");
const OF_100: Words = say("of 100", "de 100");
const MACHINE_NOW: Words = say("Machine now", "Máquina ahora");

/// What is said while the debrief is worked out, which takes a while.
pub const WORKED_OUT: Words =
    say("It is over; how it went is being worked out.", "Ha terminado; se calcula cómo ha ido.");

/// The help, a line each. English words are understood in every language.
pub const PRACTICE_HELP: [Words; 4] = [
    say(
        "Enter: asks the operator, looks, or reads the meter, where the step wants that.",
        "Enter: pregunta al operador, mira o lee el medidor, donde el paso lo quiere.",
    ),
    say(
        "A measurement of your own, on one line: volts A1:7 GND1 key on, bar down. Also ohms, amps around W40, moving X14.",
        "Una medición propia, en una línea: voltios A1:7 GND1 key on, bar down. También ohmios, amperios alrededor W40, moviendo X14.",
    ),
    say(
        "back, note WORDS, cannot WHY, jump STEP, where, repeat. Items and what was done go by their number.",
        "atrás, nota PALABRAS, no-puedo MOTIVO, saltar PASO, dónde, repetir. Los puntos y lo hecho van por su número.",
    ),
    say(
        "show: gives up, or stops at the finding, and shows what it was.",
        "mostrar: se da por vencido, o para en el hallazgo, y muestra qué era.",
    ),
];

/// What is waited for beside the page's own question.
#[derive(Debug, Clone, PartialEq)]
enum Waits {
    /// Initials, to go on with what was typed.
    Initials(String),
    /// A decision about a reading too close to call.
    Decision(String),
}

/// What came of a typed line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Reply {
    /// The lines that tell it.
    pub lines: Vec<String>,
    /// The page has changed, and is to be told again.
    pub moved: bool,
}

impl Reply {
    fn lines(lines: Vec<String>) -> Self {
        Self { lines, moved: false }
    }

    fn line(line: impl Into<String>) -> Self {
        Self::lines(vec![line.into()])
    }

    fn moved() -> Self {
        Self { lines: Vec::new(), moved: true }
    }
}

/// A sitting with what is being said in it.
#[derive(Debug)]
pub struct Dialogue {
    sitting: Sitting,
    initials: Option<String>,
    waits: Option<Waits>,
}

type Told = Result<Reply, RecordFault>;

impl Dialogue {
    /// A dialogue about a sitting.
    #[must_use]
    pub const fn new(sitting: Sitting) -> Self {
        Self { sitting, initials: None, waits: None }
    }

    /// The sitting.
    #[must_use]
    pub const fn sitting(&self) -> &Sitting {
        &self.sitting
    }

    /// What is wanted now, the item of a gate first; the last line is the question.
    #[must_use]
    pub fn question(&self, page: &Page) -> Vec<String> {
        match &self.waits {
            Some(Waits::Initials(_)) => return vec![self.word(INITIALS).to_owned()],
            Some(Waits::Decision(_)) => return vec![self.word(DECIDE).to_owned()],
            None => {}
        }
        if page.kind == PageKind::Gate {
            return self.gate_question(page);
        }
        vec![match wanted(page.kind) {
            Some(words) => self.word(words).to_owned(),
            None => String::new(),
        }]
    }

    /// Words in the language that is practised in.
    #[must_use]
    pub fn word(&self, words: Words) -> &'static str {
        words.in_lang(&self.sitting.walk().lang())
    }

    fn gate_question(&self, page: &Page) -> Vec<String> {
        let live = page.items.iter().position(|i| i.state == ItemState::Live);
        let Some(live) = live else { return Vec::new() };
        let number = live + 1;
        let [gate_item, of] = [GATE_ITEM, OF].map(|words| self.word(words));
        vec![
            format!("{gate_item} {number} {of} {}. {}", page.items.len(), page.title),
            page.items[live].text.clone(),
            match page.items[live].confirm {
                Confirm::Typed(_) => self.word(READ).to_owned(),
                Confirm::SaidToOthers => format!("{number} {}", self.word(WHEN_SAID)),
                Confirm::Seen => format!("{number} {}", self.word(WHEN_SEEN)),
            },
        ]
    }

    /// Gives up, or stops: nothing more is asked.
    pub fn show(&mut self) {
        self.sitting.show();
    }

    /// Takes one typed line.
    ///
    /// # Errors
    /// When the log cannot be written.
    pub fn hear(&mut self, typed: &str) -> Told {
        let typed = typed.trim();
        match self.waits.take() {
            Some(Waits::Initials(then)) => self.named(typed, then),
            Some(Waits::Decision(reading)) => self.decided(typed, reading),
            None => self.typed(typed),
        }
    }

    fn typed(&mut self, typed: &str) -> Told {
        let (word, rest) = typed.split_once(' ').unwrap_or((typed, ""));
        let rest = rest.trim().to_owned();
        match word.to_lowercase().as_str() {
            "" if self.sitting.machine_answers() => self.ask(),
            "show" | "mostrar" => {
                self.sitting.show();
                Ok(Reply::default())
            }
            "help" | "ayuda" => {
                Ok(Reply::lines(PRACTICE_HELP.map(|line| self.word(line).to_owned()).to_vec()))
            }
            "repeat" | "repetir" => Ok(Reply::moved()),
            "where" | "dónde" | "donde" => Ok(Reply::lines(self.whereabouts())),
            "back" | "atrás" | "atras" => self.say(Input::Back(None)),
            "note" | "nota" => self.say(Input::Note(rest)),
            "cannot" | "no-puedo" => {
                let why = if rest.is_empty() { self.word(NOT_SAID).to_owned() } else { rest };
                self.say(Input::Cannot(why))
            }
            "jump" | "saltar" => match self.sitting.walk().course().tree().find(&rest) {
                Some(ix) => self.say(Input::Jump(ix)),
                None => Ok(self.not_taken(&format!("{} `{}`", self.word(NO_STEP), visible_line(&rest)))),
            },
            "meter" | "volts" | "volt" | "v" | "ohms" | "ohm" | "amps" | "amp" | "medidor" | "voltios"
            | "ohmios" | "amperios" => {
                let heard = self.sitting.measure(typed)?;
                Ok(Reply { moved: false, ..self.told(heard) })
            }
            _ => self.number(typed),
        }
    }

    fn ask(&mut self) -> Told {
        let kind = self.sitting.walk().page().kind;
        if kind == PageKind::Gate && self.initials.is_none() {
            self.waits = Some(Waits::Initials(String::new()));
            return Ok(Reply::default());
        }
        let by = self.initials.clone().unwrap_or_default();
        let heard = self.sitting.ask(&by)?;
        let taken = matches!(heard, Heard::Taken(_));
        let mut reply = self.told(heard);
        if taken && kind == PageKind::Read {
            reply
                .lines
                .extend(last_band(self.sitting.walk()).map(|band| format!("{}: {band}", self.word(BAND))));
        }
        if taken && kind != PageKind::Gate {
            reply.lines.push(self.so_far());
        }
        Ok(reply)
    }

    fn told(&mut self, heard: Heard) -> Reply {
        match heard {
            Heard::Taken(said) => Reply { lines: said.into_iter().collect(), moved: true },
            Heard::NotTaken(why) => self.not_taken(&why),
            Heard::Stopped(lines) => Reply::lines(lines),
            Heard::TooClose(typed, chances) => {
                let [read, close, of] = [YOU_READ, TOO_CLOSE, OF_100].map(|words| self.word(words));
                let mut lines = vec![format!("{read} {typed}. {close}")];
                let line =
                    |c: &crate::units::BandChance| format!("  {}. {:.0} {of}", c.band + 1, 100.0 * c.chance);
                lines.extend(chances.iter().map(line));
                self.waits = Some(Waits::Decision(typed));
                Reply::lines(lines)
            }
        }
    }

    fn decided(&mut self, typed: &str, reading: String) -> Told {
        let (number, why) = typed.split_once(' ').unwrap_or((typed, ""));
        match number.parse::<usize>().ok().and_then(|n| n.checked_sub(1)) {
            Some(band) => self.say(Input::Decide { typed: reading, band, why: why.to_owned() }),
            None => Ok(Reply::moved()),
        }
    }

    fn named(&mut self, typed: &str, then: String) -> Told {
        let initials: String = typed.chars().take(12).collect();
        if initials.is_empty() {
            self.waits = Some(Waits::Initials(then));
            return Ok(Reply::default());
        }
        self.initials = Some(initials);
        self.typed(&then)
    }

    fn number(&mut self, typed: &str) -> Told {
        let page = self.sitting.walk().page();
        match page.kind {
            PageKind::Gate => self.confirm(&page, typed),
            PageKind::Do | PageKind::Find | PageKind::Close | PageKind::Refer if typed == "1" => {
                self.say(Input::Done)
            }
            PageKind::Waiting => self.say(Input::Stayed),
            _ => {
                let [not_taken, help] = [NOT_TAKEN, SAY_HELP].map(|words| self.word(words));
                Ok(Reply::line(format!("{not_taken}: {}. {help}", visible_line(typed))))
            }
        }
    }

    fn confirm(&mut self, page: &Page, typed: &str) -> Told {
        let Some(live) = page.items.iter().position(|i| i.state == ItemState::Live) else {
            return Ok(Reply::moved());
        };
        if typed != (live + 1).to_string() || matches!(page.items[live].confirm, Confirm::Typed(_)) {
            return Ok(Reply::lines(self.gate_question(page)));
        }
        let Some(by) = self.initials.clone() else {
            self.waits = Some(Waits::Initials(typed.to_owned()));
            return Ok(Reply::default());
        };
        self.say(Input::Confirm { item: live, by, typed: None })
    }

    fn whereabouts(&self) -> Vec<String> {
        let walk = self.sitting.walk();
        let tree = walk.course().tree();
        let mut lines =
            vec![format!("{}: {}", self.word(MACHINE_NOW), walk.page().machine_now), self.so_far()];
        let steps: Vec<&str> = walk.visits().iter().map(|v| tree.step(v.step).id.as_str()).collect();
        lines.extend(steps[steps.len().saturating_sub(8)..].iter().map(|step| format!("  {step}")));
        lines
    }

    fn so_far(&self) -> String {
        format!("{:.0} min {}.", self.sitting.walk().minutes_worked(), self.word(SO_FAR))
    }

    fn not_taken(&self, why: &str) -> Reply {
        Reply::line(format!("{}: {why}.", self.word(NOT_TAKEN)))
    }

    fn say(&mut self, input: Input) -> Told {
        let heard = self.sitting.say(input)?;
        Ok(self.told(heard))
    }

    /// The debrief, and what is to be remembered of the sitting.
    ///
    /// # Errors
    /// When the log cannot be read or written.
    pub fn debrief(&mut self) -> Result<(Debrief, Sat), RecordFault> {
        let debrief = self.sitting.debrief()?;
        let sat = Sat {
            tree: self.sitting.walk().course().tree().id.clone(),
            day: self.sitting.walk().started().date(),
            hidden: self.sitting.specimen().hidden_name().to_owned(),
            found: debrief.found,
            took: debrief.took.clone().unwrap_or_default(),
        };
        Ok((debrief, sat))
    }
}

/// What is wanted at a page that is no gate, said as a question.
const fn wanted(kind: PageKind) -> Option<Words> {
    Some(match kind {
        PageKind::Ask => say("Enter to ask.", "Enter para preguntar."),
        PageKind::Look => say("Enter to look.", "Enter para mirar."),
        PageKind::Read => READ,
        PageKind::Do => say("1 when it is done. Done?", "1 cuando esté hecho. ¿Hecho?"),
        PageKind::Find => say(
            "1 to go on to the repair, show to stop here. Which?",
            "1 para seguir a la reparación, mostrar para parar aquí. ¿Cuál?",
        ),
        PageKind::Close | PageKind::Refer => {
            say("1 to end the job here. End it?", "1 para terminar aquí el trabajo. ¿Terminar?")
        }
        PageKind::Waiting => say("1 when you are back. Back?", "1 cuando esté de vuelta. ¿De vuelta?"),
        PageKind::Gate | PageKind::Ended => return None,
    })
}
