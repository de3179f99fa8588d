//! Parts of which only the outline is drawn, with pitches, gables and walls written at their sides.

use std::sync::Arc;

use super::build::MapOptions;
use super::courts::take_courts;
use super::curved::Facet;
use super::kinds::{default_pitch, plan_area};
use super::owners;
use super::sides::plan;
use super::{DirectedEdge, LabelledPitch, PlanMap};
use crate::drawing::{Drawing, Label, Mistyped, Says};
use crate::geometry::{Point, ring, segments_cross};
use crate::place::Source;
use crate::units::words::feet;
use crate::{Finding, Place};

/// The outline of a roof whose hips, valleys and ridges are still to be found.
#[derive(Clone, Debug, Default)]
pub struct OutlinePlan {
    /// The outer ring counter-clockwise, then courtyards clockwise, in plan feet.
    pub rings: Vec<Vec<Point>>,
    /// For each ring what is written at each side, side i from corner i to corner i + 1.
    pub sides: Vec<Vec<SidePlan>>,
}

/// What is written at one side of an outline.
#[derive(Clone, Debug, Default)]
pub struct SidePlan {
    /// Its own pitch, or the one that holds for all sides without their own.
    pub pitch: Option<LabelledPitch>,
    /// Whether it is a gable end.
    pub gable: bool,
    /// Whether it ends against a wall.
    pub wall: bool,
    /// The height of its eave over the drawing's datum, in feet.
    pub eave_height_ft: Option<f64>,
    /// The elements it was drawn with.
    pub sources: Vec<Arc<Source>>,
    /// The elements of the pitches written at it, which may say the same several times.
    pub pitch_labels: Vec<Arc<Source>>,
    /// Which part of a curve it stands for; `None` where it is drawn straight.
    pub facet: Option<Facet>,
}

impl SidePlan {
    /// Whether no plane rises from it: a gable end, or an end against a wall.
    pub fn is_still(&self) -> bool {
        self.gable || self.wall
    }
}

/// A label within this many text heights of a side is written at that side ...
const BESIDE_HEIGHTS: f64 = 4.0;
/// ... or within this many feet, where the text is small.
const BESIDE_LEAST_FT: f64 = 2.0;

/// A word at most so many times as far from its side was meant for it all the same, and is asked about.
const ASKED_REACHES: f64 = 4.0;

/// A text beside an outline nearer than this, in feet, may speak of one of its sides.
const UNREAD_REACH_FT: f64 = 6.0;

/// Where a label counts.
pub(super) fn place_of(label: &Label) -> Point {
    label.points_at.unwrap_or(label.at)
}

/// A label with the side that it is nearest to.
pub(super) struct AtSide<'a> {
    pub(super) label: &'a Label,
    pub(super) ring: usize,
    pub(super) side: usize,
    pub(super) distance: f64,
    /// How far its side is: from the nearest letter of a text outside, from the middle of one inside.
    pub(super) gap: f64,
    pub(super) inside: bool,
}

