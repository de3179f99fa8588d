//! Runs no wider than a shingle are laid as one piece wherever that opens no more shingles: no joint, and one cut less.

use super::pairing::Pairing;
use super::problem::{Problem, Seat};

/// The layout with as many runs of one piece as its count of shingles allows.
pub(super) fn in_one_piece(problem: &Problem, mut seats: Vec<Seat>, wait: usize) -> Vec<Seat> {
    let has_joints = |seat: Seat| matches!(seat, Seat::Joints { .. });
    let needless: Vec<usize> = (0..seats.len())
        .filter(|&run| problem.runs[run].single && has_joints(seats[run]))
        .collect();
    if needless.is_empty() {
        return seats;
    }
    let mut pairing = Pairing::new(problem, &seats, wait);
    let mut opened = Problem::pieces_of(&seats) - pairing.size();
    for run in needless {
        let joints = seats[run];
        let takes_no_more = [false, true].into_iter().any(|as_closing| {
            seats[run] = Seat::Single { as_closing };
            pairing.reseat(problem, run, seats[run]);
            Problem::pieces_of(&seats) - pairing.size() <= opened
        });
        if !takes_no_more {
            seats[run] = joints;
            pairing.reseat(problem, run, joints);
        }
        opened = Problem::pieces_of(&seats) - pairing.size();
    }
    seats
}

#[cfg(test)]
mod tests {
    use super::super::layout::PieceKind;
    use super::super::plain_faces::{format, trapezoid};
    use super::super::{EdgeKind, LayRules, Reuse, lay_face};

    /// 36 in and half an inch over either rake are less than 39⅜ in.
    #[test]
    fn a_face_narrower_than_a_shingle_has_no_joints() {
        let face = trapezoid(36.0, 40.0, 0.0, EdgeKind::Rake);
        let layout = lay_face(&face, &format("39x13"), &LayRules::default())
            .unwrap_or_else(|findings| unreachable!("{findings:?}"));
        let pieces = layout.pieces();
        assert!(pieces.iter().all(|p| p.kind == PieceKind::Single));
        assert_eq!(pieces.len(), layout.runs.len());
        assert_eq!(layout.opened, layout.runs.len());
    }

    /// 26 in are one piece of 39⅜ in, whether offcuts are used again or not.
    #[test]
    fn without_reuse_a_narrow_run_is_one_shingle() {
        let rules = LayRules {
            reuse: Reuse::None,
            ..LayRules::default()
        };
        let face = trapezoid(25.0, 160.0, 0.0, EdgeKind::Rake);
        let layout = lay_face(&face, &format("39x13"), &rules)
            .unwrap_or_else(|findings| unreachable!("{findings:?}"));
        assert_eq!(layout.opened, layout.runs.len());
        assert_eq!(layout.opened_without_reuse, layout.runs.len());
    }
}
