//! The head of a list of stated figures: in which unit, and on which surface, the figures below it are that say neither.

use super::figure;
use super::stated::SurfaceSaid;
use crate::Finding;
use crate::drawing::text::{normalise, parse_area};
use crate::finding::excerpt;
use crate::units::text::LengthUnit;

/// What a figure is in, and on which surface, that says neither itself.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bare {
    /// The unit of an area, as it may be written beside one.
    pub(super) area: String,
    pub(super) length: LengthUnit,
    pub(super) surface: SurfaceSaid,
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
            surface: SurfaceSaid::True,
        }
    }

    /// What a unit of either kind says, that of the other kind by its system; `None` where it is no unit.
    fn of_unit(unit: &str) -> Option<Self> {
        let one = format!("1 {unit}");
        if let Some(area) = parse_area(&one) {
            // A square metre is more than ten square feet, a roofing square a hundred of them.
            let metric = (2.0..50.0).contains(&area.square_feet);
            return Some(Self {
                area: unit.to_owned(),
                ..Self::in_system(metric)
            });
        }
        let length = figure::unit_of_length(unit)?;
        Some(Self {
            length,
            ..Self::in_system(length.is_metric())
        })
    }
}

/// Words of a head that say what stands below it, and are no unit.
const MEASURES: [&str; 16] = [
    "area", "areas", "length", "lengths", "value", "values", "figure", "figures", "size", "total",
    "stated", "roof", "surface", "measured", "of", "in",
];
/// Words that say that it is in plan, and those that say that it is on the slope.
const IN_PLAN: [&str; 3] = ["plan", "projected", "horizontal"];
const ON_SLOPE: [&str; 3] = ["true", "sloped", "slope"];

/// The most words of a unit: `linear feet`, `square metres`.
const MOST_WORDS: usize = 2;

/// Reads a head: the cell over the figures, and the one over their units. Told is where it says another system of units than
/// `metric`, and what stands there like a unit and is none.
pub(super) fn read(figures: &str, units: &str, line: u64, metric: bool) -> (Bare, Vec<Finding>) {
    let mut words = words_of(figures);
    let unit = take_unit(&mut words).or_else(|| take_unit(&mut words_of(units)));
    let mut told = Vec::new();
    let mut bare = Bare::in_system(metric);
    if let Some((unit, of_unit)) = unit {
        bare = of_unit;
        if bare.length.is_metric() != metric {
            let asked = if metric { "m" } else { "ft" };
            let message = format!(
                "The list of stated figures, line {line}: its head says “{}”, so figures without a unit are read in that, \
                 though numbers are written here in {asked}.",
                excerpt(&unit)
            );
            told.push(Finding::note("against-head-unit", message));
        }
    } else if let Some(unread) = unread(figures, &words) {
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
    if let Some(surface) = surface(&words) {
        bare.surface = surface;
    }
    (bare, told)
}

/// The words of a cell, whatever stands between them: `true_area_ft2`, `Area (sq. ft)`, `area [m²]`.
fn words_of(cell: &str) -> Vec<String> {
    let plain = normalise(cell).replace("sq. ", "sq ");
    let between = |c: char| c.is_whitespace() || "_()[]{}:;,/=-".contains(c);
    let words = plain.split(between).map(|w| w.trim_matches('.'));
    words.filter(|w| !w.is_empty()).map(str::to_owned).collect()
}

/// Takes the unit out of some words, the one of most words.
fn take_unit(words: &mut Vec<String>) -> Option<(String, Bare)> {
    for count in (1..=MOST_WORDS).rev() {
        for from in 0..(words.len() + 1).saturating_sub(count) {
            let unit = words[from..from + count].join(" ");
            if !MEASURES.contains(&unit.as_str())
                && let Some(bare) = Bare::of_unit(&unit)
            {
                words.drain(from..from + count);
                return Some((unit, bare));
            }
        }
    }
    None
}

fn is_known(word: &str) -> bool {
    let all = [&MEASURES[..], &IN_PLAN, &ON_SLOPE];
    all.iter().any(|of| of.contains(&word))
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

/// What stands like a unit and is none: in brackets, or with a raised 2.
fn unread<'a>(cell: &'a str, words: &[String]) -> Option<&'a str> {
    let like_one = cell.contains(['(', '[', '²']) || cell.ends_with('2');
    (like_one && !words.iter().all(|w| is_known(w))).then_some(cell)
}
