//! A polygon with holes cut into triangles, by clipping ears.
//!
//! Holes are first joined to the outer ring by bridges, the rightmost one first (D. Eberly, "Triangulation by Ear Clipping",
//! Geometric Tools, written from memory); quadratic in the corners.

use std::collections::BTreeSet;

use super::{Point, ring};

/// Triangles of a polygon, counter-clockwise, as indices into the corners of `outer` followed by those of the holes
/// in order. `outer` is counter-clockwise, holes are clockwise and inside; rings may touch in a corner.
///
/// The areas of the triangles add up to the polygon's for every valid polygon. A corner on a straight side is a
/// corner of no triangle.
pub fn triangulate(outer: &[Point], holes: &[&[Point]]) -> Vec<[usize; 3]> {
    let mut points = outer.to_vec();
    let mut chains = vec![];
    for hole in holes {
        let first = points.len();
        points.extend_from_slice(hole);
        chains.push((first..points.len()).collect::<Vec<_>>());
    }
    // The rightmost hole sees the outer ring past no other one.
    let rightmost =
        |chain: &Vec<usize>| chain.iter().map(|&i| points[i].x).fold(f64::MIN, f64::max);
    chains.sort_by(|a, b| rightmost(a).total_cmp(&rightmost(b)));
    let mut chain: Vec<usize> = (0..outer.len()).collect();
    while let Some((hole, at, from)) = next_bridge(&points, &chain, &chains) {
        let island = chains.remove(hole);
        let turned = island.iter().cycle().skip(from).take(island.len() + 1);
        let mut spliced: Vec<usize> = chain[..=at].to_vec();
        spliced.extend(turned);
        spliced.extend_from_slice(&chain[at..]);
        chain = spliced;
    }
    clip_ears(&points, &chain)
}

/// A bridge from the outer chain to a hole that crosses nothing: (hole, place in the chain, place in the hole). `None` when no
/// hole is left, or none can be reached. The last hole goes first, by its rightmost corner; where that one sees nothing, as
/// where rings touch, any corner of any hole will do.
fn next_bridge(
    points: &[Point],
    chain: &[usize],
    holes: &[Vec<usize>],
) -> Option<(usize, usize, usize)> {
    let last = holes.len().checked_sub(1)?;
    let x = |j: &usize| points[holes[last][*j]].x;
    let corner = (0..holes[last].len()).max_by(|i, j| x(i).total_cmp(&x(j)))?;
    let of_corner = nearest_bridge(points, chain, holes, std::iter::once((last, corner)));
    of_corner.or_else(|| {
        let all = (0..holes.len()).flat_map(|h| (0..holes[h].len()).map(move |j| (h, j)));
        nearest_bridge(points, chain, holes, all)
    })
}

/// The shortest bridge from the chain to one of these corners, given as (hole, place in the hole).
fn nearest_bridge(
    points: &[Point],
    chain: &[usize],
    holes: &[Vec<usize>],
    corners: impl Iterator<Item = (usize, usize)>,
) -> Option<(usize, usize, usize)> {
    let mut candidates = vec![];
    for (h, j) in corners {
        let b = points[holes[h][j]];
        let to = |(i, &a): (usize, &usize)| (points[a].distance(b), h, i, j);
        candidates.extend(chain.iter().enumerate().map(to));
    }
    candidates.sort_by(|a, b| {
        a.0.total_cmp(&b.0)
            .then((a.1, a.2, a.3).cmp(&(b.1, b.2, b.3)))
    });
    candidates
        .into_iter()
        .find(|&(_, h, i, j)| {
            let (a, b) = (points[chain[i]], points[holes[h][j]]);
            let free = std::iter::once(chain)
                .chain(holes.iter().map(Vec::as_slice))
                .all(|ring| !crosses_ring(points, ring, a, b));
            free && looks_inside(points, chain, i, b) && looks_inside(points, &holes[h], j, a)
        })
        .map(|(_, h, i, j)| (h, i, j))
}

/// Whether the open segment a b crosses or touches a side of the ring, other than in its own ends.
fn crosses_ring(points: &[Point], ring: &[usize], a: Point, b: Point) -> bool {
    (0..ring.len()).any(|i| {
        let (c, d) = (points[ring[i]], points[ring[(i + 1) % ring.len()]]);
        let on_open = |p: Point| p != a && p != b && on_segment(a, b, p);
        if on_open(c) || on_open(d) {
            return true;
        }
        turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0
    })
}

