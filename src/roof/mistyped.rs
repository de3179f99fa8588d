//! Texts in a face that are a pitch but for a slip of the pen.

use super::Roof;
use crate::drawing::text::{gives_two_pitches, states_an_angle};
use crate::drawing::{Drawing, Mistyped};
use crate::geometry::Point;
use crate::{Finding, Place, Severity};

/// Tells the mistyped pitches that stand in a face; elsewhere on the sheet such a text may mean anything.
pub(super) fn tell(roof: &mut Roof, drawing: &Drawing) {
    // An angle in a face that has its pitch is that of a corner.
    let angle = |text: &&Mistyped| text.text.contains('°') || states_an_angle(&text.text);
    for text in drawing.mistyped.iter().filter(|text| !angle(text)) {
        if let Some(face) = roof.face_at(text.level, text.at) {
            let told = finding(text, &format!(" in face {}", roof.face(face).name));
            roof.findings.push(told);
        }
    }
}

/// Where a pitch is missed, the texts that may have been meant as one are told, wherever they stand, the nearest first.
pub(super) fn tell_refused(findings: &mut Vec<Finding>, drawing: &Drawing) {
    let missed = findings.iter();
    let missed: Vec<&Finding> = missed.filter(|f| PITCH_MISSED.contains(&f.code)).collect();
    if missed.is_empty() {
        return;
    }
    let places = missed.iter().flat_map(|f| &f.places);
    let places: Vec<Point> = places.filter_map(|place| place.at).collect();
    let far = |text: &Mistyped| {
        let all = places.iter().map(|at| at.distance(text.at));
        all.fold(f64::INFINITY, f64::min)
    };
    let mut texts: Vec<&Mistyped> = drawing.mistyped.iter().collect();
    texts.sort_by(|a, b| far(a).total_cmp(&far(b)));
    let told = texts.into_iter().take(MOST_TOLD).map(|text| Finding {
        severity: Severity::Warning,
        ..finding(text, "")
    });
    findings.extend(told);
}

/// What is found where a face has no pitch.
const PITCH_MISSED: [&str; 4] = [
    "face-without-pitch",
    "no-pitch",
    "no-face-closes",
    "side-without-pitch",
];
/// More texts than this are no slips.
const MOST_TOLD: usize = 6;

fn finding(text: &Mistyped, stands: &str) -> Finding {
    let why = if states_an_angle(&text.text) {
        "gives an angle or a fall in words that are not read as a pitch's"
    } else if gives_two_pitches(&text.text) {
        "gives two pitches"
    } else {
        "looks like a mistyped pitch, or is beyond any"
    };
    Finding::note(
        "mistyped-pitch",
        format!("The text “{}”{stands} {why}; it was not used.", text.text),
    )
    .remedy("Write it as 6/12 if it is the pitch of its face, else leave it.")
    .place(Place::on(&text.source, text.at))
}
