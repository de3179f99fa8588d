//! Dimension lines of the outer level edges.

use std::collections::BTreeSet;

use super::chain::Chain;
use super::edge_labels::words;
use super::line_types::THIN_LINE;
use super::linework::{is_on_roof, roof_side};
use super::place::{Field, Slanted};
use super::scale::Projection;
use crate::geometry::{Point, Vector};
use crate::report::Report;
use crate::report::canvas::{Align, Canvas, Layer, Pen, Text, TextStyle};
use crate::roof::EdgeClass;

/// From the edge to its dimension line; further rows: for text up to this height, farther apart for larger.
const ROWS: [f64; 3] = [7.0, 12.6, 18.2];
const ROWS_FOR_TEXT: f64 = 2.5;
/// Between the edge and its extension line, and how far that runs past the dimension line.
const EXTENSION_GAP: f64 = 1.2;
const OVERSHOOT: f64 = 1.2;
/// Half the length of the oblique stroke at each end.
const STROKE: f64 = 1.1;
/// From the dimension line to the baseline: at least so much, and the same part of larger text.
const BASELINE_OFF: f64 = 0.9;
const BASELINE_OFF_SHARE: f64 = 0.4;

/// Dimensions the outer level edges that have room for it; returns which chains these are.
pub(super) fn draw(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    chains: &[Chain],
    projection: &Projection,
    field: &mut Field,
    height: f64,
) -> BTreeSet<usize> {
    let mut order: Vec<usize> = (0..chains.len())
        .filter(|&i| is_dimensioned(&chains[i]))
        .collect();
    // Short ones first: they need the first row.
    order.sort_by(|&a, &b| chains[a].plan_ft.total_cmp(&chains[b].plan_ft));
    let mut done = BTreeSet::new();
    for i in order {
        let clear = rows(height).into_iter().find_map(|row| {
            let dimension = Dimension::new(canvas, report, &chains[i], projection, row, height);
            let dimension = dimension.without_doubled_extensions(field);
            // On another face it would be taken for a length of that.
            let off_roof = !is_on_roof(report.roof(), projection.plan(dimension.middle()));
            let is_clear = || dimension.is_clear(field, Crossings::None);
            (off_roof && is_clear()).then_some(dimension)
        });
        if let Some(dimension) = clear {
            dimension.draw(canvas, field);
            done.insert(i);
        }
    }
    done
}

/// Dimensions the whole roof along its longest eave and square to it, beyond everything else; leaves out what an edge
/// of the whole length says already, where the edges are dimensioned.
pub(super) fn overall(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    (chains, dimensioned): (&[Chain], bool),
    projection: &Projection,
    field: &mut Field,
    height: f64,
) {
    let longest = chains
        .iter()
        .filter(|c| is_dimensioned(c))
        .max_by(|a, b| a.plan_ft.total_cmp(&b.plan_ft));
    let Some(along) = longest.and_then(|c| (c.end.plan() - c.start.plan()).unit()) else {
        return;
    };
    let corners: Vec<Point> = report
        .roof()
        .faces
        .iter()
        .flat_map(|face| &face.outline.corners)
        .map(|corner| projection.paper(corner.plan()))
        .collect();
    // Along the paper's sides as far as the roof lies so: below before above, left before right.
    let along = if along.x.abs() >= along.y.abs() {
        along * along.x.signum()
    } else {
        along.turn_left() * -along.y.signum()
    };
    for (direction, outs) in [
        (along, [-along.turn_left(), along.turn_left()]),
        (along.turn_left(), [-along, along]),
    ] {
        let ends = |out: Vector| extreme(&corners, direction, out);
        let Some([a, b]) = ends(outs[0]) else {
            continue;
        };
        let feet = (b - a).dot(direction) / projection.scale.mm_per_foot();
        let said_by_an_edge = dimensioned
            && chains.iter().any(|c| {
                let reach = (c.end.plan() - c.start.plan()).dot(direction).abs();
                is_dimensioned(c) && (reach - feet).abs() < SAID_WITHIN_FT
            });
        if said_by_an_edge {
            continue;
        }
        let said = format!("overall {}", report.units().length(feet));
        let clear = outs.into_iter().find_map(|out| {
            let level = corners
                .iter()
                .map(|c| (*c - Point::default()).dot(out))
                .fold(f64::NEG_INFINITY, f64::max);
            let ends = ends(out)?;
            rows(height).into_iter().find_map(|row| {
                let dimension =
                    Dimension::between(canvas, ends, (out, level), row, (&said, height))
                        .without_doubled_extensions(field);
                let is_clear = dimension.is_clear(field, Crossings::OfExtensions);
                is_clear.then_some(dimension)
            })
        });
        if let Some(dimension) = clear {
            dimension.draw(canvas, field);
        }
    }
}

