//! Findings about what snapping and mending did, each kind told once with its number and its farthest place.

use super::PlanMap;
use super::attempt::{Attempt, Speck, long_loose_links};
use super::build::PitchLabel;
use super::doubled::Doubled;
use super::halfedge::Subdivision;
use super::kinds::Context;
use super::net::How;
use super::repair::REACH;
use crate::geometry::{Point, ring};
use crate::{Finding, Place};

use rstar::primitives::Line;
use rstar::{PointDistance as _, RTree};

/// A finding names this many places at most.
const MOST_PLACES: usize = 8;
/// A strip without a pitch, and a line that bounds nothing at the roof's edge, may have been a face's from this length
/// on, in feet.
const LONG_FT: f64 = 3.0;
/// Moves under this, in feet, are rounding.
const ROUNDING_FT: f64 = 1e-3;

/// The finding with its first few places.
pub(super) fn several(finding: Finding, places: Vec<Place>) -> Finding {
    places
        .into_iter()
        .take(MOST_PLACES)
        .fold(finding, Finding::place)
}

/// A place inside a ring: its centroid, or where that lies outside the middle of a cut through it.
pub(super) fn inside_place(corners: &[Point]) -> Point {
    let centroid = ring::centroid(corners);
    if ring::contains(corners, centroid) {
        return centroid;
    }
    let mut cuts: Vec<f64> = ring::sides(corners)
        .filter(|(a, b)| (a.y > centroid.y) != (b.y > centroid.y))
        .map(|(a, b)| a.x + (centroid.y - a.y) / (b.y - a.y) * (b.x - a.x))
        .collect();
    cuts.sort_by(f64::total_cmp);
    let widest = cuts
        .chunks_exact(2)
        .max_by(|p, q| (p[1] - p[0]).total_cmp(&(q[1] - q[0])));
    widest.map_or(centroid, |w| Point::new((w[0] + w[1]) / 2.0, centroid.y))
}

/// Whether each node belongs to a part of the roof.
fn roof_nodes(attempt: &Attempt, parts: &[usize]) -> Vec<bool> {
    let mut in_roof = vec![false; attempt.sub.nodes.len()];
    for (link, part) in attempt.sub.links.iter().zip(&attempt.sub.part) {
        if parts.binary_search(part).is_ok() {
            in_roof[link.a] = true;
            in_roof[link.b] = true;
        }
    }
    in_roof
}

/// Lines that no tolerance parts.
pub(super) fn tangled(at: Point) -> Finding {
    Finding::error(
        "lines-tangled",
        "Lines lie so near together here, crossing each other, that no faces can be made out.",
    )
    .remedy("Draw each edge once; leave hatches and details out with --ignore, or draw the roof on a layer named roof.")
    .place(Place::at(at))
}

/// What was joined and mended: notes, and the largest move with its place.
pub(super) fn mending(
    context: &Context<'_>,
    parts: &[usize],
    findings: &mut Vec<Finding>,
) -> Option<(f64, Point)> {
    let (attempt, pieces) = (context.attempt, context.pieces);
    let in_roof = roof_nodes(attempt, parts);
    let mut largest: Option<(f64, Point)> = None;
    let mut joined = 0;
    for (node, ends) in attempt.net.ends.iter().enumerate() {
        let at = attempt.net.nodes[node];
        let far = ends
            .iter()
            .filter(|_| in_roof[node])
            .map(|&(p, side)| pieces[p].ends[side].distance(at))
            .fold(0.0, f64::max);
        joined += usize::from(far > ROUNDING_FT);
        if far > 0.0 && largest.is_none_or(|(most, _)| far > most) {
            largest = Some((far, at));
        }
    }
    if let (true, Some((far, at))) = (joined > 0, largest) {
        findings.push(
            Finding::note(
                "ends-joined",
                format!("{joined} corners and joints were drawn apart and have been joined; the farthest end moved {far:.2} ft."),
            )
            .place(Place::at(at)),
        );
    }
    let roof_face = |face: usize| parts.binary_search(&attempt.sub.face_part[face]).is_ok();
    findings.extend(Doubled::of(attempt, pieces, roof_face).tell());
    for (how, code, did) in [
        (
            How::Extended,
            "ends-extended",
            "stopped short and were taken on to the next line",
        ),
        (
            How::Cut,
            "ends-cut",
            "ran past their joint and were cut off",
        ),
    ] {
        let mut mended: Vec<_> = attempt
            .net
            .mended
            .iter()
            .filter(|m| m.how == how && m.by_ft > ROUNDING_FT)
            .collect();
        mended.sort_by(|a, b| b.by_ft.total_cmp(&a.by_ft));
        if let Some(farthest) = mended.first() {
            findings.push(
                Finding::note(
                    code,
                    format!(
                        "{} line ends {did}; the farthest by {:.2} ft.",
                        mended.len(),
                        farthest.by_ft
                    ),
                )
                .place(Place::at(farthest.at)),
            );
        }
    }
    findings.extend(specks(attempt));
    largest
}

