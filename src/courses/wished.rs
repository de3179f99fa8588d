//! The repeated step that the user chose for a face, from the first joint that lets most courses follow it.

use super::candidates::{Seats, complete, stepped};
use super::problem::{Problem, Seat};
use super::regular::departing;

/// The seats nearest to a layout in the wished step, and the runs that depart from it: none wherever some first joint lets
/// every course keep the rules. An offset to the left of the course below is as good as one to the right, where only that
/// goes along with two ends that lean to the right. `usual` is the layout in that step to the left from a whole shingle at
/// the start; it is kept unless another lets more runs follow, and of several such the one with fewest pieces.
pub(super) fn wished(
    problem: &Problem,
    offset: f64,
    grid: f64,
    usual: Seats,
) -> (Seats, Vec<usize>) {
    let start = problem.runs.first().map_or(0.0, |r| r.left_reach);
    let whole = start + problem.width;
    // A run no wider than a shingle is laid in one piece, whose joint departs from nothing.
    let departs = |seats: &[Seat], origin: f64, step: f64| {
        let mut runs = departing(problem, seats, origin, step);
        runs.retain(|&run| !problem.runs[run].single);
        runs
    };
    let mut found = complete(usual.clone()).map(|seats| {
        let runs = departs(&seats, whole, offset);
        (seats, runs)
    });
    let cost = |(seats, runs): &(Vec<Seat>, Vec<usize>)| (runs.len(), Problem::pieces_of(seats));
    for step in [offset, problem.width - offset] {
        if found.as_ref().is_some_and(|(_, runs)| runs.is_empty()) {
            break;
        }
        let others = origins(problem, start, step, grid)
            .into_iter()
            .filter_map(|origin| {
                let seats = stepped(problem, origin, step, grid)?;
                let runs = departs(&seats, origin, step);
                Some((seats, runs))
            });
        found = found.into_iter().chain(others).min_by_key(cost);
    }
    match found {
        Some((seats, runs)) => (seats.into_iter().map(Some).collect(), runs),
        // What has gaps is told by itself.
        None => (usual, Vec::new()),
    }
}

/// First joints of course 1 to try: the places of the grid, and the places from which every run is followed, if there are
/// any. The places from which a run is followed are stretches within one shingle, so where all runs are, the end of one of
/// their stretches is such a place too.
fn origins(problem: &Problem, start: f64, step: f64, grid: f64) -> Vec<f64> {
    let on_grid = (0..problem.cells(grid)).map(|k| start + k as f64 * grid);
    let ends = problem.runs.iter().flat_map(|run| {
        let up = run.course as f64 * step;
        let ends = run.ranges.iter().flat_map(|range| [range.low, range.high]);
        ends.map(move |end| start + (end + up - start).rem_euclid(problem.width))
    });
    let holds = |origin: &f64| {
        problem.runs.iter().enumerate().all(|(i, run)| {
            let phase = origin - run.course as f64 * step;
            run.ranges.is_empty() || problem.seat_at(i, phase).is_some()
        })
    };
    on_grid.chain(ends.filter(holds)).collect()
}

#[cfg(test)]
mod tests {
    use super::super::candidates::nominal;
    use super::super::layout::grid_of;
    use super::super::plain_faces::{format, problem};
    use super::super::{CourseFace, EdgeKind, FaceRing, LayRules};
    use super::*;
    use crate::geometry::Point;
    use crate::roof::FaceId;

    /// From a hip to a valley that the face runs through, both leaning to the right: the first joints that let a step of 4½ to
    /// 5 in to the right go all the way up are few, and on some faces fewer than the places of the grid are apart.
    #[test]
    fn a_step_is_followed_wherever_some_first_joint_lets_every_run_follow_it() {
        let format = format("39x13");
        let grid = grid_of(&format);
        let (mut followed, mut off_the_grid) = (0, 0);
        let rules = LayRules {
            eave_overhang_in: 0.0,
            ..LayRules::default()
        };
        for face in 0..160 {
            let step_in = [4.55, 4.65, 4.75, 4.85][face as usize % 4];
            let eave = 220.0 + f64::from(face) * 0.25;
            // Plan lines at 45° on a slope of 6 in 12: du/dv is the cosine of the slope.
            let shift = 135.0 * 0.894_427_191;
            let points = [
                (0.0, 0.0),
                (eave, 0.0),
                (eave + shift, 135.0),
                (shift, 135.0),
            ];
            let points = points.map(|(u, v)| Point::new(u, v)).to_vec();
            let kinds = vec![
                EdgeKind::Eave,
                EdgeKind::ValleyThrough,
                EdgeKind::Ridge,
                EdgeKind::Hip,
            ];
            let ring = FaceRing::new(points, kinds);
            let face = CourseFace::new(FaceId(0), ring, Vec::new())
                .unwrap_or_else(|_| unreachable!("a face"));
            let (_, problem) = problem(&face, &format, &rules);
            let start = problem.runs[0].left_reach;
            let holds = |origin: f64| {
                problem.runs.iter().enumerate().all(|(i, run)| {
                    let phase = origin + run.course as f64 * step_in;
                    problem.seat_at(i, phase).is_some()
                })
            };
            let hundredths = (0..3938).map(|k| start + 0.01 * f64::from(k));
            let on_grid = (0..problem.cells(grid)).map(|k| start + k as f64 * grid);
            let is_on_grid = on_grid.into_iter().any(holds);
            let usual = nominal(&problem, step_in, grid);
            let (_, departing) = wished(&problem, step_in, grid, usual);
            if hundredths.into_iter().any(holds) {
                assert_eq!(departing, [0; 0], "{eave}");
                followed += 1;
                off_the_grid += usize::from(!is_on_grid);
            }
        }
        assert!(
            followed >= 60 && off_the_grid >= 1,
            "{followed} {off_the_grid}"
        );
    }
}
