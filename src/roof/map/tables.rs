//! Tables with a pitch in each row, such as a schedule of roofs: their cells are closed, and no faces.

use std::collections::BTreeMap;

use super::build::PitchLabel;
use super::kinds::{Context, is_rectangle};
use super::tell::several;
use crate::drawing::text::parse_pitch;
use crate::drawing::{Label, Role};
use crate::geometry::{Vector, ring};
use crate::{Finding, Place};

/// A row is no higher than this, in heights of its text: rows are ruled at two or three (common practice, no source).
const ROW_HIGH: f64 = 3.5;
/// A table has so many rows.
const LEAST_ROWS: usize = 2;
/// Words beside a pitch that say no more than the pitch, besides those that are read with it.
const TYPICAL: [&str; 2] = ["typ", "typical"];

/// The faces of some parts, and the labels in each face.
type Parts<'a> = BTreeMap<usize, Vec<(usize, Vec<&'a PitchLabel<'a>>)>>;

/// The tables among the parts that hold a pitch, sorted, where others are left for the roof; and what is told of them. All faces
/// of a table are rows hardly higher than their text, each with more than a pitch written in it. What stands on a layer that
/// says roof is none.
pub(super) fn tables(context: &Context<'_>, parts: &[usize]) -> (Vec<usize>, Option<Finding>) {
    let with_faces = with_faces(context, parts);
    let is_table = |(_, rows): &(&usize, &Vec<(usize, Vec<&PitchLabel<'_>>)>)| {
        rows.len() >= LEAST_ROWS
            && rows
                .iter()
                .all(|(face, texts)| is_row(context, *face, texts))
    };
    let tables: Vec<_> = with_faces.iter().filter(is_table).collect();
    if tables.is_empty() || tables.len() == with_faces.len() {
        return (Vec::new(), None);
    }
    let rows = tables.iter().flat_map(|(_, rows)| rows.iter());
    let texts: Vec<&Label> = rows
        .flat_map(|(_, texts)| texts.iter().map(|l| l.label))
        .collect();
    let said: Vec<String> = texts.iter().map(|l| format!("“{}”", l.text)).collect();
    let told = Finding::warning(
        "taken-for-table",
        format!(
            "Rows of closed lines hardly higher than the text in them were taken for a table and not for faces of the roof: {}.",
            said.join(", ")
        ),
    )
    .remedy("If they are faces, draw the roof on a layer named roof; if they are a table, draw it on a layer named note.");
    let places = texts.iter().map(|l| Place::on(&l.source, l.at)).collect();
    let parts = tables.iter().map(|(part, _)| **part).collect();
    (parts, Some(several(told, places)))
}

fn with_faces<'a>(context: &Context<'a>, parts: &[usize]) -> Parts<'a> {
    let sub = &context.attempt.sub;
    let mut of_part = Parts::new();
    for (face, texts) in context.labels_inside().into_iter().enumerate() {
        let part = sub.face_part[face];
        if parts.binary_search(&part).is_ok() {
            of_part.entry(part).or_default().push((face, texts));
        }
    }
    of_part
}

fn is_row(context: &Context<'_>, face: usize, texts: &[&PitchLabel<'_>]) -> bool {
    let sub = &context.attempt.sub;
    let [outer] = &sub.faces[face][..] else {
        return false;
    };
    let corners = sub.corners(outer);
    let on_roof_layer = outer.iter().any(|half| {
        let mut drawn = sub.links[half / 2].pieces.iter();
        drawn.any(|&piece| context.strokes[context.pieces[piece].stroke].role == Role::Roof)
    });
    let says_more = |label: &&PitchLabel<'_>| {
        let high = across(label.label).map(|up| ring::reach(&corners, up));
        label.label.points_at.is_none()
            && high.is_some_and(|(low, top)| top - low <= ROW_HIGH * label.label.height_ft)
            && names_something(&label.label.text)
    };
    !on_roof_layer && is_rectangle(&corners) && !texts.is_empty() && texts.iter().all(says_more)
}

/// Square to a text's line, of length 1.
fn across(label: &Label) -> Option<Vector> {
    let [start, end] = label.baseline;
    Some((end - start).unit()?.turn_left())
}

/// Whether a text names something besides its pitch: `MAIN ROOF 6:12`.
fn names_something(text: &str) -> bool {
    let mut words = text.split(|c: char| !c.is_alphabetic());
    parse_pitch(text).is_none()
        && words.any(|word| {
            word.chars().count() > 2 && !TYPICAL.contains(&word.to_lowercase().as_str())
        })
}
