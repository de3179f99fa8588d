//! What is flashed to an opening: the sides that faces have on it, and walls that end at it.

use crate::geometry::{Plane, Point, Vector, ring};
use crate::roof::map::OpeningPart;
use crate::roof::{EdgeClass, Face, FaceId, Flank, Flashing, Opening, OpeningId, Roof, Side};
use crate::units::Length;

use super::faces::{common_stretch, side_ends};
use super::{LEAST_FT, ON_LINE_FT};

/// cos 45°: a side nearer to level than to the fall is apron or head, the rest are sides. One drawn at 45° is a side, wherever
/// its corners were rounded to: by this of a sine more.
const DIAGONAL: f64 = std::f64::consts::FRAC_1_SQRT_2 + 1e-4;

/// Where a side of an opening lies on a face; `out` points from the opening into the face.
fn flank(face: &Face, out: Vector) -> Flank {
    match face.fall().map(|fall| out.dot(fall)) {
        Some(down) if down > DIAGONAL => Flank::Below,
        Some(down) if down < -DIAGONAL => Flank::Above,
        // On a level face there is no above and below: all of it is upstand, told as sides.
        Some(_) | None => Flank::Beside,
    }
}

fn true_length(plane: Plane, a: Point, b: Point) -> f64 {
    a.distance(b).hypot(plane.height_at(a) - plane.height_at(b))
}

/// A stretch of flashing of an opening.
pub(super) type Stretch = (OpeningId, Flashing);

/// The stretches of an opening along which another face ends against it as against a wall: a cricket, whose own edge is
/// flashed as what it is. For the face that the opening is cut out of they are flashing all the same, such as the head behind
/// the cricket. Before anything is cut.
pub(super) fn at_walls(
    roof: &Roof,
    id: OpeningId,
    outline: &[Point],
    parts: &[(FaceId, &OpeningPart)],
) -> Vec<Stretch> {
    let is_wall = |class| matches!(class, EdgeClass::Headwall | EdgeClass::Sidewall);
    let mut all = Vec::new();
    for &(face, part) in parts {
        for (a, b) in ring::sides(&part.ring).filter(|&(a, b)| on_ring(outline, a, b)) {
            // The ring is counter-clockwise, so its outside is on the right.
            let out = (b - a).unit().map_or(Vector::default(), |t| -t.turn_left());
            let plane = roof.face(face).plane;
            let (mut length, mut up) = (0.0, 0.0);
            for (from, to) in roof
                .edges
                .iter()
                .filter(|e| is_wall(e.class) && e.faces.len() == 1 && e.faces[0] != face)
                .filter_map(|e| common_stretch((a, b), (e.start.plan(), e.end.plan())))
            {
                let stretch = true_length(plane, from, to);
                let (p, q) = (plane.height_at(from), plane.height_at(to));
                length += stretch;
                up += plane.length_to_rise((q - p).abs()).unwrap_or(stretch);
            }
            if length > LEAST_FT {
                let flashing = Flashing {
                    face,
                    flank: flank(roof.face(face), out),
                    length: Length::feet(length),
                    up: Length::feet(up),
                };
                all.push((id, flashing));
            }
        }
    }
    all
}

/// How wide the water of a face runs on to what lies on it of an opening, square to its fall, in plan feet: rounds and slants
/// count by how far they reach across.
pub(super) fn meets_water_ft(face: &Face, outline: &[Point], part: &OpeningPart) -> f64 {
    let Some(fall) = face.fall() else { return 0.0 };
    // The ring is counter-clockwise: a side that runs to the right as one looks down the slope has its outside above it.
    ring::sides(&part.ring)
        .filter(|&(a, b)| on_ring(outline, a, b))
        .map(|(a, b)| (a - b).dot(fall.turn_left()).max(0.0))
        .sum()
}

fn on_ring(points: &[Point], a: Point, b: Point) -> bool {
    let near = |p, q, at: Point| at.distance_to_segment(p, q) < ON_LINE_FT;
    ring::sides(points).any(|(p, q)| near(p, q, a) && near(p, q, b))
}

/// Measures the flashing of every opening on the faces that end at it.
pub(super) fn measure(roof: &mut Roof, walls: &[Stretch]) {
    let mut all: Vec<Stretch> = Vec::new();
    for (at, face) in roof.faces.iter().enumerate() {
        for ring in std::iter::once(&face.outline).chain(&face.holes) {
            for run in runs(face, ring) {
                let flashing = Flashing {
                    face: FaceId(at),
                    flank: run.flank,
                    length: Length::feet(run.length),
                    up: Length::feet(
                        face.plane
                            .length_to_rise(run.heights.1 - run.heights.0)
                            .unwrap_or(run.length),
                    ),
                };
                all.push((run.opening, flashing));
            }
        }
    }
    for (id, flashing) in all.into_iter().chain(walls.iter().copied()) {
        if let Some(opening) = roof.openings.get_mut(id.0) {
            let sum = match flashing.flank {
                Flank::Below => &mut opening.apron,
                Flank::Beside => &mut opening.sides,
                Flank::Above => &mut opening.head,
            };
            *sum += flashing.length;
            opening.flashing.push(flashing);
        }
    }
    for opening in &mut roof.openings {
        opening.flashing.sort_by_key(|f| f.flank);
    }
}

