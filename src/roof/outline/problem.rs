//! Why no roof was built on an outline.

use std::fmt;

use crate::geometry::Point;
use crate::units::words::{decimal_feet, feet};
use crate::{Finding, Place};

/// Why no roof was built on an outline. Sides are the input's numbers, from 0; messages count from 1.
#[derive(Clone, Debug, PartialEq)]
pub enum OutlineProblem {
    /// There are no sides at all.
    NoOutline,
    /// A corner or eave height is not a finite number.
    NotANumber {
        /// The side that starts there.
        side: usize,
    },
    /// The outline is larger than the exact tests can hold.
    TooLarge {
        /// Its width or height in feet.
        extent_ft: f64,
    },
    /// A ring with fewer than three sides left, or without area.
    NoArea {
        /// The ring, 0 for the outer one.
        ring: usize,
        /// Its first side.
        side: usize,
    },
    /// An eave without a rise.
    NoPitch {
        /// The side.
        side: usize,
        /// What was given.
        rise_in_12: f64,
    },
    /// Every side is a gable or a wall.
    NothingRises,
    /// The fronts of these sides never meet others: all of them stand still, or the roof is open on one side.
    NeverCloses {
        /// The sides of the loop that is left.
        sides: Vec<usize>,
    },
    /// Two sides cross or touch.
    CrossesItself {
        /// The two sides.
        sides: [usize; 2],
        /// A corner at or near the place.
        at: Point,
    },
    /// A courtyard that is not inside the outer ring, or inside another courtyard.
    CourtyardOutside {
        /// Its first side.
        side: usize,
        /// Its first corner.
        at: Point,
    },
    /// Two neighbouring sides on one line have different pitches.
    CollinearPitches {
        /// The two sides.
        sides: [usize; 2],
        /// Their rises in 12.
        rises_in_12: [f64; 2],
        /// The corner between them.
        at: Point,
    },
    /// An eave goes on straight as a gable or wall: nothing says what the eave's plane ends at, nor which plane rises
    /// over the gable. A hair to the one side of straight and the gable is rolled up at once, a hair to the other and
    /// it stands as a wall over the eave's roof.
    GableInLine {
        /// The two sides.
        sides: [usize; 2],
        /// The corner between them.
        at: Point,
    },
    /// Two neighbouring sides on one line have different overhangs: the eave would have a step.
    OverhangStep {
        /// The two sides.
        sides: [usize; 2],
        /// Their overhangs in feet.
        overhangs_ft: [f64; 2],
        /// The corner between them.
        at: Point,
    },
    /// A shallow plane comes level with a steeper one beside it, and the rule is to refuse.
    CatchUp {
        /// The shallower side.
        shallow: usize,
        /// The steeper side.
        steep: usize,
        /// Height over the lowest eave, in feet.
        height_ft: f64,
        /// Length of the shorter front there, in feet.
        length_ft: f64,
    },
    /// The planes beside a raised eave meet over its side before they are as high as the eave.
    BuriedEave {
        /// The side.
        side: usize,
        /// Its eave over the lowest one, in feet.
        height_ft: f64,
    },
    /// The finished roof failed its own checks, or the construction got lost in its digits.
    NotProven {
        /// What failed, with the numbers.
        what: String,
    },
}

impl OutlineProblem {
    /// A stable name for scripts.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoOutline => "outline-missing",
            Self::NotANumber { .. } => "outline-not-a-number",
            Self::TooLarge { .. } => "outline-too-large",
            Self::NoArea { .. } => "outline-without-area",
            Self::NoPitch { .. } => "outline-side-without-pitch",
            Self::NothingRises => "outline-all-gables",
            Self::NeverCloses { .. } => "outline-never-closes",
            Self::CrossesItself { .. } => "outline-crosses-itself",
            Self::CourtyardOutside { .. } => "courtyard-outside",
            Self::CollinearPitches { .. } => "collinear-pitches",
            Self::GableInLine { .. } => "gable-in-line",
            Self::OverhangStep { .. } => "overhang-step",
            Self::CatchUp { .. } => "pitch-catch-up",
            Self::BuriedEave { .. } => "eave-buried",
            Self::NotProven { .. } => "outline-roof-not-proven",
        }
    }

    /// What to do about it.
    pub fn remedy(&self) -> &'static str {
        match self {
            Self::NoOutline => "draw the outline of the roof as one closed line",
            Self::NotANumber { .. } => "check the coordinates and the eave height of this side",
            Self::TooLarge { .. } => "check the scale of the drawing",
            Self::NoArea { .. } => "draw the outline with at least three sides, or delete the ring",
            Self::NoPitch { .. } => {
                "write a pitch above flat at the side, or `gable` if no plane rises from it"
            }
            Self::NothingRises => "give at least one side a pitch",
            Self::NeverCloses { .. } => {
                "make one of these sides an eave, or move the gables so that the planes meet"
            }
            Self::CrossesItself { .. } => {
                "redraw the outline so that no side crosses or touches another"
            }
            Self::CourtyardOutside { .. } => {
                "move the courtyard inside the outline, or draw it as a roof of its own"
            }
            Self::CollinearPitches { .. } => {
                "give both sides one pitch, or step the outline where the pitch changes so that a wall can stand between"
            }
            Self::GableInLine { .. } => {
                "step the gable out of the wall, however little, with an eave at the step for the plane that rises there, or draw the ridges and valleys"
            }
            Self::OverhangStep { .. } => {
                "give both sides one overhang, or draw the outline at the eaves"
            }
            Self::CatchUp { .. } => {
                "choose which plane goes on: catch-up `wider` or `shallower`, or change one of the pitches"
            }
            Self::BuriedEave { .. } => "lower this eave, or make the side a gable",
            Self::NotProven { .. } => {
                "draw the ridges, hips and valleys by hand, and please report the outline"
            }
        }
    }

    /// The sides that it is about.
    pub fn sides(&self) -> Vec<usize> {
        match self {
            Self::NotANumber { side }
            | Self::NoArea { side, .. }
            | Self::NoPitch { side, .. }
            | Self::CourtyardOutside { side, .. }
            | Self::BuriedEave { side, .. } => vec![*side],
            Self::NeverCloses { sides } => sides.clone(),
            Self::CrossesItself { sides, .. }
            | Self::CollinearPitches { sides, .. }
            | Self::GableInLine { sides, .. }
            | Self::OverhangStep { sides, .. } => sides.to_vec(),
            Self::CatchUp { shallow, steep, .. } => vec![*shallow, *steep],
            Self::NoOutline
            | Self::TooLarge { .. }
            | Self::NothingRises
            | Self::NotProven { .. } => Vec::new(),
        }
    }

    /// The problem as an error for the estimator. `place_of` tells where a side was drawn.
    pub fn to_finding(&self, place_of: impl Fn(usize) -> Place) -> Finding {
        let finding = Finding::error(self.code(), self.to_string()).remedy(self.remedy());
        let at = match self {
            Self::CrossesItself { at, .. }
            | Self::CourtyardOutside { at, .. }
            | Self::CollinearPitches { at, .. }
            | Self::GableInLine { at, .. }
            | Self::OverhangStep { at, .. } => Some(*at),
            _ => None,
        };
        let finding = at.into_iter().fold(finding, |f, p| f.place(Place::at(p)));
        self.sides()
            .into_iter()
            .fold(finding, |f, side| f.place(place_of(side)))
    }
}

