//! What comes off the roof: weight, volume, containers, and deck sheets as an allowance (rule `reroof-layers`).

use super::item::Item;
use super::need::{Need, Needs};
use super::pieces;
use super::site::Site;
use crate::Finding;

/// Weight of one layer with felt and nails, in pounds a square: the middle of 230 to 320, common practice, no source.
pub const LB_PER_SQUARE_AND_LAYER: f64 = 275.0;
/// Volume of one layer, in cubic yards a square: from 415 lb a cubic yard, worked out of a trade journal's 11 million
/// tons and 53 million cubic yards (read).
pub const CUYD_PER_SQUARE_AND_LAYER: f64 = 0.6;
/// A container, in cubic yards: common practice, no source.
pub const CONTAINER_CUYD: f64 = 20.0;
/// What it may weigh, in pounds: common practice, no source (haulers allow 4 to 8 tons).
pub const CONTAINER_LB: f64 = 8000.0;
/// Where these figures come from.
pub const TEAR_OFF_SOURCE: &str = "weight: the middle of what is common practice, no source; volume: worked out of a trade journal's tonnage, read; containers: common practice, no source";
/// No more than this many layers may lie on the deck (R908.3.1.1).
const LAYERS_ALLOWED: u32 = 2;

/// What comes off. Measured on the exact area, without waste.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TearOff {
    /// Squares of roof to strip.
    pub squares: f64,
    /// Layers on them.
    pub layers: u32,
    /// Weight in pounds.
    pub weight_lb: f64,
    /// Volume in cubic yards.
    pub volume_cuyd: f64,
    /// Containers of 20 cubic yards and 4 tons, whichever is full first.
    pub containers: f64,
}

impl TearOff {
    /// Of an area and a number of layers.
    pub fn of(squares: f64, layers: u32) -> Self {
        let weight_lb = squares * f64::from(layers) * LB_PER_SQUARE_AND_LAYER;
        let volume_cuyd = squares * f64::from(layers) * CUYD_PER_SQUARE_AND_LAYER;
        Self {
            squares,
            layers,
            weight_lb,
            volume_cuyd,
            containers: pieces::holding(weight_lb, CONTAINER_LB)
                .max(pieces::holding(volume_cuyd, CONTAINER_CUYD)),
        }
    }
}

/// The squares to strip, and the deck's allowance.
pub(super) fn needs(site: &Site<'_>, out: &mut Needs) -> f64 {
    let settings = site.settings;
    let Some(layers) = settings.existing_layers else {
        out.findings.push(
            Finding::note(
                "layers-not-said",
                "Nobody said how many layers of roofing lie on the deck; nothing is listed for tearing off.",
            )
            .remedy("Say `existing_layers` under [site] in the job file; 0 for a new roof."),
        );
        return 0.0;
    };
    if !settings.tear_off {
        if layers >= LAYERS_ALLOWED && settings.applies("reroof-layers") {
            out.findings.push(
                Finding::warning(
                    "too-many-layers",
                    format!(
                        "{layers} layers are to stay under the new shingles; with two or more the code has them removed (IRC R908.3.1.1)."
                    ),
                )
                .remedy("Say `tear_off = true` under [site], or settle it with the building department."),
            );
        }
        return 0.0;
    }
    if layers == 0 {
        return 0.0;
    }
    let squares: f64 = site
        .faces()
        .map(|(_, face)| face.true_area.to_squares())
        .sum();
    let sheets = squares / 10.0 * settings.deck_sheets_per_10_squares;
    out.push(Need::loose(
        Item::DeckSheet,
        "an allowance, by the squares torn off, until the deck is seen:",
        sheets,
        sheets,
    ));
    squares
}