/// Sides of a ring, one after the other, that are flashed as one: those of one opening on one flank.
struct Run {
    opening: OpeningId,
    flank: Flank,
    /// Which way it goes along the ring: beside an opening the left and the right side are two, even where they meet.
    along: Going,
    /// Its first side and its last one.
    sides: (usize, usize),
    length: f64,
    /// Its lowest and its highest point.
    heights: (f64, f64),
}

/// Which way a run goes as the ring does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Going {
    Up,
    Down,
    /// On a level face.
    Level,
}

impl Run {
    /// The run of both, where the second goes on where the first one ends; a curve is drawn as many straight sides, and metal
    /// is bent along it.
    fn joined(&self, next: &Self, count: usize) -> Option<Self> {
        let follows = (self.sides.1 + 1) % count == next.sides.0;
        let same = self.opening == next.opening && self.flank == next.flank;
        let beside = self.flank != Flank::Beside || self.along == next.along;
        (follows && same && beside && self.along != Going::Level).then(|| Self {
            sides: (self.sides.0, next.sides.1),
            length: self.length + next.length,
            heights: (
                self.heights.0.min(next.heights.0),
                self.heights.1.max(next.heights.1),
            ),
            ..*self
        })
    }
}

/// The runs of a ring along openings, round corners too where the flank stays the same.
fn runs(face: &Face, ring: &crate::roof::Ring) -> Vec<Run> {
    let count = ring.sides.len();
    let mut runs: Vec<Run> = Vec::new();
    for run in straight_runs(face, ring) {
        match runs.last().and_then(|last| last.joined(&run, count)) {
            Some(both) => {
                runs.pop();
                runs.push(both);
            }
            None => runs.push(run),
        }
    }
    // The walk began at a corner of the ring, where a curve may have been parted.
    if let [first, .., last] = runs.as_slice()
        && let Some(both) = last.joined(first, count)
    {
        runs.pop();
        runs[0] = both;
    }
    runs.retain(|run| run.length > LEAST_FT);
    runs
}

/// The sides of a ring that lie on openings, those that go on in one straight line as one.
fn straight_runs(face: &Face, ring: &crate::roof::Ring) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    let count = ring.sides.len();
    // A run may go on past the ring's first corner: so the walk begins at a corner where something ends.
    let start = (0..count)
        .find(|&i| !goes_on(ring, (i + count - 1) % count, i))
        .unwrap_or(0);
    for i in (0..count).map(|step| (start + step) % count) {
        let Side::Opening(opening) = ring.sides[i] else {
            continue;
        };
        let (a, b) = side_ends(ring, i);
        let Some(along) = (b - a).unit() else {
            continue;
        };
        let length = true_length(face.plane, a, b);
        let (p, q) = (face.plane.height_at(a), face.plane.height_at(b));
        match runs.last_mut() {
            Some(run) if (run.sides.1 + 1) % count == i && goes_on(ring, run.sides.1, i) => {
                run.length += length;
                run.sides.1 = i;
                run.heights = (run.heights.0.min(p).min(q), run.heights.1.max(p).max(q));
            }
            _ => runs.push(Run {
                opening,
                // The face lies on the left of its sides.
                flank: flank(face, along.turn_left()),
                along: match face.fall().map(|fall| along.dot(fall)) {
                    None => Going::Level,
                    Some(down) if down > 0.0 => Going::Down,
                    Some(_) => Going::Up,
                },
                sides: (i, i),
                length,
                heights: (p.min(q), p.max(q)),
            }),
        }
    }
    runs
}

/// Whether a side lies on the same opening as the one before it, in one line with it.
fn goes_on(ring: &crate::roof::Ring, before: usize, side: usize) -> bool {
    let same = ring.sides[before] == ring.sides[side];
    let direction = |i| {
        let (a, b) = side_ends(ring, i);
        (b - a).unit()
    };
    let bent = match (direction(before), direction(side)) {
        (Some(a), Some(b)) => a.cross(b).abs() > BENT_SIN || a.dot(b) < 0.0,
        _ => false,
    };
    same && matches!(ring.sides[side], Side::Opening(_)) && !bent
}

/// Sides of an opening turn by more than this, as a sine (half a degree): metal is bent there.
const BENT_SIN: f64 = 0.0087;

impl Opening {
    /// How much flashing it has on a flank.
    pub fn flashed(&self, flank: Flank) -> impl Iterator<Item = &Flashing> {
        self.flashing.iter().filter(move |f| f.flank == flank)
    }
}
