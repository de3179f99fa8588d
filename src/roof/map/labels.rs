//! Which face a place lies in.

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
