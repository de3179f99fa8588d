//! Openings: closed shapes that are cut out of the faces and bound none of them.

use std::sync::Arc;

use geo::{Area, BooleanOps, BoundingRect, Intersects, LineString, Polygon};

use super::halfedge::subdivide;
use super::noding::{split_at_crossings, split_at_joints};
use super::piece::pieces;
use super::pipes::place_pipes;
use super::snap::join_ends;
use super::{OPENING_OUTSIDE, PlanMap};
use crate::drawing::{Drawing, Role, Stroke};
use crate::geometry::{Point, ring};
use crate::place::Source;
use crate::{Finding, Place};

/// A hole to be cut into one or more faces.
#[derive(Clone, Debug)]
pub struct MapOpening {
    /// Its outline in plan feet, counter-clockwise.
    pub outline: Vec<Point>,
    /// `chimney`, `skylight` or `opening`: the word in its layer's or its own name.
    pub kind: &'static str,
    /// The element it was drawn with.
    pub source: Arc<Source>,
    /// What it cuts out of each face.
    pub parts: Vec<OpeningPart>,
}

/// What an opening cuts out of one face.
#[derive(Clone, Debug)]
pub struct OpeningPart {
    /// Index in [`PlanMap::faces`].
    pub face: usize,
    /// Its ring in plan feet, counter-clockwise: the whole outline, or the piece of it that lies on the face.
    pub ring: Vec<Point>,
    /// Whether the whole opening lies in this face.
    pub whole: bool,
}

/// A piece of an opening smaller than this, in square feet, is the tracing's inaccuracy at a ridge.
const LEAST_PART_SQFT: f64 = 0.01;
/// A roof line this near to a chimney's side, in feet, besides the tolerance, lies along it: an inch.
const AGAINST_FT: f64 = 1.0 / 12.0;
/// Areas that differ by less than this part are one.
const SAME_PART: f64 = 0.01;
/// Puts the drawing's openings and pipes of a level into its map.
pub(super) fn place_openings(map: &mut PlanMap, drawing: &Drawing) {
    let level = map.level;
    let of = |role: Role| -> Vec<&Stroke> {
        drawing
            .strokes
            .iter()
            .filter(|s| s.role == role && s.level == level)
            .collect()
    };
    let faces: Vec<Polygon> = (0..map.faces.len()).map(|f| face_polygon(map, f)).collect();
    let (outlines, unclosed) = outlines(&of(Role::Opening), map.tolerance_ft);
    for source in unclosed {
        map.findings.push(
            Finding::warning(
                "opening-not-closed",
                "A line of an opening does not close to a shape and was left out.",
            )
            .remedy("Draw openings as closed shapes.")
            .place(Place::of(&source)),
        );
    }
    for Outline { ring, kind, source } in outlines {
        let parts = cut(&ring, &faces);
        let inside: f64 = parts.iter().map(|p| ring::signed_area(&p.ring)).sum();
        let area = ring::signed_area(&ring);
        if area - inside > LEAST_PART_SQFT.max(0.01 * area) {
            let how = if parts.is_empty() {
                "lies"
            } else {
                "lies partly"
            };
            map.findings.push(
                Finding::warning(
                    OPENING_OUTSIDE,
                    format!("An opening of {area:.1} ft² {how} outside the roof."),
                )
                .remedy("Move it into its face, or take it out.")
                .place(Place::on(&source, ring::centroid(&ring))),
            );
        }
        if kind != "skylight" {
            stand_against(map, &ring);
        }
        map.openings.push(MapOpening {
            outline: ring,
            kind,
            source,
            parts,
        });
    }
    place_pipes(map, drawing, &of(Role::Pipe), &faces);
}

/// Roof lines along the side of a chimney in which planes do not meet but end against it, as a cricket does. Two planes meet
/// in one line: those of a cricket and of the slope behind it meet in a valley, so not in the line along the chimney too. A
/// ridge or a hip that a chimney stands at is the only line that its planes share, and they meet in it.
fn stand_against(map: &mut PlanMap, ring: &[Point]) {
    let along: Vec<usize> = (0..map.edges.len())
        .filter(|&e| {
            let (a, b) = ends(map, e);
            lies_along(ring, a, b, map.tolerance_ft)
        })
        .filter(|&e| {
            let both = map.edges[e].left.zip(map.edges[e].right);
            both.is_none_or(|faces| meet_elsewhere(map, e, faces))
        })
        .collect();
    for edge in along {
        map.edges[edge].on_wall = true;
    }
}

fn ends(map: &PlanMap, edge: usize) -> (Point, Point) {
    (map.nodes[map.edges[edge].a], map.nodes[map.edges[edge].b])
}

