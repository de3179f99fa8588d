//! Slips that make a stated area wrong, each with the figure that it leaves.

use super::alternatives::{CLOSE, EXACT, NEAR};
use super::settings::Overhang;
use crate::roof::FaceId;

/// Why a stated area may differ. What each gives for the roof at hand is computed in [`super::alternatives`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cause {
    /// The plan area was stated for the area on the slope.
    PlanForTrue,
    /// The plan area with openings in it was stated for the area on the slope without them.
    PlanWithOpenings,
    /// The plan area that is seen from above, without the roof beneath higher levels, was stated for the area on the slope.
    FootprintForTrue,
    /// The area on the slope was stated where the words say plan.
    TrueForPlan,
    /// Measured to the walls: the overhang was left out.
    OverhangLeftOut {
        /// At eaves, in feet of plan.
        eave_ft: f64,
        /// At rakes, in feet of plan.
        rake_ft: f64,
        /// Whether the overhang was chosen here so that it fits.
        chosen: bool,
    },
    /// Measured to the walls, and in plan.
    PlanInsideWalls {
        /// At eaves, in feet of plan.
        eave_ft: f64,
        /// At rakes, in feet of plan.
        rake_ft: f64,
    },
    /// Lengths were measured at another scale.
    Scale(Slip),
    /// A page shrunk to fit the paper; the part of the true size was chosen here so that it fits.
    FitToPage {
        /// Size over true size.
        factor: f64,
    },
    /// The figure is in square metres, the unit says square feet.
    MetresForFeet,
    /// The figure is in square feet, the unit says square metres.
    FeetForMetres,
    /// The figure is in roofing squares, the unit says square feet.
    SquaresForFeet,
    /// The figure is in roofing squares, the unit says square metres.
    SquaresForMetres,
    /// The figure is in square feet, the unit says squares.
    FeetForSquares,
    /// A point that parts thousands was read as a decimal point.
    PointForThousands,
    /// Only one side of the roof, the faces that fall one way.
    OneSide {
        /// The first of the faces counted.
        face: FaceId,
    },
    /// Both sides of a ridge were stated for one.
    BothSides {
        /// The face on the other side.
        other: FaceId,
    },
    /// The figures of two faces stand for each other.
    Exchanged {
        /// The face whose figure this is.
        other: FaceId,
    },
    /// A face was left out.
    FaceMissing(FaceId),
    /// Several faces were left out.
    FacesMissing(FaceSet),
    /// A wing was left out, as if the slope that it stands on ran on beneath it.
    WingMissing {
        /// The faces of the wing.
        faces: FaceSet,
        /// The slope that it stands on.
        on: FaceId,
    },
    /// A face was counted twice.
    FaceTwice(FaceId),
    /// Every face was counted twice.
    AllTwice,
    /// Half of the roof was counted, whichever half: areas and lengths are halves alike.
    HalfCounted,
    /// The faces of a higher level were left out.
    LevelMissing {
        /// The level, 0 for the lowest.
        level: u32,
    },
    /// A building that stands apart from the others was left out.
    BuildingMissing {
        /// Its faces.
        faces: FaceSet,
    },
    /// The faces of a higher level were counted twice.
    LevelTwice {
        /// The level, 0 for the lowest.
        level: u32,
    },
    /// The roof beneath higher levels was not counted.
    CoveredLeftOut,
    /// The area of the whole roof was stated for a part of it.
    WholeForPart,
    /// Openings and parts covered by others were not taken out.
    OpeningsLeftIn,
    /// The area on the slope was multiplied by the slope factor once more.
    SlopeTwice,
    /// Another pitch was used.
    OtherPitch {
        /// Rise in 12.
        in_12: f64,
    },
}

/// Some of a roof's first 64 faces.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct FaceSet(u64);

impl FaceSet {
    /// Faces that a set can name.
    pub(super) const MOST: usize = 64;

    /// The set of some faces; `None` where one lies beyond the first 64.
    pub(super) fn of(faces: &[FaceId]) -> Option<Self> {
        (faces.iter())
            .try_fold(0, |bits, face| {
                let bit = 1_u64.checked_shl(u32::try_from(face.0).ok()?)?;
                Some(bits | bit)
            })
            .map(Self)
    }

