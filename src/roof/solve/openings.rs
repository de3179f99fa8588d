//! Openings cut out of solved faces, with the flashing round them, and pipes set on their faces.

use std::collections::BTreeMap;

use geo::{Area as _, BooleanOps, LineString, Polygon};

use crate::geometry::{Plane, Point, Vector, ring};
use crate::roof::map::{MapOpening, OpeningPart, PlanMap};
use crate::roof::{
    CRICKET_OVER_IN, Edge, EdgeId, Face, FaceId, Opening, OpeningId, Penetration, Ring, Roof, Side,
};
use crate::units::{Area, Length, number};
use crate::{Finding, Place};

use super::assemble::{Assembled, SolvedSheet};
use super::label_place::roomiest_point;
use super::words;

/// A side counts as lying on a line when both its ends are this near (feet).
const ON_LINE_FT: f64 = 1e-4;
/// Pieces shorter than this (feet) are rounding.
const LEAST_FT: f64 = 1e-4;
/// What a side of an opening is flashed to is looked for so far out from it (feet): beyond an edge that it lies on.
const BESIDE_FT: f64 = 0.01;
const MM_PER_IN: f64 = 25.4;
/// cos 45°: a side nearer to level than to the fall is apron or head, the rest are sides.
const DIAGONAL: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// Cuts every opening of the maps out of the roof, and sets the pipes.
pub(super) fn cut(maps: &[PlanMap], sheets: &[SolvedSheet], assembled: &mut Assembled) {
    let face_of = roof_faces(maps, sheets, assembled);
    let roof = &mut assembled.roof;
    let mut cuts: BTreeMap<usize, Vec<(OpeningId, Vec<Point>)>> = BTreeMap::new();
    for (map, face_of) in maps.iter().zip(&face_of) {
        for opening in &map.openings {
            let id = OpeningId(roof.openings.len());
            let parts: Vec<(FaceId, &OpeningPart)> = opening
                .parts
                .iter()
                .filter_map(|part| Some(((*face_of.get(part.face)?)?, part)))
                .collect();
            for (face, part) in &parts {
                cuts.entry(face.0)
                    .or_default()
                    .push((id, part.ring.clone()));
            }
            let made = measured(roof, opening, &parts);
            roof.openings.push(made);
        }
        for pipe in &map.pipes {
            if let Some(Some(face)) = pipe.face.and_then(|f| face_of.get(f)) {
                roof.penetrations.push(Penetration {
                    at: pipe.at,
                    face: *face,
                    diameter: pipe.diameter_ft.map(Length::feet),
                    source: pipe.source.clone(),
                });
            }
        }
    }
    let mut cover: BTreeMap<usize, Vec<(f64, f64)>> = BTreeMap::new();
    for (face, parts) in &cuts {
        cut_face(roof, *face, parts, &mut cover);
    }
    shorten_edges(roof, &cover);
    drop_empty(roof);
    let crickets: Vec<Finding> = roof
        .openings
        .iter()
        .filter_map(|opening| cricket(roof, opening))
        .collect();
    roof.findings.extend(crickets);
}

/// The roof's face of every face of every map.
fn roof_faces(
    maps: &[PlanMap],
    sheets: &[SolvedSheet],
    assembled: &Assembled,
) -> Vec<Vec<Option<FaceId>>> {
    let mut all: Vec<Vec<Option<FaceId>>> =
        maps.iter().map(|m| vec![None; m.faces.len()]).collect();
    for (solved, ids) in sheets.iter().zip(&assembled.face_of) {
        for (&face, &id) in solved.sheet.face_ids.iter().zip(ids) {
            all[solved.map][face] = Some(id);
        }
    }
    all
}

/// The opening with its flashing, measured on the faces that it lies in.
fn measured(roof: &Roof, opening: &MapOpening, parts: &[(FaceId, &OpeningPart)]) -> Opening {
    let (mut apron, mut sides, mut head, mut width) = (0.0, 0.0, 0.0, 0.0_f64);
    for &(id, part) in parts {
        let face = roof.face(id);
        for (a, b) in ring::sides(&part.ring) {
            if !on_ring(&opening.outline, a, b) {
                continue;
            }
            // The ring is counter-clockwise, so its outside is on the right.
            let out = (b - a).unit().map_or(Vector::default(), |t| -t.turn_left());
            // A side that lies on a ridge is flashed to the face beyond; one on an eave or a rake to none.
            let Some(beside) = face_at(roof, face, a.lerp(b, 0.5) + out * BESIDE_FT) else {
                continue;
            };
            let length = true_length(face.plane, a, b);
            match beside.fall().map(|fall| out.dot(fall)) {
                Some(down) if down > DIAGONAL => apron += length,
                Some(down) if down < -DIAGONAL => head += length,
                // On a level face there is no above and below: all of it is upstand, told as sides.
                Some(_) | None => sides += length,
            }
        }
        if let Some(fall) = face.fall() {
            width = width.max(extent(&part.ring, fall.turn_left()));
        }
    }
    Opening {
        kind: opening.kind.to_string(),
        outline: opening.outline.clone(),
        faces: parts.iter().map(|p| p.0).collect(),
        apron: Length::feet(apron),
        sides: Length::feet(sides),
        head: Length::feet(head),
        width: Length::feet(width),
        source: opening.source.clone(),
    }
}

