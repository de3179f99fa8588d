//! Start cycles: courses opened with pieces that are each other's offcuts, so that the starts waste nothing.

/// A cycle of starting pieces. The left end of a course is opened with a whole shingle or with a piece of one; the cut
/// off one start is the start of another course. Half of the starts have a hand-cut end in the field, so a cycle is
/// for plain-edged shingles whose maker allows that.
#[derive(Clone, Debug, PartialEq)]
pub struct StartCycle {
    /// Width of the shingle.
    pub width_in: f64,
    /// How much shorter every course starts than the course below; the last is the step back to a whole shingle.
    pub offsets_in: Vec<f64>,
    /// The starting piece of every course.
    pub starts_in: Vec<f64>,
    /// (course whose start leaves the cut, course that the cut starts), counted from 1.
    pub cuts: Vec<(usize, usize)>,
    /// The course that starts with half a shingle, counted from 1: the other half starts it in the next cycle.
    pub half: Option<usize>,
    /// Courses after which everything repeats: one cycle, or two where a half goes over into the next.
    pub courses: usize,
    /// Shingles that give all starts of those courses.
    pub shingles: usize,
    /// Length of shingle thrown away in those courses.
    pub wasted_in: f64,
}

/// The start cycle nearest to an offset, for offsets in a range; `None` where no number of offsets in the range makes
/// up the width.
///
/// A cycle wastes nothing if and only if its offsets read the same in both directions: then the cut off course i + 1
/// is the sum of the first i offsets, and the start of course T − i + 1 is the sum of the last i. Every offset is the
/// wished one but the middle one (T odd) or the two in the middle (T even).
///
/// ```
/// // 42 in wide, 6 in: cuts of 6, 12 and 18 in off courses 2, 3, 4 start courses 7, 6, 5 (common practice, no source).
/// let cycle = eavewright::courses::start_cycle(42.0, 6.0, (4.0, 8.0)).unwrap();
/// assert_eq!(cycle.cuts, [(2, 7), (3, 6), (4, 5)]);
/// assert_eq!((cycle.courses, cycle.shingles), (7, 4));
/// ```
pub fn start_cycle(width_in: f64, offset_in: f64, range_in: (f64, f64)) -> Option<StartCycle> {
    let (least, most) = range_in;
    let sound = [width_in, offset_in, least, most]
        .iter()
        .all(|l| l.is_finite() && *l > 0.0);
    if !sound {
        return None;
    }
    let tiny = 1e-9 * width_in;
    let from = (width_in / most - 1e-9).ceil().max(1.0) as usize;
    let to = (width_in / least + 1e-9).floor() as usize;
    let within = |d: f64| d >= least - tiny && d <= most + tiny;
    (from..=to)
        .map(|count| {
            let offsets = offsets(width_in, offset_in, count);
            if offsets.iter().all(|&d| within(d)) {
                offsets
            } else {
                vec![width_in / count as f64; count]
            }
        })
        .min_by(|a, b| strain(a, offset_in).total_cmp(&strain(b, offset_in)))
        .map(|offsets| cycle(width_in, offsets))
}

/// The wished offset everywhere but in the middle.
fn offsets(width: f64, offset: f64, count: usize) -> Vec<f64> {
    let mut offsets = vec![offset; count];
    let middle = if count % 2 == 1 { 1 } else { 2.min(count) };
    let rest = (width - (count - middle) as f64 * offset) / middle as f64;
    let first = (count - middle) / 2;
    for d in &mut offsets[first..first + middle] {
        *d = rest;
    }
    offsets
}

/// How far the offsets are from the wished one, all together; more places to remember count a little.
fn strain(offsets: &[f64], offset: f64) -> f64 {
    offsets
        .iter()
        .map(|d| (d - offset).abs())
        .filter(|d| *d > 1e-9)
        .map(|d| d + 0.01 * offset)
        .sum()
}

fn cycle(width: f64, offsets_in: Vec<f64>) -> StartCycle {
    let count = offsets_in.len();
    let mut starts_in = Vec::with_capacity(count);
    let mut start = width;
    for d in &offsets_in {
        starts_in.push(start);
        start -= d;
    }
    // The cut off course i + 1 starts course T − i + 1; at the half they are one and the same course.
    let cuts = (1..count)
        .map(|i| (i + 1, count - i + 1))
        .filter(|(from, to)| from < to)
        .collect();
    let even = count.is_multiple_of(2);
    let courses = if even { 2 * count } else { count };
    let shingles = if even { count + 1 } else { count.div_ceil(2) };
    let used: f64 = starts_in.iter().sum::<f64>() * if even { 2.0 } else { 1.0 };
    StartCycle {
        width_in: width,
        offsets_in,
        starts_in,
        cuts,
        half: even.then_some(count / 2 + 1),
        courses,
        shingles,
        wasted_in: (shingles as f64 * width - used).max(0.0),
    }
}
