//! Proven lower bounds on the shingles that any layout opens.

use super::problem::TOLERANCE;
use super::runs::Run;

/// The slice bound: at any height h above the butt lines, the runs need so much width in all, and a shingle gives
/// its own width, and the tolerance; the largest over h, rounded up. Holds for any joints and any reuse of offcuts.
///
/// 30 ft wide, 35 courses of 39⅜ in shingles, rakes overhanging ½ in: 35 × 361 / 39.375 = 320.9, so 321.
pub(super) fn slice_bound(runs: &[Run], width: f64) -> usize {
    let mut heights: Vec<f64> = runs
        .iter()
        .flat_map(|r| r.left.inner.iter().chain(&r.right.inner))
        .map(|p| p.0)
        .collect();
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() < 1e-9 * width);
    let needed = heights
        .iter()
        .map(|&h| runs.iter().map(|r| width_at(r, h)).sum::<f64>())
        .fold(0.0, f64::max);
    // A shingle is not asked for by the rounding of the sum.
    (needed / (width * (1.0 + TOLERANCE)) - 1e-6)
        .ceil()
        .max(0.0) as usize
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
    use super::slice_bound;

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
        assert_eq!(slice_bound(&runs, problem.width), 1000);
        assert_eq!(laid.bound, 1000);
    }
}
