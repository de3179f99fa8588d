//! Faces less what openings take out of them.

use std::collections::BTreeMap;

use geo::{Area as _, BooleanOps, LineString, MultiPolygon, Polygon};

use crate::geometry::{Plane, Point, Point3, Vector, ring};
use crate::roof::solve::label_place::roomiest_point;
use crate::roof::solve::words;
use crate::roof::{EdgeId, Face, FaceId, OpeningId, Ring, Roof, Side};
use crate::units::Area;
use crate::{Finding, Place};

use super::{LEAST_FT, ON_LINE_FT, Part};

/// Less than this is left of a face by rounding and inaccurate tracing (ft²; one and a half square inches) ...
const LEAST_PIECE_SQFT: f64 = 0.01;
/// ... and so is what is no wider than this (feet; half an inch): nothing that narrow is roofed.
const LEAST_WIDTH_FT: f64 = 0.5 / 12.0;

/// How far a cut reaches beyond a line that it lies along (feet): less than [`ON_LINE_FT`], and far more than the grid that
/// cutting works on.
const OVER_FT: f64 = 2e-5;
/// Sides of an outline that turn by less than this sine go on in one line.
const PARALLEL_SIN: f64 = 1e-3;

/// What cutting made of the faces.
#[derive(Debug, Default)]
pub(super) struct Cut {
    /// For each face that was cut its pieces, the largest first; none where nothing is left of it.
    pub(super) pieces: BTreeMap<FaceId, Vec<FaceId>>,
    /// For each edge the stretches along which openings took away what lay on a side of it, as parameters from its start
    /// (0) to its end (1).
    pub(super) cover: BTreeMap<EdgeId, Vec<(f64, f64, OpeningId)>>,
    /// An opening that was cut out of each face.
    pub(super) by: BTreeMap<FaceId, OpeningId>,
    /// Strips too narrow to be roofed, which went with the openings beside them: plan area in ft².
    pub(super) strips_sqft: f64,
    /// What openings cover and was not cut out, since nothing of the roof would be left: plan area in ft².
    pub(super) kept_sqft: f64,
}

impl Cut {
    /// These faces with pieces in the places of those that were cut.
    pub(super) fn now(&self, faces: &[FaceId]) -> Vec<FaceId> {
        let pieces = |face| match self.pieces.get(face) {
            Some(pieces) => pieces.clone(),
            None => vec![*face],
        };
        faces.iter().flat_map(pieces).collect()
    }
}

/// Cuts the parts out of their faces. A face that falls in pieces becomes several; one of which nothing is left keeps its
/// index, with no corner.
pub(super) fn cut(roof: &mut Roof, cuts: &BTreeMap<FaceId, Vec<Part<'_>>>) -> Cut {
    let mut cut = Cut::default();
    let mut standing = roof.faces.len();
    for (&face, parts) in cuts {
        let old: Vec<Ring> = std::iter::once(&roof.face(face).outline)
            .chain(&roof.face(face).holes)
            .cloned()
            .collect();
        let (pieces, strips_sqft) = left(&old, parts);
        if pieces.is_empty() {
            roof.findings.push(covered(roof.face(face), standing == 1));
            // A roof is not taken away altogether.
            if standing == 1 {
                // Strips that are none of its pieces stand on either side of the sum.
                cut.kept_sqft += roof.face(face).plan_area.to_square_feet() - strips_sqft;
                continue;
            }
            standing -= 1;
        }
        cut.strips_sqft += strips_sqft;
        collect_cover(roof, &old, parts, &mut cut.cover);
        let made: Vec<Face> = pieces
            .iter()
            .map(|piece| piece_of(roof.face(face), piece, &old, parts))
            .collect();
        let mut ids = Vec::new();
        roof.faces[face.0].outline = Ring::default();
        for (at, made) in made.into_iter().enumerate() {
            if at == 0 {
                roof.faces[face.0] = made;
                ids.push(face);
            } else {
                ids.push(FaceId(roof.faces.len()));
                roof.faces.push(made);
            }
        }
        cut.pieces.insert(face, ids);
        cut.by.insert(face, parts[0].opening);
    }
    cut
}

fn covered(face: &Face, is_last: bool) -> Finding {
    let area = words::area(face.plan_area);
    let message = match is_last {
        true => format!(
            "An opening covers the whole roof, a face of {area} (plan); it was not cut out."
        ),
        false => format!("Openings cover the whole of a face of {area} (plan), which is left out."),
    };
    Finding::warning("opening-covers-face", message)
        .remedy("Draw the opening smaller where some of the face is to be roofed.")
        .place(Place::at(face.label_at))
}

