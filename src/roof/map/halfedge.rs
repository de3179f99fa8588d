//! Faces of a planar graph: half-edges walked with the face on the left.

use geo::kernels::Orientation;
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::net::Link;
use super::noding::turn;
use crate::geometry::{Point, Sets, ring};

/// The faces of a planar graph. A half-edge is 2 × link for a → b, and 2 × link + 1 for b → a.
#[derive(Clone, Debug, Default)]
pub(super) struct Subdivision {
    pub(super) nodes: Vec<Point>,
    pub(super) links: Vec<Link>,
    /// For each half-edge the face on its left.
    pub(super) left: Vec<Option<usize>>,
    /// For each face its rings of half-edges: the outer one counter-clockwise, then holes clockwise.
    pub(super) faces: Vec<Vec<Vec<usize>>>,
    /// For each link the connected part of the drawing that it belongs to.
    pub(super) part: Vec<usize>,
    /// For each face the part that its outer ring belongs to.
    pub(super) face_part: Vec<usize>,
    /// The outer boundaries that lie in no face, clockwise.
    pub(super) outside: Vec<Vec<usize>>,
    /// Links that bound nothing: loose ends and bridges.
    pub(super) loose: Vec<Link>,
}

impl Subdivision {
    /// The start of a half-edge.
    pub(super) fn start(&self, half: usize) -> usize {
        let link = &self.links[half / 2];
        if half.is_multiple_of(2) {
            link.a
        } else {
            link.b
        }
    }

    /// The corners of a ring.
    pub(super) fn corners(&self, ring: &[usize]) -> Vec<Point> {
        ring.iter().map(|&h| self.nodes[self.start(h)]).collect()
    }

    /// The area of a face without its holes, in the square of the nodes' unit.
    pub(super) fn area(&self, face: usize) -> f64 {
        self.faces[face]
            .iter()
            .map(|r| ring::signed_area(&self.corners(r)))
            .sum()
    }

    /// The length round a face, holes too.
    pub(super) fn perimeter(&self, face: usize) -> f64 {
        self.faces[face]
            .iter()
            .map(|r| ring::perimeter(&self.corners(r)))
            .sum()
    }
}

/// Finds the faces; links that bound nothing are set apart.
pub(super) fn subdivide(nodes: Vec<Point>, links: Vec<Link>) -> Subdivision {
    let mut loose = Vec::new();
    let mut links = drop_loose(&nodes, links, &mut loose);
    loop {
        let (next, cycle_of, cycles) = walk(&nodes, &links);
        let bridge = |i: usize| cycle_of[2 * i] == cycle_of[2 * i + 1];
        if (0..links.len()).any(bridge) {
            let (out, keep): (Vec<_>, Vec<_>) =
                links.into_iter().enumerate().partition(|(i, _)| bridge(*i));
            loose.extend(out.into_iter().map(|(_, l)| l));
            let rest = keep.into_iter().map(|(_, l)| l).collect();
            links = drop_loose(&nodes, rest, &mut loose);
            continue;
        }
        return assemble(nodes, links, &next, &cycle_of, &cycles, loose);
    }
}

/// Takes off links with an end that nothing else meets, until there is none.
fn drop_loose(nodes: &[Point], links: Vec<Link>, loose: &mut Vec<Link>) -> Vec<Link> {
    let mut at: Vec<Vec<usize>> = vec![Vec::new(); nodes.len()];
    for (i, link) in links.iter().enumerate() {
        at[link.a].push(i);
        at[link.b].push(i);
    }
    let mut degree: Vec<usize> = at.iter().map(Vec::len).collect();
    let mut gone = vec![false; links.len()];
    let mut stack: Vec<usize> = (0..nodes.len()).filter(|&n| degree[n] == 1).collect();
    while let Some(n) = stack.pop() {
        let Some(&i) = at[n].iter().find(|&&i| !gone[i]) else {
            continue;
        };
        gone[i] = true;
        for m in [links[i].a, links[i].b] {
            degree[m] -= 1;
            if degree[m] == 1 {
                stack.push(m);
            }
        }
    }
    let mut kept = Vec::with_capacity(links.len());
    for (link, gone) in links.into_iter().zip(gone) {
        if gone {
            loose.push(link);
        } else {
            kept.push(link);
        }
    }
    kept
}

