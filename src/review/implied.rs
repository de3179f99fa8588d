//! The roof that eaves, pitches and gables imply, laid over the one that was drawn.
//!
//! Two planes may well meet in every drawn line and the roof still be another than the outline with its pitches would
//! give of itself: a hip that was meant as a valley's twin, a ridge carried on past a wing. A dormer or a gable set in
//! from the eave is such a difference too, and a design; so these are told, and judged by whoever reads them.

use std::collections::{BTreeMap, BTreeSet};

use super::words::Tongue;
use crate::geometry::{Point, Point3};
use crate::roof::outline::{
    self, ArcKind, Difference, DrawnLine, OutlineInput, OutlineProblem, OutlineRoof, OutlineRules,
    OutlineSide, Rises,
};
use crate::roof::{Edge, EdgeClass, Roof, Side};
use crate::{Finding, Place};

/// Lines nearer to where they are implied than this, or than twice the tracing tolerance, agree. In feet.
const NEAR_FT: f64 = 0.5;
/// Corners of one ring are found again within this, in feet.
const SAME_CORNER_FT: f64 = 1e-3;
/// Two sides that turn by less than this are one side.
const STRAIGHT_DEG: f64 = 0.5;
/// Eaves within this of each other are at one height, in feet.
const SAME_HEIGHT_FT: f64 = 0.05;

/// Where drawn ridges, hips and valleys are not where the outline implies them, as notes.
///
/// Nothing where the roof is of more than one level or has edges that no outline gives, such as the top of a lean-to.
pub(super) fn compare(roof: &Roof, tongue: Tongue) -> Vec<Finding> {
    let Some(input) = outline_of(roof) else {
        return Vec::new();
    };
    let tolerance_ft = NEAR_FT.max(2.0 * roof.snap_tolerance_ft);
    // Where planes do not meet, the heights of the eaves come of lines that are not right, and so would the implied roof.
    if roof.findings.iter().any(|f| f.code == super::LINE_OFF) {
        let told = Finding::note(
            "lines-not-compared",
            "Drawn lines were not compared with those that eaves, gables and pitches alone would give, since planes do not \
             meet along some of them: how high the eaves lie is not known.",
        )
        .remedy("Settle the lines along which planes do not meet first.");
        let mut told = vec![told];
        told.extend(ridges_off_level(roof, tolerance_ft, &[], tongue));
        return told;
    }
    let implied = match outline::build(&input, &OutlineRules::default()) {
        Ok(implied) => implied,
        Err(problem) => {
            let mut told = vec![not_implied(&problem, &input)];
            told.extend(ridges_off_level(roof, tolerance_ft, &[], tongue));
            return told;
        }
    };
    let inner: Vec<(&Edge, DrawnLine)> = roof.edges.iter().filter_map(inner).collect();
    let drawn: Vec<DrawnLine> = inner.iter().map(|(_, line)| *line).collect();
    let differences = outline::compare_with_drawn(&implied, &drawn, tolerance_ft);
    let elsewhere: Vec<&Edge> = differences
        .iter()
        .filter_map(|difference| match *difference {
            Difference::Drawn { line, .. } => Some(inner[line].0),
            Difference::Implied { .. } => None,
        })
        .collect();
    let off_level = ridges_off_level(roof, tolerance_ft, &elsewhere, tongue);
    differences
        .iter()
        .map(|difference| match *difference {
            Difference::Drawn {
                line,
                distance_ft,
                at,
            } => drawn_elsewhere(inner[line].0, distance_ft, at, tongue),
            Difference::Implied {
                arc,
                distance_ft,
                at,
            } => not_drawn(&implied, arc, distance_ft, at, tongue),
        })
        .chain(off_level)
        .collect()
}

