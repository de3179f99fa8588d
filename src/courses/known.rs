//! Faces laid already: one of the same shape, or of its mirror image, is not laid again.

use super::face::CourseFace;
use super::lay::{Terms, Wish};
use super::{FaceLayout, LaidBefore};

/// Faces of a roof laid already, in one format under one set of rules.
pub(super) struct Known<'b> {
    laid: Vec<(CourseFace, Wish, FaceLayout)>,
    before: &'b mut LaidBefore,
}

impl<'b> Known<'b> {
    pub(super) fn new(before: &'b mut LaidBefore) -> Self {
        Self {
            laid: Vec::new(),
            before,
        }
    }

    /// The layout of a face: that of an earlier face of its shape, or the mirror image of an earlier layout where the
    /// corner to start from is left open, or else a new one.
    pub(super) fn lay(&mut self, face: CourseFace, terms: Terms<'_>) -> FaceLayout {
        let wish = terms.wish;
        let twin = self
            .laid
            .iter()
            .filter(|(_, w, _)| *w == wish)
            .find_map(|(other, _, layout)| like_a_twin(&face, other, wish, layout));
        if let Some(mut layout) = twin {
            layout.face = face.face;
            return layout;
        }
        let layout = self.before.lay(&face, terms);
        self.laid.push((face, wish, layout.clone()));
        layout
    }
}

/// The layout of another face, as it fits this one.
fn like_a_twin(
    face: &CourseFace,
    other: &CourseFace,
    wish: Wish,
    layout: &FaceLayout,
) -> Option<FaceLayout> {
    if other.has_shape_of(face) {
        return Some(layout.clone());
    }
    if wish.start.is_some() || other.outer.points.len() != face.outer.points.len() {
        return None;
    }
    let mirrored = other.mirrored();
    let aside = face.left_in() - mirrored.left_in();
    mirrored
        .moved(aside)
        .has_shape_of(face)
        .then(|| layout.clone().mirrored().moved(aside))
}
