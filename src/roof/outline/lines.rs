//! The moving fronts: one straight line for every side, parallel ones exactly parallel.

use std::collections::BTreeMap;

use super::clean::CleanSide;
use super::number::{Number, Pair};

/// The line of a side. At height h its front is n · p = c + v h.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line<N> {
    /// The unit normal, into the outline.
    pub(super) n: Pair<N>,
    pub(super) c: N,
    /// Run per rise; 0 for a side that stands still.
    pub(super) v: N,
    /// Sides of one class are exactly parallel.
    pub(super) class: u32,
    /// The side's direction as a number in [0, 4) that grows with its angle; opposite directions differ by exactly 2.
    pub(super) ray: f64,
}

impl<N: Number> Line<N> {
    #[inline]
    pub(super) fn offset_at(&self, h: N) -> N {
        self.c + self.v * h
    }
    /// How far a place is in front of the front.
    #[inline]
    pub(super) fn ahead(&self, p: Pair<N>, h: N) -> N {
        self.n.dot(p) - self.offset_at(h)
    }
    #[inline]
    pub(super) fn direction(&self) -> Pair<N> {
        self.n.turn_right()
    }
    pub(super) fn parallel(&self, other: &Self) -> bool {
        self.class == other.class
    }
    pub(super) fn same_way(&self, other: &Self) -> bool {
        self.class == other.class && self.ray == other.ray
    }
    /// Where two fronts cross at a height; `None` for parallel ones.
    pub(super) fn meet(&self, other: &Self, h: N) -> Option<Pair<N>> {
        if self.parallel(other) {
            return None;
        }
        Some(solve(
            self,
            other,
            self.offset_at(h),
            other.offset_at(h),
            self.n.cross(other.n),
        ))
    }
    /// The velocity of the crossing of two fronts that are not parallel.
    pub(super) fn crossing_velocity(&self, other: &Self) -> Pair<N> {
        solve(self, other, self.v, other.v, self.n.cross(other.n))
    }
}

fn solve<N: Number>(a: &Line<N>, b: &Line<N>, ka: N, kb: N, cross: N) -> Pair<N> {
    Pair::new(
        (ka * b.n.y - kb * a.n.y) / cross,
        (kb * a.n.x - ka * b.n.x) / cross,
    )
}

/// Sides whose ends would move by less than this when turned or moved onto a common line are taken as parallel, or
/// as one line: what rounding a plan to seven decimals may have done, and far less than a pencil line.
pub(super) const SAME_LINE_WITHIN_FT: f64 = 2.5e-7;

/// A number in [0, 4) that grows with the angle of a vector.
fn angle_key(x: f64, y: f64) -> f64 {
    if y >= 0.0 {
        if x > 0.0 {
            y / (x + y)
        } else {
            1.0 + -x / (-x + y)
        }
    } else if x < 0.0 {
        2.0 + -y / (-x - y)
    } else {
        3.0 + x / (x - y)
    }
}

/// The direction of a side, and its representative once classes are made.
#[derive(Clone, Copy)]
struct Course {
    d: (f64, f64),
    length: f64,
    /// `angle_key` without its half turns.
    key: f64,
    flipped: bool,
}

fn course(side: &CleanSide) -> Course {
    let d = (side.end.0 - side.start.0, side.end.1 - side.start.1);
    let key = angle_key(d.0, d.1);
    let flipped = (2.0..4.0).contains(&key);
    Course {
        d,
        length: d.0.hypot(d.1),
        key: if flipped { key - 2.0 } else { key % 2.0 },
        flipped,
    }
}

/// How far the ends of a side would move if it were turned onto the direction of another one.
fn turned_by(side: &Course, onto: &Course) -> f64 {
    (side.d.0 * onto.d.1 - side.d.1 * onto.d.0).abs() / onto.length
}

