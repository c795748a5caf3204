//! The labels of a page, in English and Spanish.

use crate::diag::Lang;
use crate::safety::Words;
use crate::tree::RepairJob;
use crate::units::Measure;

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
    NoWay,
    BeforeDriving,
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
            Self::Cause => ("Cause", "Causa"),
            Self::Found => ("Found", "Hallado"),
            Self::Repair => ("Repair what was found", "Repare lo hallado"),
            Self::WaitsFor => ("Waits for", "Espera"),
            Self::Caution => ("CAUTION", "PRECAUCIÓN"),
            Self::Waiting => {
                ("Waiting. The job's clock stands still.", "En espera. El reloj del trabajo está parado.")
            }
            Self::NeededFor => ("Needed before", "Hace falta antes de"),
            Self::NoWay => (
                "The machine cannot be made safe from here. Guard it, then hand it over.",
                "Desde aquí no se puede asegurar la máquina. Protéjala y entréguela.",
            ),
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
