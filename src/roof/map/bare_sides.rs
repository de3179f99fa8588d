//! Labels of short sides of an outline, which stand nearer to a longer side beside it than to their own.
//!
//! Each label is of the side that it is nearest to. Where that leaves a side bare while the one beside it has two, one of
//! the two is the bare side's, if it stands near enough to it.

use super::build::MapOptions;
use super::curved::Parted;
use super::outline::{AtSide, SidePlan, place_of, reach};
use super::sides::{is_beside, is_of_its_side};
use crate::drawing::Says;
use crate::geometry::Point;
use crate::{Finding, Place};

/// Which side each label is written at.
pub(super) struct WrittenAt {
    /// For each label the side of its ring, curves parted into facets.
    pub(super) sides: Vec<usize>,
    pub(super) findings: Vec<Finding>,
}

/// The sides that labels are written at: the nearest ones, but for those that a bare side beside them wants.
pub(super) fn written_at(
    near: &[AtSide<'_>],
    parted: &[Parted],
    sides: &[Vec<SidePlan>],
    roomiest: f64,
    options: &MapOptions,
) -> WrittenAt {
    let nearest = |at: &AtSide<'_>| parted[at.ring].side_of[at.side];
    let mut written = WrittenAt {
        sides: near.iter().map(nearest).collect(),
        findings: Vec::new(),
    };
    let speaks: Vec<bool> = near
        .iter()
        .map(|at| says_what_it_is(at, roomiest))
        .collect();
    let pitch = |at: &&AtSide<'_>| matches!(at.label.says, Says::Pitch { .. });
    let one_for_all = options.default_pitch.is_some()
        || near.iter().filter(pitch).any(|at| !is_beside(at, roomiest));
    let count: usize = sides.iter().map(Vec::len).sum();
    let one_each = speaks.iter().filter(|s| **s).count() == count;
    for (r, of_ring) in sides.iter().enumerate() {
        let n = of_ring.len();
        let at = |written: &WrittenAt, side: usize| -> Vec<usize> {
            (0..near.len())
                .filter(|&i| speaks[i] && near[i].ring == r && written.sides[i] == side)
                .collect()
        };
        for bare in 0..n {
            let is_bare = !of_ring[bare].wall && of_ring[bare].facet.is_none();
            if !is_bare || !at(&written, bare).is_empty() {
                continue;
            }
            let corners = &parted[r].corners;
            let to_bare = |p: Point| p.distance_to_segment(corners[bare], corners[(bare + 1) % n]);
            let beside = [(bare + n - 1) % n, (bare + 1) % n];
            let spare = beside.into_iter().flat_map(|side| {
                let labels = at(&written, side);
                let pitches = labels.iter().map(|&i| &near[i]).filter(pitch);
                let says: Vec<&Says> = pitches.map(|at| &at.label.says).collect();
                let differ = says.windows(2).any(|w| w[0] != w[1]);
                let may = labels.len() > 1 && (differ || one_each || !one_for_all);
                labels.into_iter().filter(move |_| may)
            });
            // How much farther it is from its side than from the bare one tells which of the two goes.
            let wanted = spare
                .map(|i| (i, to_bare(place_of(near[i].label)) - near[i].distance))
                .filter(|&(i, _)| to_bare(place_of(near[i].label)) <= reach(near[i].label))
                .min_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((label, _)) = wanted {
                written.sides[label] = bare;
                let middle = corners[bare].midpoint(corners[(bare + 1) % n]);
                written.findings.push(told(&near[label], middle));
            }
        }
    }
    written
}

/// Whether a label says what rises from its side, if anything.
fn says_what_it_is(at: &AtSide<'_>, roomiest: f64) -> bool {
    match at.label.says {
        Says::Pitch { .. } => is_beside(at, roomiest),
        Says::Gable | Says::Wall => is_of_its_side(at, roomiest),
        _ => false,
    }
}

fn told(at: &AtSide<'_>, bare: Point) -> Finding {
    Finding::note(
        "label-of-short-side",
        format!(
            "“{}” was read as written at the side of the outline that would have nothing written at it: it stands nearer to the side beside that one, which has a label of its own.",
            at.label.text
        ),
    )
    .remedy("If it is not of that side, move it along its own, away from the corner.")
    .place(Place::on(&at.label.source, place_of(at.label)))
    .place(Place::at(bare))
}
