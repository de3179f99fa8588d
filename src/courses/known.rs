//! Faces laid already: one of the same shape, or of its mirror image, is not laid again.

use std::sync::Arc;

use super::before::Laid;
use super::face::CourseFace;
use super::lay::{Terms, Wish};
use super::{FaceLayout, LaidBefore};

/// Faces of a roof laid already, in one format under one set of rules.
pub(super) struct Known<'b> {
    laid: Vec<Arc<Laid>>,
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
        let mut alike = self.laid.iter().filter(|laid| laid.wish == wish);
        let twin = alike.find_map(|laid| like_a_twin(&face, laid, wish));
        if let Some(mut layout) = twin {
            layout.face = face.face;
            return layout;
        }
        let laid = self.before.lay(face, terms);
        let layout = laid.layout.clone();
        self.laid.push(laid);
        layout
    }
}

/// The layout of another face, as it fits this one.
fn like_a_twin(face: &CourseFace, laid: &Laid, wish: Wish) -> Option<FaceLayout> {
    let (other, layout) = (&laid.face, &laid.layout);
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
