//! Sums for a repair: which one by its number, then a few lines to fill in; the figure stands under them while they are
//! typed. The repair room knows the tables; where each figure is from stands beside it.

use super::lines::{Heard, Lines};
use super::{Effect, List, Screen, Shown, scrolled};
use crate::diag::Lang;
use crate::repair::{
    Copper, Duty, Limit, PullTable, Strand, barrel, fuse, gauge, pull_on_sample, sleeve, traded_as,
};
use crate::safety::{Signal, Words};
use crate::tui::frame::Framed;
use crate::tui::keys::Place;
use crate::tui::message::Message;
use crate::tui::session::Session;
use crate::tui::theme::Role;
use crate::tui::words::say;
use crate::units::{Amps, Celsius, Metres, QuantityError, Volts, WireSize, Written};

/// Which sum.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::tui) enum Sum {
    Ohms,
    Drop,
    Gauge,
    Barrel,
    Sleeve,
    Fuse,
}

const ALL: [(char, Sum); 6] = [
    ('1', Sum::Ohms),
    ('2', Sum::Drop),
    ('3', Sum::Gauge),
    ('4', Sum::Barrel),
    ('5', Sum::Sleeve),
    ('6', Sum::Fuse),
];

const TITLE: Words = say("Repair sums", "Cálculos de reparación");
const SIZE: Words = say("Wire, 14AWG or 1mm2", "Cable, 14AWG o 1mm2");
const LENGTH: Words = say("Length out and back", "Largo ida y vuelta");
const AMPS: Words = say("Amps", "Amperios");
const ALLOWED: Words = say("Drop allowed, volts", "Caída admitida, V");
const JOINED: [Words; 3] = [
    say("First wire, as 1mm2", "Primer cable, 1mm2"),
    say("Second wire", "Segundo cable"),
    say("Third, if any", "Tercero, si lo hay"),
];
const DIAMETERS: [Words; 2] =
    [say("Passes over, mm", "Pasa por, mm"), say("Grips down to, mm", "Aprieta hasta, mm")];
const COPPER: Words = say(
    "IEC 60028: 1/58 ohm mm2/m at 20 °C; stranded 1.02 over solid (NFPA 70 ch. 9 table 8).",
    "IEC 60028: 1/58 ohm mm2/m a 20 °C; trenzado 1.02 sobre macizo (NFPA 70 cap. 9 tabla 8).",
);
const CRIMP: Words = say(
    "Isolated and locked out before you cut; eye protection.",
    "Aislada y bloqueada antes de cortar; protección para los ojos.",
);
const HEAT: Words = say(
    "Heat only after the hot-work gate: fuel and oil wiped, hoses and battery shielded, no open flame.",
    "Calor solo tras el control de trabajo en caliente: combustible y aceite limpios, mangueras y batería cubiertas, sin llama.",
);
const BLOWN: Words = say(
    "Never a larger fuse than the maker fitted: find out why it blew.",
    "Nunca un fusible mayor que el del fabricante: averigüe por qué se fundió.",
);
const DEFER: Words =
    say("The maker's instructions come first.", "Las instrucciones del fabricante van primero.");

impl Sum {
    const fn title(self) -> Words {
        match self {
            Self::Ohms => say("Resistance of a wire", "Resistencia de un cable"),
            Self::Drop => say("Drop along a wire", "Caída a lo largo de un cable"),
            Self::Gauge => say("Size for a current and a drop", "Sección para una corriente y una caída"),
            Self::Barrel => say("Barrel for a splice", "Manguito para un empalme"),
            Self::Sleeve => say("Heat-shrink sleeve", "Funda termorretráctil"),
            Self::Fuse => say("Fuse for a wire", "Fusible para un cable"),
        }
    }

