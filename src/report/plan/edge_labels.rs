//! The length of every edge, with the word for its class: along the edge where it fits, at the end of a leader where
//! it does not.

use super::Scope;
use super::chain::Chain;
use super::line_types;
use super::linework::roof_side;
use super::place::{Field, LINE_CLEARANCE, Slanted};
use super::scale::Projection;
use crate::geometry::{Point, Vector, ring};
use crate::report::Report;
use crate::report::canvas::{Align, Canvas, Layer, Text, TextStyle};
use crate::roof::EdgeClass;

/// From the line to the baseline of a text above it, beyond what the line type reaches.
const BASELINE_OFF: f64 = 1.2;
/// A text takes at most this share of its edge.
const SHARE_OF_EDGE: f64 = 0.94;
/// Outline that keeps small figures alive in a copy.
const OUTLINE: f64 = 0.09;

/// A leader crosses at most so many lines: one that runs over half the roof leads nobody.
const MOST_CROSSED: usize = 1;

/// Labels what it can; returns the chains that found no place and are not drawn larger elsewhere.
pub(super) fn draw(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    (scope, chains): (&Scope, Vec<Chain>),
    projection: &Projection,
    field: &mut Field,
    height: f64,
) -> Vec<Chain> {
    let label_of = |chain: &Chain| {
        let mut label = Label::new(report, chain, projection, height);
        label.narrower = narrower(report, chain, projection);
        let beside = beside_in_step(scope, chain, projection);
        if !beside.is_empty() {
            label.keep_to_own_side(&beside);
        }
        label
    };
    let mut waiting = Vec::new();
    // The tightest first: a long edge finds another place along itself, a short one does not.
    let mut order = chains;
    order.sort_by(|a, b| a.plan_ft.total_cmp(&b.plan_ft));
    for chain in order {
        let label = label_of(&chain);
        match label.along_edge(canvas, field) {
            Some(text) => put(canvas, field, text),
            None if scope.is_elsewhere([chain.start, chain.end].iter().map(|p| p.plan())) => {}
            None => waiting.push(chain),
        }
    }
    let mut unplaced = Vec::new();
    for chain in waiting {
        match label_of(&chain).with_leader(canvas, field) {
            Some((text, from, to)) => {
                canvas.on(Layer::Leaders);
                canvas.line(from, to, line_types::THIN_LINE);
                field.add_line(from, to, line_types::THIN_LINE.width);
                put(canvas, field, text);
            }
            None => unplaced.push(chain),
        }
    }
    unplaced
}

fn put(canvas: &mut Canvas<'_>, field: &mut Field, text: Text) {
    field.add_box(Slanted::of(&text));
    canvas.on(Layer::EdgeLabels);
    canvas.put_text(text);
}

/// What an edge says: `hip 18′-9⅛″`; `eave 300′-0″ in all` where a part of it is drawn.
pub(super) fn words(report: &Report<'_>, chain: &Chain) -> String {
    let length = report.units().length(chain.true_ft);
    let whole = if chain.is_cut { " in all" } else { "" };
    format!("{} {length}{whole}", chain.class.words())
}

/// Edges nearer than this on paper are one line to the eye, in mm.
const ONE_LINE: f64 = 0.4;

/// The classes of other edges that run along this edge of one face, as where a lower roof meets the eave of a higher one:
/// beside such a line only the side tells whose length it is.
fn beside_in_step(scope: &Scope, chain: &Chain, projection: &Projection) -> Vec<EdgeClass> {
    let [a, b] = [chain.start, chain.end].map(|p| projection.paper(p.plan()));
    let Some(along) = (b - a).unit().filter(|_| chain.faces.len() == 1) else {
        return Vec::new();
    };
    let shares = |other: &Chain| {
        let [p, q] = [other.start, other.end].map(|p| projection.paper(p.plan()));
        let (p, q) = if (q - p).dot(along) > 0.0 {
            (p, q)
        } else {
            (q, p)
        };
        let (from, to) = ((p - a).dot(along).max(0.0), (q - a).dot(along));
        let to = to.min(a.distance(b));
        // Where both run: as near at its start as at its end.
        let off = |t: f64| {
            let share = (t - (p - a).dot(along)) / (q - p).dot(along);
            (p.lerp(q, share) - a).cross(along).abs()
        };
        to - from > ONE_LINE && off(from) < ONE_LINE && off(to) < ONE_LINE
    };
    let others = scope.chains.iter().filter(|c| c.faces != chain.faces);
    others.filter(|c| shares(c)).map(|c| c.class).collect()
}

