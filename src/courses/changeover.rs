//! Two formats on one face: an old stock used up below, another format above.

use crate::Finding;

use super::{FaceLayout, LayRules, ShingleFormat};

/// The least headlap that a changeover keeps, in inches (common practice, no source).
const HEADLAP_IN: f64 = 2.0;

/// The closest that joints of two widths come on an endless run with the best offset: half of the widths' greatest
/// common divisor.
pub fn endless_clearance_in(a_in: f64, b_in: f64) -> f64 {
    let tiny = 1e-6 * a_in.max(b_in);
    let (mut a, mut b) = (a_in.max(b_in), a_in.min(b_in));
    while b > tiny {
        (a, b) = (b, a.rem_euclid(b));
        // A remainder within rounding of the divisor itself is none.
        if a - b < tiny {
            b = 0.0;
        }
    }
    a / 2.0
}

/// The longest run on which a course of one width lies over a course of the other with all joints `distance_in`
/// apart, end pieces of any length.
pub fn longest_clean_run_in(a_in: f64, b_in: f64, distance_in: f64) -> f64 {
    let (old, new) = (a_in.min(b_in), a_in.max(b_in));
    if endless_clearance_in(a_in, b_in) >= distance_in - 1e-9 {
        return f64::INFINITY;
    }
    // The best run has its closest joints just at the distance, and cannot be shifted farther to the right.
    let mut best = 0.0_f64;
    let reach = (old / (new - old)).ceil() as i64 + 2;
    for i in -reach..=reach {
        for sign in [-1.0, 1.0] {
            let apart = (sign * distance_in + i as f64 * (new - old)).rem_euclid(old);
            for (a, b) in [
                (old, old + apart),
                (old, apart),
                (new - apart, new),
                (new - apart - old, new),
            ] {
                if a > 1e-9 && a <= old + 1e-9 && b > 1e-9 && b <= new + 1e-9 {
                    best = best.max(clean_length(a, old, b, new, distance_in));
                }
            }
        }
    }
    best
}

/// How far a run may reach before both joints of a pair that is too close lie in it.
fn clean_length(a: f64, old: f64, b: f64, new: f64, distance: f64) -> f64 {
    let mut end = f64::INFINITY;
    let mut j = 0.0;
    while b + j * new < end && j < 10_000.0 {
        let joint = b + j * new;
        let nearest = ((joint - a) / old).round();
        for k in [nearest - 1.0, nearest, nearest + 1.0] {
            let other = a + k * old;
            if k >= 0.0 && (joint - other).abs() < distance - 1e-9 {
                end = end.min(joint.max(other));
            }
        }
        j += 1.0;
    }
    end
}

/// A place to change formats at.
#[derive(Clone, Debug, PartialEq)]
pub struct Changeover {
    /// The first course, from 0, laid in the new format.
    pub course: usize,
    /// Field pieces of that course that must be shortened so that no joint comes too close.
    pub shortened: usize,
    /// The joints of that course in inches along the eave, run by run.
    pub joints_in: Vec<Vec<f64>>,
    /// Where a joint would come too close to one below if the piece before it were whole, in inches along the eave:
    /// that piece is shortened.
    pub too_close_in: Vec<f64>,
    /// The exposure of the first new course: what keeps the headlap over the last old one.
    pub first_exposure_in: f64,
}

