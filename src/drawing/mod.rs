//! The traced plan as the eye sees it: strokes, labels and arrows in plan feet, with where each came from.
//!
//! No SVG notion leaves this module. What stays inside: bytes to text, XML, styles, transforms, fonts, units, the
//! search for a scale. What comes out: [`Drawing`], in which every length is in plan feet (y up) and every piece
//! remembers the element that it was drawn with.

mod areas;
mod arrow;
mod assemble;
mod beneath;
mod boxed;
mod bytes;
mod clip;
mod clip_chain;
mod corners;
mod css;
mod css_colour;
mod css_transform;
mod curve;
mod cut;
mod dashes;
mod deep_stack;
mod dimension;
mod dimension_chain;
mod dimension_end;
mod dimension_mark;
mod dimension_run;
mod dimension_shared;
mod drawn_between;
mod effort;
mod element;
mod extent;
mod fall;
mod fall_lines;
mod frame;
mod halves;
mod hatch;
mod ids;
mod label;
mod layer;
mod leader;
mod leave_out;
mod letter_grid;
mod lines;
pub mod marked;
mod marker_shape;
mod markers;
mod masked;
mod measured;
mod names;
mod near;
mod numbers;
mod options;
mod outlined;
mod page;
mod pieces;
mod prepass;
mod read;
mod region;
mod reuse;
mod rounded;
mod rule;
mod scale;
mod scale_bar;
mod scale_title;
mod scale_written;
mod shape;
mod spoken;
mod stacked;
mod strip;
pub mod text;
mod tree;
mod typeface;
mod words;
pub mod written;
mod xml;

use std::sync::Arc;

pub use deep_stack::on_deep_stack;
pub use options::{Limits, ReadOptions};
pub use read::FLATTENING_TOLERANCE_FT;
pub use rule::Rule;
pub use text::{ScaleText, parse_scale_text};

use crate::geometry::Point;
use crate::place::Source;
use crate::units::Pitch;
use crate::{Finding, Place};

/// A plan that has been read and scaled.
#[derive(Clone, Debug, Default)]
pub struct Drawing {
    /// Every visible line, curve (flattened) and outline of a filled shape that may be part of the roof or of what
    /// stands on it. Scale lines, frames and left-out layers are not here.
    pub strokes: Vec<Stroke>,
    /// Every text that says something about the roof.
    pub labels: Vec<Label>,
    /// Arrows of the `fall` layer, from high to low.
    pub falls: Vec<FallArrow>,
    /// Arrows with one head that no layer says are falls, nor leaders or dimensions, from tail to tip.
    pub loose_arrows: Vec<FallArrow>,
    /// Lengths written beside lines, with where they run from and to.
    pub dimensions: Vec<Dimension>,
    /// How drawing units became feet.
    pub scale: Scale,
    /// Texts that are a pitch but for a slip of the pen, give two or an angle in other words, or mean something else altogether.
    pub mistyped: Vec<Mistyped>,
    /// Texts that speak of the roof's area in words or numbers that cannot be read, or beside something else, such as a pitch.
    pub unread_areas: Vec<Mistyped>,
    /// Texts that begin as what is written at a side of an outline does or give a height there in other words, and cannot be read:
    /// notes where faces are drawn.
    pub unread_sides: Vec<Mistyped>,
    /// Texts that say which way is up: beside an arrow of the `fall` layer they contradict it.
    pub ups: Vec<Up>,
    /// Texts that are meant as a pipe's diameter and cannot be read.
    pub unread_diameters: Vec<Mistyped>,
    /// Texts with an area among other words and numbers: one that stands in a face may be meant as the face's.
    pub area_texts: Vec<Mistyped>,
    /// Heads of areas that stand beside or beneath them, as texts of their own: `TOTAL ROOF AREA`.
    pub area_heads: Vec<AreaHead>,
    /// Heads of columns that say the unit of the figures beneath them; their text is the unit alone.
    pub area_units: Vec<AreaHead>,
    /// Heads of columns that say on which surface the areas beneath them were measured.
    pub area_columns: Vec<AreaColumn>,
    /// Texts that say of what the areas beneath them are.
    pub area_topics: Vec<AreaTopic>,
    /// Texts that say nothing about the roof, where areas are stated: one over an area may say that it is a room's.
    pub other_texts: Vec<AreaHead>,
    /// Numbers that stand alone: beside the head of an area one may be the area without its unit.
    pub bare_figures: Vec<BareFigure>,
    /// Titles of drawings of one state of the roof (`EXISTING ROOF PLAN`, `KEY PLAN`): the sheet may show one roof twice.
    pub state_titles: Vec<Mistyped>,
    /// Titles of plans of the roof, whatever they show: `ROOF PLAN`, `PROPOSED ROOF PLAN`.
    pub plan_titles: Vec<Mistyped>,
    /// Titles of elevations, sections and details: what they name shows no roof from above.
    pub view_titles: Vec<ViewTitle>,
    /// What was left out, and why; told by `--explain`.
    pub left_out: Vec<LeftOut>,
    /// What was noticed while reading. Never of severity error: those make reading fail.
    pub findings: Vec<Finding>,
}

