//! A sheet of paper to draw on, in millimetres from its lower left corner, y up. It remembers marks; writers turn
//! them into PDF or SVG, and tests read them back.

mod area;
mod char_table;
mod font;
mod text;

use std::sync::Arc;

pub(crate) use area::Area;
pub(crate) use char_table::CharTable;
pub(crate) use font::{DESCENT, Font, Fonts, SUBSTITUTE};
use text::Run;
pub(crate) use text::{Align, Text, TextStyle};

use crate::geometry::{Point, Vector};

/// A colour of ink. Black on white; one accent, for findings alone; grey only for what black says as well.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    Black,
    White,
    /// For hairlines between rows and for hidden lines: never the only bearer of a meaning.
    Grey,
    /// For a filled shape that is picked out, as a face in a small plan.
    Pale,
    /// `#a3120c`, for findings.
    Accent,
}

/// How a line is drawn: width, dashes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pen {
    /// Width in mm.
    pub(crate) width: f64,
    /// Dash and gap lengths in mm; empty for a continuous line.
    pub(crate) dash: &'static [f64],
    pub(crate) ink: Ink,
    /// Round ends; flat ones otherwise.
    pub(crate) round: bool,
}

impl Pen {
    pub(crate) const fn new(width: f64) -> Self {
        Self {
            width,
            dash: &[],
            ink: Ink::Black,
            round: false,
        }
    }
    pub(crate) const fn dashed(width: f64, dash: &'static [f64]) -> Self {
        Self {
            width,
            dash,
            ink: Ink::Black,
            round: false,
        }
    }
    pub(crate) const fn ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }
    pub(crate) const fn round(mut self) -> Self {
        self.round = true;
        self
    }
}

/// What a mark belongs to: the layers of the SVG, and what tests tell marks apart by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Layer {
    Sheet,
    Hidden,
    /// The edges themselves and nothing else: what a drawing program goes on from.
    Edges,
    /// What marks the class of an edge beside its line.
    EdgeSigns,
    Openings,
    Courses,
    Dimensions,
    FaceNames,
    EdgeLabels,
    Leaders,
    Details,
    MatchLines,
    Key,
    Tables,
    Findings,
}

impl Layer {
    /// All, in the order that they are painted in a layered drawing.
    pub(crate) const ALL: [Self; 15] = [
        Self::Sheet,
        Self::Hidden,
        Self::Edges,
        Self::EdgeSigns,
        Self::Openings,
        Self::Courses,
        Self::Dimensions,
        Self::FaceNames,
        Self::EdgeLabels,
        Self::Leaders,
        Self::Details,
        Self::MatchLines,
        Self::Key,
        Self::Tables,
        Self::Findings,
    ];
    /// The name that a drawing program shows.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Sheet => "sheet",
            Self::Hidden => "hidden lines",
            Self::Edges => "roof edges",
            Self::EdgeSigns => "edge signs",
            Self::Openings => "openings",
            Self::Courses => "courses",
            Self::Dimensions => "dimensions",
            Self::FaceNames => "face names",
            Self::EdgeLabels => "edge lengths",
            Self::Leaders => "leaders",
            Self::Details => "details",
            Self::MatchLines => "match lines",
            Self::Key => "key",
            Self::Tables => "tables",
            Self::Findings => "findings",
        }
    }
}

/// A straight line and its pen.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Line {
    pub(crate) ends: [Point; 2],
    pub(crate) pen: Pen,
}

/// One thing drawn.
#[derive(Clone, Debug)]
pub(crate) enum Mark {
    /// Lines that many sheets show alike, kept once for all of them.
    Lines(Arc<[Line]>),
    Stroke {
        points: Vec<Point>,
        closed: bool,
        pen: Pen,
    },
    /// Rings by the even-odd rule.
    Fill {
        rings: Vec<Vec<Point>>,
        ink: Ink,
    },
    Text(Text),
}

