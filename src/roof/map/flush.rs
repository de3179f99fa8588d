//! A wing flush with the gable end or the wall of the main roof: an outline has one straight side there, and two roofs end on it.

use super::PlanMap;
use super::outline::{AtSide, SidePlan, place_of};
use super::sides::{is_beside, is_of_its_side};
use crate::drawing::Says;
use crate::geometry::Point;
use crate::units::words;
use crate::{Finding, Place};

/// What is asked where along one straight side a gable or a wall is written on one side of a drawn corner, and a pitch on the
/// other: built as one side, a plane of the roof would be lost. Without a corner between them both speak of the one side.
pub(super) fn two_roofs_in_line(
    map: &PlanMap,
    near: &[AtSide<'_>],
    rings: &[Vec<Point>],
    sides: &[Vec<SidePlan>],
    written_at: &[usize],
    roomiest: f64,
) -> Vec<Finding> {
    let written: Vec<(&AtSide<'_>, usize)> = near.iter().zip(written_at.iter().copied()).collect();
    let of_end = |at: &AtSide<'_>| {
        matches!(at.label.says, Says::Gable | Says::Wall) && is_of_its_side(at, roomiest)
    };
    let ends = written.iter().filter(|(at, _)| of_end(at));
    let mut findings = Vec::new();
    for &(end, side) in ends {
        let corners = &rings[end.ring];
        if sides[end.ring][side].facet.is_some() {
            continue;
        }
        let (a, b) = (corners[side], corners[(side + 1) % corners.len()]);
        let of_pitch = written.iter().find_map(|&(at, other)| {
            let Says::Pitch { pitch, .. } = at.label.says else {
                return None;
            };
            let is_here = at.ring == end.ring && other == side && is_beside(at, roomiest);
            let between = (place_of(end.label), place_of(at.label));
            (is_here && has_corner(map, (a, b), between)).then_some((at, pitch))
        });
        let Some((at, pitch)) = of_pitch else {
            continue;
        };
        let rise = words::pitch(pitch.to_rise_per_run());
        findings.push(
            Finding::error(
                "two-roofs-in-line",
                format!(
                    "Along one straight side of the outline “{}” is written on one side of a drawn corner and a pitch of {rise} on the other: two roofs end there in one line, and an outline has one side.",
                    end.label.text
                ),
            )
            .remedy("Draw the ridges and valleys too, with a pitch in every face; or step the outline at that corner.")
            .place(Place::on(&end.label.source, place_of(end.label)))
            .place(Place::on(&at.label.source, place_of(at.label))),
        );
    }
    findings
}

/// Whether a corner is drawn on a straight side between the places of two labels.
fn has_corner(map: &PlanMap, (a, b): (Point, Point), (one, other): (Point, Point)) -> bool {
    let Some(along) = (b - a).unit() else {
        return false;
    };
    let at = |p: Point| along.dot(p - a);
    let (low, high) = (at(one).min(at(other)), at(one).max(at(other)));
    let reach = map.tolerance_ft;
    let is_between = |p: Point| {
        let at = at(p);
        along.cross(p - a).abs() <= reach
            && low < at
            && at < high
            && at > reach
            && at < a.distance(b) - reach
    };
    let mut drawn = map.drawn.iter().flat_map(|piece| piece.ends);
    drawn.any(is_between)
}
