//! Parts whose planes are known: a roof built from its outline was proven there, and nothing is left to search for.

use crate::geometry::{Plane, Point};
use crate::roof::map::PlanMap;
use crate::units::METRES_PER_FOOT;

use super::assemble::SolvedSheet;
use super::refine::gaps;
use super::sheet::Sheet;

/// Known planes that come no nearer to each other than this along an edge, in metres, have a wall between them.
const STEP_FROM_M: f64 = 1e-4;

/// The part as its map says, if the map gives the plane of every face of it.
pub(super) fn settled(map: &PlanMap, index: usize, sheet: &Sheet) -> Option<SolvedSheet> {
    let planes: Option<Vec<Plane>> = sheet
        .face_ids
        .iter()
        .map(|&face| Some(in_metres(map.faces[face].plane?, sheet.origin)))
        .collect();
    let planes = planes?;
    let stands_over = |edge: usize| {
        let apart = gaps(sheet, &planes, edge);
        apart.is_some_and(|ends| ends.iter().any(|gap| gap.abs() > STEP_FROM_M))
    };
    let why =
        "It rises from its side of the outline: the roof was built from the outline and proven.";
    Some(SolvedSheet {
        as_written: false,
        map: index,
        is_step: (0..sheet.edges.len()).map(stands_over).collect(),
        why: vec![why.to_owned(); planes.len()],
        lift_ft: 0.0,
        nodes: sheet.nodes.clone(),
        planes,
        true_area_std_error_m2: None,
        sheet: sheet.clone(),
    })
}

/// A plane over plan feet as one over the sheet's metres.
fn in_metres(plane: Plane, origin: Point) -> Plane {
    Plane {
        gradient: plane.gradient,
        offset: plane.height_at(origin) * METRES_PER_FOOT,
    }
}
