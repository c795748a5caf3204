//! The sums on one wire: each takes its options apart, asks the repair room, and says where the figure comes from.

use clap::Args;
use serde_json::{Value, json};

use crate::repair::{self, Copper, Duty, Limit, PullTable};
use crate::units::{Amps, Metres, Volts, WireSize};

use super::{Answer, Failure, Make, compact, refused, typed};

const COPPER: &str = "IEC 60028: 1/58 ohm mm2/m at 20 °C, 0.00393 /K. Stranded 1.02 over solid (NFPA 70 ch. 9 table 8); \
                      classes by IEC 60228.";
const HANDS: &str = "CAUTION   Isolated, locked out and shown dead before you cut; nothing raised or under pressure over your hands; eye protection.";
const HEAT: &str = "WARNING   Heat only after the hot-work gate: fuel and oil wiped, hoses and battery shielded, \
                    battery gas aired, no open flame.";

/// A wire and its length.
#[derive(Debug, Args)]
struct Run {
    /// Size: 14AWG, or 0.75mm2.
    #[arg(long, allow_hyphen_values = true)]
    size: String,
    /// Length of the wire, out and back if the return is a wire: 100ft, or 3.1m.
    #[arg(long, allow_hyphen_values = true)]
    length: String,
    #[command(flatten)]
    make: Make,
}

impl Run {
    fn copper(&self) -> Result<Copper, Failure> {
        let size = typed::size("--size", &self.size)?;
        Ok(Copper { size, strand: self.make.strand(), celsius: self.make.celsius()? })
    }

    fn length(&self) -> Result<Metres, Failure> {
        typed::above_zero("--length", &self.length)
    }

    fn words(&self) -> Result<String, Failure> {
        let length = Metres((self.length()?.0 * 1e3).round() / 1e3);
        Ok(format!("{length} of {}, {}", self.copper()?.size, self.make.words()?))
    }
}

#[derive(Debug, Args)]
pub(super) struct Ohms {
    #[command(flatten)]
    run: Run,
}

impl Ohms {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let (copper, length) = (self.run.copper()?, self.run.length()?);
        let ohms = copper.ohms(length).map_err(refused)?;
        let per_km = copper.per_metre().map_err(refused)?.value() * 1e3;
        Ok(Answer::new()
            .field("ohms", ohms.value())
            .field("ohms_per_km", per_km)
            .field("size", compact(&copper.size))
            .field("length_m", length.value())
            .field("celsius", copper.celsius.value())
            .line(format!("{ohms}   {}", self.run.words()?))
            .line(format!("{per_km:.4} ohm/km"))
            .line(COPPER))
    }
}

#[derive(Debug, Args)]
pub(super) struct Drop {
    #[command(flatten)]
    run: Run,
    /// Current: 20, or 500mA.
    #[arg(long, allow_hyphen_values = true)]
    amps: String,
}

impl Drop {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let (copper, length) = (self.run.copper()?, self.run.length()?);
        let amps: Amps = typed::bare_above_zero("--amps", &self.amps, "A")?;
        let volts = copper.drop(length, amps).map_err(refused)?;
        let ohms = copper.ohms(length).map_err(refused)?;
        Ok(Answer::new()
            .field("volts", volts.value())
            .field("ohms", ohms.value())
            .line(format!("{volts}   {amps} through {}", self.run.words()?))
            .line(format!("{ohms}, V = R I (AC 43.13-1B table 11-7)"))
            .line(COPPER))
    }
}

#[derive(Debug, Args)]
pub(super) struct Gauge {
    /// Current that flows for good.
    #[arg(long, allow_hyphen_values = true)]
    amps: String,
    /// Length of the wire, out and back if the return is a wire.
    #[arg(long, allow_hyphen_values = true)]
    length: String,
    /// Drop that is allowed.
    #[arg(long, allow_hyphen_values = true)]
    drop: String,
    #[command(flatten)]
    make: Make,
}