/// Whether the two faces of an edge share another one that is not in one line with it.
fn meet_elsewhere(map: &PlanMap, edge: usize, (left, right): (usize, usize)) -> bool {
    let (a, b) = ends(map, edge);
    let Some(way) = (b - a).unit() else {
        return false;
    };
    let reach = AGAINST_FT + map.tolerance_ft;
    let aside = |p: Point| way.cross(p - a).abs() > reach;
    map.edges.iter().enumerate().any(|(index, other)| {
        let faces = [other.left, other.right];
        let same = faces == [Some(left), Some(right)] || faces == [Some(right), Some(left)];
        let (c, d) = ends(map, index);
        index != edge && same && (aside(c) || aside(d))
    })
}

fn lies_along(ring: &[Point], a: Point, b: Point, tolerance_ft: f64) -> bool {
    let reach = AGAINST_FT + tolerance_ft;
    let on = |p: Point| ring::sides(ring).any(|(a, b)| p.distance_to_segment(a, b) <= reach);
    on(a) && on(b) && on(a.midpoint(b))
}

/// Whether an edge of a map lies along the side of an opening.
pub(in crate::roof) fn is_against_an_opening(map: &PlanMap, edge: usize) -> bool {
    let (a, b) = ends(map, edge);
    map.openings
        .iter()
        .any(|opening| lies_along(&opening.outline, a, b, map.tolerance_ft))
}

/// Puts the drawing's openings and pipes into several maps of one level: each goes to the maps that it lies in, and is
/// told to lie outside only where it lies in none of them.
pub(in crate::roof) fn share_openings(maps: &mut [&mut PlanMap], drawing: &Drawing) {
    let mut told: Vec<Vec<Finding>> = Vec::new();
    for map in maps.iter_mut() {
        let before = map.findings.len();
        place_openings(map, drawing);
        map.openings.retain(|opening| !opening.parts.is_empty());
        told.push(map.findings.split_off(before));
    }
    let same = |a: &Finding, b: &Finding| a.code == b.code && a.places == b.places;
    let Some((first, others)) = told.split_first() else {
        return;
    };
    let everywhere = first
        .iter()
        .filter(|f| others.iter().all(|o| o.iter().any(|g| same(f, g))));
    let kept: Vec<Finding> = everywhere.cloned().collect();
    if let Some(map) = maps.first_mut() {
        map.findings.extend(kept);
    }
}

/// A closed shape and the element that it was drawn with.
#[derive(Clone, Debug)]
struct Outline {
    ring: Vec<Point>,
    kind: &'static str,
    source: Arc<Source>,
}

impl Outline {
    fn of(ring: Vec<Point>, stroke: &Stroke) -> Self {
        Self {
            ring,
            kind: kind_of(stroke),
            source: Arc::clone(&stroke.source),
        }
    }
}

/// The outer boundaries of what the strokes enclose, and the elements that enclose nothing. A skylight drawn as four
/// lines with a cross in it is one opening.
fn outlines(strokes: &[&Stroke], tolerance: f64) -> (Vec<Outline>, Vec<Arc<Source>>) {
    let pieces = pieces(strokes);
    let mut net = join_ends(&pieces, tolerance);
    split_at_joints(&mut net, &pieces, tolerance);
    split_at_crossings(&mut net, &pieces, tolerance);
    let sub = subdivide(net.nodes.clone(), net.links());
    let mut closed = vec![false; strokes.len()];
    for link in &sub.links {
        for &p in &link.pieces {
            closed[pieces[p].stroke] = true;
        }
    }
    let found = sub.outside.iter().filter_map(|r| {
        let mut ring = sub.corners(r);
        ring.reverse();
        let first = sub.links[r.first()? / 2].pieces.first()?;
        Some(Outline::of(ring, strokes[pieces[*first].stroke]))
    });
    // Lines inside an outline (a cross in a skylight) enclose something or end on it; only lone ones are told.
    let rings: Vec<Outline> = found.collect();
    let unclosed = strokes
        .iter()
        .zip(closed)
        .filter(|(s, closed)| {
            let middle = s.points[0].midpoint(s.points[s.points.len() - 1]);
            !closed && !rings.iter().any(|o| ring::contains(&o.ring, middle))
        })
        .map(|(s, _)| Arc::clone(&s.source))
        .collect();
    let openings = rings.into_iter().flat_map(|o| side_by_side(o, strokes));
    (openings.collect(), unclosed)
}

