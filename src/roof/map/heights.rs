//! How high the eaves of an outline lie that say nothing of it.

use super::outline::SidePlan;
use super::sides::firsts;
use crate::units::words::feet;
use crate::{Finding, Place};

/// Heights nearer than this are one height written twice, in feet: rounding between units.
const SAME_HEIGHT_FT: f64 = 1e-6;
/// Sides named in one finding.
const MOST_PLACES: usize = 8;

/// Gives every eave its height over the drawing's datum. One that says nothing is as high as the outline says in its middle
/// (`for_all_ft`), else as high as those that do say it, else it lies at the datum. Where these differ it is asked for.
pub(super) fn settle(
    sides: &mut [Vec<SidePlan>],
    for_all_ft: Option<f64>,
    place_of: impl Fn(usize, usize) -> Place,
) -> Vec<Finding> {
    let is_silent = |side: &SidePlan| !side.is_still() && side.eave_height_ft.is_none();
    let eaves = sides.iter().flatten().filter(|side| !side.is_still());
    let mut named: Vec<f64> = eaves.filter_map(|side| side.eave_height_ft).collect();
    named.sort_by(f64::total_cmp);
    named.dedup_by(|b, a| *b - *a <= SAME_HEIGHT_FT);
    let mut silent: Vec<Place> = Vec::new();
    for (r, ring) in sides.iter().enumerate() {
        let is_first = firsts(ring);
        let of_ring = (0..ring.len()).filter(|&i| is_silent(&ring[i]) && is_first[i]);
        silent.extend(of_ring.map(|i| place_of(r, i)));
    }
    let assumed_ft = match (for_all_ft, &named[..]) {
        (Some(all), _) => Some(all),
        (None, []) => None,
        (None, [one]) => Some(*one),
        (None, several) => {
            let heights: Vec<String> = several.iter().map(|h| feet(*h)).collect();
            return silent
                .into_iter()
                .map(|place| {
                    Finding::error(
                        "side-without-eave-height",
                        format!(
                            "This eave does not say how high it lies, and the others do not agree: {}.",
                            heights.join(", ")
                        ),
                    )
                    .remedy("Write the height of the eave beside it (eave 9'-0\"), or one in the middle of the outline for all eaves that say nothing.")
                    .place(place)
                })
                .collect();
        }
    };
    let Some(assumed_ft) = assumed_ft else {
        return Vec::new();
    };
    for side in sides.iter_mut().flatten().filter(|side| is_silent(side)) {
        side.eave_height_ft = Some(assumed_ft);
    }
    if for_all_ft.is_some() || silent.is_empty() {
        return Vec::new();
    }
    let told = Finding::note(
        "eave-heights-assumed",
        format!(
            "Eaves that do not say how high they lie were taken to be as high as those that do, {}.",
            feet(assumed_ft)
        ),
    )
    .remedy("Write the height beside each eave that lies higher or lower.");
    vec![
        silent
            .into_iter()
            .take(MOST_PLACES)
            .fold(told, Finding::place),
    ]
}
