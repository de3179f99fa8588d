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

/// A detail and the scale that it is drawn at.
pub(super) struct Sized {
    /// Where the plan has its name.
    name_at: NameAt,
    part: details::Part,
    scale: DrawingScale,
    width: f64,
    height: f64,
}

/// Where a plan has the name of a detail: on which of its sheets, counted from 0, and where on it.
#[derive(Clone, Copy, Debug)]
pub(super) struct NameAt {
    pub(super) sheet: usize,
    pub(super) place: details::NamePlace,
}

/// A detail's name, written where the plan kept room for it when its sheet is known.
pub(super) struct Named {
    at: NameAt,
    name: String,
}

impl Named {
    /// Writes the name, if it stands on that sheet of the plan.
    pub(super) fn write(&self, canvas: &mut Canvas<'_>, sheet: usize) {
        if self.at.sheet == sheet {
            details::write_name(canvas, self.at.place.at, &self.name);
        }
    }
}

/// The longest name that a detail may get on the plan, where `parts` details follow on sheets from `first` on.
pub(super) fn longest_name(parts: usize, first: usize) -> details::LongestName {
    /// The widest letter, alone and with the figure of a second alphabet.
    const WIDEST: [usize; 2] = [22, 48];
    let widest = WIDEST[usize::from(parts > 26)];
    details::LongestName {
        with_sheet: details::label(widest, Some(first + parts)),
        short: details::label(widest, None),
    }
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

    /// The details of these parts, whose names stand at these places of a sheet of the plan.
    pub(super) fn sized(
        &self,
        parts: &[details::Part],
        sheet: usize,
        names: &[details::NamePlace],
    ) -> Vec<Sized> {
        let named = parts.iter().zip(names);
        named
            .map(|(part, &place)| {
                let drawn = details::trimmed(part, self.chains, self.plan_scale);
                self.choose(&drawn, NameAt { sheet, place })
            })
            .collect()
    }

    /// Draws those details on the plan's own sheet that find room there, lettered on after the `lettered` before; returns
    /// their names, and the others.
    pub(super) fn on_plan(
        &self,
        canvas: &mut Canvas<'f>,
        drawn: &mut Drawn,
        sized: Vec<Sized>,
        lettered: usize,
    ) -> (Vec<Named>, Vec<Sized>) {
        let (mut names, mut left) = (Vec::new(), Vec::new());
        for detail in sized {
            match drawn.take_room(detail.width, detail.height) {
                Some(at) => {
                    let index = lettered + names.len();
                    self.draw(canvas, &detail, index, at);
                    names.push(Named {
                        at: detail.name_at,
                        name: details::label(index, None),
                    });
                }
                None => left.push(detail),
            }
        }
        (names, left)
    }

    /// Draws details on as many sheets as they need, the first of them of such a number, lettered on after the `lettered`
    /// before; returns the sheets and the details' names. `before` are the sheets of the plan: what found no room on them
    /// or on the details stands in a table.
    pub(super) fn sheets(
        &self,
        apart: Vec<Sized>,
        (lettered, first): (usize, usize),
        before: &[Draft<'f>],
    ) -> (Vec<Draft<'f>>, Vec<Named>) {
        let (mut shelves, packed) = packed(Frame::of(self.size).content, apart);
        let mut sheets: Vec<Draft<'f>> = Vec::new();
        let mut names = Vec::new();
        for (i, (detail, sheet, at)) in packed.iter().enumerate() {
            let canvas = &mut self.sheet(&mut sheets, *sheet).canvas;
            self.draw(canvas, detail, lettered + i, *at);
            let told = Some(first + sheet).filter(|_| !detail.name_at.place.is_short);
            names.push(Named {
                at: detail.name_at,
                name: details::label(lettered + i, told),
            });
        }
        let drawn: Vec<&Draft<'_>> = before.iter().chain(&sheets).collect();
        if let Some(rest) = plan_rest::table(self.report, self.chains, &drawn) {
            let text = text_height(self.size);
            let measured = Measured::new(
                &Canvas::trial(self.fonts),
                &rest,
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
        (sheets, names)
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
        let buildings = details::small_buildings(self.report, self.plan_scale);
        parts
            .into_iter()
            .flat_map(|part| details::divided(units, self.plan_scale, part, room, &buildings))
            .collect()
    }

    /// What a detail may fill, in mm.
    fn room(&self) -> (f64, f64) {
        let content = Frame::of(self.size).content;
        (content.width(), content.height() - TITLE)
    }

    /// The smallest scale at which everything finds its place; the one at which most does where none will do.
    fn choose(&self, part: &details::Part, name_at: NameAt) -> Sized {
        let room = self.room();
        let mut best: Option<(usize, Sized)> = None;
        for scale in details::scales(self.report.units(), self.plan_scale, part, room) {
            let sized = sized(*part, scale, name_at);
            let mut scratch = Canvas::trial(self.fonts);
            let missing = self.paint(&mut scratch, &sized, Point::default());
            let better = best.as_ref().is_none_or(|(least, _)| missing < *least);
            if better {
                best = Some((missing, sized));
            }
            if missing == 0 {
                break;
            }
        }
        best.map_or_else(
            || sized(*part, self.plan_scale, name_at),
            |(_, sized)| sized,
        )
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

    fn draw(&self, canvas: &mut Canvas<'_>, sized: &Sized, index: usize, at: Point) {
        let text = text_height(self.size);
        canvas.on(Layer::Details);
        let head = TextStyle::new(2.5 / 1.8 * text).bold();
        let base = at - Vector::new(0.0, head.height);
        let width = canvas.text_before(base, head, &details::label(index, None));
        let beside = base + Vector::new(width + 3.0, 0.0);
        canvas.text(beside, TextStyle::new(text), &sized.scale.words());
        let bar = base + Vector::new(1.0, -BAR_GAP - BAR_HEIGHT);
        let units = self.report.units();
        plan::scale_bar(canvas, bar, sized.scale, units, BAR_LONGEST);
        self.paint(canvas, sized, at);
    }
}

fn sized(part: details::Part, scale: DrawingScale, name_at: NameAt) -> Sized {
    let k = scale.mm_per_foot();
    Sized {
        name_at,
        part,
        scale,
        // Never narrower than its title.
        width: (part.size().x * k + 2.0 * details::ROOM).max(LEAST_WIDTH),
        height: part.size().y * k + 2.0 * details::ROOM + TITLE,
    }
}

/// Details on as few sheets as may be: in the order of the plan, or the highest first where that spares a sheet. They come
/// back in the order in which they stand, so that the letters go on from sheet to sheet.
fn packed(content: Area, details: Vec<Sized>) -> (Shelves, Vec<(Sized, usize, Point)>) {
    let place = |order: &[usize]| {
        let mut shelves = Shelves::new(content);
        let places: Vec<(usize, Point)> = order
            .iter()
            .map(|&i| shelves.place(details[i].width, details[i].height))
            .collect();
        (shelves, places)
    };
    let as_read: Vec<usize> = (0..details.len()).collect();
    let mut by_height = as_read.clone();
    by_height.sort_by(|&a, &b| details[b].height.total_cmp(&details[a].height));
    let (read, high) = (place(&as_read), place(&by_height));
    let ((shelves, places), order) = if high.0.taken.len() < read.0.taken.len() {
        (high, by_height)
    } else {
        (read, as_read)
    };
    let mut placed: Vec<(usize, (usize, Point))> = order.into_iter().zip(places).collect();
    placed.sort_by_key(|(detail, _)| *detail);
    let mut packed: Vec<(Sized, usize, Point)> = details
        .into_iter()
        .zip(placed)
        .map(|(detail, (_, (sheet, at)))| (detail, sheet, at))
        .collect();
    packed.sort_by(|a, b| {
        let across = a.2.x.total_cmp(&b.2.x);
        a.1.cmp(&b.1).then(b.2.y.total_cmp(&a.2.y)).then(across)
    });
    (shelves, packed)
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
