//! What another choice would save: the other starting corner, the other side of a valley running through.

use crate::roof::{EdgeClass, EdgeId, FaceId, Roof};

use super::face::{through_face, unfold_with};
use super::lay::{Terms, Wish, lay_checked};
use super::{Choices, Courses, Effort, StartCorner, ValleyType};

/// A choice that opens fewer shingles than the one made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Suggestion {
    /// What to choose.
    pub choose: Suggested,
    /// Shingles that it saves, by itself.
    pub saves: usize,
}

/// A choice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Suggested {
    /// Start a face from this corner.
    Start(FaceId, StartCorner),
    /// Let this face run through all of its closed-cut valleys; or through none, so that the faces beyond do.
    Through(FaceId, bool),
}

impl Suggested {
    /// The choices with this one made too.
    fn added_to(self, choices: &Choices, roof: &Roof) -> Choices {
        let mut all = choices.clone();
        match self {
            Self::Start(face, corner) => {
                all.start.insert(face, corner);
            }
            Self::Through(face, through) => {
                for (valley, beyond) in valleys(roof, face) {
                    let runs_on = if through { face } else { beyond };
                    all.through.insert(valley, runs_on);
                }
            }
        }
        all
    }

    /// The faces that are laid otherwise with it.
    fn faces(self, roof: &Roof) -> Vec<FaceId> {
        match self {
            Self::Start(face, _) => vec![face],
            Self::Through(face, _) => {
                let mut all: Vec<FaceId> = valleys(roof, face).map(|(_, beyond)| beyond).collect();
                all.push(face);
                all.sort_unstable();
                all.dedup();
                all
            }
        }
    }
}

/// The valleys of a face, each with the face beyond.
fn valleys(roof: &Roof, face: FaceId) -> impl Iterator<Item = (EdgeId, FaceId)> {
    (0..roof.edges.len()).map(EdgeId).filter_map(move |id| {
        let edge = roof.edge(id);
        let is_its = edge.class == EdgeClass::Valley && edge.faces.contains(&face);
        let beyond = edge.faces.iter().copied().find(|f| *f != face)?;
        is_its.then_some((id, beyond))
    })
}

/// What may be tried: what the user has not chosen, and what is not so already.
fn open_choices(roof: &Roof, courses: &Courses, choices: &Choices) -> Vec<Suggested> {
    let mut found = Vec::new();
    for laid in &courses.faces {
        if !choices.start.contains_key(&laid.face) {
            found.push(Suggested::Start(laid.face, laid.start.other()));
        }
    }
    if courses.rules.valley != ValleyType::ClosedCut {
        return found;
    }
    let mut seen = Vec::new();
    for face in courses.faces.iter().map(|f| f.face) {
        if valleys(roof, face).any(|(id, _)| choices.through.contains_key(&id)) {
            continue;
        }
        for through in [true, false] {
            let is_other = |(id, _)| (through_face(roof, id, choices) == Some(face)) != through;
            if !valleys(roof, face).any(is_other) {
                continue;
            }
            // Of two faces with one valley, one running through is the other being cut.
            let choose = Suggested::Through(face, through);
            let tried = choose.added_to(choices, roof).through;
            if !seen.contains(&tried) {
                seen.push(tried);
                found.push(choose);
            }
        }
    }
    found
}

/// The choices that would open fewer shingles, those that save most first. What the user chose is left alone. Every
/// suggestion is worked out alone, and what it saves is found by laying the whole roof with it: two together may save
/// less than their sum.
pub fn suggestions(roof: &Roof, courses: &Courses, choices: &Choices) -> Vec<Suggestion> {
    let mut found: Vec<Suggestion> = open_choices(roof, courses, choices)
        .into_iter()
        .filter(|&choose| promises(roof, courses, choices, choose))
        .filter_map(|choose| {
            let saves = saved(roof, courses, &choose.added_to(choices, roof))?;
            Some(Suggestion { choose, saves })
        })
        .collect();
    found.sort_by_key(|s| std::cmp::Reverse(s.saves));
    found
}

/// Whether the faces that a choice is about open fewer shingles with it, each laid by itself.
fn promises(roof: &Roof, courses: &Courses, choices: &Choices, choose: Suggested) -> bool {
    let tried = choose.added_to(choices, roof);
    let faces = choose.faces(roof);
    let now = courses.faces.iter().filter(|f| faces.contains(&f.face));
    let then: Option<usize> = faces
        .iter()
        .map(|&id| {
            let face = unfold_with(roof, id, &courses.rules, &tried).ok()?;
            let terms = Terms {
                format: &courses.format,
                rules: &courses.rules,
                wish: Wish::of(&tried, id),
                effort: Effort::default(),
            };
            let laid = lay_checked(&face, terms);
            // A saving that breaks a rule is none.
            laid.findings.is_empty().then_some(laid.opened)
        })
        .sum();
    then.is_some_and(|then| then < now.map(|f| f.opened).sum())
}

/// The shingles that the whole roof saves with other choices; faces of one shape, laid once, may change with one of them.
fn saved(roof: &Roof, courses: &Courses, tried: &Choices) -> Option<usize> {
    let then = Courses::lay(roof, &courses.format, &courses.rules, tried).ok()?;
    let saves = courses.opened().checked_sub(then.opened())?;
    (saves > 0).then_some(saves)
}
