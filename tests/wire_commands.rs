//! The commands `wire` and `codes` as typed: both forms, units both ways, and one line for what makes no sense.

use assert_cmd::Command;
use serde_json::Value;

fn loomwalk(line: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loomwalk"));
    command.args(words(line));
    command
}

/// Splits at spaces, except inside double quotes.
fn words(line: &str) -> Vec<String> {
    line.split('"')
        .enumerate()
        .flat_map(|(n, part)| -> Vec<String> {
            if n % 2 == 1 {
                vec![part.to_owned()]
            } else {
                part.split_whitespace().map(str::to_owned).collect()
            }
        })
        .collect()
}

fn json(line: &str) -> Value {
    let done = loomwalk(&format!("{line} --format json")).assert().success().stderr("");
    let text = String::from_utf8(done.get_output().stdout.clone()).expect("UTF-8");
    assert!(text.starts_with("{\"format\":1,"), "{text}");
    serde_json::from_str(&text).expect("JSON")
}

fn text(line: &str) -> String {
    let done = loomwalk(line).assert().success().stderr("");
    String::from_utf8(done.get_output().stdout.clone()).expect("UTF-8")
}

fn number(answer: &Value, field: &str) -> f64 {
    answer[field].as_f64().unwrap_or_else(|| panic!("{field} in {answer}"))
}

fn near(answer: &Value, field: &str, wanted: f64, relative: f64) {
    let got = number(answer, field);
    assert!((got - wanted).abs() <= wanted.abs() * relative, "{field} is {got}, not {wanted}");
}

/// Sources: NFPA 70 chapter 9 table 8 (stranded and solid 14 AWG at 75 °C, Ω/kft, seen); IEC 60228 (class 5, seen).
#[allow(clippy::approx_constant, reason = "3.14 is a printed resistance")]
#[test]
fn ohms_in_both_systems_of_units() {
    let warm = json("wire ohms --size 14AWG --length 1000ft --celsius 75");
    near(&warm, "ohms", 3.14, 5e-3);
    near(&json("wire ohms --size 14AWG --length 1000ft --celsius 75 --strand solid"), "ohms", 3.07, 4e-3);
    let fahrenheit = json("wire ohms --size 14AWG --length 304.8m --celsius 167F");
    near(&fahrenheit, "ohms", number(&warm, "ohms"), 1e-9);
    near(&json("wire ohms --size 0.75mm2 --length 1km --strand class5"), "ohms_per_km", 26.0, 1e-9);
    near(&json("wire ohms --size 0.75mm2 --length 10m --strand class2"), "ohms_per_km", 24.5, 1e-9);
    assert!(text("wire ohms --size 14AWG --length 100ft").contains("0.2576 Ω"));
}

/// Source: AC 43.13-1B table 11-8, seen: 39 ft of No. 10 at 20 A drop .98 V with its tin-plated .00126 Ω/ft; bare
/// stranded copper, 1.02 × 3.277 Ω/km, drops less.
#[test]
fn drop() {
    let answer = json("wire drop --size 10AWG --length 39ft --amps 20");
    near(&answer, "volts", 1.02 * 3.277e-3 * 39.0 * 0.3048 * 20.0, 1e-3);
    assert!(number(&answer, "volts") < 0.98);
    assert_eq!(
        answer,
        json("wire drop --size 10AWG --length 39ft --amps 20A --strand stranded --celsius 20")
    );
}

/// Source: AC 43.13-1B table 11-7, seen; the first by our own arithmetic: solid copper would be too small a wire.
#[test]
fn gauge() {
    assert_eq!(json("wire gauge --amps 20 --length 50ft --drop 1V")["size"], "8AWG");
    assert_eq!(json("wire gauge --amps 20 --length 50ft --drop 1V --strand solid")["size"], "10AWG");
    for (feet, volts, size) in
        [(107, 1.0, "6AWG"), (90, 0.5, "4AWG"), (88, 4.0, "12AWG"), (100, 7.0, "14AWG")]
    {
        let line = format!("wire gauge --amps 20 --length {feet}ft --drop {volts}V");
        assert_eq!(json(&line)["size"], size, "{line}");
    }
}