/// The places to change from the laid format to another, the fewest shortened pieces first, and what to heed.
/// `courses` are the courses to look at.
///
/// Only whole courses change: two formats side by side in one course would not meet in height.
pub fn changeover(
    layout: &FaceLayout,
    old: &ShingleFormat,
    new: &ShingleFormat,
    rules: &LayRules,
    courses: std::ops::Range<usize>,
) -> (Vec<Changeover>, Vec<Finding>) {
    let headroom = old.height_in - old.exposure_in - HEADLAP_IN;
    let first_exposure_in = new.exposure_in.min(headroom);
    let mut found: Vec<Changeover> = courses
        .filter(|&c| c > 0 && c < layout.courses)
        .filter_map(|course| one_course(layout, new, rules, course, first_exposure_in))
        .collect();
    found.sort_by_key(|c| (c.shortened, c.course));
    let mut findings = vec![Finding::note(
        "two-formats",
        format!(
            "{} over {} on one face: best change at a hip, valley or ridge, where no course has to match",
            new.name, old.name
        ),
    )];
    if (new.exposure_in - old.exposure_in).abs() > 1e-6 {
        findings.push(Finding::warning(
            "exposures-differ",
            format!(
                "the first course of {} shows {first_exposure_in} in, so that the course below keeps {HEADLAP_IN} in of headlap; its sealant line does not meet the new butts, and course lines no longer meet across hips and valleys",
                new.name
            ),
        ).remedy("hand-seal the changeover course, or change at a face boundary"));
    }
    (found, findings)
}

fn one_course(
    layout: &FaceLayout,
    new: &ShingleFormat,
    rules: &LayRules,
    course: usize,
    first_exposure_in: f64,
) -> Option<Changeover> {
    let joints_of = |c: usize| -> Vec<f64> {
        let runs = layout.runs.iter().filter(|r| r.course == c);
        runs.flat_map(|r| r.joints_in.iter().copied()).collect()
    };
    let below = joints_of(course - 1);
    let second = course.checked_sub(2).map(joints_of).unwrap_or_default();
    let clear = |u: f64| {
        below
            .iter()
            .all(|j| (j - u).abs() >= rules.joint_distance_in - 1e-9)
            && second
                .iter()
                .all(|j| (j - u).abs() >= rules.second_joint_distance_in - 1e-9)
    };
    let mut shortened = 0;
    let mut joints_in = Vec::new();
    let mut too_close_in = Vec::new();
    for run in layout.runs.iter().filter(|r| r.course == course) {
        let left = run
            .left_line_in
            .iter()
            .map(|p| p.1)
            .fold(f64::MAX, f64::min);
        let right = run
            .right_line_in
            .iter()
            .map(|p| p.1)
            .fold(f64::MIN, f64::max);
        let joints = fewest_shortened(left, right, new.width_in, rules.least_piece_in, &clear)?;
        for two in joints.windows(2) {
            if two[1] - two[0] < new.width_in - 1e-9 {
                shortened += 1;
                let whole = two[0] + new.width_in;
                too_close_in.extend((!clear(whole)).then_some(whole));
            }
        }
        joints_in.push(joints);
    }
    Some(Changeover {
        course,
        shortened,
        joints_in,
        too_close_in,
        first_exposure_in,
    })
}

/// The joints of a run with the fewest field pieces under full width: for every start, each piece is as long as the
/// joints below let it be.
fn fewest_shortened(
    left: f64,
    right: f64,
    width: f64,
    least: f64,
    clear: &dyn Fn(f64) -> bool,
) -> Option<Vec<f64>> {
    if right - left <= width {
        return Some(Vec::new());
    }
    let step = 1.0 / 8.0;
    let starts = ((width - least) / step).floor().max(0.0) as usize;
    let mut best: Option<(usize, Vec<f64>)> = None;
    for s in 0..=starts {
        let first = left + width - s as f64 * step;
        if !clear(first) {
            continue;
        }
        let mut joints = vec![first];
        let mut count = 0;
        let mut at = first;
        let complete = loop {
            if right - at <= width {
                break right - at >= least;
            }
            let next = (0..)
                .map(|i| width - f64::from(i) * step)
                .take_while(|l| *l >= 2.0 * least)
                .find(|l| clear(at + l) && right - at - l >= least);
            let Some(length) = next else { break false };
            count += usize::from(length < width);
            at += length;
            joints.push(at);
        };
        if complete && best.as_ref().is_none_or(|(c, _)| count < *c) {
            best = Some((count, joints));
        }
    }
    best.map(|(_, joints)| joints)
}