    const fn labels(self) -> &'static [Words] {
        match self {
            Self::Ohms => &[SIZE, LENGTH],
            Self::Drop => &[SIZE, LENGTH, AMPS],
            Self::Gauge => &[AMPS, LENGTH, ALLOWED],
            Self::Barrel => &JOINED,
            Self::Sleeve => &DIAMETERS,
            Self::Fuse => &[SIZE, AMPS],
        }
    }

    const fn caution(self) -> Option<(Signal, Words)> {
        match self {
            Self::Ohms | Self::Drop | Self::Gauge => None,
            Self::Barrel => Some((Signal::Caution, CRIMP)),
            Self::Sleeve => Some((Signal::Warning, HEAT)),
            Self::Fuse => Some((Signal::Caution, BLOWN)),
        }
    }

    fn opens(self) -> Effect {
        Effect::Open(match self {
            Self::Ohms => |_| Ok(Screen::Sums(Sums::new(Self::Ohms))),
            Self::Drop => |_| Ok(Screen::Sums(Sums::new(Self::Drop))),
            Self::Gauge => |_| Ok(Screen::Sums(Sums::new(Self::Gauge))),
            Self::Barrel => |_| Ok(Screen::Sums(Sums::new(Self::Barrel))),
            Self::Sleeve => |_| Ok(Screen::Sums(Sums::new(Self::Sleeve))),
            Self::Fuse => |_| Ok(Screen::Sums(Sums::new(Self::Fuse))),
        })
    }
}

/// The lines of one sum.
#[derive(Debug)]
pub(in crate::tui) struct Sums {
    scroll: usize,
    sum: Sum,
    lines: Lines,
}

/// What comes out: the figure, and what stands under it; or what is wrong with which line.
type Figure = Result<Vec<String>, Unfit>;

/// Why there is no figure.
enum Unfit {
    Quantity(QuantityError),
    Other(String),
}

impl From<String> for Unfit {
    fn from(why: String) -> Self {
        Self::Other(why)
    }
}

impl Sums {
    fn new(sum: Sum) -> Self {
        Self { scroll: 0, sum, lines: Lines::blank(sum.labels().len()) }
    }

    /// The list of sums.
    pub(in crate::tui) fn list(session: &Session) -> List {
        let entry = |(key, sum): (char, Sum)| {
            (key, session.word(sum.title()).to_owned(), vec![Effect::Close, sum.opens()])
        };
        List::of(session.word(TITLE), ALL.map(entry).to_vec())
    }

    fn quantity<Q: Written>(&self, line: usize, unit: &str) -> Result<Q, Unfit> {
        let text = self.lines.text(line).unwrap_or_default().replace(',', ".");
        let bare = text.parse::<f64>().is_ok() && !unit.is_empty();
        let text = if bare { format!("{text} {unit}") } else { text };
        Q::parse_above_zero(&text).map_err(Unfit::Quantity)
    }

    fn copper(&self, line: usize) -> Result<Copper, Unfit> {
        Ok(Copper { size: self.quantity(line, "")?, strand: Strand::Stranded, celsius: Celsius(20.0) })
    }

    fn figure(&self, session: &Session) -> Figure {
        match self.sum {
            Sum::Ohms | Sum::Drop => self.along_wire(session),
            Sum::Gauge => self.size(session),
            Sum::Barrel => self.barrel(),
            Sum::Sleeve => self.sleeve(),
            Sum::Fuse => self.fuse(session),
        }
    }

    fn along_wire(&self, session: &Session) -> Figure {
        let (copper, length) = (self.copper(0)?, self.quantity::<Metres>(1, "m")?);
        let ohms = copper.ohms(length).map_err(|error| error.to_string())?;
        let basis = session.word(COPPER).to_owned();
        if self.sum == Sum::Ohms {
            return Ok(vec![format!("{ohms}"), basis]);
        }
        let amps: Amps = self.quantity(2, "A")?;
        let volts = copper.drop(length, amps).map_err(|error| error.to_string())?;
        Ok(vec![format!("{volts}"), format!("{ohms}, V = R I (AC 43.13-1B table 11-7)"), basis])
    }

    fn size(&self, session: &Session) -> Figure {
        let duty = Duty {
            current: self.quantity(0, "A")?,
            length: self.quantity(1, "m")?,
            drop: self.quantity::<Volts>(2, "V")?,
        };
        let choice = gauge(duty, Strand::Stranded, Celsius(20.0)).map_err(|error| error.to_string())?;
        let by = session.word(match choice.limit {
            Limit::Drop => say("decided by the drop", "decide la caída"),
            Limit::Current => say("decided by the current", "decide la corriente"),
        });
        let metric = choice.metric.map(|area| format!(", {}", WireSize::Area(area))).unwrap_or_default();
        let bundled = say("in a full, hot bundle", "en un mazo lleno y caliente");
        let in_bundle = choice.in_bundle.map_or_else(|| "-".to_owned(), |size| size.to_string());
        Ok(vec![
            format!("{}{metric}   {}; {by}", choice.gauge, choice.drop),
            format!("{}: {in_bundle} (AC 43.13-1B table 11-9)", session.word(bundled)),
            "NFPA 70 table 310.16, 90 °C".to_owned(),
            session.word(COPPER).to_owned(),
        ])
    }

