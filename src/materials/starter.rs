//! Starter strip: along eaves, along pitch changes over a face that takes no shingles, and along rakes by choice (rule
//! `starter`).

use super::item::Item;
use super::need::{Need, Needs};
use super::runs::Run;
use super::site::Site;
use crate::roof::{EdgeClass, EdgeId, Side};

pub(super) fn needs(site: &Site<'_>, out: &mut Needs) {
    if !site.settings.applies("starter") {
        return;
    }
    for (run, purpose) in places(site) {
        out.push(
            Need::loose(Item::Starter, purpose, run.true_ft, run.true_ft)
                .edges(&run.edges)
                .rules(&["starter"]),
        );
    }
}

/// Where starter strips lie.
pub(super) fn places(site: &Site<'_>) -> Vec<(Run, &'static str)> {
    let of = |runs: Vec<Run>, purpose| runs.into_iter().map(move |run| (run, purpose));
    let over = site.runs_of(EdgeClass::PitchChange, |id| begins_at(site, id));
    let mut places: Vec<(Run, &'static str)> = of(site.runs(EdgeClass::Eave), "eaves")
        .chain(of(over, "pitch changes over faces without shingles"))
        .collect();
    if site.settings.starter_at_rakes {
        places.extend(of(site.runs(EdgeClass::Rake), "rakes"));
    }
    places
}

/// Whether courses begin at an edge between two faces: the upper one takes shingles and the lower one does not.
fn begins_at(site: &Site<'_>, id: EdgeId) -> bool {
    let shingled = |taken: bool| {
        let mut faces = site.roof.edge(id).faces.iter();
        faces.find(|f| site.is_shingled(**f) == taken)
    };
    let (Some(upper), Some(_)) = (shingled(true), shingled(false)) else {
        return false;
    };
    let face = site.roof.face(*upper);
    // A face lies on the left of its sides: it is the upper one where it rises to the left.
    std::iter::once(&face.outline)
        .chain(&face.holes)
        .any(|ring| {
            let n = ring.corners.len();
            (0..n).any(|i| {
                let (a, b) = (ring.corners[i].plan(), ring.corners[(i + 1) % n].plan());
                ring.sides[i] == Side::Edge(id)
                    && face.plane.gradient.dot((b - a).turn_left()) > 0.0
            })
        })
}
