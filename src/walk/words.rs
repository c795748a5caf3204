//! The labels of a page, in English and Spanish.

use crate::diag::{Lang, Text};
use crate::reason::ShouldRead;
use crate::safety::Words;
use crate::tree::{CloseAs, RepairJob};
use crate::units::{Band, Measure};

use super::event::{CabStands, EndedAs};

/// A label.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Label {
    None,
    SetFirst,
    RedLead,
    BlackLead,
    Frame,
    Across,
    ClampAround,
    At,
    Loaded,
    WhileMoving,
    WaitFirst,
    Repeat,
    ReadWord,
    ShouldRead,
    Place,
    Cause,
    Found,
    Repair,
    WaitsFor,
    Caution,
    Waiting,
    NeededFor,
    NeededAgain,
    NoWay,
    BeforeDriving,
    Take,
    CabStands,
    CodeLeft,
    NoCodeLeft,
    CodesNotAsked,
}

impl Label {
    pub(super) fn in_lang(self, lang: &Lang) -> &'static str {
        let (en, es) = match self {
            Self::None => ("", ""),
            Self::SetFirst => ("Set first", "Poner antes"),
            Self::RedLead => ("Red lead", "Punta roja"),
            Self::BlackLead => ("Black lead", "Punta negra"),
            Self::Frame => ("the frame", "el chasis"),
            Self::Across => ("Across", "Entre"),
            Self::ClampAround => ("Clamp around", "Pinza en"),
            Self::At => ("At", "En"),
            Self::Loaded => ("Loaded with", "Con carga de"),
            Self::WhileMoving => ("While moving", "Moviendo"),
            Self::WaitFirst => ("Wait first", "Esperar antes"),
            Self::Repeat => ("Times", "Veces"),
            Self::ShouldRead => ("Should read", "Debe leer"),
            Self::ReadWord => ("READ", "LEER"),
            Self::Place => ("Place", "Lugar"),
            Self::Cause => ("Remove cause", "Quitar causa"),
            Self::Found => ("Found", "Hallado"),
            Self::Repair => ("Repair what was found", "Repare lo hallado"),
            Self::WaitsFor => ("Waits for", "Espera"),
            Self::Caution => ("CAUTION", "PRECAUCIÓN"),
            Self::Waiting => {
                ("Waiting. The job's clock stands still.", "En espera. El reloj del trabajo está parado.")
            }
            Self::NeededFor => ("Needed before", "Hace falta antes de"),
            Self::NeededAgain => (
                "It may have been undone meanwhile. Needed again before",
                "Puede que alguien lo deshiciera. Hace falta otra vez antes de",
            ),
            Self::NoWay => (
                "The machine cannot be made safe from here. Guard it, then hand it over.",
                "Desde aquí no se puede asegurar la máquina. Protéjala y entréguela.",
            ),
            Self::Take => ("Take", "Llevar"),
            Self::CabStands => (
                "The job was left with the cab up. How does the cab stand now? Look from outside; no hand and no head under it.",
                "El trabajo quedó con la cabina arriba. ¿Cómo está ahora la cabina? Mire desde afuera; ni manos ni cabeza debajo.",
            ),
            Self::CodeLeft => ("Code still there", "Código que sigue"),
            Self::NoCodeLeft => ("No code is there any more.", "Ya no hay códigos."),
            Self::CodesNotAsked => {
                ("Which codes are still there has not been said.", "No se ha dicho qué códigos siguen.")
            }
            Self::BeforeDriving => ("Just before it drives", "Justo antes de que avance"),
        };
        if lang.code() == "es" { es } else { en }
    }

    /// The word for what is read.
    pub(super) const fn measure(measure: Measure) -> Words {
        let (en, es) = match measure {
            Measure::Volts => ("VOLTS", "VOLTIOS"),
            Measure::Ohms => ("OHMS", "OHMIOS"),
            Measure::Amps => ("AMPS", "AMPERIOS"),
            Measure::Hertz => ("HERTZ", "HERCIOS"),
            Measure::Percent => ("PER CENT", "POR CIENTO"),
            Measure::Pressure => ("PRESSURE", "PRESIÓN"),
            Measure::Temperature => ("TEMPERATURE", "TEMPERATURA"),
            Measure::Rpm => ("RPM", "RPM"),
        };
        Words { en, es }
    }

    /// The word for what a repair does.
    pub(super) const fn repair(job: RepairJob) -> Words {
        let (en, es) = match job {
            RepairJob::Splice => ("Splice", "Empalmar"),
            RepairJob::Rewire => ("Replace wire", "Cambiar cable"),
            RepairJob::Sleeve => ("Sleeve", "Poner funda"),
            RepairJob::Solder => ("Solder", "Soldar"),
            RepairJob::Replace => ("Replace", "Cambiar"),
            RepairJob::Clean => ("Clean", "Limpiar"),
            RepairJob::Tighten => ("Tighten", "Apretar"),
            RepairJob::Adjust => ("Adjust", "Ajustar"),
            RepairJob::Fill => ("Fill or charge", "Llenar o cargar"),
        };
        Words { en, es }
    }
}

