//! The repeated step that most runs of a layout follow.

use std::collections::BTreeMap;

use super::whole::floor;

/// Joints nearer than this to where the pattern puts them follow it, in inches: what a tape shows.
pub(super) const ON_PATTERN_IN: f64 = 1.0 / 32.0;

/// A step from course to course, and where its joints lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Step {
    /// How far every course's joints lie to the left of the course below.
    pub(super) step: f64,
    /// Where the joints of course 0 lie, within one shingle.
    pub(super) origin: f64,
    /// The runs that follow it.
    pub(super) runs: usize,
}

impl Step {
    /// Whether a run's joints lie where the pattern puts them.
    pub(super) fn has(&self, course: usize, first: f64, width: f64) -> bool {
        is_at(first + course as f64 * self.step, self.origin, width)
    }
}

/// The step that most runs follow, of those that occur between neighbouring courses; the smaller where several do.
/// `runs` are (course, first joint) in order of course.
pub(super) fn commonest(runs: &[(usize, f64)], width: f64) -> Option<Step> {
    let mut best: Option<Step> = None;
    for step in steps_seen(runs, width) {
        let mut phases: Vec<f64> = runs
            .iter()
            .map(|&(course, first)| first + course as f64 * step)
            .map(|phase| phase - floor(phase / width) * width)
            .collect();
        phases.sort_by(f64::total_cmp);
        // Once more round the shingle, for the phases on both sides of its end.
        let round: Vec<f64> = phases.iter().map(|p| p + width).collect();
        phases.extend(round);
        let mut to = 0;
        for from in 0..runs.len() {
            while to < phases.len() && phases[to] - phases[from] < ON_PATTERN_IN {
                to += 1;
            }
            let count = to - from;
            if best.is_none_or(|b| count > b.runs) {
                best = Some(Step {
                    step,
                    origin: phases[from],
                    runs: count,
                });
            }
        }
    }
    best
}

/// The steps between neighbouring courses, the commonest first; at most eight.
fn steps_seen(runs: &[(usize, f64)], width: f64) -> Vec<f64> {
    let mut seen: BTreeMap<i64, (usize, f64)> = BTreeMap::new();
    let mut below: Option<(usize, f64)> = None;
    let mut here: Option<(usize, f64)> = None;
    for &(course, first) in runs {
        if here.is_none_or(|h| h.0 != course) {
            below = here.take();
            here = Some((course, first));
        }
        if let Some((c, joint)) = below
            && c + 1 == course
        {
            let step = (joint - first).rem_euclid(width);
            let entry = seen
                .entry((step * 32.0).round() as i64)
                .or_insert((0, step));
            entry.0 += 1;
        }
    }
    let mut steps: Vec<(usize, f64)> = seen.into_values().collect();
    steps.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.total_cmp(&b.1)));
    steps.into_iter().take(8).map(|s| s.1).collect()
}

/// Whether two places within a shingle are the same to a tape.
fn is_at(a: f64, b: f64, width: f64) -> bool {
    let off = (a - b).rem_euclid(width);
    off.min(width - off) < ON_PATTERN_IN
}

#[cfg(test)]
mod tests {
    use super::commonest;

    #[test]
    fn one_course_out_of_step_does_not_hide_the_step() {
        let mut runs: Vec<(usize, f64)> = (0..14)
            .map(|c| (c, (36.0 - 5.0 * c as f64).rem_euclid(36.0)))
            .collect();
        runs[6].1 += 9.0;
        let step = commonest(&runs, 36.0).unwrap_or_else(|| unreachable!("there are steps"));
        assert!((step.step - 5.0).abs() < 1e-9);
        assert_eq!(step.runs, 13);
        assert!(!step.has(6, runs[6].1, 36.0) && step.has(7, runs[7].1, 36.0));
    }
}
