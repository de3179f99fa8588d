//! Match lines: where the drawing of a divided roof goes on on another sheet.

use super::division::{Division, Meeting};
use super::edge_labels::upright;
use super::place::{Field, Slanted};
use super::scale::Projection;
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Align, Area, Canvas, Layer, Pen, Text, TextStyle};

/// A heavy line of long dashes: drafting practice for match lines, no one standard.
const MATCH_LINE: Pen = Pen::dashed(0.7, &[12.0, 2.0]);
/// How far it runs on past the part, and how far its words stand off, in mm.
const OVERSHOOT: f64 = 5.0;
const WORDS_OFF: f64 = 1.6;
/// Nothing stands farther beyond a match line than its words do.
const BEYOND: f64 = 300.0;

/// The ends of a match line on paper, read from the left or from below, with its overshoot at both ends.
fn on_paper(meeting: &Meeting, projection: &Projection) -> Option<(Point, Point)> {
    let (a, b) = meeting.ends;
    let (a, b) = super::edge_labels::in_reading_order(projection.paper(a), projection.paper(b));
    let along = (b - a).unit()? * OVERSHOOT;
    Some((a - along, b + along))
}

/// Draws the match lines of a section, each with the sheet that goes on, and keeps labels from what lies beyond.
pub(crate) fn draw(
    canvas: &mut Canvas<'_>,
    meetings: &[Meeting],
    sheet_of: impl Fn(usize) -> usize,
    projection: &Projection,
    field: &mut Field,
    text: f64,
) {
    canvas.on(Layer::MatchLines);
    let lines: Vec<(&Meeting, Point, Point)> = meetings
        .iter()
        .filter_map(|meeting| on_paper(meeting, projection).map(|(a, b)| (meeting, a, b)))
        .collect();
    for &(_, a, b) in &lines {
        canvas.line(a, b, MATCH_LINE);
        field.add_line(a, b, MATCH_LINE.width);
    }
    for &(meeting, a, b) in &lines {
        let words = format!("Match line – see sheet {}", sheet_of(meeting.other));
        let text = beside(canvas, field, (a, b, meeting.beyond), &words, text);
        field.add_box(Slanted::of(&text));
        canvas.put_text(text);
    }
    for (meeting, a, b) in lines {
        field.add_box(beyond(a, b, meeting.beyond));
    }
}

/// Draws one match line from below upwards, beyond which another sheet goes on.
pub(crate) fn draw_one(
    canvas: &mut Canvas<'_>,
    (a, b, beyond): (Point, Point, Vector),
    sheet: usize,
    field: &mut Field,
) {
    let over = Vector::new(0.0, OVERSHOOT);
    let (a, b) = (a - over, b + over);
    canvas.on(Layer::MatchLines).line(a, b, MATCH_LINE);
    field.add_line(a, b, MATCH_LINE.width);
    let words = format!("Match line – see sheet {sheet}");
    let text = beside(canvas, field, (a, b, beyond), &words, 1.8);
    field.add_box(Slanted::of(&text));
    canvas.put_text(text);
}

/// The words beyond a match line, along it: in the middle, or slid to where nothing is in the way.
fn beside(
    canvas: &Canvas<'_>,
    field: &Field,
    (a, b, way): (Point, Point, Vector),
    words: &str,
    text: f64,
) -> Text {
    let along = (b - a).unit().unwrap_or(way);
    let height = text * 2.5 / 1.8;
    // Above the line as read, or under it: beyond it in any case.
    let above = along.turn_left().dot(way) > 0.0;
    let off = if above { WORDS_OFF } else { WORDS_OFF + height };
    let style = TextStyle::new(height)
        .bold()
        .align(Align::Middle)
        .turned(upright(along.y.atan2(along.x).to_degrees()));
    let at = |slide: f64| {
        let base = a.midpoint(b) + way * off + along * slide;
        Text::new(canvas.fonts, base, style, words)
    };
    slides()
        .map(|k| at(k * 2.0))
        .find(|text| field.is_clear(&Slanted::of(text)))
        .unwrap_or_else(|| at(0.0))
}

/// From the middle in turn to both sides.
fn slides() -> impl Iterator<Item = f64> {
    (0..40).map(|i| f64::from((i + 1) / 2) * if i % 2 == 0 { 1.0 } else { -1.0 })
}

/// All that lies beyond a match line.
fn beyond(a: Point, b: Point, way: Vector) -> Slanted {
    let along = (b - a).unit().unwrap_or(way) * BEYOND;
    let far = way * BEYOND;
    let corners = [a - along, b + along, a - along + far, b + along + far];
    let low = |f: fn(&Point) -> f64| corners.iter().map(f).fold(f64::INFINITY, f64::min);
    let high = |f: fn(&Point) -> f64| corners.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
    Slanted::upright(Area::new(
        low(|p| p.x),
        low(|p| p.y),
        high(|p| p.x),
        high(|p| p.y),
    ))
}

/// Draws all match lines of a divided roof on the plan of the whole, before its labels, and names the sheet of each
/// section.
pub(crate) fn draw_all(
    canvas: &mut Canvas<'_>,
    division: &Division,
    sheet_of: impl Fn(usize) -> usize,
    projection: &Projection,
    field: &mut Field,
    text: f64,
) {
    canvas.on(Layer::MatchLines);
    for index in 0..division.sections.len() {
        // Each once: from the section that comes first.
        for meeting in division.meetings(index) {
            let Some((a, b)) = on_paper(&meeting, projection).filter(|_| meeting.other > index)
            else {
                continue;
            };
            canvas.line(a, b, MATCH_LINE);
            field.add_line(a, b, MATCH_LINE.width);
        }
    }
    let style = TextStyle::new(text * 2.5 / 1.8).bold().align(Align::Middle);
    for (index, section) in division.sections.iter().enumerate() {
        let (low, high) = (
            projection.paper(section.part.low),
            projection.paper(section.part.high),
        );
        let words = format!("Sheet {}", sheet_of(index));
        let place = places(low, high, style.height).find_map(|at| {
            let text = Text::new(canvas.fonts, at, style, &words);
            field.is_clear(&Slanted::of(&text)).then_some(text)
        });
        if let Some(text) = place {
            field.add_box(Slanted::of(&text));
            canvas.put_text(text);
        }
    }
}

/// Above a section, below it, then inside.
fn places(low: Point, high: Point, height: f64) -> impl Iterator<Item = Point> {
    let middle = low.midpoint(high);
    let outside = [high.y + 3.0, low.y - 3.0 - height];
    let inside = slides().map(move |k| middle.y + k * 2.5);
    outside
        .into_iter()
        .chain(inside)
        .flat_map(move |y| slides().map(move |k| Point::new(middle.x + k * 2.0, y)))
        .filter(move |p| p.x > low.x && p.x < high.x)
}