/// Sides in words, counted from 1.
fn list(sides: &[usize]) -> String {
    const SHOWN: usize = 8;
    let mut words: Vec<String> = sides
        .iter()
        .take(SHOWN)
        .map(|s| (s + 1).to_string())
        .collect();
    if sides.len() > SHOWN {
        words.push(format!("{} more", sides.len() - SHOWN));
    }
    words.join(", ")
}

impl fmt::Display for OutlineProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoOutline => write!(f, "There is no outline to build a roof on."),
            Self::NotANumber { side } => write!(
                f,
                "Side {} of the outline has a coordinate or an eave height that is not a number.",
                side + 1
            ),
            Self::TooLarge { extent_ft } => write!(
                f,
                "The outline measures {extent_ft:.0} ft across, more than any roof."
            ),
            Self::NoArea { ring, .. } => {
                write!(f, "Ring {} of the outline encloses no area.", ring + 1)
            }
            Self::NoPitch { side, rise_in_12 } => write!(
                f,
                "Side {} of the outline has a pitch of {rise_in_12} in 12: no plane rises from it.",
                side + 1
            ),
            Self::NothingRises => write!(
                f,
                "Every side of the outline is a gable or a wall: no plane rises from any of them."
            ),
            Self::NeverCloses { sides } => write!(
                f,
                "The planes never meet between sides {}: nothing that rises faces them.",
                list(sides)
            ),
            Self::CrossesItself { sides, .. } => write!(
                f,
                "Sides {} and {} of the outline cross or touch.",
                sides[0] + 1,
                sides[1] + 1
            ),
            Self::CourtyardOutside { side, .. } => write!(
                f,
                "The courtyard that starts with side {} does not lie inside the outline, clear of the others.",
                side + 1
            ),
            Self::CollinearPitches {
                sides, rises_in_12, ..
            } => write!(
                f,
                "Sides {} ({:.4} in 12) and {} ({:.4} in 12) are one straight eave with two pitches: the planes cannot meet.",
                sides[0] + 1,
                rises_in_12[0],
                sides[1] + 1,
                rises_in_12[1]
            ),
            Self::GableInLine { sides, .. } => write!(
                f,
                "Sides {} and {} of the outline are one straight line, the one an eave and the other none: the outline does not say where the eave's plane ends.",
                sides[0] + 1,
                sides[1] + 1
            ),
            Self::OverhangStep {
                sides,
                overhangs_ft,
                ..
            } => write!(
                f,
                "Sides {} and {} of the outline are one straight wall with overhangs of {} and {}: the eave between them would have a step.",
                sides[0] + 1,
                sides[1] + 1,
                decimal_feet(overhangs_ft[0], 4),
                decimal_feet(overhangs_ft[1], 4)
            ),
            Self::CatchUp {
                shallow,
                steep,
                height_ft,
                length_ft,
            } => write!(
                f,
                "The shallower plane of side {} comes level with the steeper one of side {} beside it, {} up, along {}: the pitches alone do not say which goes on.",
                shallow + 1,
                steep + 1,
                feet(*height_ft),
                feet(*length_ft)
            ),
            Self::BuriedEave { side, height_ft } => write!(
                f,
                "The eave of side {}, {} over the lowest one, lies higher than the planes that meet over it.",
                side + 1,
                feet(*height_ft)
            ),
            Self::NotProven { what } => write!(
                f,
                "A roof was built on the outline, but it failed a check and is not shown: {what}."
            ),
        }
    }
}

impl std::error::Error for OutlineProblem {}
