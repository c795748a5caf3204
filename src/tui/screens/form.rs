//! Lines to fill in: the job before it begins, an own reading, a reason. Everything about a job may stay blank.

use super::lines::{Heard, Lines, Wrong};
use super::{Effect, Shown, scrolled};
use crate::safety::Words;
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::tui::words::say;
use crate::units::{Celsius, Measure, Meter, Reading, Volts, Written};
use crate::walk::{Code, Details, Input, OwnReading, unreadable};

/// Which tree.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::tui) enum Chosen {
    /// A shipped one, by its name.
    Shelf(String),
    /// The one that the program was started with.
    Given,
}

/// What the lines are for.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::tui) enum Purpose {
    /// A new job of this tree.
    Job(Chosen),
    /// Why it cannot be done.
    Cannot,
    /// What the job waits for.
    Wait,
    /// A reading off the tree.
    Own,
    /// A code that is still there.
    Code,
    /// How the machine was left, and who was told.
    Left,
    /// Why a reading is decided so.
    Decide {
        /// As typed.
        typed: String,
        /// The band.
        band: usize,
    },
}

const JOB: [Words; 11] = [
    say("Job number", "N.º de trabajo"),
    say("Machine serial", "Serie de la máquina"),
    say("Hours", "Horas"),
    say("Attachment", "Implemento"),
    say("Customer", "Cliente"),
    say("Site", "Lugar"),
    say("The operator said", "El operador dijo"),
    say("Mechanic", "Mecánico"),
    say("Battery volts", "Voltios de batería"),
    say("Temperature, °C", "Temperatura, °C"),
    say("Meter, as 0.5%+2", "Medidor, como 0.5%+2"),
];
/// The line of the meter.
const METER: usize = 10;
const OWN: [Words; 3] = [
    say("Red lead on", "Punta roja en"),
    say("Black lead on", "Punta negra en"),
    say("You read, with unit", "Leyó, con unidad"),
];
const CODE: [Words; 1] = [say("SPN and FMI, as 520301 4", "SPN y FMI, como 520301 4")];
const NO_CODE: Words =
    say("That is no code. SPN and FMI, as 520301 4.", "Eso no es un código. SPN y FMI, como 520301 4.");
const HOW: [Words; 1] = [say("It stands so", "Queda así")];
const FOR_WHAT: [Words; 1] = [say("For what", "Para qué")];
const WHY: [Words; 1] = [say("Why", "Por qué")];
const REASON_NEEDED: Words = say("A reason is needed.", "Hace falta un motivo.");
const A_NUMBER: Words = say("a number, such as 12", "un número, como 12");
const WHERE_RED: Words = say("Where is the red lead?", "¿Dónde está la punta roja?");
const NO_READING: Words = say(
    "That is no reading. Write 12.4 V, 0.3 ohm or OL.",
    "Eso no es una lectura. Escriba 12.4 V, 0.3 ohm u OL.",
);

impl Purpose {
    const fn title(&self) -> Words {
        match self {
            Self::Job(_) => say(
                "THE JOB   what is not known stays blank",
                "EL TRABAJO   lo que no se sabe queda en blanco",
            ),
            Self::Cannot => say("CANNOT   say why", "NO SE PUEDE   diga por qué"),
            Self::Wait => say(
                "WAIT   the clock stands still. A part, weather, the customer, called away?",
                "ESPERAR   el reloj se para. ¿Una pieza, el tiempo, el cliente, otra llamada?",
            ),
            Self::Own => say(
                "OWN READING   kept as evidence beside the tree",
                "LECTURA PROPIA   queda como prueba junto al árbol",
            ),
            Self::Left => say(
                "LEFT   how does the machine stand, and who was told?",
                "QUEDA   ¿cómo está la máquina, y a quién se avisó?",
            ),
            Self::Code => say(
                "CODE STILL THERE   as the display shows it",
                "CÓDIGO QUE SIGUE   como lo muestra la pantalla",
            ),
            Self::Decide { .. } => say(
                "DECIDE   say why it is this and not the other",
                "DECIDIR   diga por qué es esta y no la otra",
            ),
        }
    }

    const fn labels(&self) -> &'static [Words] {
        match self {
            Self::Job(_) => &JOB,
            Self::Own => &OWN,
            Self::Code => &CODE,
            Self::Left => &HOW,
            Self::Wait => &FOR_WHAT,
            _ => &WHY,
        }
    }
}

/// The lines, and what they are for.
#[derive(Debug)]
pub(in crate::tui) struct Form {
    scroll: usize,
    purpose: Purpose,
    lines: Lines,
}