/// Source: a terminal maker's circular-mil guide (doc 82561 rev B p. 3), seen.
#[test]
fn splice() {
    let answer = json("wire splice --join 18AWG --join 16AWG");
    near(&answer, "circular_mils", 4026.0, 1e-3);
    near(&answer, "square_mm", 2.04, 1e-3);
    assert_eq!(answer["barrel"], "14AWG");
    assert!(text("wire splice --join 18AWG --join 0.75mm2").starts_with("CAUTION"), "before the action");
}

/// Source: tubing makers' selection guides, seen.
#[test]
fn sleeve() {
    let answer = json("wire sleeve --over 5.6mm --down-to 2.4mm");
    let range = answer["range"].as_array().expect("a range");
    assert!(range[0].as_f64().expect("a number") <= 2.4 && range[1].as_f64().expect("a number") >= 5.6);
    assert!(number(&answer, "ratio") >= 5.6 / 2.4);
    assert_eq!(answer, json("wire sleeve --over 0.22047244in --down-to 0.0944882in"));
    assert!(text("wire sleeve --over 5.6mm --down-to 2.4mm").starts_with("WARNING"), "before the heat");
}

/// Source: AC 43.13-1B table 11-3, seen; 80 % by common practice.
#[test]
fn fuse() {
    let answer = json("wire fuse --size 0.75mm2 --amps 8");
    near(&answer, "rating", 10.0, 0.0);
    assert_eq!(answer["range"], serde_json::json!([10.0, 15.0]));
}

/// Source: best known packings, seen: seven wires are 3 d at the least; the rule of thumb is 1.2 √7 d.
#[test]
fn bundle() {
    near(&json("wire bundle --od 2.2mm --count 7"), "diameter_mm", 6.985, 1e-3);
    near(&json("wire bundle --od 2.2mm --count 2"), "diameter_mm", 4.4, 1e-9);
}

/// Sources: Murray by its formula; Varley R = 54.07, S = 18.168, computed; MUR-2, a textbook exercise, seen: 200 m.
#[test]
fn locate_by_a_loop() {
    let murray = json("wire locate murray --a 332 --b 668 --loop 54.07ohm");
    near(&murray, "ohms", 17.951, 1e-4);
    assert_eq!(murray["distance"], Value::Null);
    let distance = json("wire locate murray --a 332 --b 668 --loop 54.07ohm --ohms-per-km 54.07");
    near(&distance, "distance", 332.0, 1e-9);
    near(&json("wire locate murray --a 1 --b 2 --loop 6ohm --length 600m"), "distance", 200.0, 1e-9);
    near(&json("wire locate varley --p 1 --q 1 --loop 54.07ohm --set 18.168ohm"), "ohms", 17.951, 1e-9);
}

/// Own formula, x/L = V(fault)/V(whole); the interval from the meter by JCGM 100 4.3.7 (from memory).
#[test]
fn locate_by_drops() {
    let answer = json("wire locate drop --to-fault 0.021V --whole 0.063V --length 3.1m --meter 0.5%+2");
    near(&answer, "distance", 3.1 / 3.0, 1e-9);
    near(&answer, "from", 0.906, 1e-3);
    near(&answer, "to", 1.1607, 1e-3);
    let finer = json("wire locate drop --to-fault 21.00mV --whole 63.00mV --length 3.1m --meter 0.5%+2");
    assert!(number(&finer, "from") > number(&answer, "from") && number(&finer, "to") < number(&answer, "to"));
    let blind = text("wire locate drop --to-fault 0.001V --whole 0.003V --length 3.1m");
    assert!(blind.contains("This meter cannot resolve it. Do this instead:"), "{blind}");
    let ohms = text("wire locate ohms --from-start 0.5ohm --from-end 0.5ohm --size 0.75mm2 --length 1.9m");
    assert!(ohms.contains("This meter cannot resolve it."), "{ohms}");
}

