//! Heat-shrink sleeve: which one passes over the barrel and still grips the insulation.
//!
//! Recovered inside diameter below the smallest thing covered, supplied inside diameter above the largest it has to
//! pass; used from 10 % above recovered to 20 % below supplied (tubing makers' selection guides).

use crate::units::Metres;

use super::RepairError;

/// A sleeve of adhesive-lined heat-shrink tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sleeve {
    /// Inside diameter as supplied.
    pub supplied: Metres,
    /// Inside diameter after it has shrunk freely.
    pub recovered: Metres,
    /// The ratio it is sold under, such as 3 for 3:1.
    pub ratio: u8,
}

/// Sizes that are sold, in millimetres: supplied, recovered, ratio. Common practice, from memory.
const SOLD: [(f64, f64, u8); 18] = [
    (3.0, 1.0, 3),
    (4.0, 1.0, 4),
    (4.8, 1.5, 3),
    (6.0, 1.5, 4),
    (6.0, 2.0, 3),
    (8.0, 2.0, 4),
    (9.0, 3.0, 3),
    (12.0, 3.0, 4),
    (12.0, 4.0, 3),
    (16.0, 4.0, 4),
    (19.0, 6.0, 3),
    (24.0, 6.0, 4),
    (24.0, 8.0, 3),
    (32.0, 8.0, 4),
    (40.0, 13.0, 3),
    (52.0, 13.0, 4),
    (19.0, 3.2, 6),
    (33.0, 5.5, 6),
];

const ABOVE_RECOVERED: f64 = 1.1;
const BELOW_SUPPLIED: f64 = 0.8;
/// A sleeve gets shorter by about a tenth (tubing makers' guides give 5–15 %).
const LENGTHWISE: f64 = 0.9;
/// How far it grips the insulation at each end: common practice, 10 mm.
const GRIP: f64 = 0.010;

impl Sleeve {
    /// The thinnest and the thickest thing it is used on.
    #[must_use]
    pub fn range(&self) -> (Metres, Metres) {
        (Metres(self.recovered.0 * ABOVE_RECOVERED), Metres(self.supplied.0 * BELOW_SUPPLIED))
    }

    /// Width of the tube pressed flat, π/2 · inside diameter.
    #[must_use]
    pub fn lay_flat(&self) -> Metres {
        Metres(std::f64::consts::FRAC_PI_2 * self.supplied.0)
    }

    fn fits(&self, over: Metres, down_to: Metres) -> bool {
        let (least, most) = self.range();
        least.0 <= down_to.0 + 1e-9 && most.0 >= over.0 - 1e-9
    }
}

/// The sleeves that are sold: the low ratios first, then the small ones.
fn sold() -> Vec<Sleeve> {
    let made = |(supplied, recovered, ratio): (f64, f64, u8)| Sleeve {
        supplied: Metres(supplied / 1e3),
        recovered: Metres(recovered / 1e3),
        ratio,
    };
    let mut sleeves: Vec<Sleeve> = SOLD.into_iter().map(made).collect();
    sleeves.sort_by(|a, b| a.ratio.cmp(&b.ratio).then(a.supplied.0.total_cmp(&b.supplied.0)));
    sleeves
}

/// The sleeve that passes over the largest diameter and grips down to the smallest: the lowest ratio that does, since it
/// is the thinnest, then the smallest.
///
/// # Errors
/// [`RepairError::SleeveSwapped`] where the first is thinner than the second, [`RepairError::NoSleeve`] where none does.
pub fn sleeve(over: Metres, down_to: Metres) -> Result<Sleeve, RepairError> {
    RepairError::above_zero(over.0, "the diameter to pass over")?;
    RepairError::above_zero(down_to.0, "the diameter to grip")?;
    if over.0 < down_to.0 {
        return Err(RepairError::SleeveSwapped { over, down_to });
    }
    let found = sold().into_iter().find(|s| s.fits(over, down_to));
    found.ok_or(RepairError::NoSleeve { over, down_to })
}

/// The length to cut: the barrel and a grip on each insulation, lengthened by what it shrinks.
#[must_use]
pub fn sleeve_length(barrel: Metres) -> Metres {
    Metres((barrel.0 + 2.0 * GRIP) / LENGTHWISE)
}
