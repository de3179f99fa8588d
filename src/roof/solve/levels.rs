//! Roofs above roofs: how high an upper level stands, what it covers, and where lower faces end against it.
//!
//! The drawing does not say how high one level stands over another. The upper one is set down until it touches what is
//! beneath it, which is told; no area or length of a face depends on it. What rests on each other is a stack, and each
//! stack's lowest corner is at 0: an upper level that runs far out and down has the lowest eave of all.

use geo::{
    Area as _, BooleanOps, BoundingRect as _, Intersects as _, LineString, MultiPoint,
    MultiPolygon, Polygon, Rect,
};

use crate::geometry::{Point, Sets, ring};
use crate::roof::map::PlanMap;
use crate::roof::{Edge, EdgeClass, Face, Roof, Side};
use crate::units::{Area, METRES_PER_FOOT, Plan};
use crate::{Finding, Place};

use super::assemble::SolvedSheet;
use super::classes;
use super::heights::CornerHeights;
use super::words;

/// Less cover than this (ft²) is the tracing's inaccuracy.
const LEAST_COVER_SQFT: f64 = 0.5;
/// A corner no more than this (feet) under 0 is at 0: the last digits of a sum of heights.
const LAST_DIGITS_FT: f64 = 1e-9;
/// A lower edge this near (feet, besides the snap tolerance) to an upper outline ends against it.
const AGAINST_FT: f64 = 0.1;

/// Sets the lift of every sheet: its lowest corner at 0, or, on an upper level, resting on the roofs beneath; then each
/// stack's lowest corner at 0.
pub(super) fn lift(maps: &[PlanMap], sheets: &mut [SolvedSheet], heights: &[CornerHeights]) {
    let lowest: Vec<Option<f64>> = heights
        .iter()
        .map(|h| h.height.values().copied().reduce(f64::min))
        .collect();
    let mut stacks = Sets::new(sheets.len());
    let mut order: Vec<usize> = (0..sheets.len()).collect();
    order.sort_by_key(|&s| (maps[sheets[s].map].level, s));
    for (done, &index) in order.iter().enumerate() {
        let Some(low) = lowest[index] else {
            continue;
        };
        let level = maps[sheets[index].map].level;
        let beneath: Vec<usize> = order[..done]
            .iter()
            .copied()
            .filter(|&s| maps[sheets[s].map].level < level)
            .collect();
        let rest = rest_on(&sheets[index], sheets, &beneath);
        sheets[index].lift_ft = rest.as_ref().map_or(-low / METRES_PER_FOOT, |r| r.lift_ft);
        for on in rest.into_iter().flat_map(|r| r.on) {
            stacks.join(index, on);
        }
    }
    let stacks = stacks.numbered();
    for stack in 0..sheets.len() {
        let members = (0..sheets.len()).filter(|&s| stacks[s] == stack);
        let low_of = |s: usize| Some((s, lowest[s]? / METRES_PER_FOOT + sheets[s].lift_ft));
        let lowest_of_all = members
            .clone()
            .filter_map(low_of)
            .min_by(|a, b| a.1.total_cmp(&b.1));
        // A lower sheet is at 0 already, to the last digits of its sum.
        let Some((holder, low_ft)) = lowest_of_all.filter(|(_, low_ft)| *low_ft < -LAST_DIGITS_FT)
        else {
            continue;
        };
        for member in members {
            sheets[member].lift_ft -= low_ft;
        }
        if let Some(low) = lowest[holder] {
            // The same number as where nothing is beneath: exactly 0 in the end.
            sheets[holder].lift_ft = -low / METRES_PER_FOOT;
        }
    }
}

/// How an upper sheet stands on lower ones.
struct Rest {
    lift_ft: f64,
    /// The lower sheets under it or beside it.
    on: Vec<usize>,
}

/// A face of a lower sheet, in plan.
struct Beneath {
    sheet: usize,
    face: usize,
    rings: Vec<Vec<Point>>,
    bounds: Rect,
}

