//! Texts in a face that are a pitch but for a slip of the pen.

use super::Roof;
use crate::drawing::{Drawing, Mistyped};
use crate::{Finding, Place, Severity};

/// Tells the mistyped pitches that stand in a face; elsewhere on the sheet such a text may mean anything.
pub(super) fn tell(roof: &mut Roof, drawing: &Drawing) {
    // An angle in a face that has its pitch is that of a corner.
    let angle = |text: &&Mistyped| text.text.contains('°');
    for text in drawing.mistyped.iter().filter(|text| !angle(text)) {
        if let Some(face) = roof.face_at(text.level, text.at) {
            let told = finding(text, &format!(" in face {}", roof.face(face).name));
            roof.findings.push(told);
        }
    }
}

/// Where a pitch is missed, the texts that may have been meant as one are told, wherever they stand.
pub(super) fn tell_refused(findings: &mut Vec<Finding>, drawing: &Drawing) {
    if findings.iter().any(|f| PITCH_MISSED.contains(&f.code)) {
        let texts = drawing.mistyped.iter().take(MOST_TOLD);
        findings.extend(texts.map(|text| Finding {
            severity: Severity::Warning,
            ..finding(text, "")
        }));
    }
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
    Finding::note(
        "mistyped-pitch",
        format!(
            "The text “{}”{stands} looks like a mistyped pitch, or is beyond any; it was not used.",
            text.text
        ),
    )
    .remedy("Write it as 6/12 if it is the pitch of its face, else leave it.")
    .place(Place::on(&text.source, text.at))
}
