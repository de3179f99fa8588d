//! Lines between two faces of one plane: why were they drawn? One roof may end lower there, or a dormer's or a bump's line was
//! drawn that parts nothing.

use crate::geometry::Point;
use crate::roof::{EdgeClass, Roof};
use crate::{Finding, Place};

use super::classes::are_one_plane;
use super::region::Roofing;
use super::sheet::Sheet;
use super::words;

const CODE: &str = "line-in-one-plane";

/// Lines of a solved roof that are no edges of it.
pub(super) fn told(roof: &Roof) -> Option<Finding> {
    let edges = roof.edges.iter();
    let lines: Vec<[Point; 2]> = edges
        .filter(|e| e.class == EdgeClass::InPlane)
        .map(|e| [e.start.plan(), e.end.plan()])
        .collect();
    let finding = finding(&lines, "is counted as no edge")?;
    Some(finding.remedy(
        "If one roof ends lower there, draw the line on a layer named wall. If the roof runs on, nothing is wrong: the line may be left out with one of its two pitches.",
    ))
}

/// Lines of a sheet for which falls are asked about: they may be steps in height, if the falls are the likeliest ones.
pub(super) fn beside(sheet: &Sheet, roofing: &Roofing) -> Option<Finding> {
    let lines: Vec<[Point; 2]> = sheet
        .edges
        .iter()
        .filter(|edge| {
            edge.both().is_some_and(|(left, right)| {
                let [g, h] = [left, right].map(|f| roofing.planes[f].gradient);
                are_one_plane(g, h)
            })
        })
        .map(|edge| [edge.a, edge.b].map(|node| sheet.to_plan(sheet.nodes[node])))
        .collect();
    let finding = finding(&lines, "may be a step in height")?;
    Some(finding.remedy(
        "If one roof ends lower there, draw the line on a layer named wall: then it is known without arrows.",
    ))
}

fn finding(lines: &[[Point; 2]], what: &str) -> Option<Finding> {
    let length = |line: &[Point; 2]| line[0].distance(line[1]);
    let total_ft: f64 = lines.iter().map(length).sum();
    let longest = (lines.iter()).max_by(|a, b| length(a).total_cmp(&length(b)))?;
    let [a, b] = longest.map(words::place);
    let message = match lines.len() {
        1 => format!(
            "the line from {a} to {b}, {} long, lies within one plane, since the faces on both its sides fall the same way at one pitch: it {what}",
            words::feet(total_ft)
        ),
        n => format!(
            "{n} lines, {} long together, lie within one plane each, since the faces on both their sides fall the same way at one pitch: each {what}; the longest runs from {a} to {b}",
            words::feet(total_ft)
        ),
    };
    let finding = Finding::warning(CODE, message);
    Some(lines.iter().fold(finding, |finding, line| {
        finding.place(Place::at(line[0].midpoint(line[1])))
    }))
}
