//! Square cuts: an offcut may be cut again, so that a shingle yields as many end pieces as it holds.

use std::collections::BTreeSet;

use eavewright::courses::{
    Choices, CourseFace, EdgeKind, Effort, EndPiece, FaceLayout, FaceRing, LayRules, Reuse, RunEnd,
    RunLayout, ShingleFormat, formats, lay_face_with,
};
use eavewright::geometry::Point;
use eavewright::roof::FaceId;

/// Faces of square-ended courses 4 in high, each as long as it is said to be.
fn steps(lengths: &[u32]) -> CourseFace {
    let corner = |u: u32, course: usize| Point::new(f64::from(u), 4.0 * course as f64);
    let mut points = vec![corner(0, 0), corner(lengths[0], 0)];
    let mut kinds = vec![EdgeKind::Eave];
    for (course, &length) in lengths.iter().enumerate() {
        let next = lengths.get(course + 1);
        if next == Some(&length) {
            continue;
        }
        kinds.push(EdgeKind::Wall);
        points.push(corner(length, course + 1));
        if let Some(&next) = next {
            kinds.push(EdgeKind::Ridge);
            points.push(corner(next, course + 1));
        }
    }
    kinds.extend([EdgeKind::Ridge, EdgeKind::Wall]);
    points.push(corner(0, lengths.len()));
    CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new()).unwrap()
}

/// 12 in wide, so that pieces are whole inches in the exhaustive search.
fn small_format() -> ShingleFormat {
    let mut format = formats::by_name("39x13", &[]).unwrap();
    (format.width_in, format.height_in, format.exposure_in) = (12.0, 10.0, 4.0);
    format
}

fn rules(reuse: Reuse) -> LayRules {
    LayRules {
        joint_distance_in: 3.0,
        second_joint_distance_in: 1.0,
        least_piece_in: 2.0,
        eave_overhang_in: 0.0,
        wait_courses: 99,
        reuse,
        ..LayRules::default()
    }
}

fn lay(face: &CourseFace, format: &ShingleFormat, rules: &LayRules) -> FaceLayout {
    let effort = Effort::THOROUGH;
    lay_face_with(face, format, rules, &Choices::default(), effort).unwrap()
}

/// First piece, last piece and whole shingles of a run.
type Ends = (u32, u32, u32);

/// The fewest shingles over every layout with joints on whole inches and every way of cutting its end pieces. Each run
/// has a whole shingle at least, so that no joint could have two hand-cut ends.
fn fewest(lengths: &[u32]) -> usize {
    let all: Vec<Vec<Ends>> = lengths.iter().map(|&l| places(l)).collect();
    let mut best = usize::MAX;
    let mut at = vec![0usize; lengths.len()];
    loop {
        let seats: Vec<Ends> = at.iter().zip(&all).map(|(&i, places)| places[i]).collect();
        if apart(&seats) {
            let whole: u32 = seats.iter().map(|s| s.2).sum();
            let mut pieces: Vec<u32> = seats.iter().flat_map(|s| [s.0, s.1]).collect();
            pieces.sort_unstable_by(|a, b| b.cmp(a));
            let least = pieces.iter().sum::<u32>().div_ceil(12) as usize;
            if whole as usize + least < best {
                best = best.min(whole as usize + packed(&pieces, &mut Vec::new(), usize::MAX));
            }
        }
        let Some(turn) = (0..at.len()).find(|&i| at[i] + 1 < all[i].len()) else {
            return best;
        };
        at[turn] += 1;
        at[..turn].fill(0);
    }
}

fn places(length: u32) -> Vec<Ends> {
    (2..=12)
        .filter_map(|x| {
            let rest = length.checked_sub(x)?;
            let whole = (1..=rest / 12).find(|n| (2..=12).contains(&(rest - n * 12)))?;
            Some((x, rest - whole * 12, whole))
        })
        .collect()
}

fn apart(seats: &[Ends]) -> bool {
    let joints = |s: &Ends| (0..=s.2).map(|i| s.0 + 12 * i).collect::<Vec<u32>>();
    let clear = |a: &Ends, b: &Ends, by: u32| {
        let (a, b) = (joints(a), joints(b));
        a.iter().all(|x| b.iter().all(|y| x.abs_diff(*y) >= by))
    };
    seats.windows(2).all(|w| clear(&w[0], &w[1], 3))
        && seats.windows(3).all(|w| clear(&w[0], &w[2], 1))
}