/// The lift at which a sheet touches the lower sheets from above; `None` where nothing lies beneath. A roof
/// that only touches one beside it stands on that too: its eave is over the roof that runs up to its wall.
fn rest_on(upper: &SolvedSheet, sheets: &[SolvedSheet], beneath: &[usize]) -> Option<Rest> {
    let under: Vec<Beneath> = beneath
        .iter()
        .flat_map(|&sheet| (0..sheets[sheet].sheet.faces.len()).map(move |face| (sheet, face)))
        .filter_map(|(sheet, face)| {
            let rings = super::pending::plan_rings(&sheets[sheet].sheet, face);
            let bounds = bounds_of(&rings)?;
            Some(Beneath {
                sheet,
                face,
                rings,
                bounds,
            })
        })
        .collect();
    let mut rest: Option<Rest> = None;
    for over in 0..upper.sheet.faces.len() {
        let rings = super::pending::plan_rings(&upper.sheet, over);
        let Some(bounds) = bounds_of(&rings) else {
            continue;
        };
        for lower in under.iter().filter(|l| l.bounds.intersects(&bounds)) {
            for at in first_touches(&rings, &lower.rings) {
                let needed = sheets[lower.sheet].plane_ft(lower.face).height_at(at)
                    - upper.plane_ft(over).height_at(at);
                let rest = rest.get_or_insert_with(|| Rest {
                    lift_ft: needed,
                    on: Vec::new(),
                });
                rest.lift_ft = rest.lift_ft.max(needed);
                rest.on.push(lower.sheet);
            }
        }
    }
    rest
}

fn bounds_of(rings: &[Vec<Point>]) -> Option<Rect> {
    MultiPoint::from_iter(rings.iter().flatten().map(|p| (p.x, p.y))).bounding_rect()
}

/// Where one plane face over another may touch it first: corners of either in the other, and where their sides cross.
fn first_touches(over: &[Vec<Point>], under: &[Vec<Point>]) -> Vec<Point> {
    let inside = |rings: &[Vec<Point>], at: Point| {
        rings.iter().filter(|r| ring::contains(r, at)).count() % 2 == 1
    };
    let mut places: Vec<Point> = Vec::new();
    for (one, other) in [(over, under), (under, over)] {
        let corners = one.iter().flatten().copied();
        places.extend(corners.filter(|&at| inside(other, at)));
    }
    for (p, q) in over.iter().flat_map(|r| ring::sides(r)) {
        for (r, s) in under.iter().flat_map(|r| ring::sides(r)) {
            let (d, e) = (q - p, s - r);
            let det = d.cross(e);
            let (t, u) = ((r - p).cross(e) / det, (r - p).cross(d) / det);
            // Parallel sides give no number and no place.
            if (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u) {
                places.push(p.lerp(q, t));
            }
        }
    }
    places
}

/// Tells what upper levels cover, and makes lower edges that end against them headwalls and sidewalls.
pub(super) fn meet(maps: &[PlanMap], roof: &mut Roof) {
    let top = roof.faces.iter().map(|f| f.level).max().unwrap_or(0);
    if top == 0 {
        return;
    }
    let tolerance = maps.iter().map(|m| m.tolerance_ft).fold(0.0, f64::max);
    for level in 1..=top {
        let Some(over) = union_of(roof, level) else {
            continue;
        };
        end_against(roof, level, &over, tolerance + AGAINST_FT);
        let findings: Vec<Finding> = roof
            .faces
            .iter()
            .filter(|f| f.level < level)
            .filter_map(|f| covered(roof, f, &over, level))
            .collect();
        roof.findings.extend(findings);
        let Some(first) = roof.faces.iter().find(|f| f.level == level) else {
            continue;
        };
        let at = first.label_at;
        roof.findings.push(
            Finding::note("level-height", format!("how high level {} stands is not drawn; it is shown resting on the roof beneath. Areas and lengths do not depend on it", level + 1))
                .place(Place::at(at)),
        );
    }
}

fn union_of(roof: &Roof, level: u32) -> Option<MultiPolygon> {
    roof.faces
        .iter()
        .filter(|f| f.level == level)
        .map(|f| MultiPolygon::new(vec![polygon(f)]))
        .reduce(|all, next| all.union(&next))
}

fn polygon(face: &Face) -> Polygon {
    let line = |r: &crate::roof::Ring| {
        LineString::from(r.corners.iter().map(|c| (c.x, c.y)).collect::<Vec<_>>())
    };
    Polygon::new(line(&face.outline), face.holes.iter().map(line).collect())
}

fn covered(roof: &Roof, face: &Face, over: &MultiPolygon, level: u32) -> Option<Finding> {
    let area = MultiPolygon::new(vec![polygon(face)])
        .intersection(over)
        .unsigned_area();
    if area <= LEAST_COVER_SQFT {
        return None;
    }
    let mut message = format!(
        "{} (plan) of {} lie under level {}; the face is drawn to run on beneath it and is counted whole",
        words::area(Area::<Plan>::square_feet(area)),
        face.name,
        level + 1
    );
    let remedy = if meets_wall_beneath(roof, face, over) {
        "Where the lower roof stops at the upper one, draw the lower face only up to it."
    } else {
        message += ". The foot of what stands there is in no line: nothing is listed to flash it to the face";
        "Where the lower roof stops at the upper one, draw the lower face only up to it; what stands in the middle of the \
         face, draw with its foot as a closed shape on a layer named opening too: that cuts it out and flashes it."
    };
    Some(
        Finding::warning("covered-roof", message)
            .remedy(remedy)
            .place(Place::at(face.label_at)),
    )
}

