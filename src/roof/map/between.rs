//! Labels that stand about as near to one side of an outline as to another, in a notch or off a corner: of which they speak is
//! asked where it makes another roof.

use super::LabelledPitch;
use super::outline::{AtSide, SidePlan, gap, place_of, reach};
use super::owners::AS_NEAR;
use super::sides::{is_beside, is_of_its_side};
use crate::drawing::{Label, Says};
use crate::geometry::{Point, Vector};
use crate::units::words::feet;
use crate::{Finding, Place};

/// Sides that turn by less than this, as the sine (10°), are one line.
const ONE_LINE: f64 = 0.17;

/// What is asked of the labels of an outline. `written_at` is the side that each was taken for, `rest` the pitch of the sides
/// that have none of their own.
pub(super) fn ask(
    near: &[AtSide<'_>],
    rings: &[Vec<Point>],
    sides: &[Vec<SidePlan>],
    written_at: &[usize],
    roomiest: f64,
    rest: Option<&LabelledPitch>,
) -> Vec<Finding> {
    let ends = |ring: usize, side: usize| {
        let corners = &rings[ring];
        (corners[side], corners[(side + 1) % corners.len()])
    };
    let all: Vec<(usize, usize)> = (0..rings.len())
        .flat_map(|r| (0..rings[r].len()).map(move |s| (r, s)))
        .collect();
    let mut asked = Vec::new();
    for (i, at) in near.iter().enumerate() {
        if !matters(at, roomiest, rest) {
            continue;
        }
        let own = (at.ring, written_at[i]);
        let to = |(r, s): (usize, usize)| {
            let (a, b) = ends(r, s);
            place_of(at.label).distance_to_segment(a, b)
        };
        let way = |(r, s): (usize, usize)| {
            let (a, b) = ends(r, s);
            (b - a).unit().unwrap_or(Vector::default())
        };
        // What stands squarely before one side is not of another that only its corner is near to.
        let before = |(r, s): (usize, usize)| {
            let (a, b) = ends(r, s);
            let along = (place_of(at.label) - a).dot(b - a);
            (0.0..=(b - a).dot(b - a)).contains(&along)
        };
        let is_bare = |&(r, s): &(usize, usize)| {
            let has_own = |j: usize| {
                let other = &near[j];
                (other.ring, written_at[j]) == (r, s) && same_kind(other.label, at.label)
            };
            let side = &sides[r][s];
            side.facet.is_none() && !side.wall && !(0..near.len()).any(|j| j != i && has_own(j))
        };
        let rival = all
            .iter()
            .copied()
            .filter(|&side| side != own && sides[own.0][own.1].facet.is_none())
            .filter(|&side| {
                to(side) <= AS_NEAR * to(own) && in_reach(at.label, ends(side.0, side.1))
            })
            .filter(|&side| way(side).cross(way(own)).abs() > ONE_LINE)
            .filter(|&side| before(side) || !before(own))
            .filter(is_bare)
            .min_by(|&a, &b| to(a).total_cmp(&to(b)));
        if let Some(rival) = rival {
            let middle = |(r, s): (usize, usize)| {
                let (a, b) = ends(r, s);
                Place::at(a.midpoint(b))
            };
            asked.push(
                Finding::error(
                    "label-between-sides",
                    format!(
                        "“{}” stands about as near to one side of the outline as to another, {} and {}: it does not say of which.",
                        at.label.text,
                        feet(to(own)),
                        feet(to(rival))
                    ),
                )
                .remedy("Move it nearer to its own side, away from the other, or draw a leader on a layer named note from it to its side.")
                .place(Place::on(&at.label.source, place_of(at.label)))
                .place(middle(own))
                .place(middle(rival)),
            );
        }
    }
    asked
}

fn in_reach(label: &Label, (a, b): (Point, Point)) -> bool {
    gap(label, a, b) <= reach(label)
}

/// Whether the roof is another one if the label is of another side.
fn matters(at: &AtSide<'_>, roomiest: f64, rest: Option<&LabelledPitch>) -> bool {
    match at.label.says {
        // Without a pitch for the rest, the side that has none is told.
        Says::Pitch { pitch, .. } => {
            is_beside(at, roomiest) && rest.is_some_and(|rest| rest.pitch != pitch)
        }
        Says::Gable | Says::Wall | Says::EaveHeight(_) => is_of_its_side(at, roomiest),
        _ => false,
    }
}

/// Whether two labels say the same kind of thing of a side.
fn same_kind(a: &Label, b: &Label) -> bool {
    let rises = |label: &Label| matches!(label.says, Says::Pitch { .. } | Says::Gable | Says::Wall);
    let height = |label: &Label| matches!(label.says, Says::EaveHeight(_));
    rises(a) && rises(b) || height(a) && height(b)
}