/// Takes faces that stand alone out of the map and makes outlines of them, where the labels say so.
///
/// `labels` are those that may speak of a side, each with the face of the map that holds it.
pub(super) fn take_outlines(
    map: &mut PlanMap,
    alone: &[bool],
    labels: &mut [Owned<'_>],
    options: &MapOptions,
) {
    let mut outlines = Vec::new();
    let mut faces_out = take_courts(map, alone, labels, options);
    let torn = owners::give(map, alone, &faces_out, labels);
    let mut read: Vec<bool> = vec![false; labels.len()];
    for face in (0..map.faces.len()).filter(|&f| alone[f]) {
        if faces_out[face] {
            continue;
        }
        let rings = map.rings(face);
        let near = near(labels, face, &rings);
        if is_outline(map, face, &near, options) {
            let of_it = |label: &Label| near.iter().any(|n| std::ptr::eq(n.label, label));
            read.iter_mut()
                .zip(labels.iter())
                .for_each(|(r, l)| *r |= of_it(l.label));
            let plan = plan(map, face, &rings, &near, options);
            outlines.push(plan);
            faces_out[face] = true;
        } else {
            settle_face(map, face, options);
        }
    }
    remove_faces(map, &faces_out);
    for (plan, findings) in outlines {
        map.outlines.push(plan);
        map.findings.extend(findings);
    }
    forget_used_labels(map);
    if map.outlines.is_empty() {
        let of_sides = labels.iter().map(|l| l.label).filter(|l| !is_pitch(l));
        let told: Vec<Finding> = of_sides.map(unused).collect();
        map.findings.extend(told);
    } else {
        map.findings.extend(torn);
        tell_unread_labels(map, labels, &read, &faces_out);
    }
}

fn is_pitch(label: &Label) -> bool {
    matches!(label.says, Says::Pitch { .. })
}

/// Labels that no side of an outline took.
fn tell_unread_labels(map: &mut PlanMap, labels: &[Owned<'_>], read: &[bool], out: &[bool]) {
    let mut told = Vec::new();
    for (owned, _) in labels.iter().zip(read).filter(|(_, read)| !**read) {
        let label = owned.label;
        if owned.face.or(owned.speaks_of).is_some_and(|f| !out[f]) {
            if !is_pitch(label) {
                told.push(unused(label));
            }
            continue;
        }
        let rings = map.outlines.iter().flat_map(|outline| &outline.rings);
        let sides = rings.flat_map(|r| ring::sides(r));
        let nearest = sides.map(|(a, b)| gap(label, a, b)).min_by(f64::total_cmp);
        if let Some(gap_ft) = nearest {
            name_at_bare_sides(map, label, gap_ft);
            if !is_pitch(label) {
                told.push(too_far(label, gap_ft));
            }
        }
    }
    map.findings.extend(told);
}

/// A word that only sides have, and stands too far from all of them.
fn too_far(label: &Label, gap_ft: f64) -> Finding {
    let message = format!(
        "“{}” stands {} from the nearest side of an outline, too far to be taken for written at it, and was not used.",
        label.text,
        feet(gap_ft)
    );
    let told = match gap_ft <= ASKED_REACHES * reach(label) {
        true => Finding::error("side-label-too-far", message),
        false => Finding::warning("side-label-too-far", message),
    };
    told.remedy("Move it beside its side, or draw a leader on a layer named note from it to that side; put a mere note on a layer named ignore.")
        .place(Place::on(&label.source, place_of(label)))
}

/// Names a text in what is told of a side without a pitch, where it may be that side's.
fn name_at_bare_sides(map: &mut PlanMap, label: &Label, gap_ft: f64) {
    if gap_ft <= ASKED_REACHES * reach(label) {
        let words = format!(
            " “{}” stands {} from it and was not taken for written at it.",
            label.text,
            feet(gap_ft)
        );
        add_to_nearest_bare_side(map, place_of(label), &words);
    }
}

fn add_to_nearest_bare_side(map: &mut PlanMap, at: Point, words: &str) {
    let to = |finding: &Finding| {
        let place = finding.places.first().and_then(|p| p.at);
        place.map_or(f64::INFINITY, |p| at.distance(p))
    };
    let bare = map.findings.iter_mut();
    let bare = bare.filter(|f| f.code == "side-without-pitch");
    if let Some(finding) = bare.min_by(|f, g| to(f).total_cmp(&to(g))) {
        finding.message.push_str(words);
    }
}

/// A pitch beside a side stands in no face, and in a notch the lines about it seem not to close; but it is used all the same.
fn forget_used_labels(map: &mut PlanMap) {
    let sides = map.outlines.iter().flat_map(|o| o.sides.iter().flatten());
    let used: Vec<&Arc<Source>> = sides.flat_map(|side| &side.pitch_labels).collect();
    map.findings.retain(|finding| {
        let source = finding.places.last().and_then(|p| p.source.as_ref());
        let of_stray = matches!(finding.code, "label-outside" | "lines-do-not-close");
        !of_stray || !source.is_some_and(|s| used.contains(&s))
    });
}

/// A label and the face of the map that holds it.
pub(super) struct Owned<'a> {
    pub(super) label: &'a Label,
    pub(super) face: Option<usize>,
    /// The face that it is written beside, where it stands in none: it speaks of no other.
    pub(super) speaks_of: Option<usize>,
}

/// The labels that may speak of the sides of a face: those in it and those beside all faces, each with its side.
pub(super) fn near<'a>(labels: &[Owned<'a>], face: usize, rings: &[Vec<Point>]) -> Vec<AtSide<'a>> {
    labels
        .iter()
        .filter(|l| l.face.or(l.speaks_of).is_none_or(|f| f == face))
        .filter_map(|l| at_side(l, rings))
        .collect()
}