/// What the extension lines of a dimension may cross: each other, where that cannot be helped (ISO 129-1, from memory), as
/// those of the whole length and the whole depth of a roof with a wing do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Crossings {
    None,
    OfExtensions,
}

fn rows(text: f64) -> [f64; 3] {
    ROWS.map(|row| row * (text / ROWS_FOR_TEXT).max(1.0))
}

/// An edge within this of the whole says it: half of what is printed.
const SAID_WITHIN_FT: f64 = 1.0 / 16.0 / 12.0;
/// Corners within this of the farthest, in mm of paper, are as far.
const AS_FAR_MM: f64 = 0.05;

/// The corners farthest against and along a direction; of several, those nearest to the side that `out` points to.
fn extreme(corners: &[Point], direction: Vector, out: Vector) -> Option<[Point; 2]> {
    let reach = |p: &Point, way: Vector| (*p - Point::default()).dot(way);
    let farthest = |way: Vector| {
        let far = corners
            .iter()
            .map(|p| reach(p, way))
            .fold(f64::NEG_INFINITY, f64::max);
        corners
            .iter()
            .filter(|p| reach(p, way) > far - AS_FAR_MM)
            .max_by(|p, q| reach(p, out).total_cmp(&reach(q, out)))
            .copied()
    };
    Some([farthest(-direction)?, farthest(direction)?])
}

fn is_dimensioned(chain: &Chain) -> bool {
    let outer_level = matches!(
        chain.class,
        EdgeClass::Eave | EdgeClass::HighEdge | EdgeClass::FlatEdge
    );
    // Of a part of an edge, the dimension would say the length of the whole.
    outer_level && chain.round.is_none() && !chain.is_cut
}

struct Dimension {
    /// Ends of the dimension line.
    ends: [Point; 2],
    /// Extension lines; `None` where a line of the roof runs there already.
    extensions: [Option<(Point, Point)>; 2],
    along: Vector,
    text: Text,
    fits: bool,
}

impl Dimension {
    fn new(
        canvas: &Canvas<'_>,
        report: &Report<'_>,
        chain: &Chain,
        projection: &Projection,
        row: f64,
        height: f64,
    ) -> Self {
        let ends = [chain.start, chain.end].map(|end| projection.paper(end.plan()));
        let out = -roof_side(report.roof(), chain);
        let said = words(report, chain);
        Self::between(canvas, ends, (out, f64::NEG_INFINITY), row, (&said, height))
    }

    /// From the one point to the other, seen along a line square to `out` that lies `row` beyond `level`, the larger
    /// of the points' distances along `out` where it is larger than that.
    fn between(
        canvas: &Canvas<'_>,
        [a, b]: [Point; 2],
        (out, level): (Vector, f64),
        row: f64,
        (said, height): (&str, f64),
    ) -> Self {
        let along = (b - a) - out * (b - a).dot(out);
        let along = along.unit().unwrap_or(Vector::new(1.0, 0.0));
        let reach = |p: Point| (p - Point::default()).dot(out);
        let far = row + level.max(reach(a)).max(reach(b));
        let at = |p: Point| p + out * (far - reach(p));
        let ends = [at(a), at(b)];
        let extension = |p: Point| (p + out * EXTENSION_GAP, at(p) + out * OVERSHOOT);
        let (low, high) = super::edge_labels::in_reading_order(ends[0], ends[1]);
        let reading = (high - low).unit().unwrap_or(along);
        let angle = super::edge_labels::upright(reading.y.atan2(reading.x).to_degrees());
        let style = TextStyle::new(height)
            .outline(0.09)
            .align(Align::Middle)
            .turned(angle);
        let off = BASELINE_OFF.max(BASELINE_OFF_SHARE * height);
        let base = low.midpoint(high) + reading.turn_left() * off;
        let text = Text::new(canvas.fonts, base, style, said);
        Self {
            fits: text.width + 2.0 < ends[0].distance(ends[1]),
            ends,
            extensions: [Some(extension(a)), Some(extension(b))],
            along,
            text,
        }
    }