/// Ridges that are where they are only because the eaves beside them lie at two heights. The heights come of the drawn lines:
/// the roof that these imply has the ridge there as well. Between level eaves it would lie the heights' difference over the
/// sum of the two slopes to the side. `told` are left out.
fn ridges_off_level(
    roof: &Roof,
    tolerance_ft: f64,
    told: &[&Edge],
    tongue: Tongue,
) -> Vec<Finding> {
    let mut eaves: Vec<Vec<f64>> = vec![Vec::new(); roof.faces.len()];
    for edge in roof.edges.iter().filter(|e| e.class == EdgeClass::Eave) {
        for face in &edge.faces {
            eaves[face.0].push(f64::midpoint(edge.start.z, edge.end.z));
        }
    }
    let mut findings = Vec::new();
    let mut seen = BTreeSet::new();
    let is_told = |edge: &Edge| told.iter().any(|other| std::ptr::eq(*other, edge));
    for edge in roof.edges.iter().filter(|e| e.class == EdgeClass::Ridge) {
        let &[a, b] = &edge.faces[..] else { continue };
        if is_told(edge) || !seen.insert((a.min(b), a.max(b))) {
            continue;
        }
        let [high, low] = [&eaves[a.0], &eaves[b.0]];
        let apart = high
            .iter()
            .flat_map(|h| low.iter().map(move |l| (h - l).abs()));
        let slopes = [a, b].map(|f| roof.face(f).plane.gradient);
        let off_ft = apart.fold(f64::INFINITY, f64::min) / (slopes[0] - slopes[1]).length();
        if off_ft.is_finite() && off_ft > tolerance_ft {
            let message = format!(
                "This ridge is drawn {} from where its two pitches would meet between eaves at one height.",
                tongue.length(off_ft)
            );
            let middle = edge.start.plan().midpoint(edge.end.plan());
            findings.push(
                Finding::note("drawn-not-implied", message)
                    .remedy(format!(
                        "Right where one of the two eaves lies higher; if they are level, ask which of the ridge and the pitches holds. Up to {} is let pass.",
                        tongue.length(tolerance_ft)
                    ))
                    .place(Place::at(middle)),
            );
        }
    }
    findings
}

/// A line between two faces, as the comparison takes it.
fn inner(edge: &Edge) -> Option<(&Edge, DrawnLine)> {
    let kind = match edge.class {
        EdgeClass::Ridge => ArcKind::Ridge,
        EdgeClass::Hip => ArcKind::Hip,
        EdgeClass::Valley => ArcKind::Valley,
        EdgeClass::PitchChange => ArcKind::PitchChange,
        _ => return None,
    };
    let ends = [edge.start.plan(), edge.end.plan()];
    let kind = Some(kind);
    Some((edge, DrawnLine { ends, kind }))
}

/// A side of the outline on the way to a ring.
#[derive(Clone, Copy)]
struct Outer {
    start: Point,
    end: Point,
    rises: Rises,
    height_ft: f64,
}

/// What the roof's outer edges alone say.
fn outline_of(roof: &Roof) -> Option<OutlineInput> {
    if roof.faces.iter().any(|face| face.level > 0) {
        return None;
    }
    let mut from: BTreeMap<(i64, i64), Outer> = BTreeMap::new();
    for face in &roof.faces {
        for ring in std::iter::once(&face.outline).chain(&face.holes) {
            for (i, side) in ring.sides.iter().enumerate() {
                let Side::Edge(id) = *side else { continue };
                let edge = &roof.edges[id.0];
                if edge.faces.len() > 1 {
                    continue;
                }
                let ends = [ring.corners[i], ring.corners[(i + 1) % ring.corners.len()]];
                let rises = match edge.class {
                    EdgeClass::Eave => Rises::Eave(face.pitch),
                    EdgeClass::Rake => Rises::Gable,
                    EdgeClass::Sidewall => Rises::Wall,
                    _ => return None,
                };
                let outer = outer(ends, rises);
                if from.insert(key(outer.start), outer).is_some() {
                    return None;
                }
            }
        }
    }
    let mut rings = Vec::new();
    while let Some((&first, _)) = from.first_key_value() {
        let mut ring = Vec::new();
        let mut at = first;
        while let Some(side) = from.remove(&at) {
            at = key(side.end);
            ring.push(side);
        }
        if at != first {
            return None;
        }
        rings.push(joined(ring));
    }
    // The outer ring first: it alone runs counter-clockwise.
    rings.sort_by(|a, b| doubled_area(b).total_cmp(&doubled_area(a)));
    let one_outer = rings.iter().filter(|r| doubled_area(r) > 0.0).count() == 1;
    let rings = rings.iter().map(|ring| ring.iter().map(side_of).collect());
    one_outer.then(|| OutlineInput {
        rings: rings.collect(),
    })
}

fn outer([start, end]: [Point3; 2], rises: Rises) -> Outer {
    let height_ft = match rises {
        Rises::Eave(_) => f64::midpoint(start.z, end.z),
        Rises::Gable | Rises::Wall => 0.0,
    };
    Outer {
        start: start.plan(),
        end: end.plan(),
        rises,
        height_ft,
    }
}

