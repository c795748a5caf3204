//! What to take along for a repair: wire, barrels, sleeves, terminals, tape, and something for the cause.

use serde::{Deserialize, Serialize};

use crate::diag::Text;

use super::words::{bare_mm, mm};
use super::{Injury, Method, RepairSheet};

/// One part to take along.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Part {
    /// What it is.
    pub what: Text,
    /// How many, or how long.
    pub amount: String,
}

impl RepairSheet {
    /// What to take along for the repair.
    #[must_use]
    pub fn parts(&self) -> Vec<Part> {
        let wires = u32::from(self.damage.beside) + 1;
        let mut parts = wire_parts(self, wires);
        parts.extend(joint_parts(self));
        let metres = (self.wrap.tape.0 * 10.0).ceil() / 10.0;
        parts.push(part("harness tape", "cinta de arnés", format!("{metres:.1} m")));
        if self.damage.injury == Injury::RubbedThrough {
            parts.push(part(
                "clamp or rub sleeve for the cause",
                "abrazadera o funda para la causa",
                "1".into(),
            ));
        }
        parts
    }
}

fn part(en: &str, es: &str, amount: String) -> Part {
    Part { what: Text::both(en, es), amount }
}

fn wire_parts(sheet: &RepairSheet, wires: u32) -> Vec<Part> {
    let damage = &sheet.damage;
    let size = damage.size.map_or_else(String::new, |s| format!(" {s}"));
    let colour = damage.colour.as_ref().map_or_else(String::new, |c| format!(" {c}"));
    let each = match sheet.method {
        Method::Splice => return Vec::new(),
        Method::WholeWire => damage.length,
        Method::Across => sheet.let_in.map(|piece| piece.length),
    };
    let amount = each.map_or_else(
        || "?".to_owned(),
        |each| format!("{:.1} m", (each.0 * f64::from(wires) * 10.0).ceil() / 10.0),
    );
    let mut parts = vec![part(&format!("wire{size}{colour}"), &format!("cable{size}{colour}"), amount)];
    if sheet.method == Method::WholeWire {
        let (en, es) = (
            format!("terminals with seals for{size} wire"),
            format!("terminales con sellos para cable{size}"),
        );
        parts.push(part(&en, &es, (2 * wires).to_string()));
    }
    parts
}

/// Barrels, one more than is fitted for the sample that is pulled, and sleeves.
fn joint_parts(sheet: &RepairSheet) -> Vec<Part> {
    let (Some(barrel), Some(sleeve)) = (&sheet.barrel, &sheet.sleeve) else { return Vec::new() };
    let splices = sheet.stagger.len();
    let size = format!("{}/{}", bare_mm(sleeve.supplied), mm(sleeve.recovered));
    vec![
        part(
            &format!("uninsulated barrel {}", barrel.in_line),
            &format!("unión sin aislar {}", barrel.in_line),
            (splices + 1).to_string(),
        ),
        part(
            &format!("adhesive-lined sleeve {size}"),
            &format!("manga con adhesivo {size}"),
            format!("{splices} × {}", mm(sleeve.cut)),
        ),
    ]
}
