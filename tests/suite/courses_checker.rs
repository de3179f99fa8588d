//! Judges a layout from the outside: it knows the face's polygon, the format, the rules, the first joint of every run
//! and the pairs, and rebuilds every piece as a polygon. Nothing of the library's own layout code is used here: runs
//! come from intersecting polygons, end lines from crossing horizontal lines with the outline.

use geo::{Area, BooleanOps, BoundingRect, Coord, LineString, MultiPolygon, Polygon};

/// A side of the outline: ends and kind.
pub(crate) type Side = ((f64, f64), (f64, f64), String);

pub(crate) struct Face {
    pub(crate) outer: Vec<(f64, f64)>,
    pub(crate) holes: Vec<Vec<(f64, f64)>>,
    pub(crate) sides: Vec<Side>,
}

pub(crate) struct Rules {
    pub(crate) width: f64,
    pub(crate) height: f64,
    pub(crate) exposure: f64,
    pub(crate) m: f64,
    pub(crate) m2: f64,
    pub(crate) p: f64,
    pub(crate) rake: f64,
    pub(crate) lap: f64,
    pub(crate) back_cut: f64,
    pub(crate) back_open: f64,
    pub(crate) clear: f64,
    pub(crate) skip: f64,
}

/// A row of the layout: course, first joint, whole shingles.
pub(crate) type Row = (usize, Option<f64>, usize);

const TINY: f64 = 1e-5;

fn ring(points: &[(f64, f64)]) -> LineString<f64> {
    points.iter().map(|&(x, y)| Coord { x, y }).collect()
}

fn rectangle(u0: f64, v0: f64, u1: f64, v1: f64) -> Polygon<f64> {
    Polygon::new(ring(&[(u0, v0), (u1, v0), (u1, v1), (u0, v1)]), vec![])
}

