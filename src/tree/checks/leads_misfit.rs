//! `leads-misfit`: leads, or a word about them, that do not go with what is read.

use crate::diag::{Problems, Weight};
use crate::units::Measure;

use super::super::model::{Leads, Read};
use super::subject::Subject;
use super::Rule;

pub(super) const RULE: Rule =
    Rule { name: "leads-misfit", weight: Weight::Refused, doc: include_str!("leads-misfit.md"), run };

fn run(subject: &Subject<'_>, problems: &mut Problems) {
    for (step, read) in subject.sound_readings() {
        let Some((key, at_machine, write)) = misfit(read) else { continue };
        RULE.at(step.place.key(key), problems).says(
            format!("`{key}` does not go with `read: {}`", read.measure),
            at_machine,
            write,
        );
    }
}

const PROBES: &str = "`red: …` and `black: …`, or `across: […, …]`";

fn misfit(read: &Read) -> Option<(&'static str, &'static str, &'static str)> {
    let measure = read.measure;
    let by_probe = matches!(measure, Measure::Volts | Measure::Ohms | Measure::Hertz | Measure::Percent);
    let amps = measure == Measure::Amps;
    match &read.leads {
        Leads::RedBlack { .. } | Leads::Across(..) if amps && !read.in_line => Some((
            if matches!(read.leads, Leads::Across(..)) { "across" } else { "red" },
            "A meter set to amps and put on like a voltmeter is a short: it burns, or its fuse blows.",
            "`around: …` for a clamp; or `in-line: true`, if the circuit is opened for the meter",
        )),
        Leads::RedBlack { .. } if !by_probe && !amps => {
            Some(("red", "No meter lead reads this.", "`at: …`, the port, sender or display in words"))
        }
        Leads::Across(..) if !by_probe && !amps => {
            Some(("across", "No meter lead reads this.", "`at: …`, the port, sender or display in words"))
        }
        Leads::Around(_) if !amps => Some(("around", "A clamp around a wire reads amps only.", PROBES)),
        Leads::At(_) if by_probe && measure != Measure::Percent && measure != Measure::Hertz => {
            Some(("at", "Words leave open where the two leads go.", PROBES))
        }
        _ => misfit_word(read),
    }
}

fn misfit_word(read: &Read) -> Option<(&'static str, &'static str, &'static str)> {
    let leave_out = "the step without it";
    let fed = matches!(read.measure, Measure::Volts | Measure::Amps);
    if read.in_line && read.measure != Measure::Amps {
        return Some(("in-line", "Only an ammeter lies in the circuit.", leave_out));
    }
    if read.bus && read.measure != Measure::Ohms {
        return Some(("bus", "The rule for the bus is about its ohms.", leave_out));
    }
    if !read.apart.is_empty() && read.measure != Measure::Ohms {
        return Some(("apart", "Only ohms need the part on its own.", leave_out));
    }
    if read.fed && !fed {
        return Some(("fed", "A source in the circuit helps no reading but volts and amps.", leave_out));
    }
    (read.loaded.is_some() && !fed).then_some(("loaded", "A lamp loads a circuit that is fed.", leave_out))
}
