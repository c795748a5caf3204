//! `wire`: repair sums without a tree, units both ways.

mod locate;
mod sums;
mod without_place;

use std::io::Write;

use clap::{Args, Subcommand, ValueEnum};

use crate::repair::Strand;
use crate::units::{Celsius, Written};

use super::answer::{Answer, Format};
use super::{Failure, Outcome, typed};

/// Sums for a repair: resistance, drop, size, splice, sleeve, fuse, bundle, and where along the wire.
#[derive(Debug, Args)]
pub(super) struct Wire {
    #[command(subcommand)]
    sum: Sum,
    /// For a person, or for another program.
    #[arg(long, global = true, value_enum, default_value_t)]
    format: Format,
}

#[derive(Debug, Subcommand)]
enum Sum {
    /// Resistance of a wire: loomwalk wire ohms --size 14AWG --length 100ft --celsius 75
    Ohms(sums::Ohms),
    /// Drop over a wire: loomwalk wire drop --size 10AWG --length 39ft --amps 20
    Drop(sums::Drop),
    /// Smallest size for a load and a drop: loomwalk wire gauge --amps 20 --length 50ft --drop 1V
    Gauge(sums::Gauge),
    /// Barrel for wires side by side: loomwalk wire splice --join 18AWG --join 16AWG
    Splice(sums::Splice),
    /// Heat-shrink sleeve: loomwalk wire sleeve --over 5.6mm --down-to 2.4mm
    Sleeve(sums::Sleeve),
    /// Fuse for a wire and its load: loomwalk wire fuse --size 0.75mm2 --amps 8
    Fuse(sums::Fuse),
    /// Diameter of a bundle: loomwalk wire bundle --od 2.2mm --count 7
    Bundle(sums::Bundle),
    /// Where along the wire the fault is.
    Locate(locate::Locate),
}

impl Wire {
    pub(super) fn run(&self, out: &mut dyn Write) -> Outcome {
        let answer = match &self.sum {
            Sum::Ohms(sum) => sum.answer(),
            Sum::Drop(sum) => sum.answer(),
            Sum::Gauge(sum) => sum.answer(),
            Sum::Splice(sum) => sum.answer(),
            Sum::Sleeve(sum) => sum.answer(),
            Sum::Fuse(sum) => sum.answer(),
            Sum::Bundle(sum) => sum.answer(),
            Sum::Locate(sum) => sum.answer(),
        };
        answer?.write(self.format, out)
    }
}

/// How a wire is made and how warm it is.
#[derive(Debug, Args)]
struct Make {
    /// How the conductor is made; machine harness is stranded.
    #[arg(long, value_enum, default_value_t)]
    strand: Stranding,
    /// How warm the wire is: 75, or 167F.
    #[arg(long, default_value = "20", allow_hyphen_values = true)]
    celsius: String,
}

#[derive(Debug, Clone, Copy, Default, ValueEnum)]
enum Stranding {
    Solid,
    #[default]
    Stranded,
    /// IEC 60228 class 2.
    Class2,
    /// IEC 60228 class 5.
    Class5,
}

impl Make {
    fn strand(&self) -> Strand {
        match self.strand {
            Stranding::Solid => Strand::Solid,
            Stranding::Stranded => Strand::Stranded,
            Stranding::Class2 => Strand::Class2,
            Stranding::Class5 => Strand::Class5,
        }
    }

    fn celsius(&self) -> Result<Celsius, Failure> {
        typed::bare("--celsius", &self.celsius, "°C")
    }

    fn words(&self) -> Result<String, Failure> {
        let made = match self.strand {
            Stranding::Solid => "solid",
            Stranding::Stranded => "stranded",
            Stranding::Class2 => "class 2",
            Stranding::Class5 => "class 5",
        };
        Ok(format!("{made}, {}", self.celsius()?))
    }
}

/// A size or another quantity as the command line takes it: `8AWG`, `0.75mm2`.
fn compact(quantity: &impl Written) -> String {
    quantity.written().replace(' ', "")
}

fn refused(error: impl std::error::Error) -> Failure {
    Failure::usage(error)
}
