//! What goes into the van: parts by the finds that a suspect's walk ends at, tools by the steps that it passes.

use std::collections::{BTreeMap, BTreeSet};

use crate::diag::Lang;
use crate::machine::{Case, FaultId, Kind as PartKind, Machine};
use crate::reason::{Foretold, Outlook, Situation};
use crate::safety::Vocabulary;
use crate::tree::{Find, Kind, Leads, RepairJob, Step, StepIx, Target, Tree};
use crate::units::Measure;

use super::Item;

/// What is needed less often than this stays in the shop: our choice, no source.
const LEAST: f64 = 0.005;

/// Every item with its probability, the likeliest first.
pub(super) fn by_share(outlook: &Outlook<'_, '_>, vocabulary: &Vocabulary, lang: &Lang) -> Vec<Item> {
    let machine = outlook.machine();
    let day = outlook.day();
    let mut needed: BTreeMap<String, f64> = BTreeMap::new();
    let mut total = 0.0;
    for fault in machine.fault_ids() {
        let own = machine.fault(fault);
        let case = day.case(&[machine.knot(fault, None)]);
        if !outlook.shows_symptom(&case) {
            continue;
        }
        total += own.share;
        for name in walked(outlook, vocabulary, (fault, &case), lang) {
            *needed.entry(name).or_insert(0.0) += own.share;
        }
    }
    let mut items: Vec<Item> = needed
        .into_iter()
        .map(|(name, share)| Item { name, chance: Some(share / total) })
        .filter(|item| item.chance.is_some_and(|chance| chance >= LEAST))
        .collect();
    items.sort_by(|a, b| b.chance.unwrap_or(0.0).total_cmp(&a.chance.unwrap_or(0.0)));
    items
}

/// Every item of a tree without a machine, in the order of the tree.
pub(super) fn by_tree(tree: &Tree, lang: &Lang) -> Vec<Item> {
    let mut names: Vec<String> = Vec::new();
    for step in &tree.steps {
        for name in of_step(step, None, lang) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    names.into_iter().map(|name| Item { name, chance: None }).collect()
}

/// What one suspect's walk needs.
fn walked<'m>(
    outlook: &Outlook<'_, 'm>,
    vocabulary: &Vocabulary,
    (fault, case): (FaultId, &Case<'_, 'm>),
    lang: &Lang,
) -> BTreeSet<String> {
    let tree = outlook.tree();
    let mut needed = BTreeSet::new();
    let mut now = Situation::default();
    let mut at: StepIx = tree.start;
    for _ in 0..tree.steps.len() {
        let step = tree.step(at);
        needed.extend(of_step(step, Some(outlook.machine()), lang));
        now = now.after(step, vocabulary);
        let mut targets = step.targets();
        if step.cannot.is_some() {
            targets.pop();
        }
        let ways: Vec<Target> = match outlook.foretell(at, &now, case) {
            Foretold::Ways(ways) => ways.iter().filter_map(|way| targets.get(*way).copied()).collect(),
            Foretold::Open => targets,
        };
        let towards = ways.iter().find(|way| outlook.leads_to(**way, fault));
        let next = towards.or(ways.first()).filter(|way| **way != Target::Again);
        match next.and_then(|way| tree.land(*way)) {
            Some(next) => at = next,
            None => break,
        }
    }
    needed
}

/// What one step needs.
fn of_step(step: &Step, machine: Option<&Machine>, lang: &Lang) -> Vec<String> {
    let say = |en: &str, es: &str| if lang.code() == "es" { es.to_owned() } else { en.to_owned() };
    match &step.kind {
        Kind::Read(read) => {
            let mut tools = vec![match (&read.leads, read.measure) {
                (Leads::Around(_), _) => say("current clamp", "pinza amperimétrica"),
                (_, Measure::Pressure) => say("pressure gauge", "manómetro"),
                (_, Measure::Temperature) => say("thermometer", "termómetro"),
                _ => say("multimeter with back-probes", "multímetro con sondas finas"),
            }];
            if let Some(watts) = read.loaded {
                tools.push(format!("{} {:.0} W", say("lamp", "lámpara"), watts.value()));
            }
            tools
        }
        Kind::Gate(gate) => match gate.gate.as_str() {
            "lockout" => vec![say("lock and tag", "candado y tarjeta")],
            "hot-work" => {
                vec![say(
                    "heat gun, sleeves, extinguisher",
                    "pistola de calor, tubo termocontráctil, extintor",
                )]
            }
            "raise-cab" => vec![say("support for the cab", "soporte de la cabina")],
            "support-arms" => vec![say("support for the arms", "soporte de los brazos")],
            "park" => vec![say("chocks", "calzas")],
            _ => Vec::new(),
        },
        Kind::Do(action) => {
            let ties = action.acts.iter().any(|(act, _)| *act == crate::tree::Act::Ties);
            ties.then(|| say("strap and tag", "correa y tarjeta")).into_iter().collect()
        }
        Kind::Find(find) => parts(find, machine, lang),
        Kind::Refer(refer) => refer.waits_for.iter().map(|text| text.in_lang(lang).to_owned()).collect(),
        _ => Vec::new(),
    }
}