/// Faces with a pitch in them that are smaller than what the tolerance can tell from none: of one whose corners all but
/// lie on a line, rounding decides whether it has an area.
pub(super) fn too_small(map: &PlanMap) -> Vec<Finding> {
    let least = map.tolerance_ft.powi(2);
    let outer = map.faces.iter().filter_map(|face| face.rings.first());
    outer
        .map(|ring| map.corners(ring))
        .filter(|corners| ring::signed_area(corners) <= least)
        .map(|corners| {
            Finding::error(
                "face-too-small",
                "The lines round this pitch close a face too small to be told from a slip of the tracing.",
            )
            .remedy("Move the pitch into the face that it is meant for, or leave out the lines that cross beside it.")
            .place(Place::at(ring::centroid(&corners)))
        })
        .collect()
}

/// What was given to the face beside it: left-overs of the tracing, and strips too long and too wide to be any.
fn specks(attempt: &Attempt) -> Vec<Finding> {
    let meant = |s: &Speck| s.length_ft() >= LONG_FT && s.width_ft() > attempt.tolerance;
    let (strips, left_overs): (Vec<Speck>, Vec<Speck>) =
        attempt.absorbed.iter().copied().partition(meant);
    let mut told: Vec<Finding> = strips.iter().map(strip).collect();
    if let Some(first) = left_overs.first() {
        let area: f64 = left_overs.iter().map(|s| s.area_sqft).sum();
        told.push(
            Finding::note(
                "specks-absorbed",
                format!("{} specks between faces, {area:.2} ft² in all, were given to the face beside them.", left_overs.len()),
            )
            .place(Place::at(first.at)),
        );
    }
    told
}

fn strip(strip: &Speck) -> Finding {
    Finding::warning(
        "strip-without-pitch",
        format!(
            "A strip between faces, {:.1} ft long and {:.2} ft wide, has no pitch in it and was given to the face beside it: a steep face, seen nearly edge-on, would be lost.",
            strip.length_ft(),
            strip.width_ft()
        ),
    )
    .remedy("If it is a face, write its pitch with a leader that ends in it; if one of its long lines is a gutter, a fascia or a wall, leave that out by --ignore with its colour or width, or put it on a layer named ignore.")
    .place(Place::at(strip.at))
}

/// Lines that bound nothing, and labels that no face holds.
pub(super) fn open_lines(context: &Context<'_>, parts: &[usize], findings: &mut Vec<Finding>) {
    let attempt = context.attempt;
    let sub = &attempt.sub;
    let finder = super::labels::FaceFinder::new(sub);
    let mut inside: Vec<Place> = Vec::new();
    let mut outside: Vec<Place> = Vec::new();
    let mut at_the_roof: Vec<Place> = Vec::new();
    let loose = long_loose_links(sub, context.pieces, attempt.tolerance);
    let roof = RoofLines::new(sub, parts, loose.is_empty());
    let reach = REACH * attempt.tolerance;
    for i in loose {
        let link = &sub.loose[i];
        let middle = sub.nodes[link.a].midpoint(sub.nodes[link.b]);
        let source = &context.strokes[context.pieces[link.pieces[0]].stroke].source;
        let in_roof = finder
            .at(middle)
            .is_some_and(|f| parts.binary_search(&sub.face_part[f]).is_ok());
        let is_long = sub.nodes[link.a].distance(sub.nodes[link.b]) >= LONG_FT;
        let ends = [link.a, link.b].map(|node| sub.nodes[node]);
        let meets_roof = || ends.iter().any(|&end| roof.within(end, reach));
        let list = match (in_roof, is_long && meets_roof()) {
            (true, _) => &mut inside,
            (false, true) => &mut at_the_roof,
            (false, false) => &mut outside,
        };
        list.push(Place::on(source, middle));
    }
    let stray: Vec<_> = context
        .labels
        .iter()
        .zip(&attempt.label_face)
        .filter(|(_, face)| face.is_none())
        .map(|(label, _)| label)
        .collect();
    let gaps = gaps(attempt);
    for label in stray {
        findings.push(stray_label(sub, label, &gaps));
    }
    if !inside.is_empty() {
        findings.push(several(
            Finding::warning(
                "loose-line",
                format!(
                    "{} lines inside the roof end in nothing and were left out.",
                    inside.len()
                ),
            )
            .remedy("Draw them on to the line that they should meet, or on a layer named note."),
            inside,
        ));
    }
    if !at_the_roof.is_empty() {
        findings.push(several(
            Finding::warning(
                "line-from-the-roof",
                format!(
                    "{} lines start at the roof's edge or hardly beside it, bound no face and were left out: where one of them is a side of a face, that part of the face is lost.",
                    at_the_roof.len()
                ),
            )
            .remedy("Draw sides of faces on to the next corner, and leaders on a layer named note."),
            at_the_roof,
        ));
    }
    if !outside.is_empty() {
        findings.push(several(
            Finding::note(
                "line-left-out",
                match outside.len() {
                    1 => "A line beside the roof bounds no face and was left out.".to_owned(),
                    count => {
                        format!("{count} lines beside the roof bound no face and were left out.")
                    }
                },
            ),
            outside,
        ));
    }
}