    /// Leaves out extensions that would lie on a line of the roof: that line serves.
    fn without_doubled_extensions(mut self, field: &Field) -> Self {
        for extension in &mut self.extensions {
            *extension = extension
                .filter(|&(a, b)| !field.runs_along(a, b))
                .map(|(a, b)| (field.beyond_extensions(a, b), b));
        }
        self
    }

    /// The middle of the dimension line.
    fn middle(&self) -> Point {
        self.ends[0].midpoint(self.ends[1])
    }

    /// The dimension line with its overshoot; none at an end that stands on a line of the roof.
    fn line(&self) -> (Point, Point) {
        let over = |i: usize| {
            self.along
                * if self.extensions[i].is_some() {
                    OVERSHOOT
                } else {
                    0.0
                }
        };
        let [a, b] = self.ends;
        (a - over(0), b + over(1))
    }

    fn lines(&self) -> impl Iterator<Item = (Point, Point)> {
        std::iter::once(self.line()).chain(self.extensions.into_iter().flatten())
    }

    /// From the middle of the oblique stroke to its end.
    fn stroke(&self) -> Vector {
        (self.along + self.along.turn_left()) * (STROKE * 0.5_f64.sqrt())
    }

    fn is_clear(&self, field: &Field, may: Crossings) -> bool {
        // Ends that stand on a line of the roof are not crossings of it.
        let short = |i: usize| {
            self.along
                * if self.extensions[i].is_some() {
                    0.0
                } else {
                    // Past the overshoot of a dimension that goes before in the same row.
                    OVERSHOOT + 0.4
                }
        };
        let (a, b) = self.line();
        let line = (a + short(0), b - short(1));
        let strokes_are_clear = self.ends.into_iter().all(|end| {
            let stroke = self.stroke();
            field.line_is_clear_of_boxes(end - stroke, end + stroke)
        });
        let may_cross = |(a, b): (Point, Point)| match may {
            Crossings::None => 0,
            Crossings::OfExtensions => field.extensions_crossed(a, b),
        };
        let is_clear = |(a, b): (Point, Point), may_cross: usize| {
            field.line_is_clear_of_boxes(a, b) && field.crossings(a, b) <= may_cross
        };
        let mut extensions = self.extensions.into_iter().flatten();
        self.fits
            && strokes_are_clear
            && field.is_clear(&Slanted::of(&self.text))
            && is_clear(line, 0)
            && extensions.all(|extension| is_clear(extension, may_cross(extension)))
    }

    fn draw(self, canvas: &mut Canvas<'_>, field: &mut Field) {
        canvas.on(Layer::Dimensions);
        let lines: Vec<(Point, Point)> = self.lines().collect();
        for (a, b) in lines {
            canvas.line(a, b, THIN_LINE);
            field.add_line(a, b, THIN_LINE.width);
        }
        for (a, b) in self.extensions.into_iter().flatten() {
            field.add_extension(a, b);
        }
        for end in self.ends {
            let stroke = self.stroke();
            canvas.line(end - stroke, end + stroke, Pen::new(0.5));
            field.add_line(end - stroke, end + stroke, 0.5);
        }
        field.add_box(Slanted::of(&self.text));
        canvas.put_text(self.text);
    }
}