    fn barrel(&self) -> Figure {
        let mut wires: Vec<WireSize> = vec![self.quantity(0, "")?, self.quantity(1, "")?];
        if self.lines.text(2).is_some() {
            wires.push(self.quantity(2, "")?);
        }
        let joined = barrel(&wires).map_err(|error| error.to_string())?;
        let area = joined.area.square_millimetres().value();
        let mut lines =
            vec![format!("{}   {:.0} circular mils, {area:.3} mm² (N d²)", joined.barrel, joined.area.0)];
        for wire in wires {
            if let Some(force) = pull_on_sample(traded_as(wire), PullTable::Ul486a) {
                lines.push(format!("{wire}: {:.0} N (UL 486A)", force.0));
            }
        }
        Ok(lines)
    }

    fn sleeve(&self) -> Figure {
        let found = sleeve(self.quantity::<Metres>(0, "mm")?, self.quantity::<Metres>(1, "mm")?)
            .map_err(|error| error.to_string())?;
        let mm = |length: Metres| (length.value() * 1e7).round() / 1e4;
        Ok(vec![format!(
            "{}/{} mm, {}:1   {:.1} mm",
            mm(found.supplied),
            mm(found.recovered),
            found.ratio,
            mm(found.lay_flat())
        )])
    }

    fn fuse(&self, session: &Session) -> Figure {
        let (size, load) = (self.quantity::<WireSize>(0, "")?, self.quantity::<Amps>(1, "A")?);
        let choice = fuse(size, load).map_err(|error| error.to_string())?;
        let most = say("protected up to, in a bundle", "protegido hasta, en un mazo");
        Ok(vec![
            format!("{}", choice.rating),
            format!("{}: {} (AC 43.13-1B table 11-3, 11-49)", session.word(most), choice.in_bundle),
        ])
    }
}

fn told(unfit: &Unfit, lang: &Lang) -> String {
    match unfit {
        Unfit::Quantity(error) if lang.code() == "es" => {
            format!("{}: {}", error.in_spanish(), error.write_in_spanish())
        }
        Unfit::Quantity(error) => format!("{error}: {}", error.write),
        Unfit::Other(why) => why.clone(),
    }
}

impl Shown for Sums {
    fn place(&self, _: &Session) -> Place {
        Place::Form
    }

    fn scroll(&mut self) -> &mut usize {
        &mut self.scroll
    }

    fn update(&mut self, message: Message, _: &Session) -> Vec<Effect> {
        match self.lines.hear(message) {
            Heard::Taken => {}
            Heard::Done => self.lines.begin_again(),
            Heard::Other => return scrolled(&mut self.scroll, message),
        }
        Vec::new()
    }

    fn view(&self, session: &Session, width: u16) -> Framed {
        let mut framed = Framed::new(session, width, Place::Form, "");
        framed.scroll = self.scroll;
        if let Some((signal, hazard)) = self.sum.caution() {
            framed.head.caution(session.word(signal.words()), session.word(hazard));
            framed.head.text(Role::Plain, 1, session.word(DEFER));
        }
        framed.head.text(Role::Strong, 1, session.word(self.sum.title()));
        self.lines.view(&mut framed, session, self.sum.labels().iter().map(|label| (*label, None)));
        if (0..2).any(|line| self.lines.text(line).is_none()) {
            return framed;
        }
        match self.figure(session) {
            Ok(lines) => {
                for (nth, line) in lines.iter().enumerate() {
                    let role = if nth == 0 { Role::Live } else { Role::Plain };
                    framed.pinned.text(role, 3, line);
                }
            }
            Err(wrong) => framed.pinned.text(Role::Plain, 3, &told(&wrong, &session.lang())),
        }
        framed
    }
}