impl Gauge {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let duty = Duty {
            current: typed::bare_above_zero("--amps", &self.amps, "A")?,
            length: typed::above_zero("--length", &self.length)?,
            drop: typed::above_zero::<Volts>("--drop", &self.drop)?,
        };
        let choice = repair::gauge(duty, self.make.strand(), self.make.celsius()?).map_err(refused)?;
        let decided = match choice.limit {
            Limit::Drop => "drop",
            Limit::Current => "current",
        };
        let metric = choice.metric.map(WireSize::Area);
        let bundled = choice.in_bundle.map(WireSize::Gauge);
        let or_none = |size: Option<WireSize>| size.map_or("none".to_owned(), |s| s.to_string());
        Ok(Answer::new()
            .field("size", compact(&WireSize::Gauge(choice.gauge)))
            .field("metric", metric.map(|size| compact(&size)))
            .field("in_bundle", bundled.map(|size| compact(&size)))
            .field("volts", choice.drop.value())
            .field("decided_by", decided)
            .line(format!(
                "{}   drops {} of {}; decided by the {decided}; {}",
                choice.gauge,
                choice.drop,
                duty.drop,
                self.make.words()?
            ))
            .line(format!("metric: {}", or_none(metric)))
            .line(format!("in a full, hot bundle: {} (AC 43.13-1B table 11-9)", or_none(bundled)))
            .line("Current by NFPA 70 table 310.16, 90 °C, at most three loaded wires together.")
            .line(COPPER))
    }
}

#[derive(Debug, Args)]
pub(super) struct Splice {
    /// A wire that goes into the barrel; give each.
    #[arg(long, required = true, allow_hyphen_values = true)]
    join: Vec<String>,
}

impl Splice {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let wires = self.join.iter().map(|text| typed::size("--join", text));
        let wires: Vec<WireSize> = wires.collect::<Result<_, _>>()?;
        let joined = repair::barrel(&wires).map_err(refused)?;
        let square_mm = joined.area.square_millimetres().value();
        let names: Vec<String> = wires.iter().map(WireSize::to_string).collect();
        let pulls: Vec<Value> = wires.iter().map(|wire| pull(*wire)).collect();
        let mut answer = Answer::new()
            .field("circular_mils", joined.area.0)
            .field("square_mm", square_mm)
            .field("barrel", compact(&WireSize::Gauge(joined.barrel)))
            .caution(HANDS)
            .line(format!("{} barrel   {} side by side", joined.barrel, names.join(" + ")))
            .line(format!("{:.0} circular mils, {square_mm:.3} mm², stranded (N d², terminal makers' guides)", joined.area.0))
            .line("In line, end to end, each end of the barrel takes its own wire's size.")
            .field("samples", pulls)
            .line("Uninsulated barrel, adhesive-lined sleeve over it. Not at the rub, and not where the harness flexes:")
            .line("there the wire is replaced across it. Cut back to bright copper; keep the twist of a pair.");
        for wire in &wires {
            answer = answer.line(sample(*wire));
        }
        Ok(answer)
    }
}

/// What a sample crimp of a wire must hold, and how many of its strands may be hurt.
fn pull(wire: WireSize) -> Value {
    let gauge = repair::traded_as(wire);
    let newtons = |table| repair::pull_on_sample(gauge, table).map(|force| (force.0 * 10.0).round() / 10.0);
    let nicked = repair::nicked_allowed(gauge);
    json!({
        "size": compact(&wire),
        "newtons": newtons(PullTable::Ul486a),
        "newtons_strict": newtons(PullTable::MilT7928),
        "nicked": nicked.map(|n| n.nicked),
        "broken": nicked.map(|n| n.broken),
    })
}

fn sample(wire: WireSize) -> String {
    let gauge = repair::traded_as(wire);
    let pull = match repair::pull_on_sample(gauge, PullTable::Ul486a) {
        Some(force) => format!("a sample crimp holds {:.0} N (UL 486A), never try it on the repair", force.0),
        None => "pull-test a sample crimp by the barrel maker's figure".to_owned(),
    };
    match repair::nicked_allowed(gauge) {
        Some(n) => format!(
            "{wire}: {pull}; at most {} strands nicked, {} broken (AC 43.13-1B table 11-13)",
            n.nicked, n.broken
        ),
        None => format!("{wire}: {pull}; no strand may be hurt"),
    }
}

#[derive(Debug, Args)]
pub(super) struct Sleeve {
    /// Largest diameter it has to pass over, the barrel's.
    #[arg(long, allow_hyphen_values = true)]
    over: String,
    /// Smallest diameter it has to grip, the insulation's.
    #[arg(long, allow_hyphen_values = true)]
    down_to: String,
}

