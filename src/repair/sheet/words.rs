//! The sheet in words, English and Spanish: what is done, in the order of doing it.

use serde::{Deserialize, Serialize};

use crate::diag::Text;
use crate::units::Metres;

use super::super::{RouteFigure, RouteItem, Source, insulation_gap, traded_as};
use super::{Flex, Injury, Method, Pair, Question, Reason, RepairSheet};

/// One line of the sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SheetLine {
    /// What it is about.
    pub label: Text,
    /// What to do, or the figure.
    pub value: Text,
    /// Where that comes from, where it is not the damage itself.
    pub source: Option<Source>,
}

fn line(label: (&str, &str), (en, es): (String, String), source: Option<Source>) -> SheetLine {
    SheetLine { label: Text::both(label.0, label.1), value: Text::both(&en, &es), source }
}

fn same(text: String) -> (String, String) {
    (text.clone(), text)
}

fn both(en: &str, es: &str) -> (String, String) {
    (en.to_owned(), es.to_owned())
}

/// A length in millimetres without the unit, such as stands before the stroke of a sleeve's size.
pub(super) fn bare_mm(length: Metres) -> String {
    format!("{}", (length.0 * 1e4).round() / 10.0)
}

pub(super) fn mm(length: Metres) -> String {
    let number = length.0 * 1e3;
    if number < 9.95 { format!("{number:.1} mm") } else { format!("{number:.0} mm") }
}

impl RepairSheet {
    /// The sheet line by line, in the order of doing it.
    #[must_use]
    pub fn lines(&self) -> Vec<SheetLine> {
        lines(self)
    }
}

fn lines(sheet: &RepairSheet) -> Vec<SheetLine> {
    let mut lines = wire_lines(sheet);
    lines.push(line(("do", "hacer"), method(sheet.method), Some(Source::practice())));
    lines.extend(sheet.reasons.iter().map(|r| line(("because", "porque"), reason(*r), None)));
    lines.extend(
        sheet.questions.iter().map(|q| line(("to be answered", "por responder"), question(*q), None)),
    );
    if sheet.damage.pair != Pair::Single {
        lines.push(line(("pair", "par"), twist(sheet.damage.pair), Some(Source::practice())));
    }
    lines.extend(joint_lines(sheet));
    lines.extend(after_lines(sheet));
    lines
}

fn wire_lines(sheet: &RepairSheet) -> Vec<SheetLine> {
    let damage = &sheet.damage;
    let known = [Some(damage.wire.clone()), damage.size.map(|s| s.to_string()), damage.colour.clone()];
    let known: Vec<String> = known.into_iter().flatten().filter(|k| !k.is_empty()).collect();
    let mut lines = vec![line(("wire", "cable"), same(known.join(", ")), None)];
    if let Some(route) = &damage.route {
        lines.push(line(("runs", "recorrido"), same(route.clone()), None));
    }
    let hurt = match damage.injury {
        Injury::RubbedThrough => both("rubbed through", "rozado hasta el cobre"),
        Injury::Cut => both("broken", "cortado"),
        Injury::GreenInside => both("green inside", "verde por dentro"),
        Injury::Unseen => both("broken, and where is not seen", "cortado, y no se ve dónde"),
    };
    lines.push(line(("damage", "daño"), hurt, None));
    if let Some(place) = &damage.place {
        lines.push(line(("place", "lugar"), same(place.clone()), None));
    }
    if let Some(at) = damage.at {
        let span = format!("{:.2} m ({:.2} – {:.2} m)", at.at.0, at.from.0, at.to.0);
        let value = (format!("{span} from the first end"), format!("{span} desde la primera punta"));
        lines.push(line(("distance", "distancia"), value, None));
    }
    if let Some(what) = &damage.rubbed_on {
        lines.push(line(("rubbed on", "rozó con"), same(what.clone()), None));
    }
    lines
}

fn method(method: Method) -> (String, String) {
    match method {
        Method::Splice => {
            both("one splice, where the harness is still", "una unión, donde el arnés no se mueve")
        }
        Method::Across => both(
            "let a piece in across the place: two splices, both where the harness is still and away from the rub",
            "ponga un tramo nuevo que cruce el lugar: dos uniones, ambas donde el arnés no se mueve y lejos del roce",
        ),
        Method::WholeWire => both(
            "replace the wire from terminal to terminal, crimped at the bench",
            "cambie el cable de terminal a terminal, prensado en el banco",
        ),
    }
}

