//! The repair sheet: what is done to a hurt wire, and what is never done to it.

use loomwalk::diag::Lang;
use loomwalk::repair::{
    Damage, Flex, Injury, Method, Near, Pair, PlaceOnWire, Question, Reason, RepairSheet, repair_sheet,
};
use loomwalk::safety::Signal;
use loomwalk::units::{Amps, Metres, SquareMillimetres, Volts, WireSize};

/// A signal wire rubbed through at a clamp, as a machine file knows it.
fn rubbed() -> Damage {
    let metres = Metres;
    Damage {
        wire: "W31".into(),
        size: Some(WireSize::Area(SquareMillimetres(0.75))),
        colour: Some("violet/grey".into()),
        length: Some(metres(1.9)),
        place: Some("pivot-clamp".into()),
        at: Some(PlaceOnWire {
            at: metres(1.2),
            from: metres(1.1),
            to: metres(1.3),
            standard: metres(0.05),
            whole: metres(1.9),
        }),
        rubbed_on: Some("edge of the pivot clamp".into()),
        ..Damage::default()
    }
}

fn filled(damage: &Damage) -> RepairSheet {
    repair_sheet(damage).expect("a sheet")
}

fn said(sheet: &RepairSheet, lang: &str) -> String {
    let lang = Lang::new(lang);
    let say = |l: loomwalk::repair::SheetLine| {
        let source = l.source.map_or_else(String::new, |s| format!(" [{s}]"));
        format!("{}: {}{source}", l.label.in_lang(&lang), l.value.in_lang(&lang))
    };
    sheet.lines().into_iter().map(say).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_wire_rubbed_through_is_replaced_across_the_rub() {
    let sheet = filled(&rubbed());
    assert_eq!(sheet.method, Method::Across);
    assert!(sheet.reasons.contains(&Reason::AtTheRub));
    let piece = sheet.let_in.expect("a piece").length.0;
    assert!(piece > 0.23, "both splices stand off the rub: {piece}");
    assert_eq!(sheet.stagger.len(), 2);
    assert!(sheet.stagger[1].0 > sheet.sleeve.expect("a sleeve").cut.0, "never side by side");
    assert!(sheet.heat, "a sleeve is shrunk");
    assert_eq!(sheet.questions, [Question::Flex, Question::Missing]);
}

#[test]
fn the_whole_sheet_in_words() {
    let mut damage = rubbed();
    for (key, typed) in [
        ("flex", "still"),
        ("missing", "25 mm"),
        ("near", "hose, edge"),
        ("bundle", "12 mm"),
        ("load", "0.5 A"),
    ] {
        damage.correct(key, typed).expect("a correction");
    }
    damage.supply = Some(Volts(12.6));
    let sheet = filled(&damage);
    insta::assert_snapshot!(said(&sheet, "en"));
    let lang = Lang::new("en");
    let parts: Vec<String> =
        sheet.parts().iter().map(|p| format!("{} {}", p.amount, p.what.in_lang(&lang))).collect();
    insta::assert_snapshot!(parts.join("\n"));
    let spanish = said(&sheet, "es");
    assert!(spanish.contains("dos uniones") && spanish.contains("entre abrazaderas"), "{spanish}");
}

/// No combination of what is known puts a splice at the rub or where the harness flexes, or may flex.
#[test]
fn no_splice_at_the_rub_nor_where_it_flexes() {
    let flexes = [None, Some(Flex::Still), Some(Flex::Flexes)];
    let injuries = [Injury::RubbedThrough, Injury::Cut, Injury::GreenInside];
    let lengths = [None, Some(Metres(0.2)), Some(Metres(1.9)), Some(Metres(20.0))];
    let nears = [vec![], vec![Near::Fuel], vec![Near::Hose, Near::Battery]];
    let mut single = 0;
    for flex in flexes {
        for injury in injuries {
            for length in lengths {
                for near in &nears {
                    let slack = Some(Metres(0.1));
                    let damage = Damage { flex, injury, length, slack, near: near.clone(), ..rubbed() };
                    let sheet = filled(&damage);
                    if sheet.method == Method::Splice {
                        single += 1;
                        assert!(flex == Some(Flex::Still) && injury == Injury::Cut);
                    }
                    assert!(injury != Injury::GreenInside || sheet.method == Method::WholeWire);
                    assert!(!near.contains(&Near::Fuel) || !sheet.heat, "no heat beside fuel");
                    assert_eq!(sheet.heat, sheet.barrel.is_some(), "what is joined here is sleeved here");
                }
            }
        }
    }
    assert!(single > 0, "a clean cut in a still length is spliced");
}

#[test]
fn ends_that_meet_take_one_splice_and_ends_that_do_not_take_two() {
    let cut =
        Damage { injury: Injury::Cut, flex: Some(Flex::Still), missing: Some(Metres(0.02)), ..rubbed() };
    let meets = filled(&Damage { slack: Some(Metres(0.03)), ..cut.clone() });
    assert_eq!((meets.method, meets.let_in, meets.stagger.len()), (Method::Splice, None, 1));
    let short = filled(&Damage { slack: Some(Metres(0.01)), ..cut });
    assert_eq!((short.method, short.stagger.len()), (Method::Across, 2));
    assert!(short.reasons.contains(&Reason::EndsDoNotMeet));
}

#[test]
fn a_short_wire_and_a_heavy_cable_are_replaced_whole() {
    let short = filled(&Damage { length: Some(Metres(0.4)), ..rubbed() });
    assert_eq!(short.method, Method::WholeWire);
    assert!(short.reasons.contains(&Reason::ShortWire) && !short.heat && short.barrel.is_none());
    let cable = filled(&Damage { size: Some(WireSize::Area(SquareMillimetres(35.0))), ..rubbed() });
    assert_eq!((cable.method, cable.reasons.as_slice()), (Method::WholeWire, &[Reason::HeavyCable][..]));
    let flexing = filled(&Damage { flex: Some(Flex::Flexes), flexing: Some(Metres(0.6)), ..rubbed() });
    assert!(flexing.let_in.is_none_or(|piece| piece.length.0 > 0.8), "across all that flexes");
}

/// Source: AC 43.13-1B 11-167c, seen: one splice at most between connectors, an approved repair excepted.
#[test]
fn a_wire_that_was_spliced_before_is_replaced_whole() {
    let sheet = filled(&Damage { splices: 1, ..rubbed() });
    assert_eq!((sheet.method, sheet.reasons.as_slice()), (Method::WholeWire, &[Reason::SplicedBefore][..]));
}

/// Source: AC 43.13-1B table 11-6, from memory: 0.5 V of 14 V and 1 V of 28 V for a load that runs for good.
#[test]
fn the_drop_that_is_allowed() {
    for (supply, allowed) in [(12.6, 0.5), (14.1, 0.5), (25.2, 1.0), (28.0, 1.0)] {
        let sheet = filled(&Damage { supply: Some(Volts(supply)), ..rubbed() });
        assert_eq!(sheet.drop_allowed, Some(Volts(allowed)), "{supply}");
    }
}

#[test]
fn neighbours_are_staggered_one_by_one() {
    let sheet = filled(&Damage { beside: 2, ..rubbed() });
    assert_eq!(sheet.stagger.len(), 6);
    let cut = sheet.sleeve.expect("a sleeve").cut.0;
    assert!(sheet.stagger.windows(2).all(|pair| pair[1].0 - pair[0].0 > cut));
}

#[test]
fn a_pair_keeps_its_twist() {
    for pair in [Pair::Can, Pair::Sensor] {
        assert!(said(&filled(&Damage { pair, ..rubbed() }), "en").contains("twist them again"));
    }
    assert!(!said(&filled(&rubbed()), "en").contains("twist them again"));
}

/// Signal words by ANSI Z535.6; the hot-work gate, battery gas, oil under pressure and eye protection by common practice.
#[test]
fn the_usual_cautions_stand_first() {
    let sheet = filled(&Damage { near: vec![Near::Hose, Near::Battery], ..rubbed() });
    let cautions = sheet.cautions();
    assert!(cautions.windows(2).all(|pair| pair[0].signal >= pair[1].signal), "the worst first");
    assert!(cautions.iter().any(|c| c.signal == Signal::Warning && c.hazard.en.contains("hot-work gate")));
    for word in ["locked out", "pressure released", "battery", "eye protection"] {
        assert!(cautions.iter().any(|c| c.hazard.en.contains(word)), "{word}");
    }
    assert!(cautions.iter().all(|c| !c.hazard.es.is_empty()));
    let fuel = filled(&Damage { near: vec![Near::Fuel], ..rubbed() });
    assert!(fuel.cautions().iter().any(|c| c.hazard.en.contains("no heat here")));
    assert!(!fuel.cautions().iter().any(|c| c.hazard.en.contains("hot-work gate")));
}

#[test]
fn corrections_are_taken_by_key_or_told() {
    let mut damage = rubbed();
    for (key, typed) in [
        ("size", "18 AWG"),
        ("colour", "VT/GY"),
        ("length", "2.4 m"),
        ("insulation", "2.1 mm"),
        ("slack", "10 mm"),
        ("flexing", "0.4 m"),
        ("pair", "can"),
        ("beside", "1"),
        ("fuse", "10 A"),
        ("rubbed-on", "hose clamp"),
        ("near", "none"),
        ("injury", "cut"),
        ("place", "hose-crossing"),
        ("wire", "W32"),
    ] {
        damage.correct(key, typed).unwrap_or_else(|error| panic!("{key}: {error}"));
    }
    assert_eq!((damage.flex, damage.pair, damage.beside), (Some(Flex::Flexes), Pair::Can, 1));
    assert_eq!((damage.fuse, damage.insulation), (Some(Amps(10.0)), Some(Metres(0.0021))));
    let before = damage.clone();
    for (key, typed) in [
        ("size", "18"),
        ("length", "-1 m"),
        ("near", "moon"),
        ("beside", "many"),
        ("shape", "round"),
        ("flex", ""),
    ] {
        let error = damage.correct(key, typed).expect_err(key);
        assert!(!error.to_string().contains('\n') && !error.to_string().is_empty());
        assert_eq!(damage, before, "{key}");
    }
}

#[test]
fn a_sheet_survives_its_journal() {
    let sheet = filled(&rubbed());
    let text = serde_json::to_string(&sheet).expect("JSON");
    assert!(text.contains("\"size\":\"0.75 mm2\""), "{text}");
    assert_eq!(serde_json::from_str::<RepairSheet>(&text).expect("a sheet"), sheet);
    let least: Damage = serde_json::from_str("{\"wire\":\"W1\"}").expect("what is not known is left out");
    assert!(filled(&least).questions.contains(&Question::Size));
    assert!(serde_json::from_str::<Damage>("{\"wires\":\"W1\"}").is_err());
}
