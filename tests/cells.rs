//! Readings as outcomes: cells, their chances, and that one currency is kept.

use loomwalk::reason::{Cell, Cells, Predicted, Scale, Shows, Sighting};
use loomwalk::units::{Amount, Estimate, Measure, Meter, Reading, Volts};
use proptest::prelude::*;

fn volts(value: f64, u: f64) -> Shows {
    Shows::Steady(Estimate::new(Amount::new(Measure::Volts.unit(), value), u))
}

fn ohms(value: f64) -> Shows {
    Shows::Steady(Estimate::new(Amount::new(Measure::Ohms.unit(), value), 0.02 * value + 0.1))
}

fn read(text: &str, measure: Measure) -> Reading {
    Reading::parse(text, measure.unit()).expect("a reading")
}

fn chance(cells: &Cells, predicted: &Predicted, cell: Cell) -> f64 {
    cells.chances(predicted).of(cell).value()
}

#[test]
fn a_reading_near_a_prediction_falls_in_its_cell_and_between_them_in_a_gap() {
    let (low, high) = (vec![volts(0.0, 0.05)], vec![volts(5.0, 0.1)]);
    let cells = Cells::new(Scale::volts(Volts(12.6)), [&low, &high]);
    let place = |text| cells.place(&read(text, Measure::Volts));
    let places = [place("-0.9"), place("0.03"), place("2.5"), place("5.1"), place("12.6")];
    assert_eq!(places, [0, 1, 2, 3, 4].map(Cell::Stretch));
    assert_eq!(place("jumps"), Cell::Jumps);
    assert_eq!(cells.all().count(), 6);

    // The 95 % interval (± 2 u, u = hypot(0.05, 0.003) V with contacts): 0.9545 of the normal, and of the one in ten that
    // stray (u = hypot(0.05, 0.02) V) what lies within 1.860 u, 0.9371 (both Abramowitz & Stegun, table 26.1); less slip.
    let even = cells.even(Cell::Stretch(1)).value();
    let within = 0.9 * 0.9545 + 0.1 * 0.9371;
    assert!((chance(&cells, &low, Cell::Stretch(1)) - (0.98 * within + 0.02 * even)).abs() < 1e-5);
    // By slip alone: 5 V is not what this fault shows. The cell is 4 u of −1…15.12 V and a part more.
    let slip = 0.02 * 4.0 * 0.1_f64.hypot(0.003) / (16.12 * 1.05);
    assert!((chance(&cells, &low, Cell::Stretch(3)) - slip).abs() < 1e-12);
}

#[test]
fn ohms_go_by_logarithm_and_ol_is_a_cell_of_its_own() {
    let (wire, open) = (vec![ohms(0.3)], vec![Shows::Over]);
    let cells = Cells::new(Scale::ohms(), [&wire, &open]);
    assert_eq!(cells.place(&read("OL", Measure::Ohms)), Cell::Over);
    assert!(chance(&cells, &open, Cell::Over) > 0.98);
    assert!(chance(&cells, &wire, cells.place(&read("0.3", Measure::Ohms))) > 0.9);
    let decade = |low: f64, high: f64| {
        let cells = Cells::new(Scale::ohms(), [&vec![ohms(low)], &vec![ohms(high)]]);
        let place = cells.place(&read(&format!("{}", (low * high).sqrt()), Measure::Ohms));
        cells.even(place).value()
    };
    // The gap from 100 Ω to 10 kΩ is about as wide as that from 10 kΩ to 1 MΩ.
    assert!((decade(1e2, 1e4) / decade(1e4, 1e6) - 1.0).abs() < 0.02);
}

#[test]
fn a_spread_of_severities_is_even_between_the_knots() {
    let spread = vec![volts(1.0, 0.001), volts(2.0, 0.001), volts(6.0, 0.001)];
    let marks = vec![volts(4.0, 0.001)];
    let cells = Cells::new(Scale::volts(Volts(12.6)), [&spread, &marks]);
    let within = |cell: &Cell| {
        cells.ends(*cell).is_some_and(|(low, high)| low > Some(2.0) && high.is_some_and(|high| high < 4.0))
    };
    let between: f64 = cells.all().filter(within).map(|cell| chance(&cells, &spread, cell)).sum();
    // Half the severities lie between 2 and 6 V, and half of those below 4 V.
    // The slip's part: 2 V of the line and what jumps. At either end 2 u = 0.006 V lie in the knots' own cells.
    let slip = 0.02 * 2.0 / (16.12 * 1.05);
    let own = 2.0 * 2.0 * 0.001_f64.hypot(0.003) / 4.0 * 0.5;
    assert!((between - 0.98 * (0.25 - own) - slip).abs() < 0.001, "{between}");
}

