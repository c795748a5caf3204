//! `codes`: trouble codes from raw bytes.

use std::io::{Read, Write};

use clap::{Args, Subcommand};
use serde_json::{Value, json};

use crate::codes::{Dm1, Dtc, Flash, Lamp, Lamps, NumberRead, decode_text};

use super::answer::{Answer, Format};
use super::{Failure, Outcome};

/// Trouble codes of a controller.
#[derive(Debug, Args)]
pub(super) struct Codes {
    #[command(subcommand)]
    what: What,
    /// For a person, or for another program.
    #[arg(long, global = true, value_enum, default_value_t)]
    format: Format,
}

#[derive(Debug, Subcommand)]
enum What {
    /// SAE J1939-73 DM1, active codes: loomwalk codes decode "00 FF D2 04 1F 01 FF FF"
    Decode(Decode),
}

#[derive(Debug, Args)]
struct Decode {
    /// Bytes in hexadecimal: one frame, or an announcement and its packets, each in quotes; `-` reads them.
    #[arg(required = true)]
    bytes: Vec<String>,
}

/// More than any message, written as wide as can be.
const MOST_TEXT: u64 = 1 << 20;
const LEGACY: &str = "legacy conversion method, ambiguous: the bytes alone do not tell which";

impl Codes {
    pub(super) fn run(&self, out: &mut dyn Write) -> Outcome {
        let What::Decode(decode) = &self.what;
        let message = decode_text(&decode.text()?).map_err(Failure::usage)?;
        answer(&message).write(self.format, out)
    }
}

impl Decode {
    fn text(&self) -> Result<String, Failure> {
        if self.bytes == ["-"] {
            let mut text = String::new();
            let read = std::io::stdin().lock().take(MOST_TEXT).read_to_string(&mut text);
            read.map_err(|error| Failure::file(format!("standard input: {error}")))?;
            return Ok(text);
        }
        // Without quotes the shell hands over byte by byte; with them, frame by frame.
        let by_byte = self.bytes.iter().skip(1).all(|word| word.trim_start_matches("0x").len() <= 2);
        Ok(self.bytes.join(if by_byte { " " } else { "\n" }))
    }
}

fn answer(message: &Dm1) -> Answer {
    let dtcs: Vec<Value> = message.dtcs.iter().map(fields).collect();
    let mut answer = Answer::new()
        .field("lamps", lamps(&message.lamps, Lamp::word))
        .field("flash", lamps(&message.flash, flash_word))
        .field("dtcs", dtcs)
        .line(lamp_line(message.lamps));
    if message.is_clear() {
        return answer.line("No active code.");
    }
    for code in &message.dtcs {
        answer = answer.line(line(code));
    }
    answer
        .line("A code says what the controller saw at its pin, not where the fault is; it goes through the circuit.")
        .line("Only active codes are evidence.")
}

fn fields(code: &Dtc) -> Value {
    let mut fields = json!({
        "spn": code.spn.sure(),
        "fmi": code.fmi,
        "count": code.count,
        "cm": code.conversion.bit(),
        "meaning": code.meaning(&[]),
    });
    if let NumberRead::OneOf(any) = code.spn {
        fields["spn_one_of"] = json!(any);
        fields["note"] = json!(LEGACY);
    }
    fields
}

fn line(code: &Dtc) -> String {
    let number = match code.spn {
        NumberRead::Sure(spn) => format!("SPN {}", spn.0),
        NumberRead::OneOf([a, b, c]) => format!("SPN {}, {} or {} ({LEGACY})", a.0, b.0, c.0),
    };
    let count = match code.count {
        None => "not counted".to_owned(),
        Some(n) => format!("{n} ×"),
    };
    format!("{number}   FMI {}   {count}   {}", code.fmi.0, code.meaning(&[]))
}

fn lamps<T: Copy>(lamps: &Lamps<T>, word: fn(T) -> &'static str) -> Value {
    json!({
        "mil": word(lamps.mil),
        "red_stop": word(lamps.red_stop),
        "amber_warning": word(lamps.amber_warning),
        "protect": word(lamps.protect),
    })
}

fn lamp_line(lamps: Lamps<Lamp>) -> String {
    let Lamps { mil, red_stop, amber_warning, protect } = lamps;
    format!(
        "Lamps: malfunction {}, red stop {}, amber warning {}, protect {}",
        mil.word(),
        red_stop.word(),
        amber_warning.word(),
        protect.word()
    )
}

fn flash_word(flash: Flash) -> &'static str {
    match flash {
        Flash::Slow => "slow",
        Flash::Fast => "fast",
        Flash::Reserved => "reserved",
        Flash::Steady => "steady",
    }
}