/// Own checks of the methods that find a part of the circuit; 21 W at 12 V is 6.86 Ω.
#[test]
fn locate_without_a_distance() {
    near(&json("wire locate lamp --supply 12.6V --lamp 21W"), "amps", 12.6 * 21.0 / 144.0, 1e-9);
    let joints =
        json("wire locate joints --amps 1.75 --joint X20:1=0.01V --joint GND3=1.2V --joint F7=0.10V");
    let names: Vec<&str> =
        joints["joints"].as_array().expect("joints").iter().filter_map(|j| j["joint"].as_str()).collect();
    assert_eq!(names, ["GND3", "F7", "X20:1"]);
    assert_eq!(
        (&joints["joints"][0]["too_much"], &joints["joints"][1]["too_much"]),
        (&Value::from(true), &Value::Null)
    );
    let split =
        json("wire locate split --stretch 1 --stretch 1 --stretch 2 --open X14=1:2min --open X20=2:2min");
    assert_eq!(split["openings"][0]["open"], "X20");
    let rubs = "--rub pivot-clamp=1.2m --rub hose-crossing=5.25ft";
    let ranked = json(&format!("wire locate drop --to-fault 38.0mV --whole 60.0mV --length 1.9m {rubs}"));
    assert_eq!(
        (&ranked["rubs"][0]["rub"], &ranked["rubs"][0]["inside"]),
        (&Value::from("pivot-clamp"), &Value::from(true))
    );
}

/// Source: UL 486A (newtons as printed beside pounds-force on component datasheets) and AC 43.13-1B table 11-13, seen.
#[test]
fn a_splice_comes_with_its_sample() {
    let sample = &json("wire splice --join 18AWG --join 16AWG")["samples"][0];
    near(sample, "newtons", 89.0, 1e-2);
    assert_eq!((&sample["nicked"], &sample["broken"]), (&Value::from(2), &Value::from(0)));
}

/// Source: AgIsoStack-plus-plus and python-can-j1939 tests, seen.
#[test]
fn codes() {
    let answer = json("codes decode \"00 FF D2 04 1F 01 FF FF\"");
    assert_eq!(answer["lamps"]["mil"], "off");
    let code = &answer["dtcs"][0];
    assert_eq!((&code["spn"], &code["fmi"]), (&Value::from(1234), &Value::from(31)));
    assert_eq!((&code["count"], &code["cm"]), (&Value::from(1), &Value::from(0)));
    assert_eq!(code["meaning"], "condition exists");
    assert_eq!(answer, json("codes decode 00 FF D2 04 1F 01 FF FF"), "without quotes");
    let legacy = json("codes decode \"00 FF 24 68 A5 83 FF FF\"");
    assert_eq!(legacy["dtcs"][0]["spn"], Value::Null);
    assert_eq!(legacy["dtcs"][0]["spn_one_of"][0], 0x12345);
    let frames = "\"20 0E 00 02 FF CA FE 00\" \"01 FF FF D2 04 1F 01 37\" \"02 02 02 01 CE 22 0C 01\"";
    let spns: Vec<Value> = json(&format!("codes decode {frames}"))["dtcs"]
        .as_array()
        .expect("codes")
        .iter()
        .map(|code| code["spn"].clone())
        .collect();
    assert_eq!(spns, [1234, 567, 8910]);
    let piped = loomwalk("codes decode - --format json").write_stdin("18FECAAA#00FFD2041F01FFFF\n").assert();
    let piped: Value = serde_json::from_slice(&piped.success().get_output().stdout).expect("JSON");
    assert_eq!(piped, answer);
    assert!(text("codes decode \"00 FF 00 00 00 00 FF FF\"").contains("No active code."));
}