/// For every side the number of its class and the side that gives the class its direction: the longest first, each
/// joins the class that it would turn least for, if its own ends hardly move. So noise in short sides does not spread.
fn classes(courses: &[Course]) -> Vec<(u32, usize)> {
    let mut order: Vec<usize> = (0..courses.len()).collect();
    order.sort_by(|&a, &b| {
        let length = |i: usize| courses[i].length;
        length(b).total_cmp(&length(a)).then(a.cmp(&b))
    });
    // Keys are not negative, so their bits grow with them.
    let mut leaders: BTreeMap<u64, (u32, usize)> = BTreeMap::new();
    let mut class = vec![(0, 0); courses.len()];
    for &i in &order {
        let key = courses[i].key.to_bits();
        // Angles just under and just over a half turn are neighbours too.
        let below = leaders.range(..=key).next_back();
        let below = below.or_else(|| leaders.iter().next_back());
        let above = leaders.range(key..).next();
        let above = above.or_else(|| leaders.iter().next());
        let nearest = below
            .into_iter()
            .chain(above)
            .map(|(_, &(number, lead))| (turned_by(&courses[i], &courses[lead]), number, lead))
            .min_by(|a, b| a.0.total_cmp(&b.0));
        class[i] = match nearest {
            Some((moved, number, lead)) if moved <= SAME_LINE_WITHIN_FT => (number, lead),
            _ => {
                let new = (leaders.len() as u32, i);
                leaders.insert(key, new);
                new
            }
        };
    }
    class
}

/// The lines of all sides.
pub(super) fn lines<N: Number>(sides: &[CleanSide]) -> Vec<Line<N>> {
    let courses: Vec<Course> = sides.iter().map(course).collect();
    let classes = classes(&courses);
    let mut lines: Vec<Line<N>> = (0..sides.len())
        .map(|i| line(&sides[i], &courses, i, classes[i]))
        .collect();
    share_offsets(&mut lines, &courses);
    lines
}

fn line<N: Number>(
    side: &CleanSide,
    courses: &[Course],
    i: usize,
    (class, leader): (u32, usize),
) -> Line<N> {
    let lead = courses[leader];
    let with_leader = courses[i].d.0 * lead.d.0 + courses[i].d.1 * lead.d.1 >= 0.0;
    let sign = if with_leader { 1.0 } else { -1.0 };
    let (x, y) = (N::of(lead.d.0), N::of(lead.d.1));
    let length = (x * x + y * y).sqrt() * N::of(sign);
    let n = Pair::new(-(y / length), x / length);
    let middle = Pair::new(
        (N::of(side.start.0) + N::of(side.end.0)) * N::of(0.5),
        (N::of(side.start.1) + N::of(side.end.1)) * N::of(0.5),
    );
    let half_turn = lead.flipped == with_leader;
    Line {
        n,
        c: n.dot(middle),
        v: side
            .rise_per_run
            .map_or(N::zero(), |m| N::of(1.0) / N::of(m)),
        class,
        ray: lead.key + if half_turn { 2.0 } else { 0.0 },
    }
}

/// Gives sides on one line, to within the grid, exactly the same line.
fn share_offsets<N: Number>(lines: &mut [Line<N>], courses: &[Course]) {
    let mut order: Vec<usize> = (0..lines.len()).collect();
    let key = |l: &Line<N>| (l.class, l.ray.to_bits());
    order.sort_by(|&a, &b| {
        let (la, lb) = (&lines[a], &lines[b]);
        key(la)
            .cmp(&key(lb))
            .then(la.c.to_f64().total_cmp(&lb.c.to_f64()))
            .then(a.cmp(&b))
    });
    let mut at = 0;
    while at < order.len() {
        let mut end = at + 1;
        while end < order.len()
            && lines[order[end]].same_way(&lines[order[at]])
            && (lines[order[end]].c - lines[order[end - 1]].c).to_f64() <= SAME_LINE_WITHIN_FT
        {
            end += 1;
        }
        let lead = order[at..end].iter().copied().fold(order[at], |best, i| {
            if courses[i].length > courses[best].length {
                i
            } else {
                best
            }
        });
        let c = lines[lead].c;
        for &i in &order[at..end] {
            lines[i].c = c;
        }
        at = end;
    }
}