/// A mark on its layer.
#[derive(Clone, Debug)]
pub(crate) struct Item {
    pub(crate) layer: Layer,
    pub(crate) mark: Mark,
}

/// A sheet being drawn.
#[derive(Clone, Debug)]
pub(crate) struct Canvas<'f> {
    pub(crate) fonts: &'f Fonts,
    pub(crate) items: Vec<Item>,
    layer: Layer,
    /// Whether it keeps no marks, for finding out how much room something takes.
    is_trial: bool,
    is_blank: bool,
}

impl<'f> Canvas<'f> {
    pub(crate) fn new(fonts: &'f Fonts) -> Self {
        Self {
            fonts,
            items: Vec::new(),
            layer: Layer::Sheet,
            is_trial: false,
            is_blank: true,
        }
    }
    /// One that measures alone: what is drawn on it is not kept.
    pub(crate) fn trial(fonts: &'f Fonts) -> Self {
        Self {
            is_trial: true,
            ..Self::new(fonts)
        }
    }
    /// A blank one of the same kind.
    pub(crate) fn fresh(&self) -> Self {
        Self {
            is_trial: self.is_trial,
            ..Self::new(self.fonts)
        }
    }
    pub(crate) const fn is_trial(&self) -> bool {
        self.is_trial
    }
    /// Whether nothing has been drawn, kept or not.
    pub(crate) const fn is_blank(&self) -> bool {
        self.is_blank
    }
    /// What is drawn from here on belongs to this layer.
    pub(crate) fn on(&mut self, layer: Layer) -> &mut Self {
        self.layer = layer;
        self
    }
    fn put(&mut self, mark: impl FnOnce() -> Mark) {
        self.is_blank = false;
        if !self.is_trial {
            self.items.push(Item {
                layer: self.layer,
                mark: mark(),
            });
        }
    }
    /// Cuts everything drawn so far to an area; texts that leave it are left out whole.
    pub(crate) fn clip(&mut self, area: Area) {
        let mut kept = Vec::with_capacity(self.items.len());
        for Item { layer, mark } in std::mem::take(&mut self.items) {
            let mut cut = |points: &[Point], closed, pen| {
                let paths = area.clip_path(points, closed).into_iter();
                kept.extend(paths.map(|points| Item {
                    layer,
                    mark: Mark::Stroke {
                        points,
                        closed: false,
                        pen,
                    },
                }));
            };
            match mark {
                Mark::Lines(lines) => lines.iter().for_each(|l| cut(&l.ends, false, l.pen)),
                Mark::Stroke {
                    points,
                    closed,
                    pen,
                } => cut(&points, closed, pen),
                Mark::Fill { rings, ink } => {
                    let rings: Vec<_> = rings.iter().map(|ring| area.clip_ring(ring)).collect();
                    if rings.iter().any(|ring| ring.len() > 2) {
                        let mark = Mark::Fill { rings, ink };
                        kept.push(Item { layer, mark });
                    }
                }
                Mark::Text(text) => {
                    if text.corners().iter().all(|&c| area.holds(c)) {
                        let mark = Mark::Text(text);
                        kept.push(Item { layer, mark });
                    }
                }
            }
        }
        self.items = kept;
    }
    pub(crate) fn line(&mut self, a: Point, b: Point, pen: Pen) {
        self.put(|| Mark::Stroke {
            points: vec![a, b],
            closed: false,
            pen,
        });
    }
    /// Lines that other sheets show too.
    pub(crate) fn lines(&mut self, lines: &Arc<[Line]>) {
        if !lines.is_empty() {
            self.put(|| Mark::Lines(Arc::clone(lines)));
        }
    }
    pub(crate) fn polyline(&mut self, points: Vec<Point>, pen: Pen) {
        if points.len() > 1 {
            self.put(|| Mark::Stroke {
                points,
                closed: false,
                pen,
            });
        }
    }
    pub(crate) fn ring(&mut self, points: Vec<Point>, pen: Pen) {
        if points.len() > 1 {
            self.put(|| Mark::Stroke {
                points,
                closed: true,
                pen,
            });
        }
    }
    pub(crate) fn rect(&mut self, area: Area, pen: Pen) {
        self.ring(area.corners().to_vec(), pen);
    }
    pub(crate) fn fill(&mut self, rings: Vec<Vec<Point>>, ink: Ink) {
        self.put(|| Mark::Fill { rings, ink });
    }
    pub(crate) fn circle(&mut self, center: Point, radius: f64, pen: Pen) {
        self.put(|| Mark::Stroke {
            points: circle(center, radius),
            closed: true,
            pen,
        });
    }
    pub(crate) fn dot(&mut self, center: Point, radius: f64, ink: Ink) {
        self.put(|| Mark::Fill {
            rings: vec![circle(center, radius)],
            ink,
        });
    }
    /// Text on one line.
    pub(crate) fn text(&mut self, at: Point, style: TextStyle, content: &str) {
        if self.is_trial {
            self.is_blank &= content.trim().is_empty();
        } else {
            self.put_text(Text::new(self.fonts, at, style, content));
        }
    }
    /// Text on one line, with what stands beside it in mind: returns its width in mm.
    pub(crate) fn text_before(&mut self, at: Point, style: TextStyle, content: &str) -> f64 {
        let text = Text::new(self.fonts, at, style, content);
        let width = text.width;
        self.put_text(text);
        width
    }
    pub(crate) fn put_text(&mut self, text: Text) {
        let is_seen = |run: &Run| !run.text.trim().is_empty();
        if text.runs.iter().any(is_seen) {
            self.put(|| Mark::Text(text));
        }
    }
    /// A line of text that has to fit: set smaller down to `least`, then cut, which its end tells; what is copied is the
    /// whole text.
    pub(crate) fn text_within(&mut self, at: Point, style: TextStyle, within: (&str, f64, f64)) {
        self.line_within(at, style, within, within.0);
    }
    /// The same for a line of a text that takes several: `whole` is all of it.
    pub(crate) fn line_within(
        &mut self,
        at: Point,
        style: TextStyle,
        (content, room, least): (&str, f64, f64),
        whole: &str,
    ) {
        let wanted = style.height * (room / self.width(style, content).max(1e-9)).min(1.0);
        let style = TextStyle {
            height: wanted.max(least.min(style.height)),
            ..style
        };
        let shown = text::cut(self.fonts, style, content, room);
        let text = Text::new(self.fonts, at, style, &shown)
            .reading(content)
            .line_of(whole);
        self.put_text(text);
    }
    /// The width that a text would take, in mm.
    pub(crate) fn width(&self, style: TextStyle, content: &str) -> f64 {
        text::width(self.fonts, style, content)
    }
    /// Breaks a text into lines of at most `width` mm, the first of them shorter by `used`; the first is empty where
    /// not even one word fits on it.
    pub(crate) fn wrap_after(
        &self,
        style: TextStyle,
        content: &str,
        width: f64,
        used: f64,
    ) -> Vec<String> {
        let mut lines = text::wrap_after(self.fonts, style, content, (width, used));
        if lines.is_empty() {
            lines.push(String::new());
        }
        lines
    }
    /// Breaks a text into lines of at most `width` mm. A word longer than a line stands alone on it.
    pub(crate) fn wrap(&self, style: TextStyle, content: &str, width: f64) -> Vec<String> {
        text::wrap(self.fonts, style, content, width)
    }
}

/// A circle as a polygon whose sides stay within 0.005 mm of it for every radius used here.
fn circle(center: Point, radius: f64) -> Vec<Point> {
    const SIDES: u32 = 48;
    (0..SIDES)
        .map(|i| {
            let (sin, cos) = (f64::from(i) * std::f64::consts::TAU / f64::from(SIDES)).sin_cos();
            center + Vector::new(cos, sin) * radius
        })
        .collect()
}
