//! Lines to fill in: the job before it begins, an own reading, a reason. Everything about a job may stay blank.

use super::{Effect, scrolled};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::units::{Celsius, Measure, Meter, Reading, Volts, Written};
use crate::walk::{Details, Input, OwnReading};

/// What the lines are for.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::tui) enum Purpose {
    /// A new job of this tree.
    Job(String),
    /// Why it cannot be done.
    Cannot,
    /// What the job waits for.
    Wait,
    /// A reading off the tree.
    Own,
    /// Why a reading is decided so.
    Decide {
        /// As typed.
        typed: String,
        /// The band.
        band: usize,
    },
}

const JOB: [&str; 11] = [
    "Job number",
    "Machine serial",
    "Hours",
    "Attachment",
    "Customer",
    "Site",
    "The operator said",
    "Mechanic",
    "Battery volts",
    "Temperature, °C",
    "Meter, as 0.5%+2",
];

impl Purpose {
    fn title(&self) -> &'static str {
        match self {
            Self::Job(_) => "THE JOB   what is not known stays blank",
            Self::Cannot => "CANNOT   say why",
            Self::Wait => "WAIT   the job's clock stands still. For what?",
            Self::Own => "OWN READING   kept as evidence beside the tree",
            Self::Decide { .. } => "DECIDE   say why it is this and not the other",
        }
    }

    fn labels(&self) -> &'static [&'static str] {
        match self {
            Self::Job(_) => &JOB,
            Self::Own => &["Red lead on", "Black lead on", "You read, with unit"],
            _ => &["Why"],
        }
    }
}

/// The lines, which of them is being written, and what was wrong.
#[derive(Debug)]
pub(in crate::tui) struct Form {
    pub(in crate::tui) scroll: usize,
    purpose: Purpose,
    lines: Vec<String>,
    cursor: usize,
    wrong: Option<String>,
}

impl Form {
    pub(in crate::tui) fn new(purpose: Purpose) -> Self {
        let lines = vec![String::new(); purpose.labels().len()];
        Self { scroll: 0, purpose, lines, cursor: 0, wrong: None }
    }

    pub(super) fn update(&mut self, message: Message) -> Vec<Effect> {
        let last = self.lines.len() - 1;
        match message {
            Message::Type(c) => self.lines[self.cursor].push(c),
            Message::Erase => {
                self.lines[self.cursor].pop();
            }
            Message::Up => self.cursor = self.cursor.saturating_sub(1),
            Message::Down => self.cursor = (self.cursor + 1).min(last),
            Message::Enter if self.cursor < last => self.cursor += 1,
            Message::Enter | Message::Next => return self.done(),
            other => return scrolled(&mut self.scroll, other),
        }
        self.wrong = None;
        Vec::new()
    }

    fn done(&mut self) -> Vec<Effect> {
        match self.effect() {
            Ok(effect) => vec![Effect::Close, effect],
            Err((line, wrong)) => {
                self.cursor = line;
                self.wrong = Some(wrong);
                Vec::new()
            }
        }
    }

    fn effect(&self) -> Result<Effect, (usize, String)> {
        let first = self.lines[0].trim().to_owned();
        Ok(match &self.purpose {
            Purpose::Job(tree) => Effect::Begin(tree.clone(), Box::new(self.details()?)),
            Purpose::Cannot => Effect::Say(Input::Cannot(first)),
            Purpose::Wait => Effect::Say(Input::Wait(first)),
            Purpose::Own => Effect::Say(Input::Own(self.own()?)),
            Purpose::Decide { .. } if first.is_empty() => return Err((0, "A reason is needed.".to_owned())),
            Purpose::Decide { typed, band } => {
                Effect::Say(Input::Decide { typed: typed.clone(), band: *band, why: first })
            }
        })
    }

    fn text(&self, line: usize) -> Option<String> {
        let text = self.lines[line].trim();
        (!text.is_empty()).then(|| text.to_owned())
    }

    fn number(&self, line: usize) -> Result<Option<f64>, (usize, String)> {
        let Some(text) = self.text(line) else { return Ok(None) };
        let number = text.replace(',', ".").parse::<f64>().ok().filter(|n| n.is_finite());
        number.map(Some).ok_or_else(|| (line, format!("{}: a number, such as 12", JOB[line])))
    }

    fn details(&self) -> Result<Details, (usize, String)> {
        let volts = match self.text(8) {
            None => None,
            Some(text) => {
                let with_unit = if text.ends_with(['V', 'v']) { text } else { format!("{text} V") };
                let volts = Volts::parse(&with_unit.replace(',', "."));
                Some(volts.map_err(|e| (8, format!("{e}. Write {}", e.write)))?)
            }
        };
        let meter = match self.text(10) {
            None => None,
            Some(text) => Some(Meter::parse(&text).map_err(|e| (10, format!("{e}. Write {}", e.write)))?),
        };
        Ok(Details {
            number: self.text(0),
            serial: self.text(1),
            hours: self.number(2)?,
            attachment: self.text(3),
            customer: self.text(4),
            site: self.text(5),
            complaint: self.text(6),
            mechanic: self.text(7),
            volts,
            celsius: self.number(9)?.map(Celsius),
            meter,
        })
    }

    fn own(&self) -> Result<OwnReading, (usize, String)> {
        let red = self.text(0).ok_or_else(|| (0, "Where is the red lead?".to_owned()))?;
        let typed = self.text(2).unwrap_or_default();
        let parsed = Measure::ALL.iter().find_map(|m| Reading::parse(&typed, m.unit()).ok());
        let reading =
            parsed.ok_or_else(|| (2, "That is no reading. Write 12.4 V, 0.3 ohm or OL.".to_owned()))?;
        Ok(OwnReading { red, black: self.text(1), with: Vec::new(), reading })
    }

    pub(super) fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(width, session.around.letters, Place::Form, "");
        framed.scroll = self.scroll;
        framed.head.text(Role::Strong, 1, self.purpose.title());
        for (nth, (label, line)) in self.purpose.labels().iter().zip(&self.lines).enumerate() {
            let from = framed.body.len();
            let here = nth == self.cursor;
            let mark = if here { " > " } else { "   " };
            let shown = match (here, line.is_empty()) {
                (true, _) => format!("{line}_"),
                (false, true) => "..".to_owned(),
                (false, false) => line.clone(),
            };
            let role = if here { Role::Field } else { Role::Plain };
            framed.body.hanging((Role::Strong, &format!("{mark}{label}")), 24, (role, &shown));
            if here {
                framed.keep = Some(from..framed.body.len());
            }
        }
        if let Some(wrong) = &self.wrong {
            framed.pinned.text(Role::Live, 3, wrong);
        }
        framed
    }
}