    /// All sets of so many of the first `n` faces, `n` being small.
    pub(super) fn all_of(n: usize, size: usize) -> impl Iterator<Item = Self> {
        let sets = 0..1_u64 << n.min(63);
        sets.filter(move |bits| bits.count_ones() as usize == size)
            .map(Self)
    }

    /// Its faces, in the roof's order.
    pub fn faces(self) -> impl Iterator<Item = FaceId> {
        (0..Self::MOST)
            .filter(move |i| self.0 >> i & 1 == 1)
            .map(FaceId)
    }
}

/// A known slip in scale: lengths come out as `factor` of what they are, areas as its square.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    /// A stable name.
    pub key: &'static str,
    /// Length stated over length true.
    pub factor: f64,
    /// What happened.
    pub words: &'static str,
}

const fn slip(key: &'static str, factor: f64, words: &'static str) -> Slip {
    Slip { key, factor, words }
}

/// The slip in scale that is made most.
pub(super) const HALF_SIZE: Slip = slip("half-size", 0.5, "measured on a half-size print");

/// Slips in scale that drawings are known for. The ratios are arithmetic of paper sizes, scales and screen units. A key
/// `x-for-y` says that x was taken where y is right. Units to the inch divide: 96 units are an inch of paper, and an inch
/// and a third where 72 are taken for one. Denominators of scales multiply.
pub(super) const SLIPS: [Slip; 10] = [
    HALF_SIZE,
    slip("double-size", 2.0, "measured on a print of twice the size"),
    slip(
        "dpi-72-for-96",
        96.0 / 72.0,
        "96 units to the inch read as 72",
    ),
    slip(
        "dpi-96-for-72",
        72.0 / 96.0,
        "72 units to the inch read as 96",
    ),
    slip(
        "dpi-90-for-96",
        96.0 / 90.0,
        "96 units to the inch read as 90",
    ),
    slip(
        "dpi-96-for-90",
        90.0 / 96.0,
        "90 units to the inch read as 96",
    ),
    slip(
        "scale-96-for-100",
        0.96,
        "1:100 measured as 1:96 (or 1:50 as 1:48)",
    ),
    slip(
        "scale-100-for-96",
        1.0 / 0.96,
        "1:96 measured as 1:100 (or 1:48 as 1:50)",
    ),
    slip(
        "print-17-for-36",
        17.0 / 36.0,
        "a 24 × 36 in sheet squeezed onto 11 × 17 in by its length",
    ),
    slip(
        "print-11-for-24",
        11.0 / 24.0,
        "a 24 × 36 in sheet squeezed onto 11 × 17 in by its height",
    ),
];

