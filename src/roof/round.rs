//! Round edges: arcs that were flattened into many short sides.
//!
//! The solver looks for planes that fall square to their eaves, and the short sides of an arc point everywhere. So it is
//! given the chord of each arc, as if the face were a flat facet, and the arc is put back into the solved roof: its
//! pieces are of the chord's class and run from its one height to its other, and the area between the two is the face's.
//! Of a cone this gives the true area, since all of it is equally steep, and the true length of its level eave.

use std::f64::consts::PI;

use super::map::{DirectedEdge, DrawnPiece, ON_CIRCLE_FT, ON_CIRCLE_PART, PlanMap};
use super::{Edge, EdgeClass, EdgeId, Face, Ring, Roof, Side};
use crate::geometry::{Point, Point3, circle, ring, segments_cross};
use crate::units::{Area, Length};
use crate::{Finding, Place};

/// An arc that turns by more than this (radians) is not taken for one facet: 100°, a quarter of a circle with some room.
const WIDEST_TURN: f64 = PI * 100.0 / 180.0;
/// Sides that reach over more of the circle than this (radians) are sides of their own: 35°.
const CORNER_TURN: f64 = PI * 35.0 / 180.0;
/// The ends of an arc are those of an edge within this, in feet: rounding of a roof that was built and not drawn.
const SAME_PLACE_FT: f64 = 1e-6;
/// Places named in one finding.
const MOST_PLACES: usize = 8;

/// An arc of a map, from end to end in plan feet.
#[derive(Clone, Debug)]
pub(super) struct Arc {
    level: u32,
    points: Vec<Point>,
    /// Whether it is one of an outline, whose facets have been told already.
    of_outline: bool,
}

impl Arc {
    fn ends(&self) -> [Point; 2] {
        let last = self.points.len() - 1;
        [self.points[0], self.points[last]]
    }

    /// The points between the ends, from `from` on.
    fn between(&self, from: Point) -> Vec<Point> {
        let inner = &self.points[1..self.points.len() - 1];
        let [first, last] = self.ends();
        if from.distance(first) <= from.distance(last) {
            inner.to_vec()
        } else {
            inner.iter().rev().copied().collect()
        }
    }
}

/// Puts chords in the places of a map's arcs, and hands back the arcs; with those that an outline was built on chords of.
pub(super) fn straighten(map: &mut PlanMap) -> Vec<Arc> {
    let level = map.level;
    let of_outline = std::mem::take(&mut map.round_sides).into_iter();
    let mut arcs: Vec<Arc> = of_outline
        .map(|points| Arc {
            level,
            points,
            of_outline: true,
        })
        .collect();
    if map.round_nodes.is_empty() {
        return arcs;
    }
    let chains: Vec<Vec<DirectedEdge>> = chains(map)
        .into_iter()
        .flat_map(|chain| circular(map, &chain))
        .filter(|chain| may_be_straight(map, chain))
        .collect();
    for chain in &chains {
        arcs.push(Arc {
            level,
            points: points(map, chain),
            of_outline: false,
        });
        replace(map, chain);
    }
    drop_unused_edges(map);
    arcs
}

/// Where a chain of sides runs.
fn points(map: &PlanMap, chain: &[DirectedEdge]) -> Vec<Point> {
    let first = chain.first().map(|&side| map.ends(side).0);
    let rest = chain.iter().map(|&side| map.ends(side).1);
    first
        .into_iter()
        .chain(rest)
        .map(|n| map.nodes[n])
        .collect()
}