/// The side that a label is nearest to, where it lies inside the rings or near enough to a side.
pub(super) fn at_side<'a>(owned: &Owned<'a>, rings: &[Vec<Point>]) -> Option<AtSide<'a>> {
    let label = owned.label;
    let at = place_of(label);
    let inside = owned.face.is_some();
    let (distance, ring, side, (a, b)) = rings
        .iter()
        .enumerate()
        .flat_map(|(r, ring)| {
            ring::sides(ring)
                .enumerate()
                .map(move |(s, (a, b))| (at.distance_to_segment(a, b), r, s, (a, b)))
        })
        .min_by(|x, y| x.0.total_cmp(&y.0))?;
    let gap = match inside {
        true => distance,
        false => gap(label, a, b),
    };
    (inside || gap <= reach(label)).then_some(AtSide {
        label,
        ring,
        side,
        distance,
        gap,
        inside,
    })
}

/// The height of letters as a part of the text's size.
const LETTERS: f64 = 0.7;

/// How far a side is from the nearest letter of a text, in feet; from where its leader ends, if it has one. A long text beside
/// an upright side has its middle far from it.
pub(super) fn gap(label: &Label, a: Point, b: Point) -> f64 {
    match label.points_at {
        Some(at) => at.distance_to_segment(a, b),
        None => gap_of_text(label.at, label.baseline, label.height_ft, (a, b)),
    }
}

/// The same of any text, by its middle, its baseline and its height.
pub(super) fn gap_of_text(
    at: Point,
    [start, end]: [Point; 2],
    height_ft: f64,
    (a, b): (Point, Point),
) -> f64 {
    let of_middle = at.distance_to_segment(a, b);
    let up = at - start.midpoint(end);
    let (start, end) = (start + up, end + up);
    if segments_cross((start, end), (a, b)) {
        return 0.0;
    }
    let of_line = [
        start.distance_to_segment(a, b),
        end.distance_to_segment(a, b),
        a.distance_to_segment(start, end),
        b.distance_to_segment(start, end),
    ];
    let least = of_line.into_iter().fold(of_middle, f64::min);
    (least - LETTERS / 2.0 * height_ft).max(0.0)
}

pub(super) fn reach(label: &Label) -> f64 {
    (BESIDE_HEIGHTS * label.height_ft).max(BESIDE_LEAST_FT)
}