#[test]
fn nonsense_is_one_line_and_exit_two() {
    let lines = [
        "wire ohms --size 14AWG --length -100ft",
        "wire ohms --size 14AWG --length 100",
        "wire ohms --size 14AWG --length 100V",
        "wire ohms --size 99AWG --length 100m",
        "wire ohms --size 14 --length 100m",
        "wire ohms --size 0mm2 --length 100m",
        "wire ohms --size -1mm2 --length 100m",
        "wire ohms --size 14AWG --length 100ft --celsius -300",
        "wire ohms --size 14AWG --length 100ft --celsius 400",
        "wire drop --size 10AWG --length 39ft --amps -20",
        "wire drop --size 10AWG --length 39ft --amps 20V",
        "wire gauge --amps 20 --length 50ft --drop 1A",
        "wire gauge --amps 900 --length 50ft --drop 1V",
        "wire splice --join 18AWG",
        "wire splice --join 18AWG --join 18",
        "wire sleeve --over 2mm --down-to 5mm",
        "wire sleeve --over 50mm --down-to 1mm",
        "wire fuse --size 0.75mm2 --amps 80",
        "wire bundle --od 2.2mm --count 0",
        "wire bundle --od 2.2mm --count -7",
        "wire bundle --od -2.2mm --count 7",
        "wire locate murray --a -1 --b 668 --loop 54.07ohm",
        "wire locate murray --a 0 --b 0 --loop 54.07ohm",
        "wire locate murray --a 332 --b 668 --loop OL",
        "wire locate varley --p 1 --q 1 --loop 54.07ohm --set 99ohm",
        "wire locate drop --to-fault 0.121V --whole 0.063V --length 3.1m",
        "wire locate drop --to-fault 0.021V --whole 0.063V --length -3.1m",
        "wire locate drop --to-fault 0.021V --whole 0.063V --length 3.1m --meter lots",
        "wire locate drop --to-fault 0.021V --whole 0.063V --length 3.1m --rub pivot-clamp",
        "wire locate joints --amps 1.75 --joint GND3",
        "wire locate split --stretch 1 --stretch x --open X14=1:2min",
        "wire locate split --stretch 1 --stretch 1 --open X14=1",
        "wire locate lamp --supply 0V",
        "codes decode \"\"",
        "codes decode \"00 FF D2\"",
        "codes decode \"00 FF D2 04 1F 01 FF\"",
        "codes decode \"00 FF D2 04 1F 01 FF F\"",
        "codes decode zz",
        "codes decode \"20 0E 00 02 FF CA FE 00\"",
        "codes decode \"18FECBAA#00FFD2041F01FFFF\"",
    ];
    for line in lines {
        let done = loomwalk(line).assert().code(2).stdout("");
        let said = String::from_utf8(done.get_output().stderr.clone()).expect("UTF-8");
        assert_eq!(said.trim_end().lines().count(), 1, "{line}: {said}");
        assert!(said.starts_with("loomwalk: "), "{line}: {said}");
    }
}

/// What is to be written instead makes sense itself.
#[test]
fn a_size_without_its_unit_is_told_with_what_can_be_meant() {
    for (size, wanted) in [
        ("14", "`14` has no unit; write it as 14AWG or 14mm2"),
        ("0.75", "`0.75` has no unit; write it as 0.75mm2"),
        ("120", "`120` has no unit; write it as 120mm2"),
        ("NaN", "`NaN` is not a number, and this takes a cross-section; write it as 0.75 mm2, or 18 AWG"),
        ("inf", "`inf` is not a number, and this takes a cross-section; write it as 0.75 mm2, or 18 AWG"),
        ("-3", "`-3mm2` is below zero, which a cross-section cannot be here; write it as 3mm2"),
    ] {
        let done = loomwalk(&format!("wire ohms --size={size} --length 100ft")).assert().code(2);
        let said = String::from_utf8_lossy(&done.get_output().stderr).into_owned();
        assert_eq!(said.trim_end(), format!("loomwalk: --size: {wanted}"));
    }
    let done = loomwalk("wire ohms --size 14AWG --length NaN").assert().code(2);
    assert!(String::from_utf8_lossy(&done.get_output().stderr).contains("`NaN` is not a number"));
}

/// A terminal of no columns is one whose width nobody knows.
#[test]
fn help_is_no_narrower_for_a_width_of_nothing() {
    let help = |columns: Option<&str>| {
        let mut command = loomwalk("wire --help");
        match columns {
            Some(columns) => command.env("COLUMNS", columns),
            None => command.env_remove("COLUMNS"),
        };
        String::from_utf8(command.assert().success().get_output().stdout.clone()).expect("UTF-8")
    };
    assert_eq!(help(Some("0")), help(None));
    assert_ne!(help(Some("40")), help(None), "a width that is said is kept to");
}

