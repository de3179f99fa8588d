//! Outlines for the tests and benches of outline roofs: families of awkward shapes, and random ones from a seed.

use std::collections::{BTreeMap, BTreeSet};

use eavewright::geometry::Point;
use eavewright::roof::outline::{OutlineInput, OutlineSide};
use eavewright::units::Pitch;

/// A small generator of random numbers: xorshift64*, from memory.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }
    pub(crate) fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }
    pub(crate) fn below(&mut self, n: usize) -> usize {
        ((self.next() >> 33) as usize) % n
    }
    /// In [0, 1).
    pub(crate) fn fraction(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}

pub(crate) type Rings = Vec<Vec<Point>>;

/// One ring from corners.
pub(crate) fn ring(corners: &[(f64, f64)]) -> Vec<Point> {
    corners.iter().map(|&(x, y)| Point::new(x, y)).collect()
}

/// Eaves of one pitch in 12 all round.
pub(crate) fn one_pitch(rings: &Rings, in_12: f64) -> OutlineInput {
    with_pitches(rings, |_| Some(in_12))
}

/// A pitch in 12 for every side by its number; `None` is a gable.
pub(crate) fn with_pitches(
    rings: &Rings,
    mut pitch: impl FnMut(usize) -> Option<f64>,
) -> OutlineInput {
    let mut number = 0;
    let rings = rings
        .iter()
        .map(|ring| {
            ring.iter()
                .map(|&start| {
                    number += 1;
                    match pitch(number - 1) {
                        Some(rise) => OutlineSide::eave(start, Pitch::in_12(rise)),
                        None => OutlineSide::gable(start),
                    }
                })
                .collect()
        })
        .collect();
    OutlineInput { rings }
}

/// Follows the border of a set of cells counter-clockwise; one corner at every turn.
fn border(cells: &BTreeSet<(i32, i32)>) -> Vec<Vec<(i32, i32)>> {
    // Unit edges with the cells on their left, by where they start.
    let mut edges: BTreeMap<(i32, i32), (i32, i32)> = BTreeMap::new();
    for &(x, y) in cells {
        let sides = [
            ((x, y - 1), (x, y), (x + 1, y)),
            ((x + 1, y), (x + 1, y), (x + 1, y + 1)),
            ((x, y + 1), (x + 1, y + 1), (x, y + 1)),
            ((x - 1, y), (x, y + 1), (x, y)),
        ];
        for (beyond, from, to) in sides {
            if !cells.contains(&beyond) {
                edges.insert(from, to);
            }
        }
    }
    let mut rings = Vec::new();
    while let Some((&start, _)) = edges.first_key_value() {
        let mut ring = Vec::new();
        let mut at = start;
        while let Some(to) = edges.remove(&at) {
            ring.push(at);
            at = to;
        }
        let n = ring.len();
        let turns: Vec<(i32, i32)> = (0..n)
            .filter(|&i| {
                let (a, b, c) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
                (b.0 - a.0) * (c.1 - b.1) != (b.1 - a.1) * (c.0 - b.0)
            })
            .map(|i| ring[i])
            .collect();
        rings.push(turns);
    }
    rings
}

/// Whether a cell can be added so that the set stays one piece without holes or touching corners.
fn keeps_simple(cells: &BTreeSet<(i32, i32)>, (x, y): (i32, i32)) -> bool {
    const ROUND: [(i32, i32); 8] = [
        (1, 0),
        (1, 1),
        (0, 1),
        (-1, 1),
        (-1, 0),
        (-1, -1),
        (0, -1),
        (1, -1),
    ];
    let taken = ROUND.map(|(dx, dy)| cells.contains(&(x + dx, y + dy)));
    let changes = (0..8).filter(|&i| taken[i] != taken[(i + 1) % 8]).count();
    // A corner neighbour without an edge neighbour beside it would touch at a point.
    let touches = [1, 3, 5, 7]
        .iter()
        .any(|&i| taken[i] && !taken[i - 1] && !taken[(i + 1) % 8]);
    let edge_neighbours = [0, 2, 4, 6].iter().filter(|&&i| taken[i]).count();
    changes == 2 && !touches && edge_neighbours > 0
}

