//! The planar subdivision of one level: strokes snapped and mended, faces found, a label in each.
//!
//! No heights here. The solver reads a [`PlanMap`] and turns it into planes.

mod arrows;
mod assemble;
mod attempt;
mod bare_sides;
mod between;
mod build;
mod courts;
mod curved;
mod dashed;
mod doubled;
mod flush;
mod groups;
mod halfedge;
mod heights;
mod islands;
mod kinds;
mod labels;
mod ladder;
mod load;
mod lost;
mod nearly_straight;
mod net;
mod noding;
mod note_frames;
mod openings;
mod outline;
mod overlaps;
mod owners;
mod past;
mod penetration;
mod pens;
mod piece;
mod pipes;
mod rating;
mod repair;
mod ring_round;
mod roof_layer;
mod select;
mod self_crossing;
mod shed;
mod sides;
mod simplify;
mod snap;
mod tables;
mod tangled;
mod tell;
mod text_frames;
mod twice;
mod unlabelled;
mod walls;
mod which_edge;

use std::sync::Arc;

pub use build::{MapOptions, build, build_from};
pub use curved::Facet;
pub(in crate::roof) use curved::{FARTHEST_FACET_FT, ON_CIRCLE_FT, ON_CIRCLE_PART, WIDEST_FACET};
pub(in crate::roof) use kinds::plan_area;
pub(in crate::roof) use load::too_many_lines;
pub(in crate::roof) use lost::roof_left_out;
pub(in crate::roof) use nearly_straight::CURVE_BEND;
pub(in crate::roof) use note_frames::speaks_of_pitches;
pub use openings::{MapOpening, OpeningPart};
pub(in crate::roof) use openings::{is_against_an_opening, share_openings};
pub use outline::{OutlinePlan, SidePlan};
pub use pipes::MapPipe;
pub use select::{EdgeLine, StrokeSet, candidates};

use crate::Finding;
use crate::drawing::text::{agree, counts_before};
use crate::geometry::Point;
use crate::place::Source;
use crate::units::Pitch;

/// The code of what is told of a hole in the roof that nothing names.
pub(in crate::roof) const TAKEN_FOR_COURTYARD: &str = "taken-for-courtyard";

/// The code of what is told of an opening that no face has.
pub(in crate::roof) const OPENING_OUTSIDE: &str = "opening-outside";

/// The plan of one level as a planar graph with its faces.
#[derive(Clone, Debug, Default)]
pub struct PlanMap {
    /// 0 for the lowest.
    pub level: u32,
    /// Corners and joints, in plan feet.
    pub nodes: Vec<Point>,
    /// Edges between nodes; each belongs to at least one face.
    pub edges: Vec<MapEdge>,
    /// Faces: the roof's, and no others (holes and the outside are absent).
    pub faces: Vec<MapFace>,
    /// The observations: drawn straight pieces with the chain of nodes that lie on each, for the adjustment.
    pub drawn: Vec<DrawnPiece>,
    /// Nodes inside flattened curves, in order: two edges meet in each, and neither is a side of its own.
    pub round_nodes: Vec<usize>,
    /// Curves of which the map has the chord alone: the points of each from end to end, in plan feet, where an outline was
    /// built as flat facets.
    pub round_sides: Vec<Vec<Point>>,
    /// The snap tolerance used, in feet.
    pub tolerance_ft: f64,
    /// The largest move that snapping made, in feet, and where it ended.
    pub largest_move: Option<(f64, Point)>,
    /// Openings: holes to be cut into faces. They are no faces and bound none.
    pub openings: Vec<MapOpening>,
    /// Pipes and vents.
    pub pipes: Vec<MapPipe>,
    /// Parts of which only the outline is drawn. They are not among the faces.
    pub outlines: Vec<OutlinePlan>,
    /// What was mended or noticed.
    pub findings: Vec<Finding>,
}

/// An edge of the map between two nodes.
#[derive(Clone, Debug)]
pub struct MapEdge {
    /// One node.
    pub a: usize,
    /// The other node.
    pub b: usize,
    /// The face to the left of a → b.
    pub left: Option<usize>,
    /// The face to the right of a → b.
    pub right: Option<usize>,
    /// Whether it lies on a line of the wall layer.
    pub on_wall: bool,
    /// The elements it was drawn with.
    pub sources: Vec<Arc<Source>>,
}

/// A face of the map.
#[derive(Clone, Debug)]
pub struct MapFace {
    /// Rings of directed edges: the outer one counter-clockwise first, then holes clockwise.
    pub rings: Vec<Vec<DirectedEdge>>,
    /// The pitch and half the last digit written (rise per run); `None` where no label was found.
    pub pitch: Option<LabelledPitch>,
    /// A direction that the water runs to, given by an arrow.
    pub fall_hint: Option<crate::geometry::Vector>,
    /// Its plane over plan feet, from a height common to the map's faces, where the map was built and not drawn.
    pub plane: Option<crate::geometry::Plane>,
    /// Whether it stands alone and no arrow says how it falls: it may be a shed, or the outline of a whole roof.
    pub could_be_outline: bool,
}

/// One use of an edge by a ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DirectedEdge {
    /// Index in [`PlanMap::edges`].
    pub edge: usize,
    /// Whether it is walked from b to a.
    pub reversed: bool,
}

/// A pitch as labelled.
#[derive(Clone, Debug)]
pub struct LabelledPitch {
    /// The pitch.
    pub pitch: Pitch,
    /// Half of the last digit written, as rise per run.
    pub half_step: f64,
    /// The label's element; `None` where `--pitch` gave it.
    pub source: Option<Arc<Source>>,
}

impl LabelledPitch {
    /// Whether a text says the same pitch, in another way perhaps.
    fn agrees(&self, pitch: Pitch, half_step: f64) -> bool {
        agree((self.pitch, self.half_step), (pitch, half_step))
    }

    /// Whether of two that agree it is the one that was meant.
    fn counts_before(&self, pitch: Pitch, half_step: f64) -> bool {
        counts_before((self.pitch, self.half_step), (pitch, half_step))
    }
}

/// One straight piece as drawn, and the nodes that it became.
#[derive(Clone, Debug)]
pub struct DrawnPiece {
    /// Its drawn ends.
    pub ends: [Point; 2],
    /// The nodes along it, from the first end to the second: two or more.
    pub nodes: Vec<usize>,
    /// Whether each drawn end belongs to the first and to the last of the nodes. Where it does not, the end lies
    /// somewhere along the line (an edge drawn in two strokes, or past a joint), and only its distance square to the
    /// line says anything.
    pub anchored: [bool; 2],
}

impl PlanMap {
    /// The nodes of a directed edge, from its start to its end.
    pub fn ends(&self, side: DirectedEdge) -> (usize, usize) {
        let edge = &self.edges[side.edge];
        if side.reversed {
            (edge.b, edge.a)
        } else {
            (edge.a, edge.b)
        }
    }
    /// The corners of each ring of a face, the outer one first.
    pub fn rings(&self, face: usize) -> Vec<Vec<Point>> {
        let rings = self.faces[face].rings.iter();
        rings.map(|ring| self.corners(ring)).collect()
    }
    /// The corners of a ring in order.
    pub fn corners(&self, ring: &[DirectedEdge]) -> Vec<Point> {
        ring.iter()
            .map(|&side| self.nodes[self.ends(side).0])
            .collect()
    }
}
