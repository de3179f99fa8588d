//! From strokes to a roof: faces, falls, heights, edges, measures.
//!
//! [`map`] makes the planar subdivision (strokes snapped, faces found, a label in each); the solver turns every
//! face's pitch into a plane; [`Roof`] is the result that every later stage reads.

mod choose;
mod compass;
mod courtyard;
mod cricket;
mod fan;
mod limits;
mod loose_arrows;
pub mod map;
mod mistyped;
pub mod outline;
mod round;
mod size;
mod solve;
mod views;

pub use crate::finding::Check;
pub use choose::RoofOptions;
pub use compass::{COMPASS_POINTS, compass_point};
pub use cricket::CRICKET_OVER_IN;
pub(crate) use limits::{Hinge, near_limits};
pub use limits::{SlopeLimits, is_below};
pub use solve::{SolveOptions, SuggestedFall, Unsolved};

use std::sync::Arc;

use crate::Finding;
use crate::geometry::{Plane, Point, Point3, Vector, ring};
use crate::place::Source;
use crate::units::{Area, Length, Pitch, Plan, True};

/// A solved roof. Heights are feet above the lowest eave.
#[derive(Clone, Debug, Default)]
pub struct Roof {
    /// Faces, in the order of their names' compass points and sizes.
    pub faces: Vec<Face>,
    /// Edges. A step between two heights is two edges with one face each.
    pub edges: Vec<Edge>,
    /// Edges that together are one round edge, drawn as a curve: each from end to end in order.
    pub round_edges: Vec<Vec<EdgeId>>,
    /// Openings cut out of faces.
    pub openings: Vec<Opening>,
    /// Pipes and vents through faces.
    pub penetrations: Vec<Penetration>,
    /// Checks made on the result, each with its residual.
    pub checks: Vec<Check>,
    /// The snap tolerance used, in feet.
    pub snap_tolerance_ft: f64,
    /// The largest move that snapping and adjusting made, in feet, and where it ended.
    pub largest_move: Option<(f64, Point)>,
    /// One standard error of the total true area in ft², from the tracing errors; `None` where not estimated.
    pub true_area_std_error_sqft: Option<f64>,
    /// The compass bearing of the plan's upward direction, in degrees: 0 when north is up.
    pub up_bearing_deg: f64,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// Index of a face in [`Roof::faces`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FaceId(pub usize);
/// Index of an edge in [`Roof::edges`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EdgeId(pub usize);
/// Index of an opening in [`Roof::openings`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct OpeningId(pub usize);

/// One plane face.
#[derive(Clone, Debug)]
pub struct Face {
    /// `S1`, `E2`, `NW1`, flat ones `FL1`: the compass direction that it falls to, numbered from the largest.
    pub name: String,
    /// The pitch that its areas are computed with: its label's.
    pub pitch: Pitch,
    /// Half of the last digit that the label writes the pitch to, as rise over run; 0 where nothing wrote it.
    pub pitch_half_step: f64,
    /// The plane: z over plan feet.
    pub plane: Plane,
    /// 0 for the lowest level.
    pub level: u32,
    /// The outer ring, counter-clockwise seen from above.
    pub outline: Ring,
    /// Holes, clockwise: openings and parts covered by or given to others.
    pub holes: Vec<Ring>,
    /// Plan area without the holes.
    pub plan_area: Area<Plan>,
    /// Area on the slope without the holes.
    pub true_area: Area<True>,
    /// A roomy place inside for its name (pole of inaccessibility).
    pub label_at: Point,
    /// Why it falls as it does, for `--explain`.
    pub why: String,
    /// The label that gave the pitch, where one did.
    pub source: Option<Arc<Source>>,
}

/// A closed ring of a face.
#[derive(Clone, Debug, Default)]
pub struct Ring {
    /// Corners on the face's plane.
    pub corners: Vec<Point3>,
    /// `sides[i]` says what lies between corner i and corner i + 1 (the last joins the first).
    pub sides: Vec<Side>,
}

/// What one side of a face is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// An edge of the roof.
    Edge(EdgeId),
    /// A side of an opening.
    Opening(OpeningId),
}

/// An edge of the roof. It may be part of a longer straight line: measure sums per class, not counts.
#[derive(Clone, Debug)]
pub struct Edge {
    /// What it is.
    pub class: EdgeClass,
    /// The one face, or the two faces that meet in it.
    pub faces: Vec<FaceId>,
    /// One end.
    pub start: Point3,
    /// The other end.
    pub end: Point3,
    /// Length in plan.
    pub plan_length: Length<Plan>,
    /// Length on the roof.
    pub true_length: Length<True>,
    /// The drawing elements that it was drawn with.
    pub sources: Vec<Arc<Source>>,
}