/// The word for what a repair does, in a language.
#[must_use]
pub fn repair_word(job: RepairJob, lang: &Lang) -> &'static str {
    Label::repair(job).in_lang(lang)
}

/// How a cab stands, in a language.
#[must_use]
pub fn cab_words(cab: CabStands, lang: &Lang) -> &'static str {
    let words = match cab {
        CabStands::Down => Words { en: "Down and latched", es: "Abajo y trabada" },
        CabStands::Held => {
            Words { en: "Up, its support in and pinned", es: "Arriba, con el soporte puesto y el pasador" }
        }
        CabStands::Loose => {
            Words { en: "Up and not held, or I cannot say", es: "Arriba y sin sostén, o no lo sé" }
        }
    };
    words.in_lang(lang)
}

/// What closing the job here will say of it.
pub(super) fn closing_words(how: CloseAs) -> Text {
    match how {
        CloseAs::Repaired => {
            Text::both("Close the job: repaired and proved", "Cerrar el trabajo: reparado y comprobado")
        }
        CloseAs::NotReproduced => {
            Text::both("Close the job: it did not show", "Cerrar el trabajo: no se manifestó")
        }
        CloseAs::Temporary => {
            Text::both("Close the job: works for now", "Cerrar el trabajo: funciona por ahora")
        }
    }
}

/// How a job ended, in words.
pub(super) fn ended_words(how: EndedAs) -> Text {
    match how {
        EndedAs::Closed(CloseAs::Repaired) => {
            Text::both("Closed: repaired and proved", "Cerrado: reparado y comprobado")
        }
        EndedAs::Closed(CloseAs::NotReproduced) => {
            Text::both("Closed: it did not show", "Cerrado: no se manifestó")
        }
        EndedAs::Closed(CloseAs::Temporary) => {
            Text::both("Closed: works for now", "Cerrado: funciona por ahora")
        }
        EndedAs::Referred => Text::both("Handed over", "Entregado a otros"),
        EndedAs::Guarded => Text::both(
            "Handed over: the machine could not be made safe",
            "Entregado: no se pudo asegurar la máquina",
        ),
    }
}

/// A band as a range, in a language.
#[must_use]
pub fn band_words(band: Band, lang: &Lang) -> String {
    if lang.code() != "es" {
        return band.to_string();
    }
    match (band.from(), band.to()) {
        (None, Some(to)) => format!("menos de {to}"),
        (Some(from), None) => format!("{from} o más"),
        (Some(from), Some(to)) => format!("de {from} a {to}"),
        (None, None) if band.jumps() => "salta".to_owned(),
        (None, None) => "cualquier lectura".to_owned(),
    }
}

/// What a meter should show, in words.
#[must_use]
pub fn should_words(should: ShouldRead) -> String {
    match should {
        ShouldRead::About(amount) => rounded(amount),
        ShouldRead::Over => "OL".to_owned(),
        ShouldRead::Between(low, high) => format!("{} … {}", rounded(low), rounded(high)),
    }
}

/// As a meter would show it, three digits.
fn rounded(amount: crate::units::Amount) -> String {
    let value = amount.value();
    if value.abs() < 1e-3 {
        return crate::units::Amount::new(amount.unit(), 0.0).to_string();
    }
    let power = 10_f64.powf(2.0 - value.abs().log10().floor());
    crate::units::Amount::new(amount.unit(), (value * power).round() / power).to_string()
}
