//! How end pieces lean: two that lean together come out of less than the sum of their reaches.

use super::ends::End;

/// The outline of an end measured from its reach, as (h, how far it stays back ≤ 0), shared where equal.
pub(super) fn shape_of(end: &End, shapes: &mut Vec<Vec<(f64, f64)>>, tolerance: f64) -> usize {
    let reach = end.reach();
    let shape: Vec<(f64, f64)> = end.outer.iter().map(|&(h, s)| (h, reach - s)).collect();
    let same = |other: &Vec<(f64, f64)>| {
        other.len() == shape.len()
            && other
                .iter()
                .zip(&shape)
                .all(|(a, b)| (a.0 - b.0).abs() <= tolerance && (a.1 - b.1).abs() <= tolerance)
    };
    if let Some(at) = shapes.iter().position(same) {
        return at;
    }
    shapes.push(shape);
    shapes.len() - 1
}

/// The largest sum of two outlines at any height that both pieces have.
pub(super) fn slack(left: &[(f64, f64)], right: &[(f64, f64)]) -> f64 {
    let top = |s: &[(f64, f64)]| s.last().map_or(0.0, |p| p.0);
    let common = top(left).min(top(right));
    // Beyond the lower of the two tops only one piece is there, and no piece is wider than a shingle.
    left.iter()
        .chain(right)
        .map(|p| p.0)
        .filter(|&h| h <= common)
        .chain([common])
        .map(|h| outermost(left, h) + outermost(right, h))
        .fold(f64::NEG_INFINITY, f64::max)
        .min(0.0)
}

fn outermost(shape: &[(f64, f64)], h: f64) -> f64 {
    let mut best = f64::NEG_INFINITY;
    for pair in shape.windows(2) {
        let ((h0, d0), (h1, d1)) = (pair[0], pair[1]);
        if h < h0 || h > h1 {
            continue;
        }
        best = best.max(if h1 - h0 <= 0.0 {
            d0.max(d1)
        } else {
            d0 + (d1 - d0) * (h - h0) / (h1 - h0)
        });
    }
    if best.is_finite() { best } else { 0.0 }
}
