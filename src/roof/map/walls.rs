//! Marks the edges that lie on a wall, splitting an edge where its wall ends.

use rstar::RTree;
use rstar::primitives::{GeomWithData, Rectangle};

use super::noding::{around, beside};
use super::tell::several;
use super::{DirectedEdge, MapEdge, PlanMap};
use crate::drawing::{Drawing, Role};
use crate::geometry::Point;
use crate::units::words::decimal_feet;
use crate::{Finding, Place};

/// A wall's line may lie this far from the edge that it stands on, in feet, or twice the tolerance.
const WALL_REACH_FT: f64 = 0.25;
/// A wall that covers less than this much of an edge, in feet, only touches its end.
const LEAST_WALL_FT: f64 = 0.5;
/// How far a wall's direction may differ from the edge's: the sine of 5 degrees.
const PARALLEL: f64 = 0.087;

/// Ends of a wall, and its number.
type Wall = ([Point; 2], usize);
type Lines = RTree<GeomWithData<Rectangle<[f64; 2]>, Wall>>;

/// Marks the edges of the map that lie on lines of the wall layer of its level, and tells of walls on which none lies.
pub(super) fn mark_walls(map: &mut PlanMap, drawing: &Drawing) {
    let mut lines = Vec::new();
    for stroke in &drawing.strokes {
        if stroke.role != Role::Wall || stroke.level != map.level {
            continue;
        }
        let ends = if stroke.closed {
            stroke.points.len()
        } else {
            stroke.points.len() - 1
        };
        for i in 0..ends {
            let (a, b) = (
                stroke.points[i],
                stroke.points[(i + 1) % stroke.points.len()],
            );
            lines.push(GeomWithData::new(
                Rectangle::from_corners([a.x, a.y], [b.x, b.y]),
                ([a, b], lines.len()),
            ));
        }
    }
    if lines.is_empty() {
        return;
    }
    let ends: Vec<[Point; 2]> = lines.iter().map(|line| line.data.0).collect();
    let mut has_edge = vec![false; ends.len()];
    let walls = RTree::bulk_load(lines);
    let reach = WALL_REACH_FT.max(2.0 * map.tolerance_ft);
    for edge in 0..map.edges.len() {
        let covered = covered(map, edge, &walls, reach, &mut has_edge);
        let mut cuts: Vec<f64> = covered.iter().flat_map(|&(from, to)| [from, to]).collect();
        cuts.sort_by(f64::total_cmp);
        let (a, b) = (map.nodes[map.edges[edge].a], map.nodes[map.edges[edge].b]);
        let length = a.distance(b);
        let mut parts = vec![edge];
        // From the far end, so that what is left keeps its index and its place along.
        for &cut in cuts.iter().rev().filter(|&&c| c > 0.0 && c < length) {
            parts.push(split(map, edge, a.lerp(b, cut / length)));
        }
        for part in parts {
            let e = &map.edges[part];
            let middle = map.nodes[e.a].midpoint(map.nodes[e.b]).distance(a);
            map.edges[part].on_wall = covered
                .iter()
                .any(|&(from, to)| from < middle && middle < to);
        }
    }
    let loose: Vec<[Point; 2]> = ends
        .into_iter()
        .zip(has_edge)
        .filter(|(ends, has_edge)| !has_edge && ends[0].distance(ends[1]) >= LEAST_WALL_FT)
        .map(|(ends, _)| ends)
        .collect();
    let told = off_the_edges(map, &loose);
    map.findings.extend(told);
}

