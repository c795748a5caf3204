//! The repair sheet: from a hurt wire to what is done, with what, and what stays.
//!
//! Rules: no splice at the rub itself or where the harness flexes, there the wire is replaced across it; a wire that is
//! green inside is replaced whole; ends that do not meet take a piece and two splices, staggered; near fuel no heat
//! at the machine; a wire that has a splice already is replaced whole. The sheet is data; its lines, cautions and parts say it.

mod damage;
mod fill;
mod hazards;
mod parts;
mod words;

pub use damage::{CorrectionError, Damage, Flex, Injury, Near, Pair};
pub use fill::repair_sheet;
pub use parts::Part;
pub use words::SheetLine;

use serde::{Deserialize, Serialize};

use crate::units::{Amps, Metres, Volts, WireSize};

use super::{LetIn, Newtons, Nicked, RouteFigure, Wrap};

/// What is done to the wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// One splice: the ends meet in a still length, away from the rub.
    Splice,
    /// A piece is let in across the place, with two splices where the harness is still.
    Across,
    /// The wire is replaced from end to end.
    WholeWire,
}

/// Why that is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reason {
    /// A splice at the rub would be rubbed again.
    AtTheRub,
    /// A splice breaks where the harness flexes.
    Flexes,
    /// The ends do not meet, and a joined wire must not be under tension.
    EndsDoNotMeet,
    /// The ends meet.
    EndsMeet,
    /// Corrosion creeps along the strands farther than one sees.
    GreenSpreads,
    /// Where it is hurt is not seen, so no length of it can be trusted.
    NotSeen,
    /// The piece would be half of the wire or more.
    ShortWire,
    /// A wire takes one splice between its connectors, two for a piece let in; this one has some already.
    SplicedBefore,
    /// A battery or feed cable carries too much for a joint.
    HeavyCable,
    /// New wire with its terminals crimped at the bench needs no heat at the fuel.
    NearFuel,
}

/// What the sheet still needs to know.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Question {
    /// The wire's size.
    Size,
    /// Whether the harness moves there.
    Flex,
    /// How much of it moves.
    Flexing,
    /// What is missing between the ends.
    Missing,
    /// What it rubbed on.
    RubbedOn,
}

/// The barrel of each splice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct BarrelOnSheet {
    /// In line, end to end: the gauge each end takes.
    pub in_line: WireSize,
    /// Side by side in one short barrel: the gauge for the sum of both areas.
    pub side_by_side: WireSize,
    /// How long it is, about.
    pub length: Metres,
    /// How thick it is, about.
    pub thickness: Metres,
}

/// The sleeve over each splice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct SleeveOnSheet {
    /// Inside diameter as supplied.
    pub supplied: Metres,
    /// Inside diameter after it has shrunk freely.
    pub recovered: Metres,
    /// The ratio it is sold under.
    pub ratio: u8,
    /// The length to cut.
    pub cut: Metres,
}

/// Everything on the sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct RepairSheet {
    /// What it is for.
    pub damage: Damage,
    /// What is done.
    pub method: Method,
    /// Why.
    pub reasons: Vec<Reason>,
    /// What is still to be answered; until then the sheet takes the careful side.
    pub questions: Vec<Question>,
    /// Whether heat is used at the machine: then the hot-work gate comes first.
    pub heat: bool,
    /// The barrel, where wires are joined.
    pub barrel: Option<BarrelOnSheet>,
    /// The sleeve over each splice.
    pub sleeve: Option<SleeveOnSheet>,
    /// The piece that is let in.
    pub let_in: Option<LetIn>,
    /// Where the splices at this place go, from the first.
    pub stagger: Vec<Metres>,
    /// Strands that may be hurt in stripping.
    pub nicked: Option<Nicked>,
    /// What a sample crimp must hold, by UL 486A.
    pub pull: Option<Newtons>,
    /// The wrap over the mend.
    pub wrap: Wrap,
    /// Figures for the new route.
    pub route: Vec<RouteFigure>,
    /// Diameter of the bundle with a splice in it.
    pub bundle_after: Option<Metres>,
    /// The drop over the mended wire under its load.
    pub drop: Option<Volts>,
    /// The drop that is allowed for a load that runs for good.
    pub drop_allowed: Option<Volts>,
    /// The largest fuse that protects the wire in a bundle.
    pub fuse_most: Option<Amps>,
}