/// Whatever is done with hands has its caution first, and what comes before anything said here right after it.
#[test]
fn cautions_stand_before_what_is_done() {
    let lines = [
        ("wire splice --join 18AWG --join 16AWG", "shown dead before you cut"),
        ("wire sleeve --over 5.6mm --down-to 2.4mm", "no open flame"),
        ("wire fuse --size 0.75mm2 --amps 8", "Never a larger fuse"),
        ("wire locate murray --a 332 --b 668 --loop 54.07ohm", "shown dead"),
        ("wire locate varley --p 1 --q 1 --loop 54.07ohm --set 18.168ohm", "shown dead"),
        ("wire locate ohms --from-start 0.5ohm --from-end 0.5ohm --size 0.75mm2 --length 1.9m", "shown dead"),
        ("wire locate drop --to-fault 0.021V --whole 0.063V --length 3.1m", "battery gas"),
        ("wire locate lamp --supply 12.6V --lamp 21W", "may come alive"),
        ("wire locate joints --amps 1.75 --joint GND3=1.2V", "made safe"),
        ("wire locate split --stretch 1 --stretch 1 --open X14=1:2min", "before a connector is opened"),
    ];
    for (line, hazard) in lines {
        let said = text(line);
        let mut rows = said.lines();
        let first = rows.next().expect("a caution");
        assert!(first.starts_with("CAUTION") || first.starts_with("WARNING"), "{line}: {said}");
        assert!(first.contains(hazard), "{line}: {said}");
        let second = rows.next().expect("a line");
        assert_eq!(
            second, "The maker's instructions, the site's rules and local codes come first.",
            "{line}"
        );
    }
}

/// Every command of the sums as typed, in both forms: a real sample of what other programs may rely on.
#[test]
fn samples() {
    let lines = [
        "wire ohms --size 14AWG --length 100ft --celsius 75",
        "wire drop --size 10AWG --length 39ft --amps 20",
        "wire gauge --amps 20 --length 50ft --drop 1V",
        "wire splice --join 18AWG --join 16AWG",
        "wire sleeve --over 5.6mm --down-to 2.4mm",
        "wire fuse --size 0.75mm2 --amps 8",
        "wire bundle --od 2.2mm --count 7",
        "wire locate murray --a 332 --b 668 --loop 54.07ohm --ohms-per-km 23.45",
        "wire locate varley --p 1 --q 1 --loop 54.07ohm --set 18.168ohm",
        "wire locate drop --to-fault 0.021V --whole 0.063V --length 3.1m --meter 0.5%+2",
        "codes decode \"00 FF D2 04 1F 01 FF FF\"",
    ];
    let shown: Vec<String> = lines
        .iter()
        .map(|line| format!("$ loomwalk {line}\n{}{}\n", text(line), rounded(json(line))))
        .collect();
    insta::assert_snapshot!(shown.join("\n"));
}

/// Numbers to six significant figures, so that the last bit of a platform's logarithm does not matter.
fn rounded(value: Value) -> Value {
    match value {
        Value::Number(n) if n.is_f64() => {
            let short = format!("{:.5e}", n.as_f64().expect("a number"));
            Value::from(short.parse::<f64>().expect("a number"))
        }
        Value::Array(all) => all.into_iter().map(rounded).collect(),
        Value::Object(all) => all.into_iter().map(|(name, v)| (name, rounded(v))).collect(),
        other => other,
    }
}

#[test]
fn what_is_missing_is_told_in_one_line() {
    let done = loomwalk("wire ohms").assert().code(2).stdout("");
    let said = String::from_utf8(done.get_output().stderr.clone()).expect("UTF-8");
    let (line, hint) = said.split_once('\n').expect("a line and a hint");
    assert!(line.contains("--size <") && line.contains("--length <") && !line.contains("Usage"), "{said}");
    assert_eq!(hint.lines().count(), 1, "{said}");
    let done = loomwalk("wire ohms --sise 14AWG").assert().code(2).stdout("");
    let said = String::from_utf8(done.get_output().stderr.clone()).expect("UTF-8");
    assert!(
        said.lines().next().is_some_and(|line| line.contains("--sise") && line.contains("--size")),
        "{said}"
    );
}
