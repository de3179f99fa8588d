//! Parts cut out of the real roofs: roofs that no weight was fitted on. Where a part was cut off, an edge is open that
//! was a ridge, hip or valley, so these are harder than whole roofs; what counts is that none is settled wrongly.
//!
//! `cargo test --release --test suite roof_real_parts -- --nocapture` prints the counts.

use eavewright::roof::{Roof, SolveOptions};

use crate::roof_real::{Truth, compare};
use crate::support::shared_data;

/// A fall this far off (degrees) is wrong.
const WRONG_DEG: f64 = 10.0;
/// Pairs of faces are taken off roofs up to this size.
const MOST_FACES: usize = 10;

/// What became of the parts.
#[derive(Clone, Debug, Default)]
struct Count {
    parts: usize,
    first_right: usize,
    asked: usize,
    silent_wrong: Vec<String>,
}

impl Count {
    fn add(&mut self, truth: &Truth, keep: &[usize]) {
        let map = truth.plan_of(keep);
        let accept = SolveOptions {
            accept_falls: true,
            ..SolveOptions::default()
        };
        let right = |roof: &Roof| compare(truth, roof).worst_fall_deg <= WRONG_DEG;
        self.parts += 1;
        self.first_right += usize::from(
            Roof::solve(std::slice::from_ref(&map), &accept).is_ok_and(|roof| right(&roof)),
        );
        match Roof::solve(std::slice::from_ref(&map), &SolveOptions::default()) {
            Ok(roof) if !right(&roof) => self.silent_wrong.push(format!("{} {keep:?}", truth.id)),
            Ok(_) => {}
            Err(_) => self.asked += 1,
        }
    }
}

/// The faces reached from the first one over edges in which planes meet, in rising order.
fn reached(from: usize, among: &[usize], meeting: &[(usize, usize)]) -> Vec<usize> {
    let mut seen = vec![from];
    let mut next = 0;
    while next < seen.len() {
        for &(a, b) in meeting {
            let other = match seen[next] {
                f if f == a => b,
                f if f == b => a,
                _ => continue,
            };
            if among.contains(&other) && !seen.contains(&other) {
                seen.push(other);
            }
        }
        next += 1;
    }
    seen.sort_unstable();
    seen
}

/// What is left of a whole roof without some faces, where that is one piece of three faces or more.
fn without(truth: &Truth, gone: &[usize]) -> Option<Vec<usize>> {
    let keep: Vec<usize> = (0..truth.faces().len())
        .filter(|f| !gone.contains(f))
        .collect();
    let one_piece = keep.len() >= 3 && reached(keep[0], &keep, &truth.meeting()) == keep;
    one_piece.then_some(keep)
}

#[test]
fn parts_of_real_roofs_are_asked_about_rather_than_settled_wrongly() {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    let (mut levels, mut less_one, mut less_two) =
        (Count::default(), Count::default(), Count::default());
    for truth in Truth::all(&folder) {
        let all: Vec<usize> = (0..truth.faces().len()).collect();
        if truth.class == "stepped" {
            let meeting = truth.meeting();
            let mut left = all;
            while let Some(&first) = left.first() {
                let level = reached(first, &left, &meeting);
                left.retain(|f| !level.contains(f));
                if level.len() >= 2 {
                    levels.add(&truth, &level);
                }
            }
            continue;
        }
        for &a in &all {
            if let Some(keep) = without(&truth, &[a]) {
                less_one.add(&truth, &keep);
            }
            for &b in all[a + 1..].iter().filter(|_| all.len() <= MOST_FACES) {
                if let Some(keep) = without(&truth, &[a, b]) {
                    less_two.add(&truth, &keep);
                }
            }
        }
    }
    for (what, count, most_silent, least_right) in [
        ("levels of stepped roofs", &levels, 0, 31),
        ("roofs less a face", &less_one, 0, 455),
        ("roofs less two faces", &less_two, 3, 870),
    ] {
        eprintln!(
            "{what}: {} parts, {} first right, {} asked, silently wrong {:?}",
            count.parts, count.first_right, count.asked, count.silent_wrong
        );
        assert!(count.silent_wrong.len() <= most_silent, "{what}");
        assert!(count.first_right >= least_right, "{what}");
    }
}
