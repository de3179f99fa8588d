//! Strokes that look alike, which a drafter meant as one kind of line.

use super::past::running_past;
use super::pens::{alike, each_named, looks, same_pen};
use super::tangled::cross_everywhere;
use crate::drawing::{Drawing, Stroke};
use crate::geometry::ring;

/// Strokes that look alike.
#[derive(Clone)]
pub(super) struct Group {
    pub(super) strokes: Vec<usize>,
    /// Whether they run across other lines and end in nothing, as leader lines do and roof lines do not.
    runs_past: bool,
    /// Whether they are single lines with a name each, which is no layer's.
    each_named: bool,
    /// Whether they cross each other everywhere, and others do not: then they are never taken.
    pub(super) tangled: bool,
    /// What they look like, in words.
    pub(super) looks: String,
}

/// Strokes by their looks.
pub(super) fn groups(drawing: &Drawing, strokes: &[usize], named: &[bool]) -> Vec<Group> {
    let past = running_past(drawing, strokes);
    let mut groups: Vec<Group> = Vec::new();
    for ((&i, &runs_past), &is_named) in strokes.iter().zip(&past).zip(named) {
        let stroke = &drawing.strokes[i];
        let together = groups.iter_mut().find(|g| {
            let first = &drawing.strokes[g.strokes[0]];
            let one_kind = g.runs_past == runs_past && g.each_named == is_named;
            one_kind && (alike(first, stroke) || is_named && same_pen(first, stroke))
        });
        match together {
            Some(group) => group.strokes.push(i),
            None => groups.push(Group {
                strokes: vec![i],
                runs_past,
                each_named: is_named,
                tangled: false,
                looks: looks(stroke, !is_named),
            }),
        }
    }
    for group in groups.iter_mut().filter(|g| g.runs_past) {
        group.looks += ", running past other lines";
    }
    mark_tangled(drawing, &mut groups);
    groups
}

/// Marks the groups of pens that cross each other everywhere, unless all do.
fn mark_tangled(drawing: &Drawing, groups: &mut [Group]) {
    let first = |group: &Group| &drawing.strokes[group.strokes[0]];
    let cross = |group: &Group| {
        let of_pen = groups.iter().filter(|g| alike(first(g), first(group)));
        let numbers = of_pen.flat_map(|g| g.strokes.iter());
        let strokes: Vec<&Stroke> = numbers.map(|&i| &drawing.strokes[i]).collect();
        cross_everywhere(&strokes)
    };
    let tangled: Vec<bool> = groups.iter().map(cross).collect();
    if tangled.iter().all(|&t| t) {
        return;
    }
    for (group, _) in groups.iter_mut().zip(tangled).filter(|(_, t)| *t) {
        group.tangled = true;
        group.looks += ", crossing each other everywhere";
    }
}

/// Those of the strokes whose choice is looked at.
pub(super) fn looked_at(drawing: &Drawing, strokes: &[usize]) -> Vec<usize> {
    let named = each_named(drawing, strokes);
    let groups = groups(drawing, strokes, &named).into_iter();
    let taken = groups.filter(|g| !g.tangled);
    taken.flat_map(|g| g.strokes).collect()
}

/// The groups with their closed shapes apart from their single lines.
pub(super) fn rings_apart(drawing: &Drawing, groups: &[Group]) -> Vec<Group> {
    let goes_round = |i: &usize| {
        let stroke = &drawing.strokes[*i];
        stroke.closed && ring::signed_area(&stroke.points) != 0.0
    };
    let mut apart = Vec::new();
    for group in groups {
        let (rings, lines): (Vec<usize>, Vec<usize>) =
            group.strokes.iter().partition(|i| goes_round(i));
        if rings.is_empty() || lines.is_empty() || group.tangled {
            apart.push(group.clone());
            continue;
        }
        let looks = format!("{}, closed", group.looks);
        apart.push(Group {
            strokes: rings,
            looks,
            ..group.clone()
        });
        apart.push(Group {
            strokes: lines,
            ..group.clone()
        });
    }
    apart
}
