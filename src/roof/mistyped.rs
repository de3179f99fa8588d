//! Texts in a face that are a pitch but for a slip of the pen.

use super::{Face, Roof};
use crate::drawing::{Drawing, Mistyped};
use crate::geometry::{Point, ring};
use crate::{Finding, Place};

/// Tells the mistyped pitches that stand in a face; elsewhere on the sheet such a text may mean anything.
pub(super) fn tell(roof: &mut Roof, drawing: &Drawing) {
    for text in &drawing.mistyped {
        if let Some(face) = roof.faces.iter().find(|f| holds(f, text.at)) {
            let told = finding(text, &face.name);
            roof.findings.push(told);
        }
    }
}

fn holds(face: &Face, p: Point) -> bool {
    let plan = |corners: &[crate::geometry::Point3]| -> Vec<Point> {
        corners.iter().map(|c| c.plan()).collect()
    };
    ring::contains(&plan(&face.outline.corners), p)
}

fn finding(text: &Mistyped, face: &str) -> Finding {
    Finding::note(
        "mistyped-pitch",
        format!(
            "The text “{}” in face {face} looks like a mistyped pitch; it was not used.",
            text.text
        ),
    )
    .remedy("Write it as 6/12 if it is the pitch of that face, else leave it.")
    .place(Place::on(&text.source, text.at))
}
