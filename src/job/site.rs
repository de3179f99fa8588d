//! `[site]`: what the code and the building ask for.

use serde::Deserialize;

use crate::materials::{Edition, VentRatio, WallFace, Wind};
use crate::units::{AreaText, LengthText};

/// `[site]`.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Site {
    /// The edition of the residential code.
    pub code: Option<Edition>,
    /// Rules of the table of rules that do not apply here, by their names.
    pub rules_off: Vec<String>,
    /// Whether shingles get the nails of a high wind zone.
    pub wind: Option<Wind>,
    /// Whether the code's table asks for an ice barrier here.
    pub ice_barrier: Option<bool>,
    /// Thickness of the exterior wall.
    pub wall_thickness: Option<LengthText>,
    /// From which face of the wall the 24 in of the ice barrier are counted.
    pub wall_face: Option<WallFace>,
    /// Storeys up to the eaves.
    pub storeys: Option<u32>,
    /// Layers of roofing on the deck now; 0 for a new roof.
    pub existing_layers: Option<u32>,
    /// Whether they are torn off; otherwise the new shingles go over them.
    pub tear_off: Option<bool>,
    /// Thickness of the deck.
    pub deck_thickness: Option<LengthText>,
    /// Floor area of the attic to be vented.
    pub attic_floor: Option<AreaText>,
    /// One part of net free area to so many parts of attic floor.
    pub vent_ratio: Option<VentRatio>,
    /// Whether ridges are vented.
    pub ridge_vent: Option<bool>,
}
