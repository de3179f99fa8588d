//! What the resolved SVG shows: outlines and letters in the root user space, y down as drawn.

use super::Style;
use super::curve::Outline;
use crate::geometry::{Point, Vector};

/// Everything visible.
#[derive(Clone, Debug, Default)]
pub(super) struct Shown {
    pub(super) shapes: Vec<Shape>,
    pub(super) letters: Vec<Letter>,
    /// Elements of which a clip path hides all, by their numbers.
    pub(super) clipped_away: Vec<usize>,
    /// Elements that a clip path made of letters may hide, which is not followed.
    pub(super) clipped_by_text: Vec<usize>,
}

impl Shown {
    /// Puts what is drawn after all this behind it.
    pub(super) fn append(&mut self, mut later: Self) {
        self.shapes.append(&mut later.shapes);
        self.letters.append(&mut later.letters);
        self.clipped_away.append(&mut later.clipped_away);
        self.clipped_by_text.append(&mut later.clipped_by_text);
    }
}

/// One visible shape.
#[derive(Clone, Debug)]
pub(super) struct Shape {
    /// The element's number.
    pub(super) element: usize,
    pub(super) outlines: Vec<Outline>,
    pub(super) style: Style,
    pub(super) filled: bool,
    /// Filled so that nothing beneath is seen.
    pub(super) opaque: bool,
    /// Filled with a pattern.
    pub(super) hatched: bool,
}

impl Shape {
    /// Whether it has no line, only a fill.
    pub(super) fn filled_only(&self) -> bool {
        self.style.stroke.is_none()
    }
}

/// One visible letter or cluster.
#[derive(Clone, Debug)]
pub(super) struct Letter {
    /// The text element that it stands in.
    pub(super) element: usize,
    /// One character, or the characters of one glyph.
    pub(super) text: String,
    /// On the baseline, at the letter's left.
    pub(super) start: Point,
    /// On the baseline, at the letter's right.
    pub(super) end: Point,
    /// From the baseline upwards, of the length of the letter's size.
    pub(super) up: Vector,
    /// The colour of the fill.
    pub(super) fill: Option<String>,
}