/// Whether `p` is seen from corner `i` on the ring's left.
fn looks_inside(points: &[Point], ring: &[usize], i: usize, p: Point) -> bool {
    let n = ring.len();
    let before = points[ring[(i + n - 1) % n]];
    let here = points[ring[i]];
    let after = points[ring[(i + 1) % n]];
    if p == here {
        return true;
    }
    if turn(before, here, after) >= 0.0 {
        turn(before, here, p) >= 0.0 && turn(here, after, p) >= 0.0
    } else {
        turn(before, here, p) >= 0.0 || turn(here, after, p) >= 0.0
    }
}

/// What is left of a chain while its ears are clipped, with what each of its corners is.
struct Rest<'a> {
    points: &'a [Point],
    chain: &'a [usize],
    before: Vec<usize>,
    after: Vec<usize>,
    /// Places in the chain that are left.
    left: BTreeSet<usize>,
    /// Corners that span nothing, and ears.
    flat: BTreeSet<usize>,
    ears: BTreeSet<usize>,
    flatness: f64,
}

fn clip_ears(points: &[Point], chain: &[usize]) -> Vec<[usize; 3]> {
    let n = chain.len();
    let mut rest = Rest {
        points,
        chain,
        before: (0..n).map(|i| (i + n - 1) % n).collect(),
        after: (0..n).map(|i| (i + 1) % n).collect(),
        left: (0..n).collect(),
        flat: BTreeSet::new(),
        ears: BTreeSet::new(),
        flatness: flatness(points),
    };
    rest.look_at_all();
    let mut triangles = vec![];
    while rest.left.len() > 2 {
        let Some(i) = rest.next() else { break };
        if rest.area(i) > rest.flatness {
            triangles.push(rest.corner(i));
        }
        rest.take_out(i);
    }
    triangles
}

impl Rest<'_> {
    fn corner(&self, i: usize) -> [usize; 3] {
        [self.before[i], i, self.after[i]].map(|i| self.chain[i])
    }

    /// Twice the signed area of the triangle at a corner.
    fn area(&self, i: usize) -> f64 {
        let [a, b, c] = self.corner(i).map(|p| self.points[p]);
        turn(a, b, c)
    }

    /// A corner that spans nothing goes first: it is in the way of its neighbours.
    fn next(&mut self) -> Option<usize> {
        let found = |rest: &Self| rest.flat.first().or(rest.ears.first()).copied();
        found(self)
            .or_else(|| {
                // What was cut off may have lain in another corner, where chains touch.
                self.look_at_all();
                found(self)
            })
            // Only a ring that crosses itself gets here; the most open corner keeps the loss small.
            .or_else(|| {
                let open = |i: &usize, j: &usize| self.area(*i).total_cmp(&self.area(*j));
                self.left.iter().copied().max_by(open)
            })
    }

    fn take_out(&mut self, i: usize) {
        let (before, after) = (self.before[i], self.after[i]);
        self.after[before] = after;
        self.before[after] = before;
        for set in [&mut self.left, &mut self.flat, &mut self.ears] {
            set.remove(&i);
        }
        // No other corner changes: in a triangle that holds a corner a reflex one lies too, and what is taken out is none.
        self.look_at(before);
        self.look_at(after);
    }

    fn look_at_all(&mut self) {
        for i in self.left.clone() {
            self.look_at(i);
        }
    }

    fn look_at(&mut self, i: usize) {
        self.flat.remove(&i);
        self.ears.remove(&i);
        let area = self.area(i);
        if area.abs() <= self.flatness {
            self.flat.insert(i);
        } else if area > 0.0 && self.is_ear(i) {
            self.ears.insert(i);
        }
    }

    fn is_ear(&self, i: usize) -> bool {
        let [a, b, c] = self.corner(i).map(|p| self.points[p]);
        self.left.iter().all(|&i| {
            let p = self.points[self.chain[i]];
            p == a
                || p == b
                || p == c
                || turn(a, b, p) < 0.0
                || turn(b, c, p) < 0.0
                || turn(c, a, p) < 0.0
        })
    }
}

/// Twice the area under which a corner counts as straight: far below what double precision leaves of the polygon.
fn flatness(points: &[Point]) -> f64 {
    let reach = points
        .iter()
        .flat_map(|p| points.first().map(|&o| (*p - o).length()))
        .fold(0.0, f64::max);
    reach * reach * 1e-13
}

/// Twice the signed area of a triangle: positive when c is to the left of a → b.
fn turn(a: Point, b: Point, c: Point) -> f64 {
    (b - a).cross(c - a)
}

fn on_segment(a: Point, b: Point, p: Point) -> bool {
    let along = (p - a).dot(b - a);
    turn(a, b, p) == 0.0 && along > 0.0 && along < (b - a).dot(b - a)
}