/// For each half-edge the next one round the face on its left, and the cycle it belongs to; the cycles' first ones.
fn walk(nodes: &[Point], links: &[Link]) -> (Vec<usize>, Vec<usize>, Vec<usize>) {
    let start = |h: usize| {
        if h.is_multiple_of(2) {
            links[h / 2].a
        } else {
            links[h / 2].b
        }
    };
    let mut out: Vec<Vec<usize>> = vec![Vec::new(); nodes.len()];
    for h in 0..links.len() * 2 {
        out[start(h)].push(h);
    }
    let mut next = vec![usize::MAX; links.len() * 2];
    for (node, halves) in out.iter_mut().enumerate() {
        halves.sort_by(|&g, &h| by_angle(nodes[node], nodes[start(g ^ 1)], nodes[start(h ^ 1)]));
        let count = halves.len();
        for (i, &h) in halves.iter().enumerate() {
            // Coming in against h, the face on the left goes on with the next one clockwise.
            next[h ^ 1] = halves[(i + count - 1) % count];
        }
    }
    let mut cycle_of = vec![usize::MAX; links.len() * 2];
    let mut cycles = Vec::new();
    for h in 0..links.len() * 2 {
        if cycle_of[h] != usize::MAX {
            continue;
        }
        let mut g = h;
        while cycle_of[g] == usize::MAX {
            cycle_of[g] = cycles.len();
            g = next[g];
        }
        cycles.push(h);
    }
    (next, cycle_of, cycles)
}

/// The order of two places by their direction from `o`, counter-clockwise from the positive x axis; a place at `o` itself,
/// which crossings computed to the last digit may give, after all others.
fn by_angle(o: Point, a: Point, b: Point) -> std::cmp::Ordering {
    let upper = |p: Point| p.y > o.y || (p.y == o.y && p.x > o.x);
    if a == o || b == o {
        return (a == o).cmp(&(b == o));
    }
    upper(b).cmp(&upper(a)).then_with(|| match turn(o, a, b) {
        Orientation::CounterClockwise => std::cmp::Ordering::Less,
        Orientation::Clockwise => std::cmp::Ordering::Greater,
        Orientation::Collinear => std::cmp::Ordering::Equal,
    })
}

fn ring_of(next: &[usize], first: usize) -> Vec<usize> {
    let mut ring = vec![first];
    let mut h = next[first];
    while h != first {
        ring.push(h);
        h = next[h];
    }
    ring
}

fn assemble(
    nodes: Vec<Point>,
    links: Vec<Link>,
    next: &[usize],
    cycle_of: &[usize],
    cycles: &[usize],
    loose: Vec<Link>,
) -> Subdivision {
    let part = parts(&links, nodes.len());
    let mut sub = Subdivision {
        left: vec![None; links.len() * 2],
        nodes,
        links,
        part,
        loose,
        ..Subdivision::default()
    };
    let rings: Vec<Vec<usize>> = cycles.iter().map(|&h| ring_of(next, h)).collect();
    let mut face_of: Vec<Option<usize>> = vec![None; cycles.len()];
    let mut outer: Vec<usize> = Vec::new();
    for (cycle, ring) in rings.iter().enumerate() {
        if ring::signed_area(&sub.corners(ring)) > 0.0 {
            face_of[cycle] = Some(sub.faces.len());
            sub.face_part.push(sub.part[ring[0] / 2]);
            sub.faces.push(vec![ring.clone()]);
        } else {
            outer.push(cycle);
        }
    }
    place_holes(&mut sub, &rings, cycle_of, &mut face_of, &outer);
    sub.outside = outer
        .into_iter()
        .filter(|&cycle| face_of[cycle].is_none())
        .map(|cycle| rings[cycle].clone())
        .collect();
    for (h, &cycle) in cycle_of.iter().enumerate() {
        sub.left[h] = face_of[cycle];
    }
    sub
}

/// Gives every outer boundary of a part to the face that it lies in. Taken from the left: the line that is hit first
/// on the way to the left belongs to a part that is placed already.
fn place_holes(
    sub: &mut Subdivision,
    rings: &[Vec<usize>],
    cycle_of: &[usize],
    face_of: &mut [Option<usize>],
    outer: &[usize],
) {
    let mut starts: Vec<(Point, usize)> = outer
        .iter()
        .filter_map(|&cycle| {
            let leftmost = sub
                .corners(&rings[cycle])
                .into_iter()
                .min_by(|p, q| p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)))?;
            Some((leftmost, cycle))
        })
        .collect();
    if starts.len() < 2 {
        return;
    }
    starts.sort_by(|(p, c), (q, d)| p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y)).then(c.cmp(d)));
    let tree = RTree::bulk_load(
        sub.links
            .iter()
            .enumerate()
            .map(|(i, link)| {
                let (a, b) = (sub.nodes[link.a], sub.nodes[link.b]);
                GeomWithData::new(Rectangle::from_corners([a.x, a.y], [b.x, b.y]), i)
            })
            .collect(),
    );
    let most_left = starts.first().map_or(0.0, |s| s.0.x);
    for (p, cycle) in starts {
        let own = sub.part[rings[cycle][0] / 2];
        let mut nearest: Option<(f64, f64, usize)> = None;
        let ray = AABB::from_corners([most_left, p.y], [p.x, p.y]);
        for hit in tree.locate_in_envelope_intersecting(&ray) {
            let link = &sub.links[hit.data];
            let (a, b) = (sub.nodes[link.a], sub.nodes[link.b]);
            if sub.part[hit.data] == own || (a.y > p.y) == (b.y > p.y) {
                continue;
            }
            let (low, high) = if b.y > a.y { (a, b) } else { (b, a) };
            // From the lower end: lines that meet at the height of the ray are met in the very same point. Of them the
            // one that leans farthest to the right is the one next to what is looked for.
            let lean = (high.x - low.x) / (high.y - low.y);
            let x = low.x + (p.y - low.y) * lean;
            let nearer = nearest.is_none_or(|(best, best_lean, _)| (x, lean) > (best, best_lean));
            if x <= p.x && nearer {
                // The half-edge that goes down has the right-hand side of the line on its left.
                nearest = Some((x, lean, 2 * hit.data + usize::from(b.y > a.y)));
            }
        }
        if let Some(face) = nearest.and_then(|(_, _, half)| face_of[cycle_of[half]]) {
            face_of[cycle] = Some(face);
            sub.faces[face].push(rings[cycle].clone());
        }
    }
}