fn side_of(outer: &Outer) -> OutlineSide {
    OutlineSide {
        start: outer.start,
        rises: outer.rises,
        eave_height_ft: outer.height_ft,
    }
}

fn key(p: Point) -> (i64, i64) {
    let cell = |v: f64| (v / SAME_CORNER_FT).round() as i64;
    (cell(p.x), cell(p.y))
}

/// The ring with sides that go on straight in the same way made one: the two rakes of a gable, an eave drawn in parts.
fn joined(mut ring: Vec<Outer>) -> Vec<Outer> {
    // Start at a corner, so that no side is split by the ring's start.
    if let Some(corner) =
        (0..ring.len()).find(|&i| !goes_on(&ring[(i + ring.len() - 1) % ring.len()], &ring[i]))
    {
        ring.rotate_left(corner);
    }
    let mut out: Vec<Outer> = Vec::new();
    for side in ring {
        match out.last_mut() {
            Some(last) if goes_on(last, &side) => last.end = side.end,
            _ => out.push(side),
        }
    }
    out
}

fn goes_on(a: &Outer, b: &Outer) -> bool {
    let (u, v) = (a.end - a.start, b.end - b.start);
    let turn = u.cross(v).atan2(u.dot(v)).to_degrees().abs();
    let alike = match (a.rises, b.rises) {
        (Rises::Eave(p), Rises::Eave(q)) => {
            (p.to_degrees() - q.to_degrees()).abs() < 1e-6
                && (a.height_ft - b.height_ft).abs() < SAME_HEIGHT_FT
        }
        (a, b) => a == b,
    };
    alike && turn < STRAIGHT_DEG
}

fn doubled_area(ring: &[Outer]) -> f64 {
    let sum = |s: &Outer| s.start.x * s.end.y - s.end.x * s.start.y;
    ring.iter().map(sum).sum()
}

fn drawn_elsewhere(edge: &Edge, distance_ft: f64, at: Point, tongue: Tongue) -> Finding {
    let class = edge.class.words();
    let message = if distance_ft.is_finite() {
        format!(
            "This {class} is drawn up to {} from where eaves, gables and pitches alone would put one.",
            tongue.length(distance_ft)
        )
    } else {
        format!("This {class} is drawn where eaves, gables and pitches alone would give none.")
    };
    let mut finding = Finding::note("drawn-not-implied", message).remedy(REMEDY);
    finding.places.push(Place::at(at));
    finding
}

/// The outline alone gives no roof: the drawn lines are left unjudged.
fn not_implied(problem: &OutlineProblem, input: &OutlineInput) -> Finding {
    let mut finding = Finding::note(
        "lines-not-compared",
        format!(
            "Drawn lines were not compared with those that eaves, gables and pitches alone would give, since these give no roof: {problem}"
        ),
    )
    .remedy("Nothing need be wrong with the drawn roof; look at its ridges, hips and valleys yourself.");
    let middles: Vec<Point> = (input.rings.iter())
        .flat_map(|ring| (0..ring.len()).map(|i| (ring[i].start, ring[(i + 1) % ring.len()].start)))
        .map(|(start, end)| start.midpoint(end))
        .collect();
    let sides = problem.sides();
    let at = sides.iter().filter_map(|&side| middles.get(side));
    finding.places.extend(at.map(|&p| Place::at(p)));
    finding
}

fn not_drawn(
    implied: &OutlineRoof,
    arc: usize,
    distance_ft: f64,
    at: Point,
    tongue: Tongue,
) -> Finding {
    let class = match implied.arcs[arc].kind {
        ArcKind::Ridge => "ridge",
        ArcKind::Valley => "valley",
        ArcKind::PitchChange => "pitch change",
        _ => "hip",
    };
    let far = if distance_ft.is_finite() {
        format!(
            "the nearest drawn line is {} away",
            tongue.length(distance_ft)
        )
    } else {
        "no such line is drawn".to_owned()
    };
    let message =
        format!("Eaves, gables and pitches alone would give a {class} through here; {far}.");
    let mut finding = Finding::note("implied-not-drawn", message).remedy(REMEDY);
    finding.places.push(Place::at(at));
    finding
}

const REMEDY: &str = "Right for a dormer or a gable set in from the eave; if neither is meant, ask which of the lines and the pitches holds.";
