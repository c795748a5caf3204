//! Fills in the sheet from the damage.
//!
//! Dimensions of barrels and of thin-wall insulation are common practice, for the sums until they are measured:
//! insulation is about 1.35 times the solid conductor and 0.6 mm (ISO 6722-1 thin wall, from memory, within 8 % from
//! 0.5 to 35 mm²).

use crate::units::{Metres, Volts, WireSize};

use super::super::{
    Copper, PullTable, RepairError, RouteFigure, RouteItem, Strand, barrel, bundle, half_lapped, let_in,
    mixed_bundle, nicked_allowed, protecting_fuse, pull_on_sample, sleeve, sleeve_length, stagger, traded_as,
};
use super::{
    BarrelOnSheet, Damage, Flex, Injury, Method, Near, Question, Reason, RepairSheet, SleeveOnSheet,
};

/// How far a splice stays away from the rub and from what flexes: our choice.
const STAND_OFF: f64 = 0.100;
/// Copper that is cut away on both sides of a place, until the mechanic has measured it: our choice.
const CUT_AWAY: f64 = 0.030;
/// A piece of this share of the wire is no longer worth two splices: our choice.
const WORTH_IT: f64 = 0.5;
/// Gauge, then length and thickness of an uninsulated barrel in millimetres: common practice.
const BARRELS: [(i8, f64, f64); 9] = [
    (22, 15.0, 2.5),
    (18, 15.0, 3.3),
    (14, 15.0, 4.0),
    (10, 16.0, 5.6),
    (8, 22.0, 7.0),
    (6, 27.0, 8.5),
    (4, 29.0, 10.0),
    (2, 32.0, 12.0),
    (0, 38.0, 15.0),
];

/// Fills in the repair sheet for a hurt wire.
///
/// # Errors
/// [`RepairError`] where a size, a length or a current makes no sense.
pub fn repair_sheet(damage: &Damage) -> Result<RepairSheet, RepairError> {
    let insulation = damage.insulation.or_else(|| damage.size.map(insulation_about));
    let joint = damage.size.filter(|size| !is_heavy(*size)).map(barrel_for).transpose()?;
    let (method, reasons) = method(damage, joint.as_ref());
    let joined = method != Method::WholeWire;
    let joint = joint.filter(|_| joined);
    let sleeve = match (&joint, insulation) {
        (Some(joint), Some(insulation)) => Some(sleeve_for(joint, insulation)?),
        _ => None,
    };
    let piece = piece(damage);
    let let_in = match (&joint, method) {
        (Some(joint), Method::Across) => let_in(piece, Metres(0.0), joint.length)?,
        _ => None,
    };
    let splices = if joined { splices_of(method).saturating_mul(damage.beside.saturating_add(1)) } else { 0 };
    let cut = sleeve.as_ref().map_or(Metres(0.0), |s| s.cut);
    let around = damage.bundle.or(insulation).unwrap_or(Metres(0.0));
    let gauge = damage.size.map(traded_as);
    Ok(RepairSheet {
        method,
        reasons,
        questions: questions(damage),
        heat: joined,
        stagger: stagger(splices, cut),
        nicked: gauge.and_then(nicked_allowed),
        pull: gauge.and_then(|g| pull_on_sample(g, PullTable::Ul486a)),
        wrap: half_lapped(if method == Method::Across { Metres(piece.0 + 2.0 * cut.0) } else { cut }, around),
        route: route(damage, around),
        bundle_after: bundle_after(damage, insulation, joint.as_ref())?,
        drop: drop(damage)?,
        drop_allowed: damage.supply.map(drop_allowed),
        fuse_most: damage.size.and_then(protecting_fuse),
        damage: damage.clone(),
        barrel: joint,
        sleeve,
        let_in,
    })
}

/// Battery and feed cables above this area are replaced, not joined: common practice, the limit is our choice.
const HEAVY: f64 = 16.0;

fn is_heavy(size: WireSize) -> bool {
    size.area().0 > HEAVY
}

