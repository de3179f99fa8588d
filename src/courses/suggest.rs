//! What another choice would save: the other starting corner, the other side of a valley running through.

use crate::roof::{EdgeClass, EdgeId, FaceId, Roof};

use super::face::{through_face, unfold_with};
use super::lay::{Wish, lay_checked};
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
    /// Let this face run through this valley.
    Through(EdgeId, FaceId),
}

/// The choices that would open fewer shingles, those that save most first. What the user chose is left alone. Every
/// suggestion is worked out alone: two together may save less than their sum.
pub fn suggestions(roof: &Roof, courses: &Courses, choices: &Choices) -> Vec<Suggestion> {
    let mut found = Vec::new();
    for laid in &courses.faces {
        if choices.start.contains_key(&laid.face) {
            continue;
        }
        let other = match laid.start {
            StartCorner::Left => StartCorner::Right,
            StartCorner::Right => StartCorner::Left,
        };
        let mut tried = choices.clone();
        tried.start.insert(laid.face, other);
        let choose = Suggested::Start(laid.face, other);
        push(&mut found, roof, courses, &tried, &[laid.face], choose);
    }
    if courses.rules.valley == ValleyType::ClosedCut {
        for id in (0..roof.edges.len()).map(EdgeId) {
            let edge = roof.edge(id);
            if edge.class != EdgeClass::Valley || choices.through.contains_key(&id) {
                continue;
            }
            let now = through_face(roof, id, choices);
            let Some(other) = edge.faces.iter().copied().find(|f| Some(*f) != now) else {
                continue;
            };
            let mut tried = choices.clone();
            tried.through.insert(id, other);
            let choose = Suggested::Through(id, other);
            push(&mut found, roof, courses, &tried, &edge.faces, choose);
        }
    }
    found.sort_by_key(|s| std::cmp::Reverse(s.saves));
    found
}

fn push(
    found: &mut Vec<Suggestion>,
    roof: &Roof,
    courses: &Courses,
    tried: &Choices,
    faces: &[FaceId],
    choose: Suggested,
) {
    let now: usize = courses
        .faces
        .iter()
        .filter(|f| faces.contains(&f.face))
        .map(|f| f.opened)
        .sum();
    let then: Option<usize> = faces
        .iter()
        .map(|&id| {
            let face = unfold_with(roof, id, &courses.rules, tried).ok()?;
            let wish = Wish::of(tried, id);
            let laid = lay_checked(
                &face,
                &courses.format,
                &courses.rules,
                wish,
                Effort::default(),
            );
            // A saving that breaks a rule is none.
            laid.findings.is_empty().then_some(laid.opened)
        })
        .sum();
    if let Some(saves) = then
        .and_then(|then| now.checked_sub(then))
        .filter(|s| *s > 0)
    {
        found.push(Suggestion { choose, saves });
    }
}
