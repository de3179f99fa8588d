//! Which face each label lies in.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::halfedge::Subdivision;
use crate::geometry::{Point, ring};

/// Finds the face at a place.
pub(super) struct FaceFinder {
    rings: Vec<Vec<Vec<Point>>>,
    tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
}

impl FaceFinder {
    pub(super) fn new(sub: &Subdivision) -> Self {
        let rings: Vec<Vec<Vec<Point>>> = sub
            .faces
            .iter()
            .map(|rings| rings.iter().map(|r| sub.corners(r)).collect())
            .collect();
        let boxes = rings
            .iter()
            .enumerate()
            .filter_map(|(face, rings)| {
                let points: Vec<[f64; 2]> = rings.first()?.iter().map(|p| [p.x, p.y]).collect();
                let bounds = AABB::from_points(&points);
                let bounds = Rectangle::from_corners(bounds.lower(), bounds.upper());
                Some(GeomWithData::new(bounds, face))
            })
            .collect();
        Self {
            rings,
            tree: RTree::bulk_load(boxes),
        }
    }

    /// The face at a place; `None` outside all of them.
    pub(super) fn at(&self, p: Point) -> Option<usize> {
        self.tree
            .locate_all_at_point(&[p.x, p.y])
            .map(|hit| hit.data)
            .filter(|&face| {
                let mut rings = self.rings[face].iter();
                rings.next().is_some_and(|outer| ring::contains(outer, p))
                    && !rings.any(|hole| ring::contains(hole, p))
            })
            .min()
    }
}

/// Where a label stands.
#[derive(Clone, Debug)]
pub(super) struct Spot {
    /// The middle of its text, or what its leader points at.
    pub(super) at: Point,
    /// Other places of the text, for a label that does not fit into its face: its ends.
    pub(super) others: Vec<Point>,
}

/// The face of each label. A label whose middle lies outside all faces, or in the face of another label, belongs to a
/// face without a label that one of its ends lies in: small faces do not hold a whole text.
pub(super) fn assign(finder: &FaceFinder, spots: &[Spot]) -> Vec<Option<usize>> {
    let mut face: Vec<Option<usize>> = spots.iter().map(|s| finder.at(s.at)).collect();
    let mut count = vec![0_usize; finder.rings.len()];
    for &f in face.iter().flatten() {
        count[f] += 1;
    }
    for (i, spot) in spots.iter().enumerate() {
        if face[i].is_some_and(|f| count[f] == 1) {
            continue;
        }
        let better = spot
            .others
            .iter()
            .find_map(|&p| finder.at(p).filter(|&f| count[f] == 0));
        if let Some(f) = better {
            if let Some(old) = face[i] {
                count[old] -= 1;
            }
            count[f] += 1;
            face[i] = Some(f);
        }
    }
    face
}
