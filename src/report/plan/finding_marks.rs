//! The places of findings that somebody should look at: a circle, and a diamond with the finding's number. The only
//! marks in colour; the number makes them work in black as well.

use super::details::Part;
use super::edge_labels::around;
use super::extent;
use super::line_types::THIN_LINE;
use super::place::{Field, Slanted};
use super::scale::Projection;
use crate::geometry::{Point, Vector};
use crate::report::Report;
use crate::report::canvas::{Align, Area, Canvas, Ink, Layer, Pen, TextStyle};
use crate::{Finding, Severity};

/// Half the width of a diamond, in mm.
pub(crate) const DIAMOND: f64 = 2.9;
/// Radius of the circle at the place.
const CIRCLE: f64 = 1.6;

/// Radius of the dot at a place beside which a label leaves no room for the circle.
const DOT: f64 = 0.6;

/// More than this among the lengths, and neither can be followed.
const MOST_AMONG_LENGTHS: usize = 8;

/// What lies farther from the roof than this share of its longer side is on no plan of it, and crowds none.
const BESIDE_SHARE: f64 = 0.125;

/// Whether the findings are so many that they get a plan of their own.
pub(crate) fn need_a_sheet(report: &Report<'_>) -> bool {
    let Some((low, high)) = extent(report) else {
        return false;
    };
    let beside = BESIDE_SHARE * (high.x - low.x).max(high.y - low.y);
    let shown = Area::new(low.x, low.y, high.x, high.y).inset(-beside);
    let on_plan = placed(report).filter(|(_, at)| shown.holds(*at));
    on_plan.count() > MOST_AMONG_LENGTHS
}

/// The warnings that have a place: number and first place.
fn placed<'a>(report: &'a Report<'_>) -> impl Iterator<Item = (usize, Point)> + 'a {
    warnings(report).filter_map(|(number, finding)| Some((number, places(finding).next()?)))
}

/// The warnings with their numbers.
fn warnings<'a>(report: &'a Report<'_>) -> impl Iterator<Item = (usize, &'a Finding)> {
    let findings = (1..).zip(report.findings().iter().copied());
    findings.filter(|(_, finding)| finding.severity >= Severity::Warning)
}

fn places(finding: &Finding) -> impl Iterator<Item = Point> {
    finding.places.iter().filter_map(|place| place.at)
}

/// The marks of a plan. Where the roof is divided over sheets every place of a finding on a sheet is marked, since its first
/// place may be on another; a plan of the whole shows the first, and the table of findings says the others.
fn marked(report: &Report<'_>, part: Option<&Part>) -> Vec<(usize, Point)> {
    let Some(part) = part else {
        return placed(report).collect();
    };
    let all = warnings(report);
    all.flat_map(|(number, finding)| places(finding).map(move |at| (number, at)))
        .filter(|(_, at)| part.holds(*at))
        .collect()
}

/// Marks the warnings whose place is on the field: a mark on what else stands on the sheet would say that this is wrong.
pub(super) fn draw(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    part: Option<&Part>,
    projection: &Projection,
    field: &mut Field,
) {
    let mut groups: Vec<(Point, Vec<usize>)> = Vec::new();
    for (number, at) in marked(report, part) {
        let at = projection.paper(at);
        if !field.holds(at) {
            continue;
        }
        match groups
            .iter_mut()
            .find(|(other, _)| other.distance(at) < CIRCLE)
        {
            Some((_, numbers)) if numbers.contains(&number) => {}
            Some((_, numbers)) => numbers.push(number),
            None => groups.push((at, vec![number])),
        }
    }
    for (place, numbers) in groups {
        mark(canvas, field, place, &numbers);
    }
}

/// The diamonds of one place stand in rows of at most so many.
const MOST_IN_ROW: usize = 6;

/// Half the width and height of a block of diamonds.
fn half_block(count: usize) -> Vector {
    let columns = count.min(MOST_IN_ROW);
    Vector::new(columns as f64, count.div_ceil(MOST_IN_ROW) as f64) * DIAMOND
}

fn block(center: Point, count: usize) -> Slanted {
    let (low, high) = (center - half_block(count), center + half_block(count));
    Slanted::upright(Area::new(low.x, low.y, high.x, high.y))
}

/// How a place itself is marked.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Spot {
    Circle,
    Dot,
    /// A label covers it: the line alone ends before it.
    Covered,
}

impl Spot {
    fn of(field: &Field, place: Point) -> Self {
        if field.is_clear_of_boxes(&square(place, CIRCLE)) {
            Self::Circle
        } else if field.is_clear_of_boxes(&square(place, DOT)) {
            Self::Dot
        } else {
            Self::Covered
        }
    }
}

/// The line from a place to the diamond of a block that is nearest to it.
struct Leader {
    foot: Point,
    head: Point,
    /// From the place to the diamond, of length 1.
    toward: Vector,
}

impl Leader {
    fn new(field: &Field, place: Point, spot: Spot, center: Point, count: usize) -> Self {
        let play = half_block(count) - Vector::new(DIAMOND, DIAMOND);
        let to = place - center;
        let nearest =
            center + Vector::new(to.x.min(play.x).max(-play.x), to.y.min(play.y).max(-play.y));
        let toward = (nearest - place).unit().unwrap_or(Vector::new(1.0, 0.0));
        let foot = match spot {
            Spot::Circle => place + toward * CIRCLE,
            Spot::Dot => place,
            Spot::Covered => field.way_out(place, nearest),
        };
        let head = nearest - toward * (0.75 * DIAMOND);
        Self { foot, head, toward }
    }
    fn length(&self) -> f64 {
        (self.head - self.foot).dot(self.toward)
    }
    fn is_clear(&self, field: &Field) -> bool {
        field.line_is_clear_of_boxes(self.foot, self.head)
    }
}

