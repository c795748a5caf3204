//! The table of unit symbols: which kind each one is, and how to reach the base unit.
//!
//! base = (written · 10^power + before) · times / over. Powers of ten stay apart, so that `12.41 mV` is read as the
//! decimal 0.01241 and not as a product. SI symbols and prefixes by ISO 80000-1; psi from the international pound,
//! inch and standard gravity (exact definitions), foot and inch exact since 1959.

use super::kind::Kind;

/// One row of the table.
#[derive(Debug, PartialEq)]
pub(super) struct Row {
    pub(super) symbol: &'static str,
    pub(super) ascii: &'static str,
    /// Other spellings that are accepted.
    others: &'static [&'static str],
    pub(super) kind: Kind,
    power: i32,
    before: f64,
    times: f64,
    over: f64,
    /// The prefixes that are used when printing.
    pub(super) printed: &'static [Prefix],
    /// Whether any prefix is understood.
    prefixed: bool,
}

/// A decimal prefix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Prefix {
    pub(super) letter: &'static str,
    ascii: &'static str,
    pub(super) power: i32,
}

const MICRO: Prefix = Prefix { letter: "µ", ascii: "u", power: -6 };
const MILLI: Prefix = Prefix { letter: "m", ascii: "m", power: -3 };
const KILO: Prefix = Prefix { letter: "k", ascii: "k", power: 3 };
const MEGA: Prefix = Prefix { letter: "M", ascii: "M", power: 6 };
const GIGA: Prefix = Prefix { letter: "G", ascii: "G", power: 9 };

/// Every prefix with the spellings that are understood: both micro signs, and the capital K of IEC 60062.
static PREFIXES: [(&str, &Prefix); 8] = [
    ("µ", &MICRO),
    ("μ", &MICRO),
    ("u", &MICRO),
    ("m", &MILLI),
    ("k", &KILO),
    ("K", &KILO),
    ("M", &MEGA),
    ("G", &GIGA),
];

const fn plain(symbol: &'static str, kind: Kind, power: i32) -> Row {
    Row {
        symbol,
        ascii: symbol,
        others: &[],
        kind,
        power,
        before: 0.0,
        times: 1.0,
        over: 1.0,
        printed: &[],
        prefixed: false,
    }
}

const fn electric(symbol: &'static str, kind: Kind, printed: &'static [Prefix]) -> Row {
    Row { printed, prefixed: true, ..plain(symbol, kind, 0) }
}

/// The first row of a kind is its base unit.
static ROWS: [Row; 26] = [
    Row {
        others: &["volt", "volts", "Vdc", "VDC", "V DC"],
        ..electric("V", Kind::Volts, &[MICRO, MILLI, KILO])
    },
    Row {
        ascii: "ohm",
        others: &["\u{2126}", "ohms", "R"],
        ..electric("Ω", Kind::Ohms, &[MILLI, KILO, MEGA, GIGA])
    },
    Row { others: &["amp", "amps"], ..electric("A", Kind::Amps, &[MICRO, MILLI, KILO]) },
    Row { others: &["hertz"], ..electric("Hz", Kind::Hertz, &[KILO, MEGA]) },
    Row { others: &["percent", "per cent"], ..plain("%", Kind::Percent, 0) },
    plain("bar", Kind::Pressure, 0),
    plain("mbar", Kind::Pressure, -3),
    Row { times: 0.068_947_572_931_683_6, ..plain("psi", Kind::Pressure, 0) },
    plain("Pa", Kind::Pressure, -5),
    plain("hPa", Kind::Pressure, -3),
    plain("kPa", Kind::Pressure, -2),
    plain("MPa", Kind::Pressure, 1),
    Row { ascii: "C", others: &["ºC", "° C", "deg C"], ..plain("°C", Kind::Temperature, 0) },
    Row {
        ascii: "F",
        others: &["ºF", "° F", "deg F"],
        before: -32.0,
        times: 5.0,
        over: 9.0,
        ..plain("°F", Kind::Temperature, 0)
    },
    Row { others: &["r/min", "1/min", "rev/min"], ..plain("rpm", Kind::Rpm, 0) },
    Row { others: &["watt", "watts"], ..electric("W", Kind::Watts, &[KILO]) },
    electric("m", Kind::Length, &[MILLI]),
    plain("cm", Kind::Length, -2),
    Row { others: &["foot", "feet"], times: 3048.0, over: 1e4, ..plain("ft", Kind::Length, 0) },
    Row { others: &["inch", "inches"], times: 254.0, over: 1e4, ..plain("in", Kind::Length, 0) },
    Row { ascii: "mm2", others: &["mm^2"], ..plain("mm²", Kind::Area, 0) },
    Row { ascii: "cm2", others: &["cm^2"], ..plain("cm²", Kind::Area, 2) },
    Row { others: &["minute", "minutes"], ..plain("min", Kind::Time, 0) },
    Row { others: &["sec", "seconds"], over: 60.0, ..plain("s", Kind::Time, 0) },
    Row { others: &["hour", "hours"], times: 60.0, ..plain("h", Kind::Time, 0) },
    Row { times: 5.067_074_790_974_977e-4, ..plain("cmil", Kind::Area, 0) },
];

