//! Details: the parts of a plan that are too small for their labels, drawn again at a larger scale.

use super::chain::Chain;
use super::place::{Field, Slanted};
use super::scale::{DrawingScale, Projection};
use super::{Scope, Unplaced, seen};
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Align, Area, Canvas, Layer, Pen, Text, TextStyle};
use crate::report::{OutputUnits, Report};

/// Room round a part for dimensions and leaders, in mm of paper.
pub(crate) const ROOM: f64 = 13.0;
/// A part reaches this far beyond what it must show, in mm of the plan's paper.
const AROUND: f64 = 4.0;
/// The dash-dot line round a part.
const BOUNDARY: Pen = Pen::dashed(0.25, &[4.0, 0.9, 0.7, 0.9]);
/// A detail is drawn at least so many times as large as the plan, and no larger than this ratio.
const LEAST_ENLARGEMENT: f64 = 1.9;
const LARGEST_RATIO: f64 = 16.0;

/// A part of the plan, in plan feet.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Part {
    pub(crate) low: Point,
    pub(crate) high: Point,
}

impl Part {
    pub(crate) fn of_points(points: impl IntoIterator<Item = Point>) -> Option<Self> {
        let mut points = points.into_iter();
        let first = points.next()?;
        let start = Self {
            low: first,
            high: first,
        };
        Some(points.fold(start, |part, p| part.with(Self { low: p, high: p })))
    }
    fn with(self, other: Self) -> Self {
        Self {
            low: Point::new(self.low.x.min(other.low.x), self.low.y.min(other.low.y)),
            high: Point::new(self.high.x.max(other.high.x), self.high.y.max(other.high.y)),
        }
    }
    fn grown(self, by: f64) -> Self {
        let v = Vector::new(by, by);
        Self {
            low: self.low - v,
            high: self.high + v,
        }
    }
    fn meets(&self, other: &Self) -> bool {
        self.low.x <= other.high.x
            && other.low.x <= self.high.x
            && self.low.y <= other.high.y
            && other.low.y <= self.high.y
    }
    pub(crate) fn holds(&self, p: Point) -> bool {
        self.meets(&Self { low: p, high: p })
    }
    pub(crate) fn size(&self) -> Vector {
        self.high - self.low
    }
    pub(crate) fn area(&self) -> Area {
        Area::new(self.low.x, self.low.y, self.high.x, self.high.y)
    }
}

/// The parts that hold everything that found no place, each as small as may be; parts that meet are one.
pub(crate) fn parts(
    report: &Report<'_>,
    unplaced: &Unplaced,
    projection: &Projection,
) -> Vec<Part> {
    let roof = report.roof();
    let around = AROUND / projection.scale.mm_per_foot();
    let chains = unplaced
        .chains
        .iter()
        .filter_map(|c| Part::of_points([c.start.plan(), c.end.plan()]));
    let faces = unplaced.faces.iter().filter_map(|&i| {
        let corners = roof.faces[i].outline.corners.iter();
        Part::of_points(corners.map(|c| c.plan()))
    });
    let mut parts: Vec<Part> = Vec::new();
    for part in chains.chain(faces).map(|p| p.grown(around)) {
        let mut whole = part;
        // A part that grew may meet others that it did not before.
        while let Some(i) = parts.iter().position(|other| other.meets(&whole)) {
            whole = whole.with(parts.remove(i));
        }
        parts.push(whole);
    }
    // As read: from the top left.
    parts.sort_by(|a, b| {
        b.high
            .y
            .total_cmp(&a.high.y)
            .then(a.low.x.total_cmp(&b.low.x))
    });
    parts
}

/// What a detail shows: the edges that run through the part, cut to it, and the faces seen in it.
pub(crate) fn scope(report: &Report<'_>, part: &Part, chains: &[Chain]) -> Scope {
    let cut = chains
        .iter()
        .filter_map(|chain| {
            let (from, to) = part
                .area()
                .clip_segment(chain.start.plan(), chain.end.plan())?;
            let along = |t: f64| {
                let z = chain.start.z + (chain.end.z - chain.start.z) * t;
                chain.start.plan().lerp(chain.end.plan(), t).at_height(z)
            };
            Some(Chain {
                start: along(from),
                end: along(to),
                is_cut: chain.is_cut || from > 0.0 || to < 1.0,
                ..chain.clone()
            })
        })
        .collect();
    let faces = (0..report.roof().faces.len())
        .filter(|&i| seen::seen(report.roof(), i, Some(part)).is_some())
        .collect();
    Scope {
        chains: cut,
        faces,
        part: Some(*part),
        elsewhere: Vec::new(),
    }
}

/// The scales to try for a detail, from the smallest that helps to the largest that fits the room.
pub(crate) fn scales(
    units: OutputUnits,
    plan: DrawingScale,
    part: &Part,
    room: (f64, f64),
) -> Vec<DrawingScale> {
    let size = part.size();
    let mut all: Vec<DrawingScale> = DrawingScale::standard(units)
        .iter()
        .copied()
        .filter(|s| s.ratio < plan.ratio && s.ratio >= LARGEST_RATIO)
        .filter(|s| {
            let k = s.mm_per_foot();
            size.x * k + 2.0 * ROOM <= room.0 && size.y * k + 2.0 * ROOM <= room.1
        })
        .collect();
    all.reverse();
    // Where something twice as large fits, what is hardly larger is not worth a second look.
    if all
        .iter()
        .any(|s| s.ratio * LEAST_ENLARGEMENT <= plan.ratio)
    {
        all.retain(|s| s.ratio * LEAST_ENLARGEMENT <= plan.ratio);
    }
    all
}