/// Whether a lone face is the outline of a whole roof: something is written at a side that only an outline has, or
/// several pitches are, or nothing at all and the pitch of everything is given.
pub(super) fn is_outline(
    map: &PlanMap,
    face: usize,
    near: &[AtSide<'_>],
    options: &MapOptions,
) -> bool {
    let of_side = near
        .iter()
        .any(|n| !matches!(n.label.says, Says::Pitch { .. }));
    let pitches: Vec<&AtSide<'_>> = near
        .iter()
        .filter(|n| matches!(n.label.says, Says::Pitch { .. }))
        .collect();
    let arrow = map.faces[face].fall_hint.is_some();
    let inside = pitches.iter().filter(|n| n.inside).count();
    let differ = pitches
        .windows(2)
        .any(|w| w[0].label.says != w[1].label.says);
    let unlabelled = pitches.is_empty() && options.default_pitch.is_some();
    options.outline
        || of_side
        || inside < pitches.len()
        || (!arrow && (pitches.len() > 2 || differ || unlabelled))
}

/// A lone face that is no outline: it needs a pitch.
fn settle_face(map: &mut PlanMap, face: usize, options: &MapOptions) {
    let of_face = &mut map.faces[face];
    if of_face.pitch.is_none() {
        of_face.pitch = options.default_pitch.map(default_pitch);
    }
    let free = |side: &DirectedEdge| {
        let edge = &map.edges[side.edge];
        edge.left.is_none() || edge.right.is_none()
    };
    let free = map.faces[face].rings[0].iter().all(free);
    let of_face = &mut map.faces[face];
    of_face.could_be_outline = free && of_face.fall_hint.is_none();
    if of_face.pitch.is_none() {
        let corners = map.corners(&map.faces[face].rings[0]);
        let area = ring::signed_area(&corners);
        map.findings.push(
            Finding::error(
                "face-without-pitch",
                format!("A face of {} in plan has no pitch in it.", plan_area(area)),
            )
            .remedy("Write its pitch inside it, or give --pitch for all faces without one.")
            .place(Place::at(super::tell::inside_place(&corners))),
        );
    }
}

/// Takes faces out of the map, with the edges, nodes and drawn pieces that nothing else uses.
fn remove_faces(map: &mut PlanMap, out: &[bool]) {
    if !out.contains(&true) {
        return;
    }
    let renumber = |keep: &[bool]| -> Vec<Option<usize>> {
        let mut next = 0;
        keep.iter()
            .map(|&k| {
                next += usize::from(k);
                k.then(|| next - 1)
            })
            .collect()
    };
    let faces = renumber(&out.iter().map(|o| !o).collect::<Vec<_>>());
    let of = |f: Option<usize>| f.and_then(|f| faces[f]);
    for edge in &mut map.edges {
        (edge.left, edge.right) = (of(edge.left), of(edge.right));
    }
    let keep_edge: Vec<bool> = map
        .edges
        .iter()
        .map(|e| e.left.is_some() || e.right.is_some())
        .collect();
    let edges = renumber(&keep_edge);
    let mut keep_node = vec![false; map.nodes.len()];
    for (edge, _) in map.edges.iter().zip(&keep_edge).filter(|(_, k)| **k) {
        keep_node[edge.a] = true;
        keep_node[edge.b] = true;
    }
    let nodes = renumber(&keep_node);
    retain(&mut map.edges, &keep_edge);
    retain(&mut map.nodes, &keep_node);
    retain(&mut map.faces, &out.iter().map(|o| !o).collect::<Vec<_>>());
    for edge in &mut map.edges {
        (edge.a, edge.b) = (nodes[edge.a].unwrap_or(0), nodes[edge.b].unwrap_or(0));
    }
    for side in map.faces.iter_mut().flat_map(|f| &mut f.rings).flatten() {
        side.edge = edges[side.edge].unwrap_or(0);
    }
    map.round_nodes = (map.round_nodes.iter()).filter_map(|&n| nodes[n]).collect();
    for piece in &mut map.drawn {
        piece.nodes = piece.nodes.iter().filter_map(|&n| nodes[n]).collect();
    }
    map.drawn.retain(|p| p.nodes.len() >= 2);
}

fn retain<T>(of: &mut Vec<T>, keep: &[bool]) {
    let mut keep = keep.iter();
    of.retain(|_| keep.next().copied().unwrap_or(false));
}

/// Texts at an outline that begin as what is written at a side does and were not understood. Where the faces are drawn they
/// are notes.
pub(super) fn tell_unread(map: &mut PlanMap, drawing: &Drawing) {
    let near = |at: Point| {
        let mut rings = map.outlines.iter().flat_map(|outline| &outline.rings);
        rings.any(|r| {
            ring::contains(r, at)
                || ring::sides(r).any(|(a, b)| at.distance_to_segment(a, b) <= UNREAD_REACH_FT)
        })
    };
    let all = drawing.unread_sides.iter();
    let unread: Vec<&Mistyped> = all.filter(|text| near(text.at)).collect();
    let told = unread.iter().map(|text| {
        let mut labels = drawing.labels.iter();
        let its_pitch = labels.any(|l| l.source == text.source && l.text == text.text);
        let message = match its_pitch {
            true => format!("Of “{}” the pitch was used; what else it says of a side of the outline was not understood.", text.text),
            false => format!("“{}” reads like what is written at a side of an outline, but was not understood and was not used.", text.text),
        };
        Finding::warning("side-label-unread", message)
        .remedy("Write `gable`, `wall` or the height of the eave (eave 9'-0\") beside the side; put a mere note on a layer named ignore.")
        .place(Place::on(&text.source, text.at))
    });
    let told: Vec<Finding> = told.collect();
    // What is refused shows no warnings.
    for text in unread {
        let words = format!(" “{}” beside the outline was not understood.", text.text);
        add_to_nearest_bare_side(map, text.at, &words);
    }
    map.findings.extend(told);
}

/// A label that only outlines have, at faces that are drawn.
fn unused(label: &Label) -> Finding {
    Finding::note(
        "side-label-unused",
        format!(
            "“{}” was not used: the faces of the roof are drawn, so its sides need no words.",
            label.text
        ),
    )
    .place(Place::on(&label.source, place_of(label)))
}