/// A random orthogonal outline with about `sides` sides, grown cell by cell; `even` keeps its grid of 10 ft, else the
/// grid lines are random multiples of 1/64 ft.
pub(crate) fn orthogonal(sides: usize, seed: u64, even: bool) -> Rings {
    let mut dice = Dice::new(seed);
    let mut cells = BTreeSet::from([(0, 0)]);
    let mut frontier: Vec<(i32, i32)> = vec![(1, 0), (-1, 0), (0, 1), (0, -1)];
    // About one and a half corners for every cell.
    let mut corners = 4;
    while corners < sides && !frontier.is_empty() {
        let at = dice.below(frontier.len());
        let cell = frontier.swap_remove(at);
        if cells.contains(&cell) || !keeps_simple(&cells, cell) {
            continue;
        }
        corners = (corners as i64 + corner_change(&cells, cell)) as usize;
        cells.insert(cell);
        let (x, y) = cell;
        frontier.extend([(x + 1, y), (x - 1, y), (x, y + 1), (x, y - 1)]);
    }
    let mut line = |lines: &mut BTreeMap<i32, f64>, from: i32, to: i32| {
        let mut at = 0.0;
        for i in from..=to {
            lines.insert(i, if even { 10.0 * f64::from(i) } else { at });
            at += 3.0 + dice.below(12 * 64) as f64 / 64.0;
        }
    };
    let low = |f: fn(&(i32, i32)) -> i32| cells.iter().map(f).min().unwrap_or(0);
    let high = |f: fn(&(i32, i32)) -> i32| cells.iter().map(f).max().unwrap_or(0) + 1;
    let (mut xs, mut ys) = (BTreeMap::new(), BTreeMap::new());
    line(&mut xs, low(|c| c.0), high(|c| c.0));
    line(&mut ys, low(|c| c.1), high(|c| c.1));
    border(&cells)
        .into_iter()
        .map(|ring| ring.iter().map(|(x, y)| Point::new(xs[x], ys[y])).collect())
        .collect()
}

/// By how many corners the border of a set of cells grows with one more.
fn corner_change(cells: &BTreeSet<(i32, i32)>, (x, y): (i32, i32)) -> i64 {
    let count = |with: bool| {
        let has = |cx: i32, cy: i32| (with && (cx, cy) == (x, y)) || cells.contains(&(cx, cy));
        let mut corners = 0;
        for (px, py) in [(x, y), (x + 1, y), (x, y + 1), (x + 1, y + 1)] {
            let around = [
                has(px - 1, py - 1),
                has(px, py - 1),
                has(px - 1, py),
                has(px, py),
            ];
            let taken = around.iter().filter(|&&t| t).count();
            corners += i64::from(taken == 1 || taken == 3);
        }
        corners
    };
    count(true) - count(false)
}

/// A random outline in general position with about `sides` sides: triangles of a shaken grid, grown one by one. All
/// corners are multiples of 1/256 ft.
pub(crate) fn general(sides: usize, seed: u64) -> Rings {
    type Node = (i32, i32);
    let mut dice = Dice::new(seed);
    let mut places: BTreeMap<Node, Point> = BTreeMap::new();
    let mut place = |node: Node, dice: &mut Dice| {
        *places.entry(node).or_insert_with(|| {
            let shake = |dice: &mut Dice| (dice.below(5 * 256) as f64 - 2.5 * 256.0) / 256.0;
            Point::new(
                12.0 * f64::from(node.0) + shake(dice),
                12.0 * f64::from(node.1) + shake(dice),
            )
        })
    };
    // The ring as links, by node.
    let mut next: BTreeMap<Node, Node> =
        BTreeMap::from([((0, 0), (1, 0)), ((1, 0), (1, 1)), ((1, 1), (0, 0))]);
    let mut open: Vec<(Node, Node)> = next.iter().map(|(&a, &b)| (a, b)).collect();
    while next.len() < sides && !open.is_empty() {
        let at = dice.below(open.len());
        let (a, b) = open.swap_remove(at);
        if next.get(&a) != Some(&b) {
            continue;
        }
        // The third corner of the triangle to the right of a → b in the grid of squares cut from (0, 0) to (1, 1).
        let c = match (b.0 - a.0, b.1 - a.1) {
            (1, 0) => (a.0, a.1 - 1),
            (0, 1) => (a.0 + 1, a.1 + 1),
            (-1, -1) => (a.0 - 1, a.1),
            (-1, 0) => (a.0, a.1 + 1),
            (0, -1) => (a.0 - 1, a.1 - 1),
            (1, 1) => (a.0 + 1, a.1),
            _ => continue,
        };
        if next.contains_key(&c) {
            continue;
        }
        next.insert(a, c);
        next.insert(c, b);
        open.push((a, c));
        open.push((c, b));
    }
    let start = (0, 0);
    let mut corners = vec![place(start, &mut dice)];
    let mut at = next[&start];
    while at != start {
        corners.push(place(at, &mut dice));
        at = next[&at];
    }
    vec![corners]
}

/// A comb: teeth of 4 ft by `long`, 4 ft apart, on a back 10 ft deep.
pub(crate) fn comb(teeth: usize, long: f64) -> Rings {
    let mut corners = vec![(0.0, 0.0), (8.0 * teeth as f64 - 4.0, 0.0)];
    for i in (0..teeth).rev() {
        let x = 8.0 * i as f64;
        corners.extend([(x + 4.0, 10.0 + long), (x, 10.0 + long)]);
        if i > 0 {
            corners.extend([(x, 10.0), (x - 4.0, 10.0)]);
        }
    }
    vec![ring(&corners)]
}

