//! Readings as they are typed, and what a journal keeps of them.

use loomwalk::units::{Amount, Band, Measure, Meter, QuantityFault, Reading, Seen, Unit};

use super::{band, relative, typed};

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
    let dash = Reading::parse("0.1-4.8 V", Measure::Volts.unit()).expect_err("two ends");
    assert_eq!(dash.write, "0.1..4.8 V");
    let error = Reading::parse("0.3 ohm", Measure::Volts.unit()).expect_err("another unit");
    assert_eq!(error.to_string(), "`0.3 ohm` is ohms, and this takes volts");
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
