//! What is said: items, cautions, rules, and the line "Machine now".

use std::collections::BTreeSet;

use loomwalk::diag::Lang;
use loomwalk::safety::{
    Confirm, DEFER, Gate, GateId, STOP_USE, SafetyRule, Shown, Signal, Supply, TRAVEL_CHECK, Vocabulary,
    Words, is_high_voltage, machine_now, machine_now_line, shows,
};
use loomwalk::units::Volts;

use super::spec;

fn both(words: Words) {
    assert!(!words.en.trim().is_empty() && !words.es.trim().is_empty(), "{words:?}");
    assert_ne!(words.en, words.es, "a translation is missing");
    assert_eq!(words.in_lang(&Lang::new("es")), words.es);
    assert_eq!(words.in_lang(&Lang::new("pt")), words.en, "English where there is no other");
}

#[test]
fn every_gate_has_items_in_both_languages_each_with_its_source() {
    for gate in Gate::ALL {
        let items = gate.items();
        let typed = |confirm: Confirm| matches!(confirm, Confirm::Typed(_));
        let ours = items.iter().filter(|item| !typed(item.confirm)).count();
        assert!((4..=7).contains(&ours), "{}: {ours} items", gate.name());
        for item in items {
            both(item.words);
            assert!(!item.source.is_empty(), "{}", item.words.en);
        }
        both(gate.title());
        both(gate.caution().hazard);
        assert!(gate.caution().signal >= Signal::Warning, "{}: it can kill", gate.name());
    }
    for item in TRAVEL_CHECK {
        both(item.words);
    }
    both(DEFER);
    both(STOP_USE.hazard);
}

/// 29 CFR 1910.147(d)(6): verified on a known source, on the point, and on the source again.
#[test]
fn lockout_has_the_three_readings_in_order_and_no_other_gate_has_any() {
    let typed = |gate: Gate| -> Vec<Shown> {
        let shown = |item: &loomwalk::safety::Item| match item.confirm {
            Confirm::Typed(shown) => Some(shown),
            Confirm::Seen | Confirm::SaidToOthers => None,
        };
        gate.items().iter().filter_map(shown).collect()
    };
    for gate in Gate::ALL {
        let expected: &[Shown] = match gate {
            Gate::Lockout => &[Shown::SourceBefore, Shown::Dead, Shown::SourceAfter],
            _ => &[],
        };
        assert_eq!(typed(gate), expected, "{}", gate.name());
    }
}

#[test]
fn a_dead_meter_shows_nothing_dead() {
    assert!(shows(Shown::SourceBefore, Volts(12.6)).is_ok());
    assert!(shows(Shown::SourceAfter, Volts(-24.1)).is_ok(), "leads the other way round");
    assert!(shows(Shown::Dead, Volts(0.0)).is_ok());
    assert!(shows(Shown::Dead, Volts(-0.02)).is_ok());
    for (which, volts) in [
        (Shown::SourceBefore, 0.0),
        (Shown::SourceBefore, f64::NAN),
        (Shown::SourceAfter, 0.3),
        (Shown::SourceAfter, f64::INFINITY),
        (Shown::Dead, 12.6),
        (Shown::Dead, -3.0),
        (Shown::Dead, f64::NAN),
    ] {
        assert!(shows(which, Volts(volts)).is_err(), "{which:?} {volts}");
    }
}

/// 60 V d.c. and 30 V a.c.: the limits of the rule; what is no number counts as high.
#[test]
fn high_voltage_begins_above_the_limits() {
    assert!(!is_high_voltage(Volts(60.0), Supply::Direct));
    assert!(is_high_voltage(Volts(60.1), Supply::Direct));
    assert!(is_high_voltage(Volts(-61.0), Supply::Direct));
    assert!(!is_high_voltage(Volts(30.0), Supply::Alternating));
    assert!(is_high_voltage(Volts(30.1), Supply::Alternating));
    assert!(is_high_voltage(Volts(f64::NAN), Supply::Direct));
}

/// ANSI Z535.6 / ISO 3864-2 (from memory).
#[test]
fn signal_words_are_those_of_the_standard() {
    let words = [Signal::Danger, Signal::Warning, Signal::Caution, Signal::Notice].map(Signal::words);
    assert_eq!(words.map(|w| w.en), ["DANGER", "WARNING", "CAUTION", "NOTICE"]);
    assert_eq!(words.map(|w| w.es), ["PELIGRO", "ADVERTENCIA", "PRECAUCIÓN", "AVISO"]);
    assert!(Signal::Danger > Signal::Warning && Signal::Warning > Signal::Caution);
}

