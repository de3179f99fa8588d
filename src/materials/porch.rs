//! Porches: roofs that run on under a steeper or flatter one and whose eave stands farther out. The job says one overhang for
//! all eaves, and behind a porch the wall stands much farther in (rule `ice-barrier`).

use super::across;
use super::frame::FlatFace;
use super::site::Site;
use crate::geometry::ring;
use crate::roof::{EdgeClass, FaceId};
use crate::units::number::listed;
use crate::{Finding, Place};

/// Of the finding.
pub(super) const CODE: &str = "porch-ice-barrier";
/// An eave that stands no farther out than this before another one is in line with it, in feet: chosen, no source.
const IN_LINE_FT: f64 = 0.5;

/// Tells where the ice barrier may fall short: as it is counted it reaches `inside_in` inches inside a wall that stands
/// `overhang_in` behind every eave.
pub(super) fn told(
    site: &Site<'_>,
    flats: &[Option<FlatFace>],
    overhang_in: f64,
    inside_in: f64,
) -> Option<Finding> {
    let porches = porches(site, flats);
    let name = |face: FaceId| &site.roof.face(face).name;
    let named: Vec<String> = (porches.iter())
        .map(|&(porch, above)| format!("{} (below {})", name(porch), name(above)))
        .collect();
    let named: Vec<&str> = named.iter().map(String::as_str).collect();
    let (are, behind) = match named.len() {
        0 => return None,
        1 => ("is a porch", "behind it"),
        _ => ("are porches", "behind them"),
    };
    let finding = Finding::warning(
        CODE,
        format!(
            "One overhang, {}, is taken for all eaves; where {} {are}, the ice barrier has to reach {} inside the wall {behind}, and is listed too short.",
            site.words.small(overhang_in),
            listed(&named, "and"),
            site.words.small(inside_in),
        ),
    )
    .remedy("Measure how far behind that eave the wall stands; add the sheet that is missing, on over the line between the two faces where the wall is near it.");
    let places = porches.iter().map(|&(porch, _)| site.roof.face(porch));
    Some(places.fold(finding, |finding, face| {
        finding.place(Place::at(face.label_at))
    }))
}

/// Faces with an eave, each with the one above it that has an eave of its own farther in.
fn porches(site: &Site<'_>, flats: &[Option<FlatFace>]) -> Vec<(FaceId, FaceId)> {
    let is_porch = |&(lower, upper): &(FaceId, FaceId)| {
        let takes_barrier = site.is_shingled(lower) || site.is_shingled(upper);
        let Some(fall) = site.roof.face(lower).fall().filter(|_| takes_barrier) else {
            return false;
        };
        let eaves_out = |face: FaceId| {
            let edges = site.roof.edges.iter();
            let eaves =
                edges.filter(move |e| e.class == EdgeClass::Eave && e.faces.contains(&face));
            eaves.map(move |e| ring::reach(&[e.start.plan(), e.end.plan()], fall).1)
        };
        let out = eaves_out(lower).fold(f64::NEG_INFINITY, f64::max);
        eaves_out(upper).any(|other| out > other + IN_LINE_FT)
    };
    let mut pairs = across::below_and_above(site, flats);
    pairs.retain(is_porch);
    pairs
}
