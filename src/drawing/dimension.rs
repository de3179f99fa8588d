//! Dimension lines: a line with a length beside it, and where that length runs from and to.

use super::dimension_chain::{Beside, stretch};
use super::dimension_end::{End, ends};
use super::dimension_mark::Around;
use super::dimension_run::{lines, onward};
use super::near::Near;
use super::text::LengthText;
use super::words::Words;
use crate::geometry::{Point, Vector};

/// A straight piece of the drawing, in drawing units.
#[derive(Clone, Copy, Debug)]
pub(super) struct Segment {
    pub(super) a: Point,
    pub(super) b: Point,
    /// The number of its shape.
    pub(super) shape: usize,
    /// What it is drawn with: colour, width and dash, by a number.
    pub(super) pen: usize,
    pub(super) layer: LayerSays,
    /// A side of a filled shape without a line.
    pub(super) filled_only: bool,
    /// The closed outline that it is a side of, by its number among all.
    pub(super) ring: Option<usize>,
}

/// The straight pieces of a drawing, by their places.
pub(super) struct Segments {
    all: Vec<Segment>,
    /// The corners of closed outlines.
    rings: Vec<Vec<Point>>,
    /// The middles of all lengths that are written.
    pub(super) lengths: Vec<Point>,
    length_places: Near,
    places: Near,
}

impl Segments {
    pub(super) fn new(all: Vec<Segment>, rings: Vec<Vec<Point>>, lengths: Vec<Point>) -> Self {
        Self {
            places: Near::of(all.iter().map(|s| (s.a, s.b))),
            length_places: Near::of(lengths.iter().map(|&p| (p, p))),
            all,
            rings,
            lengths,
        }
    }

    /// The corners of the closed outline that a segment is a side of.
    pub(super) fn ring(&self, s: &Segment) -> Option<&[Point]> {
        self.rings.get(s.ring?).map(Vec::as_slice)
    }

    /// The middles of the lengths that stand within a distance of a line.
    pub(super) fn lengths_beside(&self, a: Point, b: Point, distance: f64) -> Vec<Point> {
        let reach = a.distance(b) / 2.0 + distance;
        let near = self.length_places.near(a.midpoint(b), reach).into_iter();
        near.filter_map(|i| self.lengths.get(i).copied())
            .filter(|&p| nearest_on(p, a, b).distance(p) <= distance)
            .collect()
    }

    /// Those that may come within a distance of a place, in the order of the drawing.
    pub(super) fn near(&self, p: Point, distance: f64) -> impl Iterator<Item = &Segment> {
        let near = self.places.near(p, distance).into_iter();
        near.filter_map(|i| self.all.get(i))
    }
}

/// What a layer says about a line, as far as dimensions go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LayerSays {
    /// It belongs to dimensions.
    Dimension,
    /// Nothing: it may belong to a dimension.
    Nothing,
    /// It is a line of the building: roof, wall, opening, pipe, fall.
    Building,
    /// It is left out, as a frame, a grid or a photograph is.
    LeftOut,
}

/// A length found beside a line.
#[derive(Clone, Debug)]
pub(super) struct Dimension {
    /// The text's number.
    pub(super) words: usize,
    pub(super) length: LengthText,
    /// From where to where, in drawing units.
    pub(super) from: Point,
    pub(super) to: Point,
    /// Shapes of the line itself.
    pub(super) shafts: Vec<usize>,
    /// Shapes that end it: extension lines, ticks, arrow heads.
    pub(super) ends: Vec<usize>,
    /// Whether both ends are marked, or the layer says that it is a dimension.
    pub(super) sure: bool,
    /// Whether it was drawn as a dimension line, not as a side of the outline with a length beside it.
    pub(super) drawn: bool,
    /// Whether its line is one of the building's by its layer.
    pub(super) of_side: bool,
    /// Whether nothing but nearness tells its line from many others.
    pub(super) one_of_many: bool,
    /// How far the line's ends were moved to lines that neither layer nor shape calls extension lines, in drawing units.
    pub(super) moved: f64,
}

