//! Details: parts of the plan at larger scales, beside the plan where there is room, else set in rows on sheets of
//! their own.

use super::frame::Frame;
use super::table::TableStyle;
use super::table_set::Measured;
use super::{Draft, plan_rest, text_height};
use crate::geometry::{Point, Vector};
use crate::report::Report;
use crate::report::canvas::{Area, Canvas, Fonts, Layer, TextStyle};
use crate::report::plan::{self, Chain, DrawingScale, Drawn, Projection, details};

/// Height of a detail's title with the scale bar under it.
const TITLE: f64 = 12.5;
/// From the words of the title to the top of the bar's figures, and what bar and figures take.
const BAR_GAP: f64 = 1.6;
const BAR_HEIGHT: f64 = 4.0;
/// The bar is at most so long: a narrow detail is as wide as its title.
const BAR_LONGEST: f64 = 40.0;
/// Between details.
const GAP: f64 = 5.0;
/// Width of the table of what found no room, at the usual height of text.
const REST_WIDTH: f64 = 70.0;
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

    /// Draws details on as many sheets as they need, and what found no room on them or on the sheets `before`.
    pub(super) fn sheets(&self, sized: &[Sized], before: &[Draft<'f>]) -> Vec<Draft<'f>> {
        let mut sheets: Vec<Draft<'f>> = Vec::new();
        let mut shelves = Shelves::new(Frame::of(self.size).content);
        for detail in sized {
            let (sheet, at) = shelves.place(detail.width, detail.height);
            self.draw(&mut self.sheet(&mut sheets, sheet).canvas, detail, at);
        }
        let drawn: Vec<&Draft<'_>> = before.iter().chain(&sheets).collect();
        if let Some(rest) = plan_rest::table(self.report, self.chains, &drawn) {
            let text = text_height(self.size);
            let measured = Measured::new(
                &Canvas::new(self.fonts),
                rest,
                TableStyle::new(text),
                REST_WIDTH * text / 1.8,
            );
            let (width, most) = (
                REST_WIDTH * text / 1.8,
                Frame::of(self.size).content.height(),
            );
            let mut from = 0;
            while from < measured.len() {
                let to = measured.fitting(from, most).max(from + 1);
                let (sheet, at) = shelves.place(width, measured.height(from, to));
                let canvas = &mut self.sheet(&mut sheets, sheet).canvas;
                measured.draw(canvas, at.x, at.y, from, to);
                from = to;
            }
        }
        sheets
    }

    /// The sheet of details of such an index, begun where it is the next.
    fn sheet<'s>(&self, sheets: &'s mut Vec<Draft<'f>>, index: usize) -> &'s mut Draft<'f> {
        if index == sheets.len() {
            sheets.push(Draft {
                title: "Roof plan, details".to_owned(),
                group: None,
                size: self.size,
                scale: "as shown".to_owned(),
                canvas: Canvas::new(self.fonts),
            });
        }
        &mut sheets[index]
    }

    /// Parts small enough to be drawn larger than the plan.
    pub(super) fn enlargeable(&self, parts: Vec<details::Part>) -> Vec<details::Part> {
        let room = self.room();
        let units = self.report.units();
        parts
            .into_iter()
            .flat_map(|part| details::divided(units, self.plan_scale, part, room))
            .collect()
    }

    /// What a detail may fill, in mm.
    fn room(&self) -> (f64, f64) {
        let content = Frame::of(self.size).content;
        (content.width(), content.height() - TITLE)
    }

    /// The smallest scale at which everything finds its place; the one at which most does where none will do.
    fn choose(&self, part: &details::Part, index: usize) -> Sized {
        let room = self.room();
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
        let bar = base + Vector::new(1.0, -BAR_GAP - BAR_HEIGHT);
        let units = self.report.units();
        plan::scale_bar(canvas, bar, sized.scale, units, BAR_LONGEST);
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

/// Details on sheets, each at the highest place, then the leftmost, of the first sheet that has room for it.
struct Shelves {
    content: Area,
    /// What stands on each sheet.
    taken: Vec<Vec<Area>>,
}

impl Shelves {
    fn new(content: Area) -> Self {
        Self {
            content,
            taken: Vec::new(),
        }
    }
    /// The sheet of the next detail, and its top left.
    fn place(&mut self, width: f64, height: f64) -> (usize, Point) {
        for (sheet, taken) in self.taken.iter_mut().enumerate() {
            if let Some(area) = free_place(self.content, taken, width, height) {
                taken.push(area);
                return (sheet, Point::new(area.left, area.top));
            }
        }
        // One that is larger than a sheet has been chosen to fit none; it stands at the corner all the same.
        let corner = Point::new(self.content.left, self.content.top);
        self.taken.push(vec![under(corner, width, height)]);
        (self.taken.len() - 1, corner)
    }
}

/// The area of such a size with its top left at a place.
fn under(corner: Point, width: f64, height: f64) -> Area {
    Area::new(corner.x, corner.y - height, corner.x + width, corner.y)
}

/// The highest, then leftmost place that is free: beside or below what stands there.
fn free_place(content: Area, taken: &[Area], width: f64, height: f64) -> Option<Area> {
    let lefts: Vec<f64> = std::iter::once(content.left)
        .chain(taken.iter().map(|a| a.right + GAP))
        .collect();
    let mut tops: Vec<f64> = std::iter::once(content.top)
        .chain(taken.iter().map(|a| a.bottom - GAP))
        .collect();
    tops.sort_by(|a, b| b.total_cmp(a));
    let places = tops
        .iter()
        .flat_map(|&top| lefts.iter().map(move |&left| Point::new(left, top)));
    const SLACK: f64 = 1e-6;
    places
        .map(|corner| under(corner, width, height))
        .find(|area| {
            let fits = area.right <= content.right + SLACK && area.bottom >= content.bottom - SLACK;
            let apart = |other: &Area| {
                area.right <= other.left - GAP + SLACK
                    || other.right <= area.left - GAP + SLACK
                    || area.top <= other.bottom - GAP + SLACK
                    || other.top <= area.bottom - GAP + SLACK
            };
            fits && taken.iter().all(apart)
        })
}