/// The openings in an outline: closed shapes of several elements that fill it side by side are one each; else it is one.
fn side_by_side(outline: Outline, strokes: &[&Stroke]) -> Vec<Outline> {
    let polygon = |ring: &[Point]| Polygon::new(line(ring), Vec::new());
    let whole = polygon(&outline.ring);
    let mut shapes: Vec<(Polygon, &Stroke)> = strokes
        .iter()
        .filter(|stroke| stroke.closed && stroke.points.len() >= 3)
        .map(|stroke| (polygon(&stroke.points), *stroke))
        .filter(|(shape, _)| {
            let area = shape.unsigned_area();
            area > LEAST_PART_SQFT
                && shape.intersection(&whole).unsigned_area() > (1.0 - SAME_PART) * area
        })
        .collect();
    shapes.sort_by(|a, b| b.0.unsigned_area().total_cmp(&a.0.unsigned_area()));
    let mut apart: Vec<(Polygon, &Stroke)> = Vec::new();
    for (shape, stroke) in shapes {
        let area = shape.unsigned_area();
        let overlaps =
            |other: &Polygon| shape.intersection(other).unsigned_area() > SAME_PART * area;
        if !apart.iter().any(|(other, _)| overlaps(other)) {
            apart.push((shape, stroke));
        }
    }
    let filled: f64 = apart.iter().map(|(shape, _)| shape.unsigned_area()).sum();
    let fills = (filled - whole.unsigned_area()).abs() <= SAME_PART * whole.unsigned_area();
    let several = (apart.iter().enumerate())
        .all(|(i, (_, stroke))| apart[..i].iter().all(|(_, o)| o.source != stroke.source));
    if apart.len() < 2 || !fills || !several {
        return vec![outline];
    }
    apart
        .into_iter()
        .map(|(_, stroke)| {
            let mut ring = stroke.points.clone();
            if ring::signed_area(&ring) < 0.0 {
                ring.reverse();
            }
            Outline::of(ring, stroke)
        })
        .collect()
}

/// The word for an opening in its names, the innermost first: an element's own, then those of its layers.
fn kind_of(stroke: &Stroke) -> &'static str {
    let source = [&stroke.source.id, &stroke.source.layer];
    let names = stroke.names.iter().chain(source.into_iter().flatten());
    let word = |name: &String| {
        let name = name.to_lowercase();
        let words = ["chimney", "skylight"];
        let said = words.map(|word| name.find(word).map(|at| (at, word)));
        said.into_iter().flatten().min().map(|(_, word)| word)
    };
    names.into_iter().find_map(word).unwrap_or("opening")
}

fn line(ring: &[Point]) -> LineString {
    ring.iter().map(|p| (p.x, p.y)).collect()
}

/// A face of the map as a polygon.
pub(super) fn face_polygon(map: &PlanMap, face: usize) -> Polygon {
    let mut rings = map.faces[face].rings.iter().map(|r| line(&map.corners(r)));
    let outer = rings.next().unwrap_or_else(|| LineString::new(Vec::new()));
    Polygon::new(outer, rings.collect())
}

/// The piece of a shape that lies on each face.
fn cut(shape: &[Point], faces: &[Polygon]) -> Vec<OpeningPart> {
    let polygon = Polygon::new(line(shape), Vec::new());
    let area = polygon.unsigned_area();
    let mut parts = Vec::new();
    for (face, of_face) in faces.iter().enumerate() {
        let apart = match (polygon.bounding_rect(), of_face.bounding_rect()) {
            (Some(a), Some(b)) => !a.intersects(&b),
            _ => true,
        };
        if apart {
            continue;
        }
        for piece in polygon.intersection(of_face) {
            if piece.unsigned_area() < LEAST_PART_SQFT {
                continue;
            }
            let whole = piece.unsigned_area() > area * (1.0 - 1e-6);
            let ring = if whole {
                shape.to_vec()
            } else {
                clipped(&piece, shape)
            };
            parts.push(OpeningPart { face, ring, whole });
        }
    }
    parts
}

/// The outer ring of a clipped piece, counter-clockwise, with the shape's own corners in their exact places: the
/// clipping works on a grid.
fn clipped(piece: &Polygon, shape: &[Point]) -> Vec<Point> {
    const GRID_FT: f64 = 1e-6;
    let mut ring: Vec<Point> = piece
        .exterior()
        .points()
        .map(|p| Point::new(p.x(), p.y()))
        .map(|p| {
            shape
                .iter()
                .copied()
                .find(|q| q.distance(p) < GRID_FT)
                .unwrap_or(p)
        })
        .collect();
    ring.pop();
    if ring::signed_area(&ring) < 0.0 {
        ring.reverse();
    }
    ring
}