impl Dimension {
    /// Feet per drawing unit.
    pub(super) fn feet_per_unit(&self) -> f64 {
        self.length.feet / self.from.distance(self.to)
    }
    /// How far the written number may be rounded, as a part of it.
    pub(super) fn rounding(&self) -> f64 {
        self.length.step_ft / 2.0 / self.length.feet
    }
}

/// A line that may carry the text.
#[derive(Clone, Debug)]
pub(super) struct Shaft {
    pub(super) a: Point,
    pub(super) b: Point,
    pub(super) shapes: Vec<usize>,
    /// The segments that it is made of.
    pub(super) pieces: Vec<(Point, Point)>,
    /// Whether the text stands in a gap of it.
    pub(super) in_gap: bool,
    /// Whether it is a stretch of a line in pieces, and nothing tells which of them the text is beside.
    pub(super) in_doubt: bool,
    pub(super) layer: LayerSays,
    /// Whether nothing but nearness tells it from more lines than are looked at.
    pub(super) one_of_many: bool,
}

/// Nobody writes a length across its own line, unless in a gap of it: a line through the text fits worse by this.
const STRUCK: f64 = 0.5;
/// The middle of a text stands so far inside its line's ends, in its sizes, or by a twentieth of the line where that is less.
const END_BAY: f64 = 0.5;
/// A line that a layer calls a dimension fits better by this.
const ON_LAYER: f64 = 1.0;
/// Lines near a text whose ends are looked at.
const MOST_SHAFTS: usize = 8;

/// What of a drawing is looked at to find the lines of lengths.
#[derive(Clone, Copy)]
pub(super) struct Sheet<'a> {
    pub(super) segments: &'a Segments,
    /// The middles of the roof's pitches: what runs round one is no dimension.
    pub(super) pitches: &'a [Point],
}

/// Pieces of one dimension line end no farther from the text in the gap between them than so many of its sizes ...
const WIDEST_GAP: f64 = 20.0;
/// ... and as far on the one side as on the other, to so many of its sizes.
const OFF_CENTRE: f64 = 1.5;

/// Finds the line that a length is written beside. Lines of left-out layers are none, unless the text is left out too; where a
/// text on a layer of dimensions has a line there beside it, no other line is its own.
pub(super) fn shaft_of(
    words: &Words,
    length: LengthText,
    segments: &Segments,
    text_layer: LayerSays,
) -> Option<Shaft> {
    let text_left_out = text_layer == LayerSays::LeftOut;
    let text = Box2::of(words);
    let beyond = text.half_width + 4.5 * text.size;
    let near: Vec<Segment> = segments
        .near(text.middle, beyond)
        .filter(|s| text_left_out || s.layer != LayerSays::LeftOut)
        .filter(|s| text.distance(s.a, s.b) < 2.0 * text.size)
        .copied()
        .collect();
    let mut shafts = lines(&text, &near, segments);
    shafts.extend(split_shaft(&text, &near, segments));
    let mut fitting: Vec<(f64, Shaft)> = shafts
        .into_iter()
        .filter_map(|shaft| {
            let on_layer = shaft.layer == LayerSays::Dimension;
            let layer = if on_layer { ON_LAYER } else { 0.0 };
            Some((text.unfitness(&shaft)? - layer, shaft))
        })
        .collect();
    if text_layer == LayerSays::Dimension {
        let on_layer = |(_, shaft): &(f64, Shaft)| shaft.layer == LayerSays::Dimension;
        if !fitting.iter().any(on_layer)
            && let Some(shaft) = wide_split_shaft(&text, segments)
        {
            fitting.push((0.0, shaft));
        }
        if fitting.iter().any(on_layer) {
            fitting.retain(on_layer);
        }
    }
    fitting.sort_by(|a, b| a.0.total_cmp(&b.0));
    let unlooked = fitting.split_off(fitting.len().min(MOST_SHAFTS));
    let best = fitting
        .into_iter()
        .map(|(unfit, shaft)| {
            let ends = ends(&shaft, text.size, shaft.around(length, segments, &[]));
            let marked = ends.iter().filter(|e| e.marked).count();
            let crosses = ends.iter().filter(|e| e.crosses).count();
            let by_ends = 0.4 * marked as f64 + 0.6 * crosses as f64;
            (unfit - by_ends, shaft, marked)
        })
        .min_by(|a, b| a.0.total_cmp(&b.0));
    best.map(|(_, mut shaft, marked)| {
        let is_rival = |(_, other): &(f64, Shaft)| other.layer == shaft.layer;
        shaft.one_of_many = marked < 2 && unlooked.iter().any(is_rival);
        shaft
    })
}

