//! Whatever is typed or stands in a file: never a panic, and what is printed is read back.

use loomwalk::units::{
    Amount, Amps, Band, BandFlaw, Bar, Celsius, Estimate, Hertz, Measure, Meter, Metres, Minutes, Ohms,
    Percent, Reading, Rpm, SquareMillimetres, Verdict, Volts, Watts, WireSize, Written, coverage,
};
use proptest::prelude::*;

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
