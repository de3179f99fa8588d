//! The roof in a corner of a sheet, for knowing which roof and which face it is about.

use crate::geometry::Point;
use crate::report::canvas::{Area, Canvas, Ink, Layer, Pen};
use crate::report::{Report, plan};
use crate::roof::FaceId;

/// Draws the roof's edges into an area, flush right, one face grey where one is meant.
pub(super) fn draw(canvas: &mut Canvas<'_>, report: &Report<'_>, room: Area, face: Option<FaceId>) {
    let Some((low, high)) = plan::extent(report) else {
        return;
    };
    let size = high - low;
    let scale = (room.width() / size.x).min(room.height() / size.y);
    let at = |p: Point| {
        Point::new(
            room.right + (p.x - high.x) * scale,
            room.center().y + (p.y - low.midpoint(high).y) * scale,
        )
    };
    let roof = report.roof();
    canvas.on(Layer::Key);
    if let Some(id) = face {
        let corners = &roof.face(id).outline.corners;
        let ring = corners.iter().map(|c| at(c.plan())).collect();
        canvas.fill(vec![ring], Ink::Pale);
    }
    for edge in &roof.edges {
        let pen = if edge.faces.len() == 1 { 0.5 } else { 0.25 };
        canvas.line(
            at(edge.start.plan()),
            at(edge.end.plan()),
            Pen::new(pen).round(),
        );
    }
}
