//! What was taken for a courtyard before the roof was solved, looked at again after: some slope falls to a courtyard. Where
//! none does, and one rises to it or is cut off askew beside it, the slope beyond is missing.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::map::{OPENING_OUTSIDE, TAKEN_FOR_COURTYARD};
use super::{Edge, EdgeClass, EdgeId, Roof};
use crate::drawing::{Drawing, Role, Stroke};
use crate::geometry::{Point, Vector, ring};
use crate::{Finding, Place};

/// A slope whose end lies farther off its fall than this is cut off askew. Walls are seldom farther out of square.
const ASKEW_DEG: f64 = 20.0;
/// Shorter ends, in feet, say nothing: a corner may be drawn blunt.
const TELLING_FT: f64 = 1.0;
/// Smaller holes, in square feet, are shafts and light wells, which stand anywhere, astride a ridge too (common practice, no
/// source).
const LARGEST_SHAFT_SQFT: f64 = 30.0;
/// Directions that are looked in from the middle.
const DIRECTIONS: u32 = 72;

/// Looks at every area that was taken for a courtyard: where it can be none, that is an error instead, and the answer is
/// yes. Where an opening is drawn over it, the drawing itself says that it is a hole, and nothing is left to be told.
pub(super) fn lacks_a_slope(roof: &mut Roof, drawing: &Drawing) -> bool {
    let mut findings = std::mem::take(&mut roof.findings);
    let holes: Vec<&Stroke> = openings_over(&findings, drawing);
    findings.retain(|finding| !is_said(finding, &holes));
    let mut lacks = false;
    for finding in &mut findings {
        let missing = courtyard_at(finding).and_then(|at| slope_missing(roof, at));
        if let Some(missing) = missing {
            *finding = missing;
            lacks = true;
        }
    }
    roof.findings = findings;
    lacks
}

/// What is told of courtyards that the drawing does not show as holes itself.
pub(super) fn told(findings: impl Iterator<Item = Finding>, drawing: &Drawing) -> Vec<Finding> {
    let courts: Vec<Finding> = findings.filter(|f| courtyard_at(f).is_some()).collect();
    let holes = openings_over(&courts, drawing);
    let untold = courts.iter().filter(|f| !is_said(f, &holes));
    untold.cloned().collect()
}

/// The middle of what a finding takes for a courtyard.
fn courtyard_at(finding: &Finding) -> Option<Point> {
    let place = finding.places.first()?;
    place.at.filter(|_| finding.code == TAKEN_FOR_COURTYARD)
}

/// The openings that are drawn over supposed courtyards.
fn openings_over<'d>(findings: &[Finding], drawing: &'d Drawing) -> Vec<&'d Stroke> {
    let middles: Vec<Point> = findings.iter().filter_map(courtyard_at).collect();
    let openings = drawing.strokes.iter().filter(|s| s.role == Role::Opening);
    openings
        .filter(|opening| {
            middles
                .iter()
                .any(|&at| ring::contains(&opening.points, at))
        })
        .collect()
}

/// Whether a finding speaks of a hole that is drawn as one: as a courtyard, or as an opening beside all faces.
fn is_said(finding: &Finding, holes: &[&Stroke]) -> bool {
    if let Some(at) = courtyard_at(finding) {
        return holes.iter().any(|hole| ring::contains(&hole.points, at));
    }
    let source = finding
        .places
        .first()
        .and_then(|place| place.source.as_ref());
    let of_hole = |source| holes.iter().any(|hole| Arc::ptr_eq(source, &hole.source));
    finding.code == OPENING_OUTSIDE && source.is_some_and(of_hole)
}

fn slope_missing(roof: &Roof, at: Point) -> Option<Finding> {
    let seen = look_round(roof, at);
    if seen.area_sqft < LARGEST_SHAFT_SQFT {
        return None;
    }
    let ends: Vec<&Edge> = (seen.edges.iter())
        .map(|id| &roof.edges[id.0])
        .filter(|edge| edge.plan_length.to_feet() >= TELLING_FT)
        .collect();
    if ends.iter().any(|edge| edge.class == EdgeClass::Eave) {
        return None;
    }
    let (name, how) = ends.iter().find_map(|edge| how_cut_off(roof, edge))?;
    Some(
        Finding::error(
            "face-without-pitch",
            format!("An area inside the roof has no pitch in it, and is no courtyard: no slope falls to it, and {name} {how}."),
        )
        .remedy("Write its pitch inside it; if it is a hole in the roof, draw it as a closed shape on a layer named opening.")
        .place(Place::at(at)),
    )
}

/// The face of an edge and how it ends there, where no courtyard ends a slope so.
fn how_cut_off<'r>(roof: &'r Roof, edge: &Edge) -> Option<(&'r str, &'static str)> {
    let face = roof.face(*edge.faces.first()?);
    let how = match edge.class {
        EdgeClass::HighEdge => "rises to it",
        EdgeClass::Rake => {
            let along = (edge.end.plan() - edge.start.plan()).unit()?;
            let off = along.cross(face.fall()?).abs();
            if off <= ASKEW_DEG.to_radians().sin() {
                return None;
            }
            "is cut off askew beside it"
        }
        _ => return None,
    };
    Some((&face.name, how))
}

/// What is seen from a place all round: the outer edges, and how large the area before them is, in square feet.
struct Seen {
    edges: BTreeSet<EdgeId>,
    area_sqft: f64,
}

fn look_round(roof: &Roof, at: Point) -> Seen {
    let step = 360.0 / f64::from(DIRECTIONS);
    let mut edges = BTreeSet::new();
    let mut reached = Vec::new();
    for n in 0..DIRECTIONS {
        let towards = Vector::from_bearing_deg(f64::from(n) * step);
        let nearest = (roof.edges.iter().enumerate())
            .filter(|(_, edge)| edge.faces.len() == 1)
            .filter_map(|(id, edge)| Some((distance_along(at, towards, edge)?, id)))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((distance, id)) = nearest {
            edges.insert(EdgeId(id));
            reached.push(at + towards * distance);
        }
    }
    Seen {
        edges,
        area_sqft: ring::signed_area(&reached).abs(),
    }
}

/// How far it is to an edge in a direction, in feet.
fn distance_along(from: Point, towards: Vector, edge: &Edge) -> Option<f64> {
    let (start, end) = (edge.start.plan(), edge.end.plan());
    let along = end - start;
    let across = towards.cross(along);
    if across == 0.0 {
        return None;
    }
    let reach = start - from;
    let (distance, part) = (reach.cross(along) / across, reach.cross(towards) / across);
    (distance > 0.0 && (0.0..=1.0).contains(&part)).then_some(distance)
}