/// Where a block of diamonds goes, and its line can lead to it without crossing a label: near its place; farther off where
/// there is no room, over as few lines as may be.
fn place_for(field: &Field, place: Point, spot: Spot, count: usize) -> Option<Point> {
    let reach = half_block(count).length();
    let clear = |center: &Point| {
        let leader = Leader::new(field, place, spot, *center, count);
        field.is_clear(&block(*center, count))
            && leader.length() > LEAST_LEADER
            && leader.is_clear(field)
    };
    let near = around().map(|(distance, direction)| place + direction * (distance + reach));
    let cost = |center: &Point| {
        center.distance(place) + CROSSING_COST * field.crossings(place, *center) as f64
    };
    near.into_iter().find(clear).or_else(|| {
        let far = lattice(field.bounds()).filter(clear);
        far.min_by(|a, b| cost(a).total_cmp(&cost(b)))
    })
}

/// A line to a diamond is seen from so much on, in mm.
const LEAST_LEADER: f64 = 1.0;

/// A line over another costs as much as so many mm of it.
const CROSSING_COST: f64 = 6.0;

/// Where one diamond goes when no line can lead to it without crossing a label: near its place without a line, rather
/// than nowhere; on the place itself in the end.
fn place_at_any_cost(field: &Field, place: Point) -> Point {
    let clear = |center: &Point| field.is_clear(&block(*center, 1));
    lattice(field.bounds())
        .filter(clear)
        .min_by(|a, b| a.distance(place).total_cmp(&b.distance(place)))
        .unwrap_or(place)
}

/// Places all over an area.
pub(super) fn lattice(area: Area) -> impl Iterator<Item = Point> {
    let count = |length: f64| (length / DIAMOND).floor().max(0.0) as u32;
    let (columns, rows) = (count(area.width()), count(area.height()));
    let step = |i: u32| f64::from(i) * DIAMOND;
    (0..=rows).flat_map(move |row| {
        (0..=columns).map(move |c| Point::new(area.left + step(c), area.bottom + step(row)))
    })
}

fn square(c: Point, r: f64) -> Slanted {
    Slanted::upright(Area::new(c.x - r, c.y - r, c.x + r, c.y + r))
}

/// Marks one place with the numbers of its findings, together where there is room for all of them.
fn mark(canvas: &mut Canvas<'_>, field: &mut Field, place: Point, numbers: &[usize]) {
    let count = numbers.len();
    let spot = Spot::of(field, place);
    let center = match place_for(field, place, spot, count) {
        Some(center) => center,
        None if count > 1 => {
            let (first, second) = numbers.split_at(count / 2);
            mark(canvas, field, place, first);
            mark(canvas, field, place, second);
            return;
        }
        None => place_at_any_cost(field, place),
    };
    canvas.on(Layer::Findings);
    match spot {
        Spot::Circle => {
            canvas.circle(place, CIRCLE, Pen::new(0.35).ink(Ink::Accent));
        }
        Spot::Dot => {
            canvas.fill(vec![dot(place)], Ink::Accent);
        }
        Spot::Covered => {}
    }
    let leader = Leader::new(field, place, spot, center, count);
    let line = THIN_LINE.ink(Ink::Accent);
    // A label under a line cannot be read: where no way to the place is free of them the diamond stands alone near it,
    // and the table of findings says where the place is.
    if leader.length() > 0.0 && leader.is_clear(field) {
        let Leader { foot, head, toward } = leader;
        canvas.line(foot, head, line);
        field.add_line(foot, head, line.width);
        if spot == Spot::Covered {
            // The place is under the label that the line leads to: an arrow says that it goes on there.
            let side = toward.turn_left() * (0.5 * DOT);
            let neck = foot + toward * (2.0 * DOT);
            canvas.fill(vec![vec![foot, neck + side, neck - side]], Ink::Accent);
        }
    }
    let half = half_block(count);
    for (i, &number) in numbers.iter().enumerate() {
        let (column, row) = (i % MOST_IN_ROW, i / MOST_IN_ROW);
        let step = 2.0 * DIAMOND;
        let from = Vector::new(
            DIAMOND + step * column as f64 - half.x,
            half.y - DIAMOND - step * row as f64,
        );
        diamond(canvas, center + from, number);
    }
    match spot {
        Spot::Circle => field.add_box(square(place, CIRCLE)),
        Spot::Dot => field.add_box(square(place, DOT)),
        Spot::Covered => {}
    }
    field.add_box(block(center, count));
}

/// A round dot at a place.
fn dot(place: Point) -> Vec<Point> {
    (0..12_u32)
        .map(|i| {
            let (sin, cos) = (f64::from(i) * std::f64::consts::TAU / 12.0).sin_cos();
            place + Vector::new(cos, sin) * DOT
        })
        .collect()
}

/// A diamond with a number in it.
pub(crate) fn diamond(canvas: &mut Canvas<'_>, center: Point, number: usize) {
    let (across, up) = (Vector::new(DIAMOND, 0.0), Vector::new(0.0, DIAMOND));
    let corners = vec![center + across, center + up, center - across, center - up];
    canvas.fill(vec![corners.clone()], Ink::White);
    canvas.ring(corners, Pen::new(0.5).ink(Ink::Accent));
    let style = TextStyle::new(if number < 10 { 1.8 } else { 1.5 })
        .bold()
        .align(Align::Middle)
        .ink(Ink::Accent);
    let base = center - Vector::new(0.0, style.height / 2.0);
    canvas.text(base, style, &number.to_string());
}