/// A part cut into halves until each can be drawn so much larger than the plan that it helps: a detail that holds most of
/// a roof would only be the plan again.
pub(crate) fn divided(
    units: OutputUnits,
    plan: DrawingScale,
    part: Part,
    room: (f64, f64),
) -> Vec<Part> {
    /// No part is cut more often than this.
    const CUTS: u32 = 4;
    fn cut(part: Part, helps: &impl Fn(&Part) -> bool, room: (f64, f64), cuts: u32) -> Vec<Part> {
        if cuts == 0 || helps(&part) {
            return vec![part];
        }
        let (middle, size) = (part.low.midpoint(part.high), part.size());
        // Across the side that is longer for the sheet.
        let (a, b) = if size.x / room.0 > size.y / room.1 {
            (
                Point::new(middle.x, part.high.y),
                Point::new(middle.x, part.low.y),
            )
        } else {
            (
                Point::new(part.high.x, middle.y),
                Point::new(part.low.x, middle.y),
            )
        };
        let halves = [
            Part {
                low: part.low,
                high: a,
            },
            Part {
                low: b,
                high: part.high,
            },
        ];
        halves
            .into_iter()
            .flat_map(|half| cut(half, helps, room, cuts - 1))
            .collect()
    }
    let helps = |part: &Part| {
        let larger = scales(units, plan, part, room);
        // The largest scale of all has nothing larger.
        plan.ratio <= LARGEST_RATIO
            || larger
                .iter()
                .any(|s| s.ratio * LEAST_ENLARGEMENT <= plan.ratio)
    };
    cut(part, &helps, room, CUTS)
}

/// The name of a detail.
pub(crate) fn name(index: usize) -> String {
    let letter = char::from(b'A' + (index % 26) as u8);
    if index < 26 {
        letter.to_string()
    } else {
        format!("{letter}{}", index / 26 + 1)
    }
}

/// Draws the lines round parts on the plan, broken where they would run through a label, with the details' names, lettered
/// from the `first` on.
pub(super) fn mark(
    canvas: &mut Canvas<'_>,
    field: &mut Field,
    projection: &Projection,
    parts: &[Part],
    first: usize,
) {
    let areas: Vec<Area> = parts
        .iter()
        .map(|part| {
            let (low, high) = (projection.paper(part.low), projection.paper(part.high));
            Area::new(low.x, low.y, high.x, high.y)
        })
        .collect();
    let sides = |area: &Area| {
        let corners = area.corners();
        [0, 1, 2, 3].map(|i| (corners[i], corners[(i + 1) % 4]))
    };
    canvas.on(Layer::Details);
    // All lines are known before the first name finds its place, and all names before the first line is broken at them.
    for (a, b) in areas.iter().flat_map(sides) {
        field.add_line(a, b, BOUNDARY.width);
    }
    for (i, area) in areas.iter().enumerate() {
        let text = name_of(canvas, field, *area, first + i);
        field.add_box(Slanted::of(&text));
        canvas.put_text(text);
    }
    for (a, b) in areas.iter().flat_map(sides) {
        broken_line(canvas, field, a, b);
    }
}

/// The name of a detail at its boundary: clear of everything, else of other labels, else under its corner.
fn name_of(canvas: &Canvas<'_>, field: &Field, area: Area, index: usize) -> Text {
    let style = TextStyle::new(1.8).bold().align(Align::Middle);
    let label = format!("Detail {}", name(index));
    let set_at = |at| Text::new(canvas.fonts, at, style, &label);
    let places = places_for_name(area);
    let texts = || places.iter().map(|&at| set_at(at));
    texts()
        .find(|text| field.is_clear(&Slanted::of(text)))
        .or_else(|| texts().find(|text| field.is_clear_of_boxes(&Slanted::of(text))))
        .unwrap_or_else(|| set_at(Point::new(area.left, area.bottom - 2.6)))
}

/// Under the boundary, above it, then beside and inside; last where that is crowded, a line farther off each time.
fn places_for_name(area: Area) -> Vec<Point> {
    const LINE: f64 = 2.6;
    let mut places = Vec::new();
    let steps = 9;
    for lines in 0..4 {
        let off = LINE * f64::from(lines);
        for i in 0..=steps {
            let x = area.left + area.width() * f64::from(i) / f64::from(steps);
            for y in [
                area.bottom - LINE - off,
                area.top + 1.1 + off,
                area.bottom + 1.1 + off,
            ] {
                places.push(Point::new(x, y));
            }
        }
        for i in 0..=steps {
            let y = area.bottom + area.height() * f64::from(i) / f64::from(steps);
            for x in [area.right + 7.0 + off, area.left - 7.0 - off] {
                places.push(Point::new(x, y));
            }
        }
    }
    places
}

/// A line that leaves out what labels cover.
fn broken_line(canvas: &mut Canvas<'_>, field: &Field, a: Point, b: Point) {
    const STEP: f64 = 0.5;
    let steps = (a.distance(b) / STEP).ceil().max(1.0) as usize;
    let at = |i: usize| a.lerp(b, i as f64 / steps as f64);
    let mut start: Option<usize> = None;
    for i in 0..steps {
        let clear = field.line_is_clear_of_boxes(at(i), at(i + 1));
        match (clear, start) {
            (true, None) => start = Some(i),
            (false, Some(from)) => {
                canvas.line(at(from), at(i), BOUNDARY);
                start = None;
            }
            _ => {}
        }
    }
    if let Some(from) = start {
        canvas.line(at(from), b, BOUNDARY);
    }
}