/// A chain of straight pieces in plan feet. Curves are flattened already.
#[derive(Clone, Debug)]
pub struct Stroke {
    /// Two or more points; no two neighbours are the same point.
    pub points: Vec<Point>,
    /// Whether the last point is joined to the first (without repeating it).
    pub closed: bool,
    /// Whether it was flattened from a curve.
    pub curved: bool,
    /// Whether it is the outline of a filled shape without a stroke.
    pub filled_only: bool,
    /// What its layer says it is.
    pub role: Role,
    /// The level that its layer says it is on: 0 the lowest roof; `upper` is 1, `level 2` is 1, `level 3` is 2.
    pub level: u32,
    /// What a drafter tells lines apart by.
    pub style: Style,
    /// The names of the element and of the groups around it, the innermost first.
    pub names: Arc<[String]>,
    /// The element it came from.
    pub source: Arc<Source>,
}

/// What the layer of a stroke says that it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Role {
    /// No layer said anything: the stroke may be a roof line.
    #[default]
    Unsaid,
    /// A roof line by its layer, or by `--roof`.
    Roof,
    /// A wall that rises above the roof.
    Wall,
    /// The outline of an opening: chimney, skylight.
    Opening,
    /// A penetration: pipe, vent.
    Pipe,
}

/// What a drafter tells lines apart by.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Style {
    /// The colour of the line as `#rrggbb`; `None` for a shape that is filled only.
    pub stroke: Option<String>,
    /// The colour of the fill as `#rrggbb`.
    pub fill: Option<String>,
    /// The line's width in drawing units of the root user space.
    pub width: f64,
    /// Whether it is dashed.
    pub dashed: bool,
}

/// A text that says something about the roof.
#[derive(Clone, Debug)]
pub struct Label {
    /// What it says.
    pub says: Says,
    /// The text as read.
    pub text: String,
    /// The middle of the text.
    pub at: Point,
    /// The start and the end of the text on its baseline: a text too long for its face has one of them in it.
    pub baseline: [Point; 2],
    /// The far end of a leader line that ends (or starts) at the text, where there is one.
    pub points_at: Option<Point>,
    /// Text height in plan feet.
    pub height_ft: f64,
    /// The level of its layer, as for strokes.
    pub level: u32,
    /// The element it came from.
    pub source: Arc<Source>,
}

/// What a label says.
#[derive(Clone, Debug, PartialEq)]
pub enum Says {
    /// A pitch, and half of the last digit written, as rise per run: how far the true pitch may lie from it.
    Pitch {
        /// The pitch.
        pitch: Pitch,
        /// Half a unit of the last digit written, as rise per run.
        half_step: f64,
    },
    /// This side of an outline is a gable end.
    Gable,
    /// This side of an outline ends against a wall.
    Wall,
    /// The eave of this side of an outline is so high above the drawing's datum, in feet.
    EaveHeight(f64),
    /// The area that somebody stated.
    StatedArea {
        /// In square feet.
        square_feet: f64,
        /// Whether it is said to be of the whole roof.
        whole_roof: bool,
    },
    /// The diameter of a pipe, in feet.
    Diameter(f64),
    /// A short length that no line belongs to, in feet: beside a pipe its diameter.
    Size(f64),
    /// A figure alone among the pipes, in feet as the plan's units go: a diameter, or the pipe's number.
    PipeFigure(f64),
}

/// A text that is not read for what it says: one that seems to say something and cannot be read, such as `6x12` or `6:12:`, a
/// mistyped pitch where it stands in a face, or `ROOF AREA 960 SF MAX`; or a drawing's title.
#[derive(Clone, Debug)]
pub struct Mistyped {
    /// The text as read.
    pub text: String,
    /// The middle of the text.
    pub at: Point,
    /// The level that its layer says it is on.
    pub level: u32,
    /// The element it came from.
    pub source: Arc<Source>,
}

/// The title of a drawing that shows no roof from above.
#[derive(Clone, Debug)]
pub struct ViewTitle {
    /// The text as read.
    pub text: String,
    /// The middle of the text.
    pub at: Point,
    /// The size of its letters, in feet.
    pub height_ft: f64,
    /// The element it came from.
    pub source: Arc<Source>,
}

/// A text that says which way is up: `UP`, `6/12 UP`.
#[derive(Clone, Debug)]
pub struct Up {
    /// The text as read.
    pub text: String,
    /// The middle of the text.
    pub at: Point,
    /// The start and the end of the text on its baseline.
    pub baseline: [Point; 2],
    /// The size of its letters, in feet.
    pub height_ft: f64,
    /// The level that its layer says it is on.
    pub level: u32,
    /// The element it came from.
    pub source: Arc<Source>,
}

