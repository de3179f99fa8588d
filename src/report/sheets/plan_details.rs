//! Details: parts of the plan at larger scales, beside the plan where there is room, else set in rows on sheets of
//! their own.

use super::frame::Frame;
use super::{Draft, text_height};
use crate::geometry::{Point, Vector};
use crate::report::Report;
use crate::report::canvas::{Area, Canvas, Fonts, Layer, TextStyle};
use crate::report::plan::{self, Chain, DrawingScale, Drawn, Projection, details};

/// Height of a detail's title.
const TITLE: f64 = 7.0;
/// Between details.
const GAP: f64 = 5.0;
/// A title with its scale takes so much.
const LEAST_WIDTH: f64 = 52.0;

/// A detail with its letter and the scale that it is drawn at.
pub(super) struct Sized {
    index: usize,
    part: details::Part,
    scale: DrawingScale,
    width: f64,
    height: f64,
}

/// Draws details of a plan.
pub(super) struct Details<'a, 'f> {
    report: &'a Report<'a>,
    fonts: &'f Fonts,
    size: (f64, f64),
    plan_scale: DrawingScale,
    chains: &'a [Chain],
}

impl<'a, 'f> Details<'a, 'f> {
    pub(super) fn new(
        report: &'a Report<'a>,
        fonts: &'f Fonts,
        size: (f64, f64),
        plan_scale: DrawingScale,
        chains: &'a [Chain],
    ) -> Self {
        Self {
            report,
            fonts,
            size,
            plan_scale,
            chains,
        }
    }

    /// The details of these parts, lettered from the `first` on.
    pub(super) fn sized(&self, parts: &[details::Part], first: usize) -> Vec<Sized> {
        let numbered = parts.iter().enumerate();
        numbered
            .map(|(i, part)| self.choose(part, first + i))
            .collect()
    }

    /// Draws those details on the plan's own sheet that find room there; returns the others.
    pub(super) fn on_plan(
        &self,
        canvas: &mut Canvas<'f>,
        drawn: &mut Drawn,
        sized: Vec<Sized>,
    ) -> Vec<Sized> {
        let mut left = Vec::new();
        for detail in sized {
            match drawn.take_room(detail.width, detail.height) {
                Some(at) => self.draw(canvas, &detail, at),
                None => left.push(detail),
            }
        }
        left
    }

    /// Draws details on as many sheets as they need.
    pub(super) fn sheets(&self, sized: &[Sized]) -> Vec<Draft<'f>> {
        let mut sheets: Vec<Draft<'f>> = Vec::new();
        let mut pen = Shelf::new(Frame::of(self.size).content);
        for detail in sized {
            let (at, fresh) = pen.place(detail.width, detail.height);
            if fresh || sheets.is_empty() {
                sheets.push(Draft {
                    title: "Roof plan, details".to_owned(),
                    group: None,
                    size: self.size,
                    scale: "as shown".to_owned(),
                    canvas: Canvas::new(self.fonts),
                });
            }
            if let Some(sheet) = sheets.last_mut() {
                self.draw(&mut sheet.canvas, detail, at);
            }
        }
        sheets
    }

    /// The smallest scale at which everything finds its place; the one at which most does where none will do.
    fn choose(&self, part: &details::Part, index: usize) -> Sized {
        let content = Frame::of(self.size).content;
        let room = (content.width(), content.height() - TITLE);
        let mut best: Option<(usize, Sized)> = None;
        for scale in details::scales(self.report.units(), self.plan_scale, part, room) {
            let sized = sized(*part, scale, index);
            let mut scratch = Canvas::new(self.fonts);
            let missing = self.paint(&mut scratch, &sized, Point::default());
            let better = best.as_ref().is_none_or(|(least, _)| missing < *least);
            if better {
                best = Some((missing, sized));
            }
            if missing == 0 {
                break;
            }
        }
        best.map_or_else(|| sized(*part, self.plan_scale, index), |(_, sized)| sized)
    }

    /// Draws the part under its title; returns how many labels found no place.
    fn paint(&self, canvas: &mut Canvas<'_>, sized: &Sized, at: Point) -> usize {
        let area = Area::new(at.x, at.y - sized.height, at.x + sized.width, at.y - TITLE);
        let scope = details::scope(self.report, &sized.part, self.chains);
        let projection = Projection::centred(sized.scale, sized.part.low, sized.part.high, area);
        let text = text_height(self.size);
        plan::draw(canvas, self.report, &scope, &projection, area, text)
            .unplaced
            .len()
    }

    fn draw(&self, canvas: &mut Canvas<'_>, sized: &Sized, at: Point) {
        let text = text_height(self.size);
        canvas.on(Layer::Details);
        let head = TextStyle::new(2.5 / 1.8 * text).bold();
        let base = at - Vector::new(0.0, head.height);
        let name = format!("Detail {}", details::name(sized.index));
        let title = canvas.text(base, head, &name);
        let beside = base + Vector::new(title.width + 3.0, 0.0);
        canvas.text(beside, TextStyle::new(text), &sized.scale.words());
        self.paint(canvas, sized, at);
    }
}

fn sized(part: details::Part, scale: DrawingScale, index: usize) -> Sized {
    let k = scale.mm_per_foot();
    Sized {
        index,
        part,
        scale,
        // Never narrower than its title.
        width: (part.size().x * k + 2.0 * details::ROOM).max(LEAST_WIDTH),
        height: part.size().y * k + 2.0 * details::ROOM + TITLE,
    }
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