/// The trade's names for edges. Level means: rises less than 3 in 100 of its length, or less than 20 mm (3/4 in).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum EdgeClass {
    /// Outer edge, level, the face falls towards it.
    Eave,
    /// Outer edge, level, the face rises towards it: the top of a lean-to.
    HighEdge,
    /// Outer edge that slopes.
    Rake,
    /// Between two faces, level, both fall away from it.
    Ridge,
    /// Between two faces, sloping, water parts on it.
    Hip,
    /// Between two faces, water gathers in it; level ones too.
    Valley,
    /// Between two faces that fall the same way at different pitches.
    PitchChange,
    /// The top edge of a face, level, against a wall or the side of a higher part.
    Headwall,
    /// A sloping edge of a face against a wall or the side of a higher part.
    Sidewall,
    /// Outer edge of a level face.
    FlatEdge,
    /// Between two faces of one plane: a drawn line that no water parts on, gathers in or notices ([`ONE_PLANE`]).
    InPlane,
}

impl EdgeClass {
    /// All of them, in the order that reports list them.
    pub const ALL: [Self; 11] = [
        Self::Eave,
        Self::HighEdge,
        Self::Rake,
        Self::Ridge,
        Self::Hip,
        Self::Valley,
        Self::PitchChange,
        Self::Headwall,
        Self::Sidewall,
        Self::FlatEdge,
        Self::InPlane,
    ];

    /// The name in machine-readable output.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Eave => "eave",
            Self::HighEdge => "high_edge",
            Self::Rake => "rake",
            Self::Ridge => "ridge",
            Self::Hip => "hip",
            Self::Valley => "valley",
            Self::PitchChange => "pitch_change",
            Self::Headwall => "headwall",
            Self::Sidewall => "sidewall",
            Self::FlatEdge => "flat_edge",
            Self::InPlane => "in_plane",
        }
    }

    /// The name as printed for people.
    pub const fn words(self) -> &'static str {
        match self {
            Self::HighEdge => "high edge",
            Self::PitchChange => "pitch change",
            Self::FlatEdge => "flat edge",
            Self::InPlane => "in-plane line",
            _ => self.key(),
        }
    }
}

/// An opening cut out of one or more faces: chimney, skylight.
#[derive(Clone, Debug)]
pub struct Opening {
    /// `chimney`, `skylight`, or `opening`: what its layer or element was called.
    pub kind: String,
    /// Its outline in plan, counter-clockwise.
    pub outline: Vec<Point>,
    /// Faces it is cut out of.
    pub faces: Vec<FaceId>,
    /// Its flashing, stretch by stretch, what lies below it first: a face beyond a ridge that it touches is flashed to it too.
    pub flashing: Vec<Flashing>,
    /// True length of flashing below it (apron): the sum of its stretches.
    pub apron: Length<True>,
    /// True length of flashing along its sides (step flashing): the sum of its stretches.
    pub sides: Length<True>,
    /// True length of flashing above it (head): the sum of its stretches.
    pub head: Length<True>,
    /// Width square to the fall, in plan: over 30 in asks for a cricket.
    pub width: Length<Plan>,
    /// How wide water runs on to it, square to the fall of each of its faces, in plan; of several faces the sum. Astride a
    /// hip, or at a ridge, it is less than its width.
    pub meets_water: Length<Plan>,
    /// The element it came from.
    pub source: Arc<Source>,
}

impl Opening {
    /// Whether it was called a chimney.
    pub fn is_chimney(&self) -> bool {
        self.kind.contains("chimney")
    }
    /// Whether it was called a skylight.
    pub fn is_skylight(&self) -> bool {
        self.kind.contains("skylight")
    }
    /// Whether somebody can fall through it: any but a chimney, whose masonry fills it.
    pub fn is_fall_hazard(&self) -> bool {
        !self.is_chimney()
    }
}

/// A stretch of flashing between an opening and one face: all of one flank that goes on without a break, round a curve too.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flashing {
    /// The face that ends there.
    pub face: FaceId,
    /// Where the opening has it, as water runs on that face.
    pub flank: Flank,
    /// Length on the roof.
    pub length: Length<True>,
    /// How far it reaches up the slope, which is less along a curve or a slant; on a level face its length.
    pub up: Length<True>,
}

