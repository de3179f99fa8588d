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

/// Which way an arrow in a face runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Down,
    Up,
}

/// What is said of arrows that point up the slopes that they lie in: asked where in no face one points down, since the roof is
/// inside out if they are falls; else told.
pub(super) fn against_falls(roof: &Roof, drawing: &Drawing, accepts: bool) -> Option<Finding> {
    let speaking: Vec<(Way, &FallArrow)> = drawing
        .loose_arrows
        .iter()
        .filter_map(|arrow| Some((way(roof, drawing, arrow)?, arrow)))
        .collect();
    let of = |wanted: Way| speaking.iter().filter(move |(way, _)| *way == wanted);
    let up: Vec<&FallArrow> = of(Way::Up).map(|(_, arrow)| *arrow).collect();
    if up.is_empty() {
        return None;
    }
    let are_all = of(Way::Down).next().is_none();
    let message = match up.len() {
        1 => "An arrow with a head points up the slope found for its face: no layer says whether it is a fall, a leader or a way up.".to_owned(),
        count => format!("{count} arrows with heads point up the slopes found for their faces: no layer says whether they are falls, leaders or ways up."),
    };
    let told = match are_all && !accepts {
        true => Finding::error("arrow-against-fall", message),
        false => Finding::warning("arrow-against-fall", message),
    }
    .remedy("Draw arrows that show where water runs on a layer named fall, and others on a layer named note.");
    let places = up.iter().take(MOST_PLACES);
    let places = places.map(|a| Place::on(&a.source, a.from.midpoint(a.to)));
    Some(places.fold(told, Finding::place))
}

/// Which way an arrow runs in the face that holds all of it; none where the face's fall was drawn on the layer for it, or where a
/// word beside says that the arrow goes up.
fn way(roof: &Roof, drawing: &Drawing, arrow: &FallArrow) -> Option<Way> {
    let middle = arrow.from.midpoint(arrow.to);
    let FaceId(face) = roof.face_at(arrow.level, middle)?;
    let face: &Face = &roof.faces[face];
    let is_drawn =
        |fall: &FallArrow| fall.level == face.level && face.covers(fall.from.midpoint(fall.to));
    let is_settled =
        drawing.falls.iter().any(is_drawn) || drawing.ups.iter().any(|up| face.covers(up.at));
    if is_settled || !face.covers(arrow.from) || !face.covers(arrow.to) {
        return None;
    }
    let off = (arrow.to - arrow.from).angle_to_deg(face.fall()?);
    match off {
        off if off <= ALONG_DEG => Some(Way::Down),
        off if off >= 180.0 - ALONG_DEG => Some(Way::Up),
        _ => None,
    }
}