/// The fewest shingles that pieces, the longest first, come out of: every shingle is tried for every piece.
fn packed(pieces: &[u32], open: &mut Vec<u32>, best: usize) -> usize {
    let Some((&piece, rest)) = pieces.split_first() else {
        return open.len();
    };
    let mut best = best;
    for at in 0..=open.len() {
        if at == open.len() {
            open.push(0);
        }
        if open[at] + piece <= 12 && open.len() < best {
            open[at] += piece;
            best = best.min(packed(rest, open, best));
            open[at] -= piece;
        }
        if open[at] == 0 {
            open.pop();
            break;
        }
    }
    best
}

#[test]
fn small_faces_with_square_cuts_take_no_more_than_the_best_of_all_layouts_and_cuttings() {
    for lengths in [
        [33, 33, 33, 33],
        [29, 29, 29, 29],
        [30, 30, 30, 30],
        [41, 41, 41, 41],
        [57, 45, 45, 33],
    ] {
        let laid = lay(&steps(&lengths), &small_format(), &rules(Reuse::SquareCut));
        let best = fewest(&lengths);
        assert!(
            laid.opened <= best,
            "{lengths:?}: {} against {best}",
            laid.opened
        );
        assert!(
            laid.bound <= best,
            "{lengths:?}: bound {} over {best}",
            laid.bound
        );
        check_cutting(&laid, 99);
    }
}

/// A run's end line at a height; `None` above the pieces.
fn line_at(line: &[(f64, f64)], h: f64) -> Option<f64> {
    line.windows(2).find_map(|two| {
        let ((h0, u0), (h1, u1)) = (two[0], two[1]);
        (h0 <= h && h <= h1 && h1 > h0).then(|| u0 + (u1 - u0) * (h - h0) / (h1 - h0))
    })
}

/// How long a piece is at a height, nothing above it.
fn length_at(run: &RunLayout, end: RunEnd, h: f64) -> f64 {
    let (left, right) = (
        line_at(&run.left_line_in, h),
        line_at(&run.right_line_in, h),
    );
    let (Some(left), Some(right)) = (left, right) else {
        return 0.0;
    };
    match (end, run.joints_in.first(), run.joints_in.last()) {
        (RunEnd::Opening, Some(first), _) => first - left,
        (RunEnd::Closing, _, Some(last)) => right - last,
        _ => right - left,
    }
}

/// Every piece comes out of one shingle; no shingle is asked for more than its width at any height, nor for pieces that
/// are laid too far apart; and the count is what these leave.
fn check_cutting(laid: &FaceLayout, wait: usize) {
    // Pieces of one shingle bear its number, and no other shingle has it.
    let numbers: Vec<Option<usize>> = laid.pieces().iter().map(|p| p.pair).collect();
    let alone = numbers.iter().filter(|n| n.is_none()).count();
    let shared: BTreeSet<usize> = numbers.into_iter().flatten().collect();
    assert_eq!(alone + shared.len(), laid.opened);
    let mut shingles: Vec<Vec<(usize, RunEnd)>> = laid
        .pairs
        .iter()
        .map(|&(c, o)| vec![(c, RunEnd::Closing), (o, RunEnd::Opening)])
        .collect();
    for again in &laid.cut_again {
        match shingles.iter_mut().find(|s| s.contains(&again.of)) {
            Some(shingle) => shingle.push(again.piece),
            None => shingles.push(vec![again.of, again.piece]),
        }
    }
    let mut seen = BTreeSet::new();
    for pieces in &shingles {
        assert!(pieces.iter().all(|p| seen.insert(*p)), "{pieces:?} twice");
        let courses = || pieces.iter().map(|p| laid.runs[p.0].course);
        assert!(courses().max().unwrap() - courses().min().unwrap() <= wait);
        let lines = |p: &(usize, RunEnd)| {
            let run = &laid.runs[p.0];
            [run.left_line_in.clone(), run.right_line_in.clone()].concat()
        };
        for (h, _) in pieces.iter().flat_map(lines) {
            let wide: f64 = pieces
                .iter()
                .map(|p| length_at(&laid.runs[p.0], p.1, h))
                .sum();
            assert!(wide <= laid.width_in + 1e-6, "{pieces:?}: {wide} in at {h}");
        }
    }
    let spared: usize = shingles.iter().map(|s| s.len() - 1).sum();
    assert_eq!(laid.opened, laid.pieces_laid - spared);
    assert_eq!(laid.offcuts_reused, spared);
}

