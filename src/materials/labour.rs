//! Labour: squares × hours a square × factors, all of them the job's own; nothing is assumed in silence.

use rust_decimal::Decimal;
use rust_decimal::prelude::FromPrimitive;

use super::offer::Labour;
use crate::roof::Face;
use crate::units::Pitch;

/// Hours of one kind of work.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct LabourLine {
    /// What is done.
    pub(super) what: String,
    /// Squares it is done on, to two decimals, so that the printed sum can be followed.
    pub(super) squares: Decimal,
    /// All factors together.
    pub(super) factor: Decimal,
    /// Hours, to two decimals.
    pub(super) hours: Decimal,
    /// Whether it is tearing off.
    pub(super) tear_off: bool,
}

/// What the work is done on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Site {
    /// Storeys up to the eaves; 1 where nobody said.
    pub(super) storeys: u32,
    /// Layers to strip.
    pub(super) layers: u32,
}

/// The slopes that have a factor of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Slope {
    To6,
    To9,
    To12,
    Over12,
}

impl Slope {
    const ALL: [Self; 4] = [Self::To6, Self::To9, Self::To12, Self::Over12];

    fn of(face: &Face) -> Self {
        let to = |rise| !face.is_above(Pitch::in_12(rise));
        if to(6.0) {
            Self::To6
        } else if to(9.0) {
            Self::To9
        } else if to(12.0) {
            Self::To12
        } else {
            Self::Over12
        }
    }
    const fn words(self) -> &'static str {
        match self {
            Self::To6 => "up to 6:12",
            Self::To9 => "over 6:12 to 9:12",
            Self::To12 => "over 9:12 to 12:12",
            Self::Over12 => "over 12:12",
        }
    }
    fn factor(self, labour: &Labour) -> Decimal {
        let said = match self {
            Self::To6 => None,
            Self::To9 => labour.slope_over_6,
            Self::To12 => labour.slope_over_9,
            Self::Over12 => labour.slope_over_12,
        };
        said.map_or(Decimal::ONE, |f| f.0)
    }
}

/// The lines of labour on the faces that take shingles; empty where the job gives no hours.
pub(super) fn lines(
    faces: &[&Face],
    stripped_squares: f64,
    site: Site,
    labour: &Labour,
) -> Vec<LabourLine> {
    let mut lines = Vec::new();
    let height = height_factor(site.storeys, labour);
    if let (Some(hours), true) = (labour.tear_off_hours_per_square, site.layers > 0) {
        let further = labour.further_layer_factor.map_or(Decimal::ONE, |f| f.0);
        let layers = Decimal::ONE + further * Decimal::from(site.layers - 1);
        let what = format!("Tear off, layers: {}", site.layers);
        lines.extend(line(what, stripped_squares, layers * height, hours.0, true));
    }
    if let Some(hours) = labour.hours_per_square {
        let cut_up = labour.cut_up.map_or(Decimal::ONE, |f| f.0);
        for slope in Slope::ALL {
            let squares = faces
                .iter()
                .filter(|f| Slope::of(f) == slope)
                .map(|f| f.true_area.to_squares())
                .sum();
            let factor = slope.factor(labour) * height * cut_up;
            let what = format!("Lay, {}", slope.words());
            lines.extend(line(what, squares, factor, hours.0, false));
        }
    }
    lines
}

fn line(
    what: String,
    squares: f64,
    factor: Decimal,
    hours_a_square: Decimal,
    tear_off: bool,
) -> Option<LabourLine> {
    let squares = Decimal::from_f64(squares)?.round_dp(2);
    (!squares.is_zero()).then(|| LabourLine {
        what,
        squares,
        factor,
        hours: (squares * factor * hours_a_square).round_dp(2),
        tear_off,
    })
}

fn height_factor(storeys: u32, labour: &Labour) -> Decimal {
    let said = match storeys {
        0 | 1 => None,
        2 => labour.second_storey,
        _ => labour.third_storey,
    };
    said.map_or(Decimal::ONE, |f| f.0)
}

/// What was reckoned with, as sentences to print.
pub(super) fn assumptions(labour: &Labour, lines: &[LabourLine]) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(hours) = labour.hours_per_square {
        said.push(format!(
            "{} labour hours a square to lay, before factors.",
            hours.0
        ));
    }
    if let (Some(hours), true) = (
        labour.tear_off_hours_per_square,
        lines.iter().any(|l| l.tear_off),
    ) {
        said.push(format!(
            "{} labour hours a square to tear off one layer.",
            hours.0
        ));
    }
    for line in lines.iter().filter(|l| l.factor != Decimal::ONE) {
        said.push(format!(
            "{}: factor {}.",
            line.what,
            line.factor.normalize()
        ));
    }
    said
}