impl Face {
    fn polygon(&self) -> Polygon<f64> {
        Polygon::new(
            ring(&self.outer),
            self.holes.iter().map(|h| ring(h)).collect(),
        )
    }
    fn top(&self) -> f64 {
        self.outer.iter().map(|p| p.1).fold(f64::MIN, f64::max)
    }
    /// Where the outline crosses a height between two u, with the side's number.
    fn crossings(&self, v: f64, from: f64, to: f64) -> Vec<(f64, usize)> {
        let mut found = Vec::new();
        for (i, (a, b, _)) in self.sides.iter().enumerate() {
            if (a.1 - b.1).abs() > 1e-9 && (a.1 > v) != (b.1 > v) {
                let u = a.0 + (b.0 - a.0) * (v - a.1) / (b.1 - a.1);
                if u >= from - TINY && u <= to + TINY {
                    found.push((u, i));
                }
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found
    }
}

/// One end of a run as the checker sees it: the side's line, carried on as far as the pieces go.
struct EndLine {
    /// u on the line at a height of 0, and du/dv.
    base: f64,
    lean: f64,
    /// +1 at the right end, −1 at the left end.
    out: f64,
    shift: f64,
    /// Set where the end runs square through a valley.
    square: Option<f64>,
    keep_out: Option<f64>,
    /// The heights at which the face really has this side within the strip.
    seen: (f64, f64),
    /// The side's upper end: its line is not followed beyond.
    top: f64,
}

impl EndLine {
    fn at(&self, v: f64) -> f64 {
        self.square
            .unwrap_or(self.base + self.lean * v.min(self.top) + self.out * self.shift)
    }
}

fn end_line(face: &Face, rules: &Rules, side: usize, out: f64, low: f64, high: f64) -> EndLine {
    let (a, b, kind) = &face.sides[side];
    let lean = (b.0 - a.0) / (b.1 - a.1);
    let base = a.0 - lean * a.1;
    let along = (1.0 + lean * lean).sqrt();
    let shift = match kind.as_str() {
        "rake" => rules.rake * along,
        "valley_cut" => -rules.back_cut * along,
        "valley_open" => -rules.back_open * along,
        _ => 0.0,
    };
    let seen = (low.max(a.1.min(b.1)), high.min(a.1.max(b.1)));
    let line = |v: f64| base + lean * v;
    let through = kind == "valley_through";
    // The farthest and the nearest place of the centre line within the strip.
    let far = out * (out * line(seen.0)).max(out * line(seen.1));
    let near = out * (out * line(seen.0)).min(out * line(seen.1));
    EndLine {
        base,
        lean,
        out,
        shift,
        square: through.then_some(far + out * rules.lap),
        keep_out: through.then_some(near - out * rules.clear),
        seen,
        top: a.1.max(b.1),
    }
}

/// Checks everything and returns the shingles opened; every broken rule is a line of the error.
pub(crate) fn check(
    face: &Face,
    rules: &Rules,
    rows: &[Row],
    pairs: &[(usize, usize)],
) -> Result<usize, Vec<String>> {
    let mut wrong = Vec::new();
    let w = rules.width;
    let polygon = face.polygon();
    let bounds = polygon.bounding_rect().expect("a face has a size");
    let (low, top) = (bounds.min().y, face.top());
    let steps = (top - low) / rules.exposure;
    let mut courses = (steps + 1e-7).floor();
    let left_over = top - low - courses * rules.exposure;
    if left_over > 1e-6 && (left_over >= rules.skip || courses == 0.0) {
        courses += 1.0;
    }
    let mut row = 0;
    let mut ends: Vec<(EndLine, EndLine, f64, f64)> = Vec::new();
    let mut joints: Vec<Vec<f64>> = vec![Vec::new(); courses as usize];
    for (course, joints_here) in joints.iter_mut().enumerate() {
        let butt = low + course as f64 * rules.exposure;
        let strip_top = (butt + rules.exposure).min(top);
        let strip = rectangle(bounds.min().x - 1.0, butt, bounds.max().x + 1.0, strip_top);
        let parts: MultiPolygon<f64> = polygon.intersection(&strip);
        let mut parts: Vec<Polygon<f64>> = parts
            .into_iter()
            .filter(|p| p.unsigned_area() > 1e-7 * w * w)
            .collect();
        parts.sort_by(|a, b| {
            let left = |p: &Polygon<f64>| p.bounding_rect().expect("a part has a size").min().x;
            left(a).total_cmp(&left(b))
        });
        for part in &parts {
            let Some(&(of, first, whole)) = rows.get(row) else {
                wrong.push(format!("course {course}: a run without a row"));
                continue;
            };
            if of != course {
                wrong.push(format!("row {row} is for course {of}, not {course}"));
            }
            let rect = part.bounding_rect().expect("a part has a size");
            let mut left: Option<(f64, usize)> = None;
            let mut right: Option<(f64, usize)> = None;
            // The side that reaches farthest out anywhere in the strip is the end line.
            for i in 0..40 {
                let v = rect.min().y + (rect.max().y - rect.min().y) * (f64::from(i) + 0.5) / 40.0;
                let crossed = face.crossings(v, rect.min().x, rect.max().x);
                if let (Some(&l), Some(&r)) = (crossed.first(), crossed.last()) {
                    if left.is_none_or(|b| l.0 < b.0 - 1e-9) {
                        left = Some(l);
                    }
                    if right.is_none_or(|b| r.0 > b.0 + 1e-9) {
                        right = Some(r);
                    }
                }
            }
            let (Some(left), Some(right)) = (left, right) else {
                wrong.push(format!("course {course}: no ends found"));
                row += 1;
                continue;
            };
            let l = end_line(face, rules, left.1, -1.0, butt, strip_top);
            let r = end_line(face, rules, right.1, 1.0, butt, strip_top);
            let piece_top = (butt + rules.height).min(top);
            let mid = f64::midpoint(butt, strip_top);
            let mut say = |what: String| wrong.push(format!("course {course} (row {row}): {what}"));
            match first {
                None => {
                    let reach = |v: f64| r.at(v) - l.at(v);
                    if reach(butt).max(reach(piece_top)) > w + TINY * w {
                        say("one piece is wider than a shingle".into());
                    }
                }
                Some(first) => {
                    let last = first + whole as f64 * w;
                    for v in [butt, strip_top, piece_top] {
                        if first - l.at(v) > w + TINY * w || r.at(v) - last > w + TINY * w {
                            say(format!("an end piece is wider than a shingle at {v}"));
                        }
                    }
                    let mid_l = l.at(mid.clamp(l.seen.0, l.seen.1));
                    let mid_r = r.at(mid.clamp(r.seen.0, r.seen.1));
                    if first - mid_l < rules.p - TINY * w || mid_r - last < rules.p - TINY * w {
                        say(format!(
                            "an end piece is too short: {} {}",
                            first - mid_l,
                            mid_r - last
                        ));
                    }
                    if l.keep_out.is_some_and(|k| first < k - TINY * w)
                        || r.keep_out.is_some_and(|k| last > k + TINY * w)
                    {
                        say("a joint is too near to the valley".into());
                    }
                    joints_here.extend((0..=whole).map(|i| first + i as f64 * w));
                }
            }
            // Cover: the pieces as rectangles over the part of the strip.
            let (from, to) = (
                l.at(butt).min(l.at(strip_top)).min(rect.min().x),
                r.at(butt).max(r.at(strip_top)).max(rect.max().x),
            );
            if matches!(first, Some(f) if f < from - TINY || f > to + TINY) {
                say("the first joint lies outside of the run".into());
            }
            ends.push((l, r, butt, piece_top));
            row += 1;
        }
    }
    if row != rows.len() {
        wrong.push(format!("{} rows for {row} runs", rows.len()));
    }
    for (k, here) in joints.iter().enumerate() {
        for (up, least) in [(1, rules.m), (2, rules.m2)] {
            for a in here {
                for b in joints.get(k + up).into_iter().flatten() {
                    if (a - b).abs() < least - TINY * w {
                        wrong.push(format!(
                            "joints {a} and {b} of courses {k} and {} are too close",
                            k + up
                        ));
                    }
                }
            }
        }
    }
    check_pairs(rules, rows, pairs, &ends, &mut wrong);
    let pieces: usize = rows
        .iter()
        .map(|(_, first, whole)| if first.is_some() { whole + 2 } else { 1 })
        .sum();
    if wrong.is_empty() {
        Ok(pieces - pairs.len())
    } else {
        Err(wrong)
    }
}

/// Lays both pieces of every pair on one blank: they must fit and not overlap. No piece may be used twice.
fn check_pairs(
    rules: &Rules,
    rows: &[Row],
    pairs: &[(usize, usize)],
    ends: &[(EndLine, EndLine, f64, f64)],
    wrong: &mut Vec<String>,
) {
    let mut openings = vec![false; rows.len()];
    let mut closings = vec![false; rows.len()];
    for &(o, c) in pairs {
        if o >= ends.len() || c >= ends.len() {
            wrong.push(format!("pair ({o}, {c}) names no run"));
            continue;
        }
        let single = |i: usize| rows[i].1.is_none();
        let again = std::mem::replace(&mut openings[o], true)
            | std::mem::replace(&mut closings[c], true)
            | (single(o) && closings[o])
            | (single(c) && openings[c]);
        if again {
            wrong.push(format!("a piece of pair ({o}, {c}) is used twice"));
        }
        let opening = opening_on_blank(rules, rows[o], &ends[o]);
        let closing = closing_on_blank(rules, rows[c], &ends[c]);
        let blank = rectangle(0.0, 0.0, rules.width, rules.height);
        let slack = 1e-4 * rules.width * rules.height;
        for (piece, name) in [(&opening, "opening"), (&closing, "closing")] {
            if piece.difference(&blank).unsigned_area() > slack {
                wrong.push(format!(
                    "the {name} piece of pair ({o}, {c}) does not fit on a shingle"
                ));
            }
        }
        if opening.intersection(&closing).unsigned_area() > slack {
            wrong.push(format!(
                "the pieces of pair ({o}, {c}) overlap on their shingle"
            ));
        }
    }
}

/// The opening piece on its blank: its right edge is the factory's, at W.
fn opening_on_blank(rules: &Rules, row: Row, end: &(EndLine, EndLine, f64, f64)) -> Polygon<f64> {
    let (l, r, butt, top) = end;
    let h = top - butt;
    match row.1 {
        Some(joint) => {
            let move_by = rules.width - joint;
            quad(
                l.at(*butt) + move_by,
                l.at(*top) + move_by,
                rules.width,
                rules.width,
                h,
            )
        }
        None => {
            let move_by = rules.width - r.at(*butt).max(r.at(*top));
            quad(
                l.at(*butt) + move_by,
                l.at(*top) + move_by,
                r.at(*butt) + move_by,
                r.at(*top) + move_by,
                h,
            )
        }
    }
}

/// The closing piece on its blank: its left edge is the factory's, at 0.
fn closing_on_blank(rules: &Rules, row: Row, end: &(EndLine, EndLine, f64, f64)) -> Polygon<f64> {
    let (l, r, butt, top) = end;
    let h = top - butt;
    match row.1 {
        Some(first) => {
            let last = first + row.2 as f64 * rules.width;
            quad(0.0, 0.0, r.at(*butt) - last, r.at(*top) - last, h)
        }
        None => {
            let move_by = -l.at(*butt).min(l.at(*top));
            quad(
                l.at(*butt) + move_by,
                l.at(*top) + move_by,
                r.at(*butt) + move_by,
                r.at(*top) + move_by,
                h,
            )
        }
    }
}

/// Left and right at the butt and at the top. A piece that comes to a point below its top ends there.
fn quad(left0: f64, left1: f64, right0: f64, right1: f64, h: f64) -> Polygon<f64> {
    let (wide0, wide1) = (right0 - left0, right1 - left1);
    if wide1 < 0.0 && wide0 > 0.0 {
        let t = wide0 / (wide0 - wide1);
        let point = (left0 + (left1 - left0) * t, h * t);
        return Polygon::new(ring(&[(left0, 0.0), (right0, 0.0), point]), vec![]);
    }
    Polygon::new(
        ring(&[(left0, 0.0), (right0, 0.0), (right1, h), (left1, h)]),
        vec![],
    )
}