/// The outlines on paper of other roofs that are no wider along this edge of one face than the edge is, as a porch under an
/// eave: inside one of them the edge's length would be read as that of the porch.
fn narrower(report: &Report<'_>, chain: &Chain, projection: &Projection) -> Vec<Vec<Point>> {
    let [a, b] = [chain.start, chain.end].map(|p| projection.paper(p.plan()));
    let Some(along) = (b - a).unit().filter(|_| chain.faces.len() == 1) else {
        return Vec::new();
    };
    let is_narrower = |outline: &Vec<Point>| {
        let along_it = outline.iter().map(|p| (*p - a).dot(along));
        let (low, high) = along_it.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), t| {
            (low.min(t), high.max(t))
        });
        high - low < a.distance(b) + ONE_LINE
    };
    let others = (report.roof().faces.iter().enumerate())
        .filter(|(i, _)| chain.faces.iter().all(|face| face.0 != *i));
    let outlines = others.map(|(_, face)| {
        let corners = face.outline.corners.iter();
        corners.map(|c| projection.paper(c.plan())).collect()
    });
    outlines.filter(is_narrower).collect()
}

struct Label {
    content: String,
    a: Point,
    b: Point,
    /// Of length 1, along the edge as read.
    along: Vector,
    length: f64,
    /// Sides to try: true is above the line as read.
    sides: Vec<bool>,
    /// Whether the roof lies above the line as read, where it lies on one side only.
    roof_above: bool,
    /// Outlines that the label does not stand inside on the side away from its own roof.
    narrower: Vec<Vec<Point>>,
    /// How far the line's drawing reaches above and below as read.
    reach: (f64, f64),
    height: f64,
}

impl Label {
    fn new(report: &Report<'_>, chain: &Chain, projection: &Projection, height: f64) -> Self {
        let start = projection.paper(chain.start.plan());
        let end = projection.paper(chain.end.plan());
        let (a, b) = in_reading_order(start, end);
        let along = (b - a).unit().unwrap_or(Vector::new(1.0, 0.0));
        let roof_above = roof_side(report.roof(), chain).dot(along.turn_left()) > 0.0;
        let (inside, outside) = line_types::reach(chain.class);
        let outer = matches!(
            chain.class,
            EdgeClass::Eave | EdgeClass::HighEdge | EdgeClass::Rake | EdgeClass::FlatEdge
        );
        let first = if outer { !roof_above } else { true };
        Self {
            content: words(report, chain),
            a,
            b,
            along,
            length: a.distance(b),
            sides: vec![first, !first],
            roof_above,
            narrower: Vec::new(),
            reach: if roof_above {
                (inside, outside)
            } else {
                (outside, inside)
            },
            height,
        }
    }

    /// Leaves the other side of the line to the roof whose edge of such a class it is too, and clears what is drawn of that
    /// on this side.
    fn keep_to_own_side(&mut self, beside: &[EdgeClass]) {
        self.sides = vec![self.roof_above];
        for &class in beside {
            let (inside, outside) = line_types::reach(class);
            let reach = inside.max(outside);
            self.reach = (self.reach.0.max(reach), self.reach.1.max(reach));
        }
    }

    /// Whether a label with its middle there would be read as a length of another roof, narrower than the edge.
    fn is_on_another(&self, middle: Point) -> bool {
        let up = (middle - self.a).dot(self.along.turn_left());
        let is_away = (up > 0.0) != self.roof_above;
        let mut narrower = self.narrower.iter();
        is_away && narrower.any(|outline| ring::contains(outline, middle))
    }

    fn style(&self) -> TextStyle {
        TextStyle::new(self.height)
            .outline(OUTLINE)
            .align(Align::Middle)
    }

    /// Along the edge: in the middle, slid to either side, above and below.
    fn along_edge(&self, canvas: &Canvas<'_>, field: &Field) -> Option<Text> {
        let angle = self.along.y.atan2(self.along.x).to_degrees();
        let style = self.style().turned(upright(angle));
        let width = canvas.width(style, &self.content);
        if width > SHARE_OF_EDGE * self.length {
            return None;
        }
        let play = (self.length * SHARE_OF_EDGE - width) / 2.0;
        let set_at = |base| Text::new(canvas.fonts, base, style, &self.content);
        let home = Slanted::of(&set_at(Point::default()));
        for &above in &self.sides {
            for slide in slides(play) {
                let middle = self.a.midpoint(self.b) + self.along * slide;
                let up = self.along.turn_left();
                let base = if above {
                    middle + up * (self.reach.0 + BASELINE_OFF)
                } else {
                    middle - up * (self.reach.1 + BASELINE_OFF * 0.5 + self.height)
                };
                let letters = base + up * (self.height / 2.0);
                let label = home.moved(base - Point::default());
                if field.is_clear(&label) && !self.is_on_another(letters) {
                    return Some(set_at(base));
                }
            }
        }
        None
    }

