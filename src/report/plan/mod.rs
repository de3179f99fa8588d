//! The roof seen from above, drawn to a standard scale: edges by line type, names, lengths, dimensions.

pub(crate) mod chain;
mod dimensions;
mod edge_labels;
mod face_labels;
pub(crate) mod finding_marks;
mod furniture;
pub(crate) mod line_types;
mod linework;
mod place;
pub(crate) mod scale;

pub(crate) use chain::Chain;
pub(crate) use furniture::{key, key_height, scale_bar};
pub(crate) use scale::{DrawingScale, Projection};

use place::Field;

use super::Report;
use super::canvas::{Area, Canvas};
use crate::geometry::Point;

/// What a drawn plan could not label within its area.
#[derive(Clone, Debug, Default)]
pub(crate) struct Unplaced {
    /// Chains without their length.
    pub(crate) chains: Vec<Chain>,
    /// Faces without their name.
    pub(crate) faces: Vec<usize>,
}

/// Draws the plan with all its labels into an area.
pub(crate) fn draw(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    projection: &Projection,
    area: Area,
    text: f64,
) -> Unplaced {
    let roof = report.roof();
    let chains = chain::chains(roof);
    let mut field = Field::new(area);
    linework::draw(canvas, roof, &chains, projection, &mut field);
    finding_marks::draw(canvas, report, projection, &mut field);
    let mut unplaced = Unplaced::default();
    let pending = face_labels::draw(canvas, report, projection, &mut field, text);
    let dimensioned = dimensions::draw(canvas, report, &chains, projection, &mut field, text);
    let left: Vec<Chain> = chains
        .into_iter()
        .enumerate()
        .filter(|(i, _)| !dimensioned.contains(i))
        .map(|(_, chain)| chain)
        .collect();
    unplaced.chains = edge_labels::draw(canvas, report, left, projection, &mut field, text);
    unplaced.faces =
        face_labels::draw_with_leaders(canvas, report, pending, projection, &mut field, text);
    furniture::north(canvas, report, &mut field);
    unplaced
}

/// The corners of everything that the plan shows, in plan feet.
pub(crate) fn extent(report: &Report<'_>) -> Option<(Point, Point)> {
    let roof = report.roof();
    let mut corners = roof
        .faces
        .iter()
        .flat_map(|face| &face.outline.corners)
        .map(|corner| corner.plan());
    let first = corners.next()?;
    Some(corners.fold((first, first), |(low, high), p| {
        (
            Point::new(low.x.min(p.x), low.y.min(p.y)),
            Point::new(high.x.max(p.x), high.y.max(p.y)),
        )
    }))
}