/// Where flashing lies as seen from an opening. A chimney astride a ridge has some below it on both its slopes, and none
/// above.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Flank {
    /// Water runs away from the opening: an apron.
    Below,
    /// Water runs along it: step flashing. On a level face all of it is upstand, told as this.
    Beside,
    /// Water runs on to it: head flashing, or a cricket.
    Above,
}

/// A pipe or vent.
#[derive(Clone, Debug)]
pub struct Penetration {
    /// Its middle in plan.
    pub at: Point,
    /// The face it goes through.
    pub face: FaceId,
    /// Its diameter where drawn or written.
    pub diameter: Option<Length<Plan>>,
    /// Whether that is as written beside it, not as drawn.
    pub is_written: bool,
    /// The element it came from.
    pub source: Arc<Source>,
}

impl Ring {
    /// Its corners in plan feet.
    pub fn plan(&self) -> Vec<Point> {
        self.corners.iter().map(|c| c.plan()).collect()
    }
    /// Whether a place in plan lies within its bounds: of most faces it does not, and their corners need no second look.
    fn may_cover(&self, place: Point) -> bool {
        let lies = |along: fn(Point) -> f64| {
            let at = along(place);
            let all = || self.corners.iter().map(|c| along(c.plan()));
            all().any(|v| v <= at) && all().any(|v| v >= at)
        };
        lies(|p| p.y) && lies(|p| p.x)
    }
}

impl Face {
    /// Whether it lies over a place in plan: in its outline and in none of its holes.
    pub fn covers(&self, place: Point) -> bool {
        let within = |r: &Ring| r.may_cover(place) && ring::contains(&r.plan(), place);
        within(&self.outline) && !self.holes.iter().any(within)
    }
    /// The bearing that water runs to; `None` for a flat face.
    pub fn downslope_deg(&self) -> Option<f64> {
        (!self.is_flat()).then(|| (-self.plane.gradient).bearing_deg())
    }
    /// A pitch under 2° is level.
    pub fn is_flat(&self) -> bool {
        self.pitch.to_degrees() < FLAT_BELOW_DEG
    }
    /// The direction that water runs to, of length 1; `None` for a flat face.
    pub fn fall(&self) -> Option<Vector> {
        if self.is_flat() {
            None
        } else {
            (-self.plane.gradient).unit()
        }
    }
}

/// A face under this pitch is level (the interface's rule).
pub const FLAT_BELOW_DEG: f64 = 2.0;
/// Planes whose gradients differ by less (rise over run) are one plane: pitches are written to a quarter in 12 at the finest,
/// 0.021 (common practice, no source).
pub const ONE_PLANE: f64 = 0.02;
/// An edge is level when it rises less than this per unit of its length ...
pub const LEVEL_RISE_PER_LENGTH: f64 = 0.03;
/// ... or less than this in all: 20 mm, in feet.
pub const LEVEL_RISE_FT: f64 = 0.020 / crate::units::METRES_PER_FOOT;

impl Roof {
    /// The face over a place in plan; the highest one where several lie over it, unless `level` has one.
    pub fn face_at(&self, level: u32, place: Point) -> Option<FaceId> {
        let over = self
            .faces
            .iter()
            .enumerate()
            .filter(|(_, f)| f.covers(place));
        over.max_by_key(|(_, f)| (f.level == level, f.level))
            .map(|(i, _)| FaceId(i))
    }
    /// Plan area of all faces.
    pub fn plan_area(&self) -> Area<Plan> {
        self.faces.iter().map(|f| f.plan_area).sum()
    }
    /// True area of all faces.
    pub fn true_area(&self) -> Area<True> {
        self.faces.iter().map(|f| f.true_area).sum()
    }
    /// True length of all edges of a class.
    pub fn true_length(&self, class: EdgeClass) -> Length<True> {
        self.edges
            .iter()
            .filter(|e| e.class == class)
            .map(|e| e.true_length)
            .sum()
    }
    /// The plan length of all edges of a class.
    pub fn plan_length(&self, class: EdgeClass) -> Length<Plan> {
        self.edges
            .iter()
            .filter(|e| e.class == class)
            .map(|e| e.plan_length)
            .sum()
    }
    /// A face by its index.
    pub fn face(&self, id: FaceId) -> &Face {
        &self.faces[id.0]
    }
    /// An edge by its index.
    pub fn edge(&self, id: EdgeId) -> &Edge {
        &self.edges[id.0]
    }
}
