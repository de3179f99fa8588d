//! A table before it is written as anything: named columns of one kind each.

/// What a column holds. Any value may be missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Words.
    Text,
    /// A measure at full precision.
    Number,
    /// A count.
    Count,
}

/// A column: its name as scripts know it, and what it holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// The name.
    pub name: &'static str,
    /// What it holds.
    pub kind: Kind,
}

/// One cell, of its column's kind.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Words.
    Text(Option<String>),
    /// A measure.
    Number(Option<f64>),
    /// A count.
    Count(Option<i64>),
}

impl Value {
    pub(super) fn text(text: impl Into<String>) -> Self {
        Self::Text(Some(text.into()))
    }
}

const fn text(name: &'static str) -> Column {
    let kind = Kind::Text;
    Column { name, kind }
}

const fn number(name: &'static str) -> Column {
    let kind = Kind::Number;
    Column { name, kind }
}

const fn count(name: &'static str) -> Column {
    let kind = Kind::Count;
    Column { name, kind }
}

/// The tables of a batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Table {
    /// One row a plan, refused ones too.
    Plans,
    /// One row a face.
    Faces,
    /// One row an edge.
    Edges,
}

impl Table {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Plans, Self::Faces, Self::Edges];

    /// What its files are called, without the ending.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Plans => "plans",
            Self::Faces => "faces",
            Self::Edges => "edges",
        }
    }

    /// Its columns. Lengths and areas are in the units that each row names; `squares` are 100 ft² in any units.
    pub const fn columns(self) -> &'static [Column] {
        match self {
            Self::Plans => PLANS,
            Self::Faces => FACES,
            Self::Edges => EDGES,
        }
    }
}

const PLANS: &[Column] = &[
    text("plan"),
    text("outcome"),
    text("key"),
    text("length_unit"),
    text("scale_from"),
    number("length_per_drawing_unit"),
    count("faces"),
    count("edges"),
    number("plan_area"),
    number("true_area"),
    number("squares"),
    number("eave"),
    number("high_edge"),
    number("rake"),
    number("ridge"),
    number("hip"),
    number("valley"),
    number("pitch_change"),
    number("headwall"),
    number("sidewall"),
    number("flat_edge"),
    number("in_plane"),
    text("format"),
    count("pieces_opened"),
    count("pieces_bound"),
    count("cuts"),
    count("offcuts_reused"),
    number("waste_percent"),
    count("nails"),
    count("errors"),
    count("warnings"),
    count("notes"),
    text("first_code"),
    text("first_message"),
    text("path"),
];

const FACES: &[Column] = &[
    text("plan"),
    text("face"),
    text("length_unit"),
    number("rise_in_12"),
    number("pitch_deg"),
    number("downslope_deg"),
    number("plan_area"),
    number("true_area"),
    count("corners"),
    count("holes"),
    count("courses"),
    count("pieces_opened"),
    count("pieces_bound"),
    count("cuts"),
];

const EDGES: &[Column] = &[
    text("plan"),
    count("edge"),
    text("class"),
    text("length_unit"),
    number("plan_length"),
    number("true_length"),
    text("face"),
    text("other_face"),
    number("start_x"),
    number("start_y"),
    number("start_z"),
    number("end_x"),
    number("end_y"),
    number("end_z"),
];