#[test]
fn from_a_value_to_ol_it_is_half_each() {
    let spread = vec![ohms(100.0), Shows::Over];
    let cells = Cells::new(Scale::ohms(), [&spread]);
    let over = chance(&cells, &spread, Cell::Over);
    assert!((over - 0.49).abs() < 0.01, "{over}");
}

fn predictions() -> impl Strategy<Value = Vec<Predicted>> {
    let knot = (-2.0_f64..16.0, 0.0_f64..0.5).prop_map(|(value, u)| volts(value, u));
    let shows = prop_oneof![8 => knot, 1 => Just(Shows::Over), 1 => Just(Shows::Jumps)];
    prop::collection::vec(prop::collection::vec(shows, 1..5), 1..8)
}

proptest! {
    #[test]
    fn the_chances_of_a_fault_sum_to_one_and_none_is_zero(predicted in predictions()) {
        let cells = Cells::new(Scale::volts(Volts(12.6)), &predicted);
        let even: f64 = cells.all().map(|cell| cells.even(cell).value()).sum();
        prop_assert!((even - 1.0).abs() < 1e-12);
        for fault in &predicted {
            let chances = cells.chances(fault);
            let sum: f64 = cells.all().map(|cell| chances.of(cell).value()).sum();
            prop_assert!((sum - 1.0).abs() < 1e-9, "{}", sum);
            prop_assert!(cells.all().all(|cell| chances.of(cell).value() > 0.0));
        }
    }

    /// Splitting a cell changes nothing: whatever further edges there are, the cells below an edge
    /// that two sets of cells share have the same chance together, under every fault and evenly.
    #[test]
    fn splitting_cells_adds_up(predicted in predictions(), more in 0.0_f64..12.0) {
        let scale = Scale::volts(Volts(12.6));
        let coarse = Cells::new(scale, &predicted);
        let split = vec![volts(more, 1e-4)];
        let fine = Cells::new(scale, predicted.iter().chain([&split]));
        let top = |cells: &Cells, cell| cells.ends(cell).and_then(|(_, high)| high);
        let shared: Vec<f64> = coarse
            .all()
            .filter_map(|cell| top(&coarse, cell))
            .filter(|edge| fine.all().any(|cell| top(&fine, cell) == Some(*edge)))
            .collect();
        for fault in &predicted {
            for edge in &shared {
                let below = |cells: &Cells| {
                    let chances = cells.chances(fault);
                    cells
                        .all()
                        .filter(|cell| top(cells, *cell).is_some_and(|high| high <= *edge))
                        .map(|cell| (chances.of(cell).value(), cells.even(cell).value()))
                        .fold((0.0, 0.0), |sum, next| (sum.0 + next.0, sum.1 + next.1))
                };
                let (one, two) = (below(&coarse), below(&fine));
                prop_assert!((one.0 - two.0).abs() < 1e-9 && (one.1 - two.1).abs() < 1e-9);
            }
        }
    }
}

#[test]
fn a_reading_with_digits_left_out_may_have_come_from_several_cells() {
    let (near, far) = (vec![volts(0.001, 0.001)], vec![volts(5.0, 0.15)]);
    let cells = Cells::new(Scale::volts(Volts(12.6)), [&near, &far]);
    let seen = |text| Sighting::new(&cells, Meter::default(), &read(text, Measure::Volts));
    // With all its digits a reading has the probability of its cell.
    let exact = seen("0.0012");
    let own = cells.chances(&near).of(exact.cell).value();
    assert!((exact.chance(&cells.chances(&near)).value() - own).abs() < 1e-12);
    assert!((exact.even().value() - cells.even(exact.cell).value()).abs() < 1e-12);
    // "0.0" may be anything from −0.05 to 0.05 V: the near one explains it, the far one does not.
    let coarse = seen("0.0");
    let ratio = coarse.chance(&cells.chances(&near)).value() / coarse.chance(&cells.chances(&far)).value();
    assert!(ratio > 100.0, "{ratio}");
    assert!(coarse.even().value() > exact.even().value());
}