/// Longest chains of sides over round nodes in which nothing else meets.
fn chains(map: &PlanMap) -> Vec<Vec<DirectedEdge>> {
    let mut degree = vec![0_usize; map.nodes.len()];
    for edge in &map.edges {
        degree[edge.a] += 1;
        degree[edge.b] += 1;
    }
    let goes_on = |n: usize| degree[n] == 2 && map.round_nodes.binary_search(&n).is_ok();
    let mut taken = vec![false; map.edges.len()];
    let mut all = Vec::new();
    for face in map.faces.iter().filter(|f| f.plane.is_none()) {
        for ring in &face.rings {
            let Some(start) = ring.iter().position(|&s| !goes_on(map.ends(s).0)) else {
                continue;
            };
            let turned = ring[start..].iter().chain(&ring[..start]);
            let mut chain: Vec<DirectedEdge> = Vec::new();
            for &side in turned {
                chain.push(side);
                if !goes_on(map.ends(side).1) {
                    let whole = std::mem::take(&mut chain);
                    if whole.len() > 1 && !whole.iter().any(|s| taken[s.edge]) {
                        for s in &whole {
                            taken[s.edge] = true;
                        }
                        all.push(whole);
                    }
                }
            }
        }
    }
    all
}

/// The parts of a chain that are arcs of circles, of two sides or more.
fn circular(map: &PlanMap, chain: &[DirectedEdge]) -> Vec<Vec<DirectedEdge>> {
    let mut arcs = Vec::new();
    let mut from = 0;
    while from + 1 < chain.len() {
        let longest = (from + 2..=chain.len())
            .rev()
            .find(|&to| is_arc(&points(map, &chain[from..to])));
        match longest {
            Some(to) => {
                arcs.push(chain[from..to].to_vec());
                from = to;
            }
            None => from += 1,
        }
    }
    arcs
}

/// Whether points lie on a circle and go round it one way. Where an arc is drawn twice, its points alternate between two
/// curves a hair apart, so each turn for itself says nothing.
fn is_arc(points: &[Point]) -> bool {
    let last = points[points.len() - 1];
    let Some((centre, radius)) = circle(points[0], points[points.len() / 2], last) else {
        return false;
    };
    let slack = ON_CIRCLE_FT.max(ON_CIRCLE_PART * radius);
    let on_circle = points
        .iter()
        .all(|p| (p.distance(centre) - radius).abs() <= slack);
    let steps: Vec<f64> = points
        .windows(2)
        .map(|w| {
            let (u, v) = (w[0] - centre, w[1] - centre);
            u.cross(v).atan2(u.dot(v))
        })
        .collect();
    let one_way = steps.iter().all(|&t| t > 0.0) || steps.iter().all(|&t| t < 0.0);
    let total: f64 = steps.iter().sum();
    on_circle
        && one_way
        && steps.iter().all(|t| t.abs() < CORNER_TURN)
        && total.abs() <= WIDEST_TURN
}

/// Whether the chord may stand for the arc: its faces keep three sides, it meets no other edge of theirs, and no
/// opening or pipe lies between the two.
fn may_be_straight(map: &PlanMap, chain: &[DirectedEdge]) -> bool {
    let edge = &map.edges[chain[0].edge];
    let faces = [edge.left, edge.right].into_iter().flatten();
    let built = faces.clone().any(|f| map.faces[f].plane.is_some());
    let arc = points(map, chain);
    let (a, b) = (arc[0], arc[arc.len() - 1]);
    let in_chain = |e: usize| chain.iter().any(|s| s.edge == e);
    let crossed = faces.clone().any(|f| {
        let sides = map.faces[f].rings.iter().flatten();
        sides.filter(|s| !in_chain(s.edge)).any(|&s| {
            let (m, n) = map.ends(s);
            segments_cross((a, b), (map.nodes[m], map.nodes[n]))
        })
    });
    let thin = faces.clone().any(|f| {
        let rings = &map.faces[f].rings;
        let ring = rings.iter().find(|r| r.iter().any(|s| in_chain(s.edge)));
        ring.is_none_or(|r| r.iter().filter(|s| !in_chain(s.edge)).count() < 2)
    });
    let near = |p: &Point| ring::contains(&arc, *p);
    let holed = map.openings.iter().any(|o| {
        let inside = o.outline.iter().any(near);
        inside || ring::sides(&o.outline).any(|(p, q)| segments_cross((a, b), (p, q)))
    }) || map.pipes.iter().any(|p| near(&p.at));
    !built && !crossed && !thin && !holed
}