impl Cause {
    /// A stable name for scripts.
    pub const fn key(&self) -> &'static str {
        match self {
            Self::PlanForTrue => "plan-for-true",
            Self::PlanWithOpenings => "plan-with-openings-for-true",
            Self::FootprintForTrue => "footprint-for-true",
            Self::TrueForPlan => "true-for-plan",
            Self::OverhangLeftOut { .. } => "overhang-left-out",
            Self::PlanInsideWalls { .. } => "plan-inside-walls",
            Self::Scale(slip) => slip.key,
            Self::FitToPage { .. } => "fit-to-page",
            Self::MetresForFeet => "square-metres-for-feet",
            Self::FeetForMetres => "square-feet-for-metres",
            Self::SquaresForFeet => "squares-for-square-feet",
            Self::SquaresForMetres => "squares-for-square-metres",
            Self::FeetForSquares => "square-feet-for-squares",
            Self::PointForThousands => "point-for-thousands",
            Self::OneSide { .. } => "one-side",
            Self::BothSides { .. } => "both-sides",
            Self::Exchanged { .. } => "exchanged",
            Self::FaceMissing(_) => "face-missing",
            Self::FacesMissing(_) => "faces-missing",
            Self::WingMissing { .. } => "wing-missing",
            Self::FaceTwice(_) => "face-twice",
            Self::AllTwice => "all-twice",
            Self::HalfCounted => "half-counted",
            Self::LevelMissing { .. } => "level-missing",
            Self::BuildingMissing { .. } => "building-missing",
            Self::LevelTwice { .. } => "level-twice",
            Self::CoveredLeftOut => "covered-left-out",
            Self::WholeForPart => "whole-for-part",
            Self::OpeningsLeftIn => "openings-left-in",
            Self::SlopeTwice => "slope-factor-twice",
            Self::OtherPitch { .. } => "other-pitch",
        }
    }

    /// Whether a number in it was chosen so that it fits: such a cause proves little.
    pub const fn is_fitted(&self) -> bool {
        matches!(
            self,
            Self::FitToPage { .. } | Self::OverhangLeftOut { chosen: true, .. }
        )
    }

    /// How far a figure may be rounded, as a part of it, that shows this slip by itself: least where a roof has a dozen figures of
    /// a kind (pitches, scales, faces), of which some always lies near a rounded one.
    pub(super) const fn shown_within(&self) -> f64 {
        match self {
            Self::PlanForTrue
            | Self::PlanWithOpenings
            | Self::FootprintForTrue
            | Self::TrueForPlan
            | Self::OverhangLeftOut { chosen: false, .. }
            | Self::PlanInsideWalls { .. }
            | Self::MetresForFeet
            | Self::FeetForMetres
            | Self::SquaresForFeet
            | Self::SquaresForMetres
            | Self::FeetForSquares
            | Self::PointForThousands => NEAR,
            Self::OpeningsLeftIn
            | Self::WholeForPart
            | Self::BothSides { .. }
            | Self::OneSide { .. }
            | Self::AllTwice => CLOSE,
            _ => EXACT,
        }
    }

    /// Whether it is an overhang that was left out.
    pub(super) const fn is_overhang(&self) -> bool {
        matches!(self, Self::OverhangLeftOut { .. })
    }

    /// The overhang that it leaves out.
    pub(super) const fn overhang(&self) -> Option<Overhang> {
        match *self {
            Self::OverhangLeftOut {
                eave_ft, rake_ft, ..
            }
            | Self::PlanInsideWalls { eave_ft, rake_ft } => Some(Overhang { eave_ft, rake_ft }),
            _ => None,
        }
    }

    /// Whether faces were miscounted.
    pub(super) const fn is_of_counting(&self) -> bool {
        matches!(
            self,
            Self::OneSide { .. }
                | Self::FaceMissing(_)
                | Self::FacesMissing(_)
                | Self::WingMissing { .. }
                | Self::FaceTwice(_)
                | Self::AllTwice
                | Self::HalfCounted
                | Self::LevelMissing { .. }
                | Self::BuildingMissing { .. }
                | Self::LevelTwice { .. }
                | Self::CoveredLeftOut
        )
    }

    /// Whether it can have happened where every face was stated right: in adding them, or in the figure that was written.
    pub(super) const fn is_of_adding(&self) -> bool {
        self.is_of_counting()
            || matches!(
                self,
                Self::PlanForTrue
                    | Self::PlanWithOpenings
                    | Self::FootprintForTrue
                    | Self::TrueForPlan
                    | Self::OpeningsLeftIn
                    | Self::MetresForFeet
                    | Self::FeetForMetres
                    | Self::SquaresForFeet
                    | Self::SquaresForMetres
                    | Self::FeetForSquares
                    | Self::PointForThousands
            )
    }

    /// What two causes have in common that are the same slip, whatever numbers the roof gives it.
    pub(super) const fn likeness(&self) -> (&'static str, u64) {
        match self {
            Self::OtherPitch { in_12 } => (self.key(), in_12.to_bits()),
            // A face with a chimney, one that runs on beneath a higher level and one with neither, all stated in plan.
            Self::PlanForTrue | Self::PlanWithOpenings | Self::FootprintForTrue => {
                (Self::PlanForTrue.key(), 0)
            }
            _ => (self.key(), 0),
        }
    }
}