/// A text without an area, where its words may say of what an area beside or beneath it is.
#[derive(Clone, Debug)]
pub struct AreaHead {
    /// The text as read.
    pub text: String,
    /// The start and the end of the text on its baseline.
    pub baseline: [Point; 2],
}

/// The head of a column of areas: `PLAN AREA`, `SLOPED (SF)`.
#[derive(Clone, Debug)]
pub struct AreaColumn {
    /// Whether they are in plan; else on the slope.
    pub in_plan: bool,
    /// The start and the end of the text on its baseline.
    pub baseline: [Point; 2],
}

/// Words that say of what the areas beneath them are.
#[derive(Clone, Debug)]
pub struct AreaTopic {
    /// The text as read.
    pub text: String,
    /// Whether it is the roof; else another area, such as a floor or glazing.
    pub of_roof: bool,
    /// The start and the end of the text on its baseline.
    pub baseline: [Point; 2],
}

/// A number that stands alone.
#[derive(Clone, Debug)]
pub struct BareFigure {
    /// The text as read.
    pub text: String,
    /// The middle of the text.
    pub at: Point,
    /// The start and the end of the text on its baseline.
    pub baseline: [Point; 2],
    /// Text height in plan feet.
    pub height_ft: f64,
    /// The element it came from.
    pub source: Arc<Source>,
}

/// An arrow or line from high to low.
#[derive(Clone, Debug)]
pub struct FallArrow {
    /// The high end.
    pub from: Point,
    /// The low end.
    pub to: Point,
    /// The level of its layer.
    pub level: u32,
    /// The element it came from.
    pub source: Arc<Source>,
}

/// A length that the drawing states.
#[derive(Clone, Debug)]
pub struct Dimension {
    /// What it says, in feet.
    pub stated_ft: f64,
    /// Half a unit of the last digit written, in feet.
    pub half_step_ft: f64,
    /// One end of what it measures, in plan feet by the scale used.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// The text as read.
    pub text: String,
    /// The element of the text.
    pub source: Arc<Source>,
}

/// How drawing units became feet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scale {
    /// Feet per unit of the drawing's root user space.
    pub feet_per_unit: f64,
    /// Where it was found, in words: `the dimension 20′-0″`, `--scale 1/4in=1ft`.
    pub from: String,
    /// Paper inches per unit of the root user space, where the drawing has an honest physical size.
    pub paper_inches_per_unit: Option<f64>,
    /// True when the drawing was made in metres or millimetres (its dimensions are metric).
    pub metric: bool,
    /// Whether it was given by hand, against whatever the drawing says.
    pub by_hand: bool,
    /// Whether a dimension and a scale written on the page agree on it.
    pub borne_out: bool,
    /// Whether it rests on whole numbers without a unit, read as millimetres, and nothing with a unit bears them out.
    pub bare: bool,
}

impl Scale {
    /// From the root's user space, y down, to plan feet, y up.
    pub(crate) fn to_plan(&self, p: Point) -> Point {
        // Taken from 0, so that no height of 0 gets a sign.
        Point::new(self.feet_per_unit * p.x, 0.0 - self.feet_per_unit * p.y)
    }

    /// From plan feet to the root's user space.
    pub(crate) fn to_units(&self, p: Point) -> Point {
        Point::new(p.x / self.feet_per_unit, -p.y / self.feet_per_unit)
    }
}

/// Something visible that was not taken for a part of the roof.
#[derive(Clone, Debug)]
pub struct LeftOut {
    /// Where it is.
    pub place: Place,
    /// Why, in words.
    pub why: String,
}

impl Drawing {
    /// Reads a plan from the bytes of an SVG file (also packed, `.svgz`).
    ///
    /// # Errors
    /// Every reason why the plan cannot be taken off: each with what is wrong, where, and what to do.
    ///
    /// ```
    /// use eavewright::drawing::{Drawing, ReadOptions};
    /// let svg = br##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60">
    ///   <rect x="10" y="10" width="80" height="30" fill="none" stroke="#000"/>
    ///   <line x1="10" y1="50" x2="50" y2="50" stroke="#000"/>
    ///   <text x="22" y="49" font-size="4">20'-0"</text>
    /// </svg>"##;
    /// let drawing = Drawing::read(svg, &ReadOptions::default()).unwrap();
    /// assert!((drawing.scale.feet_per_unit - 0.5).abs() < 1e-6);
    /// ```
    pub fn read(bytes: &[u8], options: &ReadOptions) -> Result<Self, Vec<Finding>> {
        read::read_deep(bytes, options)
    }
}
