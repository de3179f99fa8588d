//! Curves in the drawing's root user space, and what becomes of them: straight pieces.

use std::f64::consts::TAU;

use crate::geometry::{Point, Vector};

/// One piece of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Piece {
    /// A straight piece to a point.
    Line(Point),
    /// A cubic with its two handles to a point.
    Cubic(Point, Point, Point),
}

/// One connected outline.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Outline {
    pub(super) start: Point,
    pub(super) pieces: Vec<Piece>,
    pub(super) closed: bool,
}

/// A chain of points that an outline became.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Chain {
    pub(super) points: Vec<Point>,
    pub(super) closed: bool,
    pub(super) curved: bool,
}

impl Piece {
    pub(super) fn end(self) -> Point {
        match self {
            Self::Line(end) | Self::Cubic(_, _, end) => end,
        }
    }
}

impl Outline {
    /// The closed outline through the points of a ring.
    pub(super) fn of_ring(ring: Vec<Point>) -> Option<Self> {
        let mut points = ring.into_iter();
        Some(Self {
            start: points.next()?,
            pieces: points.map(Piece::Line).collect(),
            closed: true,
        })
    }

    /// As straight pieces that nowhere lie further than `tolerance` from the curve. Points closer than `same` are one.
    pub(super) fn flatten(&self, tolerance: f64, same: f64) -> Chain {
        let mut points = Vec::with_capacity(self.pieces.len() + 1);
        points.push(self.start);
        let mut chain = Chain {
            points,
            closed: self.closed,
            curved: false,
        };
        let mut from = self.start;
        for &piece in &self.pieces {
            if let Piece::Cubic(a, b, to) = piece
                && !is_straight(from, a, b, to, tolerance)
            {
                chain.curved = true;
                flatten_cubic([from, a, b, to], tolerance, &mut chain.points);
            }
            chain.points.push(piece.end());
            from = piece.end();
        }
        chain.points.dedup_by(|b, a| a.distance(*b) <= same);
        if chain.points.len() > 2 && chain.points[0].distance(from) <= same {
            chain.points.pop();
            chain.closed = true;
        }
        if chain.points.len() < 3 {
            chain.closed = false;
        }
        chain
    }

    /// The points between its pieces, and its ends.
    pub(super) fn corners(&self) -> impl Iterator<Item = Point> + '_ {
        std::iter::once(self.start).chain(self.pieces.iter().map(|p| p.end()))
    }

    /// Its pieces as chords, with a closing one where it is closed or `as_fill`.
    pub(super) fn chords(&self, as_fill: bool) -> impl Iterator<Item = (Point, Point)> + '_ {
        let closes = (self.closed || as_fill) && self.pieces.len() > 1;
        let closing = closes.then_some(self.start);
        let ends = self.pieces.iter().map(|p| p.end()).chain(closing);
        let starts = self.corners();
        starts.zip(ends).filter(|(a, b)| a != b)
    }

    /// Whether it can hold a fill: a single straight line cannot.
    pub(super) fn may_hold_a_fill(&self) -> bool {
        self.pieces.len() > 1 || matches!(self.pieces[..], [Piece::Cubic(..)])
    }

    /// The corners and the handles.
    pub(super) fn all_points(&self) -> impl Iterator<Item = Point> + '_ {
        std::iter::once(self.start).chain(self.pieces.iter().flat_map(|p| match *p {
            Piece::Line(end) => [end, end, end],
            Piece::Cubic(a, b, end) => [a, b, end],
        }))
    }
}

/// Whether a cubic is a straight line: its handles lie beside the chord and between its ends.
fn is_straight(from: Point, a: Point, b: Point, to: Point, tolerance: f64) -> bool {
    let Some(u) = (to - from).unit() else {
        return a.distance(from) <= tolerance && b.distance(from) <= tolerance;
    };
    let length = from.distance(to);
    // The curve goes no further from the chord than three quarters of its handles do.
    let reach = tolerance.min(length * 0.02) / 0.75;
    [a, b].iter().all(|&p| {
        let along = (p - from).dot(u);
        u.cross(p - from).abs() <= reach && along >= -reach && along <= length + reach
    })
}

fn flatten_cubic(cubic: [Point; 4], tolerance: f64, out: &mut Vec<Point>) {
    if let Some(arc) = Arc::of(cubic) {
        arc.flatten(tolerance, out);
        return;
    }
    let [p, a, b, q] = cubic;
    // The second differences bound how far a cubic strays from n equal chords: |B''|max / 8 n².
    let bend = |x: Point, y: Point, z: Point| ((x - y) + (z - y)).length();
    let second = 6.0 * bend(p, a, b).max(bend(a, b, q));
    let n = (second / (8.0 * tolerance)).sqrt().ceil().clamp(2.0, 500.0) as usize;
    for i in 1..n {
        out.push(on_cubic(cubic, i as f64 / n as f64));
    }
}

fn on_cubic([p, a, b, q]: [Point; 4], t: f64) -> Point {
    let (ab, pa, bq) = (a.lerp(b, t), p.lerp(a, t), b.lerp(q, t));
    pa.lerp(ab, t).lerp(ab.lerp(bq, t), t)
}

