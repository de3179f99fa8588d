//! The head of a list of stated figures: in which unit, and on which surface, the figures below it are that say neither.

use super::figure;
use super::stated::SurfaceSaid;
use crate::Finding;
use crate::drawing::text::{normalise, parse_area};
use crate::finding::excerpt;
use crate::units::SQUARE_FEET_PER_SQUARE;
use crate::units::text::LengthUnit;

/// What a figure is in, and on which surface, that says neither itself.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bare {
    /// The unit of an area, as it may be written beside one.
    pub(super) area: String,
    pub(super) length: LengthUnit,
    pub(super) area_surface: SurfaceSaid,
    pub(super) length_surface: SurfaceSaid,
}

impl Bare {
    /// Square feet and feet, or square metres and metres, on the slope.
    pub(super) fn in_system(metric: bool) -> Self {
        let (area, length) = if metric {
            ("m2", LengthUnit::Metres)
        } else {
            ("sf", LengthUnit::Feet)
        };
        Self {
            area: area.to_owned(),
            length,
            area_surface: SurfaceSaid::True,
            length_surface: SurfaceSaid::True,
        }
    }
}

/// A unit in a head, as it was written there.
struct Unit {
    words: String,
    of: UnitOf,
}

enum UnitOf {
    Area {
        /// As it may be written beside a figure.
        unit: String,
        /// The system of lengths that it is of; roofing squares are of either.
        metric: Option<bool>,
    },
    Length(LengthUnit),
}

impl Unit {
    fn known(words: &str) -> Option<Self> {
        let area = |unit: &str| {
            let area = parse_area(&format!("1 {unit}"))?;
            // A square metre is more than ten square feet.
            let metric = (2.0..50.0).contains(&area.square_feet);
            let squares = area.square_feet >= SQUARE_FEET_PER_SQUARE;
            Some(UnitOf::Area {
                unit: unit.to_owned(),
                metric: (!squares).then_some(metric),
            })
        };
        let length = || figure::unit_of_length(words).map(UnitOf::Length);
        let of = squared(words).or_else(|| area(words)).or_else(length)?;
        Some(Self {
            words: words.to_owned(),
            of,
        })
    }

    /// What figures of either kind are in, that of the other kind by the unit's system.
    fn bare(&self, metric: bool) -> Bare {
        match &self.of {
            UnitOf::Area { unit, metric: of } => Bare {
                area: unit.clone(),
                ..Bare::in_system(of.unwrap_or(metric))
            },
            UnitOf::Length(length) => Bare {
                length: *length,
                ..Bare::in_system(length.is_metric())
            },
        }
    }
}

/// What stands before the unit of a square's side, and by itself is a roofing square.
const SQUARE: [&str; 2] = ["sq", "square"];
/// The sides of squares.
const FEET: [&str; 5] = ["ft", "foot", "feet", "footage", "footages"];
const METRES: [&str; 8] = [
    "m", "metre", "metres", "meter", "meters", "mtr", "mtrs", "mts",
];

/// `square footage`, `sq mtrs`.
fn squared(words: &str) -> Option<UnitOf> {
    let (square, side) = words.split_once(' ')?;
    let metric = METRES.contains(&side);
    let known = SQUARE.contains(&square) && (metric || FEET.contains(&side));
    known.then(|| UnitOf::Area {
        unit: if metric { "m2" } else { "sf" }.to_owned(),
        metric: Some(metric),
    })
}

/// Words of a head that say what stands below it, and are no unit. `in` is one where nothing stands behind it.
const MEASURES: [&str; 16] = [
    "area", "areas", "length", "lengths", "value", "values", "figure", "figures", "size", "total",
    "stated", "roof", "surface", "measured", "of", IN,
];
const IN: &str = "in";
/// Words that say that it is in plan, and those that say that it is on the slope.
const IN_PLAN: [&str; 3] = ["plan", "projected", "horizontal"];
const ON_SLOPE: [&str; 3] = ["true", "sloped", "slope"];
/// Words that say of which kind of figures the head speaks.
const OF_AREAS: [&str; 2] = ["area", "areas"];
const OF_LENGTHS: [&str; 2] = ["length", "lengths"];

/// The most words of a unit: `linear feet`, `square metres`.
const MOST_WORDS: usize = 2;

