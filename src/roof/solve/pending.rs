//! What a sheet's solution leaves to be said: falls that are open, ponds, dropped candidates.

use crate::geometry::{Point, ring};
use crate::roof::map::PlanMap;
use crate::units::METRES_PER_FOOT;
use crate::{Finding, Place};

use super::SuggestedFall;
use super::alternatives::Solution;
use super::label_place::roomiest_point;
use super::sheet::Sheet;
use super::tables::left_open;
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
        .map(|(a, b)| at.distance_to_segment(a, b))
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
    // 359.7° is 0°, not 360°.
    let bearing = bearing_deg.round().rem_euclid(360.0);
    let message = format!(
        "the drawing does not decide which way the {} face at {} falls; the likeliest is towards {bearing:.0}° of the compass",
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

/// Faces without a pitch that nothing fixes.
pub(super) fn missing_pitches(sheet: &Sheet) -> Vec<Finding> {
    if sheet.faces.iter().all(|f| f.slope.is_some()) {
        return Vec::new();
    }
    left_open(sheet)
        .into_iter()
        .map(|face| {
            let at = roomiest_point(&plan_rings(sheet, face));
            Finding::error("no-pitch", format!("the face at {} has no pitch, and its neighbours do not fix one", words::place(at)))
                .remedy("Write its pitch into it, such as 6/12, or give one for all unlabelled faces with --pitch.")
                .place(Place::at(at))
        })
        .collect()
}

/// Faces without a pitch whose fall the drawing leaves open: it is the pitch that is missing, and no likeliest fall stands for it.
pub(super) fn unlabelled(sheet: &Sheet, asked: &[usize]) -> Vec<Finding> {
    asked
        .iter()
        .filter(|&&face| sheet.faces[face].slope.is_none())
        .map(|&face| {
            let at = roomiest_point(&plan_rings(sheet, face));
            Finding::error("no-pitch", format!("the face at {} has no pitch, and its lines fit more than one", words::place(at)))
                .remedy("Write its pitch into it, such as 6/12, or give one for all unlabelled faces with --pitch. A line that parts nothing there can be left out instead.")
                .place(Place::at(at))
        })
        .collect()
}

/// Pitches that were computed.
pub(super) fn computed_pitches(sheet: &Sheet, best: &Solution) -> Vec<Finding> {
    (0..sheet.faces.len())
        .filter(|&f| sheet.faces[f].slope.is_none())
        .map(|face| {
            let at = roomiest_point(&plan_rings(sheet, face));
            let pitch = words::pitch(best.roofing.planes[face].gradient.length());
            Finding::warning(
                "pitch-computed",
                format!(
                    "the face at {} has no pitch; its neighbours fix it at {pitch}",
                    words::place(at)
                ),
            )
            .remedy("Write the pitch into the face to have it checked.")
            .place(Place::at(at))
        })
        .collect()
}

/// An arrow that stands far off every likely fall of its face.
pub(super) const ARROW_OFF_DEG: f64 = 10.0;

/// Arrows that say something odd: on a level face, or far from the fall that was found.
pub(super) fn arrows(sheet: &Sheet, best: &Solution) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (index, face) in sheet.faces.iter().enumerate() {
        let Some(arrow) = face.arrow else { continue };
        let off = arrow.angle_to_deg(-best.roofing.planes[index].gradient);
        let message = if face.is_flat() {
            "a fall arrow stands in a face whose label says that it is level".to_string()
        } else if off > ARROW_OFF_DEG {
            format!(
                "the fall arrow in this {} face is {off:.0}° off the fall that its edges allow",
                label(sheet, index)
            )
        } else {
            continue;
        };
        let at = roomiest_point(&plan_rings(sheet, index));
        findings.push(
            Finding::warning("arrow-off", format!("{message} (at {})", words::place(at)))
                .remedy("Check the arrow and the pitch of the face.")
                .place(Place::at(at)),
        );
    }
    findings
}

/// The roof has steps in height: where, and what is not known about them.
pub(super) fn stepped(sheet: &Sheet, best: &Solution, why: &str) -> Option<Finding> {
    let steps: Vec<usize> = (0..sheet.edges.len())
        .filter(|&e| best.roofing.is_step[e])
        .collect();
    let length: f64 = steps.iter().map(|&e| sheet.edges[e].length).sum();
    if steps.is_empty() {
        return None;
    }
    let mut finding = Finding::warning(
        "steps-in-height",
        format!(
            "{} of shared lines are taken for steps in height, since {why}; lines alone do not say which side is higher",
            words::feet(length / METRES_PER_FOOT)
        ),
    )
    .remedy("Draw each level in a layer of its own (`upper`, `level 2`, ...), with an arrow on a layer named fall in each face whose fall is asked about then.");
    for edge in steps {
        let edge = &sheet.edges[edge];
        let middle = sheet.nodes[edge.a].midpoint(sheet.nodes[edge.b]);
        finding = finding.place(Place::at(sheet.to_plan(middle)));
    }
    Some(finding)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fall_a_hair_west_of_north_is_towards_0_degrees() {
        let suggested = SuggestedFall {
            at: Point::new(1.0, 2.0),
            fall: crate::geometry::Vector::new(0.0, 1.0),
            reach_ft: 3.0,
            face_label: "6/12".to_owned(),
            level: 0,
        };
        for (bearing, words) in [
            (359.7, "towards 0°"),
            (359.4, "towards 359°"),
            (90.2, "towards 90°"),
        ] {
            let message = open_fall(&suggested, bearing, false).message;
            assert!(message.contains(words), "{message}");
        }
    }
}