/// The face at a place beside another one: that itself, or the one of its level beyond its edge.
fn face_at<'r>(roof: &'r Roof, face: &'r Face, at: Point) -> Option<&'r Face> {
    let has = |face: &Face| {
        let corners: Vec<Point> = face.outline.corners.iter().map(|c| c.plan()).collect();
        ring::contains(&corners, at)
    };
    if has(face) {
        return Some(face);
    }
    roof.faces
        .iter()
        .find(|other| other.level == face.level && has(other))
}

fn extent(points: &[Point], along: Vector) -> f64 {
    let (low, high) = ring::reach(points, along);
    (high - low).max(0.0)
}

fn true_length(plane: Plane, a: Point, b: Point) -> f64 {
    a.distance(b).hypot(plane.height_at(a) - plane.height_at(b))
}

/// Tells an opening that takes a cricket where none is drawn.
fn cricket(roof: &Roof, opening: &Opening) -> Option<Finding> {
    if !opening.takes_cricket() || roof.draws_cricket_of(opening) {
        return None;
    }
    let at = ring::centroid(&opening.outline);
    Some(
        Finding::warning(
            "cricket",
            format!(
                "the {} at {} is {} ({} mm) wide: over {CRICKET_OVER_IN} in ({} mm) it needs a cricket on its upper side (IRC R903.2.2)",
                opening.kind,
                words::place(at),
                words::feet(opening.width.to_feet()),
                number::decimal(opening.width.to_inches() * MM_PER_IN, 0),
                number::decimal(CRICKET_OVER_IN * MM_PER_IN, 0),
            ),
        )
        .remedy("Draw the cricket with its pitches, or see that the list of materials has one.")
        .place(Place::on(&opening.source, at)),
    )
}

/// Cuts the parts out of a face. `cover` collects, for each edge of the roof, the stretches that openings take away, as
/// parameters from its start (0) to its end (1).
fn cut_face(
    roof: &mut Roof,
    face: usize,
    parts: &[(OpeningId, Vec<Point>)],
    cover: &mut BTreeMap<usize, Vec<(f64, f64)>>,
) {
    let rings: Vec<Vec<Point>> = std::iter::once(&roof.faces[face].outline)
        .chain(&roof.faces[face].holes)
        .map(|r| r.corners.iter().map(|c| c.plan()).collect())
        .collect();
    let mut shape = geo::MultiPolygon::new(vec![polygon(&rings)]);
    for (_, part) in parts {
        shape = shape.difference(&polygon(std::slice::from_ref(part)));
    }
    let Some(largest) = shape
        .iter()
        .max_by(|a, b| a.unsigned_area().total_cmp(&b.unsigned_area()))
    else {
        return;
    };
    if shape.0.len() > 1 {
        let at = roof.faces[face].label_at;
        roof.findings.push(
            Finding::warning(
                "face-in-pieces",
                format!(
                    "openings cut the face {} into {} pieces; only its largest is laid out",
                    roof.faces[face].name,
                    shape.0.len()
                ),
            )
            .remedy("Draw the face as separate faces.")
            .place(Place::at(at)),
        );
    }
    let old: Vec<Ring> = std::iter::once(roof.faces[face].outline.clone())
        .chain(roof.faces[face].holes.iter().cloned())
        .collect();
    let outline = relabelled(
        roof.faces[face].plane,
        largest.exterior(),
        true,
        &old,
        parts,
    );
    let holes: Vec<Ring> = largest
        .interiors()
        .iter()
        .map(|r| relabelled(roof.faces[face].plane, r, false, &old, parts))
        .collect();
    collect_cover(roof, &old, parts, cover);
    let plan: f64 = shape.unsigned_area();
    let rings: Vec<Vec<Point>> = std::iter::once(&outline)
        .chain(&holes)
        .map(|r| r.corners.iter().map(|c| c.plan()).collect())
        .collect();
    let made = &mut roof.faces[face];
    made.outline = outline;
    made.holes = holes;
    made.plan_area = Area::square_feet(plan);
    made.true_area = made.pitch.true_area(made.plan_area);
    made.label_at = roomiest_point(&rings);
}