/// Puts the chord into the place of the chain: its first edge becomes the chord, the others fall out of the rings.
fn replace(map: &mut PlanMap, chain: &[DirectedEdge]) {
    let first = chain[0];
    let Some(&last) = chain.last() else { return };
    let (a, b) = (map.ends(first).0, map.ends(last).1);
    let inner: Vec<usize> = chain[1..].iter().map(|&s| map.ends(s).0).collect();
    let mut sources = Vec::new();
    for side in chain {
        for source in &map.edges[side.edge].sources {
            if !sources.contains(source) {
                sources.push(source.clone());
            }
        }
    }
    let edge = &mut map.edges[first.edge];
    (edge.a, edge.b) = if first.reversed { (b, a) } else { (a, b) };
    edge.sources = sources;
    for face in &mut map.faces {
        for ring in &mut face.rings {
            ring.retain(|s| !chain[1..].iter().any(|c| c.edge == s.edge));
        }
    }
    map.drawn
        .retain(|d| !d.nodes.iter().any(|n| inner.contains(n)));
    map.drawn.push(DrawnPiece {
        ends: [map.nodes[a], map.nodes[b]],
        nodes: vec![a, b],
        anchored: [true, true],
    });
}

fn drop_unused_edges(map: &mut PlanMap) {
    let mut used = vec![false; map.edges.len()];
    for side in map.faces.iter().flat_map(|f| f.rings.iter().flatten()) {
        used[side.edge] = true;
    }
    let mut new = Vec::with_capacity(used.len());
    let mut count = 0;
    for &u in &used {
        new.push(count);
        count += usize::from(u);
    }
    let mut keep = used.iter();
    map.edges.retain(|_| keep.next().copied().unwrap_or(true));
    for side in map
        .faces
        .iter_mut()
        .flat_map(|f| f.rings.iter_mut().flatten())
    {
        side.edge = new[side.edge];
    }
}

/// Puts the arcs back into the roof, in the places of their chords, and tells it.
pub(super) fn restore(roof: &mut Roof, arcs: &[Arc]) {
    let mut told: Vec<(EdgeClass, Place)> = Vec::new();
    let mut cut: Vec<Place> = Vec::new();
    for arc in arcs {
        let chords: Vec<usize> = (0..roof.edges.len())
            .filter(|&e| is_chord(roof, &roof.edges[e], arc))
            .collect();
        if chords.is_empty() && arc.of_outline {
            cut.push(Place::at(arc.points[arc.points.len() / 2]));
        }
        for chord in chords {
            if let [first, ..] = roof.edges[chord].faces[..] {
                let middle = arc.points[arc.points.len() / 2];
                let mut place = Place::at(middle);
                if let Some(source) = roof.edges[chord].sources.first() {
                    place = Place::on(source, middle);
                }
                let class = roof.edges[chord].class;
                let is_told = arc.of_outline && !may_slope(class);
                if roof.face(first).level == arc.level && !is_told {
                    told.push((class, place));
                }
            }
            put_back(roof, chord, arc);
        }
    }
    told.retain(|(class, _)| !matches!(class, EdgeClass::Sidewall | EdgeClass::Headwall));
    let [level, sloping]: [Vec<Place>; 2] = [false, true].map(|slopes| {
        let of = told.iter().filter(|(class, _)| may_slope(*class) == slopes);
        of.map(|(_, place)| place.clone()).collect()
    });
    tell(roof, cut, |count| {
        Finding::warning(
            "round-edge-cut",
            format!("{count} facets of curves stayed straight, since openings part their edges: areas and eaves there are those of the facets, not of the curves."),
        )
        .remedy("Draw the curve in straight pieces there, or the opening off the eave.")
    });
    tell(roof, level, |count| {
        Finding::note(
            "round-edge",
            format!("{count} round edges were taken for level and their faces for flat facets between the ends of each; lengths and areas are those of the curves."),
        )
        .remedy("If a face is to be laid in more facets, draw a line from each corner of its edge to the top.")
    });
    tell(roof, sloping, |count| {
        Finding::warning(
            "round-edge-slopes",
            format!("{count} round edges slope by the pitches beside them; they were taken to rise evenly from end to end."),
        )
        .remedy("If such an edge is level, check the pitches and falls beside it.")
    });
}

