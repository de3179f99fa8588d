//! Proven lower bounds on the shingles that any layout opens.

use super::problem::TOLERANCE;
use super::runs::Run;

/// The slice bound: as many shingles as are as wide together as [`slice_need`], and the tolerance. Holds for any joints and
/// any reuse of offcuts.
///
/// 30 ft wide, 35 courses of 39⅜ in shingles, rakes overhanging ½ in: 35 × 361 / 39.375 = 320.9, so 321.
pub(super) fn slice_bound(need: f64, width: f64) -> usize {
    // A shingle is not asked for by the rounding of the sum.
    (need / (width * (1.0 + TOLERANCE)) - 1e-6).ceil().max(0.0) as usize
}

/// At any height h above the butt lines the runs need so much width in all: the most over h, in inches.
pub(super) fn slice_need(runs: &[Run], width: f64) -> f64 {
    let mut heights: Vec<f64> = runs
        .iter()
        .flat_map(|r| r.left.inner.iter().chain(&r.right.inner))
        .map(|p| p.0)
        .collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() < 1e-9 * width);
    heights
        .iter()
        .map(|&h| runs.iter().map(|r| width_at(r, h)).sum::<f64>())
        .fold(0.0, f64::max)
}

/// The width that a run needs at a height, 0 above its pieces.
pub(super) fn width_at(run: &Run, h: f64) -> f64 {
    let top = run.left.inner.last().map_or(0.0, |p| p.0);
    if h > top {
        return 0.0;
    }
    (-run.right.inner_at(h) - run.left.inner_at(h)).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::super::plain_faces::{format, problem, trapezoid};
    use super::super::{EdgeKind, LayRules, lay_face};
    use super::{slice_bound, slice_need};

    /// Coordinates with seven decimals may leave a run wider than ten shingles by so little that its two end pieces still
    /// come out of one shingle: then no course takes an eleventh.
    #[test]
    fn a_hundred_runs_each_a_hair_wider_than_ten_shingles_open_ten_each() {
        let rules = LayRules {
            rake_overhang_in: 0.0,
            eave_overhang_in: 0.0,
            ..LayRules::default()
        };
        let format = format("36x12");
        let face = trapezoid(360.0 + 2e-6, 500.0, 0.0, EdgeKind::Rake);
        let (runs, problem) = problem(&face, &format, &rules);
        let laid = lay_face(&face, &format, &rules).unwrap_or_else(|f| unreachable!("{f:?}"));
        assert_eq!((laid.runs.len(), laid.opened), (100, 1000));
        let need = slice_need(&runs, problem.width);
        assert_eq!(slice_bound(need, problem.width), 1000);
        assert_eq!(laid.bound, 1000);
    }
}