impl Sleeve {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let over: Metres = typed::above_zero("--over", &self.over)?;
        let down_to: Metres = typed::above_zero("--down-to", &self.down_to)?;
        let sleeve = repair::sleeve(over, down_to).map_err(refused)?;
        let mm = |length: Metres| (length.value() * 1e7).round() / 1e4;
        let name = format!("{}/{} mm", mm(sleeve.supplied), mm(sleeve.recovered));
        let (least, most) = sleeve.range();
        Ok(Answer::new()
            .field("sleeve", name.clone())
            .field("ratio", sleeve.ratio)
            .field("range", vec![mm(least), mm(most)])
            .field("unit", "mm")
            .field("lay_flat", mm(sleeve.lay_flat()))
            .caution(HEAT)
            .line(format!("{name}, {}:1, adhesive-lined   used from {} mm to {} mm", sleeve.ratio, mm(least), mm(most)))
            .line(format!("pressed flat it is {:.1} mm wide", mm(sleeve.lay_flat())))
            .line("Recovered below what it grips by 10 %, supplied above what it passes by 20 % (tubing makers' guides)."))
    }
}

#[derive(Debug, Args)]
pub(super) struct Fuse {
    /// Size of the thinnest wire behind the fuse.
    #[arg(long, allow_hyphen_values = true)]
    size: String,
    /// Load that flows for good.
    #[arg(long, allow_hyphen_values = true)]
    amps: String,
}

impl Fuse {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let size: WireSize = typed::size("--size", &self.size)?;
        let load: Amps = typed::bare_above_zero("--amps", &self.amps, "A")?;
        let fuse = repair::fuse(size, load).map_err(refused)?;
        let range = vec![fuse.rating.value(), fuse.in_open_air.value()];
        let answer = Answer::new()
            .field("rating", fuse.rating.value())
            .field("range", range)
            .field("unit", "A")
            .field("in_bundle", fuse.in_bundle.value());
        let mut answer = answer
            .caution("CAUTION   Never a larger fuse than the maker fitted: find out why it blew.")
            .line(format!("{}   carries {load} at 80 % of its rating (common practice)", fuse.rating))
            .line(format!(
                "{size} is protected up to {} in a bundle, up to {} alone in open air (AC 43.13-1B table 11-3, 11-49)",
                fuse.in_bundle, fuse.in_open_air
            ));
        if fuse.rating > fuse.in_bundle {
            answer = answer
                .line("Only where this wire runs alone in open air; in a bundle the wire is too small.");
        }
        if let Some(most) = fuse.bundle_load.filter(|most| *most < load) {
            answer = answer.line(format!("In a full, hot bundle {size} carries only {most} (table 11-9)."));
        }
        Ok(answer)
    }
}

#[derive(Debug, Args)]
pub(super) struct Bundle {
    /// Outside diameter of one wire.
    #[arg(long, allow_hyphen_values = true)]
    od: String,
    /// How many wires.
    #[arg(long, allow_hyphen_values = true)]
    count: String,
}

/// More wires than any harness has.
const MOST_WIRES: u32 = 10_000;

impl Bundle {
    pub(super) fn answer(&self) -> Result<Answer, Failure> {
        let od: Metres = typed::above_zero("--od", &self.od)?;
        let count = self.count.trim().parse().ok().filter(|n| (1..=MOST_WIRES).contains(n));
        let count = count.ok_or_else(|| {
            Failure::usage(format!(
                "--count: `{}` is not a number of wires from 1 to {MOST_WIRES}",
                self.count
            ))
        })?;
        let diameter = repair::bundle(od, count).map_err(refused)?;
        let least = repair::packing(count).map(|ratio| ratio * od.value() * 1e3);
        let answer = Answer::new()
            .field("diameter_mm", diameter.value() * 1e3)
            .field("least_mm", least)
            .line(format!("{:.1} mm   {count} wires of {od}", diameter.value() * 1e3));
        Ok(match least {
            Some(least) => answer.line(format!(
                "the tightest packing is {least:.1} mm; 1.2 √N d where that is more (common practice)"
            )),
            None => answer.line("1.2 √N d (common practice)"),
        })
    }
}
