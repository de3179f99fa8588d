//! Pitches that differ and that the lines contradict by no more than their rounding. A pitch may be written rounded (7 for
//! 6.6); on most drawings it is exact, and then it is the lines that are wrong. The roof is taken off at the pitches written.

use crate::{Finding, Place};

use super::curves::Curves;
use super::misfit::{self, Readings};
use super::region::Roofing;
use super::sheet::Sheet;
use super::{labels, pending, words};
use crate::units::METRES_PER_FOOT;

/// Faces of different labels whose planes, at exactly the pitches written, part along the lines between them, and would meet
/// there at other pitches within half of the last digit.
pub(super) fn told(
    sheet: &Sheet,
    roofing: &Roofing,
    readings: &Readings,
    curves: &Curves,
) -> Option<Finding> {
    let odd = |f| labels::outside(sheet, roofing, f) != 0.0;
    if (0..sheet.faces.len()).any(odd) {
        // Told already, with the pitch that would fit.
        return None;
    }
    let parting = readings.missed_by_rounding(sheet, curves);
    let worst = parting
        .iter()
        .max_by(|a, b| a.parting.total_cmp(&b.parting))?;
    let edge = &sheet.edges[worst.edge];
    let ends = [edge.a, edge.b].map(|n| sheet.to_plan(sheet.nodes[n]));
    let written = worst.faces.map(|f| pending::label(sheet, f));
    let would_meet = worst
        .faces
        .map(|f| words::pitch_unlike(sheet.faces[f].slope, roofing.planes[f].gradient.length()));
    let more = match parting.len() - 1 {
        0 => String::new(),
        1 => "; one more line is off so".to_owned(),
        n => format!("; {n} more lines are off so"),
    };
    let message = format!(
        "at exactly {} and {} the planes stand {} apart along the {} drawn from {} to {}{more}; they would \
         meet at {} and {}, of which those may be rounded. Areas are computed with the labels",
        written[0],
        written[1],
        words::feet(worst.parting / METRES_PER_FOOT),
        misfit::class_words(sheet, &readings.letter, worst.edge),
        words::place(ends[0]),
        words::place(ends[1]),
        would_meet[0],
        would_meet[1],
    );
    let finding = Finding::warning("pitches-part-at-lines", message).remedy(
        "Either the pitches are rounded, then write them as they are (6.6/12), or they are exact, then draw the line where \
         their planes meet.",
    );
    Some(parting.iter().fold(finding, |finding, misfit| {
        let edge = &sheet.edges[misfit.edge];
        let middle = sheet.nodes[edge.a].midpoint(sheet.nodes[edge.b]);
        finding.place(Place::at(sheet.to_plan(middle)))
    }))
}