fn reason(reason: Reason) -> (String, String) {
    match reason {
        Reason::AtTheRub => {
            both("a splice at the rub would be rubbed again", "una unión en el roce volvería a rozarse")
        }
        Reason::Flexes => {
            both("a splice breaks where the harness flexes", "una unión se rompe donde el arnés flexiona")
        }
        Reason::EndsDoNotMeet => both(
            "the ends do not meet, and a joined wire must not be under tension",
            "las puntas no se alcanzan, y un cable unido no debe quedar tirante",
        ),
        Reason::EndsMeet => both("the ends meet with slack", "las puntas se alcanzan con holgura"),
        Reason::GreenSpreads => both(
            "green creeps along the strands farther than one sees",
            "el verde avanza por los hilos más de lo que se ve",
        ),
        Reason::NotSeen => both(
            "where it is hurt is not seen, so no length of it can be trusted",
            "no se ve dónde está dañado, así que ningún tramo es de fiar",
        ),
        Reason::ShortWire => {
            both("the piece would be half of the wire or more", "el tramo sería la mitad del cable o más")
        }
        Reason::SplicedBefore => both(
            "it has a splice already, and a wire takes one between its connectors (AC 43.13-1B 11-167c)",
            "ya tiene una unión, y un cable lleva una entre conectores (AC 43.13-1B 11-167c)",
        ),
        Reason::HeavyCable => both("a cable this heavy is not joined", "un cable tan grueso no se une"),
        Reason::NearFuel => both("no heat beside fuel", "sin calor junto al combustible"),
    }
}

fn question(question: Question) -> (String, String) {
    match question {
        Question::Size => both("size of the wire", "calibre del cable"),
        Question::Flex => {
            both("does the harness move there? taken to flex", "¿se mueve ahí el arnés? se supone que sí")
        }
        Question::Flexing => both("how much of the harness moves?", "¿cuánto del arnés se mueve?"),
        Question::Missing => both(
            "how much is missing, cut back to bright copper? taken as 30 mm",
            "¿cuánto falta, cortado hasta cobre brillante? se supone 30 mm",
        ),
        Question::RubbedOn => both("what did it rub on?", "¿con qué rozó?"),
    }
}

fn twist(pair: Pair) -> (String, String) {
    let keep = "mend both wires, staggered, and twist them again to within 25 mm of each splice";
    let guarde = "repare ambos cables, escalonados, y vuelva a trenzarlos hasta 25 mm de cada unión";
    match pair {
        Pair::Single => same(String::new()),
        Pair::Can => both(keep, guarde),
        Pair::Sensor => (
            format!("{keep}; carry the screen through, joined at one place"),
            format!("{guarde}; continúe la malla, unida en un solo lugar"),
        ),
    }
}

fn joint_lines(sheet: &RepairSheet) -> Vec<SheetLine> {
    let (Some(barrel), Some(sleeve)) = (&sheet.barrel, &sheet.sleeve) else { return Vec::new() };
    let mut lines = vec![line(
        ("cut back", "recorte"),
        both("to bright copper on both sides", "hasta cobre brillante a ambos lados"),
        Some(Source::practice()),
    )];
    if let Some(nicked) = sheet.nicked {
        let counts = (nicked.nicked, nicked.broken);
        let value = (
            format!("at most {} nicked, {} broken", counts.0, counts.1),
            format!("a lo más {} mellados, {} rotos", counts.0, counts.1),
        );
        lines.push(line(("strands", "hilos"), value, Some(Source::seen("AC 43.13-1B table 11-13"))));
    }
    if let Some(piece) = sheet.let_in {
        lines.push(line(
            ("piece to let in", "tramo nuevo"),
            same(mm(piece.length)),
            Some(Source::practice()),
        ));
    }
    let slide = (
        format!(
            "{}/{}, {}:1, adhesive-lined, {} long; slide it on before you crimp",
            bare_mm(sleeve.supplied),
            mm(sleeve.recovered),
            sleeve.ratio,
            mm(sleeve.cut)
        ),
        format!(
            "{}/{}, {}:1, con adhesivo, {} de largo; métalo antes de prensar",
            bare_mm(sleeve.supplied),
            mm(sleeve.recovered),
            sleeve.ratio,
            mm(sleeve.cut)
        ),
    );
    lines.push(line(("sleeve", "manga"), slide, Some(Source::seen("tubing makers' selection guides"))));
    let value = (
        format!(
            "uninsulated, {} in line (low profile); {} if side by side",
            barrel.in_line, barrel.side_by_side
        ),
        format!(
            "sin aislar, {} en línea (bajo perfil); {} si van lado a lado",
            barrel.in_line, barrel.side_by_side
        ),
    );
    lines.push(line(("barrel", "unión"), value, Some(Source::seen("terminal makers' circular-mil guides"))));
    lines.push(line(("crimp", "prensado"), gap(sheet), Some(Source::seen("NASA-STD-8739.4 table 13-1"))));
    if let Some(pull) = sheet.pull {
        let value = (
            format!("{:.0} N on a sample crimp of the same wire and barrel, never on the repair", pull.0),
            format!("{:.0} N en una unión de muestra del mismo cable, nunca en la reparación", pull.0),
        );
        lines.push(line(("pull test", "prueba de tracción"), value, Some(Source::seen("UL 486A"))));
    }
    if sheet.stagger.len() > 1 {
        // The first stands where it stands.
        let places: Vec<String> = sheet.stagger.iter().skip(1).map(|m| mm(*m)).collect();
        let source = Some(Source::memory("AC 43.13-1B 11-167b"));
        let value = (
            format!("the others at least so far from the first, none side by side: {}", places.join(", ")),
            format!(
                "las demás al menos a esta distancia de la primera, ninguna al lado de otra: {}",
                places.join(", ")
            ),
        );
        lines.push(line(("stagger", "escalone"), value, source));
    }
    lines
}

