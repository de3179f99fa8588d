//! Two formats on one face: an old stock used up below, another format above.

use std::collections::VecDeque;

use crate::Finding;

use super::tell::inches;
use super::{FaceLayout, LayRules, ShingleFormat};

/// The least headlap that courses keep, in inches (common practice, no source).
pub(super) const HEADLAP_IN: f64 = 2.0;

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
    // The best run has its closest joints just at the distance, and cannot be shifted farther to the right: it begins
    // with a whole piece below or above.
    let mut best = 0.0_f64;
    let over = new.rem_euclid(old);
    let drift = over.min(old - over);
    let drift = if drift > 1e-9 { drift } else { old };
    let reach = (old / drift).ceil() as i64 + 2;
    for i in -reach..=reach {
        for sign in [-1.0, 1.0] {
            let apart = (sign * distance_in + i as f64 * new).rem_euclid(old);
            let mut b = apart;
            while b <= new + 1e-9 {
                if b > 1e-9 {
                    best = best.max(clean_length(old, old, b, new, distance_in));
                }
                b += old;
            }
            let a = (new - apart).rem_euclid(old);
            let a = if a > 1e-9 { a } else { old };
            best = best.max(clean_length(a, old, new, new, distance_in));
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
    if headroom <= 0.0 {
        let too_much = Finding::warning(
            "no-headlap",
            format!(
                "{} is {} high and shows {}: no course above it, however little it shows, keeps {} of headlap over it",
                old.name,
                inches(old.height_in),
                inches(old.exposure_in),
                inches(HEADLAP_IN)
            ),
        );
        return (
            Vec::new(),
            vec![too_much.remedy("change at a face boundary")],
        );
    }
    let first_exposure_in = new.exposure_in.min(headroom);
    let mut found: Vec<Changeover> = courses
        .filter(|&c| c > 0 && c < layout.courses)
        .filter_map(|course| one_course(layout, new, rules, course, first_exposure_in))
        .collect();
    found.sort_by_key(|c| (c.shortened, c.course));
    let mut findings = vec![Finding::note(
        "two-formats",
        format!(
            "{} over {} on one face: change between whole courses, never side by side in one; best at a hip, valley or ridge, where no course has to match",
            new.name, old.name
        ),
    )];
    if found.is_empty() {
        findings.push(
            Finding::warning(
                "no-changeover",
                format!(
                    "no course looked at takes {} over {} with all joints as far apart as the rules ask",
                    new.name, old.name
                ),
            )
            .remedy("change at a face boundary, or at another course"),
        );
    }
    if (new.exposure_in - old.exposure_in).abs() > 1e-6 {
        findings.push(Finding::warning(
            "exposures-differ",
            format!(
                "the first course of {} shows {}, so that the course below keeps {} of headlap; its sealant line does not meet the new butts, and course lines no longer meet across hips and valleys",
                new.name,
                inches(first_exposure_in),
                inches(HEADLAP_IN)
            ),
        ).remedy("hand-seal the changeover course, or change at a face boundary"));
    }
    (found, findings)
}

impl FaceLayout {
    /// The courses, from the eave, that so many shingles lay whole: every offcut is used where the layout uses it.
    pub fn courses_laid_with(&self, shingles: usize) -> usize {
        let mut needed = vec![0usize; self.courses];
        for run in &self.runs {
            if let Some(sum) = needed.get_mut(run.course) {
                *sum += run.joints_in.len() + 1;
            }
        }
        // A shingle is opened for the piece of it that is laid first.
        for (one, other) in self.laid_of_offcuts() {
            let later = self.runs[one].course.max(self.runs[other].course);
            if let Some(sum) = needed.get_mut(later) {
                *sum -= 1;
            }
        }
        let mut left = shingles;
        let mut whole = 0;
        for pieces in needed {
            let Some(rest) = left.checked_sub(pieces) else {
                break;
            };
            left = rest;
            whole += 1;
        }
        whole
    }
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

/// The parts of an inch that joints are tried at, about.
const PARTS: f64 = 8.0;

/// The joints of a run with the fewest field pieces under full width: of all joints on a fine grid the cheapest way
/// from the left end to the right, a whole piece costing nothing and a shortened one 1. A field piece is at least two
/// end pieces long.
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
    let whole = (width * PARTS).ceil().max(1.0) as usize;
    let step = width / whole as f64;
    let steps = |inches: f64| (inches / step - 1e-9).ceil().max(1.0) as usize;
    let (shortest, first) = (steps(2.0 * least).min(whole), steps(least));
    let last = ((right - left - least) / step + 1e-9).floor().max(0.0) as usize;
    // The cheapest way to a joint at every place: (shortened pieces, where it comes from).
    let mut ways: Vec<Option<(usize, usize)>> = vec![None; last + 1];
    // Ways that a shortened piece may go on from, the cheapest in front.
    let mut window: VecDeque<(usize, usize)> = VecDeque::new();
    for at in first..=last {
        if let Some(from) = at.checked_sub(shortest)
            && let Some((cost, _)) = ways[from]
        {
            while window.back().is_some_and(|w| w.1 >= cost) {
                window.pop_back();
            }
            window.push_back((from, cost));
        }
        while window.front().is_some_and(|w| w.0 + whole <= at) {
            window.pop_front();
        }
        if !clear(left + at as f64 * step) {
            continue;
        }
        let start = (at <= whole).then_some((0, 0));
        let on = at
            .checked_sub(whole)
            .and_then(|from| Some((ways[from]?.0, from)));
        let shortened = window.front().map(|&(from, cost)| (cost + 1, from));
        ways[at] = [start, on, shortened]
            .into_iter()
            .flatten()
            .min_by_key(|w| w.0);
    }
    let from = steps((right - left - width).max(0.0)).max(first);
    let mut at = (from..=last)
        .filter(|&at| ways[at].is_some())
        .min_by_key(|&at| ways[at].map(|w| w.0))?;
    let mut joints = Vec::new();
    while at > 0 {
        joints.push(left + at as f64 * step);
        at = ways[at]?.1;
    }
    joints.reverse();
    Some(joints)
}