/// Walls on which no edge lies: how far the nearest one is from each.
fn off_the_edges(map: &PlanMap, loose: &[[Point; 2]]) -> Option<Finding> {
    // What a wall crosses is none of the edges that it may have been meant for.
    let from_edge = |[a, b]: &[Point; 2]| {
        let (at, way) = (a.midpoint(*b), (*b - *a).unit().unwrap_or_default());
        let runs_along = |edge: &&MapEdge| {
            let run = map.nodes[edge.b] - map.nodes[edge.a];
            run.cross(way).abs() <= PARALLEL * run.length()
        };
        let along = map.edges.iter().filter(runs_along);
        along
            .map(|edge| at.distance_to_segment(map.nodes[edge.a], map.nodes[edge.b]))
            .fold(f64::INFINITY, f64::min)
    };
    let off: Vec<(Point, f64)> = loose
        .iter()
        .map(|wall| (wall[0].midpoint(wall[1]), from_edge(wall)))
        .filter(|(_, off)| off.is_finite())
        .collect();
    let &(at, nearest) = off.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
    let what = match off.len() {
        1 => "A wall lies on no edge of the roof, so that nothing ends against it; its middle"
            .to_owned(),
        n => format!(
            "{n} walls lie on no edge of the roof, so that nothing ends against them; the middle of the nearest"
        ),
    };
    let message = format!(
        "{what}, at ({:.1}, {:.1}) ft, is {} from the next edge along it.",
        at.x,
        at.y,
        decimal_feet(nearest, 2)
    );
    let finding = Finding::warning("wall-off-the-edges", message).remedy(
        "Draw a wall on the edge that ends against it; a wall beneath the roof belongs on a layer that is not read, such as `notes`.",
    );
    let places = off.into_iter().map(|(at, _)| Place::at(at)).collect();
    Some(several(finding, places))
}

/// The stretches of an edge that lie on walls, in feet from its first node, joined where they meet.
fn covered(
    map: &PlanMap,
    edge: usize,
    walls: &Lines,
    reach: f64,
    has_edge: &mut [bool],
) -> Vec<(f64, f64)> {
    let (a, b) = (map.nodes[map.edges[edge].a], map.nodes[map.edges[edge].b]);
    let length = a.distance(b);
    let Some(unit) = (b - a).unit() else {
        return Vec::new();
    };
    let mut found: Vec<(f64, f64)> = Vec::new();
    for hit in walls.locate_in_envelope_intersecting(&around(a.midpoint(b), length / 2.0 + reach)) {
        let ([c, d], wall) = hit.data;
        let Some(way) = (d - c).unit() else { continue };
        let (along_c, along_d) = (unit.dot(c - a), unit.dot(d - a));
        let (from, to) = (
            along_c.min(along_d).max(0.0),
            along_c.max(along_d).min(length),
        );
        let middle = a + unit * ((from + to) / 2.0);
        let near = beside(c, d, middle).is_some_and(|(_, off)| off <= reach);
        if unit.cross(way).abs() <= PARALLEL && near && to - from >= LEAST_WALL_FT.min(length / 2.0)
        {
            found.push((from, to));
            has_edge[wall] = true;
        }
    }
    found.sort_by(|x, y| x.0.total_cmp(&y.0));
    let mut joined: Vec<(f64, f64)> = Vec::new();
    for (from, to) in found {
        match joined.last_mut() {
            Some(last) if from <= last.1 + LEAST_WALL_FT => last.1 = last.1.max(to),
            _ => joined.push((from, to)),
        }
    }
    // A wall that stops just short of a corner was meant to reach it.
    let snap = LEAST_WALL_FT.max(reach);
    for (from, to) in &mut joined {
        if *from < snap {
            *from = 0.0;
        }
        if length - *to < snap {
            *to = length;
        }
    }
    joined
}

/// Splits an edge at a place on it: the edge keeps its first part, the second is new; its index is returned.
fn split(map: &mut PlanMap, edge: usize, at: Point) -> usize {
    let node = map.nodes.len();
    map.nodes.push(at);
    let new = map.edges.len();
    let mut second = map.edges[edge].clone();
    second.a = node;
    let (first_node, last_node) = (map.edges[edge].a, map.edges[edge].b);
    map.edges[edge].b = node;
    map.edges.push(second);
    for ring in map.faces.iter_mut().flat_map(|f| &mut f.rings) {
        let Some(i) = ring.iter().position(|s| s.edge == edge) else {
            continue;
        };
        let side = DirectedEdge {
            edge: new,
            reversed: ring[i].reversed,
        };
        ring.insert(if side.reversed { i } else { i + 1 }, side);
    }
    for piece in &mut map.drawn {
        let at = piece.nodes.windows(2).position(|w| {
            (w[0] == first_node && w[1] == last_node) || (w[0] == last_node && w[1] == first_node)
        });
        if let Some(i) = at {
            piece.nodes.insert(i + 1, node);
        }
    }
    new
}