/// The roof's lines, to be looked for near a place.
struct RoofLines(RTree<Line<[f64; 2]>>);

impl RoofLines {
    /// None where nobody will ask.
    fn new(sub: &Subdivision, parts: &[usize], unasked: bool) -> Self {
        let at = |node: usize| [sub.nodes[node].x, sub.nodes[node].y];
        let lines = sub.links.iter().zip(&sub.part);
        let lines = lines
            .filter(|(_, part)| !unasked && parts.binary_search(part).is_ok())
            .map(|(link, _)| Line::new(at(link.a), at(link.b)))
            .collect();
        Self(RTree::bulk_load(lines))
    }

    fn within(&self, at: Point, reach_ft: f64) -> bool {
        let at = [at.x, at.y];
        self.0
            .nearest_neighbor(&at)
            .is_some_and(|line| line.distance_2(&at) <= reach_ft * reach_ft)
    }
}

/// A label that no face holds. Among lines it is one of a face that does not close; else it stands beside the roof.
fn stray_label(sub: &Subdivision, label: &PitchLabel<'_>, gaps: &[Gap]) -> Finding {
    let near = gaps
        .iter()
        .min_by(|a, b| a.at.distance(label.at).total_cmp(&b.at.distance(label.at)));
    let sides = sides_with_lines(sub, label.at);
    let text = &label.label.text;
    let own = Place::on(&label.label.source, label.at);
    if sides < 3 || sides == 3 && near.is_none() {
        return Finding::warning(
            "label-outside",
            format!("The pitch {text} stands in no face of the roof and was not used."),
        )
        .remedy("Move it into its face, or on a layer named note.")
        .place(own);
    }
    let open = near.map_or(String::new(), |gap| {
        format!(
            ": the nearest open end is {:.2} ft from the next line",
            gap.to_next_ft
        )
    });
    let finding = Finding::error(
        "lines-do-not-close",
        format!("The lines round the pitch {text} do not close{open}."),
    )
    .remedy("Draw the lines on until they meet, or give a larger snap tolerance.");
    match near {
        Some(gap) => finding.place(Place::at(gap.at)).place(own),
        None => finding.place(own),
    }
}

/// An open end, and how far it is to the next line that it does not belong to.
struct Gap {
    at: Point,
    to_next_ft: f64,
}

fn gaps(attempt: &Attempt) -> Vec<Gap> {
    let sub = &attempt.sub;
    let mut degree = vec![0; sub.nodes.len()];
    for link in sub.links.iter().chain(&sub.loose) {
        degree[link.a] += 1;
        degree[link.b] += 1;
    }
    let mut gaps = Vec::new();
    for link in &sub.loose {
        for (node, other) in [(link.a, link.b), (link.b, link.a)] {
            if degree[node] != 1 {
                continue;
            }
            let at = sub.nodes[node];
            let to_next_ft = sub
                .links
                .iter()
                .chain(&sub.loose)
                .filter(|l| ![l.a, l.b].contains(&node) && ![l.a, l.b].contains(&other))
                .map(|l| at.distance_to_segment(sub.nodes[l.a], sub.nodes[l.b]))
                .fold(f64::INFINITY, f64::min);
            if to_next_ft.is_finite() {
                gaps.push(Gap { at, to_next_ft });
            }
        }
    }
    gaps
}

/// On how many of the four sides of a place there are lines.
fn sides_with_lines(sub: &Subdivision, at: Point) -> usize {
    let mut sides = [false; 4];
    for link in sub.loose.iter().chain(&sub.links) {
        let (a, b) = (sub.nodes[link.a], sub.nodes[link.b]);
        if (a.y > at.y) != (b.y > at.y) {
            let x = a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x);
            sides[usize::from(x > at.x)] = true;
        }
        if (a.x > at.x) != (b.x > at.x) {
            let y = a.y + (at.x - a.x) / (b.x - a.x) * (b.y - a.y);
            sides[2 + usize::from(y > at.y)] = true;
        }
    }
    sides.iter().filter(|&&s| s).count()
}
