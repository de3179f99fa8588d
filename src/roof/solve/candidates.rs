//! The few directions in which a face may fall.
//!
//! A face falls square to one of its own edges (an eave or a ridge; the direction of a rake is square to the eave), or
//! its plane meets a neighbour's plane in their common edge: (g − gⱼ)·t = 0 with |g| known leaves two directions.

use crate::geometry::Vector;

use super::cost;
use super::sheet::Sheet;

/// Edges shorter than this (metres) give no candidate while two longer ones did.
const SHORT_EDGE_M: f64 = 0.25;
/// Candidates nearer to an earlier one than this part of the slope are the same.
const SAME_PART_OF_SLOPE: f64 = 0.06;
/// A neighbour's slope along the edge may exceed the face's own by the error of a rounded label.
const SLOPE_SLACK: f64 = 1.02;
/// Most candidates a face.
const MOST: usize = 48;
/// Arrows: candidates this much farther (degrees) from the arrow than the nearest one are dropped.
const ARROW_WINDOW_DEG: f64 = 4.0;
/// An arrow farther than this (degrees) from every candidate is a candidate of its own ...
const ARROW_OWN_DEG: f64 = 3.0;
/// ... and the only one when it is farther than this from every other.
const ARROW_FAR_DEG: f64 = 20.0;
/// The steepest and the flattest slope that a missing pitch may turn out to be, as rise over run.
const MISSING_SLOPES: (f64, f64) = (0.035, 4.0);

/// The candidates of every face, as gradients (uphill, |g| = slope). Never empty.
pub(super) fn candidates(sheet: &Sheet) -> Vec<Vec<Vector>> {
    let face_edges = sheet.face_edges();
    let first: Vec<Vec<Vector>> = sheet
        .faces
        .iter()
        .zip(&face_edges)
        .map(|(face, edges)| match face.slope {
            _ if face.is_flat() => vec![Vector::default()],
            Some(slope) => own_normals(sheet, edges, slope),
            None => Vec::new(),
        })
        .collect();
    (0..sheet.faces.len())
        .map(|face| {
            let mut list = first[face].clone();
            match sheet.faces[face].slope {
                _ if sheet.faces[face].is_flat() => {}
                Some(slope) => derive(sheet, &face_edges[face], face, slope, &first, &mut list),
                None => fit_missing(sheet, &face_edges[face], face, &first, &mut list),
            }
            list.truncate(MOST);
            if let Some(arrow) = sheet.faces[face].arrow {
                keep_along(&mut list, -arrow, sheet.faces[face].slope);
                for g in &mut list {
                    // Along a level edge the edge says more than a hand-drawn arrow; a fall that only follows from
                    // the neighbours says less.
                    if g.angle_to_deg(-arrow) <= ARROW_OWN_DEG
                        && !cost::has_square_edge(sheet, &face_edges[face], *g)
                    {
                        *g = -arrow * g.length();
                    }
                }
            }
            if list.is_empty() {
                list.push(Vector::default());
            }
            list
        })
        .collect()
}

/// Both normals of each own edge: outer ones first, since an eave is level where a ridge almost along it need not be, and
/// then the longest first.
fn own_normals(sheet: &Sheet, edges: &[usize], slope: f64) -> Vec<Vector> {
    let mut list = Vec::new();
    let mut sorted = longest_first(sheet, edges);
    sorted.sort_by_key(|&edge| sheet.edges[edge].outer().is_none());
    for edge in sorted {
        if sheet.edges[edge].length < SHORT_EDGE_M && list.len() >= 2 {
            break;
        }
        let normal = sheet.edges[edge].along.turn_left();
        add(&mut list, normal * slope, slope);
        add(&mut list, normal * -slope, slope);
    }
    list
}

fn longest_first(sheet: &Sheet, edges: &[usize]) -> Vec<usize> {
    let mut sorted = edges.to_vec();
    sorted.sort_by(|&a, &b| {
        sheet.edges[b]
            .length
            .total_cmp(&sheet.edges[a].length)
            .then(a.cmp(&b))
    });
    sorted
}