/// What the parts leave of a face, the largest piece first, and the area of strips that are left besides.
fn left(old: &[Ring], parts: &[Part<'_>]) -> (Vec<Polygon>, f64) {
    let rings: Vec<Vec<Point>> = old.iter().map(Ring::plan).collect();
    let mut shape = MultiPolygon::new(vec![polygon(&rings)]);
    for part in parts {
        shape = shape.difference(&polygon(&[cutter(part.outline, old)]));
    }
    let is_roofed = |&(area, ref piece): &(f64, Polygon)| {
        let outline: Vec<Point> = piece
            .exterior()
            .points()
            .map(|p| Point::new(p.x(), p.y()))
            .collect();
        let wide = 2.0 * area / ring::perimeter(&outline);
        area >= LEAST_PIECE_SQFT && wide > LEAST_WIDTH_FT
    };
    let (mut pieces, strips): (Vec<_>, Vec<_>) = shape
        .into_iter()
        .map(|piece| (piece.unsigned_area(), piece))
        .partition(is_roofed);
    pieces.sort_by(|a, b| b.0.total_cmp(&a.0));
    let strips_sqft = strips.iter().map(|s| s.0).sum();
    (pieces.into_iter().map(|p| p.1).collect(), strips_sqft)
}

/// The outline of an opening as it is cut out: where a side of it lies along a line of the face, it reaches a hair beyond that
/// line, so that no strip as thin as rounding is left between the two.
fn cutter(outline: &[Point], old: &[Ring]) -> Vec<Point> {
    let lines: Vec<(Point, Vector)> = ring::sides(outline)
        .map(|(a, b)| {
            let along = (b - a).unit().unwrap_or_default();
            let beneath = old.iter().find_map(|ring| {
                (0..ring.corners.len())
                    .map(|i| side_ends(ring, i))
                    .find(|&side| common_stretch(side, (a, b)).is_some())
            });
            let beneath = beneath.and_then(|(p, q)| Some((p, (q - p).unit()?)));
            match beneath {
                // The outline is counter-clockwise: its outside is on the right.
                Some((p, way)) => (p - along.turn_left() * OVER_FT, way),
                None => (a, along),
            }
        })
        .collect();
    let count = lines.len();
    (0..count)
        .map(|i| {
            let ((p, d), (q, e)) = (lines[(i + count - 1) % count], lines[i]);
            let det = d.cross(e);
            match det.abs() > PARALLEL_SIN {
                true => p + d * ((q - p).cross(e) / det),
                false => q + e * (outline[i] - q).dot(e),
            }
        })
        .collect()
}

fn polygon(rings: &[Vec<Point>]) -> Polygon {
    let line = |r: &Vec<Point>| LineString::from(r.iter().map(|p| (p.x, p.y)).collect::<Vec<_>>());
    Polygon::new(line(&rings[0]), rings[1..].iter().map(line).collect())
}

/// A piece of a face as a face.
fn piece_of(face: &Face, piece: &Polygon, old: &[Ring], parts: &[Part<'_>]) -> Face {
    let outline = relabelled(face.plane, piece.exterior(), true, old, parts);
    let holes: Vec<Ring> = piece
        .interiors()
        .iter()
        .map(|r| relabelled(face.plane, r, false, old, parts))
        .filter(|r| r.corners.len() > 2)
        .collect();
    let rings: Vec<Vec<Point>> = std::iter::once(&outline)
        .chain(&holes)
        .map(Ring::plan)
        .collect();
    let plan_area = Area::square_feet(rings.iter().map(|r| ring::signed_area(r)).sum());
    Face {
        outline,
        holes,
        plan_area,
        true_area: face.pitch.true_area(plan_area),
        label_at: roomiest_point(&rings),
        ..face.clone()
    }
}

/// A ring of the cut face: each side is what it was, or a side of an opening.
fn relabelled(
    plane: Plane,
    line: &LineString,
    outer: bool,
    old: &[Ring],
    parts: &[Part<'_>],
) -> Ring {
    let mut points: Vec<Point> = line.coords().map(|c| Point::new(c.x, c.y)).collect();
    points.pop();
    points.dedup_by(|a, b| a.distance(*b) < LEAST_FT);
    drop_spurs(&mut points);
    if (ring::signed_area(&points) > 0.0) != outer {
        points.reverse();
    }
    let mut ring = Ring::default();
    for (a, b) in ring::sides(&with_corners_between(&points, old)) {
        for (from, side) in what_lies((a, b), old, parts) {
            ring.corners.push(
                old_corner(old, from).unwrap_or_else(|| from.at_height(plane.height_at(from))),
            );
            ring.sides.push(side);
        }
    }
    ring
}

/// Takes out corners at which a ring turns back on itself: what lies between is no area.
fn drop_spurs(points: &mut Vec<Point>) {
    let mut at = 0;
    while points.len() > 2 && at < points.len() {
        let count = points.len();
        let (before, after) = (points[(at + count - 1) % count], points[(at + 1) % count]);
        let (back, on) = (before - points[at], after - points[at]);
        let turns_back = back.dot(on) > 0.0
            && (after.distance_to_segment(before, points[at]) < ON_LINE_FT
                || before.distance_to_segment(after, points[at]) < ON_LINE_FT);
        if turns_back || back.length() < LEAST_FT {
            points.remove(at);
            at = at.saturating_sub(2);
        } else {
            at += 1;
        }
    }
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

fn old_corner(old: &[Ring], p: Point) -> Option<Point3> {
    old.iter()
        .flat_map(|r| &r.corners)
        .find(|c| c.plan().distance(p) < ON_LINE_FT)
        .copied()
}

/// What a side of a cut ring is, from where on: a side of the face as it was, or the sides of one or more openings.
fn what_lies((a, b): (Point, Point), old: &[Ring], parts: &[Part<'_>]) -> Vec<(Point, Side)> {
    for ring in old {
        for (i, &side) in ring.sides.iter().enumerate() {
            let (p, q) = side_ends(ring, i);
            if on_segment(p, q, a) && on_segment(p, q, b) {
                return vec![(a, side)];
            }
        }
    }
    // Cutting makes one side of the sides of openings that stand side by side.
    let mut marks = vec![0.0];
    for (from, to) in parts
        .iter()
        .flat_map(|part| stretches_on((a, b), part.ring))
    {
        let away = |p: &Point| p.distance(a) > ON_LINE_FT && p.distance(b) > ON_LINE_FT;
        marks.extend(
            [from, to]
                .iter()
                .filter(|p| away(p))
                .map(|&p| along(a, b, p)),
        );
    }
    marks.sort_by(f64::total_cmp);
    let least = LEAST_FT / a.distance(b);
    marks.dedup_by(|b, a| *b - *a < least);
    let ends = marks.iter().skip(1).chain(&[1.0]);
    let mut all: Vec<(Point, Side)> = marks
        .iter()
        .zip(ends)
        .map(|(&from, &to)| {
            let middle = a + (b - a) * f64::midpoint(from, to);
            (a + (b - a) * from, Side::Opening(nearest(middle, parts)))
        })
        .collect();
    all.dedup_by_key(|s| s.1);
    all
}

/// The stretches of a side that sides of a ring lie on.
fn stretches_on(side: (Point, Point), ring: &[Point]) -> impl Iterator<Item = (Point, Point)> {
    ring::sides(ring).filter_map(move |s| common_stretch(side, s))
}

/// The opening that a place lies on: the nearest, since cutting works on a grid.
fn nearest(at: Point, parts: &[Part<'_>]) -> OpeningId {
    let off = |part: &Part| {
        ring::sides(part.ring)
            .map(|(p, q)| at.distance_to_segment(p, q))
            .fold(f64::INFINITY, f64::min)
    };
    let nearest = parts.iter().min_by(|x, y| off(x).total_cmp(&off(y)));
    nearest.map_or(OpeningId(0), |part| part.opening)
}

fn on_segment(p: Point, q: Point, at: Point) -> bool {
    at.distance_to_segment(p, q) < ON_LINE_FT
}

/// The ends of a side in plan.
pub(super) fn side_ends(ring: &Ring, side: usize) -> (Point, Point) {
    let next = (side + 1) % ring.corners.len();
    (ring.corners[side].plan(), ring.corners[next].plan())
}

/// Where sides of the parts lie on edges of the face, the opening has taken that stretch of the edge away.
fn collect_cover(
    roof: &Roof,
    old: &[Ring],
    parts: &[Part<'_>],
    cover: &mut BTreeMap<EdgeId, Vec<(f64, f64, OpeningId)>>,
) {
    for ring in old {
        for (i, side) in ring.sides.iter().enumerate() {
            let Side::Edge(id) = *side else {
                continue;
            };
            let (p, q) = side_ends(ring, i);
            let edge = roof.edge(id);
            let (start, end) = (edge.start.plan(), edge.end.plan());
            let t = |v: Point| along(start, end, v);
            for part in parts {
                for (a, b) in ring::sides(part.ring) {
                    // A side of the opening may lie on a stretch of the edge, or run past its ends.
                    if let Some((from, to)) = common_stretch((p, q), (a, b)) {
                        let (from, to) = (t(from), t(to));
                        let stretch = (from.min(to), from.max(to), part.opening);
                        cover.entry(id).or_default().push(stretch);
                    }
                }
            }
        }
    }
}

/// Where a place lies along a line, as a parameter from its start (0) to its end (1).
pub(super) fn along(start: Point, end: Point, at: Point) -> f64 {
    let run: Vector = end - start;
    (at - start).dot(run) / run.dot(run)
}

/// The stretch of the line p–q that the line a–b lies on.
pub(super) fn common_stretch(
    (p, q): (Point, Point),
    (a, b): (Point, Point),
) -> Option<(Point, Point)> {
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