#[test]
fn every_rule_has_its_own_name_and_all_it_says() {
    let names: BTreeSet<&str> = SafetyRule::ALL.iter().map(|rule| rule.name()).collect();
    assert_eq!(names.len(), SafetyRule::ALL.len(), "each name once");
    let mut said = BTreeSet::new();
    for rule in SafetyRule::ALL {
        let is_plain = |c: char| c.is_ascii_lowercase() || c == '-';
        assert!(rule.name().chars().all(is_plain), "{}", rule.name());
        assert_eq!(SafetyRule::named(rule.name()), Some(*rule));
        assert!(
            rule.wrong().ends_with('.') && rule.at_machine().ends_with('.') && rule.write().ends_with('.')
        );
        assert!(said.insert(rule.wrong()), "{} says what another says", rule.name());
    }
    assert_eq!(SafetyRule::named("gate-not-there"), None);
}

/// Each rule can fail: one that no deed demands would be a promise nobody keeps. The four named are
/// found by who knows the file, and handed in as forbidden.
#[test]
fn every_rule_is_demanded_by_some_deed() {
    let vocabulary = spec::vocabulary();
    let mut demanded: BTreeSet<&str> =
        spec::all().iter().flat_map(|spec| spec.needs.iter().map(|(rule, _)| *rule)).collect();
    for rule in [
        "phone-hands-on",
        "gate-cab-fixed",
        "under-cab-fixed",
        "zone-need",
        "name-unknown",
        "close-not-found",
        "close-not-repaired",
        "close-not-proved",
    ] {
        assert!(demanded.insert(rule), "{rule} is in the table already");
    }
    let all: BTreeSet<&str> = SafetyRule::ALL.iter().map(|rule| rule.name()).collect();
    assert_eq!(demanded, all);
    assert_eq!(vocabulary.gates().count(), 16);
}

#[test]
fn the_line_machine_now_says_what_is_in_force() {
    let vocabulary = spec::vocabulary();
    let line = |text: &str| {
        let mut masks = spec::at_start();
        for text in text.split_whitespace() {
            let (facet, value) = spec::term(text);
            masks[facet] = value;
        }
        let parts = machine_now(&spec::state_of(&masks, &vocabulary), &vocabulary);
        let rest = parts.iter().filter(|part| !part.is_at_rest).cloned().collect::<Vec<_>>();
        let say = |parts: &[_], lang: &str| machine_now_line(parts).in_lang(&Lang::new(lang)).to_owned();
        (say(&parts, "en"), say(&parts, "es"), say(&rest, "en"))
    };
    let with_key_on = "parked=yes arms=down cab=supported power=live whole=yes lock=on";
    assert_eq!(
        line(with_key_on),
        (
            "parked, arms down, cab supported, lock on, POWER LIVE, slew-lock out, stands none".into(),
            "estacionada, brazos abajo, cabina en su soporte, candado puesto, CON CONTACTO, slew-lock out, \
             stands none"
                .into(),
            "cab supported, lock on, POWER LIVE".into()
        )
    );
    let open = "power=running whole=no apart:X1=yes tied:bar=yes slew-lock=?";
    assert_eq!(
        line(open).0,
        "NOT PARKED, ARMS NOT KNOWN, CAB NOT KNOWN, not whole, ENGINE RUNNING, slew-lock NOT KNOWN, \
         stands none, X1 apart, bar tied"
    );
}

#[test]
fn minutes_are_those_of_the_table() {
    let vocabulary = Vocabulary::built_in();
    let table = "park 2, lower-arms 1, support-arms 4, release-pressure 3, lockout 5, raise-cab 6, lower-cab 4, \
                 live-test 2, put-back 2, release-lockout 2, run-up 1, hot-work 3, leave 2";
    for line in table.split(", ") {
        let (name, minutes) = line.split_once(' ').expect("name and minutes");
        let gate = vocabulary.gate(name).expect("a gate");
        assert_eq!(gate.minutes(&vocabulary).value().to_string(), minutes, "{name}");
    }
    assert_eq!(vocabulary.gate("keep-away"), Some(GateId::BuiltIn(Gate::KeepAway)));
    assert_eq!(vocabulary.gate("unlock"), None);
}