/// A cubic that draws a piece of a circle.
struct Arc {
    centre: Point,
    radius: f64,
    from_rad: f64,
    sweep_rad: f64,
}

impl Arc {
    fn of(cubic: [Point; 4]) -> Option<Self> {
        let [p, a, b, q] = cubic;
        let (start, end) = ((a - p).unit()?, (q - b).unit()?);
        let turn = start.cross(end);
        // The normals at both ends meet in the centre.
        if turn.abs() < 1e-3 && start.dot(end) > 0.0 {
            return None;
        }
        let (n, m) = (start.turn_left(), end.turn_left());
        let across = n.cross(m);
        let chord = q - p;
        let signed = if across.abs() > 1e-6 {
            chord.cross(m) / across
        } else {
            chord.dot(n) / 2.0
        };
        let centre = p + n * signed;
        let radius = signed.abs();
        // The usual four-cubic circle strays by 2.7 in 10,000 of the radius; files round coordinates as well.
        let near = |point: Point| (point.distance(centre) / radius - 1.0).abs() < 2e-3;
        let fits =
            radius > 0.0 && near(q) && [0.25, 0.5, 0.75].iter().all(|&t| near(on_cubic(cubic, t)));
        if !fits {
            return None;
        }
        let angle = |v: Vector| v.y.atan2(v.x);
        let from_rad = angle(p - centre);
        let mut sweep_rad = (angle(q - centre) - from_rad).rem_euclid(TAU);
        if signed < 0.0 {
            sweep_rad -= TAU;
        }
        (sweep_rad.abs() < 0.75 * TAU).then_some(Self {
            centre,
            radius,
            from_rad,
            sweep_rad,
        })
    }

    /// Points at whole steps of the full turn, so that two arcs of one circle, cut at different places, share them.
    fn flatten(&self, tolerance: f64, out: &mut Vec<Point>) {
        let ratio = (1.0 - tolerance / self.radius).clamp(-1.0, 1.0);
        let needed = TAU / (2.0 * ratio.acos()).max(1e-3);
        let steps = 2.0_f64.powi(needed.log2().ceil().clamp(3.0, 12.0) as i32);
        let step = TAU / steps;
        let forward = self.sweep_rad > 0.0;
        let (low, high) = if forward {
            (self.from_rad, self.from_rad + self.sweep_rad)
        } else {
            (self.from_rad + self.sweep_rad, self.from_rad)
        };
        // Points next to the arc's own ends would make tiny pieces.
        let margin = step * 0.05;
        let first = ((low + margin) / step).ceil() as i64;
        let last = ((high - margin) / step).floor() as i64;
        let at = |k: i64| {
            let (sin, cos) = (k as f64 * step).sin_cos();
            self.centre + Vector::new(cos, sin) * self.radius
        };
        if forward {
            out.extend((first..=last).map(at));
        } else {
            out.extend((first..=last).rev().map(at));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::ring;

    const KAPPA: f64 = 0.552_284_749_8;

    fn quarter(from_deg: f64) -> (Point, Piece) {
        let at = |deg: f64| Vector::new(deg.to_radians().cos(), deg.to_radians().sin()) * 5.0;
        let (a, b) = (at(from_deg), at(from_deg + 90.0));
        let o = Point::new(30.0, 20.0);
        let piece = Piece::Cubic(o + a + b * KAPPA, o + b + a * KAPPA, o + b);
        (o + a, piece)
    }

    #[test]
    fn a_round_turret_keeps_its_area() {
        let circle = Outline {
            start: quarter(0.0).0,
            pieces: (0..4).map(|i| quarter(90.0 * f64::from(i)).1).collect(),
            closed: true,
        };
        let chain = circle.flatten(0.002, 1e-9);
        assert!(chain.closed && chain.curved);
        let area = ring::signed_area(&chain.points).abs();
        let exact = 25.0 * std::f64::consts::PI;
        assert!((area / exact - 1.0).abs() < 1e-3, "{area} for {exact}");
    }

    #[test]
    fn two_arcs_of_one_circle_share_their_points() {
        let (a, first) = quarter(0.0);
        let (b, second) = quarter(33.0);
        let flatten = |start, piece| {
            Outline {
                start,
                pieces: vec![piece],
                closed: false,
            }
            .flatten(0.002, 1e-9)
            .points
        };
        let (one, two) = (flatten(a, first), flatten(b, second));
        let shared = one[1..one.len() - 1]
            .iter()
            .filter(|p| two.iter().any(|q| q.distance(**p) < 1e-9))
            .count();
        assert!(shared > 5, "{shared} points are shared");
    }

    #[test]
    fn a_straight_line_drawn_as_a_curve_is_a_line() {
        let line = Outline {
            start: Point::new(0.0, 0.0),
            pieces: vec![Piece::Cubic(
                Point::new(0.0, 0.0),
                Point::new(9.0, 3.0),
                Point::new(9.0, 3.0),
            )],
            closed: false,
        };
        let chain = line.flatten(0.002, 1e-9);
        assert_eq!(chain.points.len(), 2);
        assert!(!chain.curved);
    }
}