    /// Whether a leader in this direction leads to a side of the line that a label along it may stand on.
    fn leads_to_own_side(&self, direction: Vector) -> bool {
        let up = direction.dot(self.along.turn_left());
        self.sides.len() > 1 || up.abs() > ALONG && self.sides.contains(&(up > 0.0))
    }

    /// [`Label::led`] to its own side of the line, or else to any: the leader and the word for the class tell then whose
    /// length it is.
    fn with_leader(&self, canvas: &Canvas<'_>, field: &Field) -> Option<(Text, Point, Point)> {
        self.led(canvas, field, |label, direction| {
            label.leads_to_own_side(direction)
        })
        .or_else(|| {
            let is_held = self.sides.len() < 2;
            is_held
                .then(|| self.led(canvas, field, |_, _| true))
                .flatten()
        })
    }

    /// Level text somewhere near, with a line to the edge: the nearest clear place that crosses the fewest lines.
    fn led(
        &self,
        canvas: &Canvas<'_>,
        field: &Field,
        may_lead: impl Fn(&Self, Vector) -> bool,
    ) -> Option<(Text, Point, Point)> {
        let style = self.style();
        let width = canvas.width(style, &self.content);
        let set_at = |base| Text::new(canvas.fonts, base, style, &self.content);
        let home = Slanted::of(&set_at(Point::default()));
        let mut best: Option<(f64, Point, Point, Point)> = None;
        for share in [0.5, 0.3, 0.7] {
            let target = self.a.lerp(self.b, share);
            for (distance, direction) in around().filter(|(_, d)| may_lead(self, *d)) {
                // What it costs though it crosses no line.
                let least_cost = distance + 4.0 * (share - 0.5_f64).abs();
                if best.as_ref().is_some_and(|(best, ..)| least_cost >= *best) {
                    continue;
                }
                let knee = target + direction * distance;
                // The text begins at the knee and leads away from the edge.
                let left = direction.x >= 0.0;
                let center = knee
                    + Vector::new(
                        if left {
                            width / 2.0 + 0.8
                        } else {
                            -width / 2.0 - 0.8
                        },
                        0.0,
                    );
                let base = center - Vector::new(0.0, self.height / 2.0);
                let label = home.moved(base - Point::default());
                let clear = field.is_clear(&label)
                    && !self.is_on_another(center)
                    && field.line_is_clear_of_boxes(target, knee)
                    && !label.grown(LINE_CLEARANCE).meets(target, knee);
                if !clear {
                    continue;
                }
                // The edge itself is met once at its own foot.
                let crossed = field.crossings(target + direction * 0.8, knee);
                if crossed > MOST_CROSSED {
                    continue;
                }
                let cost = least_cost + 12.0 * crossed as f64;
                if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                    best = Some((cost, base, target, knee));
                }
            }
        }
        best.map(|(_, base, target, knee)| (set_at(base), target, knee))
    }
}

/// A leader that leaves its line at less than this (sine of some 6°) leads to neither side of it.
const ALONG: f64 = 0.1;

/// What is within this of upright is read as if it were (tangent of 10°, common practice, no source): of lines that a
/// tracing has a little off upright, neighbours would else be read in opposite directions.
const UPRIGHT: f64 = 0.176;

/// From left to right; what is upright is read from below upwards, from the right side of the sheet.
pub(super) fn in_reading_order(a: Point, b: Point) -> (Point, Point) {
    let d = b - a;
    let nearly_upright = d.x.abs() < UPRIGHT * d.y.abs();
    let forwards = if nearly_upright { d.y > 0.0 } else { d.x > 0.0 };
    if forwards { (a, b) } else { (b, a) }
}

/// An angle within a hair of level or upright is exactly that.
pub(super) fn upright(angle_deg: f64) -> f64 {
    for right in [0.0, 90.0, -90.0] {
        if (angle_deg - right).abs() < 0.06 {
            return right;
        }
    }
    angle_deg
}

/// Offsets from the middle, in turn to both sides.
fn slides(play: f64) -> impl Iterator<Item = f64> {
    const STEP: f64 = 2.0;
    let steps = (play / STEP).floor() as i32;
    std::iter::once(0.0)
        .chain((1..=steps).flat_map(|i| [f64::from(i) * STEP, -f64::from(i) * STEP]))
}

/// Places round a point, the nearest first.
pub(super) fn around() -> impl Iterator<Item = (f64, Vector)> {
    const DIRECTIONS: u32 = 24;
    (0..9_u32).flat_map(|ring| {
        let distance = 3.0 + 2.5 * f64::from(ring);
        (0..DIRECTIONS).map(move |i| {
            // Begins at 45°, the drafter's first choice for a leader.
            let turn = std::f64::consts::TAU * (f64::from(i) / f64::from(DIRECTIONS) + 0.125);
            (distance, Vector::new(turn.cos(), turn.sin()))
        })
    })
}
