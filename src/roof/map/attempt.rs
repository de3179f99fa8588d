//! The map at one tolerance, and how right it looks.

use super::halfedge::{Subdivision, subdivide};
use super::labels::{FaceFinder, Spot, assign};
use super::net::{Link, Net};
use super::noding::{split_at_crossings, split_at_joints};
use super::piece::Piece;
use super::repair::mend_loose_ends;
use super::snap::join_ends;
use super::text_frames::{TextFrame, without_frames};
use crate::geometry::Point;

/// A face without a label that is smaller than this many square feet (2 m²) is left over from the tracing ...
const SLIVER_SQFT: f64 = 21.5;
/// ... or narrower than this: area over perimeter, in feet (0.3 m). Both were chosen on traced plans of real roofs.
const SLIVER_THIN_FT: f64 = 0.98;
/// What nobody can have meant: less than this many square feet ...
const SPECK_SQFT: f64 = 1.0;
/// ... or less than this wide, as area over perimeter, in feet.
const THIN_FT: f64 = 0.2;
/// Two outer sides of different faces that run back to back nearer than this, in feet (0.3 m), are one edge that the
/// tolerance was too small to join.
const TWIN_FT: f64 = 0.98;
/// Where single lines were drawn, twice perhaps, two sides are twins only when nearer than this many tolerances: a
/// narrow gap may be meant.
const TWIN_LINES: f64 = 2.5;

/// The subdivision that one tolerance gives.
#[derive(Clone, Debug)]
pub(super) struct Attempt {
    /// In feet.
    pub(super) tolerance: f64,
    pub(super) net: Net,
    pub(super) sub: Subdivision,
    /// For each label the face that it lies in.
    pub(super) label_face: Vec<Option<usize>>,
    pub(super) faults: Faults,
    /// A place where the lines lie nearer together than the tolerance, so that they could not be split at their crossings.
    pub(super) tangled_at: Option<Point>,
    /// Specks between faces that were given to a neighbour.
    pub(super) absorbed: Vec<Speck>,
    /// Frames round a pitch that were left out.
    pub(super) framed: Vec<TextFrame>,
    /// Nodes of the roof's parts.
    pub(super) node_count: usize,
}

/// A tiny or thin face without a label that was given to a face beside it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Speck {
    pub(super) area_sqft: f64,
    /// Round it, in feet.
    pub(super) perimeter_ft: f64,
    /// Its middle.
    pub(super) at: Point,
}

impl Speck {
    fn new(sub: &Subdivision, face: usize) -> Self {
        Self {
            area_sqft: sub.area(face),
            perimeter_ft: sub.perimeter(face),
            at: crate::geometry::ring::centroid(&sub.corners(&sub.faces[face][0])),
        }
    }

    /// As a strip: half of what is round it, in feet.
    pub(super) fn length_ft(&self) -> f64 {
        self.perimeter_ft / 2.0
    }

    /// As a strip, in feet.
    pub(super) fn width_ft(&self) -> f64 {
        self.area_sqft / self.length_ft()
    }
}

/// What speaks against a tolerance.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Faults {
    /// Labels outside all faces.
    pub(super) stray_labels: usize,
    /// Labels too many in their face.
    pub(super) crowded_labels: usize,
    /// Faces left over from the tracing.
    pub(super) slivers: usize,
    /// Long lines that bound nothing.
    pub(super) lost_lines: usize,
    /// Edges drawn twice that still stand apart.
    pub(super) twins: usize,
    /// One where the lines could not be split at their crossings.
    pub(super) tangles: usize,
}

impl Faults {
    pub(super) fn sum(self) -> usize {
        self.stray_labels
            + self.crowded_labels
            + self.slivers
            + self.lost_lines
            + self.twins
            + self.tangles
    }
}

