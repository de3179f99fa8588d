//! The part of a face that lies inside the walls: its outer sides moved in by the overhang.

use super::settings::Overhang;
use super::stated::SurfaceSaid;
use crate::geometry::{Point, Vector, ring};
use crate::roof::{EdgeClass, Face, Ring, Roof, Side};

/// Sides whose directions differ by a smaller sine are one straight line.
const STRAIGHT_WITHIN: f64 = 1e-6;

/// Plan area of a face inside the walls. Where eaves of different pitch meet, the hip between their moved lines is not
/// the roof's hip: the error is of the second order in the overhang. `None` where an overhang is wider than the face.
pub(super) fn plan_area(roof: &Roof, face: &Face, overhang: Overhang) -> Option<f64> {
    let moved = inside(roof, &face.outline, overhang)?;
    let area = ring::signed_area(&moved.iter().map(|c| c.0).collect::<Vec<_>>());
    let holes: f64 = face
        .holes
        .iter()
        .map(|h| ring::signed_area(&h.plan()).abs())
        .sum();
    (area > holes).then_some(area - holes)
}

/// Length of the edges of a class inside the walls, in feet on a surface. `None` where an overhang is wider than a face.
pub(super) fn length(
    roof: &Roof,
    class: EdgeClass,
    surface: SurfaceSaid,
    overhang: Overhang,
) -> Option<f64> {
    let mut total = 0.0;
    for face in &roof.faces {
        let moved = inside(roof, &face.outline, overhang)?;
        let n = moved.len();
        for (i, (corner, side)) in moved.iter().enumerate() {
            let Some(edge) = side.and_then(|i| edge_of(roof, &face.outline, i)) else {
                continue;
            };
            if edge.class == class {
                let in_plan = corner.distance(moved[(i + 1) % n].0);
                // Cutting a part off an edge leaves it as steep as it was.
                let steep = match surface {
                    SurfaceSaid::Plan => 1.0,
                    SurfaceSaid::True => edge.true_length.to_feet() / edge.plan_length.to_feet(),
                };
                total += in_plan * steep / edge.faces.len().max(1) as f64;
            }
        }
    }
    total.is_finite().then_some(total)
}

fn edge_of<'r>(roof: &'r Roof, outline: &Ring, side: usize) -> Option<&'r crate::roof::Edge> {
    match outline.sides.get(side)? {
        Side::Edge(id) => roof.edges.get(id.0),
        Side::Opening(_) => None,
    }
}

fn reach(roof: &Roof, outline: &Ring, side: usize, overhang: Overhang) -> f64 {
    match edge_of(roof, outline, side).map(|e| e.class) {
        Some(EdgeClass::Eave | EdgeClass::HighEdge | EdgeClass::FlatEdge) => overhang.eave_ft,
        Some(EdgeClass::Rake) => overhang.rake_ft,
        _ => 0.0,
    }
}

/// The corners of a ring with its outer sides moved in, each with the side that starts there; a jog between two moved
/// sides of one straight line has no side.
fn inside(roof: &Roof, outline: &Ring, overhang: Overhang) -> Option<Vec<(Point, Option<usize>)>> {
    let corners = outline.plan();
    let n = corners.len();
    let mut lines = Vec::with_capacity(n);
    for i in 0..n {
        let along: Vector = (corners[(i + 1) % n] - corners[i]).unit()?;
        let by = reach(roof, outline, i, overhang);
        lines.push((corners[i] + along.turn_left() * by, along, by));
    }
    let mut out = Vec::with_capacity(n);
    for i in 0..n {
        let (p, u, before) = lines[(i + n - 1) % n];
        let (q, v, here) = lines[i];
        let sine = u.cross(v);
        if sine.abs() > STRAIGHT_WITHIN {
            out.push((q + v * ((p - q).cross(u) / v.cross(u)), Some(i)));
            continue;
        }
        if before != here {
            out.push((corners[i] + u.turn_left() * before, None));
        }
        out.push((q, Some(i)));
    }
    // A side that turned round says that the overhang is wider than the face there.
    let turned = (0..out.len()).any(|k| {
        let Some(i) = out[k].1 else { return false };
        (out[(k + 1) % out.len()].0 - out[k].0).dot(lines[i].1) < 0.0
    });
    (!turned).then_some(out)
}
