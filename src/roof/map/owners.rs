//! Which roof a label speaks of that stands in none: the one that it is nearest to.

use super::PlanMap;
use super::outline::{Owned, gap, place_of, reach};
use crate::geometry::{Point, ring};
use crate::units::words::feet;
use crate::{Finding, Place};

/// What is no farther than this many times the nearest is about as near: a hand does not set texts more exactly.
pub(super) const AS_NEAR: f64 = 1.3;

/// Gives every label that no face holds to the face that it is nearest to, if it stands beside any. Returns what is asked of
/// those that stand about as near to another roof.
pub(super) fn give(
    map: &PlanMap,
    alone: &[bool],
    out: &[bool],
    labels: &mut [Owned<'_>],
) -> Vec<Finding> {
    let mut asked = Vec::new();
    if !alone.contains(&true) {
        return asked;
    }
    let faces = (0..map.faces.len()).filter(|&f| !out[f]);
    let faces: Vec<(usize, Vec<Vec<Point>>)> = faces.map(|f| (f, map.rings(f))).collect();
    for owned in labels.iter_mut().filter(|l| l.face.is_none()) {
        let label = owned.label;
        let at = place_of(label);
        let mut beside: Vec<(f64, usize)> = faces
            .iter()
            .filter_map(|(face, rings)| {
                let sides = rings.iter().flat_map(|r| ring::sides(r));
                let within = sides.filter(|&(a, b)| gap(label, a, b) <= reach(label));
                let nearest = within.map(|(a, b)| at.distance_to_segment(a, b));
                Some((nearest.min_by(f64::total_cmp)?, *face))
            })
            .collect();
        beside.sort_by(|a, b| a.0.total_cmp(&b.0));
        let Some(&(nearest_ft, face)) = beside.first() else {
            continue;
        };
        owned.speaks_of = Some(face);
        // The faces of one roof share their corners; what is written at them is a note.
        let other = beside
            .iter()
            .find(|(_, f)| *f != face && (alone[*f] || alone[face]));
        if let Some(&(other_ft, _)) = other.filter(|(ft, _)| *ft <= AS_NEAR * nearest_ft) {
            asked.push(
                Finding::error(
                    "label-between-roofs",
                    format!(
                        "“{}” stands about as near to one roof as to another, {} and {}: it does not say of which.",
                        label.text,
                        feet(nearest_ft),
                        feet(other_ft)
                    ),
                )
                .remedy("Move it nearer to its own roof, or draw a leader on a layer named note from it to its side.")
                .place(Place::on(&label.source, at)),
            );
        }
    }
    asked
}