/// Snaps, splits, mends and walks the pieces at one tolerance.
pub(super) fn attempt(pieces: &[Piece], labels: &[Spot], tolerance: f64) -> Attempt {
    let mut net = join_ends(pieces, tolerance);
    split_at_joints(&mut net, pieces, tolerance);
    let mut tangled_at = split_at_crossings(&mut net, pieces, tolerance);
    if tangled_at.is_none() && mend_loose_ends(&mut net, pieces, tolerance) {
        tangled_at = split_at_crossings(&mut net, pieces, tolerance);
    }
    let mut sub = subdivide(net.nodes.clone(), net.links());
    let mut finder = FaceFinder::new(&sub);
    let mut label_face = assign(&finder, labels, |f| asks(&sub, f));
    let mut framed = Vec::new();
    if let Some((links, frames)) = without_frames(&sub, &label_face, labels) {
        framed = frames;
        let loose = sub.loose;
        sub = subdivide(sub.nodes, links);
        sub.loose.extend(loose);
        finder = FaceFinder::new(&sub);
        label_face = assign(&finder, labels, |f| asks(&sub, f));
    }
    let mut absorbed = Vec::new();
    while let Some((links, loose, at)) = without_specks(&sub, &label_face) {
        absorbed.extend(at);
        sub = subdivide(sub.nodes, links);
        sub.loose.extend(loose);
        finder = FaceFinder::new(&sub);
        label_face = assign(&finder, labels, |f| asks(&sub, f));
    }
    let in_roof = roof_faces(&sub, &label_face);
    let faults = Faults {
        tangles: usize::from(tangled_at.is_some()),
        ..judge(&sub, &finder, &label_face, &in_roof, pieces, tolerance)
    };
    let mut used = vec![false; sub.nodes.len()];
    for (i, link) in sub.links.iter().enumerate() {
        let roof = [2 * i, 2 * i + 1]
            .iter()
            .any(|&h| sub.left[h].is_some_and(|f| in_roof[f]));
        used[link.a] |= roof;
        used[link.b] |= roof;
    }
    Attempt {
        tolerance,
        tangled_at,
        absorbed,
        framed,
        net,
        node_count: used.iter().filter(|&&u| u).count(),
        sub,
        label_face,
        faults,
    }
}

/// Whether a face without a label asks for one that hangs over its line. A lone ring in a lone face may be a courtyard in an
/// outline: what stands in the roof beside it is of the roof, whether it would have found room in the ring or not.
fn asks(sub: &Subdivision, face: usize) -> bool {
    !is_thin(sub, face) && !is_lone_in_lone(sub, face)
}

/// Whether a face is the only one of its part, and lies in one that is.
fn is_lone_in_lone(sub: &Subdivision, face: usize) -> bool {
    let alone = |f: usize| {
        let same = |&&part: &&usize| part == sub.face_part[f];
        sub.face_part.iter().filter(same).count() == 1
    };
    let beyond = sub.faces[face][0].first().and_then(|h| sub.left[h ^ 1]);
    beyond.is_some_and(|beyond| alone(face) && alone(beyond))
}

/// The links without one side of each speck (a tiny or thin face without a label, inside the roof), so that it falls
/// to the neighbour that it shares most with; the links taken out; and the specks. `None` where there is no speck.
#[allow(clippy::type_complexity, reason = "used once, next to its definition")]
fn without_specks(
    sub: &Subdivision,
    label_face: &[Option<usize>],
) -> Option<(Vec<Link>, Vec<Link>, Vec<Speck>)> {
    let mut labelled = vec![false; sub.faces.len()];
    for &face in label_face.iter().flatten() {
        labelled[face] = true;
    }
    let mut out = vec![false; sub.links.len()];
    let mut specks = Vec::new();
    for face in (0..sub.faces.len()).filter(|&f| !labelled[f] && is_thin(sub, f)) {
        let length = |h: usize| sub.nodes[sub.start(h)].distance(sub.nodes[sub.start(h ^ 1)]);
        let longest = sub.faces[face][0]
            .iter()
            .copied()
            .filter(|&h| sub.left[h ^ 1].is_some_and(|f| labelled[f]))
            .max_by(|&g, &h| length(g).total_cmp(&length(h)).then(h.cmp(&g)));
        if let Some(half) = longest {
            out[half / 2] = true;
            specks.push(Speck::new(sub, face));
        }
    }
    if specks.is_empty() {
        return None;
    }
    let (gone, kept): (Vec<_>, Vec<_>) = (0..out.len()).partition(|&i| out[i]);
    let take = |of: Vec<usize>| of.into_iter().map(|i| sub.links[i].clone()).collect();
    Some((take(kept), sub.loose.clone(), specks)).filter(|_| !gone.is_empty())
}

/// The faces of the parts that hold a label; all faces where there is no label at all.
fn roof_faces(sub: &Subdivision, label_face: &[Option<usize>]) -> Vec<bool> {
    if label_face.iter().all(Option::is_none) {
        return vec![true; sub.faces.len()];
    }
    let mut parts: Vec<usize> = label_face
        .iter()
        .flatten()
        .map(|&face| sub.face_part[face])
        .collect();
    parts.sort_unstable();
    sub.face_part
        .iter()
        .map(|part| parts.binary_search(part).is_ok())
        .collect()
}

fn judge(
    sub: &Subdivision,
    finder: &FaceFinder,
    label_face: &[Option<usize>],
    in_roof: &[bool],
    pieces: &[Piece],
    tolerance: f64,
) -> Faults {
    let mut labels = vec![0_usize; sub.faces.len()];
    for &face in label_face.iter().flatten() {
        labels[face] += 1;
    }
    let in_roof_face = |i: &usize| {
        let link = &sub.loose[*i];
        let middle = sub.nodes[link.a].midpoint(sub.nodes[link.b]);
        finder.at(middle).is_some_and(|f| in_roof[f])
    };
    Faults {
        stray_labels: label_face.iter().filter(|f| f.is_none()).count(),
        crowded_labels: labels.iter().map(|&n| n.saturating_sub(1)).sum(),
        slivers: (0..sub.faces.len())
            .filter(|&f| labels[f] == 0 && in_roof[f] && is_sliver(sub, f))
            .count(),
        lost_lines: long_loose_links(sub, pieces, tolerance)
            .into_iter()
            .filter(in_roof_face)
            .count(),
        twins: twins(sub, &labels, in_roof, pieces, tolerance),
        tangles: 0,
    }
}