fn tell(roof: &mut Roof, places: Vec<Place>, finding: impl Fn(usize) -> Finding) {
    if !places.is_empty() {
        let told = finding(places.len());
        let told = places
            .into_iter()
            .take(MOST_PLACES)
            .fold(told, Finding::place);
        roof.findings.push(told);
    }
}

/// Edges of these classes slope.
fn may_slope(class: EdgeClass) -> bool {
    matches!(class, EdgeClass::Rake | EdgeClass::Hip | EdgeClass::Valley)
}

fn is_chord(roof: &Roof, edge: &Edge, arc: &Arc) -> bool {
    let ends = [edge.start.plan(), edge.end.plan()];
    let [a, b] = arc.ends();
    let here = edge.faces.first().map(|&f| roof.face(f).level) == Some(arc.level);
    let near = |p: Point, q: Point| p.distance(q) <= SAME_PLACE_FT;
    let [p, q] = ends;
    here && (near(p, a) && near(q, b) || near(p, b) && near(q, a))
}

/// One chord's edge becomes the pieces of the arc; the rings of its faces run along them.
fn put_back(roof: &mut Roof, chord: usize, arc: &Arc) {
    let whole = roof.edges[chord].clone();
    let (from, to) = (whole.start, whole.end);
    let plan: Vec<Point> = std::iter::once(from.plan())
        .chain(arc.between(from.plan()))
        .chain([to.plan()])
        .collect();
    let total: f64 = plan.windows(2).map(|w| w[0].distance(w[1])).sum();
    let mut run = 0.0;
    let mut ids = Vec::new();
    for pair in plan.windows(2) {
        let height = |run: f64| from.z + (to.z - from.z) * run / total;
        let start = pair[0].at_height(height(run));
        run += pair[0].distance(pair[1]);
        let end = pair[1].at_height(height(run));
        let piece = Edge {
            plan_length: Length::feet(pair[0].distance(pair[1])),
            true_length: Length::feet(start.distance(end)),
            start,
            end,
            ..whole.clone()
        };
        if ids.is_empty() {
            ids.push(EdgeId(chord));
            roof.edges[chord] = piece;
        } else {
            ids.push(EdgeId(roof.edges.len()));
            roof.edges.push(piece);
        }
    }
    for id in whole.faces {
        if let Some(face) = roof.faces.get_mut(id.0) {
            bend(face, EdgeId(chord), &plan, &ids);
        }
    }
    roof.round_edges.push(ids);
}

/// A face's rings along the arc instead of its chord.
fn bend(face: &mut Face, chord: EdgeId, plan: &[Point], ids: &[EdgeId]) {
    let plane = face.plane;
    let on_plane = |p: &Point| p.at_height(plane.height_at(*p));
    let mut gained = 0.0;
    for ring in std::iter::once(&mut face.outline).chain(&mut face.holes) {
        let Some(at) = ring.sides.iter().position(|&s| s == Side::Edge(chord)) else {
            continue;
        };
        let before = plan_area(ring);
        let forward = ring.corners[at].plan() == plan[0];
        let mut corners: Vec<Point3> = plan[1..plan.len() - 1].iter().map(on_plane).collect();
        let mut sides: Vec<Side> = ids.iter().map(|&id| Side::Edge(id)).collect();
        if !forward {
            corners.reverse();
            sides.reverse();
        }
        ring.corners.splice(at + 1..at + 1, corners);
        ring.sides.splice(at..=at, sides);
        gained += plan_area(ring) - before;
    }
    face.plan_area = Area::square_feet(face.plan_area.to_square_feet() + gained);
    face.true_area = face.pitch.true_area(face.plan_area);
}

fn plan_area(ring: &Ring) -> f64 {
    let points = ring.plan();
    ring::signed_area(&points)
}
