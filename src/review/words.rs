//! What is told of causes, in the units asked for.

use super::cause::{Cause, FaceSet};
use super::counting::are_alike;
use super::length_causes::LengthCause;
use super::settings::ReviewSettings;
use super::stated::{Subject, SurfaceSaid};
use crate::roof::{EdgeClass, FaceId, Roof};
use crate::units::METRES_PER_FOOT;
use crate::units::number::{decimal, listed};

/// How numbers are told.
#[derive(Clone, Copy)]
pub(super) struct Tongue {
    pub(super) metric: bool,
}

impl Tongue {
    pub(super) const fn of(settings: &ReviewSettings) -> Self {
        Self {
            metric: settings.metric,
        }
    }
    pub(super) fn area(self, sqft: f64) -> String {
        if self.metric {
            format!(
                "{} m²",
                decimal(sqft * METRES_PER_FOOT * METRES_PER_FOOT, 1)
            )
        } else {
            format!("{} ft²", decimal(sqft, 1))
        }
    }
    pub(super) fn length(self, feet: f64) -> String {
        if self.metric {
            format!("{} m", decimal(feet * METRES_PER_FOOT, 2))
        } else {
            format!("{} ft", decimal(feet, 2))
        }
    }
    /// A small length such as an overhang.
    fn small(self, feet: f64) -> String {
        if self.metric {
            format!("{} mm", decimal(feet * METRES_PER_FOOT * 1000.0, 0))
        } else {
            let inches = (feet * 120.0).round() / 10.0;
            format!("{inches} in")
        }
    }
}

pub(super) fn subject(roof: &Roof, subject: Subject) -> String {
    match subject {
        Subject::Face(id) => format!("face {}", roof.face(id).name),
        Subject::Part(faces) => format!("faces {}", names(roof, faces.faces(), "and")),
        Subject::Roof => "the whole roof".to_owned(),
    }
}

/// Classes to choose from: `eave or ridge`, `eave, ridge or rake`.
pub(super) fn classes(classes: &[EdgeClass]) -> String {
    let all: Vec<&str> = classes.iter().map(|c| c.words()).collect();
    listed(&all, "or")
}

fn names(roof: &Roof, faces: impl Iterator<Item = FaceId>, word: &str) -> String {
    let all: Vec<&str> = faces.map(|f| roof.face(f).name.as_str()).collect();
    listed(&all, word)
}

/// A face and those of one area with it, which no figure tells from it: `N1 or S1`.
fn alike(roof: &Roof, face: FaceId) -> String {
    let of_one_area = (0..roof.faces.len())
        .map(FaceId)
        .filter(|&other| are_alike(roof.face(other), roof.face(face)));
    names(roof, of_one_area, "or")
}

/// Faces of a set; whether others of one area with them would do as well is told.
fn of_set(roof: &Roof, set: FaceSet) -> String {
    let named = names(roof, set.faces(), "and");
    let inside = |id: FaceId| set.faces().any(|f| f == id);
    let has_twin = |id: FaceId| {
        (0..roof.faces.len())
            .map(FaceId)
            .any(|other| !inside(other) && are_alike(roof.face(other), roof.face(id)))
    };
    if set.faces().any(has_twin) {
        format!("{named} (or others of the same areas)")
    } else {
        named
    }
}

pub(super) const fn surface(surface: SurfaceSaid) -> &'static str {
    match surface {
        SurfaceSaid::True => "true",
        SurfaceSaid::Plan => "plan",
    }
}

impl Cause {
    /// What happened, in a few words.
    pub fn words(&self, roof: &Roof, metric: bool) -> String {
        let tongue = Tongue { metric };
        let name = |id: crate::roof::FaceId| roof.face(id).name.clone();
        match *self {
            Self::PlanForTrue => "plan area, not multiplied by the slope".to_owned(),
            Self::FootprintForTrue => {
                "plan area seen from above, not multiplied by the slope, the roof beneath a higher level left out"
                    .to_owned()
            }
            Self::TrueForPlan => "area on the slope, though it says plan".to_owned(),
            Self::OverhangLeftOut {
                eave_ft,
                rake_ft,
                chosen,
            } => {
                let reach = reach(tongue, eave_ft, rake_ft);
                if chosen {
                    to_the_walls(&reach)
                } else {
                    format!("measured to the walls: overhang of {reach} left out")
                }
            }
            Self::PlanInsideWalls { eave_ft, rake_ft } => format!(
                "plan area inside the walls: neither slope nor overhang of {}",
                reach(tongue, eave_ft, rake_ft)
            ),
            Self::Scale(slip) => slip.words.to_owned(),
            Self::FitToPage { factor } => shrunk(factor),
            Self::MetresForFeet => "square metres stated as square feet".to_owned(),
            Self::FeetForMetres => "square feet stated as square metres".to_owned(),
            Self::SquaresForFeet => "squares stated as square feet".to_owned(),
            Self::SquaresForMetres => "squares stated as square metres".to_owned(),
            Self::FeetForSquares => "square feet stated as squares".to_owned(),
            Self::PointForThousands => {
                "its point parts thousands, and was read as a decimal point".to_owned()
            }
            Self::OneSide { face } => {
                format!("only the side that falls as {} does", name(face))
            }
            Self::BothSides { other } => format!("both sides of the ridge, {} too", name(other)),
            Self::Exchanged { other } => format!("exchanged with face {}", name(other)),
            Self::FaceMissing(face) => format!("face {} left out", alike(roof, face)),
            Self::FacesMissing(set) => format!("faces {} left out", of_set(roof, set)),
            Self::WingMissing { faces, on } => format!(
                "the wing of {} left out, and {} taken straight on beneath it",
                names(roof, faces.faces(), "and"),
                name(on)
            ),
            Self::FaceTwice(face) => format!("face {} counted twice", alike(roof, face)),
            Self::AllTwice => "everything counted twice".to_owned(),
            Self::HalfCounted => {
                "half of the roof counted: areas and lengths are halves alike, which no scale makes them"
                    .to_owned()
            }
            Self::LevelMissing { level } => format!("the faces of level {} left out", level + 1),
            Self::BuildingMissing { faces } => format!(
                "the building of {} left out, which stands apart",
                of_set(roof, faces)
            ),
            Self::LevelTwice { level } => {
                format!("the faces of level {} counted twice", level + 1)
            }
            Self::CoveredLeftOut => {
                "the roof beneath a higher level left out, which is counted here".to_owned()
            }
            Self::WholeForPart => "the area of the whole roof, not of this part".to_owned(),
            Self::OpeningsLeftIn => "openings not taken out".to_owned(),
            Self::PlanWithOpenings => {
                "plan area, not multiplied by the slope, openings not taken out".to_owned()
            }
            Self::SlopeTwice => "multiplied by the slope twice".to_owned(),
            Self::OtherPitch { in_12 } => format!("taken at {in_12}/12"),
        }
    }

