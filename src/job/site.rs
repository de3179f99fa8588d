//! `[site]`: what the code and the building ask for.

use serde::{Deserialize, Serialize};

use super::{Measure, Surface};

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
    pub wall_thickness: Option<Measure>,
    /// From which face of the wall the 24 in of the ice barrier are counted.
    pub wall_face: Option<WallFace>,
    /// Storeys up to the eaves.
    pub storeys: Option<u32>,
    /// Layers of roofing on the deck now; 0 for a new roof.
    pub existing_layers: Option<u32>,
    /// Whether they are torn off; otherwise the new shingles go over them.
    pub tear_off: Option<bool>,
    /// Thickness of the deck.
    pub deck_thickness: Option<Measure>,
    /// Floor area of the attic to be vented.
    pub attic_floor: Option<Surface>,
    /// One part of net free area to so many parts of attic floor.
    pub vent_ratio: Option<VentRatio>,
    /// Whether ridges are vented.
    pub ridge_vent: Option<bool>,
}

/// An edition of the International Residential Code.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Edition {
    /// 2009.
    #[serde(rename = "2009")]
    Irc2009,
    /// 2012.
    #[serde(rename = "2012")]
    Irc2012,
    /// 2015.
    #[serde(rename = "2015")]
    Irc2015,
    /// 2018.
    #[serde(rename = "2018")]
    Irc2018,
    /// 2021.
    #[default]
    #[serde(rename = "2021")]
    Irc2021,
    /// 2024.
    #[serde(rename = "2024")]
    Irc2024,
}

impl Edition {
    /// The year.
    pub const fn year(self) -> u16 {
        match self {
            Self::Irc2009 => 2009,
            Self::Irc2012 => 2012,
            Self::Irc2015 => 2015,
            Self::Irc2018 => 2018,
            Self::Irc2021 => 2021,
            Self::Irc2024 => 2024,
        }
    }
}

/// The wind zone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Wind {
    /// The ordinary number of nails.
    #[default]
    Ordinary,
    /// The high-wind number of nails.
    High,
}

/// A face of the exterior wall.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WallFace {
    /// The room side.
    #[default]
    Inside,
    /// The weather side.
    Outside,
}

/// Net free vent area to attic floor.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum VentRatio {
    /// 1/150.
    #[default]
    #[serde(rename = "1/150")]
    OneIn150,
    /// 1/300, where the code's conditions for it hold.
    #[serde(rename = "1/300")]
    OneIn300,
}

impl VentRatio {
    /// Parts of attic floor to one part of net free area.
    pub const fn parts(self) -> f64 {
        match self {
            Self::OneIn150 => 150.0,
            Self::OneIn300 => 300.0,
        }
    }
}