/// The parts of a repair.
fn parts(find: &Find, machine: Option<&Machine>, lang: &Lang) -> Vec<String> {
    let say = |en: &str, es: &str| if lang.code() == "es" { es.to_owned() } else { en.to_owned() };
    let Some(repair) = &find.repair else { return Vec::new() };
    let part = |(job, name): &(RepairJob, String)| match job {
        RepairJob::Replace => Some(named(name, machine, lang)),
        RepairJob::Splice => {
            Some(format!("{} {}", say("splices for", "empalmes para"), wire(name, machine, lang)))
        }
        RepairJob::Rewire => {
            Some(format!("{} {}", say("new wire for", "cable nuevo para"), wire(name, machine, lang)))
        }
        RepairJob::Solder => Some(say("soldering iron", "soldador")),
        RepairJob::Clean => Some(say("contact cleaner, brush", "limpiacontactos, cepillo")),
        RepairJob::Sleeve => Some(say("protective sleeve", "funda protectora")),
        RepairJob::Fill => {
            Some(format!("{} {}", say("to fill:", "para llenar:"), named(name, machine, lang)))
        }
        RepairJob::Tighten | RepairJob::Adjust => None,
    };
    let mut all: Vec<String> = repair.jobs.iter().filter_map(part).collect();
    all.dedup();
    all
}

/// A part with its title and rating.
fn named(name: &str, machine: Option<&Machine>, lang: &Lang) -> String {
    let element = machine.and_then(|m| Some(&m.parts().elements[m.element(name)?.at()]));
    let Some(element) = element else { return other(name, machine, lang) };
    let rating = match &element.kind {
        PartKind::Fuse { rating } => format!(", {rating}"),
        PartKind::Contact { .. } if lang.code() == "es" => ", pin y enchufe".to_owned(),
        PartKind::Contact { .. } => ", pin and socket".to_owned(),
        _ => String::new(),
    };
    let title = element.title.as_ref().map_or(String::new(), |title| format!(", {}", title.in_lang(lang)));
    format!("{name}{title}{rating}")
}

/// What is no thing of a circuit: a box or plug with its title, and else the machine file's own words for it.
fn other(name: &str, machine: Option<&Machine>, lang: &Lang) -> String {
    let Some(machine) = machine else { return name.to_owned() };
    let parts = machine.parts();
    let part = parts.others.iter().find(|(own, _)| own == name).map(|(_, title)| title);
    let fault = || machine.fault_named(name).and_then(|id| machine.fault(id).title.as_ref());
    if let Some(title) = part.or_else(fault) {
        return title.in_lang(lang).to_owned();
    }
    let plug = machine.connector(name).and_then(|id| parts.connectors[id.at()].title.as_ref());
    let boxed = || parts.controllers.iter().find(|own| own.name == name).and_then(|own| own.title.as_ref());
    let title = plug.or_else(boxed).map_or(String::new(), |title| format!(", {}", title.in_lang(lang)));
    format!("{name}{title}")
}

/// A wire with its size and colour.
fn wire(name: &str, machine: Option<&Machine>, lang: &Lang) -> String {
    let element = machine.and_then(|m| Some(&m.parts().elements[m.element(name)?.at()]));
    match element.map(|e| &e.kind) {
        Some(PartKind::Wire(wire)) => {
            let colour = wire.colour.as_ref().map_or(String::new(), |c| format!(", {}", colour(c, lang)));
            format!("{name} ({}{colour})", wire.size)
        }
        _ => name.to_owned(),
    }
}

/// The colours of wires in Spanish; codes of IEC 60757 are the same in every language.
const COLOURS: [(&str, &str); 13] = [
    ("black", "negro"),
    ("brown", "marrón"),
    ("red", "rojo"),
    ("orange", "naranja"),
    ("yellow", "amarillo"),
    ("green", "verde"),
    ("blue", "azul"),
    ("violet", "violeta"),
    ("grey", "gris"),
    ("white", "blanco"),
    ("pink", "rosa"),
    ("turquoise", "turquesa"),
    ("gold", "oro"),
];

/// A wire's colour, each of two by itself: `violet/grey`.
fn colour(written: &str, lang: &Lang) -> String {
    if lang.code() != "es" {
        return written.to_owned();
    }
    let one = |part: &str| COLOURS.iter().find(|(en, _)| *en == part).map_or(part, |(_, es)| *es).to_owned();
    written.split('/').map(one).collect::<Vec<_>>().join("/")
}