/// What a length beside a line says, once the lines of all lengths are known.
pub(super) fn measure(
    index: usize,
    words: &Words,
    length: LengthText,
    shaft: &Shaft,
    shafts: &[Shaft],
    sheet: Sheet<'_>,
) -> Option<Dimension> {
    if shaft.in_doubt {
        return None;
    }
    let size = words.size();
    let around = shaft.around(length, sheet.segments, shafts);
    let u = (shaft.b - shaft.a).unit()?;
    let mut ends = ends(shaft, size, around);
    let drawn = shaft.is_drawn(&ends, sheet.pitches);
    let beside = Beside {
        at: (words.middle() - shaft.a).dot(u),
        size,
    };
    let mut chained = false;
    if (drawn || shaft.in_gap)
        && let Some(own) = stretch(shaft, &ends, &beside, around)
    {
        ends = own;
        chained = true;
    }
    let [start, end] = ends;
    let (from, to) = (shaft.a + u * start.at, shaft.a + u * end.at);
    if from.distance(to) <= 0.0 || length.feet <= 0.0 {
        return None;
    }
    let drawn =
        drawn || (chained && shaft.layer == LayerSays::Nothing && start.crosses && end.crosses);
    let on_layer = shaft.layer == LayerSays::Dimension;
    // What runs round a pitch is the roof's, though a dimension ends on it.
    let sides = shaft.go_round(&start, &end, sheet.pitches) == Some(true);
    let kept = |shape: &usize| {
        let extension = |e: &End| e.extension.is_some_and(|(s, _)| s == *shape);
        !(sides && (extension(&start) || extension(&end)))
    };
    let marks = start.shapes.iter().chain(&end.shapes);
    Some(Dimension {
        words: index,
        length,
        from,
        to,
        sure: !shaft.one_of_many && (on_layer || (start.marked && end.marked)),
        one_of_many: shaft.one_of_many,
        drawn,
        of_side: shaft.layer == LayerSays::Building,
        moved: start.moved + end.moved,
        ends: marks.copied().filter(kept).collect(),
        shafts: shaft.shapes.clone(),
    })
}

impl Shaft {
    pub(super) fn of(segment: &Segment) -> Self {
        Self {
            a: segment.a,
            b: segment.b,
            shapes: vec![segment.shape],
            pieces: vec![(segment.a, segment.b)],
            in_gap: false,
            in_doubt: false,
            layer: segment.layer,
            one_of_many: false,
        }
    }

    /// What is beside it, if it is as long as the text says.
    fn around<'a>(
        &self,
        length: LengthText,
        segments: &'a Segments,
        shafts: &'a [Shaft],
    ) -> Around<'a> {
        let long = self.a.distance(self.b);
        Around {
            segments,
            shafts,
            feet_per_unit: if long > 0.0 { length.feet / long } else { 0.0 },
        }
    }

    /// Whether it was drawn as a dimension line: by its layer, or by marks of its own at both ends. Two long lines square to
    /// its ends may also be the sides of a roof whose corners run past.
    fn is_drawn(&self, [start, end]: &[End; 2], pitches: &[Point]) -> bool {
        let by_marks = start.crosses && end.crosses;
        match self.layer {
            LayerSays::Dimension => true,
            LayerSays::Building => false,
            LayerSays::Nothing | LayerSays::LeftOut => {
                let ticked = start.ticked && end.ticked;
                by_marks && (ticked || self.go_round(start, end, pitches) != Some(true))
            }
        }
    }

    /// Whether the long lines at its two ends go round one of the roof's pitches, or to opposite sides: as no extension lines
    /// do. `None` where not both ends have one.
    fn go_round(&self, start: &End, end: &End, pitches: &[Point]) -> Option<bool> {
        let (from, to) = (start.extension?.1, end.extension?.1);
        if from * to <= 0.0 {
            return Some(true);
        }
        let u = (self.b - self.a).unit()?;
        let deep = from.abs().min(to.abs());
        let inside = |p: &Point| {
            let v = *p - self.a;
            let (along, across) = (v.dot(u), u.cross(v) * from.signum());
            start.at < along && along < end.at && 0.0 < across && across < deep
        };
        Some(pitches.iter().any(inside))
    }
}