    /// What to ask whoever stated it.
    pub fn question(&self) -> &'static str {
        match self {
            Self::PlanForTrue
            | Self::PlanWithOpenings
            | Self::FootprintForTrue
            | Self::SlopeTwice
            | Self::OtherPitch { .. } => {
                "Ask for the area on the slope, and with which pitch it was worked out."
            }
            Self::TrueForPlan => "Ask which of plan and slope is meant.",
            Self::OverhangLeftOut { .. } | Self::PlanInsideWalls { .. } => {
                "Ask for the area to the edge of the roof, and how wide the overhangs are."
            }
            Self::Scale(_) | Self::FitToPage { .. } => {
                "Ask from which print or file it was measured; check one length there against its dimension."
            }
            Self::MetresForFeet
            | Self::FeetForMetres
            | Self::SquaresForFeet
            | Self::SquaresForMetres
            | Self::FeetForSquares => "Ask for the unit.",
            Self::PointForThousands => {
                "Write it without a point, or with a comma: 1,073. A point is a decimal point here."
            }
            Self::Exchanged { .. } => "Ask which figure is of which face.",
            Self::OneSide { .. }
            | Self::BothSides { .. }
            | Self::FaceMissing(_)
            | Self::FacesMissing(_)
            | Self::WingMissing { .. }
            | Self::FaceTwice(_)
            | Self::AllTwice
            | Self::HalfCounted
            | Self::LevelMissing { .. }
            | Self::BuildingMissing { .. }
            | Self::WholeForPart
            | Self::LevelTwice { .. } => "Ask which faces were counted.",
            Self::CoveredLeftOut => "Ask whether the roof beneath the higher level is shingled.",
            Self::OpeningsLeftIn => "Ask whether openings are to be taken out.",
        }
    }
}

impl LengthCause {
    /// What happened, in a few words.
    pub fn words(&self, metric: bool) -> String {
        let words = match self {
            Self::PlanForTrue => "length in plan, not on the slope",
            Self::TrueForPlan => "length on the slope, though it says plan",
            Self::SlopeFactor => "length in plan times the factor of the slope, not of the hip",
            Self::HipFactor => {
                "length in plan times the hip factor, which is for the run of a common rafter"
            }
            Self::OverhangLeftOut(_) => "measured to the walls: the overhang left out",
            Self::OverhangChosen(overhang) => {
                let reach = reach(Tongue { metric }, overhang.eave_ft, overhang.rake_ft);
                return to_the_walls(&reach);
            }
            Self::Scale(slip) => slip.words,
            Self::FitToPage { factor } => return shrunk(*factor),
            Self::WallsAtScale(_, slip) => {
                return format!(
                    "measured to the walls: the overhang left out; besides, {}",
                    slip.words
                );
            }
            Self::MetresForFeet => "metres stated as feet",
            Self::FeetForMetres => "feet stated as metres",
            Self::Twice => "every edge counted twice",
            Self::Half => "half of the edges counted, as half of the roof was",
            Self::LeftOut => "as in the stated total: the edges of what is left out there",
            Self::OneSide => "the edges of one side only",
            Self::OneEdge => "one edge only, of several of this length",
        };
        words.to_owned()
    }
}

fn shrunk(factor: f64) -> String {
    let percent = decimal(factor * 100.0, 1);
    format!("measured on a page shrunk to {percent} %")
}

/// Of an overhang that was chosen so that it fits.
fn to_the_walls(reach: &str) -> String {
    format!("measured to the walls, if the overhang is {reach}")
}

fn reach(tongue: Tongue, eave_ft: f64, rake_ft: f64) -> String {
    if (eave_ft - rake_ft).abs() < 1e-9 {
        format!("{} all round", tongue.small(eave_ft))
    } else if rake_ft <= 0.0 {
        format!("{} at eaves", tongue.small(eave_ft))
    } else if eave_ft <= 0.0 {
        format!("{} at rakes", tongue.small(rake_ft))
    } else {
        format!(
            "{} at eaves and {} at rakes",
            tongue.small(eave_ft),
            tongue.small(rake_ft)
        )
    }
}