/// The area that the triangles of a polygon must add up to: outer less holes.
pub fn polygon_area(outer: &[Point], holes: &[&[Point]]) -> f64 {
    ring::signed_area(outer) + holes.iter().map(|h| ring::signed_area(h)).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring_of(corners: &[(f64, f64)]) -> Vec<Point> {
        corners.iter().map(|&(x, y)| Point::new(x, y)).collect()
    }

    #[track_caller]
    fn covers(outer: &[(f64, f64)], holes: &[&[(f64, f64)]]) -> usize {
        let outer = ring_of(outer);
        let holes: Vec<Vec<Point>> = holes.iter().map(|h| ring_of(h)).collect();
        let holes: Vec<&[Point]> = holes.iter().map(Vec::as_slice).collect();
        let all: Vec<Point> = outer
            .iter()
            .chain(holes.iter().copied().flatten())
            .copied()
            .collect();
        let cut = triangulate(&outer, &holes);
        let sum: f64 = cut
            .iter()
            .map(|&[a, b, c]| {
                let area = turn(all[a], all[b], all[c]) / 2.0;
                assert!(area > 0.0, "a triangle is turned over");
                area
            })
            .sum();
        assert!((sum - polygon_area(&outer, &holes)).abs() < 1e-9, "{sum}");
        cut.len()
    }

    #[test]
    fn an_l_shape_is_four_triangles() {
        let l = [
            (0.0, 0.0),
            (4.0, 0.0),
            (4.0, 2.0),
            (2.0, 2.0),
            (2.0, 6.0),
            (0.0, 6.0),
        ];
        assert_eq!(covers(&l, &[]), 4);
    }

    #[test]
    fn a_point_on_a_straight_side_adds_no_triangle() {
        let box_with_point = [(0.0, 0.0), (2.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0)];
        assert_eq!(covers(&box_with_point, &[]), 2);
    }

    #[test]
    fn two_holes_are_left_out() {
        // n corners and h holes give n + 2h - 2 triangles: 4 + 4 + 4 corners, 2 holes.
        let triangles = covers(
            &[(0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0)],
            &[
                &[(1.0, 1.0), (1.0, 3.0), (3.0, 3.0), (3.0, 1.0)],
                &[(5.0, 4.0), (5.0, 7.0), (9.0, 7.0), (9.0, 4.0)],
            ],
        );
        assert_eq!(triangles, 14);
    }

    #[test]
    fn a_hole_may_touch_the_outline_in_a_corner() {
        covers(
            &[(0.0, 0.0), (6.0, 0.0), (6.0, 6.0), (0.0, 6.0)],
            &[&[(0.0, 0.0), (2.0, 3.0), (3.0, 2.0)]],
        );
    }

    #[test]
    fn a_hole_behind_a_long_wall_is_not_joined_through_it() {
        // The nearest corner of the outline to the upper hole is on the far side of the lower one.
        for u in [19.0, 20.0, 21.0] {
            covers(
                &[(0.0, 0.0), (u, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)],
                &[
                    &[(4.0, 2.0), (4.0, 3.0), (36.0, 3.0), (36.0, 2.0)],
                    &[(20.0, 3.5), (19.0, 5.0), (21.0, 5.0)],
                ],
            );
        }
    }

    #[test]
    fn holes_in_a_row_are_joined_to_each_other() {
        covers(
            &[(0.0, 0.0), (9.0, 0.0), (9.0, 3.0), (0.0, 3.0)],
            &[
                &[(1.0, 1.0), (1.0, 2.0), (2.0, 2.0), (2.0, 1.0)],
                &[(4.0, 1.0), (4.0, 2.0), (5.0, 2.0), (5.0, 1.0)],
                &[(7.0, 1.0), (7.0, 2.0), (8.0, 2.0), (8.0, 1.0)],
            ],
        );
    }

    #[test]
    fn a_field_of_skylights_is_cut_out() {
        let holes: Vec<Vec<(f64, f64)>> = (0..100)
            .map(|i| {
                let (x, y) = (f64::from(i % 10) * 4.0 + 1.0, f64::from(i / 10) * 4.0 + 1.0);
                vec![(x, y), (x, y + 2.0), (x + 2.0, y + 2.0), (x + 2.0, y)]
            })
            .collect();
        let holes: Vec<&[(f64, f64)]> = holes.iter().map(Vec::as_slice).collect();
        let roof = [(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)];
        // 4 + 400 corners and 100 holes; corners on one line with bridges may span nothing.
        assert!(covers(&roof, &holes) <= 4 + 400 + 2 * 100 - 2);
    }
}
