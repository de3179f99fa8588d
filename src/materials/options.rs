//! The choices that the rules depend on, as job files write them.

use serde::{Deserialize, Serialize};

use super::Item;

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

/// The sheet under the shingles.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum UnderlaymentKind {
    /// No. 15 felt.
    #[default]
    #[serde(rename = "felt-15")]
    Felt15,
    /// No. 30 felt.
    #[serde(rename = "felt-30")]
    Felt30,
    /// A synthetic sheet.
    Synthetic,
}

impl UnderlaymentKind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Felt15, Self::Felt30, Self::Synthetic];

    /// As job files write it, and as prices tell one from another.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Felt15 => "felt-15",
            Self::Felt30 => "felt-30",
            Self::Synthetic => "synthetic",
        }
    }
    /// The key by which its price is looked up.
    pub fn price_key(self) -> String {
        format!("{}:{}", Item::Underlayment.key(), self.key())
    }
}

/// What lies in a closed or woven valley.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ValleyLining {
    /// Self-adhered sheet.
    #[default]
    SelfAdhered,
    /// One ply of smooth roll roofing.
    SmoothRoll,
    /// Metal, as in an open valley.
    Metal,
}

/// Where cap flashing goes over the base flashing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Counterflashing {
    /// Nowhere.
    None,
    /// Round chimneys.
    #[default]
    Chimneys,
    /// Round chimneys and along walls.
    ChimneysAndWalls,
}

/// The flashing along walls that run up the slope.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SidewallFlashing {
    /// One bent piece a course.
    #[default]
    Step,
    /// Long bent pieces on the true length.
    Continuous,
}

/// How crickets are made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CricketKind {
    /// A saddle of sheet metal.
    #[default]
    Metal,
    /// None is listed: they are in the plan or somebody else's work.
    None,
}
