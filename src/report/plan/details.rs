//! Details: the parts of a plan that are too small for their labels, drawn again at a larger scale.

use std::collections::BTreeMap;

use super::chain::Chain;
use super::finding_marks::lattice;
use super::place::{Field, Slanted, nearest_first};
use super::scale::{DrawingScale, Projection};
use super::{Scope, Unplaced, seen};
use crate::geometry::{Point, Sets, Vector};
use crate::report::canvas::{Align, Area, Canvas, Layer, Pen, Text, TextStyle};
use crate::report::{OutputUnits, Report};
use crate::roof::Face;

/// Room round a part for dimensions and leaders, in mm of paper.
pub(crate) const ROOM: f64 = 13.0;
/// A part reaches this far beyond what it must show, in mm of the plan's paper.
const AROUND: f64 = 4.0;
/// What is drawn of it reaches so far beyond the edges in it, in mm of the plan's paper: labels have their own room.
const AROUND_DRAWN: f64 = 1.5;
/// The dash-dot line round a part.
const BOUNDARY: Pen = Pen::dashed(0.25, &[4.0, 0.9, 0.7, 0.9]);
/// A detail is drawn at least so many times as large as the plan, and no larger than this ratio.
const LEAST_ENLARGEMENT: f64 = 1.9;
const LARGEST_RATIO: f64 = 16.0;

/// A building no longer than this on the plan's paper, in mm, is drawn whole or not at all: a piece of it says little.
const SMALL_BUILDING: f64 = 45.0;
/// The same of a dormer, whose foot alone says little.
const SMALL_GROUP: f64 = 30.0;

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
    fn holds_all_of(&self, other: &Self) -> bool {
        self.holds(other.low) && self.holds(other.high)
    }
    pub(crate) fn holds(&self, p: Point) -> bool {
        self.meets(&Self { low: p, high: p })
    }
    pub(crate) fn size(&self) -> Vector {
        self.high - self.low
    }
    fn is_within(&self, longest_ft: f64) -> bool {
        self.size().x.max(self.size().y) <= longest_ft
    }
    pub(crate) fn area(&self) -> Area {
        Area::new(self.low.x, self.low.y, self.high.x, self.high.y)
    }
}

/// The buildings that are small on the plan's paper.
pub(crate) fn small_buildings(report: &Report<'_>, scale: DrawingScale) -> Vec<Part> {
    together(report, SMALL_BUILDING / scale.mm_per_foot(), |_| true)
}

/// The dormers and the like: small faces that share edges.
fn small_groups(report: &Report<'_>, scale: DrawingScale) -> Vec<Part> {
    let longest = SMALL_GROUP / scale.mm_per_foot();
    together(report, longest, |face| {
        let corners = face.outline.corners.iter().map(|c| c.plan());
        Part::of_points(corners).is_some_and(|part| part.is_within(longest))
    })
}

/// Faces that share edges, of those that count, where all of them together are no longer than so many feet.
fn together(report: &Report<'_>, longest_ft: f64, counts: impl Fn(&Face) -> bool) -> Vec<Part> {
    let roof = report.roof();
    let mut joined = Sets::new(roof.faces.len());
    for edge in &roof.edges {
        if let [one, other] = edge.faces[..]
            && counts(roof.face(one))
            && counts(roof.face(other))
        {
            joined.join(one.0, other.0);
        }
    }
    let mut buildings: BTreeMap<usize, Part> = BTreeMap::new();
    for (face, building) in roof.faces.iter().zip(joined.numbered()) {
        if !counts(face) {
            continue;
        }
        let corners = face.outline.corners.iter().map(|c| c.plan());
        if let Some(part) = Part::of_points(corners) {
            let whole = buildings.entry(building).or_insert(part);
            *whole = whole.with(part);
        }
    }
    let all = buildings.into_values();
    all.filter(|part| part.is_within(longest_ft)).collect()
}