/// Reads a head: the cell over the figures, and the one over their units. Told is where it says another system of units than
/// `metric`, and what stands there like a unit and is none.
pub(super) fn read(figures: &str, units: &str, line: u64, metric: bool) -> (Bare, Vec<Finding>) {
    let [mut words, mut of_units] = [figures, units].map(words_of);
    let unit = match take_unit(&mut words) {
        Some(unit) if unit.words != IN => Some(unit),
        // `Length in` over figures may go on over their units.
        last => take_unit(&mut of_units).or(last),
    };
    let mut told = Vec::new();
    let mut bare = Bare::in_system(metric);
    if let Some(unit) = &unit {
        bare = unit.bare(metric);
        if bare.length.is_metric() != metric {
            let asked = if metric { "m" } else { "ft" };
            let message = format!(
                "The list of stated figures, line {line}: its head says “{}”, so figures without a unit are read in that, \
                 though numbers are written here in {asked}.",
                excerpt(&unit.words)
            );
            told.push(Finding::note("against-head-unit", message));
        }
    } else if let Some(unread) = unread(figures, &words).or_else(|| unread_unit(units, &of_units)) {
        let message = format!(
            "The list of stated figures, line {line}: “{}” in its head is no unit that is known; figures without one are \
             read as {}.",
            excerpt(unread),
            if metric { "m² and m" } else { "ft² and ft" }
        );
        told.push(
            Finding::warning("against-head-unread", message)
                .remedy("Write ft2, m2, squares, ft or m there, or beside each figure."),
        );
    }
    if let Some(surface) = surface(&words).or_else(|| surface(&of_units)) {
        let says = |of: &[&str]| words.iter().chain(&of_units).any(|w| of.contains(&&**w));
        let is_area = unit.is_some_and(|u| matches!(u.of, UnitOf::Area { .. }));
        let (areas, lengths) = (is_area || says(&OF_AREAS), says(&OF_LENGTHS));
        // A head of areas says nothing about lengths below it, nor one of lengths about areas.
        if areas || !lengths {
            bare.area_surface = surface;
        }
        if lengths || !areas {
            bare.length_surface = surface;
        }
    }
    (bare, told)
}

/// The words of a cell, whatever stands between them: `true_area_ft2`, `Area (sq. ft)`, `area [m²]`.
fn words_of(cell: &str) -> Vec<String> {
    // In brackets it is the unit, whatever stands behind them.
    let plain = normalise(cell).replace("(in)", "inches");
    let plain = plain.replace("[in]", "inches").replace("sq.", "sq ");
    let between = |c: char| c.is_whitespace() || "_()[]{}:;,/=-".contains(c);
    let words = plain.split(between).map(|w| w.trim_matches('.'));
    words.filter(|w| !w.is_empty()).map(str::to_owned).collect()
}

/// Takes the unit out of some words, the one of most words.
fn take_unit(words: &mut Vec<String>) -> Option<Unit> {
    for count in (1..=MOST_WORDS).rev() {
        for from in 0..(words.len() + 1).saturating_sub(count) {
            let unit = words[from..from + count].join(" ");
            if may_be_unit(words, from, count)
                && let Some(unit) = Unit::known(&unit)
            {
                words.drain(from..from + count);
                return Some(unit);
            }
        }
    }
    None
}

/// Whether words at a place may be a unit by what stands round them.
fn may_be_unit(words: &[String], from: usize, count: usize) -> bool {
    let (word, behind) = (words[from].as_str(), &words[from + count..]);
    // `square yards` is no square and no yard, `sq in` no inch.
    let is_side = from > 0 && is_square(&words[from - 1]);
    // What is said of the surface is no part of a unit.
    let several = &words[from..from + count];
    if is_side || several.iter().any(|w| says_surface(w)) {
        return false;
    }
    match count {
        1 if word == IN => behind.is_empty(),
        1 if is_square(word) => behind.iter().all(|w| says_surface(w)),
        1 => !MEASURES.contains(&word),
        _ => !is_square(word) || squared(&several.join(" ")).is_some(),
    }
}

fn is_square(word: &str) -> bool {
    SQUARE.contains(&word)
}

fn says_surface(word: &str) -> bool {
    [IN_PLAN, ON_SLOPE].iter().any(|of| of.contains(&word))
}

fn is_known(word: &str) -> bool {
    MEASURES.contains(&word) || says_surface(word)
}

/// What the words beside the unit say, where they say nothing that is not known: a figure may be taken from a plan and be none
/// in plan.
fn surface(words: &[String]) -> Option<SurfaceSaid> {
    let says = |of: &[&str]| words.iter().any(|w| of.contains(&w.as_str()));
    match words.iter().all(|w| is_known(w)) {
        true if says(&IN_PLAN) => Some(SurfaceSaid::Plan),
        true if says(&ON_SLOPE) => Some(SurfaceSaid::True),
        _ => None,
    }
}

/// What stands like a unit and is none: in brackets, or squared.
fn unread<'a>(cell: &'a str, words: &[String]) -> Option<&'a str> {
    let in_brackets = cell.contains(['(', '[']) && !words.iter().all(|w| is_known(w));
    in_brackets
        .then_some(cell)
        .or_else(|| unread_unit(cell, words))
}

/// What is squared over the units and is no unit: other words there may say anything.
fn unread_unit<'a>(cell: &'a str, words: &[String]) -> Option<&'a str> {
    let squared = cell.contains('²') || cell.ends_with('2') || words.iter().any(|w| is_square(w));
    (squared && !words.iter().all(|w| is_known(w))).then_some(cell)
}