/// The box of a text.
pub(super) struct Box2 {
    pub(super) middle: Point,
    along: Vector,
    half_width: f64,
    pub(super) size: f64,
}

impl Box2 {
    fn of(words: &Words) -> Self {
        Self {
            middle: words.middle(),
            along: words.along(),
            half_width: words.width() / 2.0,
            size: words.size(),
        }
    }
    fn local(&self, p: Point) -> (f64, f64) {
        let v = p - self.middle;
        (v.dot(self.along), self.along.cross(v))
    }
    /// The distance from the box to a segment; sampled finely enough for picking.
    fn distance(&self, a: Point, b: Point) -> f64 {
        let p = nearest_on(self.middle, a, b);
        let (x, y) = self.local(p);
        let dx = (x.abs() - self.half_width).max(0.0);
        let dy = (y.abs() - self.size * 0.36).max(0.0);
        dx.hypot(dy)
    }
    /// Whether a line runs through the middle of the text.
    fn is_struck(&self, shaft: &Shaft) -> bool {
        let through = nearest_on(self.middle, shaft.a, shaft.b);
        !shaft.in_gap && through.distance(self.middle) < 0.25 * self.size
    }
    /// How badly a line fits as the one that the text belongs to; `None` when not at all.
    pub(super) fn unfitness(&self, shaft: &Shaft) -> Option<f64> {
        let length = shaft.a.distance(shaft.b);
        let u = (shaft.b - shaft.a).unit()?;
        let t = (self.middle - shaft.a).dot(u) / length;
        let beside = self.distance(shaft.a, shaft.b) / self.size;
        // On a long chain the text of a short end bay stands close to the chain's end, yet over its own bay.
        let least = (0.05 * length).min(END_BAY * self.size) / length;
        if length < self.size || beside > 2.0 || t < least || t > 1.0 - least {
            return None;
        }
        let turned = u.cross(self.along).abs();
        // Text is written along its line, or upright beside any line.
        let askew = if turned < 0.1 { 0.0 } else { 0.6 };
        let struck = if self.is_struck(shaft) { STRUCK } else { 0.0 };
        Some(beside + 2.0 * (t - 0.5).abs() + askew + struck)
    }
}

/// A dimension line with its text in a gap: two pieces of one line, one on each side of the text.
fn split_shaft(text: &Box2, near: &[Segment], segments: &Segments) -> Option<Shaft> {
    let in_line: Vec<(&Segment, f64, f64)> = near
        .iter()
        .filter_map(|s| {
            let (a, b) = (text.local(s.a), text.local(s.b));
            let flat = a.1.abs().max(b.1.abs()) < 0.8 * text.size;
            flat.then_some((s, a.0.min(b.0), a.0.max(b.0)))
        })
        .collect();
    let reach = text.half_width + 2.0 * text.size;
    let left = in_line
        .iter()
        .filter(|(_, _, high)| *high < 0.0 && *high > -reach)
        .max_by(|a, b| a.2.total_cmp(&b.2))?;
    let right = in_line
        .iter()
        .filter(|(_, low, _)| *low > 0.0 && *low < reach)
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let far = |s: &Segment, sign: f64| {
        if text.local(s.a).0 * sign > text.local(s.b).0 * sign {
            s.a
        } else {
            s.b
        }
    };
    let (a, b) = (far(left.0, -1.0), far(right.0, 1.0));
    let u = (b - a).unit()?;
    let in_one_line = [left.0, right.0]
        .iter()
        .all(|s| u.cross(s.a - a).abs().max(u.cross(s.b - a).abs()) < 0.1 * text.size);
    let on_layer = [left.0, right.0]
        .iter()
        .any(|s| s.layer == LayerSays::Dimension);
    let layer = if on_layer {
        LayerSays::Dimension
    } else {
        left.0.layer
    };
    in_one_line.then(|| in_gap([(left.0, a), (right.0, b)], layer, text.size, segments))
}