/// A square block with `n` × `n` square courtyards of 10 ft, 10 ft apart.
pub(crate) fn courtyards(n: usize) -> Rings {
    let side = 20.0 * n as f64 + 10.0;
    let mut rings = vec![ring(&[(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)])];
    for i in 0..n {
        for j in 0..n {
            let (x, y) = (10.0 + 20.0 * i as f64, 10.0 + 20.0 * j as f64);
            rings.push(ring(&[
                (x, y),
                (x, y + 10.0),
                (x + 10.0, y + 10.0),
                (x + 10.0, y),
            ]));
        }
    }
    rings
}

/// A square spiral corridor, 10 ft wide with 6 ft between its turns.
pub(crate) fn spiral(turns: usize) -> Rings {
    let (wide, gap) = (10.0, 6.0);
    let pitch = wide + gap;
    let (mut outer, mut inner) = (Vec::new(), Vec::new());
    for i in 0..turns {
        let d = pitch * i as f64;
        let size = 2.0 * pitch * turns as f64 + wide;
        let (low, high) = (d, size - d);
        outer.extend([
            (low - if i == 0 { 0.0 } else { pitch }, low),
            (high, low),
            (high, high),
            (low, high),
        ]);
        inner.extend([
            (
                low - if i == 0 { 0.0 } else { pitch } + wide * f64::from(u8::from(i > 0)),
                low + wide,
            ),
            (high - wide, low + wide),
            (high - wide, high - wide),
            (low + wide, high - wide),
        ]);
    }
    // Ends: the first corner square to the corridor, the last cut straight across.
    let d = pitch * turns as f64;
    outer.push((d - pitch, d));
    inner.push((d - pitch + wide, d));
    inner[0] = (0.0, wide);
    let corners: Vec<(f64, f64)> = outer.into_iter().chain(inner.into_iter().rev()).collect();
    vec![ring(&corners)]
}

/// A star with `points` points between two radii.
pub(crate) fn star(points: usize, inner: f64, outer: f64) -> Rings {
    let corners: Vec<(f64, f64)> = (0..2 * points)
        .map(|i| {
            let angle = std::f64::consts::PI * i as f64 / points as f64;
            let r = if i % 2 == 0 { outer } else { inner };
            (r * angle.cos(), r * angle.sin())
        })
        .collect();
    vec![ring(&corners)]
}

/// A regular polygon of a radius.
pub(crate) fn regular(sides: usize, radius: f64) -> Rings {
    let corners: Vec<(f64, f64)> = (0..sides)
        .map(|i| {
            let angle = std::f64::consts::TAU * i as f64 / sides as f64;
            (radius * angle.cos(), radius * angle.sin())
        })
        .collect();
    vec![ring(&corners)]
}

/// A plus of four equal arms.
pub(crate) fn plus(arm: f64, wide: f64) -> Rings {
    let (a, b, c) = (arm, arm + wide, 2.0 * arm + wide);
    vec![ring(&[
        (a, 0.0),
        (b, 0.0),
        (b, a),
        (c, a),
        (c, b),
        (b, b),
        (b, c),
        (a, c),
        (a, b),
        (0.0, b),
        (0.0, a),
        (a, a),
    ])]
}

/// An H with two legs and a bar.
pub(crate) fn h_shape() -> Rings {
    vec![ring(&[
        (0.0, 0.0),
        (20.0, 0.0),
        (20.0, 20.0),
        (40.0, 20.0),
        (40.0, 0.0),
        (60.0, 0.0),
        (60.0, 60.0),
        (40.0, 60.0),
        (40.0, 40.0),
        (20.0, 40.0),
        (20.0, 60.0),
        (0.0, 60.0),
    ])]
}

/// A staircase of equal steps up one side of a right angle.
pub(crate) fn staircase(steps: usize) -> Rings {
    let mut corners = vec![(0.0, 0.0), (10.0 * steps as f64, 0.0)];
    for i in (0..steps).rev() {
        let y = 10.0 * (steps - i) as f64;
        corners.push((10.0 * (i + 1) as f64, y));
        corners.push((10.0 * i as f64, y));
    }
    let mut seen: Vec<(f64, f64)> = Vec::new();
    for corner in corners {
        if seen.last() != Some(&corner) {
            seen.push(corner);
        }
    }
    vec![ring(&seen)]
}

/// Moves every corner.
pub(crate) fn moved(rings: &Rings, f: impl Fn(Point) -> Point) -> Rings {
    rings
        .iter()
        .map(|ring| ring.iter().map(|&p| f(p)).collect())
        .collect()
}

/// Turned about the origin.
pub(crate) fn turned(rings: &Rings, degrees: f64) -> Rings {
    let (sin, cos) = degrees.to_radians().sin_cos();
    moved(rings, |p| {
        Point::new(cos * p.x - sin * p.y, sin * p.x + cos * p.y)
    })
}
