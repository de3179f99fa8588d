//! Dimension lines of the outer level edges.

use std::collections::BTreeSet;

use super::chain::Chain;
use super::edge_labels::words;
use super::line_types::THIN_LINE;
use super::linework::roof_side;
use super::place::{Field, Slanted};
use super::scale::Projection;
use crate::geometry::{Point, Vector};
use crate::report::Report;
use crate::report::canvas::{Align, Canvas, Layer, Pen, Text, TextStyle};
use crate::roof::EdgeClass;

/// From the edge to its dimension line; further rows.
const ROWS: [f64; 3] = [7.0, 12.6, 18.2];
/// Between the edge and its extension line, and how far that runs past the dimension line.
const EXTENSION_GAP: f64 = 1.2;
const OVERSHOOT: f64 = 1.2;
/// Half the length of the oblique stroke at each end.
const STROKE: f64 = 1.1;
/// From the dimension line to the baseline.
const BASELINE_OFF: f64 = 0.9;

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
        let clear = ROWS.into_iter().find_map(|row| {
            let dimension = Dimension::new(canvas, report, &chains[i], projection, row, height);
            dimension.is_clear(field).then_some(dimension)
        });
        if let Some(dimension) = clear {
            dimension.draw(canvas, field);
            done.insert(i);
        }
    }
    done
}

fn is_dimensioned(chain: &Chain) -> bool {
    matches!(
        chain.class,
        EdgeClass::Eave | EdgeClass::HighEdge | EdgeClass::FlatEdge
    )
}

struct Dimension {
    /// Ends of the dimension line.
    ends: [Point; 2],
    /// Extension lines.
    extensions: [(Point, Point); 2],
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
        let a = projection.paper(chain.start.plan());
        let b = projection.paper(chain.end.plan());
        let out = -roof_side(report.roof(), chain);
        let along = (b - a).unit().unwrap_or(Vector::new(1.0, 0.0));
        let ends = [a + out * row, b + out * row];
        let extension = |p: Point| (p + out * EXTENSION_GAP, p + out * (row + OVERSHOOT));
        let (low, high) = super::edge_labels::in_reading_order(ends[0], ends[1]);
        let reading = (high - low).unit().unwrap_or(along);
        let angle = super::edge_labels::upright(reading.y.atan2(reading.x).to_degrees());
        let style = TextStyle::new(height)
            .outline(0.09)
            .align(Align::Middle)
            .turned(angle);
        let base = low.midpoint(high) + reading.turn_left() * BASELINE_OFF;
        let text = Text::new(canvas.fonts, base, style, &words(report, chain));
        Self {
            fits: text.width + 2.0 < a.distance(b),
            ends,
            extensions: [extension(a), extension(b)],
            along,
            text,
        }
    }

    fn lines(&self) -> [(Point, Point); 3] {
        let over = self.along * OVERSHOOT;
        let [a, b] = self.ends;
        [(a - over, b + over), self.extensions[0], self.extensions[1]]
    }

    fn is_clear(&self, field: &Field) -> bool {
        self.fits
            && field.is_clear(&Slanted::of(&self.text))
            && self
                .lines()
                .into_iter()
                .all(|(a, b)| field.line_is_clear_of_boxes(a, b) && field.crossings(a, b) == 0)
    }

    fn draw(self, canvas: &mut Canvas<'_>, field: &mut Field) {
        canvas.on(Layer::Dimensions);
        for (a, b) in self.lines() {
            canvas.line(a, b, THIN_LINE);
            field.add_line(a, b, THIN_LINE.width);
        }
        for end in self.ends {
            let stroke = (self.along + self.along.turn_left()) * (STROKE * 0.5_f64.sqrt());
            canvas.line(end - stroke, end + stroke, Pen::new(0.5));
        }
        field.add_box(Slanted::of(&self.text));
        canvas.put_text(self.text);
    }
}
