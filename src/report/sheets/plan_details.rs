//! Sheets of details: parts of the plan at larger scales, set in rows.

use super::frame::Frame;
use super::{Draft, text_height};
use crate::geometry::{Point, Vector};
use crate::report::Report;
use crate::report::canvas::{Area, Canvas, Fonts, Layer, TextStyle};
use crate::report::plan::{self, Chain, DrawingScale, Projection, details};

/// Height of a detail's title.
const TITLE: f64 = 7.0;
/// Between details.
const GAP: f64 = 5.0;

/// A detail with the scale that it is drawn at.
struct Sized {
    part: details::Part,
    scale: DrawingScale,
    width: f64,
    height: f64,
}

/// Draws the details on as many sheets as they need.
pub(super) fn draw<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    size: (f64, f64),
    plan_scale: DrawingScale,
    chains: &[Chain],
    parts: &[details::Part],
) -> Vec<Draft<'f>> {
    let content = Frame::of(size).content;
    let text = text_height(size);
    let mut sheets: Vec<Draft<'f>> = Vec::new();
    let mut pen = Shelf::new(content);
    for (i, part) in parts.iter().enumerate() {
        let sized = choose(report, fonts, plan_scale, chains, part, content, text);
        let (at, fresh) = pen.place(sized.width, sized.height);
        if fresh || sheets.is_empty() {
            sheets.push(Draft {
                title: "Roof plan, details".to_owned(),
                group: None,
                size,
                scale: "as shown".to_owned(),
                canvas: Canvas::new(fonts),
            });
        }
        if let Some(sheet) = sheets.last_mut() {
            detail(&mut sheet.canvas, report, chains, &sized, i, at, text);
        }
    }
    sheets
}

/// Rows of details from the top left.
struct Shelf {
    content: Area,
    x: f64,
    top: f64,
    row: f64,
    begun: bool,
}

impl Shelf {
    fn new(content: Area) -> Self {
        Self {
            content,
            x: content.left,
            top: content.top,
            row: 0.0,
            begun: false,
        }
    }
    /// The top left of the next detail, and whether it begins a new sheet.
    fn place(&mut self, width: f64, height: f64) -> (Point, bool) {
        if self.x > self.content.left && self.x + width > self.content.right {
            self.x = self.content.left;
            self.top -= self.row + GAP;
            self.row = 0.0;
        }
        let fresh =
            self.begun && self.top - height < self.content.bottom && self.top < self.content.top;
        if fresh {
            self.x = self.content.left;
            self.top = self.content.top;
            self.row = 0.0;
        }
        self.begun = true;
        let at = Point::new(self.x, self.top);
        self.x += width + GAP;
        self.row = self.row.max(height);
        (at, fresh)
    }
}

/// The smallest scale at which everything finds its place; the one at which most does where none will do.
fn choose(
    report: &Report<'_>,
    fonts: &Fonts,
    plan_scale: DrawingScale,
    chains: &[Chain],
    part: &details::Part,
    content: Area,
    text: f64,
) -> Sized {
    let room = (content.width(), content.height() - TITLE);
    let mut best: Option<(usize, Sized)> = None;
    for scale in details::scales(report.units(), plan_scale, part, room) {
        let sized = sized(*part, scale);
        let mut scratch = Canvas::new(fonts);
        let missing = paint(&mut scratch, report, chains, &sized, Point::default(), text);
        let better = best.as_ref().is_none_or(|(least, _)| missing < *least);
        if better {
            best = Some((missing, sized));
        }
        if missing == 0 {
            break;
        }
    }
    best.map_or_else(|| sized(*part, plan_scale), |(_, sized)| sized)
}

fn sized(part: details::Part, scale: DrawingScale) -> Sized {
    let k = scale.mm_per_foot();
    Sized {
        part,
        scale,
        width: part.size().x * k + 2.0 * details::ROOM,
        height: part.size().y * k + 2.0 * details::ROOM + TITLE,
    }
}

/// Draws the part under its title; returns how many labels found no place.
fn paint(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    chains: &[Chain],
    sized: &Sized,
    at: Point,
    text: f64,
) -> usize {
    let area = Area::new(at.x, at.y - sized.height, at.x + sized.width, at.y - TITLE);
    let scope = details::scope(report, &sized.part, chains);
    let projection = Projection::centred(sized.scale, sized.part.low, sized.part.high, area);
    plan::draw(canvas, report, &scope, &projection, area, text)
        .unplaced
        .len()
}

fn detail(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    chains: &[Chain],
    sized: &Sized,
    index: usize,
    at: Point,
    text: f64,
) {
    canvas.on(Layer::Details);
    let head = TextStyle::new(2.5 / 1.8 * text).bold();
    let base = at - Vector::new(0.0, head.height);
    let title = canvas.text(base, head, &format!("Detail {}", details::name(index)));
    let beside = base + Vector::new(title.width + 3.0, 0.0);
    canvas.text(beside, TextStyle::new(text), &sized.scale.words());
    paint(canvas, report, chains, sized, at, text);
}
