//! Faces of earlier roofs: the models of a development are drawn once and built many times, and are laid once.

use std::collections::VecDeque;
use std::sync::Arc;

use super::face::CourseFace;
use super::lay::{Terms, Wish, lay_checked};
use super::{Effort, FaceLayout, LayRules, ShingleFormat};

/// Runs remembered at most, some ten megabytes: what was laid longest ago is forgotten first.
const MOST_RUNS: usize = 20_000;

/// Faces that were laid on earlier roofs. A face that is the same in every coordinate, under the same rules, is not laid
/// again; nothing else about a layout depends on what was laid before it.
#[derive(Debug, Default)]
pub struct LaidBefore {
    laid: VecDeque<Arc<Laid>>,
    runs: usize,
}

/// A face that was laid, on what terms, and how.
#[derive(Debug)]
pub(super) struct Laid {
    pub(super) face: CourseFace,
    format: ShingleFormat,
    rules: LayRules,
    pub(super) wish: Wish,
    effort: Effort,
    pub(super) layout: FaceLayout,
}

impl Laid {
    fn terms(&self) -> Terms<'_> {
        Terms {
            format: &self.format,
            rules: &self.rules,
            wish: self.wish,
            effort: self.effort,
        }
    }
}

impl LaidBefore {
    /// A face as it is laid, now or before.
    pub(super) fn lay(&mut self, face: CourseFace, terms: Terms<'_>) -> Arc<Laid> {
        let same = |laid: &&Arc<Laid>| laid.face == face && laid.terms() == terms;
        if let Some(known) = self.laid.iter().find(same) {
            return Arc::clone(known);
        }
        let laid = Arc::new(Laid {
            layout: lay_checked(&face, terms),
            face,
            format: terms.format.clone(),
            rules: terms.rules.clone(),
            wish: terms.wish,
            effort: terms.effort,
        });
        self.remember(Arc::clone(&laid));
        laid
    }

    fn remember(&mut self, laid: Arc<Laid>) {
        self.runs += laid.layout.runs.len();
        self.laid.push_back(laid);
        while self.runs > MOST_RUNS {
            let Some(oldest) = self.laid.pop_front() else {
                break;
            };
            self.runs -= oldest.layout.runs.len();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::plain_faces::{format, trapezoid};
    use super::super::{EdgeKind, Reuse};
    use super::*;

    fn rectangle(width_in: f64, height_in: f64) -> CourseFace {
        trapezoid(width_in, height_in, 0.0, EdgeKind::Rake)
    }

    fn laid(before: &mut LaidBefore, face: &CourseFace, rules: &LayRules) -> FaceLayout {
        let terms = Terms {
            format: &format("36x12"),
            rules,
            wish: Wish::default(),
            effort: Effort::default(),
        };
        before.lay(face.clone(), terms).layout.clone()
    }

    #[test]
    fn a_face_is_laid_again_only_where_it_or_a_rule_differs() {
        let (whole, rules) = (rectangle(480.0, 120.0), LayRules::default());
        let mut before = LaidBefore::default();
        let first = laid(&mut before, &whole, &rules);
        assert_eq!(laid(&mut before, &whole, &rules).pieces(), first.pieces());
        assert_eq!(before.laid.len(), 1);

        let no_reuse = LayRules {
            reuse: Reuse::None,
            ..rules.clone()
        };
        let wider = rectangle(481.0, 120.0);
        for (face, rules) in [(&whole, &no_reuse), (&wider, &rules)] {
            let after = laid(&mut before, face, rules);
            let alone = laid(&mut LaidBefore::default(), face, rules);
            assert_eq!(after.opened, alone.opened);
            assert_eq!(after.pieces(), alone.pieces());
        }
        assert_eq!(before.laid.len(), 3);
    }

    #[test]
    fn what_was_laid_longest_ago_is_forgotten() {
        let mut before = LaidBefore::default();
        let first = rectangle(480.0, 1200.0);
        let layout = laid(&mut before, &first, &LayRules::default());
        let most = MOST_RUNS / layout.runs.len();
        for n in 1..=most {
            let known = before
                .laid
                .back()
                .map(|l| (l.format.clone(), l.rules.clone()));
            let Some((format, rules)) = known else {
                unreachable!("the last one is kept");
            };
            before.remember(Arc::new(Laid {
                face: rectangle(480.0 + n as f64, 1200.0),
                format,
                rules,
                wish: Wish::default(),
                effort: Effort::default(),
                layout: layout.clone(),
            }));
        }
        assert_eq!(before.laid.len(), most);
        assert!(before.laid.iter().all(|l| l.face != first));
    }
}