fn splices_of(method: Method) -> u8 {
    match method {
        Method::Splice => 1,
        Method::Across => 2,
        Method::WholeWire => 0,
    }
}

/// Decides what is done. What is not known is taken as the careful side: the harness is taken to flex, and the ends not
/// to meet.
fn method(damage: &Damage, joint: Option<&BarrelOnSheet>) -> (Method, Vec<Reason>) {
    if damage.size.is_some_and(is_heavy) {
        return (Method::WholeWire, vec![Reason::HeavyCable]);
    }
    if damage.injury == Injury::GreenInside {
        return (Method::WholeWire, vec![Reason::GreenSpreads]);
    }
    if damage.injury == Injury::Unseen {
        return (Method::WholeWire, vec![Reason::NotSeen]);
    }
    if damage.near.contains(&Near::Fuel) {
        return (Method::WholeWire, vec![Reason::NearFuel]);
    }
    // AC 43.13-1B 11-167c.
    if damage.splices > 0 {
        return (Method::WholeWire, vec![Reason::SplicedBefore]);
    }
    let mut reasons = Vec::new();
    if damage.injury == Injury::RubbedThrough {
        reasons.push(Reason::AtTheRub);
    }
    if damage.flex != Some(Flex::Still) {
        reasons.push(Reason::Flexes);
    }
    if !ends_meet(damage) {
        reasons.push(Reason::EndsDoNotMeet);
    }
    if reasons.is_empty() {
        return (Method::Splice, vec![Reason::EndsMeet]);
    }
    let barrel = joint.map_or(0.0, |j| j.length.0);
    if damage.length.is_some_and(|whole| piece(damage).0 + barrel >= WORTH_IT * whole.0) {
        reasons.push(Reason::ShortWire);
        return (Method::WholeWire, reasons);
    }
    (Method::Across, reasons)
}

fn ends_meet(damage: &Damage) -> bool {
    missing(damage).0 <= damage.slack.unwrap_or(Metres(0.0)).0
}

fn missing(damage: &Damage) -> Metres {
    damage.missing.unwrap_or(Metres(CUT_AWAY))
}

/// How much wire is replaced: across the rub or what flexes and a stand-off on both sides, else only what is missing.
fn piece(damage: &Damage) -> Metres {
    let rubbed = damage.injury == Injury::RubbedThrough;
    let still = damage.flex == Some(Flex::Still);
    let flexing = if still { 0.0 } else { damage.flexing.unwrap_or(Metres(0.0)).0 };
    let bare = missing(damage).0.max(flexing);
    Metres(if rubbed || !still { bare + 2.0 * STAND_OFF } else { bare })
}

fn questions(damage: &Damage) -> Vec<Question> {
    let rubbed = damage.injury == Injury::RubbedThrough;
    // A wire that is replaced whole has no ends to bring together.
    let at_a_place = !matches!(damage.injury, Injury::GreenInside | Injury::Unseen);
    [
        (damage.size.is_none(), Question::Size),
        (at_a_place && damage.flex.is_none(), Question::Flex),
        (at_a_place && damage.flex == Some(Flex::Flexes) && damage.flexing.is_none(), Question::Flexing),
        (at_a_place && damage.missing.is_none(), Question::Missing),
        (rubbed && damage.rubbed_on.is_none(), Question::RubbedOn),
    ]
    .into_iter()
    .filter_map(|(open, question)| open.then_some(question))
    .collect()
}

fn barrel_for(size: WireSize) -> Result<BarrelOnSheet, RepairError> {
    let both = barrel(&[size, size])?;
    let gauge = traded_as(size);
    let row = BARRELS.iter().find(|row| gauge.number() >= row.0).unwrap_or(&BARRELS[BARRELS.len() - 1]);
    Ok(BarrelOnSheet {
        in_line: WireSize::Gauge(gauge),
        side_by_side: WireSize::Gauge(both.barrel),
        length: Metres(row.1 / 1e3),
        thickness: Metres(row.2 / 1e3),
    })
}

