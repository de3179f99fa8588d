//! The roof in a corner of a sheet, for knowing which roof and which face it is about.

use std::sync::Arc;

use crate::geometry::Point;
use crate::report::canvas::{Area, Canvas, Ink, Layer, Line, Pen};
use crate::report::{Report, plan};
use crate::roof::{Edge, FaceId, Roof};

/// Of the dot at the corner that work begins at.
const DOT: f64 = 1.3;

/// The roof's edges in an area, flush right. Every face has a sheet that shows all edges: they are kept once for all sheets.
pub(super) struct SmallPlan<'r> {
    roof: &'r Roof,
    edges: Arc<[Line]>,
    /// The corners of the roof's bounds in plan feet.
    low: Point,
    high: Point,
    room: Area,
    /// Millimetres of paper a foot.
    scale: f64,
}

impl<'r> SmallPlan<'r> {
    /// In this room of a sheet; `None` for a roof of no extent.
    pub(super) fn new(report: &Report<'r>, room: Area) -> Option<Self> {
        let roof = report.roof();
        let (low, high) = plan::extent(report)?;
        let size = high - low;
        let scale = (room.width() / size.x).min(room.height() / size.y);
        let mut small = Self {
            roof,
            edges: Arc::from([]),
            low,
            high,
            room,
            scale,
        };
        let line = |edge: &Edge| Line {
            ends: [edge.start, edge.end].map(|end| small.at(end.plan())),
            pen: Pen::new(if edge.faces.len() == 1 { 0.5 } else { 0.25 }).round(),
        };
        small.edges = roof.edges.iter().map(line).collect();
        Some(small)
    }

    /// In this room of sheets that mark a face each: the dot stays within it, too.
    pub(super) fn marked(report: &Report<'r>, room: Area) -> Option<Self> {
        Self::new(report, room.inset(DOT))
    }

    /// A place of the plan on paper.
    fn at(&self, p: Point) -> Point {
        Point::new(
            self.room.right + (p.x - self.high.x) * self.scale,
            self.room.center().y + (p.y - self.low.midpoint(self.high).y) * self.scale,
        )
    }

    /// Draws it; where one face is meant, it is grey, with a dot at the corner that it is begun at.
    pub(super) fn draw(&self, canvas: &mut Canvas<'_>, marked: Option<(FaceId, Option<Point>)>) {
        canvas.on(Layer::Key);
        if let Some((id, _)) = marked {
            let corners = &self.roof.face(id).outline.corners;
            let ring = corners.iter().map(|c| self.at(c.plan())).collect();
            canvas.fill(vec![ring], Ink::Pale);
        }
        canvas.lines(&self.edges);
        if let Some((_, Some(start))) = marked {
            canvas.dot(self.at(start), DOT, Ink::Black);
        }
    }
}
