//! Quantities, readings, bands and meter accuracy against published figures.

use loomwalk::units::{
    Amount, Amps, Awg, Band, BandError, BandFlaw, Bar, Celsius, Estimate, Hertz, Measure, Meter, MeterClass,
    Metres, Minutes, Ohms, Percent, QuantityError, QuantityFault, Reading, Rpm, Seen, SquareMillimetres,
    Unit, Verdict, Volts, Watts, WireSize, Written, coverage, erfc, normal_between, normal_cdf, place,
    thousandfold,
};
use proptest::prelude::*;

fn close(got: f64, wanted: f64, tolerance: f64) {
    assert!((got - wanted).abs() <= tolerance, "{got} is not {wanted} ± {tolerance}");
}

fn relative(got: f64, wanted: f64, share: f64) {
    close(got, wanted, share * wanted.abs());
}

fn typed(text: &str, measure: Measure) -> Reading {
    Reading::parse(text, measure.unit()).unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn amount(measure: Measure, text: &str) -> Amount {
    measure.parse(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// A band from the texts of its edges; an empty text is no edge.
fn band(measure: Measure, from: &str, to: &str) -> Band {
    let edge = |text: &str| (!text.is_empty()).then(|| amount(measure, text));
    Band::new(measure, edge(from), edge(to)).expect("a band")
}

fn fault<T: Written + std::fmt::Debug>(text: &str) -> QuantityError {
    T::parse(text).expect_err(text)
}

/// ASTM B258 (d = 0.005 in · 92^((36−n)/39)) against the printed table at hyperphysics.phy-astr.gsu.edu, after Floyd:
/// inches ± 0.02 %, circular mils ± 0.05 %.
#[test]
fn wire_gauge_table() {
    let printed = [
        ("4 AWG", 0.204_31, 41_742.0),
        ("6 AWG", 0.162_02, 26_250.0),
        ("8 AWG", 0.128_49, 16_509.0),
        ("10 AWG", 0.101_89, 10_381.0),
        ("12 AWG", 0.080_80, 6_529.0),
        ("14AWG", 0.064_08, 4_106.8),
        ("16 awg", 0.050_82, 2_582.9),
        ("18 AWG", 0.040_30, 1_624.3),
        ("20 AWG", 0.031_96, 1_021.5),
        ("AWG 22", 0.025_35, 642.4),
    ];
    for (text, inches, circular_mils) in printed {
        let Ok(WireSize::Gauge(gauge)) = WireSize::parse(text) else { panic!("{text} is a gauge") };
        relative(gauge.diameter().value() / 0.0254, inches, 2e-4);
        // 1 circular mil = π/4 · 25.4² · 1e-6 mm², by definition.
        relative(gauge.area().value() / 5.067_075e-4, circular_mils, 5e-4);
    }
    // The two sizes that define the gauge: 4/0 is 0.4600 in, 36 is 0.0050 in (ASTM B258).
    let inches = |number| Awg::new(number).expect("a gauge").diameter().value() / 0.0254;
    relative(inches(-3), 0.46, 1e-12);
    relative(inches(36), 0.005, 1e-12);
    let four_oh = WireSize::parse("4/0 AWG").expect("a gauge");
    assert_eq!(four_oh, WireSize::Gauge(Awg::new(-3).expect("4/0")));
    assert_eq!(four_oh.to_string(), "4/0 AWG");
    for wrong in ["41 AWG", "5/0 AWG", "0/0 AWG", "-3 AWG", "AWG", "1.5 AWG", "999 AWG", "+8 AWG"] {
        assert_eq!(fault::<WireSize>(wrong).fault, QuantityFault::NoSuchGauge, "{wrong}");
    }
}

#[test]
fn wire_sizes_by_area() {
    let size = |text| WireSize::parse(text).map(WireSize::area);
    assert_eq!(size("0.75 mm2"), Ok(SquareMillimetres(0.75)));
    assert_eq!(size("0.75 mm²"), Ok(SquareMillimetres(0.75)));
    assert_eq!(size("35mm2"), Ok(SquareMillimetres(35.0)));
    assert_eq!(format!("{:#}", WireSize::Area(SquareMillimetres(0.75))), "0.75 mm2");
    assert!(WireSize::parse_above_zero("0 mm2").is_err());
    for size in Awg::all() {
        assert_eq!(WireSize::parse(&WireSize::Gauge(size).written()), Ok(WireSize::Gauge(size)));
    }
}

/// Resistance codes: the examples of IEC 60062:2016 3.1 (from memory), and the decimal point's place by its rule.
#[test]
fn resistance_codes() {
    let codes = [
        ("R10", 0.1),
        ("R332", 0.332),
        ("1R0", 1.0),
        ("3R32", 3.32),
        ("10R", 10.0),
        ("33R2", 33.2),
        ("332R", 332.0),
        ("1K0", 1e3),
        ("3k32", 3_320.0),
        ("33K2", 33_200.0),
        ("332K", 332e3),
        ("1M0", 1e6),
        ("33M2", 33.2e6),
        ("4k7", 4_700.0),
        ("0R5", 0.5),
        ("2k2", 2_200.0),
        ("1M", 1e6),
        ("1G0", 1e9),
    ];
    for (code, ohms) in codes {
        assert_eq!(Ohms::parse(code), Ok(Ohms(ohms)), "{code}");
        assert_eq!(typed(code, Measure::Ohms).value(), Some(Ohms(ohms).into()), "{code}");
    }
    for wrong in ["R", "k", "4k7k", "4k-7", "4 k7", "k7 ohm V", "4k.7", "4.7k2"] {
        assert!(Ohms::parse(wrong).is_err(), "{wrong}");
    }
}

#[test]
fn quantities_in_a_file() {
    assert_eq!(Volts::parse("12.6 V"), Ok(Volts(12.6)));
    assert_eq!(Volts::parse(" 30mV "), Ok(Volts(0.03)));
    assert_eq!(Volts::parse("-0.5 V"), Ok(Volts(-0.5)));
    assert_eq!(Volts::parse("\u{2212}0.5 V"), Ok(Volts(-0.5)));
    assert_eq!(Volts::parse("0.012 kV"), Ok(Volts(12.0)));
    assert_eq!(Ohms::parse("0.3 ohm"), Ok(Ohms(0.3)));
    assert_eq!(Ohms::parse("5 mohm"), Ok(Ohms(0.005)));
    assert_eq!(Ohms::parse("50 mΩ"), Ok(Ohms(0.05)));
    assert_eq!(Ohms::parse("10 Mohm"), Ok(Ohms(1e7)));
    assert_eq!(Ohms::parse("8.2 \u{2126}"), Ok(Ohms(8.2)));
    assert_eq!(Amps::parse("10 A"), Ok(Amps(10.0)));
    assert_eq!(Amps::parse("250 µA"), Ok(Amps(0.00025)));
    assert_eq!(Amps::parse("250 uA"), Ok(Amps(0.00025)));
    assert_eq!(Watts::parse("21 W"), Ok(Watts(21.0)));
    assert_eq!(Hertz::parse("1.2 kHz"), Ok(Hertz(1200.0)));
    assert_eq!(Percent::parse("35 %"), Ok(Percent(35.0)));
    assert_eq!(Rpm::parse("900 rpm"), Ok(Rpm(900.0)));
    assert_eq!(Minutes::parse("3 min"), Ok(Minutes(3.0)));
    assert_eq!(Minutes::parse("90 s"), Ok(Minutes(1.5)));
    assert_eq!(Metres::parse("1.9 m"), Ok(Metres(1.9)));
    assert_eq!(Metres::parse("40 mm"), Ok(Metres(0.04)));
    assert_eq!(Metres::parse("4 cm"), Ok(Metres(0.04)));
    // Exact by the definition of the international foot and inch.
    assert_eq!(Metres::parse("10 ft"), Ok(Metres(3.048)));
    assert_eq!(Metres::parse("2 in"), Ok(Metres(0.0508)));
}

/// 1 psi = 6894.757 Pa (NIST SP 811, appendix B.8); °F by its definition.
#[test]
fn pressures_and_temperatures() {
    relative(Bar::parse("1 psi").expect("psi").value(), 6_894.757e-5, 1e-7);
    assert_eq!(Bar::parse("250 kPa"), Ok(Bar(2.5)));
    assert_eq!(Bar::parse("20 MPa"), Ok(Bar(200.0)));
    assert_eq!(Bar::parse("800 mbar"), Ok(Bar(0.8)));
    assert_eq!(Celsius::parse("212 °F"), Ok(Celsius(100.0)));
    assert_eq!(Celsius::parse("32 F"), Ok(Celsius(0.0)));
    assert_eq!(Celsius::parse("-40 F"), Ok(Celsius(-40.0)));
    assert_eq!(Celsius::parse("-10 C"), Ok(Celsius(-10.0)));
    assert!(matches!(fault::<Celsius>("-300 °C").fault, QuantityFault::Absurd { .. }));
}

#[test]
fn wrong_quantities_in_a_file() {
    let error = fault::<Ohms>("5 V");
    assert_eq!(error.to_string(), "`5 V` is volts, and this takes ohms");
    assert_eq!(error.write, "0.3 ohm, or 4k7");
    assert_eq!(fault::<Volts>("4k7").fault, QuantityFault::OtherKind { is: "ohms" });
    assert_eq!(fault::<Ohms>("5 m").fault, QuantityFault::OtherKind { is: "a length" });
    let comma = fault::<Volts>("12,6 V");
    assert_eq!((comma.fault, comma.write.as_str()), (QuantityFault::DecimalComma, "12.6 V"));
    let bare = fault::<Volts>("12.6");
    assert_eq!((bare.fault, bare.write.as_str()), (QuantityFault::NoUnit, "12.6 V"));
    assert_eq!(fault::<Ohms>("470").write, "470 ohm");
    let case = fault::<Volts>("12.6 v");
    assert_eq!(
        (case.fault, case.write.as_str()),
        (QuantityFault::UnknownUnit { unit: "v".into() }, "12.6 V")
    );
    assert_eq!(fault::<Ohms>("-3 ohm").fault, QuantityFault::Negative);
    assert_eq!(fault::<Metres>("-1 m").fault, QuantityFault::Negative);
    assert_eq!(fault::<Volts>("").fault, QuantityFault::Empty);
    for text in ["NaN V", "inf V", "-inf", "V", "1.2.3 V", "1,2.3 V", "--5 V", "+-5 V", ". V", "0x10 V"] {
        let found = fault::<Volts>(text).fault;
        let refused = matches!(found, QuantityFault::NotANumber | QuantityFault::UnknownUnit { .. });
        assert!(refused, "{text}: {found:?}");
    }
    for text in ["1e400 V", "-1e400 V", "1e999999999999999999999 V", "1e9 V", "1e-400 V"] {
        assert!(matches!(fault::<Volts>(text).fault, QuantityFault::Absurd { .. }), "{text}");
    }
    assert_eq!(Metres::parse_above_zero("0 m").map_err(|error| error.fault), Err(QuantityFault::Zero));
    let hostile = fault::<Volts>(&format!("\u{1b}[31m\u{202e}{}", "9".repeat(1_000_000)));
    assert!(hostile.written.chars().count() <= 41 && !hostile.written.contains('\u{1b}'));
}

/// What was typed, its value, its resolution, and the echo.
#[test]
fn readings_as_typed() {
    let rows = [
        ("12.41 V", Measure::Volts, 12.41, 0.01, "12.41 V"),
        ("12,41", Measure::Volts, 12.41, 0.01, "12.41 V"),
        ("12.4", Measure::Volts, 12.4, 0.1, "12.4 V"),
        ("12.40", Measure::Volts, 12.4, 0.01, "12.40 V"),
        ("0.03", Measure::Volts, 0.03, 0.01, "0.03 V = 30 mV"),
        ("0.03 V", Measure::Volts, 0.03, 0.01, "0.03 V = 30 mV"),
        ("30 mV", Measure::Volts, 0.03, 0.001, "30 mV"),
        ("30m", Measure::Volts, 0.03, 0.001, "30 mV"),
        ("-0.02 V", Measure::Volts, -0.02, 0.01, "-0.02 V = -20 mV"),
        ("12.4 v", Measure::Volts, 12.4, 0.1, "12.4 V"),
        ("0", Measure::Volts, 0.0, 1.0, "0 V"),
        ("-0.0", Measure::Volts, 0.0, 0.1, "0.0 V"),
        ("4k7", Measure::Ohms, 4_700.0, 100.0, "4.7 kΩ"),
        ("4k70", Measure::Ohms, 4_700.0, 10.0, "4.70 kΩ"),
        ("4.7 k", Measure::Ohms, 4_700.0, 100.0, "4.7 kΩ"),
        ("4700", Measure::Ohms, 4_700.0, 1.0, "4700 Ω = 4.700 kΩ"),
        ("0.3", Measure::Ohms, 0.3, 0.1, "0.3 Ω"),
        ("1M", Measure::Ohms, 1e6, 1e6, "1 MΩ"),
        ("0R5", Measure::Ohms, 0.5, 0.1, "0.5 Ω"),
        ("35", Measure::Percent, 35.0, 1.0, "35 %"),
        ("68 °F", Measure::Temperature, 20.0, 5.0 / 9.0, "68 °F = 20.0 °C"),
        ("900 RPM", Measure::Rpm, 900.0, 1.0, "900 rpm"),
    ];
    for (text, measure, value, resolution, echo) in rows {
        let reading = typed(text, measure);
        let read = reading.value().expect("steady").value();
        assert!((read - value).abs() < f64::EPSILON, "{text}: {read}");
        relative(reading.resolution().expect("steady").value(), resolution, 1e-12);
        assert_eq!(reading.echo(measure.unit()).to_string(), echo, "{text}");
        assert_eq!(reading.text(), text);
    }
    let psi = Unit::named(Measure::Pressure, "psi").expect("a unit");
    let reading = Reading::parse("30", psi).expect("a pressure");
    assert_eq!(reading.echo(psi).to_string(), "30 psi");
    assert_eq!(reading.echo(Measure::Pressure.unit()).to_string(), "30 psi = 2.07 bar");
    assert_eq!(format!("{:#}", typed("4k7", Measure::Ohms).echo(Measure::Ohms.unit())), "4.7 kohm");
}

#[test]
fn readings_that_are_no_value() {
    for text in ["OL", "ol", "O.L", "0L", "0.L", "OL MΩ", "O.L Mohm", "OL k"] {
        assert_eq!(typed(text, Measure::Ohms).seen(), Seen::Over, "{text}");
    }
    let volts = Reading::parse("OL", Measure::Volts.unit()).expect_err("no ohms");
    assert_eq!(volts.fault, QuantityFault::OverRange);
    let ends = |text, measure| match typed(text, measure).seen() {
        Seen::Jumps { low, high } => (low.map(Amount::value), high.map(Amount::value)),
        other => panic!("{text}: {other:?}"),
    };
    assert_eq!(ends("jumps", Measure::Volts), (None, None));
    assert_eq!(ends("0.1..4.8", Measure::Volts), (Some(0.1), Some(4.8)));
    assert_eq!(ends("4,8 .. 0,1 V", Measure::Volts), (Some(0.1), Some(4.8)));
    assert_eq!(ends("100..300 mV", Measure::Volts), (Some(0.1), Some(0.3)));
    assert_eq!(ends("0.1 … 4.8", Measure::Volts), (Some(0.1), Some(4.8)));
    assert_eq!(ends("0.1...4.8", Measure::Volts), (Some(0.1), Some(4.8)));
    assert_eq!(ends("0.3..OL", Measure::Ohms), (Some(0.3), None));
    assert_eq!(ends("OL..0.3", Measure::Ohms), (Some(0.3), None));
    assert_eq!(typed("0.1..4.8", Measure::Volts).to_string(), "0.1 V .. 4.8 V, jumps");
}

#[test]
fn absurd_readings_are_refused() {
    for text in ["1e400 V", "1e9 V", "-1e6", "99999999", "1e-400", "1e6 V"] {
        let error = Reading::parse(text, Measure::Volts.unit()).expect_err(text);
        assert!(matches!(error.fault, QuantityFault::Absurd { .. }), "{text}: {error}");
    }
    let error = Reading::parse("1e400 V", Measure::Volts.unit()).expect_err("absurd");
    assert_eq!(error.to_string(), "`1e400 V` is absurd: volts from -100 kV to 100 kV can be meant");
    assert!(Reading::parse("400 V", Measure::Volts.unit()).is_ok());
    for text in [
        "abc",
        "",
        "NaN",
        "inf",
        "12.41 ohm",
        "4k7",
        "5 psi",
        "12 41",
        "1.234,5",
        "12\u{7}",
        "..",
        "..5",
        "1..x",
    ] {
        assert!(Reading::parse(text, Measure::Volts.unit()).is_err(), "{text}");
    }
    let error = Reading::parse("0.3 ohm", Measure::Volts.unit()).expect_err("another unit");
    assert_eq!(error.to_string(), "`0.3 ohm` is ohms, and this takes volts");
}

#[test]
fn printed_in_a_handy_unit() {
    assert_eq!(Volts(0.03).to_string(), "30 mV");
    assert_eq!(Volts(12.6).to_string(), "12.6 V");
    assert_eq!(Volts(0.5).to_string(), "0.5 V");
    assert_eq!(Volts(4.969_831_2).to_string(), "4.97 V");
    assert_eq!(Volts(-0.000_05).to_string(), "-50 µV");
    assert_eq!(format!("{:#}", Volts(-0.000_05)), "-50 uV");
    assert_eq!(Ohms(4_700.0).to_string(), "4.7 kΩ");
    assert_eq!(format!("{:#}", Ohms(4_700.0)), "4.7 kohm");
    assert_eq!(Ohms(0.0).to_string(), "0 Ω");
    assert_eq!(Ohms(123_456_789.0).to_string(), "123.5 MΩ");
    assert_eq!(amount(Measure::Pressure, "30 psi").to_string(), "30 psi");
    assert_eq!(amount(Measure::Temperature, "68 F").to_string(), "68 °F");
    assert_eq!(format!("{:>8}|", Metres(0.04)), "   40 mm|");
}

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

/// Accuracy worked through in tutorials on digital multimeters: 2.000 V at ±(0.08 % + 2) is ± 0.0036; 100.0 at
/// ±(0.8 % + 2) is ± 1.0; 100.0 at ±(1 % + 2) is ± 1.2.
#[test]
fn limits_of_error() {
    let rows =
        [("0.08%+2", "2.000", 0.0036), ("±(0.8% + 2)", "100.0", 1.0), ("1 % + 2 counts", "100.0", 1.2)];
    for (accuracy, text, limit) in rows {
        let meter = Meter::parse(accuracy).expect("an accuracy");
        close(meter.limit_of_error(&typed(text, Measure::Volts)).expect("steady").value(), limit, 1e-12);
    }
    for wrong in ["", "0.5", "%", "0,5%+2", "90%+2", "0.5%+1e9", "0.5%-2", "nan%+2", "+2"] {
        assert!(Meter::parse(wrong).is_err(), "{wrong}");
    }
    for class in MeterClass::ALL {
        assert_eq!(Meter::parse(class.name()), Ok(class.meter()));
        assert_eq!(Meter::parse(&class.meter().to_string()), Ok(class.meter()));
    }
}

/// JCGM 100:2008 4.3.7 (a/√3 = 0.577350 a) and 4.3.9 (a/√6 = 0.408248 a), both from memory.
#[test]
fn standard_uncertainty_from_limits() {
    close(Estimate::rectangular(Volts(1.0).into(), 1.0).standard_uncertainty(), 0.577_350, 5e-7);
    close(Estimate::triangular(Volts(1.0).into(), 1.0).standard_uncertainty(), 0.408_248, 5e-7);
}

/// JCGM 106:2012, worked examples (from memory): Zener voltage, burst pressure, oil viscosity (as a bare number here).
#[test]
fn probability_of_conformity() {
    let chance = |value: Amount, u, band| Estimate::new(value, u).chance_in(band);
    close(chance(Volts(-5.47).into(), 0.05, band(Measure::Volts, "", "-5.40 V")), 0.9192, 5e-5);
    let burst = chance(amount(Measure::Pressure, "509.7 kPa"), 0.086, band(Measure::Pressure, "490 kPa", ""));
    close(burst, 0.9890, 5e-5);
    let viscosity = band(Measure::Percent, "12.5 %", "16.3 %");
    close(chance(Percent(13.6).into(), 1.8, viscosity), 0.6626, 5e-5);
}

/// Own figures: 12.48 V on a 0.5 % + 2 meter, limit 12.40 V; a = 0.0824, u = 0.04757, accepted from 12.495 V on.
#[test]
fn a_battery_near_its_limit() {
    let meter = Meter::parse("0.5%+2").expect("an accuracy");
    let bands = [band(Measure::Volts, "", "12.40 V"), band(Measure::Volts, "12.40 V", "")];
    let reading = typed("12.48", Measure::Volts);
    let estimate = meter.estimate(&reading).expect("steady");
    close(meter.limit_of_error(&reading).expect("steady").value(), 0.0824, 1e-12);
    close(estimate.standard_uncertainty(), 0.047_57, 5e-6);
    let Verdict::TooClose(chances) = meter.judge(&reading, &bands) else { panic!("it straddles the edge") };
    assert_eq!(chances[0].band, 1);
    close(chances[0].chance, 0.954, 5e-4);
    close(chances.iter().map(|chance| chance.chance).sum(), 1.0, 1e-12);
    assert!(matches!(meter.judge(&typed("12.49", Measure::Volts), &bands), Verdict::TooClose(_)));
    assert_eq!(meter.judge(&typed("12.50", Measure::Volts), &bands), Verdict::In(1));
    assert_eq!(meter.judge(&typed("12.30", Measure::Volts), &bands), Verdict::In(0));
    assert_eq!(meter.judge(&typed("jumps", Measure::Volts), &bands), Verdict::Nowhere);
}

#[test]
fn leads_and_spread() {
    let meter = Meter::default().with_leads(Ohms(0.2));
    let estimate = meter.estimate(&typed("0.5", Measure::Ohms)).expect("steady");
    close(estimate.value().value(), 0.3, 1e-12);
    let volts = meter.estimate(&typed("5.00", Measure::Volts)).expect("steady");
    close(volts.value().value(), 5.0, 0.0);
    // u = (0.5 % · 5 + 2 · 0.01)/√3, with 3 % of 4 V in quadrature.
    let wide = volts.with_spread(Volts(4.0).into());
    close(wide.standard_uncertainty(), (0.045_f64.powi(2) / 3.0 + 0.12 * 0.12).sqrt(), 1e-12);
    close(
        meter.expected(Volts(5.0).into()).standard_uncertainty(),
        (0.027_f64.powi(2) / 3.0 + 0.15 * 0.15).sqrt(),
        1e-12,
    );
}

#[test]
fn what_the_meter_shows() {
    let meter = Meter::default();
    let shown = |value: Amount| meter.shown(value).expect("a reading").to_string();
    assert_eq!(shown(Volts(4.969_8).into()), "4.970 V");
    assert_eq!(shown(Volts(0.030_04).into()), "30.0 mV");
    assert_eq!(shown(Volts(12.6).into()), "12.60 V");
    assert_eq!(shown(Ohms(4_704.0).into()), "4.704 kΩ");
    assert_eq!(shown(Ohms(f64::INFINITY).into()), "OL");
    assert_eq!(shown(Ohms(1e9).into()), "OL");
    assert_eq!(meter.with_leads(Ohms(0.2)).shown(Ohms(0.3).into()).expect("a reading").to_string(), "0.5 Ω");
    assert_eq!(meter.shown(Volts(f64::NAN).into()), None);
}

#[test]
fn thirty_volts_or_thirty_millivolts() {
    let plausible = [band(Measure::Volts, "-0.1 V", "0.2 V"), band(Measure::Volts, "4.8 V", "5.1 V")];
    let asked = |text| {
        let read = Meter::default().estimate(&typed(text, Measure::Volts)).expect("steady");
        thousandfold(read, &plausible).iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    assert_eq!(asked("30"), ["30 mV"]);
    assert_eq!(asked("0.03"), [""; 0]);
    assert_eq!(asked("4970"), ["4.97 V"]);
    assert_eq!(asked("12.6"), ["12.6 mV"]);
    let supply = [band(Measure::Volts, "11 V", "15 V")];
    let read = Meter::default().estimate(&typed("12.6 mV", Measure::Volts)).expect("steady");
    assert_eq!(thousandfold(read, &supply), [Volts(12.6).into()]);
}

/// Abramowitz & Stegun, table 26.1 (from memory, as printed to ten and more places there; agrees with scipy.stats.norm).
#[test]
fn normal_distribution_table() {
    let table = [
        (0.0, 0.5),
        (0.5, 0.691_462_461_274),
        (1.0, 0.841_344_746_069),
        (1.5, 0.933_192_798_731),
        (2.0, 0.977_249_868_052),
        (2.5, 0.993_790_334_674),
        (3.0, 0.998_650_101_968),
    ];
    for (z, wanted) in table {
        close(normal_cdf(z), wanted, 1e-12);
        close(normal_cdf(-z), 1.0 - wanted, 1e-12);
    }
    close(normal_cdf(1.645), 0.950_02, 5e-6);
    close(normal_between(-1.96, 1.96), 0.950_00, 5e-6);
    close(normal_between(-2.0, 2.0), 0.954_50, 5e-6);
}

/// Values of `math.erfc` of Python 3 (the C library's), which Cody's approximation does not share code with.
#[test]
fn complementary_error_function() {
    let values = [
        (-6.0, 2.0),
        (-2.0, 1.995_322_265_018_952_8),
        (-0.5, 1.520_499_877_813_046_5),
        (-0.1, 1.112_462_916_018_284_8),
        (1e-10, 0.999_999_999_887_162),
        (0.1, 0.887_537_083_981_715_2),
        (0.4, 0.571_607_644_953_331_5),
        (0.468_75, 0.507_386_526_782_062),
        (0.5, 0.479_500_122_186_953_5),
        (1.0, 0.157_299_207_050_285_13),
        (1.5, 0.033_894_853_524_689_274),
        (2.0, 0.004_677_734_981_047_265),
        (3.0, 2.209_049_699_858_543_8e-5),
        (4.0, 1.541_725_790_028_002e-8),
        (4.5, 1.966_160_441_542_887_3e-10),
        (5.0, 1.537_459_794_428_035_1e-12),
        (8.0, 1.122_429_717_298_292_8e-29),
        (10.0, 2.088_487_583_762_545e-45),
        (15.0, 7.212_994_172_451_206e-100),
        (20.0, 5.395_865_611_607_900_5e-176),
        (26.0, 5.663_192_408_856_143e-296),
    ];
    for (x, wanted) in values {
        relative(erfc(x), wanted, 2e-15);
    }
    // Far tails keep their figures on both sides.
    relative(normal_between(8.0, 9.0), normal_between(-9.0, -8.0), 1e-14);
}

#[test]
fn the_journal_forms() {
    let json = |value: &dyn erased::Json| value.json();
    assert_eq!(
        json(&typed("30 mV", Measure::Volts)),
        r#"{"text":"30 mV","measure":"volts","unit":"mV","value":0.03,"resolution":0.001}"#
    );
    assert_eq!(
        json(&typed("OL", Measure::Ohms)),
        r#"{"text":"OL","measure":"ohms","unit":"ohm","shows":"OL"}"#
    );
    assert_eq!(
        json(&band(Measure::Volts, "1.5 V", "3.5 V")),
        r#"{"measure":"volts","unit":"V","from":1.5,"to":3.5}"#
    );
    assert_eq!(json(&Band::jumping(Measure::Ohms)), r#"{"measure":"ohms","unit":"ohm","jumps":true}"#);
    assert_eq!(json(&Meter::default()), r#"{"accuracy":"0.5%+2","leads":0.0,"display":6000}"#);
    let forged = r#"{"text":"30 mV","measure":"volts","unit":"mV","value":12.6,"resolution":0.001}"#;
    assert!(serde_json::from_str::<Reading>(forged).is_err());
    let empty = r#"{"measure":"volts","unit":"V","from":3.5,"to":1.5}"#;
    assert!(serde_json::from_str::<Band>(empty).is_err());
}

mod erased {
    /// The journal form of anything.
    pub(crate) trait Json {
        fn json(&self) -> String;
    }

    impl<T: serde::Serialize> Json for T {
        fn json(&self) -> String {
            serde_json::to_string(self).expect("a journal form")
        }
    }
}

/// Text made of what quantities are made of, so that random text gets further than the first character.
fn scraps() -> impl Strategy<Value = String> {
    let scraps = [
        "1",
        "07",
        ".",
        ",",
        "-",
        "+",
        " ",
        "e",
        "E9",
        "V",
        "m",
        "k",
        "M",
        "µ",
        "ohm",
        "Ω",
        "R",
        "OL",
        "..",
        "…",
        "%",
        "AWG",
        "/0",
        "psi",
        "°",
        "F",
        "mm2",
        "²",
        "\u{2212}",
        "\u{202e}",
        "\u{0}",
        "jumps",
        "9999999999",
    ];
    prop::collection::vec(prop::sample::select(scraps.to_vec()), 0..9).prop_map(|parts| parts.concat())
}

fn read_in_every_way(text: &str) {
    for measure in Measure::ALL {
        if let Ok(reading) = Reading::parse(text, measure.unit()) {
            if let Some(value) = reading.value() {
                assert!(value.value().is_finite());
            }
            let line = serde_json::to_string(&reading).expect("a journal form");
            assert_eq!(serde_json::from_str::<Reading>(&line).expect(&line), reading, "{line}");
            let _ = (reading.echo(measure.unit()).to_string(), Meter::default().estimate(&reading));
        }
        if let Ok(amount) = measure.parse(text) {
            assert!(amount.value().is_finite());
            let _ = amount.to_string();
        }
    }
    let _ = (
        Metres::parse(text),
        WireSize::parse(text),
        Minutes::parse(text),
        Watts::parse(text),
        Meter::parse(text),
    );
}

fn comes_back<T: Written + PartialEq + std::fmt::Debug>(quantity: &T) -> Result<(), TestCaseError> {
    let read = T::parse(&quantity.written());
    prop_assert_eq!(read.as_ref(), Ok(quantity));
    Ok(())
}

proptest! {
    #[test]
    fn no_text_panics(text in any::<String>()) {
        read_in_every_way(&text);
    }

    #[test]
    fn no_scraps_panic(text in scraps()) {
        read_in_every_way(&text);
    }

    #[test]
    fn what_is_written_is_read_back(size in -9.0..5.0, mantissa in -9.99..9.99_f64) {
        let signed = mantissa * 10_f64.powf(size - 1.0);
        let value = signed.abs();
        comes_back(&Volts(signed))?;
        comes_back(&Amps(signed / 100.0))?;
        comes_back(&Ohms(value))?;
        comes_back(&Hertz(value))?;
        comes_back(&Watts(value))?;
        comes_back(&Metres(value))?;
        comes_back(&SquareMillimetres(value / 100.0))?;
        comes_back(&Minutes(value))?;
        comes_back(&Rpm(value))?;
        comes_back(&Bar(value / 100.0))?;
        comes_back(&Percent(signed / 1000.0))?;
        comes_back(&Celsius(signed / 1000.0))?;
    }

    /// Any sorted edges make bands that cover everything; taking one out leaves exactly its span open.
    #[test]
    fn coverage_finds_what_was_taken_out(edges in prop::collection::btree_set(-500..500_i32, 2..8), out in 0..7_usize) {
        let edges: Vec<Amount> = edges.into_iter().map(|edge| Volts(f64::from(edge) / 10.0).into()).collect();
        let mut bands = vec![Band::new(Measure::Volts, None, edges.first().copied()).expect("a band")];
        for pair in edges.windows(2) {
            bands.push(Band::new(Measure::Volts, Some(pair[0]), Some(pair[1])).expect("a band"));
        }
        bands.push(Band::new(Measure::Volts, edges.last().copied(), None).expect("a band"));
        prop_assert_eq!(coverage(Measure::Volts, &bands), []);
        let taken = bands.remove(out % bands.len());
        prop_assert_eq!(coverage(Measure::Volts, &bands), [BandFlaw::Gap(taken)]);
        bands.push(taken);
        bands.push(taken);
        prop_assert_eq!(coverage(Measure::Volts, &bands).len(), 1);
    }

    /// The chances of bands that cover everything add up to one, and a verdict is where the value is.
    #[test]
    fn chances_add_up(value in -5.0..20.0_f64, u in 0.0..3.0_f64, edge in -5.0..20.0_f64, width in 0.1..9.0_f64) {
        let edges = [Some(Volts(edge).into()), Some(Volts(edge + width).into())];
        let bands = [(None, edges[0]), (edges[0], edges[1]), (edges[1], None)]
            .map(|(from, to)| Band::new(Measure::Volts, from, to).expect("a band"));
        let estimate = Estimate::new(Volts(value).into(), u);
        let sum: f64 = bands.iter().map(|band| estimate.chance_in(*band)).sum();
        prop_assert!((sum - 1.0).abs() < 1e-12, "{}", sum);
        if let Verdict::In(at) = estimate.judge(&bands) {
            prop_assert!(bands[at].holds(Volts(value).into()));
            prop_assert!(estimate.chance_in(bands[at]) > 0.954);
        }
    }
}
