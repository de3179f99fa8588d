//! What a sheet's solution leaves to be said: falls that are open, ponds, dropped candidates.

use crate::geometry::{Point, ring};
use crate::roof::map::PlanMap;
use crate::units::METRES_PER_FOOT;
use crate::{Finding, Place};

use super::SuggestedFall;
use super::alternatives::Solution;
use super::label_place::{distance_to_segment, roomiest_point};
use super::refine;
use super::sheet::Sheet;
use super::words;

/// The rings of a face in plan feet.
pub(super) fn plan_rings(sheet: &Sheet, face: usize) -> Vec<Vec<Point>> {
    sheet.faces[face]
        .rings
        .iter()
        .map(|r| {
            sheet
                .corners(r)
                .into_iter()
                .map(|p| sheet.to_plan(p))
                .collect()
        })
        .collect()
}

/// The label of a face, to name it by before it has a name.
pub(super) fn label(sheet: &Sheet, face: usize) -> String {
    sheet.faces[face]
        .slope
        .map_or_else(|| "no pitch".to_string(), words::pitch)
}

/// The arrow to be confirmed for a face whose fall is open.
pub(super) fn suggested_fall(
    map: &PlanMap,
    sheet: &Sheet,
    best: &Solution,
    face: usize,
) -> Option<SuggestedFall> {
    let rings = plan_rings(sheet, face);
    let at = roomiest_point(&rings);
    let fall = (-best.roofing.planes[face].gradient).unit()?;
    let reach_ft = rings
        .iter()
        .flat_map(|r| ring::sides(r))
        .map(|(a, b)| distance_to_segment(at, a, b))
        .fold(f64::INFINITY, f64::min);
    Some(SuggestedFall {
        at,
        fall,
        reach_ft,
        face_label: label(sheet, face),
        level: map.level,
    })
}

/// The finding that goes with it.
pub(super) fn open_fall(suggested: &SuggestedFall, bearing_deg: f64, accepted: bool) -> Finding {
    let message = format!(
        "the drawing does not decide which way the {} face at {} falls; the likeliest is towards {bearing_deg:.0}° of the compass",
        suggested.face_label,
        words::place(suggested.at),
    );
    let finding = if accepted {
        Finding::warning("fall-accepted", format!("{message}, and was taken"))
            .remedy("Confirm it on the plan; to settle it, draw an arrow from high to low in a layer `fall`.")
    } else {
        Finding::error("fall-open", message)
            .remedy("Draw an arrow from high to low in this face, in a layer `fall`, or take the likeliest falls with --accept-falls.")
    };
    finding.place(Place::at(suggested.at))
}

/// Ponds of the chosen solution.
pub(super) fn ponds(sheet: &Sheet, best: &Solution) -> Vec<Finding> {
    best.price.ponds
        .iter()
        .filter_map(|nodes| {
            let at = sheet.to_plan(sheet.nodes[*nodes.first()?]);
            let message = format!(
                "water cannot leave the place at {}: every face round it falls towards it",
                words::place(at)
            );
            Some(
                Finding::warning("pond", message)
                    .remedy("Check the pitches round it; if the roof is drained there, the drain must be told to the roofer.")
                    .place(Place::at(at)),
            )
        })
        .collect()
}

/// The search could not keep every candidate.
pub(super) fn dropped(sheet: &Sheet, count: usize) -> Option<Finding> {
    let at = sheet.nodes.first().map(|&p| sheet.to_plan(p))?;
    (count > 0).then(|| {
        Finding::warning(
            "search-cut-short",
            format!("the roof part at {} has so many faces meeting that {count} unlikely falls were left out of the search", words::place(at)),
        )
        .remedy("Check the falls on the plan; arrows in a layer `fall` shorten the search.")
        .place(Place::at(at))
    })
}

/// Beyond this part of the snap tolerance (and of a tracer's best) a line is told to be drawn off.
const TOLD_OFF_M: f64 = 0.05;

/// Inner edges along which the planes do not meet.
pub(super) fn gaps(sheet: &Sheet, best: &Solution) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (index, edge) in sheet.edges.iter().enumerate() {
        let Some((left, right)) = edge.both().filter(|_| !best.roofing.is_step[index]) else {
            continue;
        };
        let Some(gaps) = refine::gaps(sheet, &best.roofing.planes, index) else {
            continue;
        };
        let gap = gaps[0].abs().max(gaps[1].abs());
        let turn =
            (best.roofing.planes[left].gradient - best.roofing.planes[right].gradient).length();
        // Where the planes meet, measured in plan from where the line is drawn; planes that hardly differ meet nowhere
        // near, and only the height says anything.
        let (off, what) = if turn > 0.1 {
            (gap / turn, "drawn")
        } else {
            (gap, "in height")
        };
        if off <= TOLD_OFF_M + 2.0 * sheet.tolerance {
            continue;
        }
        let (a, b) = (
            sheet.to_plan(sheet.nodes[edge.a]),
            sheet.to_plan(sheet.nodes[edge.b]),
        );
        let message = format!(
            "the line from {} to {} is {what} {} off where {} and {} meet",
            words::place(a),
            words::place(b),
            words::feet(off / METRES_PER_FOOT),
            label(sheet, left),
            label(sheet, right),
        );
        findings.push(
            Finding::warning("planes-do-not-meet", message)
                .remedy("Check both pitches and the line; one of the three is not what was built.")
                .place(Place::at(a.midpoint(b))),
        );
    }
    findings
}