impl Form {
    pub(in crate::tui) fn new(purpose: Purpose) -> Self {
        let lines = Lines::blank(purpose.labels().len());
        Self { scroll: 0, purpose, lines }
    }

    fn done(&mut self, session: &Session) -> Vec<Effect> {
        match self.effect(session) {
            Ok(effect) => vec![Effect::Close, effect],
            Err(wrong) => {
                self.lines.refuse(wrong);
                Vec::new()
            }
        }
    }

    fn effect(&self, session: &Session) -> Result<Effect, Wrong> {
        let first = self.text(0).unwrap_or_default();
        Ok(match &self.purpose {
            Purpose::Job(chosen) => Effect::Begin(chosen.clone(), Box::new(self.details(session)?)),
            Purpose::Cannot => Effect::Say(Input::Cannot(first)),
            Purpose::Wait => Effect::Say(Input::Wait(first)),
            Purpose::Left if first.is_empty() => return Err((0, session.word(REASON_NEEDED).to_owned())),
            Purpose::Left => Effect::Say(Input::Left(first)),
            Purpose::Code => match (Code::parse(&first), session.walk()) {
                (Some(code), Some(walk)) => Effect::Say(Input::CodeLeft(walk.named(code))),
                _ => return Err((0, session.word(NO_CODE).to_owned())),
            },
            Purpose::Own => Effect::Say(Input::Own(self.own(session)?)),
            Purpose::Decide { .. } if first.is_empty() => {
                return Err((0, session.word(REASON_NEEDED).to_owned()));
            }
            Purpose::Decide { typed, band } => {
                Effect::Say(Input::Decide { typed: typed.clone(), band: *band, why: first })
            }
        })
    }

    fn text(&self, line: usize) -> Option<String> {
        self.lines.text(line).map(str::to_owned)
    }

    fn number(&self, line: usize, session: &Session) -> Result<Option<f64>, Wrong> {
        let Some(text) = self.text(line) else { return Ok(None) };
        let number = text.replace(',', ".").parse::<f64>().ok().filter(|n| n.is_finite());
        let wrong = || (line, format!("{}: {}", session.word(JOB[line]), session.word(A_NUMBER)));
        number.map(Some).ok_or_else(wrong)
    }

    fn details(&self, session: &Session) -> Result<Details, Wrong> {
        let lang = session.lang();
        let volts = match self.text(8) {
            None => None,
            Some(text) => {
                let with_unit = if text.ends_with(['V', 'v']) { text } else { format!("{text} V") };
                let volts = Volts::parse(&with_unit.replace(',', "."));
                Some(volts.map_err(|e| (8, unreadable(&e, &lang)))?)
            }
        };
        let meter = match self.text(METER) {
            None => None,
            Some(text) => Some(Meter::parse(&text).map_err(|e| (METER, unreadable(&e, &lang)))?),
        };
        Ok(Details {
            number: self.text(0),
            serial: self.text(1),
            hours: self.number(2, session)?,
            attachment: self.text(3),
            customer: self.text(4),
            site: self.text(5),
            complaint: self.text(6),
            mechanic: self.text(7),
            volts,
            celsius: self.number(9, session)?.map(Celsius),
            meter,
        })
    }

    fn own(&self, session: &Session) -> Result<OwnReading, Wrong> {
        let red = self.text(0).ok_or_else(|| (0, session.word(WHERE_RED).to_owned()))?;
        let typed = self.text(2).unwrap_or_default();
        let parsed = Measure::ALL.iter().find_map(|m| Reading::parse(&typed, m.unit()).ok());
        let reading = parsed.ok_or_else(|| (2, session.word(NO_READING).to_owned()))?;
        Ok(OwnReading { red, black: self.text(1), with: Vec::new(), reading })
    }
}

impl Shown for Form {
    fn place(&self, _: &Session) -> Place {
        Place::Form
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn update(&mut self, message: Message, session: &Session) -> Vec<Effect> {
        match self.lines.hear_warning(message, session) {
            Heard::Taken => Vec::new(),
            Heard::Done => self.done(session),
            Heard::Other => scrolled(&mut self.scroll, message),
        }
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Form, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, session.word(self.purpose.title()));
        let is_meter = |nth: usize| matches!(self.purpose, Purpose::Job(_)) && nth == METER;
        let known = |nth| session.around.meter.filter(|_| is_meter(nth)).map(|meter| meter.to_string());
        let labels = self.purpose.labels().iter().enumerate().map(|(nth, label)| (*label, known(nth)));
        self.lines.view(&mut framed, session, labels);
        framed
    }
}
