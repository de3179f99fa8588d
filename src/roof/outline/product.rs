//! The roof that an outline implies.

use super::input::Rises;
use crate::finding::Check;
use crate::geometry::{Plane, Point, Point3};
use crate::units::words::feet;
use crate::units::{Area, Length, Plan, True};
use crate::{Finding, Place};

/// The roof over an outline. Every check on it has passed: one that fails is never returned.
#[derive(Clone, Debug)]
pub struct OutlineRoof {
    /// Corners of the outline, in the order of their sides, and inner nodes; z over the lowest eave.
    pub nodes: Vec<Point3>,
    /// One for every side of the input, in its order.
    pub sides: Vec<RoofSide>,
    /// The linework inside the outline.
    pub arcs: Vec<OutlineArc>,
    /// What was noticed: changes to the outline, planes that took over others.
    pub notes: Vec<OutlineNote>,
    /// The checks made, each with its residual.
    pub checks: Vec<Check>,
    /// Height of the lowest eave over the input's datum, in feet.
    pub datum_ft: f64,
}

/// One side of the outline and the face that rises from it.
#[derive(Clone, Debug)]
pub struct RoofSide {
    /// What was asked for.
    pub rises: Rises,
    /// The nodes at its ends; `None` for a side that was dropped.
    pub base: Option<[usize; 2]>,
    /// The plane; `None` for gables, walls and dropped sides.
    pub plane: Option<Plane>,
    /// The face's corners, counter-clockwise from the eave's start; empty where no plane rises.
    pub corners: Vec<usize>,
    /// Clockwise rings of corners of what other faces cut out of it: a steep courtyard in a wide shallow plane.
    pub holes: Vec<Vec<usize>>,
    /// Plan area of the face.
    pub plan_area: Area<Plan>,
    /// Height of its eave over the lowest one, in feet.
    pub eave_ft: f64,
}

/// A straight piece of linework between two faces.
#[derive(Clone, Copy, Debug)]
pub struct OutlineArc {
    /// One node.
    pub from: usize,
    /// The other node.
    pub to: usize,
    /// The side whose face lies to the left of from → to.
    pub left: usize,
    /// The side whose face lies to the right.
    pub right: usize,
    /// What it is.
    pub kind: ArcKind,
    /// Whether both faces have the same height all along it, as between parallel eaves.
    pub level: bool,
}

/// What a piece of linework is, decided from the two planes that meet there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ArcKind {
    /// Level, both planes fall away from it.
    Ridge,
    /// Sloping, water parts on it; the sloping ridge between two eaves that are not parallel too.
    Hip,
    /// Water gathers in it.
    Valley,
    /// Both planes fall the same way at different pitches.
    PitchChange,
    /// Between a plane and a gable or wall, or the wall under a raised eave.
    Rake,
    /// Between two faces of one plane: no edge of the roof.
    Seam,
    /// The eave of a side that starts higher than the lowest one.
    Eave,
    /// The corner between two gables: a point in plan.
    WallCorner,
}

/// Something noticed on the way to the roof. Sides are the input's numbers, from 0.
#[derive(Clone, Debug, PartialEq)]
pub enum OutlineNote {
    /// A ring was given the other way round.
    RingTurned {
        /// The ring, 0 for the outer one.
        ring: usize,
    },
    /// A side too short to mean anything was dropped.
    SideDropped {
        /// The side.
        side: usize,
        /// Its length in feet.
        length_ft: f64,
    },
    /// A plane went on where another came level with it.
    CatchUp {
        /// The side whose plane goes on.
        winner: usize,
        /// The side whose plane ends in a level break.
        loser: usize,
        /// Height over the lowest eave, in feet.
        height_ft: f64,
        /// The level break's ends, as nodes.
        nodes: [usize; 2],
        /// Its length in feet.
        length_ft: f64,
    },
    /// A gable or wall beside an inner corner goes on over the roof: the roof has a step there.
    WallOverRoof {
        /// The side.
        side: usize,
    },
    /// Two gables, or a gable and a wall, meet at a corner: no eave lies there, and the planes of the other sides run up
    /// into it.
    GablesAtCorner {
        /// The two sides.
        sides: [usize; 2],
        /// The corner.
        at: Point,
    },
}

