//! Which face each label lies in.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::halfedge::Subdivision;
use super::text_frames::Letters;
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
    /// Its letters, where it has no leader.
    pub(super) letters: Option<Letters>,
}

/// The face of each label: the one that holds its middle. Small faces do not hold a whole text: where labels crowd in
/// one face, or have none, while another face has no label, each takes a face that one of its ends lies in, if all
/// can be suited so (a matching by augmenting paths). A face gets a label in this way only where it `asks` for it.
pub(super) fn assign(
    finder: &FaceFinder,
    spots: &[Spot],
    asks: impl Fn(usize) -> bool,
) -> Vec<Option<usize>> {
    let choices: Vec<Vec<usize>> = spots
        .iter()
        .map(|spot| {
            let mut faces: Vec<usize> = Vec::new();
            for place in std::iter::once(spot.at).chain(spot.others.iter().copied()) {
                faces.extend(finder.at(place).filter(|f| !faces.contains(f)));
            }
            faces
        })
        .collect();
    let middle: Vec<Option<usize>> = spots.iter().map(|s| finder.at(s.at)).collect();
    let mut matching = Matching {
        choices: &choices,
        label_of: vec![None; finder.rings.len()],
        seen: vec![false; finder.rings.len()],
    };
    let mut crowded = Vec::new();
    for (label, face) in middle.iter().enumerate() {
        match face {
            Some(face) if matching.label_of[*face].is_none() => {
                matching.label_of[*face] = Some(label);
            }
            _ => crowded.push(label),
        }
    }
    for &label in &crowded {
        matching.seen.fill(false);
        matching.suit(label, &asks);
    }
    let mut faces = middle;
    for (face, label) in matching.label_of.iter().enumerate() {
        if let Some(label) = label {
            faces[*label] = Some(face);
        }
    }
    faces
}

struct Matching<'a> {
    choices: &'a [Vec<usize>],
    label_of: Vec<Option<usize>>,
    seen: Vec<bool>,
}

impl Matching<'_> {
    /// Finds a face for a label, moving others on where they have another choice.
    fn suit(&mut self, label: usize, asks: &impl Fn(usize) -> bool) -> bool {
        for &face in &self.choices[label] {
            if std::mem::replace(&mut self.seen[face], true) {
                continue;
            }
            let free = match self.label_of[face] {
                None => asks(face),
                Some(other) => self.suit(other, asks),
            };
            if free {
                self.label_of[face] = Some(label);
                return true;
            }
        }
        false
    }
}