/// A unit as written: a row of the table, perhaps with a prefix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Symbol {
    pub(super) row: &'static Row,
    prefix: Option<&'static Prefix>,
}

/// How exactly a spelling must match.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Spelling {
    /// As in a file.
    Exact,
    /// As typed in the field: the case of the unit does not matter, that of a prefix does.
    Loose,
}

impl Symbol {
    /// The base unit of a kind.
    pub(super) fn base(kind: Kind) -> Self {
        let row = ROWS.iter().find(|row| row.kind == kind).unwrap_or(&ROWS[0]);
        Self { row, prefix: None }
    }

    /// Finds what a text names.
    pub(super) fn find(text: &str, spelling: Spelling) -> Option<Self> {
        let whole = |text: &str| ROWS.iter().find(|row| row.is_named(text, spelling));
        if let Some(row) = whole(text) {
            return Some(Self { row, prefix: None });
        }
        PREFIXES.iter().find_map(|(letter, prefix)| {
            let row = whole(text.strip_prefix(letter)?.trim_start()).filter(|row| row.prefixed)?;
            Some(Self { row, prefix: Some(prefix) })
        })
    }

    /// The same unit under a bare prefix (`k` after a number of ohms), where the unit takes prefixes.
    pub(super) fn with_prefix(self, letter: &str) -> Option<Self> {
        let (_, prefix) = PREFIXES.iter().find(|(known, _)| *known == letter)?;
        self.row.prefixed.then_some(Self { row: self.row, prefix: Some(prefix) })
    }

    /// The same unit under a prefix to print with.
    pub(super) const fn under(self, prefix: Option<&'static Prefix>) -> Self {
        Self { row: self.row, prefix }
    }

    /// The power of ten between the written number and the row's own unit.
    pub(super) fn power(self) -> i32 {
        self.row.power + self.prefix.map_or(0, |prefix| prefix.power)
    }

    /// Whether only a power of ten lies between this unit and the base unit.
    pub(super) fn is_decimal(self) -> bool {
        let row = self.row;
        row.before == 0.0 && (row.times - row.over).abs() < f64::EPSILON
    }

    /// The base value of a number whose power of ten has been applied.
    pub(super) fn to_base(self, number: f64) -> f64 {
        if self.is_decimal() { number } else { (number + self.row.before) * self.row.times / self.row.over }
    }

    /// The base value of a step between two numbers whose power of ten has been applied.
    pub(super) fn step_to_base(self, step: f64) -> f64 {
        if self.is_decimal() { step } else { step * self.row.times / self.row.over }
    }

    /// The number to print in this row's own unit, before its power of ten.
    pub(super) fn in_own(self, base: f64) -> f64 {
        if self.is_decimal() { base } else { base * self.row.over / self.row.times - self.row.before }
    }

    /// As printed, with the letters of the trade.
    pub(super) fn text(self) -> String {
        format!("{}{}", self.prefix.map_or("", |prefix| prefix.letter), self.row.symbol)
    }

    /// As printed where only ASCII can be.
    pub(super) fn ascii(self) -> String {
        format!("{}{}", self.prefix.map_or("", |prefix| prefix.ascii), self.row.ascii)
    }
}

impl Row {
    fn is_named(&self, text: &str, spelling: Spelling) -> bool {
        let same = |name: &&str| match spelling {
            Spelling::Exact => *name == text,
            Spelling::Loose => name.to_lowercase() == text.to_lowercase(),
        };
        [self.symbol, self.ascii].iter().chain(self.others).any(same)
    }
}