fn polygon(rings: &[Vec<Point>]) -> Polygon {
    let line = |r: &Vec<Point>| LineString::from(r.iter().map(|p| (p.x, p.y)).collect::<Vec<_>>());
    Polygon::new(line(&rings[0]), rings[1..].iter().map(line).collect())
}

/// A ring of the cut face: each side is what it was, or a side of an opening.
fn relabelled(
    plane: Plane,
    line: &LineString,
    outer: bool,
    old: &[Ring],
    parts: &[(OpeningId, Vec<Point>)],
) -> Ring {
    let mut points: Vec<Point> = line.coords().map(|c| Point::new(c.x, c.y)).collect();
    points.pop();
    points.dedup_by(|a, b| a.distance(*b) < LEAST_FT);
    if (ring::signed_area(&points) > 0.0) != outer {
        points.reverse();
    }
    let points = with_corners_between(&points, old);
    let sides = ring::sides(&points)
        .map(|(a, b)| what_lies(a, b, old, parts))
        .collect();
    let corners = points
        .iter()
        .map(|&p| old_corner(old, p).unwrap_or_else(|| p.at_height(plane.height_at(p))))
        .collect();
    Ring { corners, sides }
}

/// The corners of a ring with those of the old rings that lie on its sides: cutting drops a corner in a straight line,
/// though what lies on either side of it may differ, such as an eave and a pitch change.
fn with_corners_between(points: &[Point], old: &[Ring]) -> Vec<Point> {
    let mut all = Vec::new();
    for (a, b) in ring::sides(points) {
        all.push(a);
        let mut between: Vec<Point> = old
            .iter()
            .flat_map(|r| &r.corners)
            .map(|c| c.plan())
            .filter(|&c| on_segment(a, b, c))
            .filter(|c| c.distance(a) > ON_LINE_FT && c.distance(b) > ON_LINE_FT)
            .collect();
        between.sort_by(|p, q| p.distance(a).total_cmp(&q.distance(a)));
        all.extend(between);
    }
    all
}

fn old_corner(old: &[Ring], p: Point) -> Option<crate::geometry::Point3> {
    old.iter()
        .flat_map(|r| &r.corners)
        .find(|c| c.plan().distance(p) < ON_LINE_FT)
        .copied()
}

fn what_lies(a: Point, b: Point, old: &[Ring], parts: &[(OpeningId, Vec<Point>)]) -> Side {
    for ring in old {
        for i in 0..ring.corners.len() {
            let (p, q) = (
                ring.corners[i].plan(),
                ring.corners[(i + 1) % ring.corners.len()].plan(),
            );
            if on_segment(p, q, a) && on_segment(p, q, b) {
                return ring.sides[i];
            }
        }
    }
    let opening = parts.iter().find(|(_, ring)| on_ring(ring, a, b));
    Side::Opening(opening.or(parts.first()).map_or(OpeningId(0), |p| p.0))
}

fn on_segment(p: Point, q: Point, at: Point) -> bool {
    at.distance_to_segment(p, q) < ON_LINE_FT
}

fn on_ring(points: &[Point], a: Point, b: Point) -> bool {
    ring::sides(points).any(|(p, q)| on_segment(p, q, a) && on_segment(p, q, b))
}

/// Where sides of the parts lie on edges of the face, the opening has taken that stretch of the edge away.
fn collect_cover(
    roof: &Roof,
    old: &[Ring],
    parts: &[(OpeningId, Vec<Point>)],
    cover: &mut BTreeMap<usize, Vec<(f64, f64)>>,
) {
    for ring in old {
        for (i, side) in ring.sides.iter().enumerate() {
            let Side::Edge(EdgeId(edge)) = *side else {
                continue;
            };
            let (p, q) = (
                ring.corners[i].plan(),
                ring.corners[(i + 1) % ring.corners.len()].plan(),
            );
            let (start, end) = (roof.edges[edge].start.plan(), roof.edges[edge].end.plan());
            let run = end - start;
            let t = |v: Point| (v - start).dot(run) / run.dot(run);
            for (_, part) in parts {
                for (a, b) in ring::sides(part) {
                    // A side of the opening may lie on a stretch of the edge, or run past its ends.
                    if let Some((from, to)) = common_stretch((p, q), (a, b)) {
                        let (from, to) = (t(from), t(to));
                        cover
                            .entry(edge)
                            .or_default()
                            .push((from.min(to), from.max(to)));
                    }
                }
            }
        }
    }
}

