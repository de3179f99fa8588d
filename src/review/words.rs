//! What is told of causes, in the units asked for.

use super::cause::Cause;
use super::stated::{Subject, SurfaceSaid};
use crate::roof::Roof;
use crate::units::METRES_PER_FOOT;

/// How numbers are told.
#[derive(Clone, Copy)]
pub(super) struct Tongue {
    pub(super) metric: bool,
}

impl Tongue {
    pub(super) fn area(self, sqft: f64) -> String {
        if self.metric {
            format!("{:.1} m²", sqft * METRES_PER_FOOT * METRES_PER_FOOT)
        } else {
            format!("{sqft:.1} ft²")
        }
    }
    pub(super) fn length(self, feet: f64) -> String {
        if self.metric {
            format!("{:.2} m", feet * METRES_PER_FOOT)
        } else {
            format!("{feet:.2} ft")
        }
    }
    /// A small length such as an overhang.
    fn small(self, feet: f64) -> String {
        if self.metric {
            format!("{:.0} mm", feet * METRES_PER_FOOT * 1000.0)
        } else {
            let inches = (feet * 120.0).round() / 10.0;
            format!("{inches} in")
        }
    }
}

pub(super) fn subject(roof: &Roof, subject: Subject) -> String {
    match subject {
        Subject::Face(id) => format!("face {}", roof.face(id).name),
        Subject::Roof => "the whole roof".to_owned(),
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
            Self::TrueForPlan => "area on the slope, though it says plan".to_owned(),
            Self::OverhangLeftOut {
                eave_ft,
                rake_ft,
                chosen,
            } => {
                let reach = reach(tongue, eave_ft, rake_ft);
                if chosen {
                    format!("measured to the walls, if the overhang is {reach}")
                } else {
                    format!("measured to the walls: overhang of {reach} left out")
                }
            }
            Self::PlanInsideWalls { eave_ft, rake_ft } => format!(
                "plan area inside the walls: neither slope nor overhang of {}",
                reach(tongue, eave_ft, rake_ft)
            ),
            Self::Scale(slip) => slip.words.to_owned(),
            Self::FitToPage { factor } => {
                format!("measured on a page shrunk to {:.1} %", factor * 100.0)
            }
            Self::MetresForFeet => "square metres stated as square feet".to_owned(),
            Self::FeetForMetres => "square feet stated as square metres".to_owned(),
            Self::SquaresForFeet => "squares stated as square feet".to_owned(),
            Self::FeetForSquares => "square feet stated as squares".to_owned(),
            Self::OneSide { face } => {
                format!("only the side that falls as {} does", name(face))
            }
            Self::BothSides { other } => format!("both sides of the ridge, {} too", name(other)),
            Self::FaceMissing(face) => format!("face {} left out", name(face)),
            Self::FaceTwice(face) => format!("face {} counted twice", name(face)),
            Self::OpeningsLeftIn => "openings not taken out".to_owned(),
            Self::PlanWithOpenings => {
                "plan area, not multiplied by the slope, openings not taken out".to_owned()
            }
            Self::OtherPitch { in_12 } => format!("taken at {in_12}/12"),
        }
    }

    /// What to ask whoever stated it.
    pub fn question(&self) -> &'static str {
        match self {
            Self::PlanForTrue | Self::PlanWithOpenings | Self::OtherPitch { .. } => {
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
            | Self::FeetForSquares => "Ask for the unit.",
            Self::OneSide { .. }
            | Self::BothSides { .. }
            | Self::FaceMissing(_)
            | Self::FaceTwice(_) => "Ask which faces were counted.",
            Self::OpeningsLeftIn => "Ask whether openings are to be taken out.",
        }
    }
}

fn reach(tongue: Tongue, eave_ft: f64, rake_ft: f64) -> String {
    if (eave_ft - rake_ft).abs() < 1e-9 {
        format!("{} all round", tongue.small(eave_ft))
    } else {
        format!(
            "{} at eaves and {} at rakes",
            tongue.small(eave_ft),
            tongue.small(rake_ft)
        )
    }
}
