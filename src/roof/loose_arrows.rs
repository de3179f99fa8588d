//! Arrows that stand on no layer of falls: they decide nothing, but where they point against the falls that were found the roof may be
//! inside out.

use super::{Face, FaceId, Roof};
use crate::drawing::{Drawing, FallArrow};
use crate::{Finding, Place};

/// An arrow speaks of a face's slope where it runs along the fall or against it, up to this angle in degrees: what is drawn by
/// hand is off by no more. Others are leaders.
const ALONG_DEG: f64 = 20.0;
/// Places named in one finding.
const MOST_PLACES: usize = 8;

/// What is told of arrows that point up the slopes that they lie in: the roof is inside out if they are falls, and as it should be if
/// they are leaders.
pub(super) fn against_falls(roof: &Roof, drawing: &Drawing) -> Option<Finding> {
    let arrows = drawing.loose_arrows.iter();
    let up: Vec<&FallArrow> = arrows
        .filter(|arrow| points_up(roof, drawing, arrow))
        .collect();
    if up.is_empty() {
        return None;
    }
    let message = match up.len() {
        1 => "An arrow with a head points up the slope found for its face: no layer says whether it is a fall, a leader or a way up.".to_owned(),
        count => format!("{count} arrows with heads point up the slopes found for their faces: no layer says whether they are falls, leaders or ways up."),
    };
    let told = Finding::warning("arrow-against-fall", message).remedy("Draw arrows that show where water runs on a layer named fall, and others on a layer named note.");
    let places = up.iter().take(MOST_PLACES);
    let places = places.map(|a| Place::on(&a.source, a.from.midpoint(a.to)));
    Some(places.fold(told, Finding::place))
}

/// Whether an arrow runs up the face that holds all of it; not where the face's fall was drawn on the layer for it, or where a
/// word beside says that the arrow goes up.
fn points_up(roof: &Roof, drawing: &Drawing, arrow: &FallArrow) -> bool {
    let middle = arrow.from.midpoint(arrow.to);
    let Some(FaceId(face)) = roof.face_at(arrow.level, middle) else {
        return false;
    };
    let face: &Face = &roof.faces[face];
    let is_drawn =
        |fall: &FallArrow| fall.level == face.level && face.covers(fall.from.midpoint(fall.to));
    let is_settled =
        drawing.falls.iter().any(is_drawn) || drawing.ups.iter().any(|up| face.covers(up.at));
    let off = |fall| (arrow.to - arrow.from).angle_to_deg(fall);
    !is_settled
        && face.covers(arrow.from)
        && face.covers(arrow.to)
        && face
            .fall()
            .is_some_and(|fall| off(fall) >= 180.0 - ALONG_DEG)
}