fn after_lines(sheet: &RepairSheet) -> Vec<SheetLine> {
    let wrap = sheet.wrap;
    let value = (
        format!("half-lapped over {}, {} turns, {} of tape", mm(wrap.over), wrap.turns, mm(wrap.tape)),
        format!("a media vuelta sobre {}, {} vueltas, {} de cinta", mm(wrap.over), wrap.turns, mm(wrap.tape)),
    );
    let mut lines = vec![line(("wrap", "encintado"), value, Some(Source::practice()))];
    if let Some(bundle) = sheet.bundle_after {
        lines.push(line(
            ("bundle at the splice", "mazo en la unión"),
            same(mm(bundle)),
            Some(Source::practice()),
        ));
    }
    lines.extend(sheet.route.iter().map(|f| line(("route", "recorrido"), route(f), Some(f.source.clone()))));
    lines.push(line(("slack", "holgura"), ends(), Some(Source::seen("AC 43.13-1B 11-118"))));
    if sheet.damage.flex != Some(Flex::Still) {
        lines.push(line(("route", "recorrido"), hinge(), Some(Source::seen("AC 43.13-1B 11-115"))));
    }
    lines.push(line(("remove cause", "quitar causa"), cause(sheet.damage.injury), Some(Source::practice())));
    if let (Some(drop), Some(allowed)) = (sheet.drop, sheet.drop_allowed) {
        let source = Some(Source::memory("AC 43.13-1B table 11-6"));
        let value = (
            format!("{drop} under load; {allowed} is allowed"),
            format!("{drop} con carga; se admite {allowed}"),
        );
        lines.push(line(("drop", "caída"), value, source));
    }
    if let Some(most) = sheet.fuse_most {
        let source = Some(Source::seen("AC 43.13-1B table 11-3"));
        let value = (
            format!("at most {most} for this wire in a bundle, and never above the maker's"),
            format!("a lo más {most} para este cable en mazo, y nunca mayor que el del fabricante"),
        );
        lines.push(line(("fuse", "fusible"), value, source));
    }
    lines
}

fn gap(sheet: &RepairSheet) -> (String, String) {
    let gauge = sheet.damage.size.map(traded_as);
    let (least, most) = gauge.map_or((0.25, 0.75), |g| {
        let (least, most) = insulation_gap(g);
        (least.0 * 1e3, most.0 * 1e3)
    });
    (
        format!("insulation ends {least} to {most} mm before the barrel; never on solid or soldered strand"),
        format!(
            "el aislante termina {least} a {most} mm antes de la unión; nunca sobre hilo macizo o estañado"
        ),
    )
}

fn ends() -> (String, String) {
    both(
        "no tension anywhere; at connectors enough to put two new terminals on",
        "sin tensión en ninguna parte; en los conectores, para poner dos terminales nuevos",
    )
}

fn hinge() -> (String, String) {
    both(
        "over a joint of the machine the bundle twists, it does not bend",
        "sobre una articulación de la máquina el mazo gira, no se dobla",
    )
}

fn cause(injury: Injury) -> (String, String) {
    match injury {
        Injury::RubbedThrough => both(
            "move, clamp or sleeve what it rubbed on, or it is back in a month",
            "mueva, sujete o cubra aquello con que rozó, o vuelve en un mes",
        ),
        Injury::Cut | Injury::Unseen => both(
            "find what pulled or bent it, and give it slack and a clamp",
            "halle qué lo jaló o dobló, y déle holgura y una abrazadera",
        ),
        Injury::GreenInside => {
            both("find where the water came in, and seal it", "halle por dónde entró el agua, y séllelo")
        }
    }
}

fn route(figure: &RouteFigure) -> (String, String) {
    let length = mm(figure.length);
    let (en, es) = match figure.item {
        RouteItem::Clamps => ("clamps at most # apart", "abrazaderas a lo más cada #"),
        RouteItem::Ties => {
            ("ties between clamps that are more than # apart", "amarres entre abrazaderas separadas más de #")
        }
        RouteItem::Slack => (
            "pressed lightly between clamps it gives at most #",
            "entre abrazaderas cede a lo más # con presión ligera",
        ),
        RouteItem::Edge => {
            ("# from the edge of a hole, or a grommet", "# del borde de un agujero, o un pasacables")
        }
        RouteItem::Fuel => (
            "# from a fuel line; never under 51 mm, and then clamped on both sides",
            "# de una línea de combustible; nunca menos de 51 mm, y entonces sujeto a ambos lados",
        ),
        RouteItem::Hose => (
            "# from a hose that moves, at every end of its travel",
            "# de una manguera que se mueve, en todo su recorrido",
        ),
        RouteItem::Bend => (
            "no bend tighter than # inside, 3 times the bundle at a supported breakout",
            "ninguna curva de menos de # por dentro, 3 veces el mazo en una derivación sujeta",
        ),
    };
    (en.replace('#', &length), es.replace('#', &length))
}