/// The parts that hold everything that found no place, each as small as may be, small buildings whole; parts that meet
/// are one.
pub(crate) fn parts(
    report: &Report<'_>,
    unplaced: &Unplaced,
    projection: &Projection,
) -> Vec<Part> {
    let roof = report.roof();
    let around = AROUND / projection.scale.mm_per_foot();
    let buildings = small_buildings(report, projection.scale);
    let groups = small_groups(report, projection.scale);
    let shown = |part: Part| {
        let wholes = buildings.iter().chain(&groups);
        let whole = wholes.copied().find(|b| b.holds_all_of(&part));
        whole.unwrap_or(part).grown(around)
    };
    let chains = unplaced
        .chains
        .iter()
        .filter_map(|c| Part::of_points([c.start.plan(), c.end.plan()]));
    let faces = unplaced.faces.iter().filter_map(|&i| {
        let corners = roof.faces[i].outline.corners.iter();
        Part::of_points(corners.map(|c| c.plan()))
    });
    let mut parts: Vec<Part> = Vec::new();
    for part in chains.chain(faces).map(shown) {
        let mut whole = part;
        loop {
            // A part that grew may meet others that it did not before, and cut another small building.
            while let Some(i) = parts.iter().position(|other| other.meets(&whole)) {
                whole = whole.with(parts.remove(i));
            }
            let cut = |b: &&Part| b.meets(&whole) && !whole.holds_all_of(b);
            let Some(building) = buildings.iter().find(cut) else {
                break;
            };
            whole = whole.with(building.grown(around));
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

/// What a part holds of the roof's edges, with less room round it: a boundary keeps off the edges on the plan, where a
/// detail needs none.
pub(crate) fn trimmed(part: &Part, chains: &[Chain], scale: DrawingScale) -> Part {
    let ends = chains.iter().filter_map(|chain| {
        let (a, b) = (chain.start.plan(), chain.end.plan());
        let (from, to) = part.area().clip_segment(a, b)?;
        Some([a.lerp(b, from), a.lerp(b, to)])
    });
    let Some(held) = Part::of_points(ends.flatten()) else {
        return *part;
    };
    let held = held.grown(AROUND_DRAWN / scale.mm_per_foot());
    Part {
        low: Point::new(held.low.x.max(part.low.x), held.low.y.max(part.low.y)),
        high: Point::new(held.high.x.min(part.high.x), held.high.y.min(part.high.y)),
    }
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
/// a roof would only be the plan again. It is cut beside small buildings rather than through one.
pub(crate) fn divided(
    units: OutputUnits,
    plan: DrawingScale,
    part: Part,
    room: (f64, f64),
    buildings: &[Part],
) -> Vec<Part> {
    /// No part is cut more often than this.
    const CUTS: u32 = 4;
    fn cut(
        part: Part,
        helps: &impl Fn(&Part) -> bool,
        (room, buildings): ((f64, f64), &[Part]),
        cuts: u32,
    ) -> Vec<Part> {
        if cuts == 0 || helps(&part) {
            return vec![part];
        }
        let size = part.size();
        // Across the side that is longer for the sheet.
        let (a, b) = if size.x / room.0 > size.y / room.1 {
            let sides = |p: &Part| (p.low.x, p.high.x);
            let x = place_of_cut(sides(&part), buildings.iter().map(sides));
            (Point::new(x, part.high.y), Point::new(x, part.low.y))
        } else {
            let sides = |p: &Part| (p.low.y, p.high.y);
            let y = place_of_cut(sides(&part), buildings.iter().map(sides));
            (Point::new(part.high.x, y), Point::new(part.low.x, y))
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
            .flat_map(|half| cut(half, helps, (room, buildings), cuts - 1))
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
    let within: Vec<Part> = buildings
        .iter()
        .copied()
        .filter(|building| building.meets(&part))
        .collect();
    cut(part, &helps, (room, &within), CUTS)
}

/// Where a part from one coordinate to another is cut: in the middle of the gap between buildings that is nearest to its
/// own middle; in its middle where no gap is near.
fn place_of_cut(
    (from, to): (f64, f64),
    buildings: impl Iterator<Item = (f64, f64)> + Clone,
) -> f64 {
    let middle = (from + to) / 2.0;
    let is_near = |at: f64| (at - middle).abs() <= (to - from) / 4.0;
    let cuts_none = |at: f64| !buildings.clone().any(|(low, high)| low < at && at < high);
    if cuts_none(middle) {
        return middle;
    }
    // Every gap begins at the upper side of a building.
    let gaps = buildings.clone().filter_map(|(_, begin)| {
        let lows = buildings.clone().map(|(low, _)| low);
        let end = lows.filter(|low| *low >= begin).fold(to, f64::min);
        let at = (begin + end) / 2.0;
        (cuts_none(at) && is_near(at)).then_some(at)
    });
    let off = |at: f64| (at - middle).abs();
    gaps.min_by(|a, b| off(*a).total_cmp(&off(*b)))
        .unwrap_or(middle)
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

/// The style of a detail's name at its boundary.
fn name_style() -> TextStyle {
    TextStyle::new(1.8).bold().align(Align::Middle)
}

/// Draws the lines round parts on the plan, broken where they would run through a label, and keeps room for the name of
/// each; returns where the names stand. Which sheet a detail is on is known only when all have their place: `longest` is
/// the longest name that one may get, with a sheet and without.
pub(super) fn mark(
    canvas: &mut Canvas<'_>,
    field: &mut Field,
    projection: &Projection,
    parts: &[Part],
    longest: &LongestName,
) -> Vec<NamePlace> {
    let areas: Vec<Area> = parts
        .iter()
        .map(|part| {
            let (low, high) = (projection.paper(part.low), projection.paper(part.high));
            Area::new(low.x, low.y, high.x, high.y)
        })
        .collect();
    let areas: Vec<Area> = areas
        .into_iter()
        .map(|area| off_labels(field, area))
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
    let mut names = Vec::new();
    for area in &areas {
        let (text, is_short) = room_for_name(canvas, field, *area, longest);
        field.add_box(Slanted::of(&text));
        names.push(NamePlace {
            at: text.start + Vector::new(text.width / 2.0, 0.0),
            is_short,
        });
    }
    for (a, b) in areas.iter().flat_map(sides) {
        broken_line(canvas, field, a, b);
    }
    names
}

/// A boundary stands at most so far outside its part, in mm, where labels would else break it ...
const FARTHEST_OUT: f64 = 6.0;
/// ... and so much of it may be broken for a mm that it stands nearer, in mm.
const BROKEN_FOR_A_MM: f64 = 0.3;

/// A boundary with every side moved out to where it is broken least.
fn off_labels(field: &Field, area: Area) -> Area {
    const STEP: f64 = 0.75;
    let mut best = area;
    for side in 0..4 {
        let moved = |out: f64| match side {
            0 => Area {
                bottom: best.bottom - out,
                ..best
            },
            1 => Area {
                right: best.right + out,
                ..best
            },
            2 => Area {
                top: best.top + out,
                ..best
            },
            _ => Area {
                left: best.left - out,
                ..best
            },
        };
        let broken = |area: &Area| {
            let corners = area.corners();
            let sides = [0, 1, 2, 3].map(|i| (corners[i], corners[(i + 1) % 4]));
            let covered = sides.into_iter().flat_map(|(a, b)| stretches(field, a, b));
            let covered = covered.filter(|(_, _, is_clear)| !is_clear);
            covered.map(|(a, b, _)| a.distance(b)).sum::<f64>()
        };
        let steps = (FARTHEST_OUT / STEP) as u32;
        let tried = (0..=steps).map(|i| f64::from(i) * STEP);
        let held = tried.map(|out| (out, moved(out)));
        let held = held.filter(|(_, area)| area.corners().iter().all(|&c| field.holds(c)));
        let cost = |(out, area): &(f64, Area)| broken(area) + BROKEN_FOR_A_MM * out;
        let least = held.min_by(|a, b| cost(a).total_cmp(&cost(b)));
        best = least.map_or(best, |(_, area)| area);
    }
    best
}

/// The longest names that a detail may get.
#[derive(Clone, Debug)]
pub(crate) struct LongestName {
    /// With the sheet it is on.
    pub(crate) with_sheet: String,
    /// Without.
    pub(crate) short: String,
}

/// Where a detail's name stands at its boundary.
#[derive(Clone, Copy, Debug)]
pub(crate) struct NamePlace {
    /// The middle of its baseline, in mm.
    pub(crate) at: Point,
    /// Whether there is no room for the sheet that the detail is on.
    pub(crate) is_short: bool,
}

/// Writes a detail's name where room was kept for it, with the sheet it is on where that is another one.
pub(crate) fn write_name(canvas: &mut Canvas<'_>, at: Point, name: &str) {
    canvas.on(Layer::Details);
    canvas.text(at, name_style(), name);
}

/// What stands at the boundary of a detail on this sheet, or on another one.
pub(crate) fn label(index: usize, sheet: Option<usize>) -> String {
    match sheet {
        None => format!("Detail {}", name(index)),
        Some(sheet) => format!("Detail {}, sheet {sheet}", name(index)),
    }
}

/// The place of a name of a detail at its boundary, and whether it is short: clear of everything, without its sheet where
/// that finds no room, then a little farther off; else clear of other labels; then as near as there is room at all.
fn room_for_name(
    canvas: &Canvas<'_>,
    field: &Field,
    area: Area,
    longest: &LongestName,
) -> (Text, bool) {
    let set_at = |at, name: &str| Text::new(canvas.fonts, at, name_style(), name);
    let is_off_labels = |text: &Text| {
        let b = Slanted::of(text);
        field.is_inside(&b) && field.is_clear_of_boxes(&b)
    };
    let places = places_for_name(area);
    let names = [(&longest.with_sheet, false), (&longest.short, true)];
    let is_clear = |text: &Text| field.is_clear(&Slanted::of(text));
    let middle = area.center();
    let near = area.inset(-FARTHEST_NAME);
    let farther = lattice(field.bounds()).filter(|at| near.holds(*at));
    let farther = nearest_first(farther, middle);
    type Suits<'s> = &'s dyn Fn(&Text) -> bool;
    let finds: [(&[Point], Suits<'_>); 3] = [
        (&places, &is_clear),
        (&farther, &is_clear),
        (&places, &is_off_labels),
    ];
    for (places, suits) in finds {
        for (name, is_short) in names {
            let mut texts = places.iter().map(|&at| set_at(at, name));
            if let Some(text) = texts.find(|text| suits(text)) {
                return (text, is_short);
            }
        }
    }
    let anywhere = lattice(field.bounds()).map(|at| set_at(at, &longest.short));
    let off = |text: &Text| Slanted::of(text).center.distance(middle);
    let text = anywhere
        .filter(is_off_labels)
        .min_by(|a, b| off(a).total_cmp(&off(b)))
        .unwrap_or_else(|| set_at(Point::new(area.left, area.bottom - 2.6), &longest.short));
    (text, true)
}

/// A name stands no farther than this outside its boundary, in mm, where nothing else tells which one it names.
const FARTHEST_NAME: f64 = 9.0;

/// Under the boundary, above it, then beside and inside; last where that is crowded, a line farther off each time.
fn places_for_name(area: Area) -> Vec<Point> {
    const LINE: f64 = 2.6;
    /// From a boundary to the middle of a name beside it.
    const BESIDE: f64 = 11.5;
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
            for x in [area.right + BESIDE + off, area.left - BESIDE - off] {
                places.push(Point::new(x, y));
            }
        }
    }
    places
}

/// A line that leaves out what labels cover.
fn broken_line(canvas: &mut Canvas<'_>, field: &Field, a: Point, b: Point) {
    for (from, to, is_clear) in stretches(field, a, b) {
        if is_clear {
            canvas.line(from, to, BOUNDARY);
        }
    }
}

/// The stretches of a line that labels cover and those that they leave, in order.
fn stretches(field: &Field, a: Point, b: Point) -> Vec<(Point, Point, bool)> {
    const STEP: f64 = 0.5;
    let steps = (a.distance(b) / STEP).ceil().max(1.0) as usize;
    let at = |i: usize| a.lerp(b, i as f64 / steps as f64);
    let mut out: Vec<(Point, Point, bool)> = Vec::new();
    for i in 0..steps {
        let is_clear = field.line_is_clear_of_boxes(at(i), at(i + 1));
        match out.last_mut() {
            Some((_, end, as_before)) if *as_before == is_clear => *end = at(i + 1),
            _ => out.push((at(i), at(i + 1), is_clear)),
        }
    }
    out
}

#[cfg(test)]
#[allow(clippy::panic, reason = "tests may stop the run")]
mod tests {
    use super::*;
    use crate::report::canvas::Fonts;

    /// Paper of 100 × 100 mm with labels all over it but for `free`, and a detail in its middle; the name's box and
    /// whether it is short.
    fn named_beside(free: Area) -> (Slanted, bool) {
        let fonts = Fonts::load().unwrap_or_else(|f| panic!("{}", f.message));
        let mut field = Field::new(Area::new(0.0, 0.0, 100.0, 100.0));
        let taken = [
            Area::new(0.0, 0.0, free.left, 100.0),
            Area::new(free.right, 0.0, 100.0, 100.0),
            Area::new(free.left, 0.0, free.right, free.bottom),
            Area::new(free.left, free.top, free.right, 100.0),
        ];
        for area in taken {
            field.add_box(Slanted::upright(area));
        }
        let longest = LongestName {
            with_sheet: label(0, Some(2)),
            short: label(0, None),
        };
        let detail = Area::new(46.0, 40.0, 54.0, 60.0);
        let canvas = Canvas::new(fonts);
        let (text, is_short) = room_for_name(&canvas, &field, detail, &longest);
        let name = Slanted::of(&text);
        assert!(field.is_clear_of_boxes(&name), "{}", text.content);
        (name, is_short)
    }

    #[test]
    fn a_boundary_moves_out_from_under_labels_that_would_break_it() {
        let mut field = Field::new(Area::new(0.0, 0.0, 100.0, 100.0));
        let part = Area::new(40.0, 40.0, 60.0, 60.0);
        // A label along the whole left side, 2 mm wide: with its clearance the side goes past its left edge at 38.5.
        field.add_box(Slanted::upright(Area::new(38.5, 38.0, 40.5, 62.0)));
        let boundary = off_labels(&field, part);
        assert!(
            boundary.left < 38.5 && boundary.left > 35.0,
            "{}",
            boundary.left
        );
        assert!((boundary.right - 60.0).abs() < 1e-9);
        let corners = boundary.corners();
        let left = stretches(&field, corners[3], corners[0]);
        assert!(left.iter().all(|(_, _, is_clear)| *is_clear));
    }

    #[test]
    fn a_detail_whose_name_with_its_sheet_finds_no_room_has_its_letter_alone() {
        // The longer name is some 20 mm long, the shorter one 10 mm.
        assert!(!named_beside(Area::new(20.0, 20.0, 80.0, 80.0)).1);
        assert!(named_beside(Area::new(42.0, 0.0, 58.0, 100.0)).1);
    }

    #[test]
    fn where_labels_stand_all_round_a_detail_its_name_stands_where_there_is_room() {
        let (name, is_short) = named_beside(Area::new(70.0, 2.0, 98.0, 12.0));
        assert!(is_short);
        assert!(name.center.x > 70.0 && name.center.y < 12.0);
    }
}