/// Whether a face ends against a wall beneath a roof over it: there it is flashed, and the roof is its eave's overhang.
fn meets_wall_beneath(roof: &Roof, face: &Face, over: &MultiPolygon) -> bool {
    let rings = std::iter::once(&face.outline).chain(&face.holes);
    rings.flat_map(|r| &r.sides).any(|side| {
        let Side::Edge(id) = *side else { return false };
        let edge = roof.edge(id);
        let middle = edge.start.plan().midpoint(edge.end.plan());
        let is_wall = matches!(edge.class, EdgeClass::Headwall | EdgeClass::Sidewall);
        is_wall && over.intersects(&geo::Point::new(middle.x, middle.y))
    })
}

/// Outer edges of lower faces that lie along the outline of an upper level, and level ones beneath it that their faces rise to:
/// a porch's head under the eave of the house.
fn end_against(roof: &mut Roof, level: u32, over: &MultiPolygon, within_ft: f64) {
    let outline: Vec<(Point, Point)> = roof
        .edges
        .iter()
        .filter(|e| e.faces.len() == 1 && roof.face(e.faces[0]).level == level)
        .map(|e| (e.start.plan(), e.end.plan()))
        .collect();
    let against: Vec<usize> = (0..roof.edges.len())
        .filter(|&index| {
            let edge = &roof.edges[index];
            edge.faces.len() == 1
                && roof.face(edge.faces[0]).level < level
                && (lies_along(edge, &outline, within_ft)
                    || (edge.class == EdgeClass::HighEdge && lies_beneath(edge, over)))
        })
        .collect();
    for index in against {
        let edge = &mut roof.edges[index];
        edge.class = classes::at_wall(edge.is_level());
    }
}

/// Places along an edge that stand for all of it.
const ALONG: [f64; 3] = [0.05, 0.5, 0.95];

fn lies_beneath(edge: &Edge, over: &MultiPolygon) -> bool {
    let (a, b) = (edge.start.plan(), edge.end.plan());
    ALONG.into_iter().all(|t| {
        let at = a.lerp(b, t);
        over.intersects(&geo::Point::new(at.x, at.y))
    })
}

fn lies_along(edge: &Edge, outline: &[(Point, Point)], within_ft: f64) -> bool {
    let (a, b) = (edge.start.plan(), edge.end.plan());
    ALONG.into_iter().all(|t| {
        let at = a.lerp(b, t);
        outline.iter().any(|&(p, q)| {
            let parallel = (q - p).cross(b - a).abs() <= 0.1 * p.distance(q) * a.distance(b);
            parallel && at.distance_to_segment(p, q) <= within_ft
        })
    })
}

/// A face that falls to a wall on a level edge gathers water there.
pub(super) fn wall_gutters(roof: &Roof) -> Vec<Finding> {
    roof.edges
        .iter()
        .filter(|e| e.class == EdgeClass::Headwall)
        .filter_map(|edge| {
            let face = roof.face(*edge.faces.first()?);
            let middle = edge.start.plan().midpoint(edge.end.plan());
            let fall = face.fall()?;
            let to_edge = nearest_offset(face, middle);
            (fall.dot(to_edge) > 0.0).then(|| {
                Finding::warning(
                    "falls-to-wall",
                    format!(
                        "{} falls towards the wall from {} to {}: water gathers there",
                        face.name,
                        words::place(edge.start.plan()),
                        words::place(edge.end.plan())
                    ),
                )
                .remedy("It needs a gutter or a cricket; it is counted as headwall.")
                .place(Place::at(middle))
            })
        })
        .collect()
}

/// The outward normal of the face's side that passes through a point.
fn nearest_offset(face: &Face, at: Point) -> crate::geometry::Vector {
    let mut best = (f64::INFINITY, crate::geometry::Vector::default());
    for ring in std::iter::once(&face.outline).chain(&face.holes) {
        let points = ring.plan();
        for (a, b) in ring::sides(&points) {
            let distance = at.distance_to_segment(a, b);
            if distance < best.0 {
                best = (distance, -(b - a).turn_left());
            }
        }
    }
    best.1
}
