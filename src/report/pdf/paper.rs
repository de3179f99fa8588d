//! Sizes of paper.

use crate::report::OutputUnits;

/// A size of paper. Sheets are turned to landscape or portrait as their content asks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 8½ × 11 in (ANSI A).
    #[default]
    Letter,
    /// 11 × 17 in (ANSI B).
    Tabloid,
    /// 9 × 12 in.
    ArchA,
    /// 12 × 18 in.
    ArchB,
    /// 18 × 24 in.
    ArchC,
    /// 24 × 36 in.
    ArchD,
    /// 36 × 48 in.
    ArchE,
    /// 30 × 42 in.
    ArchE1,
    /// 210 × 297 mm (ISO 216).
    A4,
    /// 297 × 420 mm (ISO 216).
    A3,
}

impl Paper {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Letter,
        Self::Tabloid,
        Self::ArchA,
        Self::ArchB,
        Self::ArchC,
        Self::ArchD,
        Self::ArchE,
        Self::ArchE1,
        Self::A4,
        Self::A3,
    ];

    /// What is printed on where nobody says: letter, or A4 where metres are written.
    pub const fn usual(units: OutputUnits) -> Self {
        match units {
            OutputUnits::Feet => Self::Letter,
            OutputUnits::Metres => Self::A4,
        }
    }
    /// The name to choose it by.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Letter => "letter",
            Self::Tabloid => "tabloid",
            Self::ArchA => "arch-a",
            Self::ArchB => "arch-b",
            Self::ArchC => "arch-c",
            Self::ArchD => "arch-d",
            Self::ArchE => "arch-e",
            Self::ArchE1 => "arch-e1",
            Self::A4 => "a4",
            Self::A3 => "a3",
        }
    }
    /// The next larger size of its family, for what is too fine for a sheet of the hand; a larger sheet that somebody chose
    /// stays, since what prints it prints no larger one.
    pub(crate) const fn larger(self) -> Self {
        match self {
            Self::Letter => Self::Tabloid,
            Self::ArchA => Self::ArchB,
            Self::A4 => Self::A3,
            other => other,
        }
    }
    /// The size of its family for what is carried up a ladder or signed at a table.
    pub(crate) const fn in_the_hand(self) -> Self {
        match self {
            Self::A4 | Self::A3 => Self::A4,
            Self::ArchA => Self::ArchA,
            Self::Letter
            | Self::Tabloid
            | Self::ArchB
            | Self::ArchC
            | Self::ArchD
            | Self::ArchE
            | Self::ArchE1 => Self::Letter,
        }
    }
    /// The size of its family for tables and text, which nobody measures from and nobody reads better a yard wide.
    pub(crate) const fn on_the_desk(self) -> Self {
        match self {
            Self::ArchC | Self::ArchD | Self::ArchE | Self::ArchE1 => Self::ArchB,
            other => other,
        }
    }
    /// The shorter and the longer side in mm.
    pub(crate) const fn sides_mm(self) -> (f64, f64) {
        match self {
            Self::Letter => (215.9, 279.4),
            Self::Tabloid => (279.4, 431.8),
            Self::ArchA => (228.6, 304.8),
            Self::ArchB => (304.8, 457.2),
            Self::ArchC => (457.2, 609.6),
            Self::ArchD => (609.6, 914.4),
            Self::ArchE => (914.4, 1219.2),
            Self::ArchE1 => (762.0, 1066.8),
            Self::A4 => (210.0, 297.0),
            Self::A3 => (297.0, 420.0),
        }
    }
    /// Width and height in mm, the longer side across.
    pub(crate) const fn landscape(self) -> (f64, f64) {
        let (short, long) = self.sides_mm();
        (long, short)
    }
}

impl std::str::FromStr for Paper {
    type Err = String;
    fn from_str(name: &str) -> Result<Self, String> {
        let wanted = name.trim().to_lowercase();
        Self::ALL
            .into_iter()
            .find(|paper| paper.name() == wanted)
            .ok_or_else(|| {
                let known: Vec<&str> = Self::ALL.iter().map(|paper| paper.name()).collect();
                format!("`{name}` is no paper size: use {}", known.join(", "))
            })
    }
}