fn insulation_about(size: WireSize) -> Metres {
    let solid = 2.0 * (size.area().0 / std::f64::consts::PI).sqrt();
    Metres((1.35 * solid + 0.6) / 1e3)
}

fn sleeve_for(joint: &BarrelOnSheet, insulation: Metres) -> Result<SleeveOnSheet, RepairError> {
    let over = Metres(joint.thickness.0.max(insulation.0));
    let found = sleeve(over, insulation)?;
    Ok(SleeveOnSheet {
        supplied: found.supplied,
        recovered: found.recovered,
        ratio: found.ratio,
        cut: sleeve_length(joint.length),
    })
}

fn route(damage: &Damage, around: Metres) -> Vec<RouteFigure> {
    let mut items = vec![RouteItem::Clamps, RouteItem::Ties, RouteItem::Slack];
    for near in &damage.near {
        match near {
            Near::Fuel => items.push(RouteItem::Fuel),
            Near::Hose => items.push(RouteItem::Hose),
            Near::Edge => items.push(RouteItem::Edge),
            Near::Battery | Near::Hot => {}
        }
    }
    if around.0 > 0.0 {
        items.push(RouteItem::Bend);
    }
    items.into_iter().map(|item| item.figure(around)).collect()
}

/// The bundle where one splice lies in it: staggered, there is never a second one at the same place.
fn bundle_after(
    damage: &Damage,
    insulation: Option<Metres>,
    joint: Option<&BarrelOnSheet>,
) -> Result<Option<Metres>, RepairError> {
    let (Some(before), Some(insulation), Some(joint)) = (damage.bundle, insulation, joint) else {
        return Ok(None);
    };
    let mut wires = 1_u16;
    while wires < 2000 && bundle(insulation, u32::from(wires))?.0 < before.0 {
        wires += 1;
    }
    let mut ods = vec![insulation; usize::from(wires)];
    ods[0] = joint.thickness;
    let grown = mixed_bundle(&ods)?;
    Ok(Some(Metres(grown.0.max(before.0))))
}

fn drop(damage: &Damage) -> Result<Option<Volts>, RepairError> {
    let (Some(size), Some(length), Some(load)) = (damage.size, damage.length, damage.load) else {
        return Ok(None);
    };
    Copper::at_20(size, Strand::Stranded).drop(length, load).map(Some)
}

/// The drop that is allowed for good: 0.5 V of 14 V, 1 V of 28 V (AC 43.13-1B table 11-6, from memory).
fn drop_allowed(supply: Volts) -> Volts {
    Volts(if supply.0 < 18.0 { 0.5 } else { 1.0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Awg, SquareMillimetres};

    /// ISO 6722-1 thin wall, largest outside diameters, from memory: the estimate is within 8 %.
    #[test]
    fn insulation_is_about_what_it_measures() {
        let rows = [
            (0.5, 1.6),
            (0.75, 1.9),
            (1.0, 2.1),
            (1.5, 2.4),
            (2.5, 3.0),
            (4.0, 3.7),
            (6.0, 4.3),
            (16.0, 7.2),
            (35.0, 9.6),
        ];
        for (area, od) in rows {
            let about = insulation_about(WireSize::Area(SquareMillimetres(area))).0 * 1e3;
            assert!((about / od - 1.0).abs() < 0.08, "{area}: {about}");
        }
    }

    /// Cable is sold in even gauges (common practice, no source); an odd one may find no sleeve, and is told so.
    #[test]
    fn every_gauge_that_is_sold_has_a_barrel_and_a_sleeve() {
        for gauge in Awg::all().filter(|g| (6..=24).contains(&g.number()) && g.number() % 2 == 0) {
            let size = WireSize::Gauge(gauge);
            let joint = barrel_for(size).expect("a barrel");
            assert!(sleeve_for(&joint, insulation_about(size)).is_ok(), "{gauge}");
        }
    }
}