#[test]
fn beside_valleys_square_cuts_never_take_more_and_keep_to_their_shingles() {
    let format = formats::by_name("42x14", &[]).unwrap();
    for (wide, run, wait) in [(120.0, 60.0, 7), (150.0, 90.0, 7), (186.0, 120.0, 3)] {
        for kind in [EdgeKind::ValleyThrough, EdgeKind::ValleyCut, EdgeKind::Hip] {
            let points = [(0.0, 0.0), (wide, 0.0), (wide + run, 150.0), (0.0, 150.0)];
            let points = points.map(|(u, v)| Point::new(u, v)).to_vec();
            let kinds = vec![EdgeKind::Eave, kind, EdgeKind::Ridge, EdgeKind::Rake];
            let face = CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new());
            let lay_by = |reuse| {
                let rules = LayRules {
                    reuse,
                    wait_courses: wait,
                    ..LayRules::default()
                };
                lay(face.as_ref().unwrap(), &format, &rules)
            };
            let (square, pairs) = (lay_by(Reuse::SquareCut), lay_by(Reuse::TwoPiece));
            check_cutting(&square, wait);
            assert!(square.bound <= square.opened);
            assert!(
                square.opened <= pairs.opened,
                "{} {}",
                square.opened,
                pairs.opened
            );
        }
    }
}

#[test]
fn a_narrow_strip_takes_three_pieces_of_a_shingle_where_two_is_the_rule_without_square_cuts() {
    // Twelve courses of one piece of 10 in; a shingle is 39⅜ in wide.
    let format = formats::by_name("39x13", &[]).unwrap();
    let high = 12.0 * format.exposure_in;
    let points = [(0.0, 0.0), (10.0, 0.0), (10.0, high), (0.0, high)];
    let points = points.map(|(u, v)| Point::new(u, v)).to_vec();
    let kinds = vec![
        EdgeKind::Eave,
        EdgeKind::Wall,
        EdgeKind::Ridge,
        EdgeKind::Wall,
    ];
    let face = CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new()).unwrap();
    let lay_by = |reuse| {
        let rules = LayRules {
            reuse,
            eave_overhang_in: 0.0,
            ..LayRules::default()
        };
        lay(&face, &format, &rules)
    };
    let (square, pairs) = (lay_by(Reuse::SquareCut), lay_by(Reuse::TwoPiece));
    assert_eq!((square.opened, pairs.opened), (4, 6));
    assert_eq!((square.pairs.len(), square.cut_again.len()), (4, 4));
    assert!(pairs.cut_again.is_empty());
    check_cutting(&square, LayRules::default().wait_courses);
    // A cut for each of the twelve pieces, and one more for each of the four cut again.
    assert_eq!((square.cuts, pairs.cuts), (16, 12));
    // A run of one piece is told at the end that it has its shingle from, 10 in long.
    let rows = pairs.crew_sheet().rows;
    let told = |end: EndPiece| match end {
        EndPiece::Cut { length_in, .. } | EndPiece::Offcut { length_in, .. } => Some(length_in),
        EndPiece::Whole | EndPiece::None => None,
    };
    let ends = |run: usize| (told(rows[run].opening), told(rows[run].closing));
    for &(closing, opening) in &pairs.pairs {
        assert_eq!(ends(closing), (None, Some(10.0)));
        assert_eq!(ends(opening), (Some(10.0), None));
    }
    let of = |n: usize| square.pieces().iter().filter(|p| p.pair == Some(n)).count();
    assert_eq!([0, 1, 2, 3].map(of), [3; 4]);
}