/// Whether a face is too small or too thin to be more than a left-over of the tracing.
pub(super) fn is_sliver(sub: &Subdivision, face: usize) -> bool {
    let area = sub.area(face);
    area < SLIVER_SQFT || area < SLIVER_THIN_FT * sub.perimeter(face)
}

/// Whether a face without a label is so small or thin that nobody can have meant it.
pub(super) fn is_thin(sub: &Subdivision, face: usize) -> bool {
    let area = sub.area(face);
    area < SPECK_SQFT || area < THIN_FT * sub.perimeter(face)
}

/// Loose links too long to be an end that ran past: their indices in `sub.loose`.
pub(super) fn long_loose_links(sub: &Subdivision, pieces: &[Piece], tolerance: f64) -> Vec<usize> {
    (0..sub.loose.len())
        .filter(|&i| {
            let link = &sub.loose[i];
            let length = sub.nodes[link.a].distance(sub.nodes[link.b]);
            let stroke = link
                .pieces
                .iter()
                .map(|&p| pieces[p].length())
                .fold(0.0, f64::max);
            length > 2.5 * tolerance || length > 0.5 * stroke
        })
        .collect()
}

/// How many pairs of outer sides of two labelled faces run back to back, close together. What lies outside may be the
/// inside of a frame.
fn twins(
    sub: &Subdivision,
    labels: &[usize],
    in_roof: &[bool],
    pieces: &[Piece],
    tolerance: f64,
) -> usize {
    use rstar::primitives::{GeomWithData, Rectangle};
    // Shapes that go round a face of their own are drawn back to back; single lines are not, unless twice.
    let own_shape = |i: usize| sub.links[i].pieces.iter().any(|&p| pieces[p].ring_like);
    let mut free: Vec<(usize, usize)> = Vec::new();
    for i in 0..sub.links.len() {
        for half in [2 * i, 2 * i + 1] {
            let outside = sub.left[half ^ 1].is_none_or(|f| labels[f] == 0 && !in_roof[f]);
            if let Some(face) = sub.left[half]
                && labels[face] > 0
                && outside
            {
                free.push((half, face));
            }
        }
    }
    let line = |half: usize| {
        let link = &sub.links[half / 2];
        let (a, b) = (sub.nodes[link.a], sub.nodes[link.b]);
        if half.is_multiple_of(2) {
            (a, b)
        } else {
            (b, a)
        }
    };
    let tree = rstar::RTree::bulk_load(
        free.iter()
            .enumerate()
            .map(|(i, &(half, _))| {
                let (a, b) = line(half);
                GeomWithData::new(Rectangle::from_corners([a.x, a.y], [b.x, b.y]), i)
            })
            .collect(),
    );
    let mut count = 0;
    for &(half, face) in &free {
        let (a, b) = line(half);
        let Some(unit) = (b - a).unit() else { continue };
        let length = a.distance(b);
        let middle = a.midpoint(b);
        let reach = length / 2.0 + TWIN_FT;
        for hit in tree.locate_in_envelope_intersecting(&super::noding::around(middle, reach)) {
            let (other, other_face) = free[hit.data];
            if other_face <= face || one_stroke(&sub.links[half / 2], &sub.links[other / 2], pieces)
            {
                continue;
            }
            let (c, d) = line(other);
            // Back to back: the other side runs the opposite way, and lies to the right of this one.
            let Some(way) = (d - c).unit() else { continue };
            if unit.dot(way) > -0.985 {
                continue;
            }
            let (from, to) = (unit.dot(d - a).max(0.0), unit.dot(c - a).min(length));
            let off = unit.cross(c.midpoint(d) - a).abs();
            let shared = to - from;
            let near = if own_shape(half / 2) && own_shape(other / 2) {
                TWIN_FT
            } else {
                TWIN_FT.min(TWIN_LINES * tolerance)
            };
            if shared > 2.0 * TWIN_FT && shared > 0.5 * length.min(c.distance(d)) && off < near {
                count += 1;
            }
        }
    }
    count
}

fn one_stroke(a: &Link, b: &Link, pieces: &[Piece]) -> bool {
    let stroke = |p: &usize| pieces[*p].stroke;
    a.pieces
        .iter()
        .any(|p| b.pieces.iter().any(|q| stroke(p) == stroke(q)))
}
