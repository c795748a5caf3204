//! Quantities as they stand in a file, and how they are printed.

use loomwalk::units::{
    Amps, Awg, Bar, Celsius, Hertz, Measure, Metres, Minutes, Ohms, Percent, QuantityFault, Rpm,
    SquareMillimetres, Volts, Watts, WireSize, Written,
};

use super::{amount, fault, relative, typed};

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
    let number = |text| match WireSize::parse(text) {
        Ok(WireSize::Gauge(gauge)) => gauge.number(),
        other => panic!("{text}: {other:?}"),
    };
    assert_eq!(["0 AWG", "1/0 AWG", "00 AWG", "000AWG", "0000 AWG"].map(number), [0, 0, -1, -2, -3]);
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

/// 1 psi = 6894.757 Pa (NIST SP 811, appendix B.8, from memory); °F by its definition.
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
    assert_eq!(fault::<Ohms>("4,7k").write, "4.7 kohm");
    assert_eq!(fault::<Ohms>("1 M").write, "1 Mohm");
    assert_eq!(fault::<Volts>("4k7 V").fault, QuantityFault::OtherKind { is: "ohms" });
    assert_eq!(fault::<Ohms>("4k7 V").fault, QuantityFault::OtherKind { is: "volts" });
    assert_eq!(fault::<Ohms>("4k7 kohm").fault, QuantityFault::NotANumber);
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