/// Directions in which the face meets a neighbour's plane along their common edge.
fn derive(
    sheet: &Sheet,
    edges: &[usize],
    face: usize,
    slope: f64,
    first: &[Vec<Vector>],
    list: &mut Vec<Vector>,
) {
    for edge in longest_first(sheet, edges) {
        let Some(other) = neighbour(sheet, edge, face) else {
            continue;
        };
        let along = sheet.edges[edge].along;
        for g in &first[other] {
            let rise = g.dot(along);
            if rise.abs() > SLOPE_SLACK * slope {
                continue;
            }
            let rise = rise.clamp(-slope, slope);
            let across = (slope * slope - rise * rise).max(0.0).sqrt();
            let normal = along.turn_left();
            add(list, along * rise + normal * across, slope);
            add(list, along * rise - normal * across, slope);
        }
    }
}

/// Candidates of a face without a pitch: square to an own edge and as steep as a neighbour's plane asks, or fitted
/// to two neighbours at once.
fn fit_missing(
    sheet: &Sheet,
    edges: &[usize],
    face: usize,
    first: &[Vec<Vector>],
    list: &mut Vec<Vector>,
) {
    let shared: Vec<(usize, usize)> = edges
        .iter()
        .filter_map(|&e| Some((e, neighbour(sheet, e, face)?)))
        .collect();
    for &(edge, other) in &shared {
        let along = sheet.edges[edge].along;
        for g in &first[other] {
            let rise = g.dot(along);
            for &own in edges {
                let normal = sheet.edges[own].along.turn_left();
                let across = normal.dot(along);
                if across.abs() > 0.05 {
                    add_missing(list, normal * (rise / across));
                }
            }
            for &(second, third) in &shared {
                let turn = along.cross(sheet.edges[second].along);
                if second <= edge || turn.abs() < 0.05 {
                    continue;
                }
                for h in &first[third] {
                    let rise2 = h.dot(sheet.edges[second].along);
                    // Solve g·t₁ = r₁, g·t₂ = r₂.
                    let t2 = sheet.edges[second].along;
                    let x = (rise * t2.y - rise2 * along.y) / turn;
                    let y = (along.x * rise2 - t2.x * rise) / turn;
                    add_missing(list, Vector::new(x, y));
                }
            }
        }
    }
}

fn add_missing(list: &mut Vec<Vector>, g: Vector) {
    let slope = g.length();
    if slope >= MISSING_SLOPES.0 && slope <= MISSING_SLOPES.1 && list.len() < MOST {
        add(list, g, slope);
    }
}

fn neighbour(sheet: &Sheet, edge: usize, face: usize) -> Option<usize> {
    let (left, right) = sheet.edges[edge].both()?;
    Some(if left == face { right } else { left })
}

fn add(list: &mut Vec<Vector>, g: Vector, slope: f64) {
    let limit = SAME_PART_OF_SLOPE * slope;
    let off_squared = |known: Vector| (known - g).dot(known - g);
    if list.iter().all(|&known| off_squared(known) > limit * limit) {
        list.push(g);
    }
}

/// Keeps the candidates that an arrow means: `uphill` is its opposite. Where none is close, the arrow's own direction
/// stands beside them and the cost decides whether it was drawn carefully.
fn keep_along(list: &mut Vec<Vector>, uphill: Vector, slope: Option<f64>) {
    let nearest = list
        .iter()
        .map(|g| g.angle_to_deg(uphill))
        .fold(f64::INFINITY, f64::min);
    if nearest > ARROW_FAR_DEG {
        list.clear();
    }
    list.retain(|g| g.angle_to_deg(uphill) <= nearest + ARROW_WINDOW_DEG);
    if nearest > ARROW_OWN_DEG {
        list.extend(slope.filter(|&m| m > 0.0).map(|m| uphill * m));
    }
}