/// The stretch of the line p–q that the line a–b lies on.
fn common_stretch((p, q): (Point, Point), (a, b): (Point, Point)) -> Option<(Point, Point)> {
    let run = q - p;
    let length = run.length();
    let along = run.unit()?;
    let off = |v: Point| along.cross(v - p).abs();
    if off(a) > ON_LINE_FT || off(b) > ON_LINE_FT {
        return None;
    }
    let t = |v: Point| (v - p).dot(along).clamp(0.0, length);
    let (from, to) = (t(a).min(t(b)), t(a).max(t(b)));
    (to - from > LEAST_FT).then(|| (p + along * from, p + along * to))
}

/// Takes the covered stretches out of the edges; what remains beyond the first stretch is a new edge, and the sides that
/// lie on it are told so.
fn shorten_edges(roof: &mut Roof, cover: &BTreeMap<usize, Vec<(f64, f64)>>) {
    for (&edge, stretches) in cover {
        let whole = roof.edges[edge].clone();
        let length = whole.plan_length.to_feet();
        let mut free: Vec<(f64, f64)> = Vec::new();
        let mut at = 0.0;
        let mut sorted = stretches.clone();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (from, to) in sorted.into_iter().chain([(1.0, 1.0)]) {
            if (from - at) * length > LEAST_FT {
                free.push((at, from));
            }
            at = at.max(to);
        }
        let Some((&first, more)) = free.split_first() else {
            // Nothing is left: an edge of no length keeps the indices of the others until all are cut.
            roof.edges[edge] = stretch(&whole, (0.0, 0.0));
            continue;
        };
        roof.edges[edge] = stretch(&whole, first);
        for &piece in more {
            let id = EdgeId(roof.edges.len());
            roof.edges.push(stretch(&whole, piece));
            rename_sides(roof, &whole, EdgeId(edge), id, piece);
        }
    }
}

/// Drops the edges of which nothing is left; those that follow are counted anew.
fn drop_empty(roof: &mut Roof) {
    let kept: Vec<bool> = roof
        .edges
        .iter()
        .map(|e| e.plan_length.to_feet() > 0.0)
        .collect();
    if kept.iter().all(|k| *k) {
        return;
    }
    let mut count = 0;
    let new_id: Vec<EdgeId> = kept
        .iter()
        .map(|kept| {
            let id = EdgeId(count);
            count += usize::from(*kept);
            id
        })
        .collect();
    let mut at = 0;
    roof.edges.retain(|_| {
        at += 1;
        kept[at - 1]
    });
    for face in &mut roof.faces {
        for ring in std::iter::once(&mut face.outline).chain(&mut face.holes) {
            for side in &mut ring.sides {
                if let Side::Edge(id) = side {
                    *id = new_id[id.0];
                }
            }
        }
    }
}

fn stretch(whole: &Edge, (from, to): (f64, f64)) -> Edge {
    let at = |t: f64| {
        whole
            .start
            .plan()
            .lerp(whole.end.plan(), t)
            .at_height(whole.start.z + (whole.end.z - whole.start.z) * t)
    };
    let (start, end) = (at(from), at(to));
    Edge {
        plan_length: Length::feet(start.plan().distance(end.plan())),
        true_length: Length::feet(start.distance(end)),
        start,
        end,
        ..whole.clone()
    }
}

fn rename_sides(roof: &mut Roof, whole: &Edge, old: EdgeId, new: EdgeId, piece: (f64, f64)) {
    let (a, b) = (whole.start.plan(), whole.end.plan());
    let (p, q) = (a.lerp(b, piece.0), a.lerp(b, piece.1));
    for &face in &whole.faces {
        let face = &mut roof.faces[face.0];
        for ring in std::iter::once(&mut face.outline).chain(&mut face.holes) {
            for i in 0..ring.sides.len() {
                let middle = ring.corners[i]
                    .plan()
                    .midpoint(ring.corners[(i + 1) % ring.corners.len()].plan());
                if ring.sides[i] == Side::Edge(old) && on_segment(p, q, middle) {
                    ring.sides[i] = Side::Edge(new);
                }
            }
        }
    }
}