impl OutlineRoof {
    /// The plan length of a piece.
    pub fn plan_length(&self, arc: &OutlineArc) -> Length<Plan> {
        Length::feet(
            self.nodes[arc.from]
                .plan()
                .distance(self.nodes[arc.to].plan()),
        )
    }
    /// The length of a piece on the roof.
    pub fn true_length(&self, arc: &OutlineArc) -> Length<True> {
        Length::feet(self.nodes[arc.from].distance(self.nodes[arc.to]))
    }
    /// The length in plan and on the roof of all pieces of a kind.
    pub fn lengths(&self, kind: ArcKind) -> (Length<Plan>, Length<True>) {
        let of_kind = || self.arcs.iter().filter(|arc| arc.kind == kind);
        (
            of_kind().map(|arc| self.plan_length(arc)).sum(),
            of_kind().map(|arc| self.true_length(arc)).sum(),
        )
    }
    /// Plan area of all faces.
    pub fn plan_area(&self) -> Area<Plan> {
        self.sides.iter().map(|side| side.plan_area).sum()
    }
    /// Area of all faces on their slopes.
    pub fn true_area(&self) -> Area<True> {
        self.sides
            .iter()
            .filter_map(|side| match side.rises {
                Rises::Eave(pitch) => Some(pitch.true_area(side.plan_area)),
                Rises::Gable | Rises::Wall => None,
            })
            .sum()
    }
    /// The highest point over the lowest eave, in feet.
    pub fn max_height_ft(&self) -> f64 {
        self.nodes.iter().fold(0.0, |m, p| p.z.max(m))
    }
}

impl OutlineNote {
    /// The note for the estimator: planes that took over others and steps are warnings. `place_of` tells where a side
    /// was drawn.
    pub fn to_finding(&self, roof: &OutlineRoof, place_of: impl Fn(usize) -> Place) -> Finding {
        match self {
            Self::RingTurned { ring } => Finding::note(
                "outline-ring-turned",
                format!("Ring {} of the outline was drawn the other way round.", ring + 1),
            ),
            Self::SideDropped { side, length_ft } => Finding::note(
                "outline-side-dropped",
                format!("Side {} of the outline, {length_ft:.6} ft long, was left out.", side + 1),
            )
            .place(place_of(*side)),
            Self::CatchUp {
                winner,
                loser,
                height_ft,
                nodes,
                length_ft,
            } => Finding::warning(
                "pitch-catch-up",
                format!(
                    "The planes of sides {} and {} come level {} over the lowest eave; that of side {} goes on, and that of side {} ends there in a level break of {}.",
                    winner + 1,
                    loser + 1,
                    feet(*height_ft),
                    winner + 1,
                    loser + 1,
                    feet(*length_ft)
                ),
            )
            .remedy("check that this plane is meant to go on; the other rule for catch-ups takes the other")
            .place(Place::at(roof.nodes[nodes[0]].plan()))
            .place(place_of(*winner))
            .place(place_of(*loser)),
            Self::WallOverRoof { side } => Finding::warning(
                "gable-over-roof",
                format!(
                    "The gable or wall of side {} starts at an inner corner and goes on over the roof: there is a step in it.",
                    side + 1
                ),
            )
            .remedy("check that a wall is meant to stand there; else give the side a pitch")
            .place(place_of(*side)),
            Self::GablesAtCorner { sides: [a, b], at } => Finding::warning(
                "gables-at-one-corner",
                format!(
                    "Sides {} and {} of the outline, neither of them an eave, meet at a corner. By rule both stand still: the planes of the other sides run up to them and into the corner, which is high.",
                    a + 1,
                    b + 1
                ),
            )
            .remedy("Check that the roof is meant to rise into this corner; if not, write a pitch at one of the two sides.")
            .place(Place::at(*at))
            .place(place_of(*a))
            .place(place_of(*b)),
        }
    }
}
