//! From plan maps to a roof: which way each face falls, how high every corner is, what each edge is.
//!
//! Method: each face has few candidate directions ([`candidates`]); a cost says how likely an assignment is
//! ([`cost`]); bucket elimination finds the cheapest one exactly ([`eliminate`]) and rivals of it
//! ([`alternatives`]); least squares turns directions into planes that meet ([`refine`]); where a rival is too near, the
//! drawing does not decide and the face is asked about ([`ask`]).

mod adjust;
mod alternatives;
mod ask;
mod assemble;
mod candidates;
mod classes;
mod clearance;
mod cost;
mod cuts;
mod eliminate;
mod heights;
mod label_place;
mod names;
mod pending;
mod ponds;
mod refine;
mod region;
mod sets;
mod sheet;
mod sparse;
mod steps;
mod tables;
mod words;

use crate::Finding;
use crate::geometry::{Point, Vector};
use crate::roof::Roof;
use crate::roof::map::PlanMap;

use alternatives::{Search, Searcher, Solution};
use assemble::{SolvedSheet, assemble};
use sheet::Sheet;

/// How to solve.
#[derive(Clone, Debug)]
pub struct SolveOptions {
    /// Take the likeliest falls where the drawing does not decide; told as a warning.
    pub accept_falls: bool,
    /// Move the lines, within the tracing error, so that the planes meet; otherwise take them as snapped.
    pub adjust: bool,
    /// The compass bearing of the plan's upward direction, in degrees: 0 when north is up.
    pub up_bearing_deg: f64,
}

impl Default for SolveOptions {
    fn default() -> Self {
        Self {
            accept_falls: false,
            adjust: true,
            up_bearing_deg: 0.0,
        }
    }
}

/// Why there is no roof, and the falls to be confirmed where that is all that is missing.
#[derive(Clone, Debug, Default)]
pub struct Unsolved {
    /// Every reason.
    pub findings: Vec<Finding>,
    /// The likeliest fall of each face that is asked about, the most telling first. Drawn as arrows in a `fall` layer
    /// they settle it.
    pub suggested_falls: Vec<SuggestedFall>,
}

/// The likeliest fall of a face that the drawing leaves open.
#[derive(Clone, Debug, PartialEq)]
pub struct SuggestedFall {
    /// A roomy place inside the face, in plan feet.
    pub at: Point,
    /// The direction that water would run to, of length 1.
    pub fall: Vector,
    /// How far an arrow may reach from `at` to both sides without leaving the face, in feet.
    pub reach_ft: f64,
    /// The pitch as written, to name the face by.
    pub face_label: String,
    /// The level of its map.
    pub level: u32,
}

impl Roof {
    /// Solves the roof of all levels.
    ///
    /// # Errors
    /// [`Unsolved`] with every reason: faces without a pitch that nothing fixes, pitches that cannot be true together,
    /// and faces whose fall the drawing does not decide.
    pub fn solve(maps: &[PlanMap], options: &SolveOptions) -> Result<Self, Unsolved> {
        let mut sheets = Vec::new();
        let mut unsolved = Unsolved::default();
        let mut findings = Vec::new();
        for (index, map) in maps.iter().enumerate() {
            for sheet in Sheet::parts(map) {
                let (search, step_reason) = search(&sheet);
                let doubts = ask::doubts(&sheet, &search);
                let asked = ask::asked(&sheet, &doubts, step_reason.is_some());
                findings.extend(pending::dropped(&sheet, search.dropped));
                let best = search.best;
                findings.extend(pending::ponds(&sheet, &best));
                findings.extend(pending::gaps(&sheet, &best));
                for face in asked {
                    if let Some(open) = pending::suggested_fall(map, &sheet, &best, face) {
                        let bearing = open.fall.bearing_deg() + options.up_bearing_deg;
                        unsolved.findings.push(pending::open_fall(
                            &open,
                            bearing.rem_euclid(360.0),
                            options.accept_falls,
                        ));
                        unsolved.suggested_falls.push(open);
                    }
                }
                sheets.push(settle(map, index, sheet, best, options));
            }
        }
        if !unsolved.suggested_falls.is_empty() && !options.accept_falls {
            return Err(unsolved);
        }
        findings.append(&mut unsolved.findings);
        let mut assembled = assemble(maps, &mut sheets, options.up_bearing_deg);
        assembled.roof.findings = findings;
        Ok(assembled.roof)
    }
}

/// The search without steps, or, where that finds no sound roof, with them and the reason why.
fn search(sheet: &Sheet) -> (Search, Option<&'static str>) {
    let search = Searcher::new(sheet, false).run();
    let reason = steps::needed(sheet, &search.best);
    match reason {
        Some(_) => (Searcher::new(sheet, true).run(), reason),
        None => (search, None),
    }
}

/// The chosen solution with the adjusted planes and corners where that is asked for.
fn settle(
    map: &PlanMap,
    index: usize,
    sheet: Sheet,
    best: Solution,
    options: &SolveOptions,
) -> SolvedSheet {
    let adjusted = options
        .adjust
        .then(|| adjust::adjust(map, &sheet, &best.roofing.planes, &best.roofing.is_step))
        .flatten();
    let std_error = adjusted.as_ref().map(|a| a.true_area_std_error);
    let (nodes, planes) = adjusted.map_or_else(
        || (sheet.nodes.clone(), best.roofing.planes),
        |a| (a.nodes, a.planes),
    );
    SolvedSheet {
        map: index,
        why: Vec::new(),
        lift_ft: 0.0,
        nodes,
        planes,
        is_step: best.roofing.is_step,
        true_area_std_error_m2: std_error,
        sheet,
    }
}
