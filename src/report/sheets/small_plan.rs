//! The roof in a corner of a sheet, for knowing which roof and which face it is about.

use crate::geometry::Point;
use crate::report::canvas::{Area, Canvas, Ink, Layer, Pen};
use crate::report::{Report, plan};
use crate::roof::FaceId;

/// Of the dot at the corner that work begins at.
const DOT: f64 = 1.3;

/// Draws the roof's edges into an area, flush right; where one face is meant, it is grey, with a dot at the corner that
/// it is begun at.
pub(super) fn draw(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    room: Area,
    marked: Option<(FaceId, Option<Point>)>,
) {
    let Some((low, high)) = plan::extent(report) else {
        return;
    };
    // The dot stays within the room, too.
    let room = match marked {
        Some(_) => room.inset(DOT),
        None => room,
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
    if let Some((id, _)) = marked {
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
    if let Some((_, Some(start))) = marked {
        canvas.dot(at(start), DOT, Ink::Black);
    }
}
