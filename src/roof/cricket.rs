//! Which openings take a cricket on their upper side, and whether it is drawn.

use super::{Edge, EdgeClass, FaceId, Flank, Opening, Roof};
use crate::geometry::{Point, ring};
use crate::units::{Length, Plan};

/// A chimney or other penetration wider than this across the fall is to have a cricket on its upper side, in inches
/// (IRC R903.2.2).
pub const CRICKET_OVER_IN: f64 = 30.0;
/// One drawn as wide as that is no wider, wherever its corners were rounded to: by this, in inches.
const AS_WIDE_IN: f64 = 1.0 / 16.0;
/// An edge that ends this near an opening's outline belongs to what is drawn round it, in feet.
const DRAWN_WITHIN_FT: f64 = 0.5;
/// Flashing above an opening shorter than this, in feet, is rounding.
const LEAST_FT: f64 = 1e-4;

impl Opening {
    /// Whether the code asks for a cricket above it: water runs on to it over more than [`CRICKET_OVER_IN`], which it does
    /// not to one astride a ridge, nor as a rule to one astride a hip, and it is no skylight, whose frame is flashed as a unit.
    pub fn takes_cricket(&self) -> bool {
        let wide = |width: Length<Plan>| width.to_inches() > CRICKET_OVER_IN + AS_WIDE_IN;
        wide(self.width)
            && wide(self.meets_water)
            && self.head.to_feet() > LEAST_FT
            && !self.is_skylight()
    }

    /// The faces whose water runs on to it, each once.
    pub fn faces_above(&self) -> Vec<FaceId> {
        let above = self.flashed(Flank::Above);
        let mut faces: Vec<FaceId> = above.map(|stretch| stretch.face).collect();
        faces.sort_unstable();
        faces.dedup();
        faces
    }

    /// Whether a corner of the roof, in plan feet, lies at its outline, within half a foot: an edge that ends there belongs to
    /// what is drawn round it.
    pub fn is_met_at(&self, corner: Point) -> bool {
        ring::sides(&self.outline).any(|(a, b)| corner.distance_to_segment(a, b) < DRAWN_WITHIN_FT)
    }
}

impl Roof {
    /// Whether a cricket is drawn above an opening: a valley ends at it that one of the cricket's own faces falls to. The
    /// valley of a wing that happens to end there shows none.
    pub fn draws_cricket_of(&self, opening: &Opening) -> bool {
        let ends_at = |edge: &Edge| {
            let mut ends = [edge.start.plan(), edge.end.plan()].into_iter();
            ends.any(|end| opening.is_met_at(end))
        };
        self.edges
            .iter()
            .filter(|edge| edge.class == EdgeClass::Valley && ends_at(edge))
            .flat_map(|edge| &edge.faces)
            .any(|&face| self.is_cricket_of(face, opening))
    }

    /// Whether a face is one side of an opening's cricket: it ends against the opening, its water does not run on to it but
    /// past it, and it has no eave.
    fn is_cricket_of(&self, face: FaceId, opening: &Opening) -> bool {
        let mut edges = self.edges.iter().filter(|e| e.faces.contains(&face));
        let mut flashing = opening.flashing.iter();
        // Sidewalls where the cricket is drawn up to the opening, outer edges where it is drawn some inches short of it.
        let lies_along = |edge: &Edge| {
            let mut ends = [edge.start.plan(), edge.end.plan()].into_iter();
            edge.faces.len() == 1 && ends.all(|end| opening.is_met_at(end))
        };
        let ends_against =
            edges.clone().any(lies_along) || flashing.any(|stretch| stretch.face == face);
        ends_against
            && !opening.faces_above().contains(&face)
            && !edges.any(|edge| edge.class == EdgeClass::Eave)
    }
}