/// The line with a gap between two pieces, each with its end away from the text, and what goes on from there.
fn in_gap(
    sides: [(&Segment, Point); 2],
    layer: LayerSays,
    size: f64,
    segments: &Segments,
) -> Shaft {
    let [(left, a), (right, b)] = sides;
    let [(before, a), (after, b)] =
        [(left, a), (right, b)].map(|(piece, end)| onward(piece, end, size, segments));
    let pieces = [left, right].into_iter().chain(&before).chain(&after);
    let mut shapes: Vec<usize> = pieces.clone().map(|s| s.shape).collect();
    shapes.dedup();
    Shaft {
        a,
        b,
        shapes,
        pieces: pieces.map(|s| (s.a, s.b)).collect(),
        in_gap: true,
        in_doubt: false,
        layer,
        one_of_many: false,
    }
}

/// A dimension line on a layer of dimensions whose pieces end far from the text between them. Pieces that a mark ends towards
/// the text are two lines.
fn wide_split_shaft(text: &Box2, segments: &Segments) -> Option<Shaft> {
    let reach = text.half_width + WIDEST_GAP * text.size;
    let on_layer: Vec<&Segment> = segments
        .near(text.middle, reach)
        .filter(|s| s.layer == LayerSays::Dimension)
        .collect();
    // The nearer end and the farther end along the text, of each piece in line with it.
    let in_line = on_layer.iter().filter_map(|s| {
        let ((ax, ay), (bx, by)) = (text.local(s.a), text.local(s.b));
        let flat = ay.abs().max(by.abs()) < 0.8 * text.size;
        let beside = ax * bx > 0.0 && (ax - bx).abs() > text.size;
        let (near, far) = if ax.abs() < bx.abs() {
            (s.a, s.b)
        } else {
            (s.b, s.a)
        };
        (flat && beside).then_some((*s, near, far))
    });
    let (left, right): (Vec<_>, Vec<_>) =
        in_line.partition(|(_, near, _)| text.local(*near).0 < 0.0);
    let nearest = |of: Vec<(&Segment, Point, Point)>| {
        let off = |p: Point| text.local(p).0.abs();
        of.into_iter()
            .map(|(s, near, far)| (*s, near, far, off(near)))
            .filter(|piece| piece.3 <= reach)
            .min_by(|a, b| a.3.total_cmp(&b.3))
    };
    let (left, right) = (nearest(left)?, nearest(right)?);
    let (a, b) = (left.2, right.2);
    let u = (b - a).unit()?;
    let straight = |p: Point| u.cross(p - a).abs() < 0.1 * text.size;
    let is_marked = |end: Point| {
        let others = on_layer.iter().filter(|s| !straight(s.a) || !straight(s.b));
        let mut gaps = others.map(|s| nearest_on(end, s.a, s.b).distance(end));
        gaps.any(|gap| gap < 0.6 * text.size)
    };
    let one_line = straight(left.1) && straight(right.1);
    let centred = (left.3 - right.3).abs() <= OFF_CENTRE * text.size;
    let is_one = one_line && centred && !is_marked(left.1) && !is_marked(right.1);
    let sides = [(&left.0, a), (&right.0, b)];
    is_one.then(|| in_gap(sides, LayerSays::Dimension, text.size, segments))
}

pub(super) fn nearest_on(p: Point, a: Point, b: Point) -> Point {
    let v = b - a;
    let length2 = v.dot(v);
    if length2 <= 0.0 {
        return a;
    }
    a.lerp(b, ((p - a).dot(v) / length2).clamp(0.0, 1.0))
}
