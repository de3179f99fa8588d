//! What is known before there is a roof: an outline, and for every side how the roof rises from it.

use crate::geometry::Point;
use crate::units::Pitch;

/// An outline with what is known of its sides.
#[derive(Clone, Debug, Default)]
pub struct OutlineInput {
    /// The outer ring first, counter-clockwise; then the courtyards, clockwise. A ring given the other way round is
    /// turned, with a note. Sides are numbered through all rings in this order, from 0.
    pub rings: Vec<Vec<OutlineSide>>,
}

/// One side of an outline: it runs from `start` to the start of the next side of its ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutlineSide {
    /// Where it starts, in plan feet.
    pub start: Point,
    /// How the roof rises from it.
    pub rises: Rises,
    /// How high its eave is, in feet above any datum common to all sides.
    pub eave_height_ft: f64,
}

/// How the roof rises from a side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rises {
    /// A plane of this pitch (above 0) rises from the eave.
    Eave(Pitch),
    /// A gable end: the side stands still in plan, and the planes beside it end over it.
    Gable,
    /// The roof ends against a wall that goes on upwards; built as a gable end.
    Wall,
}

impl OutlineSide {
    /// An eave at height 0.
    pub fn eave(start: Point, pitch: Pitch) -> Self {
        Self {
            start,
            rises: Rises::Eave(pitch),
            eave_height_ft: 0.0,
        }
    }
    /// A gable end.
    pub fn gable(start: Point) -> Self {
        Self {
            start,
            rises: Rises::Gable,
            eave_height_ft: 0.0,
        }
    }
    /// An end against a wall.
    pub fn wall(start: Point) -> Self {
        Self {
            start,
            rises: Rises::Wall,
            eave_height_ft: 0.0,
        }
    }
    /// Whether a plane rises from it.
    pub fn is_eave(&self) -> bool {
        matches!(self.rises, Rises::Eave(_))
    }
}

impl OutlineInput {
    /// One ring of eaves of one pitch.
    pub fn one_pitch(ring: &[Point], pitch: Pitch) -> Self {
        Self {
            rings: vec![
                ring.iter()
                    .map(|&start| OutlineSide::eave(start, pitch))
                    .collect(),
            ],
        }
    }
    /// The number of sides in all rings.
    pub fn side_count(&self) -> usize {
        self.rings.iter().map(Vec::len).sum()
    }
    /// The ends of every side, in the order of their numbers.
    pub fn ends(&self) -> Vec<[Point; 2]> {
        let mut ends = Vec::with_capacity(self.side_count());
        for ring in &self.rings {
            for (i, side) in ring.iter().enumerate() {
                ends.push([side.start, ring[(i + 1) % ring.len()].start]);
            }
        }
        ends
    }
}

/// What to do where the drawing alone does not decide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutlineRules {
    /// Where a shallow plane comes level with a steeper one beside it.
    pub catch_up: CatchUp,
    /// Sides shorter than this are dropped, with a note. In feet.
    pub drop_sides_under_ft: f64,
}

/// Which plane goes on where a shallow one has come level with a steeper one beside it. The two are one line then,
/// with two pitches, and no rule of drainage says which of them rises from it further.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CatchUp {
    /// The plane with more front on that line; a tie goes to the shallower.
    #[default]
    Wider,
    /// The shallower plane, as the literature on weighted straight skeletons has it.
    Shallower,
    /// No roof is built.
    Refuse,
}

/// Sides shorter than this are traced noise: less than the width of a pencil line at any scale.
const DROP_SIDES_UNDER_FT: f64 = 1e-4;

impl Default for OutlineRules {
    fn default() -> Self {
        Self {
            catch_up: CatchUp::default(),
            drop_sides_under_ft: DROP_SIDES_UNDER_FT,
        }
    }
}