/// The connected part of every link.
fn parts(links: &[Link], nodes: usize) -> Vec<usize> {
    let mut parts = Sets::new(nodes);
    for link in links {
        parts.join(link.a, link.b);
    }
    links.iter().map(|l| parts.find(l.a)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn link(a: usize, b: usize) -> Link {
        Link {
            a: a.min(b),
            b: a.max(b),
            pieces: Vec::new(),
        }
    }

    fn square(at: f64, size: f64) -> Vec<Point> {
        vec![
            Point::new(at, at),
            Point::new(at + size, at),
            Point::new(at + size, at + size),
            Point::new(at, at + size),
        ]
    }

    #[test]
    fn a_ring_in_a_ring_is_a_hole_of_one_face_and_a_face_itself() {
        let nodes = [square(0.0, 10.0), square(4.0, 2.0)].concat();
        let links = (0..8).map(|i| link(i, i / 4 * 4 + (i + 1) % 4)).collect();
        let sub = subdivide(nodes, links);
        let areas: Vec<f64> = (0..sub.faces.len()).map(|f| sub.area(f)).collect();
        assert_eq!(areas, [96.0, 4.0]);
        assert!(sub.left.iter().filter(|f| f.is_none()).count() == 4);
    }

    #[test]
    fn parts_that_stand_on_one_level_are_no_holes_of_each_other() {
        // Three hipped roofs in a row, as on a plan of house and garage: a look to the left meets walls and hips of the
        // next one in its very corner.
        let mut nodes = Vec::new();
        let mut links = Vec::new();
        for n in 0..3_usize {
            let x = 50.0 * n as f64;
            let corners = [(0, 0), (40, 0), (40, 24), (0, 24), (12, 12), (28, 12)];
            nodes.extend(corners.map(|(u, v)| Point::new(x + f64::from(u), f64::from(v))));
            let lines = [
                (0, 1),
                (1, 2),
                (2, 3),
                (3, 0),
                (0, 4),
                (3, 4),
                (1, 5),
                (2, 5),
                (4, 5),
            ];
            links.extend(lines.map(|(a, b)| link(6 * n + a, 6 * n + b)));
        }
        let sub = subdivide(nodes, links);
        let mut areas: Vec<f64> = (0..sub.faces.len()).map(|f| sub.area(f)).collect();
        areas.sort_by(f64::total_cmp);
        assert_eq!(areas, [[144.0; 6], [336.0; 6]].concat());
        assert_eq!(sub.outside.len(), 3);
    }

    #[test]
    fn directions_go_round_and_a_place_at_the_node_itself_comes_last() {
        let o = Point::new(1.0, 1.0);
        let round = [(2.0, 1.0), (1.0, 2.0), (0.0, 1.0), (1.0, 0.0), (1.0, 1.0)];
        let round = round.map(|(x, y)| Point::new(x, y));
        for first in 0..round.len() {
            let mut places = round;
            places.rotate_left(first);
            places.sort_by(|a, b| by_angle(o, *a, *b));
            assert_eq!(places, round);
        }
    }

    #[test]
    fn a_bridge_and_a_loose_end_bound_nothing() {
        let mut nodes = [square(0.0, 10.0), square(4.0, 2.0)].concat();
        nodes.push(Point::new(20.0, 20.0));
        let mut links: Vec<Link> = (0..8).map(|i| link(i, i / 4 * 4 + (i + 1) % 4)).collect();
        links.push(link(0, 4));
        links.push(link(2, 8));
        let sub = subdivide(nodes, links);
        assert_eq!(
            (sub.faces.len(), sub.links.len(), sub.loose.len()),
            (2, 8, 2)
        );
    }
}
