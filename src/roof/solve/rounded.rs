//! Whole-number pitches that the lines contradict. A pitch written without a fraction may be rounded (7 for 6.6), and is read so
//! where its planes meet no other way; on most drawings it is exact, and then it is the lines that are wrong.

use crate::{Finding, Place};

use super::misfit::{self, Misfit};
use super::region::Roofing;
use super::sheet::{Sheet, SheetFace};
use super::{labels, pending, words};
use crate::units::METRES_PER_FOOT;

/// Slopes that differ by less (rise over run) are written alike.
const ALIKE: f64 = 1e-6;
/// Half of the last digit of a whole rise in 12, and within this of it, in 12.
const HALF_OF_WHOLE_IN_12: f64 = 0.5;
const HAIR_IN_12: f64 = 1e-6;

/// Whether a pitch is written as a whole rise in 12.
fn is_whole(face: &SheetFace) -> bool {
    let rise_in_12 = face.slope.unwrap_or_default() * 12.0;
    (rise_in_12 - rise_in_12.round()).abs() < HAIR_IN_12
        && (face.half_step * 12.0 - HALF_OF_WHOLE_IN_12).abs() < HAIR_IN_12
}

/// Faces of different labels whose planes, at exactly the pitches written, part along the lines between them. The planes
/// taken meet there, at other pitches within half of the last digit.
pub(super) fn told(sheet: &Sheet, roofing: &Roofing) -> Option<Finding> {
    let odd = |f| labels::outside(sheet, roofing, f) != 0.0;
    if (0..sheet.faces.len()).any(odd) {
        // Told already, with the pitch that would fit.
        return None;
    }
    let differ = |edge: usize| {
        let (left, right) = sheet.edges[edge].both()?;
        let [l, r] = [left, right].map(|f| sheet.faces[f].slope);
        let are_whole = [left, right].into_iter().all(|f| is_whole(&sheet.faces[f]));
        Some((l? - r?).abs() > ALIKE && are_whole)
    };
    let unlike: Vec<usize> = (0..sheet.edges.len())
        .filter(|&e| differ(e) == Some(true))
        .collect();
    if unlike.is_empty() {
        return None;
    }
    let exact = labels::to_the_letter(sheet, roofing);
    let parting: Vec<Misfit> = unlike
        .into_iter()
        .filter_map(|edge| misfit::misfit(sheet, &exact, edge))
        .collect();
    let worst = parting
        .iter()
        .max_by(|a, b| a.parting.total_cmp(&b.parting))?;
    let edge = &sheet.edges[worst.edge];
    let ends = [edge.a, edge.b].map(|n| sheet.to_plan(sheet.nodes[n]));
    let written = worst.faces.map(|f| pending::label(sheet, f));
    let taken = worst
        .faces
        .map(|f| words::pitch(roofing.planes[f].gradient.length()));
    let more = match parting.len() - 1 {
        0 => String::new(),
        1 => "; one more line is off so".to_owned(),
        n => format!("; {n} more lines are off so"),
    };
    let message = format!(
        "at exactly {} and {} the planes stand {} apart along the {} drawn from {} to {}{more}; they were taken at {} and {}, \
         as if the pitches were rounded",
        written[0],
        written[1],
        words::feet(worst.parting / METRES_PER_FOOT),
        misfit::class_words(sheet, &exact, worst.edge),
        words::place(ends[0]),
        words::place(ends[1]),
        taken[0],
        taken[1],
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
