//! Bands: their edges, what they leave out, and which one a reading falls in.

use loomwalk::units::{Amount, Band, BandError, BandFlaw, Measure, Volts, coverage, place};

use super::{band, typed};

#[test]
fn bands_include_their_lower_edge_only() {
    let low = band(Measure::Volts, "", "1.5 V");
    let middle = band(Measure::Volts, "1.5 V", "3.5 V");
    let high = band(Measure::Volts, "3.5 V", "");
    let holding = |volts: f64| [low, middle, high].map(|band| band.holds(Volts(volts).into()));
    assert_eq!(holding(1.499), [true, false, false]);
    assert_eq!(holding(1.5), [false, true, false]);
    assert_eq!(holding(3.5), [false, false, true]);
    assert_eq!(low.to_string(), "below 1.5 V");
    assert_eq!(middle.to_string(), "1.5 V to 3.5 V");
    assert_eq!(high.to_string(), "3.5 V and above");
    assert_eq!(band(Measure::Pressure, "30 psi", "35 psi").to_string(), "30 psi to 35 psi");
    assert_eq!(coverage(Measure::Volts, &[high, low, middle]), []);
    assert_eq!(coverage(Measure::Volts, &[low, middle, high, Band::jumping(Measure::Volts)]), []);
    let edge = |volts: f64| Some(Amount::from(Volts(volts)));
    assert!(matches!(Band::new(Measure::Volts, edge(2.0), edge(2.0)), Err(BandError::Empty { .. })));
    assert!(matches!(Band::new(Measure::Ohms, edge(2.0), None), Err(BandError::OtherMeasure { .. })));
}

#[test]
fn gaps_and_overlaps() {
    let volts = |from: &str, to: &str| band(Measure::Volts, from, to);
    let gaps = coverage(Measure::Volts, &[volts("0 V", "1.5 V"), volts("2 V", "3 V")]);
    let shown: Vec<String> = gaps
        .iter()
        .map(|flaw| match flaw {
            BandFlaw::Gap(gap) => gap.to_string(),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(shown, ["below 0 V", "1.5 V to 2 V", "3 V and above"]);
    let overlap = coverage(Measure::Volts, &[volts("1 V", ""), volts("", "1.5 V")]);
    assert_eq!(overlap, [BandFlaw::Overlap { first: 1, second: 0, shared: volts("1 V", "1.5 V") }]);
    assert_eq!(
        coverage(Measure::Ohms, &[band(Measure::Ohms, "0 ohm", "5 ohm"), band(Measure::Ohms, "5 ohm", "")]),
        []
    );
    assert_eq!(coverage(Measure::Volts, &[]).len(), 1);
    let below_air = [band(Measure::Pressure, "", "-0.3 bar"), band(Measure::Pressure, "0 bar", "")];
    assert_eq!(
        coverage(Measure::Pressure, &below_air),
        [BandFlaw::Gap(band(Measure::Pressure, "-0.3 bar", "0 bar"))]
    );
    let jumps = Band::jumping(Measure::Volts);
    assert!(coverage(Measure::Volts, &[jumps, jumps]).contains(&BandFlaw::SecondJumps { band: 1 }));
    let stray = coverage(Measure::Volts, &[volts("", ""), band(Measure::Ohms, "", "")]);
    assert_eq!(stray, [BandFlaw::OtherMeasure { band: 1, is: Measure::Ohms }]);
}

#[test]
fn where_a_reading_falls() {
    let ohms = [band(Measure::Ohms, "0 ohm", "1 ohm"), band(Measure::Ohms, "1 ohm", "")];
    let at = |text, bands: &[Band]| place(&typed(text, bands[0].measure()), bands);
    assert_eq!(at("OL", &ohms), Some(1));
    assert_eq!(at("0.3", &ohms), Some(0));
    // A meter zeroed on its leads can show a little less than nothing.
    assert_eq!(at("-0.1", &ohms), Some(0));
    assert_eq!(at("jumps", &ohms), None);
    assert_eq!(at("2..OL", &ohms), Some(1));
    assert_eq!(at("0.2..0.8", &ohms), Some(0));
    assert_eq!(at("0.2..OL", &ohms), None);
    let volts =
        [band(Measure::Volts, "", "1.5 V"), Band::jumping(Measure::Volts), band(Measure::Volts, "1.5 V", "")];
    assert_eq!(at("jumps", &volts), Some(1));
    assert_eq!(at("0.1..4.8", &volts), Some(1));
    assert_eq!(at("1.5", &volts), Some(2));
}
